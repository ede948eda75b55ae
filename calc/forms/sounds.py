"""Sound of an answer: who is heard, and on request the whole recipe by which a page plays it. No HTML, no samples.

What every answer holds is light: names and texts. The recipe, with gains, curves and filters, is worked out only when
it is asked for, since it takes longer than a form may take to answer.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc import units
from calc.listening import ROOM_SOUNDS, SAMPLE_RATE, levels, programme_of, rooms
from calc.listening.programmes import PROGRAMME_RMS
from calc.units import Array

LOWER_FIRST = "Lower the volume of your device first."
HIGHEST_WHISTLE = 11500.0
_DIGITS = 7


@dataclass(frozen=True)
class Voice:
    """A station that is heard.

    Attributes:
        label: its name.
        level: of a tone with its programme's power, minus infinity for none [dB SPL].
        margin: of it over the floor [dB].
    """

    label: str
    level: float
    margin: float


@dataclass(frozen=True)
class Whistle:
    """A whistle that is heard."""

    label: str
    frequency: float
    level: float


@dataclass(frozen=True)
class Shaping:
    """What the set does to each voice: a curve and the taps of a filter each, [voices, ...]."""

    curves: Array
    kernels: Array


@dataclass(frozen=True)
class Sound:
    """A mixture that can be played.

    Attributes:
        key, title: its name in the answer, and what the reader sees.
        summary: what is heard, in words.
        voices, whistles: what it is made of.
        room: key of the room's sound; "" for none.
        room_level: in the octave about 1 kHz [dB SPL].
        floor: level of the faintest tone that is heard, for which the calibration's tone stands [dB SPL].
        shaping: works out what the set does to the voices.
        loudest: level that any voice reaches anywhere on the dial, if that is known [dB SPL].
    """

    key: str
    title: str
    summary: str
    voices: Sequence[Voice]
    whistles: Sequence[Whistle]
    room: str
    room_level: float
    floor: float
    shaping: Callable[[], Shaping]
    loudest: float = -np.inf

    def as_json(self) -> dict[str, Any]:
        """Who is heard, and the player's texts, as plain data."""
        return {
            "key": self.key,
            "title": self.title,
            "summary": self.summary,
            "warning": LOWER_FIRST,
            "sample_rate": SAMPLE_RATE,
            "voices": [self._voice(index, voice) for index, voice in enumerate(self.voices)],
            "whistles": {"text": self._whistles_text} if self._audible else None,
            "room": {"label": ROOM_SOUNDS[self.room].name, "text": self._room_text} if self.room else None,
            "volumes": {
                "texts": [
                    f"step {step + 1} of {len(levels.VOLUMES)}, {units.format(-volume, 'dB')} below full scale"
                    for step, volume in enumerate(levels.VOLUMES)
                ],
                "first": levels.FIRST_VOLUME,
            },
            "calibration": {
                "text": (
                    "Turn the volume of your device down, put on your earphones and play the tone. Step up from the "
                    "faintest to the first that you can just hear. It will stand for "
                    f"{units.format(self.floor, 'dB', 3)}, the faintest tone that is heard in the room of this answer, "
                    f"and all plays as loud as in life, but never above {levels.LOUDEST:.0f} dB. From then on leave "
                    "the volume of your device where it is."
                ),
                "texts": [
                    f"tone {step + 1} of {len(levels.TONES)}, {units.format(-tone, 'dB')} below full scale"
                    for step, tone in enumerate(levels.TONES)
                ],
                "tone": {
                    "frequency": levels.TONE_FREQUENCY,
                    "gains": [levels.ratio(tone) for tone in levels.TONES],
                    "glide": levels.GLIDE,
                },
            },
        }

    def recipe(self) -> dict[str, Any]:
        """All that a page needs to play it, as plain data: what to load, gains, curves, filters."""
        scale, shaping = self.full_scale, self.shaping()
        calibrated = [levels.calibrated(tone, self.floor, scale, self._levels) for tone in levels.TONES]
        return {
            "key": self.key,
            "sample_rate": SAMPLE_RATE,
            "voices": [
                {
                    "key": f"voice-{index}",
                    "loop": self._loop(index),
                    "gain": levels.ratio(voice.level - scale) / float(np.sqrt(2.0) * PROGRAMME_RMS),
                    "curve": _rounded(curve),
                    "kernel": _rounded(kernel),
                }
                for index, (voice, curve, kernel) in enumerate(
                    zip(self.voices, shaping.curves, shaping.kernels, strict=True)
                )
            ],
            "whistles": [
                {
                    "key": f"whistle-{index}",
                    "group": "whistles",
                    "frequency": whistle.frequency,
                    "gain": levels.ratio(whistle.level - scale),
                }
                for index, whistle in enumerate(self._audible)
            ],
            "room": {
                "loop": self.room,
                "gain": levels.ratio(self.room_level - scale) / float(np.sqrt(2.0) * rooms.ROOM_OCTAVE_RMS),
            }
            if self.room
            else None,
            "full_scale": scale,
            "highpass": {"frequency": levels.LOWEST_NOTE, "q": levels.HIGHPASS_Q},
            "guard": {
                "threshold": levels.LIMITER_THRESHOLD,
                "ratio": levels.LIMITER_RATIO,
                "attack": levels.LIMITER_ATTACK,
                "release": levels.LIMITER_RELEASE,
                "after": levels.makeup() / levels.ratio(levels.CEILING),
                "ceiling": [-levels.ratio(levels.CEILING), levels.ratio(levels.CEILING)],
            },
            "plain": {"gain": 1.0, "cap": 1.0, "uncap": 1.0},
            "volumes": [levels.ratio(volume) for volume in levels.VOLUMES],
            "calibrated": [
                {
                    "gain": step.master,
                    "cap": step.cap,
                    "uncap": 1.0 / step.cap,
                    "text": "Plays as loud as in life."
                    if step.held < 0.05
                    else f"Plays {units.format(step.held, 'dB', 3)} below life, to spare ears and earphones.",
                }
                for step in calibrated
            ],
            "times": {"fade": levels.FADE, "glide": levels.GLIDE, "swap": levels.SWAP},
        }

    @cached_property
    def full_scale(self) -> float:
        """Level that a sine of amplitude one stands for, as long as nothing is known of the ear [dB SPL]."""
        return levels.full_scale(self._levels, self.loudest)

    @property
    def _levels(self) -> list[float]:
        room = [self.room_level + ROOM_SOUNDS[self.room].over_octave] if self.room else []
        return [voice.level for voice in self.voices] + [whistle.level for whistle in self._audible] + room

    @cached_property
    def _audible(self) -> list[Whistle]:
        return [
            whistle
            for whistle in self.whistles
            if 20.0 <= whistle.frequency <= HIGHEST_WHISTLE and np.isfinite(whistle.level)
        ]

    @property
    def _whistles_text(self) -> str:
        return "; ".join(
            f"{whistle.label}, {units.format(whistle.frequency, 'Hz', 3)}: {units.format(whistle.level, 'dB', 3)}"
            for whistle in self._audible
        )

    @property
    def _room_text(self) -> str:
        return f"{units.format(self.room_level, 'dB', 3)} in the octave about 1 kHz"

    def _loop(self, index: int) -> str:
        programme, turn = programme_of(index)
        return f"{programme.key}:{turn}" if turn else programme.key

    def _voice(self, index: int, voice: Voice) -> dict[str, Any]:
        programme, turn = programme_of(index)
        if not np.isfinite(voice.level):
            return {"key": f"voice-{index}", "label": voice.label, "plays": programme.called(turn), "text": "not heard"}
        side = "over" if voice.margin >= 0.0 else "under"
        margin = f"{units.format(abs(voice.margin), 'dB', 3)} {side} the room"
        text = f"{units.format(voice.level, 'dB', 3)}, {margin}"
        return {"key": f"voice-{index}", "label": voice.label, "plays": programme.called(turn), "text": text}


def _rounded(values: Array) -> list[float]:
    return np.round(values, _DIGITS).tolist()
