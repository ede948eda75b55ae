"""Loops of sound, and what they are made of: steady noise of a given spectrum, tones, and their rise and fall.

A loop is as long as a power of two of samples, and whatever runs over its end goes on at its beginning, so that it can
go round without a join. Nothing is random twice over: the same loop is made of the same samples each time.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.units import Array

SAMPLE_RATE = 24000
"""Samples a second: notes to 12 kHz, far above what a channel of broadcasting carries [Hz]."""

LENGTH = 2**18
"""Samples of a loop: 10.9 seconds."""

Loop = npt.NDArray[np.float32]


def seconds(duration: float) -> Array:
    """Times of the samples of a stretch [s]."""
    return np.arange(round(duration * SAMPLE_RATE)) / SAMPLE_RATE


def loop_seconds() -> Array:
    """Times of the samples of a whole loop [s]."""
    return np.arange(LENGTH) / SAMPLE_RATE


def place(loop: Array, start: float, stretch: Array) -> None:
    """Adds a stretch of sound to a loop from a time on [s], round its end if it must."""
    first = round(start * SAMPLE_RATE) % LENGTH
    while stretch.size:
        part = stretch[: LENGTH - first]
        loop[first : first + part.size] += part
        stretch, first = stretch[part.size :], 0


def scattered(seed: int, count: int) -> Array:
    """Numbers from 0 to 1 without any order to be heard, always the same for the same seed.

    The k-th is a fixed mixing of the bits of k and the seed.
    """
    state = np.arange(1, count + 1, dtype=np.uint64) + np.uint64(seed) * np.uint64(0x1000003)
    state *= np.uint64(0x9E3779B97F4A7C15)
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        state = (state ^ (state >> np.uint64(shift))) * np.uint64(factor)
    return np.asarray(((state ^ (state >> np.uint64(31))) >> np.uint64(11)) / 2.0**53)


def noise(seed: int, density: Callable[[Array], Array]) -> Array:
    """A whole loop of steady noise.

    Args:
        seed: which noise of that spectrum.
        density: amplitude per line of the spectrum at frequencies [Hz]; only the shape counts.

    Returns:
        Samples, [LENGTH], of mean square one.
    """
    lines = np.asarray(np.fft.rfftfreq(LENGTH, 1.0 / SAMPLE_RATE), dtype=np.float64)
    size = np.zeros(lines.size)
    size[1:-1] = density(lines[1:-1])
    made = np.fft.irfft(size * np.exp(1j * TWO_PI * scattered(seed, lines.size)), LENGTH)
    return np.asarray(made / np.sqrt(np.mean(made**2)))


def band_limited(highest: float, lowest: float = 0.0) -> Callable[[Array], Array]:
    """Density of white noise between two frequencies [Hz]."""
    return lambda frequency: ((frequency >= lowest) & (frequency <= highest)).astype(np.float64)


def swell(time: Array, rise: float, hold: float, fall: float) -> Array:
    """From nought to one within `rise`, as much again after `hold`, to nought within `fall` [s]: smooth."""
    up = np.clip(time / rise, 0.0, 1.0)
    down = np.clip((rise + hold + fall - time) / fall, 0.0, 1.0)
    return np.asarray(np.sin(0.25 * TWO_PI * up) ** 2 * np.sin(0.25 * TWO_PI * down) ** 2)


def harmonics(phase: Array, amplitudes: list[Array] | Array) -> Array:
    """A sum of harmonics of one phase [rad], each with its amplitude, a number or one a sample."""
    turn = np.exp(1j * phase)
    total, round_ = np.zeros(phase.size), np.ones(phase.size, dtype=np.complex128)
    for amplitude in amplitudes:
        round_ = round_ * turn
        total += amplitude * round_.imag
    return total


def levelled(loop: Array, rms: float, highest: float) -> Loop:
    """A loop brought to a root mean square, without anything above a note [Hz] and without a steady part.

    What stands above a half is bent back below one, and more drive makes up for it, until the root mean square is the
    one that was asked.
    """
    lines = np.fft.rfftfreq(LENGTH, 1.0 / SAMPLE_RATE)
    passed = (lines > 0.0) & (lines <= highest)
    made = np.fft.irfft(np.fft.rfft(loop) * passed, LENGTH)
    drive = 1.0
    for _ in range(40):
        size = np.sqrt(np.mean(made**2))
        if abs(size / rms - 1.0) < 1e-6:
            break
        drive *= rms / size
        made = np.fft.irfft(np.fft.rfft(_bent(drive * loop)) * passed, LENGTH)
    return made.astype(np.float32)


def _bent(wave: Array) -> Array:
    """As it is to a half, and from there ever less, towards 0.85."""
    room = 0.35
    size = np.abs(wave)
    over = np.maximum(size - 0.5, 0.0)
    return np.sign(wave) * np.where(size > 0.5, 0.5 + room * np.tanh(over / room), size)
