"""What would be read from sets, many of them at once: the project's own chain from the aerial to the ear."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.correction.readings import LINK, OFF, Kind, Reading, Skill
from calc.coupling import AerialLead, Direct, LeadCapacitor, Tuning, tuned_capacitance
from calc.detection import FEW_CYCLE_POINTS
from calc.sets import Receiver, hear
from calc.settings.tuned import District, offered
from calc.units import Array, InputError

_NO_CAPACITOR = 1.0
"""Stands for a lead without a capacitor in it: a farad, which no carrier notices [F]."""
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

    @property
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
        order = {figure: place for place, figure in enumerate(self.kinds)}
        found = np.full((len(sets), len(order)), np.nan)
        possible, built = self._built(sets, np.array([each.frequency for each in self.readings]))
        if built is None:
            return found
        for joined in dict.fromkeys(each.joined for each in self.readings):
            rows = [place for place, each in enumerate(self.readings) if each.joined == joined]
            for kind, figures in self._of(built, joined, rows).items():
                columns = [order[kind, place] for place in rows if self.readings[place].has(kind)]
                found[np.ix_(possible, columns)] = figures
        return found

    def _built(self, sets: Sequence[Sequence[float]], frequency: Array) -> tuple[list[int], Built | None]:
        """The sets that can be, by their places, and all as one with an axis in front; None if none can."""
        places, made = [], []
        for place, unknowns in enumerate(sets):
            try:
                made.append(self.build(unknowns, frequency))
            except InputError:
                continue
            places.append(place)
        if not made:
            return places, None
        strays = np.array([each.strays for each in made])[:, None]
        return places, Built(_stacked([each.receiver for each in made]), strays)  # type: ignore[arg-type]

    def _of(self, built: Built, joined: str, rows: Sequence[int]) -> dict[Kind, Array]:
        """All figures of readings whose aerials are joined in the same way, [sets, those that have one]."""
        chosen = [self.readings[place] for place in rows]
        own = _rows_of(built.receiver, np.array(rows), len(self.readings))
        receiver, strays = _joined(own, joined, chosen), built.strays
        frequency = np.array([[each.frequency] for each in chosen])
        link, _ = receiver.link.tuned(frequency, receiver.aerial)
        total = np.asarray(
            tuned_capacitance(frequency, receiver.aerial, link, receiver.tank, detector_tap=receiver.detector_tap)
        )
        figures = {Kind.DIAL: total[..., 0] - strays}
        heard = [each.has(Kind.WIDTH) or each.has(Kind.LOUDNESS) or each.has(Kind.CURRENT) for each in chosen]
        if not any(heard):
            return figures
        # the peak, then either flank; where there is no flank, the peak thrice
        below = np.array([[each.flanks[0] if each.flanks else 0.0] for each in chosen])
        above = np.array([[each.flanks[1] if each.flanks else 0.0] for each in chosen])
        turned = total + np.stack([np.zeros_like(below), -below, above])[:, None]
        # a flank further out than no capacitance at all is not worked out beyond that
        turned = np.maximum(turned, 0.05 * np.abs(total))
        count = len(chosen)
        rows_heard = np.flatnonzero(heard)
        tank = replace(_rows_of(receiver.tank, rows_heard, count), capacitance=turned[..., heard, :])
        tuning = Tuning(_rows_of(link, rows_heard, count), tank, True)
        receiver = _rows_of(receiver, rows_heard, count)
        field = np.array([[each.field_strength] for each in chosen])[heard]
        district = District(frequency[heard], field, np.asarray(self.modulation))
        hearing = hear(receiver, offered(receiver, district, tuning).source, self.modulation, FEW_CYCLE_POINTS)
        with np.errstate(divide="ignore", invalid="ignore"):
            current = 20.0 * np.log10(np.asarray(hearing.dc_current)[..., 0])
        level = np.asarray(hearing.sound_level)[..., 0]
        judged = current if self.skill.by_meter else level
        listened = [each for each, is_heard in zip(chosen, heard, strict=True) if is_heard]
        for kind, figure in (
            (Kind.WIDTH, judged[0] - 0.5 * (judged[1] + judged[2])),
            (Kind.LOUDNESS, level[0] - receiver.floor),
            (Kind.CURRENT, current[0]),
        ):
            figures[kind] = figure[:, [each.has(kind) for each in listened]]
        return figures


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
    """A part with only some of its readings' rows, wherever it has a row for each of `count`."""
    if isinstance(part, tuple):
        return tuple(_rows_of(each, rows, count) for each in part)  # type: ignore[return-value]
    if not is_dataclass(part) or isinstance(part, type):
        return part
    new: dict[str, Any] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if isinstance(value, np.ndarray) and value.ndim > 1 and value.shape[-2] == count:
            new[field.name] = value[..., rows, :]
        elif is_dataclass(value) or isinstance(value, tuple):
            new[field.name] = _rows_of(value, rows, count)
    return replace(part, **new) if new else part
