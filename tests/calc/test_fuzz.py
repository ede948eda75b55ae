"""Twenty thousand inputs, most of them hostile, over all forms: each gives an answer, or an error that names a field.

Nothing in an answer is not a number or not finite, whether number or text; nothing is raised; nothing takes long.
`--hypothesis-profile=search` looks at other inputs.
"""

import json
import math
import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st

from calc import bridge
from calc.forms import FORMS
from calc.forms.form import Form
from tests.hostile import hostile_input, hostile_json, hostile_table, hostile_word, seeded
from tests.strategies import Texts

SHARES = {
    "band-plan": 3000, "coil": 2000, "coil-pair": 2000, "coil-compare": 1000, "wire": 2600, "aerial": 800,
    "earth": 2000, "field": 1300, "aerial-loading": 500, "measure-coil": 500, "measure-capacitor": 500,
    "measure-aerial": 400, "measure-q": 500, "measure-coupling": 500, "measure-law": 360, "measure-diode": 400,
    "measure-earphone": 400, "measure-earth": 400, "correct-model": 40,
}  # fmt: skip
QUESTIONS = {
    "stations": 200, "dial": 160, "listen": 120, "trade-off": 100,
    "best": 30, "changes": 60, "tolerance": 60, "map": 70,
}  # fmt: skip
"""Inputs of each form, and of each question of the whole set: the fewer, the longer an answer takes."""
SECONDS = 1.0
SECONDS_OF_SEARCHES = 60.0
"""Of the processor, for one answer; and for those that go through hundreds of settings or sets of up to 24 stations:
the slowest that was found, with 23 wanted and a diode that loses much in its bulk, took a fifth of it."""
SEARCHES = {"best", "changes", "tolerance", "map", "trade-off", "correct-model"}
CONTRADICTING = "correct-model"
"""A form that refuses readings which contradict each other, as nearly all made by chance do."""
LONGEST_ERROR = 400
NOT_FINITE = re.compile(r"(?<![A-Za-z])(?:nan|inf|infinity)(?![A-Za-z])|Traceback|np\.float|array\(", re.IGNORECASE)
CASES = [(form, "", count) for form, count in SHARES.items()]
CASES += [("receiver", question, count) for question, count in QUESTIONS.items()]


def fuzz(count: int) -> settings:
    """So many inputs, none of them made smaller when it fails: its seed is enough."""
    return settings(max_examples=count, phases=(Phase.explicit, Phase.generate))


def parts(answer: Any) -> Iterator[Any]:
    """Every number and text of an answer, the names of its parts left out."""
    if isinstance(answer, dict):
        for part in answer.values():
            yield from parts(part)
    elif isinstance(answer, list):
        for part in answer:
            yield from parts(part)
    else:
        yield answer


def refuse_constant(name: str) -> None:
    raise AssertionError(f"{name} in the JSON")


def check(form: Form, texts: Texts, answer: dict[str, Any]) -> None:
    """What holds of the answer to any texts."""
    if not answer["ok"]:
        assert answer["errors"]
        names = {field.name for field in form.fields} | texts.keys()
        for name, message in answer["errors"].items():
            assert name in names, f"{message} is said of no field"
            assert message.strip()
            assert len(message) < LONGEST_ERROR
            assert not NOT_FINITE.search(re.sub("“[^”]*”", "", message)), message
        return
    assert answer["sentence"]
    # a station may be called anything, and is then called so
    typed = [cell for cell in re.split(r"[\t;,|\n\r\v\u2028]", "\n".join(texts.values())) if NOT_FINITE.search(cell)]
    for part in parts(answer):
        if isinstance(part, float):
            assert math.isfinite(part)
        elif isinstance(part, str) and not typed:
            assert not NOT_FINITE.search(part), part


def timed(form: Form, texts: str, limit: float) -> tuple[str, float]:
    """The answer, and the time that it took on the processor [s]: the least of three, should the first be too long."""
    times: list[float] = []
    while not times or (times[-1] > limit and len(times) < 3):
        begun = time.process_time()
        found = bridge.run_json(form.id, texts)
        times.append(time.process_time() - begun)
    return found, min(times)


@pytest.mark.parametrize(("form_id", "question", "count"), CASES, ids=[f"{form} {q}".strip() for form, q, _ in CASES])
def test_any_texts_are_answered_or_refused_by_field(form_id: str, question: str, count: int) -> None:
    form = FORMS[form_id]
    limit = SECONDS_OF_SEARCHES if (question or form_id) in SEARCHES else SECONDS
    worst = (0.0, -1)
    good = 0

    @fuzz(count)
    @given(st.integers(0, 2**48))
    def one(seed: int) -> None:
        nonlocal worst, good
        texts = hostile_input(form, seeded(seed)) | ({"question": question} if question else {})
        found, seconds = timed(form, json.dumps(texts), limit)
        answer = json.loads(found, parse_constant=refuse_constant)
        check(form, texts, answer)
        good += answer["ok"]
        worst = max(worst, (seconds, seed))

    one()
    print(f"{form_id} {question}: {good} of {count} answered; the longest took {worst[0]:.2f} s, seed {worst[1]}")
    assert good > (0 if form_id == CONTRADICTING else count // 10)
    assert worst[0] < limit, f"seed {worst[1]} took {worst[0]:.1f} s"


def test_as_many_inputs_as_were_meant() -> None:
    assert sum(count for _, _, count in CASES) == 20_000
    assert {form for form, _, _ in CASES} == FORMS.keys()
    assert QUESTIONS.keys() == {choice.value for choice in FORMS["receiver"].field("question").choices}


@pytest.mark.parametrize("form_id", FORMS)
@fuzz(100)
@given(st.integers(0, 2**48))
def test_json_that_is_no_set_of_texts_is_refused(form_id: str, seed: int) -> None:
    form = FORMS[form_id]
    text = hostile_json(form, seeded(seed))
    for found in (bridge.run_json(form.id, text), bridge.cells_json("receiver", "stations", text)):
        answer = json.loads(found, parse_constant=refuse_constant)
        if not answer["ok"]:
            assert answer["errors"]
            assert all(answer["errors"].values())


TABLES = [(form.id, field.name) for form in FORMS.values() for field in form.fields if field.columns]


@pytest.mark.parametrize(("form_id", "name"), TABLES)
@fuzz(400)
@given(st.integers(0, 2**48))
def test_any_text_is_split_into_cells_or_refused(form_id: str, name: str, seed: int) -> None:
    form, field, source = FORMS[form_id], FORMS[form_id].field(name), seeded(seed)
    text = hostile_table(field, source) if source.random() < 0.7 else hostile_word(source) * source.randint(1, 5000)
    answer = json.loads(bridge.cells_json(form.id, field.name, text))
    if answer["ok"]:
        assert len(answer["rows"]) <= field.most_rows
        assert {len(row) for row in answer["rows"]} <= {len(field.columns)}
        assert all(isinstance(cell, str) for row in answer["rows"] for cell in row)
    else:
        assert answer["errors"].keys() == {field.name}
        assert len(answer["errors"][field.name]) < LONGEST_ERROR


@fuzz(40)
@given(st.integers(0, 2**48))
@example(0)
def test_the_recipe_of_a_sound_is_finite_or_refused(seed: int) -> None:
    form = FORMS["receiver"]
    texts = hostile_input(form, seeded(seed)) | {"question": "listen"}
    answer = bridge.run(form.id, texts)
    for sound in answer["sounds"] if answer["ok"] else []:
        found = json.loads(bridge.sound_json(form.id, json.dumps(texts), sound["key"]), parse_constant=refuse_constant)
        assert found["ok"]
        assert all(math.isfinite(part) for part in parts(found) if isinstance(part, float))
