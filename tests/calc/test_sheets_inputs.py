"""Sheets for many generated inputs: each is whole and finite, goes on its paper, or is refused in words."""

import json

import pytest

from calc import bridge
from calc.forms import FORMS
from calc.forms.sheets import PAPERS, Grid, Sheet
from tests.strategies import bad_inputs, generated_inputs

SHEETS = [(form.id, sheet.key) for form in FORMS.values() for sheet in form.sheets]


def texts_of(value):
    if isinstance(value, dict):
        for part in value.values():
            yield from texts_of(part)
    elif isinstance(value, list):
        for part in value:
            yield from texts_of(part)
    elif isinstance(value, str):
        yield value


@pytest.mark.parametrize(("form_id", "key"), SHEETS)
def test_sheets_of_generated_inputs(form_id, key):
    made = 0
    for texts in generated_inputs(FORMS[form_id], 60, 7):
        text = bridge.sheet_json(form_id, json.dumps(texts), key)
        found = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in a sheet"))
        if not found["ok"]:
            assert found["errors"]
            assert all(message for message in found["errors"].values())
            continue
        made += 1
        sheet = found["sheet"]
        across, down = PAPERS[sheet["paper"]].room(sheet["turned"])
        assert not any("nan" in word.lower().split() or "inf" in word.lower().split() for word in texts_of(sheet))
        for block in sheet["blocks"]:
            if block["block"] == "picture":
                assert 0.0 < block["width"] <= across
                assert 0.0 < block["height"] <= down
    assert made >= 20


@pytest.mark.parametrize(("form_id", "key"), SHEETS)
def test_bad_inputs_are_refused_beside_their_field(form_id, key):
    for texts, name in bad_inputs(FORMS[form_id], 20, 3):
        found = json.loads(bridge.sheet_json(form_id, json.dumps(texts), key))
        assert found["ok"] is False
        assert name in found["errors"]


def test_asking_for_a_sheet_leaves_the_last_answers_sound_alone():
    bridge.run("receiver", {"question": "listen"})
    kept = dict(bridge._LAST)
    bridge.sheet_json("receiver", json.dumps({"question": "listen"}), "log")
    assert kept == bridge._LAST


def test_a_row_without_all_its_cells_is_a_fault():
    with pytest.raises(ValueError, match="cell"):
        Sheet("S", "", "a4", (Grid("", ("a", "b"), [("1",)], (1, 1)),)).as_json()


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("count", [1, 3, 24])
def test_a_log_fills_one_page_or_has_all_stations(paper, count):
    stations = "\n".join(f"Station {index}; {500 + 20 * index} kHz; 1 kW; 20 km;" for index in range(count))
    sheet = json.loads(bridge.sheet_json("receiver", json.dumps({"stations": stations, "paper": paper}), "log"))[
        "sheet"
    ]
    grid = sheet["blocks"][-1]
    named = [row for row in grid["rows"] if row[0]]
    assert [row[1] for row in named] == [str(500 + 20 * index) for index in range(count)]
    assert len(grid["rows"]) >= count
    assert len(grid["rows"]) * grid["row_height"] <= PAPERS[paper].room()[1]
