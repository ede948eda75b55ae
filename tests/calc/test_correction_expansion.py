"""A dear function worked out at few places: against the function itself, and whatever was asked of it before.

Expected values are those of the functions in closed form.
"""

import json
import math

import numpy as np
import pytest

from calc import bridge
from calc.correction.expansion import Expanded
from calc.units import InputError


def bent(places):
    """Two figures of three unknowns, bent on a scale of one."""
    x, y, z = np.moveaxis(np.asarray(places), -1, 0)
    return np.stack([np.exp(0.5 * x - y) + np.log(3.0 + z), np.sin(x) * np.cos(z) + y], axis=-1)


class Counted:
    """The function, and how often it was asked."""

    def __init__(self, function=bent):
        self.function, self.asked = function, 0

    def __call__(self, places):
        self.asked += 1
        return self.function(places)


AT = np.array([0.3, -0.2, 0.5])


def test_rates_and_bends_are_those_of_the_function():
    x, y, z = AT
    found = Expanded(bent).about(AT)
    first, slope = math.exp(0.5 * x - y), 1.0 / (3.0 + z)
    assert found.value == pytest.approx(bent(AT), rel=1e-15)
    assert found.rates == pytest.approx(
        np.array([[0.5 * first, -first, slope], [math.cos(x) * math.cos(z), 1.0, -math.sin(x) * math.sin(z)]]),
        rel=1e-9,
    )
    bends = [[0.25 * first, -0.5 * first, 0.0], [-0.5 * first, first, 0.0], [0.0, 0.0, -(slope**2)]]
    assert found.bends[0] == pytest.approx(np.array(bends), abs=2e-5)
    assert found.bends[1][0][2] == pytest.approx(-math.cos(x) * math.sin(z), abs=2e-5)


@pytest.mark.parametrize("doubt", [1e-4, 1e-7, 1e-10])
def test_a_place_is_asked_for_once_and_its_surroundings_hold_as_doubted(doubt):
    counted = Counted()
    known, random = Expanded(counted), np.random.default_rng(2)
    near = known.about(AT)
    steep = np.abs(near.rates).max(axis=1)
    assert known.about(AT, doubt) is near
    used = [near]
    for size in np.geomspace(1e-5, 0.1, 60):
        at = AT + size * random.standard_normal(3)
        local = known.about(at, doubt)
        used.append(local)
        assert np.abs(local.value_at(at) - bent(at)).max() <= doubt * steep.max()
    assert sum(each is near for each in used) > 10
    assert 1 < counted.asked == len({id(each) for each in used}) < 50


def test_what_was_asked_before_changes_nothing_beyond_the_doubt():
    places = AT + 3e-4 * np.random.default_rng(3).standard_normal((20, 3))
    once, back = Expanded(bent), Expanded(bent)
    there = [once.about(at, 1e-10).value_at(at) for at in places]
    again = [back.about(at, 1e-10).value_at(at) for at in places[::-1]]
    assert np.array(there) == pytest.approx(np.array(again[::-1]), rel=3e-10)


def test_it_is_asked_no_more_often_than_a_search_may():
    told = []
    known = Expanded(bent)
    known.begin(2, lambda: told.append(1))
    known.about(AT)
    known.about(AT + 1.0)
    known.about(AT)
    with pytest.raises(InputError, match="must agree better"):
        known.about(AT + 2.0)
    assert len(told) == 2
    known.begin()
    known.about(AT + 2.0)


def test_where_there_is_no_value_nearby_the_place_itself_still_has_one():
    known = Expanded(lambda places: np.where(places > 0.0, np.nan, places))
    edge = known.about(np.zeros(1))
    assert edge.value_at(np.zeros(1)) == 0.0
    assert known.about(np.zeros(1), 1e-3) is edge
    assert known.about(np.full(1, -1e-9), 1.0) is not edge


def test_one_unknown_has_no_pairs():
    found = Expanded(lambda places: np.concatenate([places**2, places**3], axis=1)).about(np.array([2.0]))
    assert found.rates.ravel() == pytest.approx([4.0, 12.0], rel=1e-10)
    assert found.bends.ravel() == pytest.approx([2.0, 12.0], rel=1e-7)


ASKED = [
    {"dial_reading": "0.3"},
    {"dial_reading": "0.31"},
    {"dial_reading": "0.6", "width_reading": "8 %"},
    {"fall": "9 dB"},
    {"find_aerial": "keep", "find_quality": "keep", "find_coupling": "keep"},
]


def numbers(part):
    """All numbers of an answer, in its order."""
    if isinstance(part, dict):
        return [found for each in part.values() for found in numbers(each)]
    if isinstance(part, list):
        return [found for each in part for found in numbers(each)]
    return [part] if isinstance(part, float) else []


def test_a_set_s_answer_is_the_same_whatever_was_asked_before():
    def asked(texts):
        return json.loads(bridge.run_json("correct-model", json.dumps(texts)))

    bridge.forget()
    one_way = [asked(texts) for texts in ASKED]
    other_way = [asked(texts) for texts in ASKED[::-1]][::-1]
    for texts, first, second in zip(ASKED, one_way, other_way, strict=True):
        bridge.forget()
        fresh = asked(texts)
        assert first["ok"]
        for other in (second, fresh):
            assert other["sentence"] == first["sentence"]
            assert numbers(other) == pytest.approx(numbers(first), rel=1e-7, abs=1e-9)
