"""How far a long answer is: from nothing on, never back, and only while somebody listens."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import bridge, progress


def told(work) -> list[float]:
    shares: list[float] = []
    with progress.heard(shares.append):
        work()
    return shares


def test_each_step_is_told_before_it_is_taken():
    taken = []
    with progress.heard(taken.append):
        for item in progress.steps("abcd"):
            taken.append(item)
    assert taken == [0.0, "a", 0.25, "b", 0.5, "c", 0.75, "d"]


def test_steps_within_steps_divide_them():
    def work():
        for outer in progress.steps([2, 0, 4]):
            assert list(progress.steps(range(outer))) == list(range(outer))

    assert told(work) == pytest.approx([0, 0, 1 / 6, 1 / 3, 2 / 3, 2 / 3, 3 / 4, 5 / 6, 11 / 12])


@given(st.lists(st.integers(0, 4), max_size=5), st.integers(0, 3))
def test_it_never_goes_back_though_steps_are_broken_off(inner, at):
    def work():
        for count in progress.steps(inner):
            for item in progress.steps(range(count)):
                if item == at:
                    break
        progress.tell(1.0)

    shares = told(work)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert min(shares) >= 0.0


def test_rounds_without_an_end_draw_nearer_to_it():
    rounds = progress.Rounds(8)
    shares = told(lambda: [rounds.begin() for _ in range(50)])
    assert shares[0] == 0.0
    assert shares[8] == pytest.approx(0.8)
    assert shares == sorted(set(shares))
    assert shares[-1] < 1.0


def test_nobody_hears_what_is_told_outside():
    shares = told(lambda: progress.tell(0.5))
    progress.tell(0.7)
    assert list(progress.steps("ab")) == ["a", "b"]
    assert shares == [0.5]


LONG = [
    ("receiver", {"question": "best"}, 7),
    ("receiver", {"question": "changes"}, 10),
    ("receiver", {"question": "map"}, 4),
    ("receiver", {"question": "trade-off"}, 3),
]


@pytest.mark.parametrize(("form", "texts", "least"), LONG)
def test_long_answers_tell_how_far_they_are(form, texts, least):
    shares: list[float] = []
    answer = bridge.run_json(form, json.dumps(texts), shares.append)
    assert answer == bridge.run_json(form, json.dumps(texts))
    assert len(shares) >= least
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert 0.6 < shares[-1] < 1.0


def test_a_fit_tells_how_far_it_is_when_its_set_is_new():
    new, texts = [], '{"earth_resistance": "61.37"}'
    bridge.run_json("correct-model", texts, new.append)
    assert len(new) >= 3
    assert new[0] == 0.0 < 0.6 < new[-1] < 1.0
    again: list[float] = []
    bridge.run_json("correct-model", texts, again.append)
    assert again == []


def test_a_refused_answer_leaves_nobody_listening():
    shares: list[float] = []
    assert not json.loads(bridge.run_json("receiver", '{"question": "map", "link": "direct"}', shares.append))["ok"]
    progress.tell(0.5)
    assert shares == []
