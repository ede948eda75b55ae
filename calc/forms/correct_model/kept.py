"""What is kept from answer to answer: readings, of which most of what is typed consists, leave the set as it is."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np

from calc.correction import Correction, Expanded, HeardBy, Model, Unknown, correct, expanded, heard_by, values_at
from calc.forms.correct_model.bench_set import BenchSet
from calc.forms.receiver.build import ChosenSet
from calc.forms.recent import Recent
from calc.settings.tuned import District
from calc.units import Array

_FEW = 4
"""Stations of a district that is expanded: of more it would take longer than it saves."""
_DOUBT = 1e-10
"""In what is heard, of what a place moved by one unit would change."""


@dataclass(frozen=True)
class KeptSet(BenchSet):
    """A set, and what was made of its readings."""

    _expansions: Recent[Expanded] = field(default_factory=lambda: Recent(8), init=False, compare=False)
    _hearings: Recent[Expanded] = field(default_factory=lambda: Recent(8), init=False, compare=False)
    _corrections: Recent[Correction] = field(default_factory=lambda: Recent(8), init=False, compare=False)

    def corrected(self, unknowns: Sequence[Unknown], model: Model, guided: bool, leave_out: bool) -> Correction:
        """What the model's readings make of the set; of what was asked before, the same to the last digit."""
        parts = ([each.name for each in unknowns], list(model.readings), model.skill, guided, leave_out)
        known = self.over_places(unknowns, model)
        return self._corrections.of(parts, lambda: correct(model, unknowns, guided, leave_out, known))

    def over_places(self, unknowns: Sequence[Unknown], model: Model) -> Expanded:
        """What the model's readings would be over places of the unknowns, whatever has been read and how surely."""
        parts = ([each.name for each in unknowns], [each.asked for each in model.readings], model.skill.by_meter)
        return self._expansions.of(parts, lambda: expanded(model, unknowns))

    def heard_over_places(self, unknowns: Sequence[Unknown], places: Array) -> HeardBy | None:
        """What would be heard of the district at those places of the unknowns; None where it had better be asked by
        itself: there can be no such set, or too many stations for all that an expansion needs."""
        names, district = [each.name for each in unknowns], District.of(self.entered.stations)
        count = district.frequency.size
        if count > _FEW or min(values_at(unknowns, places)) < 0.0:
            return None

        def heard(at: Array) -> Array:
            found = heard_by(partial(self.built, names), [values_at(unknowns, each) for each in at], district)
            return np.concatenate([found.own_capacitance, found.level.reshape(len(at), -1)], axis=1)

        known = self._hearings.of(names, lambda: Expanded(heard))
        figures = known.about(places, _DOUBT).value_at(places)
        if not np.isfinite(figures).all():
            return None
        return HeardBy(figures[:count], figures[count:].reshape(count, count))


_SETS: Recent[KeptSet] = Recent(8)


def kept_set(values: dict[str, Any]) -> KeptSet:
    """The set whose fields of the whole-set form hold those values."""
    return _SETS.of(values, lambda: KeptSet(ChosenSet(values)))


def forget() -> None:
    """Keeps nothing of what was."""
    _SETS.forget()
