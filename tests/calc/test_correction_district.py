"""A district as many sets would have it heard: the same as each set by itself."""

from functools import partial
from typing import Any

import numpy as np
import pytest

from calc.correction import heard_by, values_at
from calc.forms import FORMS
from calc.forms.correct_model.hearing import Heard, heard, heard_at
from calc.forms.correct_model.kept import KeptSet
from calc.forms.fields import arguments
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.outcome import outcome_of
from calc.settings.tuned import District

NAMES = ("strays", "aerial", "quality", "coupling", "inductance")


def stations(*kilohertz: int) -> dict[str, str]:
    return {"stations": "\n".join(f"Station {each}; {each} kHz; 1 kW; 20 km;" for each in kilohertz)}


CASES = {
    "few stations": (stations(612, 666, 747), True, True),
    "more stations": (stations(540, 612, 666, 747, 810), False, True),
    "one off the dial": (stations(612, 666, 1700), True, False),
    "one that no capacitor reaches": (stations(612, 666, 2400), True, False),
    "joined straight on": (stations(612, 666, 1100) | {"link": "direct"}, True, False),
}
"""What is typed; whether it is expanded over places; whether the dial reaches every station."""


def set_of(**texts: str) -> KeptSet:
    values, errors = arguments(FORMS["receiver"].fields, FORMS["receiver"].defaults() | texts)
    assert not errors
    return KeptSet(ChosenSet(values))


def numbers(found: Heard) -> list[Any]:
    return [value for column in found for value in column]


@pytest.mark.parametrize("link", ["direct", "capacitor", "tap", "winding"])
def test_many_sets_at_once_hear_what_each_hears(link: str) -> None:
    set_ = set_of(link=link)
    names = [name for name in NAMES if set_.unknown(name) is not None]
    entered = [unknown.entered for name in names if (unknown := set_.unknown(name)) is not None]
    factors = 1.0 + 0.1 * np.sin(np.arange(5.0 * len(names)).reshape(5, -1))
    sets = (factors * np.array(entered)).tolist()
    found = heard_by(partial(set_.built, names), sets, District.of(set_.entered.stations))
    for values, own, level in zip(sets, found.own_capacitance, found.level, strict=True):
        alone = outcome_of(set_.chosen(names, values), link).heard
        assert alone.reachable.any()
        assert own[alone.reachable] == pytest.approx(alone.own_capacitance[alone.reachable], rel=1e-12)
        assert level[alone.reachable] == pytest.approx(alone.levels[alone.reachable], rel=1e-10)


def test_a_set_that_cannot_be_hears_nothing() -> None:
    set_ = set_of()
    found = heard_by(partial(set_.built, ["quality"]), [[100.0], [-1.0]], District.of(set_.entered.stations))
    assert np.isfinite(found.level[0]).all()
    assert np.isnan(found.level[1]).all()
    assert np.isnan(found.own_capacitance[1]).all()


@pytest.mark.parametrize(("texts", "expanded", "reached"), CASES.values(), ids=CASES)
def test_what_is_found_is_heard_as_if_it_were_asked_by_itself(
    texts: dict[str, str], expanded: bool, reached: bool
) -> None:
    """Near places that were asked for before, too; and one at which there is no set, its strays being below nothing."""
    set_ = set_of(**texts)
    unknowns = [unknown for name in NAMES if (unknown := set_.unknown(name)) is not None]
    start, away = np.array([[0.1, -0.2, 0.15, 0.1, 0.02], [-3.0, 0.0, 0.0, 0.0, 0.0]])[:, : len(unknowns)]
    assert (set_.heard_over_places(unknowns, start) is not None) is expanded
    for places in (start, start + 3e-5, start - 2e-5, start + 0.01, start + away):
        found = set_.chosen([each.name for each in unknowns], values_at(unknowns, places), possible=True)
        quick, alone = numbers(heard_at(set_, unknowns, places, found)), numbers(heard(found))
        assert [value is None for value in quick] == [value is None for value in alone]
        assert (None not in alone) is reached
        assert [value for value in quick if value is not None] == pytest.approx(
            [value for value in alone if value is not None], rel=1e-8, abs=1e-7
        )
