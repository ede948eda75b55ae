"""The district as heard with each link, the set tuned to every station in turn."""

from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc import detection
from calc.detectors.envelope import Sidebands
from calc.detectors.loaded import Settled
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import ONE_CIRCUIT
from calc.forms.receiver.fields.link import LINK_FIELDS
from calc.forms.receiver.fields.question import QUESTION_FIELD, QUESTION_FIELDS
from calc.forms.receiver.fields.sheets import SHEET_FIELDS
from calc.forms.receiver.verdicts import is_clear, told, verdicts
from calc.forms.recent import Recent
from calc.receiver import Receiver, Source
from calc.sets import at_rest, hear_at_rest
from calc.settings.tuned import District, offer
from calc.units import Array

_REMEMBERED = 12
_RESTS: Recent[Settled] = Recent(4)
"""Where the detector last came to rest: strays, by-pass and room leave it there."""
_ASIDE = {field.name for field in (QUESTION_FIELD, *QUESTION_FIELDS, *SHEET_FIELDS)} | {
    "tuned_to", "law", "law_table", "link", "stations",
}  # fmt: skip
"""Fields that do not bear on what is heard, or not by themselves."""
_OF_LINKS = {field.name: field.shown_when.values for field in LINK_FIELDS if field.shown_when is not None}
"""For each field of a single link, the links that it belongs to."""


@dataclass(frozen=True)
class Heard:
    """The district with one link, the set tuned to each station in turn.

    Attributes:
        receiver: the set, the coil's loss taken at each tuning.
        own_capacitance: what the variable capacitor itself must have for each station [F], [stations].
        reachable: whether the dial reaches each station, [stations].
        levels: of each station (column) with the set tuned to each (row) [dB SPL]; minus infinity off the dial.
        loads: input resistance of the detector on each station when tuned to it [ohm]; NaN off the dial.
        outputs: resistance of its output to slow audio, likewise [ohm].
        standing: current through it from the bare carrier, likewise [A].
    """

    receiver: Receiver
    own_capacitance: Array
    reachable: npt.NDArray[np.bool_]
    levels: Array
    loads: Array
    outputs: Array
    standing: Array


@dataclass(frozen=True)
class Outcome:
    """The district as heard with one link.

    Attributes:
        chosen, kind: the set as chosen, and its link.
        heard: what comes of it.
    """

    chosen: ChosenSet
    kind: str
    heard: Heard

    @property
    def receiver(self) -> Receiver:
        """The set, the coil's loss taken at each tuning."""
        return self.heard.receiver

    @property
    def reachable(self) -> npt.NDArray[np.bool_]:
        """Whether the dial reaches each station, [stations]."""
        return self.heard.reachable

    @cached_property
    def judged(self) -> tuple[list[str], Array, Array]:
        """Verdict, margin [dB] and separation [dB] of each station."""
        return verdicts(self.chosen.names, self.heard.levels, self.reachable, self.receiver.floor)

    @cached_property
    def clear(self) -> list[int]:
        """Which stations can be followed, faint ones among them."""
        return [index for index, word in enumerate(self.judged[0]) if is_clear(word)]

    @cached_property
    def least_margin(self) -> float | None:
        """Of the faintest station on the dial, over the floor [dB]."""
        return float(self.judged[1][self.reachable].min()) if self.reachable.any() else None

    @cached_property
    def least_separation(self) -> float | None:
        """The poorest separation of a station on the dial [dB]; None where there is no other."""
        poorest = self.judged[2][self.reachable].min() if self.reachable.any() else np.inf
        return float(poorest) if np.isfinite(poorest) else None


class _Remembered:
    """The last few outcomes: an edit of one link leaves the others as they were."""

    def __init__(self) -> None:
        self._known: OrderedDict[tuple[Any, ...], Heard] = OrderedDict()

    def all(self, chosen: ChosenSet, kinds: Iterable[str]) -> dict[str, Heard]:
        """What is heard with each link, those not known yet worked out together."""
        keys = {kind: _key(chosen, kind) for kind in kinds}
        new = _hear(chosen, [kind for kind, key in keys.items() if key not in self._known])
        found = {kind: new[kind] if kind in new else self._known[key] for kind, key in keys.items()}
        for kind, key in keys.items():
            self._known[key] = found[kind]
            self._known.move_to_end(key)
        while len(self._known) > _REMEMBERED:
            self._known.popitem(last=False)
        return found


_known = _Remembered()


def outcome_of(chosen: ChosenSet, kind: str) -> Outcome:
    """The outcome with a link."""
    return Outcome(chosen, kind, _known.all(chosen, (kind,))[kind])


def ladder_of(chosen: ChosenSet) -> dict[str, Outcome]:
    """The outcome with each link of one circuit, and with the chosen one."""
    kinds = dict.fromkeys((*ONE_CIRCUIT, str(chosen.values["link"])))
    return {kind: Outcome(chosen, kind, heard) for kind, heard in _known.all(chosen, kinds).items()}


def _key(chosen: ChosenSet, kind: str) -> tuple[Any, ...]:
    """All that bears on what is heard with a link. Of the capacitor's law that is its range."""
    used = (
        value
        for name, value in chosen.values.items()
        if name not in _ASIDE and (name not in _OF_LINKS or kind in _OF_LINKS[name])
    )
    rows = tuple(tuple(row.values()) for row in chosen.values["stations"])
    return (kind, rows, chosen.capacitor, *used)


class _Tuned(NamedTuple):
    """A set with a link: what the variable capacitor itself must have for each station [F], which stations its dial
    reaches, their places, and what the tank offers with the set tuned to each of these."""

    receiver: Receiver
    own: Array
    reachable: npt.NDArray[np.bool_]
    rows: npt.NDArray[np.intp]
    source: Source


def _hear(chosen: ChosenSet, kinds: Sequence[str]) -> dict[str, Heard]:
    """The set with each link, tuned to every station that its dial reaches. The links end at one detector with one
    load, which takes the sources of all together."""
    district = District.of(chosen.stations)
    tuned = [_tuned(chosen, district, kind) for kind in kinds]
    heard = _apart([each.source for each in tuned], tuned[0].receiver, district.modulation) if tuned else []
    return {kind: _placed(each, part) for kind, each, part in zip(kinds, tuned, heard, strict=True)}


def _tuned(chosen: ChosenSet, district: District, kind: str) -> _Tuned:
    receiver = chosen.receiver(kind)
    found = offer(receiver, district, chosen.frequencies)
    own = np.where(found.reached, found.source.capacitance - chosen.strays, -np.inf)
    least, most = chosen.capacitor
    reachable = (own >= least) & (own <= most)
    rows = np.flatnonzero(reachable)
    return _Tuned(receiver, own, reachable, rows, _only(found.source, rows))


def _only(source: Source, rows: npt.NDArray[np.intp]) -> Source:
    """Some of its tunings."""
    bands = source.sidebands and Sidebands(*(part[rows] for part in source.sidebands))
    return Source(source.capacitance[rows], source.open_voltage[rows], source.impedance[rows], bands)


def _joined(sources: Sequence[Source]) -> Source:
    """Sources of several sets, tuning under tuning."""
    bands = [source.sidebands for source in sources if source.sidebands is not None]
    return Source(
        np.concatenate([source.capacitance for source in sources]),
        np.concatenate([source.open_voltage for source in sources]),
        np.concatenate([source.impedance for source in sources]),
        Sidebands(*(np.concatenate(parts) for parts in zip(*bands, strict=True))) if bands else None,
    )


def _apart(sources: Sequence[Source], receiver: Receiver, modulation: Array) -> list[detection.Heard]:
    """What is heard of each of several sources, through one detector at once."""
    source = _joined(sources)
    line = detection.load_line(receiver.earphone, receiver.load)
    parts = (receiver.diode, line, source.open_voltage, source.impedance, modulation)
    heard = hear_at_rest(receiver, source, _RESTS.of(parts, lambda: at_rest(receiver, source, modulation)))
    ends = list(accumulate((source.capacitance.size for source in sources), initial=0))
    return [detection.Heard(*(part[first:end] for part in heard)) for first, end in pairwise(ends)]


def _placed(tuned: _Tuned, found: detection.Heard) -> Heard:
    """In the places of the stations."""
    count, rows = tuned.own.size, tuned.rows
    levels = np.full((count, count), -np.inf)
    loads, outputs, standing = np.full((3, count), np.nan)
    own_place = (np.arange(rows.size), rows)
    levels[rows] = told(found.sound_level)
    loads[rows] = found.input_resistance[own_place]
    outputs[rows] = found.output_resistance[own_place]
    standing[rows] = found.dc_current[own_place]
    return Heard(tuned.receiver, tuned.own, tuned.reachable, levels, loads, outputs, standing)
