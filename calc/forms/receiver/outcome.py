"""The district as heard with each link, the set tuned to every station in turn."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from calc.coupling import tune
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import ONE_CIRCUIT
from calc.forms.receiver.fields.link import LINK_FIELDS
from calc.forms.receiver.fields.question import QUESTION_FIELD, QUESTION_FIELDS
from calc.forms.receiver.fields.sheets import SHEET_FIELDS
from calc.forms.receiver.verdicts import is_clear, told, verdicts
from calc.receiver import Receiver, hear, source
from calc.units import Array

_REMEMBERED = 12
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

    def get(self, key: tuple[Any, ...], make: Callable[[], Heard]) -> Heard:
        if key not in self._known:
            self._known[key] = make()
            if len(self._known) > _REMEMBERED:
                self._known.popitem(last=False)
        self._known.move_to_end(key)
        return self._known[key]


_known = _Remembered()


def outcome_of(chosen: ChosenSet, kind: str) -> Outcome:
    """The outcome with a link."""
    return Outcome(chosen, kind, _known.get(_key(chosen, kind), lambda: _hear(chosen, kind)))


def ladder_of(chosen: ChosenSet) -> dict[str, Outcome]:
    """The outcome with each link of one circuit, and with the chosen one."""
    kinds = dict.fromkeys((*ONE_CIRCUIT, str(chosen.values["link"])))
    return {kind: outcome_of(chosen, kind) for kind in kinds}


def _key(chosen: ChosenSet, kind: str) -> tuple[Any, ...]:
    """All that bears on what is heard with a link. Of the capacitor's law that is its range."""
    used = (
        value
        for name, value in chosen.values.items()
        if name not in _ASIDE and (name not in _OF_LINKS or kind in _OF_LINKS[name])
    )
    rows = tuple(tuple(row.values()) for row in chosen.values["stations"])
    return (kind, rows, chosen.capacitor, *used)


def _hear(chosen: ChosenSet, kind: str) -> Heard:
    """The set with a link, tuned to every station that its dial reaches."""
    frequencies = chosen.frequencies
    set_ = chosen.receiver(kind)
    tuned = tune(frequencies[:, None], set_.aerial, set_.link, set_.tank, detector_tap=set_.detector_tap)
    total = np.asarray(tuned.tank.capacitance)[:, 0]
    own = np.where(np.broadcast_to(np.asarray(tuned.reached).T, (1, total.size))[0], total - chosen.strays, -np.inf)
    least, most = chosen.capacitor
    reachable = (own >= least) & (own <= most)
    count = len(chosen.stations)
    levels = np.full((count, count), -np.inf)
    loads, outputs, standing = np.full((3, count), np.nan)
    if reachable.any():
        rows = np.flatnonzero(reachable)
        tuned_set = chosen.receiver(kind, frequencies[rows])
        fields = np.array([station.field_strength for station in chosen.stations])
        depth = np.array([station.modulation for station in chosen.stations])
        heard = hear(tuned_set, source(tuned_set, frequencies, fields, frequencies[rows]), depth)
        levels[rows] = told(heard.sound_level)
        own_place = (np.arange(rows.size), rows)
        loads[rows] = heard.input_resistance[own_place]
        outputs[rows] = heard.output_resistance[own_place]
        standing[rows] = heard.dc_current[own_place]
    return Heard(set_, own, reachable, levels, loads, outputs, standing)
