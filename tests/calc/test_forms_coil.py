"""The coil form: its figures by hand with scipy's elliptic integrals, and what it says of them."""

import math

import numpy as np
import pytest
from scipy.constants import mu_0

from calc import bridge
from tests.calc.coil_answers import answer, current_sheet, values


def test_the_default_by_hand():
    """60 turns of 0.5 mm on 75 mm, a turn every 0.8 mm: 75.5 mm between wire centres, 48 mm long."""
    found = values(answer())
    sheet = current_sheet(60, 75.5e-3, 48e-3)
    # Round wire takes off Rosa's correction, mu_0 N d (A + B)/2 with A + B below 0.6: under a hundredth here.
    assert found["inductance"] == pytest.approx(sheet, rel=0.01)
    assert abs(sheet - found["inductance"]) < 0.5 * mu_0 * 60 * 75.5e-3 * 0.6
    assert found["length"] == pytest.approx(48e-3, rel=1e-12)
    assert found["wire_length"] == pytest.approx(math.hypot(60 * math.pi * 75.5e-3, 48e-3), rel=1e-12)
    # IEC 60028: annealed copper 1/58 ohm mm2/m at 20 degrees
    assert found["dc_resistance"] == pytest.approx(found["wire_length"] / 58 / (math.pi / 4 * 0.5**2), rel=1e-3)
    assert found["quality"] == pytest.approx(
        2 * math.pi * 1e6 * found["inductance"] / found["rf_resistance"], rel=1e-12
    )
    tuned = 1 / (2 * math.pi * math.sqrt(found["inductance"] * found["self_capacitance"]))
    assert found["self_resonance"] == pytest.approx(tuned, rel=1e-9)


@pytest.mark.parametrize("turns", [12, 60, 250])
@pytest.mark.parametrize(("former", "wire", "pitch"), [("75 mm", "0.5 mm", "0.8 mm"), ("2 in", "AWG 28", "")])
def test_turns_and_inductance_are_each_others_inverse(turns, former, wire, pitch):
    shape = {"former": former, "wire": wire, "pitch": pitch}
    made = values(answer(turns=str(turns), **shape))["inductance"]
    found = values(answer(find="turns", inductance=f"{made * 1e6:.12g} µH", **shape))
    assert found["turns"] == pytest.approx(turns, rel=1e-9)
    assert found["inductance"] == pytest.approx(made, rel=1e-9)


def test_whole_turns_have_their_own_inductance():
    found = answer(find="turns", inductance="240 µH")
    turns = values(found)["turns"]
    whole = round(turns)
    assert values(found)["whole_turns_inductance"] == pytest.approx(
        values(answer(turns=str(whole)))["inductance"], rel=1e-12
    )
    assert any(f"{whole} turns" in row["label"] for row in found["rows"])
    assert "whole_turns_inductance" not in values(answer())


def test_the_unseen_field_of_the_other_question_is_not_read():
    assert values(answer(turns="60", inductance="rubbish")) == values(answer())
    assert values(answer(find="turns", turns="rubbish")) == values(answer(find="turns"))


def test_an_empty_pitch_is_close_winding_in_enamelled_wire():
    """Common practice: enamelled wire is 5 to 12 % thicker than its bare diameter."""
    found = values(answer(pitch=""))
    assert 1.05 * 0.5e-3 <= found["length"] / 60 <= 1.12 * 0.5e-3


def test_close_turns_are_advised_against():
    assert any("lie close" in advice["text"] for advice in answer(pitch="")["advice"])
    assert not any("lie close" in advice["text"] for advice in answer()["advice"])


def test_more_space_between_turns_loses_less_wire_for_wire():
    """Neighbours crowd the current: resistance per metre of wire falls as turns move apart (Medhurst 1947)."""
    per_metre = []
    for pitch in ("0.55 mm", "0.8 mm", "1.2 mm"):
        found = values(answer(pitch=pitch))
        per_metre.append(found["rf_resistance"] / found["wire_length"])
    assert np.all(np.diff(per_metre) < 0)


def test_a_coil_too_short_for_the_table_of_self_capacitance_has_all_the_rest():
    found = values(answer(turns="5"))
    assert found["self_capacitance"] is None
    assert found["self_resonance"] is None
    assert found["inductance"] == pytest.approx(current_sheet(5, 75.5e-3, 4e-3), rel=0.05)


def test_the_chart_passes_through_the_figure_of_the_table():
    found = answer(frequency="900 kHz")
    chart = {chart["key"]: chart for chart in found["charts"]}["quality"]
    line = {line["key"]: line for line in chart["series"]}["quality"]
    middle = len(line["x"]) // 2
    assert line["x"][middle] == pytest.approx(900e3, rel=1e-12)
    assert line["y"][middle] == pytest.approx(values(found)["quality"], rel=1e-9)
    assert chart["y"]["least"] <= min(line["y"])
    assert max(line["y"]) <= chart["y"]["most"]


def test_the_sentence_has_the_figures():
    assert "60 turns" in answer()["sentence"]
    assert "245 µH" in answer()["sentence"]
    found = answer(find="turns", inductance="240 µH")
    assert "240 µH" in found["sentence"]


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"turns": "0.5"}, "turns"),
        ({"turns": "many"}, "turns"),
        ({"former": "0"}, "former"),
        ({"wire": "AWG 99"}, "wire"),
        ({"wire": "thick"}, "wire"),
        ({"pitch": "0.4 mm"}, "pitch"),
        ({"find": "turns", "inductance": "0.1 µH"}, "inductance"),
        ({"find": "turns", "inductance": ""}, "inductance"),
        ({"frequency": "10 Hz"}, "frequency"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("coil", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]
