"""A talker who says nothing: pulses of a throat through resonances that move from vowel to vowel, and hisses between.

Resonances of the vowels are round figures of an ordinary voice (G. E. Peterson and H. L. Barney, Control methods used
in a study of the vowels, J. Acoust. Soc. Am. 24 (1952) 175-184; from memory, rounded).
"""

import numpy as np

from calc.constants import TWO_PI
from calc.listening.loops import LENGTH, SAMPLE_RATE, band_limited, noise, place, scattered, seconds, swell
from calc.units import Array

_VOWELS = np.array(
    [
        [730.0, 1090.0, 2440.0],
        [270.0, 2290.0, 3010.0],
        [300.0, 870.0, 2240.0],
        [530.0, 1840.0, 2480.0],
        [570.0, 840.0, 2410.0],
        [490.0, 1350.0, 1690.0],
        [660.0, 1720.0, 2410.0],
    ]
)
"""First three resonances [Hz], a vowel a row."""

_WIDTHS = np.array([90.0, 110.0, 170.0])
_CONTROLS = 2048
"""Moments of a loop at which pitch and resonances are set; straight between them."""

_HIGHEST = 4500.0


def talker(time: Array, pitch: float, tract: float, syllables: int, seed: int) -> Array:
    """A loop of talk.

    Args:
        time: of the loop's samples [s].
        pitch: about which the voice moves [Hz].
        tract: the resonances by a factor: above one for a shorter throat.
        syllables: of the loop, pauses among them.
        seed: which talk.
    """
    chance = scattered(seed, 4 * syllables).reshape(4, syllables)
    spans = 0.7 + 0.8 * chance[0]
    spans *= LENGTH / SAMPLE_RATE / spans.sum()
    starts = np.cumsum(spans) - spans
    silent = np.arange(syllables) % 9 == 8
    vowels = _VOWELS[(chance[1] * len(_VOWELS)).astype(int)] * tract

    moments = np.arange(_CONTROLS, dtype=np.float64) * (LENGTH / SAMPLE_RATE / _CONTROLS)
    middles = starts + 0.55 * spans
    resonances = np.stack([np.interp(moments, middles, vowels[:, k], period=LENGTH / SAMPLE_RATE) for k in range(3)])
    tune = np.interp(moments, middles, np.where(silent, 0.9, 0.92 + 0.25 * chance[2]), period=LENGTH / SAMPLE_RATE)
    loud = np.zeros(LENGTH)
    hiss = np.zeros(LENGTH)
    breath = noise(seed, band_limited(_HIGHEST, 1800.0 * tract))
    for index in range(syllables):
        if silent[index]:
            continue
        span = float(spans[index])
        along = seconds(span)
        place(
            loud,
            float(starts[index]),
            (0.6 + 0.4 * chance[3, index]) * swell(along, 0.25 * span, 0.3 * span, 0.4 * span),
        )
        if chance[3, index] > 0.45:
            burst = seconds(0.07)
            first = index * 3000
            place(hiss, float(starts[index]) - 0.02, 0.05 * breath[first : first + burst.size] * swell(
                burst, 0.02, 0.02, 0.03))  # fmt: skip

    frequency = pitch * np.interp(time, moments, tune, period=LENGTH / SAMPLE_RATE)
    phase = TWO_PI * np.cumsum(frequency) / SAMPLE_RATE
    phase *= np.round(phase[-1] / TWO_PI) * TWO_PI / phase[-1]
    return loud * _throat(phase, np.asarray(pitch * tune, dtype=np.float64), resonances, moments, time) + hiss


def _throat(phase: Array, pitch: Array, resonances: Array, moments: Array, time: Array) -> Array:
    """The harmonics of a throat's pulses, each as loud as the resonances leave it at the time."""
    turn = np.exp(1j * phase)
    total, round_ = np.zeros(phase.size), np.ones(phase.size, dtype=np.complex128)
    for number in range(1, int(_HIGHEST / pitch.max()) + 1):
        round_ *= turn
        note = number * pitch
        size = (
            np.prod(resonances**2 / np.abs(resonances**2 - note**2 + 1j * note * _WIDTHS[:, None]), axis=0)
            / number**1.2
        )
        total += np.interp(time, moments, size, period=LENGTH / SAMPLE_RATE) * round_.imag
    return total
