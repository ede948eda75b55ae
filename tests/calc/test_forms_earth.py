"""The earth form: published worked examples through the page, and changes that come true when they are made."""

import csv
import math
from functools import partial
from pathlib import Path

import pytest

from calc import bridge, earths
from calc.forms import FORMS
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values
from tests.strategies import bad_inputs, generated_inputs, is_asked

answer = partial(form_answer, "earth")

FORM = FORMS["earth"]
KINDS = [choice.value for choice in FORM.field("kind").choices]
WORKED = Path(__file__).parent.parent / "published" / "earths_worked.csv"


def changes(found):
    (shown,) = found["tables"]
    return {row[0]["value"]: [cell["value"] for cell in row[1:]] for row in shown["rows"]}


def worked():
    lines = WORKED.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", worked(), ids=lambda row: row["source"])
def test_worked_examples_through_the_page(row):
    found = answer(
        soil="own", resistivity=row["resistivity"], stake_length=row["length"], stake_diameter=f"{row['diameter']} m"
    )
    assert values(found)["resistance"] == pytest.approx(float(row["resistance"]), rel=float(row["tolerance"]))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_answers(kind):
    found = answer(kind=kind)
    assert all(row["how"] for row in found["rows"])
    assert found["charts"]
    told = " ".join(advice["text"] for advice in found["advice"] if advice["kind"] == "caution").lower()
    for word in ("gas pipe", "mains earth", "protective multiple earthing", "local codes", "licensed electrician"):
        assert word in told


@pytest.mark.parametrize("kind", ["stakes", "wire", "star"])
def test_whoever_digs_is_told_to_look_first(kind):
    assert any("before you drive or dig" in advice["text"] for advice in answer(kind=kind)["advice"])


STAKES = {"number": "3", "stake_length": "1.5 m", "stake_spacing": "3 m"}


@pytest.mark.parametrize(
    ("texts", "change", "made"),
    [
        (STAKES, "one stake more", {"number": "4"}),
        (STAKES, "twice as many stakes", {"number": "6"}),
        (STAKES, "stakes half as long again", {"stake_length": "2.25 m"}),
        (STAKES, "stakes twice as long", {"stake_length": "3 m"}),
        (STAKES, "twice the diameter", {"stake_diameter": "32 mm"}),
        (STAKES, "twice the distance between them", {"stake_spacing": "6 m"}),
        (STAKES | {"layout": "ring"}, "one stake more", {"number": "4"}),
        ({}, "one stake more", {"number": "2"}),
        ({}, "a stake twice as long", {"stake_length": "2.4 m"}),
        ({"kind": "wire"}, "a wire twice as long", {"buried_length": "20 m"}),
        ({"kind": "wire"}, "twice the depth", {"depth": "0.4 m"}),
        ({"kind": "wire"}, "four such wires as a star", {"kind": "star", "arms": "4", "arm_length": "10 m"}),
        ({"kind": "star"}, "8 arms", {"arms": "8"}),
        ({"kind": "star"}, "arms twice as long", {"arm_length": "10 m"}),
        ({"kind": "measured"}, "half of it", {"resistance": "7.5"}),
    ],
)
def test_a_change_comes_true_when_it_is_made(texts, change, made):
    before = answer(**texts)
    told, gain = changes(before)[change]
    after = answer(**texts | made)
    assert values(after)["resistance"] == pytest.approx(told, rel=1e-9)
    own = values(before)["resistance"]
    assert gain == pytest.approx(10.0 * math.log10((own + 5.0) / (told + 5.0)), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("change", "made"),
    [
        ("one wire more", {"wires": "4"}),
        ("wires twice as long", {"wire_length": "30 m"}),
        ("half the height", {"wire_height": "1.1 m"}),
        ("twice the distance between them", {"wire_spacing": "2 m"}),
    ],
)
def test_a_change_of_the_counterpoise_comes_true(change, made):
    told, joint = changes(answer(kind="counterpoise"))[change]
    after = values(answer(kind="counterpoise", **made))
    assert after["capacitance"] == pytest.approx(told, rel=1e-9)
    assert after["joint"] == pytest.approx(joint, rel=1e-9)
    assert joint == pytest.approx(1.0 / (1.0 / told + 1.0 / 134e-12), rel=1e-9)


def test_soils_are_those_of_the_tables():
    for key, soil in earths.soils().items():
        found = values(answer(soil=key))
        assert found["resistivity"] == soil.resistivity
        assert found["wettest"] < found["resistance"] < found["driest"]
    # average land of the ITU's curves: 3 mS/m
    assert values(answer(soil="land"))["resistivity"] == pytest.approx(1.0 / 3e-3)
    assert "wettest" not in values(answer(soil="land"))


def test_resistance_goes_with_resistivity():
    one, ten = (values(answer(soil="own", resistivity=text))["resistance"] for text in ("50", "500"))
    assert ten == pytest.approx(10.0 * one, rel=1e-12)


def test_more_stakes_are_never_as_good_as_far_apart():
    chart = next(chart for chart in answer(stake_spacing="1 m")["charts"] if chart["key"] == "number")
    near, far = (series["y"] for series in chart["series"])
    assert near[0] == pytest.approx(far[0], rel=1e-12)
    assert all(a > b for a, b in zip(near[1:], far[1:], strict=True))
    assert near == sorted(near, reverse=True)


def test_a_ring_is_closed():
    shown = next(each for each in answer(number="5", layout="ring")["drawings"] if each["key"] == "earth")
    dots = [(shape["x"], shape["y"]) for shape in shown["shapes"] if shape["shape"] == "circle"]
    assert len(dots) == 5
    for here, there in zip(dots, [*dots[1:], dots[0]], strict=True):
        assert math.dist(here, there) == pytest.approx(2.4, rel=1e-3)


@pytest.mark.parametrize(
    "texts", [{"kind": kind} for kind in KINDS] + [{"number": "4"}, {"number": "6", "layout": "ring"}]
)
def test_all_that_is_drawn_lies_in_its_box(texts):
    for shown in answer(**texts)["drawings"]:
        left, top, width, height = shown["box"]
        slack = 1e-3 * (width + height)  # coordinates are rounded
        for shape in shown["shapes"]:
            points = shape["points"] if shape["shape"] == "line" else [(shape["x"], shape["y"])]
            for x, y in points:
                assert top - slack <= y <= top + height + slack, shape
                assert left - slack <= x <= left + width + slack or shape["shape"] == "text", shape


def test_hundreds_of_good_inputs():
    answered = 0
    for texts in generated_inputs(FORM, 300, seed=61):
        found = bridge.run("earth", texts)
        answered += found["ok"]
        for name in found.get("errors", ()):
            assert is_asked(FORM, FORM.field(name), texts), (name, texts)
    assert answered > 200


def test_bad_inputs_are_named():
    for texts, name in bad_inputs(FORM, 150, seed=62):
        assert list(bridge.run("earth", texts)["errors"]) == [name]


@pytest.mark.parametrize(
    ("texts", "name"),
    [
        ({"stake_diameter": "200 mm", "stake_length": "0.3 m"}, "stake_diameter"),
        ({"stake_spacing": "0.1 m"}, "stake_spacing"),
        ({"kind": "wire", "wire": "0.1 mm"}, "wire"),
        ({"kind": "counterpoise", "wire": "50 mm"}, "wire"),
    ],
)
def test_what_does_not_go_together_is_named_where_it_can_be_mended(texts, name):
    assert list(bridge.run("earth", texts)["errors"]) == [name]
