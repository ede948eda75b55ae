"""Invented programmes for the stations of a district: one each, told apart at once. No recording is behind them.

Each is a loop of tones and noise, limited to 4.5 kHz as a broadcaster does whose channels are 9 kHz wide, of root mean
square `PROGRAMME_RMS` and never above one.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc.constants import TWO_PI
from calc.listening.loops import (
    LENGTH,
    SAMPLE_RATE,
    Loop,
    band_limited,
    harmonics,
    levelled,
    loop_seconds,
    noise,
    place,
    scattered,
    seconds,
    swell,
)
from calc.listening.talking import talker
from calc.units import Array

PROGRAMME_RMS = 0.25
"""Root mean square of every programme: its greatest peaks, near one, stand 12 dB above it."""

HIGHEST_PROGRAMME_NOTE = 4500.0
"""No programme has anything above this [Hz]."""

_A3 = 220.0
_HIGHER = 2.0 ** (3.0 / 12.0)
"""What a programme is raised by each time that it goes round the stations again."""


@dataclass(frozen=True)
class Programme:
    """A programme.

    Attributes:
        key: its name among loops.
        name: what a listener would call it.
        make: its sound, raised in pitch by a factor.
    """

    key: str
    name: str
    make: Callable[[float], Array]

    def samples(self, turn: int = 0) -> Loop:
        """The loop; at later turns the same, higher."""
        return _made(self.key, turn % 4)

    def called(self, turn: int) -> str:
        """What it is called at a turn."""
        return self.name + ("", ", higher", ", higher still", ", highest")[turn % 4]


@cache
def _made(key: str, turn: int) -> Loop:
    return levelled(PROGRAMMES[key].make(_HIGHER**turn), PROGRAMME_RMS, HIGHEST_PROGRAMME_NOTE)


def programme_of(index: int) -> tuple[Programme, int]:
    """The programme of the station of an index, and how often all have been given out before it."""
    kinds = list(PROGRAMMES.values())
    return kinds[index % len(kinds)], index // len(kinds)


def _pitch(step: float, base: float = _A3) -> float:
    return base * 2.0 ** (step / 12.0)


def _below(frequency: float, count: int) -> int:
    """How many harmonics of a note are worth making."""
    return max(1, min(count, int(HIGHEST_PROGRAMME_NOTE / frequency)))


def _fiddle(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    beat = LENGTH / SAMPLE_RATE / 12.0
    tune = ((0, 2), (3, 1), (7, 2), (5, 1), (2, 2), (-2, 1), (3, 1), (0, 2))
    at = 0.0
    for step, beats in tune:
        time = seconds(beats * beat + 0.15)
        note = _pitch(step + 5, _A3) * raised
        trill = 0.35 * np.sin(TWO_PI * 5.3 * time) * np.clip(time / 0.4, 0.0, 1.0)
        phase = TWO_PI * note * time + trill * note / 100.0
        bodies = [
            (1.0 / n) * (1.0 + 0.8 * np.exp(-(((n * note - 520.0) / 200.0) ** 2))) for n in range(1, _below(note, 14))
        ]
        place(loop, at, harmonics(phase, np.array(bodies)) * swell(time, 0.12, beats * beat - 0.12, 0.15))
        at += beats * beat
    return loop


def _struck(loop: Array, at: float, note: float, partials: tuple[tuple[float, float, float], ...]) -> None:
    """A struck bar or bell: (ratio, amplitude, seconds to a third) a partial."""
    time = seconds(max(decay for _, _, decay in partials) * 5.0)
    ring = np.zeros(time.size)
    for ratio, amplitude, decay in partials:
        if ratio * note < HIGHEST_PROGRAMME_NOTE:
            ring += amplitude * np.exp(-time / decay) * np.sin(TWO_PI * ratio * note * time)
    place(loop, at, ring * np.minimum(time / 0.002, 1.0))


def _chimes(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    bell = ((0.5, 0.5, 1.6), (1.0, 1.0, 1.1), (1.19, 0.6, 0.8), (1.5, 0.5, 0.7), (2.0, 0.8, 0.6), (2.67, 0.4, 0.3))
    for index, step in enumerate((14, 10, 12, 5, 5, 12, 14, 10)):
        _struck(loop, index * LENGTH / SAMPLE_RATE / 8.0, _pitch(step) * raised, bell)
    return loop


def _xylophone(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    bar = ((1.0, 1.0, 0.11), (3.0, 0.5, 0.05), (6.2, 0.2, 0.02))
    tune = (0, 4, 7, 12, 9, 7, 4, 2, 5, 9, 12, 14, 12, 9, 5, 4)
    steps = tune + tuple(step + 2 for step in tune) + tune[::-1]
    for index, step in enumerate(steps):
        if index % 8 != 7:
            _struck(loop, index * LENGTH / SAMPLE_RATE / len(steps), _pitch(step + 12) * raised, bar)
    return loop


def _pips(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    for index in range(10):
        length = 0.6 if index in (5, 9) else 0.12
        time = seconds(length)
        place(loop, index * LENGTH / SAMPLE_RATE / 10.0, np.sin(TWO_PI * 1000.0 * raised * time) * swell(
            time, 0.004, length - 0.008, 0.004))  # fmt: skip
    return loop


def _brass(time: Array, note: float, length: float) -> Array:
    """A brass note: the louder, the brighter."""
    force = swell(time, 0.06, length - 0.12, 0.06)
    bright = [force ** (1.0 + 0.25 * n) / n**0.6 for n in range(1, _below(note, 16))]
    return harmonics(TWO_PI * note * time, bright)


def _march(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    beat = LENGTH / SAMPLE_RATE / 24.0
    tune = ((0, 1), (0, 1), (4, 1), (7, 1), (12, 2), (7, 2), (9, 1), (5, 1), (2, 1), (5, 1), (4, 2), (0, 2),
            (-1, 1), (2, 1), (7, 1), (5, 1), (4, 1), (2, 1), (0, 2))  # fmt: skip
    at = 0.0
    for step, beats in tune:
        time = seconds(beats * beat * 0.92)
        place(loop, at, _brass(time, _pitch(step + 2) * raised, beats * beat * 0.92))
        at += beats * beat
    thump, snare = seconds(0.25), seconds(0.12)
    rattle = noise(11, band_limited(4500.0, 900.0))
    for count in range(24):
        if count % 2 == 0:
            bass = np.exp(-thump / 0.07) * np.sin(TWO_PI * (95.0 * thump - 60.0 * thump**2))
            place(loop, count * beat, 2.0 * bass)
        else:
            place(loop, count * beat, 0.9 * np.exp(-snare / 0.03) * rattle[: snare.size])
    return loop


def _sung(phase: Array, note: float, formants: tuple[tuple[float, float], ...]) -> Array:
    size = [
        sum(height / (1.0 + ((n * note - centre) / 90.0) ** 2) for centre, height in formants) + 0.01
        for n in range(1, _below(note, 20))
    ]
    return harmonics(phase, np.array(size))


def _choir(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    length = LENGTH / SAMPLE_RATE / 4.0
    vowel = ((650.0, 1.0), (1080.0, 0.5), (2650.0, 0.2))
    for index, chord in enumerate(((-12, -5, 0, 4), (-7, 0, 5, 9), (-10, -3, 2, 5), (-5, -1, 2, 7))):
        time = seconds(length + 0.5)
        shape = swell(time, 0.5, length - 0.5, 0.5)
        for voice, step in enumerate(chord):
            for singer in range(2):
                note = _pitch(step) * raised * (1.0 + 0.004 * (singer - 0.5) + 0.001 * voice)
                sway = 0.5 * np.sin(TWO_PI * (4.6 + 0.3 * voice + 0.2 * singer) * time + voice)
                place(loop, index * length, shape * _sung(TWO_PI * note * time + sway, note, vowel))
    return loop


def _accordion(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    beat = LENGTH / SAMPLE_RATE / 18.0
    for count in range(18):
        root = (0, 5, 7, 0, 9, 7)[count // 3]
        steps: tuple[float, ...] = (root - 12,) if count % 3 == 0 else (root, root + 4, root + 7)
        time = seconds(beat * (0.8 if count % 3 == 0 else 0.45))
        shape = swell(time, 0.03, time[-1] - 0.08, 0.05)
        for step in steps:
            for detuned in (0.9965, 1.0035):
                note = _pitch(step + 3) * raised * detuned
                reeds = np.array([1.0 / n for n in range(1, _below(note, 18))])
                place(loop, count * beat, shape * harmonics(TWO_PI * note * time, reeds))
    return loop


def _clarinet(raised: float) -> Array:
    loop = np.zeros(LENGTH)
    steps = (7, 9, 10, 14, 12, 10, 9, 5, 7, 2, 3, 5, 9, 7, 5, 3)
    lengths = 0.7 + 0.9 * scattered(5, len(steps))
    lengths *= LENGTH / SAMPLE_RATE / lengths.sum()
    for at, step, length in zip(np.cumsum(lengths) - lengths, steps, lengths, strict=True):
        time = seconds(float(length))
        note = _pitch(step + 12) * raised
        reed = np.array([(1.0 if n % 2 else 0.08) / n**0.9 for n in range(1, _below(note, 12))])
        shape = swell(time, 0.05, float(length) - 0.12, 0.07)
        place(loop, float(at), shape * harmonics(TWO_PI * note * time, reed))
    return loop


def _low_talker(raised: float) -> Array:
    return talker(loop_seconds(), pitch=112.0 * raised, tract=1.0, syllables=38, seed=21)


def _high_talker(raised: float) -> Array:
    return talker(loop_seconds(), pitch=205.0 * raised, tract=1.17, syllables=47, seed=34)


PROGRAMMES: dict[str, Programme] = {
    programme.key: programme
    for programme in (
        Programme("fiddle", "a slow fiddle", _fiddle),
        Programme("talker", "a deep voice talking", _low_talker),
        Programme("chimes", "chimes", _chimes),
        Programme("march", "a brass march", _march),
        Programme("xylophone", "a xylophone", _xylophone),
        Programme("high-talker", "a higher voice talking", _high_talker),
        Programme("choir", "a choir", _choir),
        Programme("pips", "time-signal pips", _pips),
        Programme("accordion", "an accordion waltz", _accordion),
        Programme("clarinet", "a clarinet", _clarinet),
    )
}
