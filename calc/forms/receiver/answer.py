"""What the whole-set form answers: each question by its own module."""

from collections.abc import Callable, Mapping

from calc.forms.receiver import best, changes, dial, listen, settings_map, stations, tolerance, trade_off
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.fields.question import BEST, CHANGES, DIAL, LISTEN, MAP, STATIONS, TOLERANCE, TRADE_OFF
from calc.forms.results import Result

_ANSWERS: Mapping[str, Callable[[ChosenSet], Result]] = {
    STATIONS: stations.answer,
    DIAL: dial.answer,
    LISTEN: listen.answer,
    TRADE_OFF: trade_off.answer,
    BEST: best.answer,
    CHANGES: changes.answer,
    TOLERANCE: tolerance.answer,
    MAP: settings_map.answer,
}


def solve(**values: object) -> Result:
    """The answer to the question that was chosen, for what was typed."""
    return _ANSWERS[str(values["question"])](ChosenSet(values))
