"""The pair form: against Neumann's integral for loops at any angle, and sums of circles; and what it says of them."""

import math
import re
from functools import partial

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from calc import bridge
from calc.forms.coil_pair.pair import Pair, one_coil
from calc.forms.parts import COEFFICIENT_HELP
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values

answer = partial(form_answer, "coil-pair")


def charts(found):
    return {chart["key"]: chart for chart in found["charts"]}


def circles(a, b, apart):
    """Maxwell's mutual inductance of coaxial circles [H]."""
    m = 4.0 * a * b / ((a + b) ** 2 + apart**2)
    k = np.sqrt(m)
    return mu_0 * np.sqrt(a * b) * ((2.0 / k - k) * ellipk(m) - 2.0 / k * ellipe(m))


def loops(a, b, along, angle, points=400):
    """Neumann's double integral for two circles, the second turned about its own middle [H]."""
    phi = 2.0 * np.pi * np.arange(points) / points
    first = np.stack([a * np.cos(phi), a * np.sin(phi), 0.0 * phi])
    run_first = np.stack([-a * np.sin(phi), a * np.cos(phi), 0.0 * phi])
    sine, cosine = math.sin(angle), math.cos(angle)
    second = np.stack([b * np.cos(phi) * cosine, b * np.sin(phi), along - b * np.cos(phi) * sine])
    run_second = np.stack([-b * np.sin(phi) * cosine, b * np.cos(phi), b * np.sin(phi) * sine])
    gap = np.linalg.norm(first[:, :, None] - second[:, None, :], axis=0)
    step = (2.0 * np.pi / points) ** 2
    return mu_0 / (4.0 * math.pi) * step * np.sum(np.einsum("ki,kj->ij", run_first, run_second) / gap)


LOOPS = {
    "first_turns": "1", "first_pitch": "0.05 mm", "first_wire": "", "first_former": "80 mm",
    "second_turns": "1", "second_pitch": "0.05 mm", "second_wire": "", "second_former": "50 mm",
}  # fmt: skip


@pytest.mark.parametrize("angle", [0, 20, 60, 120, 180])
@pytest.mark.parametrize("distance", [0, 40, 150])
def test_two_loops_at_any_angle(distance, angle):
    found = values(answer(**LOOPS, distance=f"{distance} mm", angle=str(angle)))
    by_hand = loops(0.0400175, 0.0250175, 1e-3 * distance, math.radians(angle))
    assert found["mutual"] == pytest.approx(by_hand, rel=2e-3)


def test_at_a_right_angle_there_is_nothing():
    found = answer(**LOOPS, distance="40 mm", angle="90")
    assert values(found)["mutual"] == 0.0
    assert values(found)["coefficient"] == 0.0


@pytest.mark.parametrize("distance", [0, 60, 200])
def test_coils_on_tubes_are_the_sum_over_their_turns(distance):
    found = values(answer(second_former="110 mm", distance=f"{distance} mm"))
    first, second = 0.8e-3 * (np.arange(60) - 29.5), 0.9e-3 * (np.arange(10) - 4.5)
    apart = 1e-3 * distance + second - first[:, None]
    assert found["mutual"] == pytest.approx(np.sum(circles(0.03775, 0.0554, apart)), rel=1e-3)


@pytest.mark.parametrize("distance", [5, 25, 100])
def test_two_spirals_are_the_sum_over_their_turns(distance):
    texts = {"first_shape": "spiral", "second_shape": "spiral", "first_turns": "40", "second_turns": "25"}
    found = values(answer(**texts, distance=f"{distance} mm"))
    a, b = 0.01 + 0.8e-3 * (np.arange(40) + 0.5), 0.01 + 0.9e-3 * (np.arange(25) + 0.5)
    assert found["mutual"] == pytest.approx(np.sum(circles(a[:, None], b, 1e-3 * distance)), rel=2e-3)


@pytest.mark.parametrize("distance", [0, 30, 90])
def test_a_thick_coil_and_a_tube(distance):
    """20 to 36 mm across and 10 mm long: current spread evenly, here by 20 by 20 circles."""
    found = values(answer(first_shape="layers", first_turns="200", first_wire="", distance=f"{distance} mm"))
    share = (np.arange(20) + 0.5) / 20
    radius, place = np.meshgrid(0.01 + 0.008 * share, 0.01 * (share - 0.5))
    second = 0.9e-3 * (np.arange(10) - 4.5)
    apart = 1e-3 * distance + second - place.reshape(-1, 1)
    by_hand = 200 / 400 * np.sum(circles(radius.reshape(-1, 1), 0.0379, apart))
    assert found["mutual"] == pytest.approx(by_hand, rel=1e-3)


def test_own_inductances_are_those_of_the_coil_form():
    found = values(answer())
    alone = bridge.run("coil", {})["rows"]
    inductance = {row["key"]: row["value"] for row in alone}["inductance"]
    assert found["first_inductance"] == pytest.approx(inductance, rel=1e-12)
    geometric = math.sqrt(found["first_inductance"] * found["second_inductance"])
    assert found["coefficient"] == pytest.approx(found["mutual"] / geometric, rel=1e-12)
    assert found["aiding"] - found["opposing"] == pytest.approx(4.0 * found["mutual"], rel=1e-12)


SHAPES = ("tube", "layers", "spiral")


@pytest.mark.parametrize("first", SHAPES)
@pytest.mark.parametrize("second", SHAPES)
def test_whichever_comes_first(first, second):
    """Mutual inductance is the same either way round, and the coefficient below one."""
    names = ("shape", "turns", "former", "inner", "depth", "length", "wire", "pitch")
    one = dict(zip(names, (first, "50", "75 mm", "30 mm", "6 mm", "12 mm", "0.3 mm", "0.5 mm"), strict=True))
    other = dict(zip(names, (second, "20", "60 mm", "24 mm", "5 mm", "9 mm", "0.4 mm", "0.6 mm"), strict=True))
    ways = [
        {f"first_{k}": v for k, v in a.items()} | {f"second_{k}": v for k, v in b.items()}
        for a, b in ((one, other), (other, one))
    ]
    there, back = (values(answer(**way, distance="80 mm")) for way in ways)
    assert there["mutual"] == pytest.approx(back["mutual"], rel=1e-9)
    assert 0.0 < there["coefficient"] < 1.0


@pytest.mark.parametrize("first", SHAPES)
@pytest.mark.parametrize("second", SHAPES)
def test_the_distance_for_a_coefficient_has_it(first, second):
    texts = {"first_shape": first, "second_shape": second, "wanted": "4 %"}
    there = values(answer(**texts, distance="90 mm"))["wanted_distance"]
    assert there is not None
    found = values(answer(**texts, distance=f"{there * 1e3:.12g} mm"))
    assert found["coefficient"] == pytest.approx(0.04, rel=1e-6)


def test_the_angle_for_a_coefficient_has_it():
    texts = {"second_former": "50 mm", "distance": "0 mm", "wanted": "20 %"}
    angle = values(answer(**texts))["wanted_angle"]
    assert values(answer(**texts, angle=f"{angle:.10g}"))["coefficient"] == pytest.approx(0.2, rel=0.01)


def test_a_coefficient_out_of_reach_is_said_to_be():
    found = answer(wanted="90 %")
    assert values(found)["wanted_distance"] is None
    assert "more than they reach" in found["sentence"]


def test_half_a_turn_reverses_the_sign():
    one, other = (values(answer(second_former="40 mm", distance="20 mm", angle=str(angle))) for angle in (35, 145))
    assert other["mutual"] == pytest.approx(-one["mutual"], rel=1e-6)


# --- where they can be ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"distance": "28.4 mm"}, "distance"),  # half of 48 mm and of 9 mm is 28.5 mm
        ({"first_shape": "spiral", "second_shape": "spiral", "distance": "0.5 mm"}, "distance"),
        ({"distance": "30 mm", "angle": "90"}, "angle"),
        ({"first_pitch": "0.4 mm"}, "first_pitch"),
        ({"second_wire": "25 mm", "second_pitch": "30 mm"}, "second_wire"),
        ({"second_shape": "layers", "second_wire": "5 mm", "second_turns": "200"}, "second_wire"),
        ({"second_shape": "spiral", "second_turns": "301"}, "second_turns"),
        ({"second_former": "3 mm", "second_wire": "4 mm", "second_pitch": "5 mm"}, "second_former"),
        ({"wanted": "0"}, "wanted"),
        ({"angle": "181"}, "angle"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("coil-pair", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]


def test_touching_and_concentric_coils_are_answered():
    assert values(answer(distance="28.5 mm"))["gap"] == pytest.approx(0.0, abs=1e-9)
    assert values(answer(second_former="76 mm", distance="0"))["gap"] is None
    assert 0.5 < values(answer(second_former="76 mm", distance="0"))["coefficient"] < 0.8


def test_windings_that_come_near_when_turned_are_remarked_on():
    assert any("come within" in a["text"] for a in answer(angle="30", distance="47 mm")["advice"])
    assert not any("come within" in a["text"] for a in answer(angle="30", distance="120 mm")["advice"])


def test_a_coil_that_cannot_be_turned_has_no_curve_of_angles():
    found = answer(second_former="76 mm", distance="0")
    assert "turn" not in charts(found)
    assert any("cannot be turned" in a["text"] for a in found["advice"])
    assert "turn" in charts(answer(second_former="40 mm", distance="0"))


@pytest.mark.parametrize("first", SHAPES)
@pytest.mark.parametrize("second", SHAPES)
def test_the_free_angle_is_that_of_trying_all(first, second):
    v = {"first_shape": first, "second_shape": second}
    for name, size in (("former", 0.06), ("inner", 0.03), ("depth", 6e-3), ("length", 0.02), ("pitch", 8e-4)):
        v |= {f"first_{name}": size, f"second_{name}": 0.8 * size}
    pair = Pair(*(one_coil(v | {f"{at}_turns": 30.0, f"{at}_wire": None}, at) for at in ("first", "second")))
    for distance in np.linspace(0.0, 0.1, 41):
        crossed = [math.radians(a) for a in range(0, 91, 5) if pair.clearance(distance, math.radians(a)) <= 0.0]
        expected = max(0.0, crossed[0] - math.radians(5)) if crossed else 0.5 * math.pi
        assert pair.free_angle(distance) == pytest.approx(expected, abs=1e-12)


# --- charts and drawing -----------------------------------------------------------------------------------------------


def test_curves_pass_through_the_figure():
    found = answer(distance="70 mm")
    slide, turn = charts(found)["slide"], charts(found)["turn"]
    now = values(found)["coefficient"]
    (line,) = slide["series"]
    assert np.interp(0.07, line["x"], line["y"]) == pytest.approx(now, rel=0.01)
    assert np.all(np.diff(line["y"]) < 0.0)
    assert slide["marks"][0]["x"] == pytest.approx(0.07)
    assert turn["series"][0]["y"][0] == pytest.approx(now, rel=3e-3)
    assert turn["series"][0]["y"][-1] == 0.0


@pytest.mark.parametrize("angle", [15, 45, 75])
def test_the_curve_of_angles_is_that_of_single_angles(angle):
    curve = charts(answer(distance="80 mm"))["turn"]["series"][0]
    there = np.interp(angle, curve["x"], curve["y"])
    assert there == pytest.approx(values(answer(distance="80 mm", angle=str(angle)))["coefficient"], rel=5e-3)


def test_the_drawing_is_to_scale_and_turned():
    (drawing,) = answer(distance="90 mm", angle="90", second_turns="5")["drawings"]
    second = [s for s in drawing["shapes"] if s["shape"] == "circle" and s["role"] == "accent"]
    assert len(second) == 10
    # axis upright: turns stand over one another, left and right of the middle at 90 mm
    assert {round(circle["x"], 2) for circle in second} == {90 - 37.9, 90 + 37.9}
    assert max(c["y"] for c in second) - min(c["y"] for c in second) == pytest.approx(4 * 0.9, abs=1e-3)


def test_what_forms_say_of_a_windings_coupling_is_what_the_coils_have():
    """Over the end, and at gaps of nought, 13 and 30 mm; the second coil is 9 mm long, the first 48."""
    said = [int(percent) / 100.0 for percent in re.findall(r"(\d+) %", COEFFICIENT_HELP)]
    over = values(answer(second_former="78 mm", distance="20 mm"))
    beside = [values(answer(distance=f"{28.5 + gap} mm")) for gap in (0.5, 13.0, 30.0)]
    assert [found["coefficient"] for found in (over, *beside)] == pytest.approx(said, rel=0.08)
