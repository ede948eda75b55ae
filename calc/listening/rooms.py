"""The noise of rooms, as loops: each with its spectrum, brought to a known level in the octave about 1 kHz."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc import earphones
from calc.constants import TWO_PI
from calc.listening.loops import (
    LENGTH,
    SAMPLE_RATE,
    Loop,
    band_limited,
    loop_seconds,
    noise,
    place,
    scattered,
    seconds,
)
from calc.units import Array

ROOM_OCTAVE_RMS = 0.01
"""Root mean square of each room's loop in the octave about 1 kHz; low notes may be ten times that."""

LOWEST_ROOM_NOTE = 90.0
"""What a room has below this is left out: earphones hardly make it, ears hardly hear it [Hz]."""

_OCTAVES = 125.0 * 2.0 ** np.arange(7)


@dataclass(frozen=True)
class RoomSound:
    """What is heard of a room.

    Attributes:
        key: its name among loops.
        name: what a listener would call it.
        make: its sound, at any level.
    """

    key: str
    name: str
    make: Callable[[], Array]

    def samples(self) -> Loop:
        """The loop, of `ROOM_OCTAVE_RMS` in the octave about 1 kHz."""
        return _made(self.key)

    @property
    def over_octave(self) -> float:
        """Level of all that is in the loop over that in the octave about 1 kHz [dB]."""
        wave = self.samples().astype(np.float64)
        return float(20.0 * np.log10(np.sqrt(np.mean(wave**2)) / ROOM_OCTAVE_RMS))


@cache
def _made(key: str) -> Loop:
    wave = ROOM_SOUNDS[key].make()
    spectrum = np.fft.rfft(wave)
    lines = np.fft.rfftfreq(LENGTH, 1.0 / SAMPLE_RATE)
    spectrum[lines < LOWEST_ROOM_NOTE] = 0.0
    octave = (lines >= 1000.0 / np.sqrt(2.0)) & (lines < 1000.0 * np.sqrt(2.0))
    rms = np.sqrt(2.0 * np.sum(np.abs(spectrum[octave]) ** 2)) / LENGTH
    return (np.fft.irfft(spectrum, LENGTH) * (ROOM_OCTAVE_RMS / rms)).astype(np.float32)


def _by_octaves(levels: Array) -> Callable[[Array], Array]:
    """Density of a noise that has these levels in the octaves from 125 Hz to 8 kHz [dB]."""
    per_hertz = levels - 10.0 * np.log10(_OCTAVES)

    def density(frequency: Array) -> Array:
        level = np.interp(np.log(frequency), np.log(_OCTAVES), per_hertz)
        return np.asarray(10.0 ** (level / 20.0))

    return density


def _criterion(number: float) -> Array:
    """Levels in the octaves on a noise-criterion curve [dB SPL]."""
    return np.array([earphones.room_noise(number, float(octave)) for octave in _OCTAVES])


def _still() -> Array:
    return noise(101, _by_octaves(_criterion(15.0)))


def _clock() -> Array:
    loop = noise(102, _by_octaves(_criterion(18.0)))
    tick = noise(103, band_limited(6500.0, 700.0))
    time = seconds(0.06)
    for count in range(22):
        ring = np.exp(-time / 0.006) * tick[: time.size]
        ring += 0.6 * np.exp(-time / 0.012) * np.sin(TWO_PI * (2350.0 if count % 2 else 1900.0) * time)
        place(loop, count * LENGTH / SAMPLE_RATE / 22.0, (1.8 if count % 2 else 1.4) * ring)
    return loop


def _kettle() -> Array:
    """A hiss that wavers, and bubbles under it."""
    time = loop_seconds()
    hiss = noise(104, _by_octaves(np.array([26.0, 27.0, 28.0, 30.0, 33.0, 35.0, 33.0])))
    whole = LENGTH / SAMPLE_RATE
    waver = 1.0 + 0.25 * np.sin(TWO_PI * 7.0 / whole * time) + 0.15 * np.sin(TWO_PI * 19.0 / whole * time)
    loop = hiss * waver
    when, pitch = scattered(105, 260) * whole, 250.0 + 600.0 * scattered(106, 260)
    bubble = seconds(0.035)
    for at, note in zip(when, pitch, strict=True):
        rising = note * bubble * (1.0 + 4.0 * bubble)
        place(loop, float(at), 0.9 * np.exp(-bubble / 0.009) * np.sin(TWO_PI * rising))
    return loop


def _traffic() -> Array:
    """A far street, and single cars that come and go."""
    time, whole = loop_seconds(), LENGTH / SAMPLE_RATE
    street = noise(107, _by_octaves(np.array([50.0, 44.0, 38.0, 34.0, 31.0, 25.0, 18.0])))
    car = noise(108, _by_octaves(np.array([48.0, 42.0, 38.0, 37.0, 35.0, 28.0, 20.0])))
    passing = np.zeros(LENGTH)
    for middle, width, size in ((2.4, 0.9, 1.3), (6.1, 1.2, 0.9), (8.9, 0.7, 1.6)):
        away = (time - middle + 0.5 * whole) % whole - 0.5 * whole
        passing += size * np.exp(-((away / width) ** 2))
    return street + passing * car


ROOM_SOUNDS: dict[str, RoomSound] = {
    room.key: room
    for room in (
        RoomSound("still", "a still night", _still),
        RoomSound("clock", "a ticking clock", _clock),
        RoomSound("kettle", "a kettle", _kettle),
        RoomSound("traffic", "traffic outside", _traffic),
    )
}
