"""The coil form's former and pictures: what fits, taps, the section to scale."""

import json
import math

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from tests.calc.coil_answers import SHAPES, answer, values


def test_what_fits_by_hand():
    """50 mm at 0.8 mm a turn take 62; a 120 mm card from 40 mm takes 50 at 0.8 mm; cheeks of 34 mm leave 4.5 mm."""
    found = values(answer(room="50 mm"))
    assert found["fits"] == 62
    assert found["fits_inductance"] == pytest.approx(values(answer(turns="62"))["inductance"], rel=1e-12)
    assert values(answer(shape="spiral", card="120 mm"))["fits"] == 50
    a_layer = math.floor(15 / (0.544 * 1.05))
    assert values(answer(shape="layers", cheeks="34 mm"))["fits"] == a_layer * math.floor(4.5 / 0.544)
    in_grooves = values(answer(shape="layers", cheeks="34 mm", bedding="grooves"))["fits"]
    assert in_grooves == a_layer * (1 + math.floor((4.5 - 0.544) / (0.544 * math.sqrt(0.75))))


def test_a_coil_that_does_not_fit_says_so():
    found = answer(room="40 mm")
    assert "Only 50 of them fit" in found["sentence"]
    assert any("does not fit" in a["text"] for a in found["advice"])
    assert "fit" not in answer(room="50 mm")["sentence"]
    for card, refused in (("135.9 mm", True), ("136.1 mm", False)):
        assert ("does not fit" in str(answer(shape="spiral", card=card)["advice"])) == refused


def test_taps_part_the_coil():
    """Below and above a tap are two shorter coils; with twice their mutual inductance they make the whole."""
    found = answer(taps="20, 7.5")
    (table,) = found["tables"]
    assert [row[0]["value"] for row in table["rows"]] == [7.5, 20.0]
    whole = values(found)["inductance"]
    for row in table["rows"]:
        turns, length, share, lower, upper, coefficient = (cell["value"] for cell in row)
        assert lower == pytest.approx(values(answer(turns=str(turns)))["inductance"], rel=1e-12)
        assert upper == pytest.approx(values(answer(turns=str(60 - turns)))["inductance"], rel=1e-12)
        assert lower + upper + 2 * coefficient * math.sqrt(lower * upper) == pytest.approx(whole, rel=1e-12)
        assert length == pytest.approx(values(found)["wire_length"] * turns / 60, rel=1e-9)
        assert share == pytest.approx(turns / 60, rel=1e-12)


def test_a_tap_of_a_spiral_is_counted_along_its_growing_turns():
    found = answer(shape="spiral", turns="30", hub="40 mm", pitch="1 mm", taps="10", leads="200 mm")
    (row,) = found["tables"][0]["rows"]
    by_hand = 2 * math.pi * (10 * 0.02 + 0.001 * 10**2 / 2)
    assert row[1]["value"] == pytest.approx(by_hand + 0.1, rel=1e-9)
    lower, upper, coefficient = (cell["value"] for cell in row[3:])
    whole = values(found)["inductance"] - values(found)["leads_inductance"]
    assert lower + upper + 2 * coefficient * math.sqrt(lower * upper) == pytest.approx(whole, rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_wire_to_the_last_turn_is_all_of_it(shape):
    found = answer(shape=shape, turns="40", taps="39.999999")
    along = found["tables"][0]["rows"][0][1]["value"]
    assert along == pytest.approx(values(found)["wire_length"], rel=1e-6)


def test_the_drawing_is_to_scale():
    (drawing,) = answer(turns="20", pitch="2 mm")["drawings"]
    circles = [shape for shape in drawing["shapes"] if shape["shape"] == "circle"]
    assert len(circles) == 40
    x = sorted({circle["x"] for circle in circles})
    assert x[-1] - x[0] == pytest.approx(19 * 2.0, abs=1e-3)
    assert {round(abs(circle["y"]), 3) for circle in circles} == {37.75}
    left, top, width, height = drawing["box"]
    for circle in circles:
        assert left <= circle["x"] <= left + width
        assert top <= circle["y"] <= top + height


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("turns", ["3", "40", "220"])
def test_every_shape_has_a_drawing_with_its_measures(shape, turns):
    texts = {"wire": "0.2 mm", "pitch": "0.4 mm"}
    found = answer(shape=shape, turns=turns, taps="2", **texts)
    (drawing,) = found["drawings"]
    assert len(json.dumps(drawing)) < 60_000
    words = [shape["text"] for shape in drawing["shapes"] if shape["shape"] == "text"]
    assert any("mm" in text for text in words)
    assert f"{turns} turns" in drawing["description"]


def test_lines_of_the_field_run_where_the_flux_is_the_same():
    """The flux through a circle is the sum of its mutual inductances with the turns (Maxwell)."""
    found = answer(turns="20", pitch="2 mm", field="yes")
    drawing = {drawing["key"]: drawing for drawing in found["drawings"]}["field"]
    lines = [shape["points"] for shape in drawing["shapes"] if shape["role"] == "accent" and shape["shape"] == "line"]
    place = 2e-3 * (np.arange(20) - 9.5)
    for line in lines:
        x, rho = 1e-3 * np.array(line)[:, 0], 1e-3 * np.abs(np.array(line)[:, 1])
        far = (np.abs(rho - 0.03775) > 4e-3) & (rho > 4e-3)
        m = 4.0 * rho[:, None] * 0.03775 / ((rho[:, None] + 0.03775) ** 2 + (x[:, None] - place) ** 2)
        k = np.sqrt(m)
        flux = np.sum(np.sqrt(rho[:, None] * 0.03775) * ((2.0 / k - k) * ellipk(m) - 2.0 / k * ellipe(m)), axis=1)
        assert np.ptp(flux[far]) < 0.02 * np.mean(flux[far])
    assert len(lines) >= 10
    assert {drawing["key"] for drawing in answer()["drawings"]} == {"section"}


@pytest.mark.parametrize("shape", SHAPES)
def test_the_field_is_drawn_for_every_shape_but_a_rod(shape):
    keys = [drawing["key"] for drawing in answer(shape=shape, field="yes", turns="150", wire="0.2 mm")["drawings"]]
    assert keys == (["section"] if shape == "rod" else ["section", "field"])
