"""The one door: whatever stands in the fields, it answers or names the field at fault, in plain finite data."""

import json
import math

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from calc import bridge
from calc.forms import FORMS
from calc.forms.form import Form
from calc.forms.results import Result, Row
from tests.strategies import (
    NONSENSE,
    any_text,
    any_texts,
    bad_inputs,
    generated_inputs,
    is_asked,
    taken_of,
    valid_texts,
)

FORM_IDS = list(FORMS)
# Shrinking a set of forty texts takes minutes and helps little: the first that fails is shown as it is.
SEARCH = settings(max_examples=30, phases=(Phase.explicit, Phase.generate))


def checked(form, texts):
    """The answer, checked for what holds of every answer."""
    answer = bridge.run(form.id, texts)
    assert json.loads(json.dumps(answer, allow_nan=False)) == answer
    if answer["ok"]:
        assert answer["sentence"]
        assert len({row["key"] for row in answer["rows"]}) == len(answer["rows"])
        for row in answer["rows"]:
            assert row["text"]
            assert row["value"] is None or math.isfinite(row["value"])
        for words in every_text(answer):
            assert not {"nan", "inf", "-inf", "−inf", "None"} & set(words.split()), words
    else:
        assert answer["errors"]
        assert all(answer["errors"].values())
        for cell in answer["cells"]:
            assert cell["field"] in answer["errors"]
    return answer


def every_text(part):
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict):
        for value in part.values():
            yield from every_text(value)
    elif isinstance(part, list):
        for value in part:
            yield from every_text(value)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_defaults_are_answered(form):
    answer = checked(form, {})
    assert answer["ok"]
    assert answer["rows"]
    assert checked(form, form.defaults()) == answer


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_good_texts_are_answered_or_the_field_that_does_not_fit_is_named(form):
    @SEARCH
    @given(valid_texts(form))
    def search(texts):
        answer = checked(form, texts)
        if not answer["ok"]:
            for name in answer["errors"]:
                assert name in {field.name for field in form.fields}, answer["errors"]
                assert is_asked(form, form.field(name), texts), f"{name} is not on the page: {answer['errors'][name]}"

    search()


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_a_fair_share_of_good_texts_is_answered(form):
    kept = taken_of(form)
    count = 6 if kept else 20
    good = sum(bridge.run(form.id, texts | kept)["ok"] for texts in generated_inputs(form, count, seed=2))
    assert good >= count // 4


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_any_texts_at_all_are_answered_or_refused(form):
    @SEARCH
    @given(any_texts(form))
    def search(texts):
        answer = checked(form, texts)
        if not answer["ok"]:
            known = {field.name for field in form.fields}
            strange = texts.keys() - known
            assert strange <= answer["errors"].keys()
            assert answer["errors"].keys() - strange <= known, answer["errors"]

    search()


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_every_text_that_a_field_refuses_is_named_there(form):
    for texts, name in bad_inputs(form, 40, seed=1):
        answer = checked(form, texts)
        assert not answer["ok"]
        assert list(answer["errors"]) == [name]
        assert answer["errors"][name].endswith(".")


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_nonsense_everywhere_at_once_is_answered_or_named(form):
    for text in NONSENSE[:20]:
        texts = {field.name: text for field in form.fields}
        answer = checked(form, texts)
        named = set(answer.get("errors", ()))
        for field in form.fields:
            if field.kind == "choice" and is_asked(form, field, texts):
                assert field.name in named


def test_a_field_that_the_form_does_not_have_is_named():
    answer = bridge.run("coil", {"turns": "60", "tuns": "70"})
    assert answer == {"ok": False, "errors": {"tuns": "This form has no field called “tuns”."}, "cells": []}


@pytest.mark.parametrize("value", [None, 60, 60.0, ["60"], {"a": 1}, True])
def test_what_is_not_text_is_named(value):
    answer = bridge.run("coil", {"turns": value})
    assert answer == {"ok": False, "errors": {"turns": "This must be text."}, "cells": []}


def test_there_is_no_form_of_that_name():
    with pytest.raises(KeyError):
        bridge.run("toaster", {})


def test_json_both_ways():
    texts = {"turns": "70", "former": "3 in"}
    assert json.loads(bridge.run_json("coil", json.dumps(texts))) == bridge.run("coil", texts)


def test_a_bad_cell_is_pointed_out():
    answer = bridge.run("receiver", {"stations": "Ash; 612; 1; 14;\nBirch; 666; much; 32;"})
    assert list(answer["errors"]) == ["stations"]
    assert answer["errors"]["stations"].startswith("Row 2: Radiated power is not a number")
    assert answer["cells"] == [{"field": "stations", "row": 1, "column": "power"}]


def test_the_cells_of_a_table_as_typed():
    width = len(FORMS["receiver"].field("stations").columns)
    found = json.loads(bridge.cells_json("receiver", "stations", "Ash; 612 kHz; 1 kW\nBirch; soon"))
    rows = (["Ash", "612 kHz", "1 kW"], ["Birch", "soon"])
    assert found == {"ok": True, "rows": [row + [""] * (width - len(row)) for row in rows]}
    refused = json.loads(bridge.cells_json("receiver", "stations", ";".join("a" * (width + 1))))
    assert refused["ok"] is False
    assert list(refused["errors"]) == ["stations"]


@given(any_text() | st.text(alphabet='ab12;,\t"\n\r ', max_size=60))
def test_the_cells_of_any_text(text):
    found = json.loads(bridge.cells_json("receiver", "stations", text))
    assert found["ok"] or list(found["errors"]) == ["stations"]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_result_that_is_not_finite_never_reaches_a_page(monkeypatch, value):
    faulty = Form("faulty", "Faulty", "coil", "", (), lambda: Result("Done.", (Row("a", "A", value, text="as made"),)))
    monkeypatch.setitem(FORMS, "faulty", faulty)
    with pytest.raises(ArithmeticError):
        bridge.run("faulty", {})


@pytest.mark.parametrize("form", FORMS.values(), ids=FORM_IDS)
def test_texts_longer_than_any_reader_types_are_refused(form):
    for field in form.fields:
        if is_asked(form, field, {}):
            assert list(bridge.run(form.id, {field.name: "9;" * 100_000})["errors"]) == [field.name]
