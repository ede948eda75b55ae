"""The winding sheet: wire to cut, holes and taps, against the form's own figures and plain geometry."""

import json
import math
import re

import pytest

from calc import bridge, coils, units
from calc.forms import FORMS
from calc.forms.coil.build import wanted_coil
from calc.forms.coil.sheet import winding_plan
from calc.forms.fields import arguments
from calc.forms.sheets.winding import TAP_LOOP

SHAPES = {
    "tube": {"turns": "60.25", "taps": "10, 20.5", "leads": "200 mm"},
    "square": {"former_shape": "square", "turns": "40", "taps": "8"},
    "layers": {"shape": "layers", "turns": "200", "taps": "50"},
    "scramble": {"shape": "scramble", "turns": "200"},
    "spiral": {"shape": "spiral", "turns": "30", "pitch": "1 mm", "taps": "5"},
    "cone": {"shape": "cone", "turns": "40", "taps": "10"},
    "rod": {"shape": "rod", "turns": "50", "pitch": "", "offset": "10 mm"},
    "litz": {"wire_kind": "stranded", "pitch": "1.2 mm"},
}


def values(texts):
    found, errors = arguments(FORMS["coil"].fields, texts)
    assert errors == []
    return found


def plan_of(texts):
    v = values(texts)
    return winding_plan(v, wanted_coil(v), v["taps"] or ()), v


def asked(form, texts, key):
    found = json.loads(bridge.sheet_json(form, json.dumps(texts), key))
    assert found["ok"], found
    return found["sheet"]


def grids(sheet):
    return {block["title"]: block for block in sheet["blocks"] if block["block"] == "grid"}


def said(sheet):
    return " ".join(" ".join(block["paragraphs"]) for block in sheet["blocks"] if block["block"] == "words")


@pytest.mark.parametrize("texts", SHAPES.values(), ids=SHAPES)
def test_wire_to_cut_is_the_forms_wire_with_loops_and_tails(texts):
    rows = {row["key"]: row["value"] for row in bridge.run("coil", texts)["rows"]}
    plan, v = plan_of(texts)
    loops = len(v["taps"] or ())
    assert plan.cut(v["tails"]) == pytest.approx(rows["wire_length"] + 0.06 * loops + 2.0 * 0.15, rel=1e-12)
    told = dict(grids(asked("coil", texts, "winding"))["Coil"]["rows"])["Cut"]
    assert units.parse(told.split(" of wire")[0], "m") == pytest.approx(plan.cut(v["tails"]), rel=1e-3)


@pytest.mark.parametrize("texts", SHAPES.values(), ids=SHAPES)
def test_places_along_the_wire_run_from_one_tail_to_the_other(texts):
    plan, v = plan_of(texts)
    tail = v["tails"]
    along = [plan.along_wire(stop.turns, tail) for stop in plan.stops]
    assert along[0] == pytest.approx(tail + 0.5 * (v["leads"] or 0.0))
    assert along == sorted(along)
    assert plan.cut(tail) - along[-1] == pytest.approx(tail + 0.5 * (v["leads"] or 0.0))


def test_a_tap_of_a_helix_lies_where_geometry_says():
    plan, _ = plan_of(SHAPES["tube"])
    turn = math.hypot(math.pi * 75.5e-3, 0.8e-3)
    assert plan.along_wire(20.5, 0.15) == pytest.approx(0.15 + 0.1 + TAP_LOOP + 20.5 * turn, rel=1e-9)
    table = grids(asked("coil", SHAPES["tube"], "winding"))["Where to drill, and to tap"]
    around = math.pi * 75.0
    assert table["rows"] == [
        ["start", "0", "15.0 mm", "in line", "250 mm"],
        ["tap", "10", "23.0 mm", "in line", units.format(0.25 + 10.0 * turn, "m")],
        ["tap", "20.5", "31.4 mm", f"180°, {around / 2:.1f} mm", units.format(0.31 + 20.5 * turn, "m")],
        ["end", "60.25", "63.2 mm", f"90°, {around / 4:.1f} mm", units.format(0.37 + 60.25 * turn, "m")],
    ]


@pytest.mark.parametrize(
    ("texts", "places"),
    [
        ({"former_shape": "square", "turns": "40.5"}, {0.0: 15.0, 40.5: 15.0 + 40.5 * 0.8}),
        ({"shape": "spiral", "turns": "30", "pitch": "1 mm"}, {0.0: 20.0, 30.0: 50.0}),
        ({"shape": "cone", "turns": "40"}, {0.0: 15.0, 40.0: 15.0 + math.hypot(15.0, 50.0)}),
        ({"shape": "rod", "turns": "50", "offset": "10 mm"}, {0.0: 75.0 + 10.0 - 20.0, 50.0: 75.0 + 10.0 + 20.0}),
    ],
)
def test_holes_come_where_the_turns_do(texts, places):
    plan, _ = plan_of(texts)
    for turns, place in places.items():
        assert 1e3 * plan.first + plan.gauge.place(turns) == pytest.approx(place)


def test_round_a_square_former_is_four_sides():
    plan, _ = plan_of(SHAPES["square"])
    assert plan.girth == pytest.approx(4 * 75e-3)


def test_layers_have_a_gauge_of_one_layer_and_disorder_has_none():
    plan, v = plan_of(SHAPES["layers"])
    coil = wanted_coil(v)
    assert plan.gauge.turns == max(coil.wound.layer_turns)
    facts = dict(grids(asked("coil", SHAPES["layers"], "winding"))["Coil"]["rows"])
    numbers = [int(n) for n in re.findall(r"\d+", facts["Layers"])]
    assert numbers[0] * numbers[1] + sum(numbers[2:]) == 200
    sheet = asked("coil", SHAPES["scramble"], "winding")
    assert [block for block in sheet["blocks"] if block["block"] == "picture"] == []
    assert "count them" in said(sheet)


def test_the_turns_that_were_sought_are_wound_whole():
    texts = {"find": "turns", "inductance": "250 µH"}
    rows = {row["key"]: row["value"] for row in bridge.run("coil", texts)["rows"]}
    facts = dict(grids(asked("coil", texts, "winding"))["Coil"]["rows"])
    assert float(facts["Turns"]) == rows["whole_turns"]


def test_a_coil_too_long_for_paper_gets_a_sentence():
    sheet = asked("coil", {"turns": "1000", "pitch": "20 mm"}, "winding")
    assert "20 m long, too long to paste together" in said(sheet)
    assert [block for block in sheet["blocks"] if block["block"] == "picture"] == []


def test_a_tap_beyond_the_coil_is_refused_beside_its_field():
    found = json.loads(bridge.sheet_json("coil", json.dumps({"taps": "70"}), "winding"))
    assert found["ok"] is False
    assert list(found["errors"]) == ["taps"]


def test_a_sheet_that_is_not_there_is_a_fault():
    with pytest.raises(KeyError):
        bridge.sheet_json("coil", "{}", "dial")
    with pytest.raises(KeyError):
        bridge.sheet_json("wire", "{}", "winding")


# --- of a set -----------------------------------------------------------------------------------------------------


def test_the_sets_coil_is_cut_as_the_coil_form_has_it():
    coil = dict(grids(asked("coil", {}, "winding"))["Coil"]["rows"])
    of_set = dict(grids(asked("receiver", {}, "winding"))["Coil"]["rows"])
    assert of_set["Cut"] == coil["Cut"]
    assert of_set["Pitch"] == coil["Pitch"]


@pytest.mark.parametrize("percent", [1.0, 5.0, 20.0, 40.0, 60.0])
def test_the_aerials_winding_stands_where_its_coupling_is_as_wanted(percent):
    sheet = asked("receiver", {"link": "winding", "coefficient": f"{percent} %"}, "winding")
    told = said(sheet)
    coil = coils.Solenoid(60.0, 75.5e-3, 48e-3)
    second = coils.Solenoid(10.0, 76.3e-3, 10 * 1.08 * 0.8e-3)
    if gap := re.search(r"leave ([\d.]+) mm between", told):
        apart = 0.5 * (coil.length + second.length) + 1e-3 * float(gap[1])
    else:
        found = re.search(r"its middle ([\d.]+) mm (within|beyond)", told)
        apart = 0.5 * coil.length + 1e-3 * float(found[1]) * (1.0 if found[2] == "beyond" else -1.0)
    assert float(coils.coupling_coefficient(coil, second, apart)) == pytest.approx(percent / 100.0, rel=0.01)
    assert set(grids(sheet)) >= {"Coil", "Aerial's winding"}


def test_more_coupling_than_the_windings_reach_is_said():
    assert "more than these windings reach" in said(
        asked("receiver", {"link": "winding", "coefficient": "90 %"}, "winding")
    )


def test_two_circuits_want_two_coils():
    told = said(asked("receiver", {"link": "pair", "pair_coefficient": "2 %"}, "winding"))
    gap = float(re.search(r"with ([\d.]+) mm between their ends", told)[1])
    one = coils.Solenoid(60.0, 75.5e-3, 48e-3)
    assert float(coils.coupling_coefficient(one, one, 48e-3 + 1e-3 * gap)) == pytest.approx(0.02, rel=0.02)
    assert "Wind two" in told
    other = said(asked("receiver", {"link": "pair", "first_inductance": "300 µH"}, "winding"))
    assert "300 µH" in other


def test_taps_of_the_set_are_drilled():
    sheet = asked("receiver", {"link": "tap", "tap_turns": "10", "detector_turns": "40"}, "winding")
    table = grids(sheet)["Where to drill, and to tap"]
    assert [row[1] for row in table["rows"]] == ["0", "10", "40", "60"]
    assert "The aerial goes to the tap at turn 10." in said(sheet)


def test_every_part_of_the_circuit_is_listed():
    texts = {
        "link": "winding", "trap": "rejector", "lead": "coil", "cure": "yes", "transformer": "yes", "bias": "0.2",
        "earphone": "crystal", "detector_turns": "30",
    }  # fmt: skip
    sheet = asked("receiver", texts, "circuit")
    parts = {row[0]: row[1] for row in grids(sheet)["Parts"]["rows"]}
    assert list(parts) == [
        "Aerial", "Earth", "Rejector", "Loading coil", "Winding", "Coil", "Variable capacitor", "Detector",
        "Tap for the detector", "By-pass", "Cure", "Transformer", "Earphones", "Resistor across the earpiece",
        "Bias cell",
    ]  # fmt: skip
    tuned = 1.0 / ((2.0 * math.pi * 612e3) ** 2 * 100e-6)
    assert parts["Rejector"] == f"100 µH and {units.format(tuned, 'F', 3)}"
    assert (parts["Bias cell"], parts["By-pass"]) == ("200 mV", "1 nF")
    drawn = [shape["text"] for shape in sheet["blocks"][0]["drawing"]["shapes"] if shape["shape"] == "text"]
    for value in ("100 µH", units.format(tuned, "F", 3), "200 µH", "10 turns of 0.8 mm", "245 µH", "15 pF to 365 pF",
                  "1N34A type", "turn 30", "1 nF", "47 kΩ", "100 nF", "10 to 1", "100 kΩ", "200 mV"):  # fmt: skip
        assert value in drawn, value


# --- of two coils -------------------------------------------------------------------------------------------------


def test_two_coils_are_cut_as_the_coil_form_has_them():
    tables = grids(asked("coil-pair", {}, "winding"))
    one = dict(grids(asked("coil", {}, "winding"))["Coil"]["rows"])
    other = dict(grids(asked("coil", {"turns": "10", "wire": "0.8 mm", "pitch": "0.9 mm"}, "winding"))["Coil"]["rows"])
    assert dict(tables["First coil"]["rows"])["Cut"] == one["Cut"]
    assert dict(tables["Second coil"]["rows"])["Cut"] == other["Cut"]


def test_two_coils_stand_as_the_form_has_them():
    rows = {row["key"]: row["text"] for row in bridge.run("coil-pair", {"distance": "60 mm"})["rows"]}
    told = said(asked("coil-pair", {"distance": "60 mm"}, "winding"))
    assert f"Their middles 60.0 mm apart, axes in line: the coefficient of coupling is {rows['coefficient']}." in told
    turned = said(asked("coil-pair", {"distance": "100 mm", "angle": "30"}, "winding"))
    assert "turned by 30° about its middle" in turned


def test_a_thick_coil_of_a_pair_has_no_gauge_and_rings_of_wire():
    texts = {"second_shape": "layers", "second_turns": "100", "distance": "100 mm"}
    sheet = asked("coil-pair", texts, "winding")
    assert "count the turns" in said(sheet)
    cut = dict(grids(sheet)["Second coil"]["rows"])["Cut"]
    rings = 100 * math.pi * (20e-3 + 8e-3)
    assert units.parse(cut.split(" of wire")[0], "m") == pytest.approx(rings + 0.3, rel=1e-3)


def test_coils_that_would_meet_have_no_sheet():
    found = json.loads(bridge.sheet_json("coil-pair", json.dumps({"distance": "10 mm"}), "winding"))
    assert list(found["errors"]) == ["distance"]
