"""What would be read from the set, kept from answer to answer: readings, of which most of what is typed consists, leave
it as it is."""

import pickle
from collections.abc import Sequence
from functools import lru_cache

from calc.correction import Expanded, Reading, Skill, Unknown, expanded
from calc.forms.correct_model.bench_set import BenchSet
from calc.forms.receiver.build import ChosenSet


def kept(set_: BenchSet, unknowns: Sequence[Unknown], readings: Sequence[Reading], skill: Skill) -> Expanded:
    """What would be read from the set over its unknowns, whatever has been read and how surely."""
    names, asked = [each.name for each in unknowns], [each.asked for each in readings]
    return _kept(pickle.dumps((set_.entered.values, names, asked, Skill(by_meter=skill.by_meter))))


@lru_cache(maxsize=8)
def _kept(parts: bytes) -> Expanded:
    """The same of the set's values, names of unknowns, readings and skill, pickled so that they can be compared."""
    values, names, readings, skill = pickle.loads(parts)
    set_ = BenchSet(ChosenSet(values))
    unknowns = [each for each in map(set_.unknown, names) if each is not None]
    return expanded(set_.model(names, readings, skill), unknowns)
