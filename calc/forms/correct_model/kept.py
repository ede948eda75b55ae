"""What is kept of a set from answer to answer: readings, of which most of what is typed consists, leave it as it is."""

from collections.abc import Sequence

from calc.correction import Correction, Expanded, Model, Reading, Unknown, correct, expanded
from calc.forms.correct_model.bench_set import BenchSet
from calc.forms.recent import Recent

_SETS: Recent[Expanded] = Recent(8)
_ANSWERS: Recent[Correction] = Recent(8)


def corrected(set_: BenchSet, unknowns: Sequence[Unknown], model: Model, guided: bool, leave_out: bool) -> Correction:
    """What the model's readings make of the set; of what was asked before, the same to the last digit."""
    names = [each.name for each in unknowns]
    parts = (set_.entered.values, names, list(model.readings), model.skill, guided, leave_out)
    return _ANSWERS.of(parts, lambda: correct(model, unknowns, guided, leave_out, over_places(set_, unknowns, model)))


def over_places(set_: BenchSet, unknowns: Sequence[Unknown], model: Model) -> Expanded:
    """What the model's readings would be over places of the unknowns, whatever has been read and how surely."""
    asked: list[Reading] = [each.asked for each in model.readings]
    parts = (set_.entered.values, [each.name for each in unknowns], asked, model.skill.by_meter)
    return _SETS.of(parts, lambda: expanded(model, unknowns))


def forget() -> None:
    """Keeps nothing of what was."""
    _SETS.forget()
    _ANSWERS.forget()
