"""What a set does to a programme, as a curve and a filter that can be applied to its samples."""

from dataclasses import dataclass

import numpy as np

from calc.constants import TWO_PI
from calc.listening.loops import SAMPLE_RATE
from calc.listening.programmes import PROGRAMME_RMS
from calc.units import Array

CURVE_POINTS = 65
"""Points of a curve, evenly from -1 to 1 of the programme; straight between them."""

SWINGS = np.linspace(-1.0, 1.0, CURVE_POINTS)
"""At which a curve is given."""

TAPS = 255
"""Of a filter: the sound comes 5 ms late, and a dip narrower than some 100 Hz is smoothed."""

NOTES = np.concatenate([[40.0], np.geomspace(60.0, 11500.0, 31)])
"""At which the set's response is asked [Hz]; between them a curve of straight lines over the logarithm of frequency."""

_GRID = 2048
_CYCLE = TWO_PI * (np.arange(64) + 0.5) / 64.0
_LEAST_DEPTH = 1e-9


@dataclass(frozen=True)
class Depths:
    """How deep a programme modulates, that has the power of a tone of some depth.

    Attributes:
        tone: of that tone [-].
        peak: at the programme's greatest swings: not above one, since a broadcaster limits them.
    """

    tone: Array
    peak: Array

    @property
    def swings(self) -> Array:
        """At which the set's curve is asked: `SWINGS` of the greatest, [stations, CURVE_POINTS]."""
        return self.peak[:, None] * SWINGS

    @classmethod
    def of(cls, tone: Array) -> "Depths":
        """For tones of these depths."""
        return cls(tone, np.minimum(tone / (np.sqrt(2.0) * PROGRAMME_RMS), 1.0))


def curves(depths: Depths, outputs: Array) -> Array:
    """Curves that leave a tone of the stated depth its size, whatever harmonics they add to it.

    Args:
        depths: of the programmes, [stations].
        outputs: the set's, at the swings of those depths, to any scale, [stations, CURVE_POINTS].

    Returns:
        As `outputs`; straight for a programme that does not swing, or of which nothing comes.
    """
    share = np.where(depths.peak > 0.0, depths.tone / np.maximum(depths.peak, _LEAST_DEPTH), 1.0)
    cycle = np.array([np.interp(a * np.cos(_CYCLE), SWINGS, row) for a, row in zip(share, outputs, strict=True)])
    got = 2.0 * np.mean(cycle * np.cos(_CYCLE), axis=-1)
    there = (depths.peak > 0.0) & (got != 0.0)
    scale = np.where(there, share / np.where(there, got, 1.0), 0.0)
    return np.where(there[:, None], outputs * scale[:, None], SWINGS)


def kernels(response: Array) -> Array:
    """Filters of linear phase that follow a response.

    Args:
        response: at `NOTES`, against that at the note for which levels are worked out, [..., notes] [dB].

    Returns:
        Taps, [..., TAPS], symmetrical.
    """
    lines = np.fft.rfftfreq(2 * _GRID, 1.0 / SAMPLE_RATE)
    at = np.log(np.clip(lines, NOTES[0], NOTES[-1]))
    flat = response.reshape(-1, NOTES.size)
    level = np.stack([np.interp(at, np.log(NOTES), row) for row in flat])
    wave = np.fft.irfft(10.0 ** (level / 20.0), 2 * _GRID, axis=-1)
    half = TAPS // 2
    taps = np.concatenate([wave[:, -half:], wave[:, : half + 1]], axis=-1)
    window = 0.5 + 0.5 * np.cos(TWO_PI * np.arange(-half, half + 1) / (TAPS + 1))
    return np.asarray((taps * window).reshape(*response.shape[:-1], TAPS))
