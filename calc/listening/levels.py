"""From sound levels to the numbers of a digital sound, and how loud that may become.

A level of full scale says which sound pressure a sine of amplitude one stands for. Without calibration it is chosen so
that nothing clips, and says nothing of the ear; all is true to each other only. With it, the faintest of a row of tones
that the listener can just hear stands for the faintest that the set's user can hear, and full scale follows.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

HEADROOM = 15.0
"""Full scale over the level of the loudest, without calibration: a programme's peaks stand 9 dB over a tone of its
level, and several may meet [dB]."""

STEP_OF_SCALE = 5.0
"""In which that full scale moves, so that it stays while the dial is turned [dB]."""

VOLUMES = (-60.0, -54.0, -48.0, -42.0, -36.0, -30.0, -24.0, -18.0, -12.0)
"""Steps of the player's own volume, below full scale [dB]."""

FIRST_VOLUME = 4
"""The step at which it starts."""

LOUDEST = 85.0
"""Sound pressure level that the player never asks for, once it knows the ear [dB SPL]. A limit of hours, for work under
noise (ISO 1999, from memory)."""

CEILING = -6.0
"""Of full scale: no sample stands above it, whatever comes [dB]."""

LIMITER_THRESHOLD = -10.0
"""Of full scale, where the limiter begins [dB]."""

LIMITER_RATIO = 20.0
LIMITER_ATTACK, LIMITER_RELEASE = 0.003, 0.25
"""[s]."""

LOWEST_NOTE = 30.0
"""A steady part, which a bent programme has, and all else below this is taken off [Hz]."""

HIGHPASS_Q = float(20.0 * np.log10(np.sqrt(0.5)))
"""Of the filter that does it, as browsers count: in decibels. This one has no hump."""

FADE, GLIDE, SWAP = 1.0, 0.03, 0.2
"""How long playing takes to fade in; a third of the way to another level; crossing from one curve to another [s]."""

MAKEUP_SHARE = 0.6
"""Of its greatest reduction that a browser's compressor adds to all it passes, by the Web Audio API's rule."""

TONES = tuple(float(level) for level in range(-95, -35, 5))
"""Of full scale: the tones of the calibration, from the faintest [dB]."""

TONE_FREQUENCY = 1000.0


def ratio(level: float) -> float:
    """Of amplitudes, for decibels; nought for minus infinity."""
    return float(10.0 ** (level / 20.0))


def together(levels: Sequence[float]) -> float:
    """Level of several sounds that do not know of each other [dB]; minus infinity for none."""
    power = sum(10.0 ** (level / 10.0) for level in levels)
    return float(10.0 * np.log10(power)) if power > 0.0 else -np.inf


def full_scale(levels: Sequence[float], loudest: float = -np.inf) -> float:
    """Level for which full scale stands when nothing is known of the ear [dB SPL].

    Args:
        levels: of all that sounds [dB SPL].
        loudest: that any of it reaches anywhere on the dial, so that it is the same all over it [dB SPL].
    """
    most = max(together(levels), loudest, 0.0)
    return float(STEP_OF_SCALE * np.ceil((most + HEADROOM) / STEP_OF_SCALE))


def makeup() -> float:
    """Gain that takes back what a browser's compressor adds to all it passes [-].

    One with a sharp bend takes T (1 - 1/R) off at full scale, T its threshold and R its ratio; what it adds is a share
    of that.

    Source: W3C, Web Audio API, the section on the compressor's makeup gain (from memory; tests hear it).
    """
    return ratio(MAKEUP_SHARE * LIMITER_THRESHOLD * (1.0 - 1.0 / LIMITER_RATIO))


@dataclass(frozen=True)
class Calibrated:
    """What one step of the calibration makes of the whole mixture.

    Attributes:
        master: gain of a mixture that is scaled to the full scale without calibration [-].
        cap: the guard's scale: all after it is at most the ceiling times this [-].
        held: decibels by which all is quieter than in life, to stay within limits; zero for none.
    """

    master: float
    cap: float
    held: float


def calibrated(tone: float, hearing: float, scale: float, levels: Sequence[float]) -> Calibrated:
    """The mixture at its true level, or as near below it as is safe.

    Args:
        tone: of full scale, the faintest that is heard [dB].
        hearing: level that it stands for [dB SPL].
        scale: full scale of the mixture without calibration [dB SPL].
        levels: of all that sounds [dB SPL].
    """
    true_scale = hearing - tone
    wanted = scale - true_scale
    most = min(VOLUMES[-1], wanted + LOUDEST - max(together(levels), -100.0))
    cap = min(0.0, LOUDEST + HEADROOM - true_scale - CEILING)
    return Calibrated(ratio(min(wanted, most)), ratio(cap), max(wanted - most, 0.0))
