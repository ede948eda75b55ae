"""The wire form: by hand from the standards' own figures, scipy's Bessel functions, and what it says of a reel."""

import math
from functools import partial

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import iv

from calc import bridge
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values

answer = partial(form_answer, "wire")


def table(found, key):
    return {
        row[0]["value"]: [cell["value"] for cell in row[1:]]
        for t in found["tables"]
        if t["key"] == key
        for row in t["rows"]
    }


def test_a_metre_by_hand():
    """IEC 60028: 1/58 ohm mm2/m, 8890 kg/m3. A metre of 0.5 mm wire has 87.8 milliohm and 1.75 g."""
    found = values(answer())
    area = math.pi / 4 * 0.5**2
    assert found["resistance"] == pytest.approx(1 / 58 / area, rel=1e-6)
    assert found["mass"] == pytest.approx(area * 8.89, rel=1e-6)
    assert found["covered"] == pytest.approx(0.544e-3, rel=1e-9)  # IEC 60317-0-1, grade 1
    assert found["turns_per_length"] == pytest.approx(10 / 0.544, rel=1e-9)


@pytest.mark.parametrize("frequency", [10e3, 1e6, 30e6])
@pytest.mark.parametrize("size", [0.05, 0.5, 2.0])
def test_skin_effect_by_bessel_functions(size, frequency):
    found = values(answer(wire=f"{size} mm", frequency=f"{frequency} Hz"))
    depth = math.sqrt(1 / 58e6 / (math.pi * frequency * mu_0))
    assert found["skin_depth"] == pytest.approx(depth, rel=1e-6)
    z = (1 + 1j) * 0.5e-3 * size / depth
    assert found["ratio"] == pytest.approx((z / 2 * iv(0, z) / iv(1, z)).real, rel=1e-6)
    assert found["rf_resistance"] == pytest.approx(found["resistance"] * found["ratio"], rel=1e-12)


@pytest.mark.parametrize(
    ("name", "inches"), [("AWG 18", 0.0403), ("AWG 24", 0.0201), ("SWG 22", 0.028), ("SWG 36", 0.0076)]
)
def test_gauges(name, inches):
    """ASTM B258 to its printed four places; BS 3737."""
    assert values(answer(wire=name))["diameter"] == pytest.approx(inches * 0.0254, abs=0.00005 * 0.0254)


def test_sizes_near_it_are_sorted_and_hold_the_size_itself():
    near = table(answer(wire="AWG 24"), "sizes")
    assert near["AWG 24"][1] == pytest.approx(1.0, rel=1e-12)
    thick = [row[0] for row in near.values()]
    assert thick == sorted(thick, reverse=True)
    assert {name.split()[0] for name in near} == {"AWG", "SWG"}
    assert len(near) == 6


def test_other_coverings():
    found = table(answer(), "coverings")
    assert found["bare"][0] == pytest.approx(0.5e-3)
    assert found["bare"][0] < found["enamel, grade 1"][0] < found["enamel, grade 2 (thicker)"][0]
    assert found["one layer of cotton"][0] < found["two layers of cotton"][0]
    assert table(answer(wire="3 mm"), "coverings")["enamel, grade 1"][0] is None


@pytest.mark.parametrize("size", ["0.1 mm", "0.5 mm", "AWG 20"])
def test_three_ways_to_know_a_reel_agree(size):
    by_length = values(answer(wire=size, reel="length", reel_length="40 m"))
    for reel, field, value in (
        ("mass", "reel_mass", f"{by_length['reel_mass']:.12g} g"),
        ("resistance", "reel_resistance", f"{by_length['reel_resistance']:.12g} ohm"),
    ):
        found = values(answer(wire=size, reel=reel, **{field: value}))
        assert found["on_reel"] == pytest.approx(40.0, rel=1e-9)


def test_a_warm_reel_has_more_resistance_for_its_length():
    warm = values(answer(reel="resistance", reel_resistance="5", temperature="35 °C"))
    cool = values(answer(reel="resistance", reel_resistance="5"))
    assert cool["on_reel"] / warm["on_reel"] == pytest.approx(1 + 0.00393 * 15, rel=1e-9)


def test_will_the_reel_do():
    enough = answer(reel="length", reel_length="20 m", need="15 m")
    assert "enough" in enough["sentence"]
    assert values(enough)["spare"] == pytest.approx(5.0)
    short = answer(reel="length", reel_length="12 m", need="15 m")
    assert "too little" in short["sentence"]
    assert values(short)["spare"] == pytest.approx(3.0)
    assert "spare" not in values(answer(need=""))
    near = answer(reel="mass", reel_mass="27 g", need="15 m")
    assert any("near thing" in a["text"] for a in near["advice"])


def test_the_need_of_the_default_coil_is_met_by_the_default_reel():
    """The wire that the coil form asks for, put in here as it stands there."""
    coil = {row["key"]: row["text"] for row in bridge.run("coil", {})["rows"]}
    assert "enough" in answer(need=coil["wire_length"])["sentence"]


def test_the_chart_passes_through_the_figure():
    found = answer(frequency="1 MHz")
    (chart,) = found["charts"]
    here, half = chart["series"]
    x, y = np.log(here["x"]), np.log(here["y"])
    assert np.exp(np.interp(math.log(1e6), x, y)) == pytest.approx(values(found)["rf_resistance"], rel=1e-3)
    # full of current, half the thickness has four times the resistance; in the skin alone, twice
    assert half["y"][0] / here["y"][0] == pytest.approx(4.0, rel=0.02)
    assert half["y"][-1] / here["y"][-1] == pytest.approx(2.0, rel=0.05)


def test_the_drawing_shows_the_skin_to_scale():
    (drawing,) = answer()["drawings"]
    radii = {shape["role"]: shape["radius"] for shape in drawing["shapes"] if shape["shape"] == "circle"}
    assert radii["thin"] / radii["ink"] == pytest.approx(0.544 / 0.5, rel=1e-4)
    depth = values(answer())["skin_depth"]
    assert (radii["ink"] - radii["accent"]) / radii["ink"] == pytest.approx(depth / 0.25e-3, rel=1e-3)
    (thin,) = answer(wire="0.1 mm")["drawings"]
    assert not any(s["shape"] == "circle" and s["role"] == "accent" for s in thin["shapes"])


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"wire": "25 mm"}, "wire"),
        ({"wire": "0.005 mm"}, "wire"),
        ({"wire": "AWG 60"}, "wire"),
        ({"reel_mass": "0"}, "reel_mass"),
        ({"frequency": "1 kHz"}, "frequency"),
        ({"temperature": "300"}, "temperature"),
        ({"need": "-1"}, "need"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("wire", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]
