"""The aerial form: every kind answers, its figures are the physics', its drawings are to scale, its cautions stand."""

import csv
import math
from functools import partial
from itertools import pairwise
from pathlib import Path

import pytest

from calc import bridge
from calc.aerials import FerriteRod, FrameAerial, WireAerial
from calc.constants import COPPER_RESISTIVITY
from calc.forms import FORMS
from calc.forms.aerial_fields import LOOPS, WIRES
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values
from tests.strategies import bad_inputs, generated_inputs, is_asked

answer = partial(form_answer, "aerial")

FORM = FORMS["aerial"]
KINDS = [choice.value for choice in FORM.field("kind").choices]
PUBLISHED = Path(__file__).parent.parent / "published"


def drawing(found, key):
    return next(each for each in found["drawings"] if each["key"] == key)


def published(name):
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# --- figures ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_answers_with_rows_that_say_how(kind):
    found = answer(kind=kind)
    assert found["sentence"].endswith(".")
    assert len(found["rows"]) >= 9
    assert all(row["how"] for row in found["rows"])
    assert found["charts"]
    assert found["drawings"]
    assert any(advice["kind"] == "limit" for advice in found["advice"])
    assert sorted(found["order"]) == sorted({"drawings", "rows", "advice", "charts"})


TEXTS_OF_PUBLISHED = {
    "A_invL_20x6": {"kind": "inverted-l", "height": "6 m", "span": "20 m"},
    "B_vert_10": {"kind": "vertical", "height": "10 m"},
    "D_T_20x10": {"kind": "t", "height": "10 m", "span": "20 m"},
}


@pytest.mark.parametrize("geometry", TEXTS_OF_PUBLISHED)
def test_capacitance_and_effective_height_of_the_published_aerials(geometry):
    found = values(answer(wire="2 mm", **TEXTS_OF_PUBLISHED[geometry]))
    capacitance = {row["geometry"]: float(row["C_static_0.1m"]) for row in published("aerials_capacitance.csv")}
    height = {row["geometry"]: float(row["he_static_m"]) for row in published("aerials_effective_height.csv")}
    assert found["capacitance"] == pytest.approx(1e-12 * capacitance[geometry], rel=0.02)
    assert found["effective_height"] == pytest.approx(height[geometry], rel=0.02)


def test_figures_are_those_of_the_wire():
    found = values(answer(height="9", span="12", wire="2 mm", earth_resistance="40", frequency="800 kHz", field="3"))
    wire = WireAerial(9.0, 12.0, 2e-3, 40.0, conductor_resistivity=COPPER_RESISTIVITY)
    impedance = wire.impedance(8e5)
    assert found["resistance"] == pytest.approx(impedance.real, rel=1e-9)
    assert found["reactance"] == pytest.approx(impedance.imag, rel=1e-9)
    assert found["radiation_resistance"] == pytest.approx(wire.radiation_resistance(8e5), rel=1e-9)
    assert found["wire_resistance"] == pytest.approx(wire.wire_resistance(8e5), rel=1e-7)
    assert found["inductance"] == pytest.approx(wire.inductance, rel=1e-9)
    assert found["force"] == pytest.approx(3e-3 * wire.effective_height_at(8e5), rel=1e-9)
    assert found["available_power"] == pytest.approx(found["force"] ** 2 / (4.0 * impedance.real), rel=1e-9)
    assert found["apparent_capacitance"] == pytest.approx(-1.0 / (2.0 * math.pi * 8e5 * impedance.imag), rel=1e-9)


@pytest.mark.parametrize("kind", WIRES)
def test_the_parts_of_the_resistance_make_the_whole(kind):
    found = values(answer(kind=kind))
    parts = found["earth_resistance"] + found["radiation_resistance"] + found["wire_resistance"]
    assert parts == pytest.approx(found["resistance"], rel=1e-9)


def test_the_reactance_passes_nought_at_the_resonance_that_is_told():
    found = values(answer(height="12", span="30"))
    at = values(answer(height="12", span="30", frequency=f"{found['resonance']:.6f} Hz"))
    assert abs(at["reactance"]) < 1e-3
    assert at["apparent_capacitance"] is None or at["apparent_capacitance"] > 1e-6
    above = answer(height="12", span="30", frequency=f"{1.1 * found['resonance']:.0f} Hz")
    assert values(above)["reactance"] > 0.0
    assert values(above)["apparent_capacitance"] is None
    assert any("resonance" in advice["text"] for advice in above["advice"])


def test_an_edit_after_another_gives_what_it_gives_alone():
    """Solved wires are kept; what is kept must not leak from one earth or frequency to the next."""
    first = answer(earth_resistance="20", frequency="700 kHz")
    answer(earth_resistance="200", frequency="1500 kHz")
    answer(height="8")
    assert answer(earth_resistance="20", frequency="700 kHz") == first
    assert values(first)["earth_resistance"] == 20.0


def test_worse_metal_loses_more():
    losses = [values(answer(metal=metal))["wire_resistance"] for metal in ("copper", "aluminium", "stainless")]
    assert losses == sorted(losses)
    assert losses[2] > 5.0 * losses[0]


def test_the_dummy_is_the_standard_network():
    # 200 pF, 20 uH shunted by 400 pF and 400 ohm, 4 m: Institute of Radio Engineers, 1938 (second hand)
    found = values(answer(kind="dummy", field="1 mV/m"))
    w = 2.0 * math.pi * 1e6
    coil, shunt = 1j * w * 20e-6, 400.0 + 1.0 / (1j * w * 400e-12)
    impedance = 1.0 / (1j * w * 200e-12) + coil * shunt / (coil + shunt)
    assert found["resistance"] == pytest.approx(impedance.real, rel=1e-9)
    assert found["reactance"] == pytest.approx(impedance.imag, rel=1e-9)
    assert found["force"] == pytest.approx(4e-3, rel=1e-12)


def test_measured_values_come_back_as_given():
    found = values(
        answer(
            kind="measured",
            measured_capacitance="90p",
            measured_inductance="4u",
            measured_resistance="70",
            measured_height="2",
        )
    )
    assert (found["capacitance"], found["inductance"], found["resistance"]) == pytest.approx(
        (90e-12, 4e-6, 70.0), rel=1e-12
    )
    assert found["resonance"] == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(4e-6 * 90e-12)), rel=1e-9)


def test_frame_and_rod_are_the_physics():
    frame = FrameAerial(0.6, 0.6, 13, 0.072, 0.6e-3)
    found = values(answer(kind="frame", turned="60", upright="0"))
    assert found["inductance"] == pytest.approx(frame.inductance, rel=1e-12)
    assert found["force"] == pytest.approx(5e-3 * frame.effective_height(1e6) * 0.5, rel=1e-9)
    assert found["tank_voltage"] == pytest.approx(120.0 * found["force"], rel=1e-12)
    assert found["tuned_by"] == pytest.approx(1.0 / ((2.0 * math.pi * 1e6) ** 2 * frame.inductance), rel=1e-12)
    rod = FerriteRod(0.2, 0.01, 125.0, 52.0, 0.026)
    found = values(answer(kind="rod"))
    assert found["inductance"] == pytest.approx(rod.inductance, rel=1e-12)
    assert found["effective_height"] == pytest.approx(rod.effective_height(1e6), rel=1e-12)


# --- drawings -----------------------------------------------------------------------------------------------------


def accents(shown):
    """Lengths of the lines in the accent, which stand for the wire."""
    lines = [shape["points"] for shape in shown["shapes"] if shape["shape"] == "line" and shape["role"] == "accent"]
    return [sum(math.dist(a, b) for a, b in pairwise(line)) for line in lines]


@pytest.mark.parametrize("kind", ["inverted-l", "t", "vertical", "sloping", "low"])
def test_the_wire_is_drawn_to_scale(kind):
    found = answer(kind=kind)
    assert sum(accents(drawing(found, "aerial"))) == pytest.approx(values(found)["wire_length"], rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_all_that_is_drawn_lies_in_its_box(kind):
    for shown in answer(kind=kind)["drawings"]:
        left, top, width, height = shown["box"]
        slack = 1e-3 * (width + height)  # coordinates are rounded
        assert shown["description"].endswith(".")
        for shape in shown["shapes"]:
            points = shape["points"] if shape["shape"] == "line" else [(shape["x"], shape["y"])]
            for x, y in points:
                assert top - slack <= y <= top + height + slack, shape
                # words may widen the box to the right: the page makes room for them
                assert left - slack <= x <= left + width + slack or shape["shape"] == "text", shape


@pytest.mark.parametrize("kind", LOOPS)
def test_the_polar_line_has_the_pattern_of_a_loop(kind):
    shown = drawing(answer(kind=kind, upright="0"), "polar")
    (line,) = [
        shape for shape in shown["shapes"] if shape["shape"] == "line" and shape["closed"] and not shape["filled"]
    ]
    for x, y in line["points"]:
        # two circles of half the radius that touch in the middle: r = |cos a|
        assert math.hypot(x, y) == pytest.approx(abs(y) / max(math.hypot(x, y), 1e-9) * 100.0, abs=0.02)
    assert [shape["text"] for shape in shown["shapes"] if shape["shape"] == "text"].count("null") == 2


def test_nulls_where_the_upright_effect_puts_them():
    assert values(answer(kind="frame", upright="0"))["first_null"] == pytest.approx(90.0)
    assert values(answer(kind="frame", upright="10 %"))["first_null"] == pytest.approx(90.0)
    # in step the nulls move to where cos a = -u
    moved = values(answer(kind="frame", upright="20 %", step="in"))["first_null"]
    assert moved == pytest.approx(math.degrees(math.acos(-0.2)), abs=0.5)
    assert values(answer(kind="frame", upright="80 %"))["first_null"] is None


def test_out_of_step_the_null_is_as_deep_as_the_upright_effect():
    depth = values(answer(kind="frame", upright="5 %"))["null_depth"]
    assert depth == pytest.approx(20.0 * math.log10(math.hypot(1.0, 0.05) / 0.05), rel=1e-6)


# --- cautions -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in (*LOOPS, "dummy", "indoor")])
def test_an_outdoor_wire_carries_its_cautions(kind):
    told = " ".join(advice["text"] for advice in answer(kind=kind)["advice"] if advice["kind"] == "caution").lower()
    for word in ("power line", "whole possible fall", "lightning", "no promise", "mains earth", "gas pipe", "guys",
                 "ladder", "protective multiple earthing", "licensed electrician", "local codes"):  # fmt: skip
        assert word in told


def test_an_indoor_wire_has_those_of_its_earth():
    told = " ".join(advice["text"] for advice in answer(kind="indoor")["advice"] if advice["kind"] == "caution")
    assert "mains earth" in told
    assert "mains wiring" in told


# --- whatever is typed --------------------------------------------------------------------------------------------


def test_hundreds_of_good_inputs():
    answered = 0
    for texts in generated_inputs(FORM, 150, seed=41):
        found = bridge.run("aerial", texts)
        answered += found["ok"]
        for name in found.get("errors", ()):
            assert is_asked(FORM, FORM.field(name), texts), (name, texts)
    assert answered > 100


def test_bad_inputs_are_named():
    for texts, name in bad_inputs(FORM, 120, seed=42):
        assert list(bridge.run("aerial", texts)["errors"]) == [name]


@pytest.mark.parametrize(
    ("texts", "name"),
    [
        ({"wire": "20 mm"}, "wire"),
        ({"wire": "0.01 mm"}, "wire"),
        ({"height": "100", "span": "300", "frequency": "3 MHz"}, "frequency"),
        ({"kind": "sloping", "near_height": "100", "far_height": "1", "ground_distance": "1"}, "ground_distance"),
        ({"kind": "indoor", "room_wire": "30"}, "room_wire"),
        ({"kind": "frame", "frame_depth": "1 mm"}, "frame_depth"),
        ({"kind": "frame", "frame_wire": "20 mm", "frame_turns": "1", "frame_width": "150"}, "frame_wire"),
        ({"kind": "rod", "rod_length": "25 mm"}, "rod_length"),
        ({"kind": "rod", "rod_coil_length": "300 mm"}, "rod_coil_length"),
        ({"kind": "rod", "rod_coil_place": "95 mm"}, "rod_coil_length"),
    ],
)
def test_what_does_not_go_together_is_named_where_it_can_be_mended(texts, name):
    refused = bridge.run("aerial", texts)
    assert list(refused["errors"]) == [name]
    assert refused["errors"][name].endswith(".")


@pytest.mark.parametrize(
    "texts",
    [
        {"height": "1", "span": "1"},
        {"height": "100", "span": "300", "frequency": "100 kHz"},
        {"kind": "several", "height": "100", "span": "300", "number": "8", "spacing": "20", "frequency": "100 kHz"},
        {"kind": "low", "low_height": "1", "low_length": "400", "frequency": "100 kHz"},
        {"kind": "measured", "measured_inductance": "0", "measured_capacitance": "5p"},
        {"kind": "measured", "measured_inductance": "1 mH", "measured_capacitance": "5n"},
        {"kind": "frame", "frame_turns": "1"},
        {"kind": "rod", "turned": "-90", "upright": "0"},
        {"kind": "frame", "turned": "90", "upright": "100 %", "step": "in"},
        {"earth_resistance": "0", "metal": "stainless"},
    ],
)
def test_the_ends_of_what_may_be_typed(texts):
    answer(**texts)
