"""What would be read from sets, many of them at once: the project's own chain from the aerial to the ear."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.correction.readings import LINK, OFF, Kind, Reading, Skill
from calc.coupling import AerialLead, Direct, LeadCapacitor, Tuning, tuned_capacitance
from calc.detection import FEW_CYCLE_POINTS
from calc.detectors.envelope import Sidebands
from calc.sets import Receiver, Source, hear
from calc.settings.tuned import District, offered
from calc.units import Array, InputError

_NO_CAPACITOR = 1.0
"""Stands for a lead without a capacitor in it: a farad, which no carrier notices [F]."""
_WIDER = 0.1
"""Step in the logarithm of a width, for how fast a fall grows with it."""
_WIDTHS = (1.0, math.exp(-0.5 * _WIDER), math.exp(0.5 * _WIDER))
_LAID_NEAR = 1e-12
"""Between an aerial that is off and the coil [F]: about what two wires have that lie near each other."""


class Built(NamedTuple):
    """A set by its figures.

    Attributes:
        receiver: the set, its coils' loss that at each of the frequencies, [n, 1].
        strays: across the variable capacitor, the aerial left out [F].
    """

    receiver: Receiver
    strays: float


Builder = Callable[[Sequence[float], Array], Built]
"""A set from its unknowns and the frequencies to which it will be tuned, [n] [Hz]."""


def built_together(build: Builder, sets: Sequence[Sequence[float]], frequency: Array) -> tuple[list[int], Built | None]:
    """Of some sets those that can be, by their places, and all of them as one with an axis in front; None if none
    can."""
    places, made = [], []
    for place, unknowns in enumerate(sets):
        try:
            made.append(build(unknowns, frequency))
        except InputError:
            continue
        places.append(place)
    if not made:
        return places, None
    strays = np.array([each.strays for each in made])[:, None]
    return places, Built(_stacked([each.receiver for each in made]), strays)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Model:
    """Readings as a set would have them.

    Attributes:
        build: makes the set.
        readings: whose places are asked for.
        skill: for what fall flanks are read.
        modulation: of the stations, 0 to 1.
    """

    build: Builder
    readings: Sequence[Reading]
    skill: Skill
    modulation: float

    @cached_property
    def kinds(self) -> list[tuple[Kind, int]]:
        """What each element of `read` is, and the place of its reading in the list."""
        return [(kind, place) for kind in Kind for place, each in enumerate(self.readings) if each.has(kind)]

    def read(self, sets: Sequence[Sequence[float]]) -> Array:
        """What would be read from each of some sets.

        Args:
            sets: unknowns of each, [sets, unknowns].

        Returns:
            [sets, figures] in the order of `kinds`: capacitance of the variable capacitor for the greatest voltage [F],
            which may be below zero; fall of the sound at the flanks, both sides' mean [dB]; sound over the floor [dB];
            current [dB of 1 A]. NaN for a set that cannot be.

        Accuracy: that of `calc.sets.hear` with few points of a modulation cycle.
        """
        return self.read_and_steepness(sets)[:, : len(self.kinds)]

    def read_and_steepness(self, sets: Sequence[Sequence[float]]) -> Array:
        """What `read` gives, then for each fall how fast it grows with the logarithm of its width [dB], [sets, figures
        and falls]."""
        kinds = self.kinds
        falls = sum(kind is Kind.WIDTH for kind, _ in kinds)
        found = np.full((len(sets), len(kinds) + falls), np.nan)
        possible, built = built_together(self.build, sets, np.array([each.frequency for each in self.readings]))
        if built is None:
            return found
        dial, listened = np.empty((len(possible), len(self.readings))), []
        for joined in dict.fromkeys(each.joined for each in self.readings):
            rows = [place for place, each in enumerate(self.readings) if each.joined == joined]
            dial[:, rows], listening = self._tuned(built, joined, rows)
            if listening is not None:
                listened.append(listening)
        found[possible] = np.concatenate([dial, self._heard(built.receiver, listened, len(possible))], axis=-1)
        return found

    def _tuned(self, built: Built, joined: str, rows: Sequence[int]) -> tuple[Array, "_Listening | None"]:
        """Of readings whose aerials are joined in the same way: capacitance of the variable capacitor in tune,
        [sets, rows], and what is offered where it is listened to; None where it is not."""
        chosen = [self.readings[place] for place in rows]
        count = len(chosen)
        own = _rows_of(built.receiver, np.array(rows), len(self.readings))
        receiver = _joined(own, joined, chosen)
        frequency = np.array([[each.frequency] for each in chosen])
        link, _ = receiver.link.tuned(frequency, receiver.aerial)
        total = np.asarray(
            tuned_capacitance(frequency, receiver.aerial, link, receiver.tank, detector_tap=receiver.detector_tap)
        )
        dial = total[..., 0] - built.strays
        steps = [_steps(each) for each in chosen]
        again = np.repeat(np.arange(count), [len(each) for each in steps])
        if not again.size:
            return dial, None
        off = np.array([[step] for each in steps for step in each])
        peak = _rows_of(total, again, count)
        # a flank further out than no capacitance at all is not worked out beyond that
        tank = replace(_rows_of(receiver.tank, again, count), capacitance=np.maximum(peak + off, 0.05 * np.abs(peak)))
        field = np.array([[each.field_strength] for each in chosen])
        district = District(frequency[again], field[again], np.asarray(self.modulation))
        tuning = Tuning(_rows_of(link, again, count), tank, True)
        source = offered(_rows_of(receiver, again, count), district, tuning).source
        return dial, _Listening(np.array(rows)[again], source)

    def _heard(self, receiver: Receiver, listened: Sequence["_Listening"], sets: int) -> Array:
        """Figures of the ear and the meter in the order of `kinds`, and how fast falls grow, [sets, figures and
        falls]."""
        if not listened:
            return np.empty((sets, 0))
        hearing = hear(receiver, _together(listened, sets), self.modulation, FEW_CYCLE_POINTS)
        with np.errstate(divide="ignore", invalid="ignore"):
            current = 20.0 * np.log10(np.asarray(hearing.dc_current)[..., 0])
        level = np.asarray(hearing.sound_level)[..., 0]
        places = np.concatenate([each.places for each in listened])
        first = {place: int(np.argmax(places == place)) for place in set(places.tolist())}
        flanked, loud, metered = (
            [first[place] for own, place in self.kinds if own is kind]
            for kind in (Kind.WIDTH, Kind.LOUDNESS, Kind.CURRENT)
        )
        falls = _falls(current if self.skill.by_meter else level, np.array(flanked, dtype=np.intp))
        over = level[:, loud] - receiver.floor
        return np.concatenate([falls[0], over, current[:, metered], (falls[2] - falls[1]) / _WIDER], axis=-1)


class _Listening(NamedTuple):
    """What is offered where readings are listened to.

    Attributes:
        places: of the readings, each as often as it has `_steps`.
        source: [..., as many, 1].
    """

    places: npt.NDArray[np.intp]
    source: Source


def _steps(reading: Reading) -> tuple[float, ...]:
    """How far off its place on the dial a reading is listened to [F]: there, at its flanks, and at narrower and wider
    ones."""
    if reading.flanks is None:
        return (0.0,) if reading.has(Kind.LOUDNESS) or reading.has(Kind.CURRENT) else ()
    below, above = reading.flanks
    return 0.0, *(side * factor for factor in _WIDTHS for side in (-below, above))


def _falls(level: Array, peak: npt.NDArray[np.intp]) -> list[Array]:
    """How far a level falls at flanks as read, narrower and wider, both sides' mean [dB], [sets, flanked] each."""
    sides = (level[:, peak + 1 + 2 * width] + level[:, peak + 2 + 2 * width] for width in range(len(_WIDTHS)))
    return [level[:, peak] - 0.5 * both for both in sides]


def _together(listened: Sequence[_Listening], sets: int) -> Source:
    """Several sources as one, [sets, all of them, 1]."""
    sources = [each.source for each in listened]

    def joined(parts: Sequence[npt.NDArray[Any]], shapes: Sequence[int]) -> npt.NDArray[Any]:
        return np.concatenate(
            [np.broadcast_to(part, (sets, count, 1)) for part, count in zip(parts, shapes, strict=True)], axis=-2
        )

    counts = [each.places.size for each in listened]
    bands = [each.sidebands for each in sources if each.sidebands is not None]
    return Source(
        capacitance=np.empty(0),
        open_voltage=joined([each.open_voltage for each in sources], counts),
        impedance=joined([each.impedance for each in sources], counts),
        sidebands=Sidebands(*(joined(parts, counts) for parts in zip(*bands, strict=True))) if bands else None,
    )


def _joined(receiver: Receiver, joined: str, readings: Sequence[Reading]) -> Receiver:
    """The set with its aerial joined as for those readings."""
    if joined == OFF:
        return replace(receiver, aerial=AerialLead(receiver.aerial, (LeadCapacitor(_LAID_NEAR),)), link=Direct())
    if any(each.through is not None for each in readings):
        in_lead = np.array([[_NO_CAPACITOR if each.through is None else each.through] for each in readings])
        receiver = replace(receiver, aerial=AerialLead(receiver.aerial, (LeadCapacitor(in_lead),)))
    return receiver if joined == LINK else replace(receiver, link=Direct())


def _stacked[P](parts: Sequence[P]) -> P:
    """Like parts as one: each number in them that is not the same in all becomes an array with an axis in front."""
    first = parts[0]
    if not is_dataclass(first) or isinstance(first, type):
        return first
    new: dict[str, Any] = {}
    for field in fields(first):
        own = [getattr(part, field.name) for part in parts]
        if is_dataclass(own[0]):
            new[field.name] = _stacked(own)
        elif isinstance(own[0], float | np.ndarray | np.floating) and any(other is not own[0] for other in own):
            arrays = [np.asarray(value, dtype=np.float64) for value in own]
            if not all(np.array_equal(arrays[0], other) for other in arrays):
                new[field.name] = np.stack([array if array.ndim else array.reshape(1, 1) for array in arrays])
    return replace(first, **new) if new else first


def _rows_of[P](part: P, rows: npt.NDArray[np.intp], count: int) -> P:
    """A part with some of its readings' rows, once or more, wherever it has a row for each of `count`."""
    if isinstance(part, tuple):
        return tuple(_rows_of(each, rows, count) for each in part)  # type: ignore[return-value]
    if isinstance(part, np.ndarray):
        return part[..., rows, :] if part.ndim > 1 and part.shape[-2] == count else part  # type: ignore[return-value]
    if not is_dataclass(part) or isinstance(part, type):
        return part
    new: dict[str, Any] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if isinstance(value, np.ndarray | tuple) or is_dataclass(value):
            new[field.name] = _rows_of(value, rows, count)
    return replace(part, **new) if new else part
