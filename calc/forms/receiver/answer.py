"""What the whole-set form answers: each question by its own module."""

from collections.abc import Callable, Mapping

from calc.forms.receiver import stations
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.fields.question import STATIONS
from calc.forms.results import Result

_ANSWERS: Mapping[str, Callable[[ChosenSet], Result]] = {
    STATIONS: stations.answer,
}


def solve(**values: object) -> Result:
    """The answer to the question that was chosen, for what was typed."""
    return _ANSWERS[str(values["question"])](ChosenSet(values))
