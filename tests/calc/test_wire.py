"""Wire: names of sizes, skin effect, covering, reels."""

import math

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ive

from calc import wire
from calc.constants import VACUUM_PERMEABILITY as MU0
from calc.units import InputError


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("AWG 24", 0.5105592), ("24 AWG", 0.5105592), ("awg24", 0.5105592), ("#24 AWG", 0.5105592), ("AWG 0", 8.251463),
        ("AWG 1/0", 8.251463), ("AWG 00", 9.265833), ("AWG 2/0", 9.265833), ("AWG 0000", 11.684), ("4/0 awg", 11.684),
        ("SWG 22", 0.7112), ("22swg", 0.7112), ("SWG 7/0", 12.7), ("SWG 0", 8.2296), ("SWG 1/0", 8.2296),
        ("SWG 50", 0.0254),
        ("0.5 mm", 0.5), ("0,5 mm", 0.5), ("0.5", 0.5), ("500 um", 0.5), ("0.02 in", 0.508), ("1/32 in", 0.79375),
    ],
)  # fmt: skip
def test_names_of_sizes(text, millimetres):
    assert wire.diameter(text) == pytest.approx(millimetres * 1e-3, rel=5e-7)


@pytest.mark.parametrize(
    "text", ["", "AWG", "AWG 51", "AWG 5/0", "SWG 51", "SWG 8/0", "BWG 20", "thick", "-0.5 mm", "0 mm"]
)
def test_names_that_are_no_size(text):
    with pytest.raises(InputError) as refusal:
        wire.diameter(text)
    assert refusal.value.argument == "wire"


def test_gauges_grow_thinner():
    awg = [wire.diameter(f"AWG {name}") for name in ("0000", "000", "00", *range(51))]
    swg = list(wire.standard_wire_gauge().values())
    assert len(swg) == 57
    assert np.all(np.diff(awg) < 0.0)
    assert np.all(np.diff(swg) < 0.0)


@pytest.mark.parametrize("x", [1e-3, 0.1, 1.0, 3.0, 10.0, 24.99, 25.01, 80.0, 1e4])
def test_eddies_to_the_last_digits(x):
    size = 1e-3
    frequency = x**2 * wire.resistivity() / (2.0 * math.pi * MU0 * (0.5 * size) ** 2)
    with mpmath.workdps(40):
        z = mpmath.mpf(x) * mpmath.expjpi(mpmath.mpf(1) / 4)
        inside = z / 2 * mpmath.besseli(0, z) / mpmath.besseli(1, z)
        screening = mpmath.besseli(2, z) / mpmath.besseli(0, z)
        across = mpmath.mpf(x) ** 2 / 4 * screening.imag
    effect = wire.eddies(size, frequency)
    assert float(effect.skin) == pytest.approx(float(inside.real), rel=1e-12)
    assert wire.resistance_ratio(size, frequency) == pytest.approx(float(inside.real), rel=1e-12)
    assert float(effect.transverse) == pytest.approx(float(across), rel=1e-11)
    assert complex(effect.screening) == pytest.approx(complex(screening), rel=1e-11)
    inner = float((8 * inside.imag / mpmath.mpf(x) ** 2) if x > 1e-3 else 1)
    assert wire.internal_inductance_ratio(size, frequency) == pytest.approx(inner, rel=1e-9)


def test_skin_effect_over_a_wide_sweep_against_scipy():
    frequency = np.geomspace(1.0, 1e10, 2000)
    size = np.array([[0.05e-3], [0.5e-3], [2e-3]])
    z = 0.5 * size * np.sqrt(2j * np.pi * frequency * MU0 / wire.resistivity())
    exact = (0.5 * z * ive(0, z) / ive(1, z)).real
    np.testing.assert_allclose(wire.resistance_ratio(size, frequency), exact, rtol=1e-9)
    np.testing.assert_allclose(wire.resistance_ratio(size[1], frequency), exact[1], rtol=1e-9)


def test_no_skin_effect_at_rest():
    assert wire.resistance_ratio(1e-3, 0.0) == 1.0
    assert wire.internal_inductance_ratio(1e-3, 0.0) == 1.0
    assert float(wire.eddies(1e-3, 0.0).transverse) == 0.0


@given(st.floats(2e-5, 5e-3), st.floats(0.0, 1e8), st.floats(1.01, 3.0))
def test_skin_effect_grows_with_frequency_and_size(size, frequency, more):
    ratio = wire.resistance_ratio(size, frequency)
    assert ratio >= 1.0
    assert wire.resistance_ratio(size, more * frequency) >= ratio * (1.0 - 1e-12)
    assert wire.resistance_ratio(more * size, frequency) >= ratio * (1.0 - 1e-12)


@given(st.floats(2e-5, 5e-3), st.floats(0.0, 1e4), st.floats(-100.0, 200.0))
def test_resistance_and_its_inverse(size, length, temperature):
    ohms = wire.dc_resistance(size, length, temperature)
    assert ohms == pytest.approx(
        length / 58e6 / (math.pi / 4.0 * size**2) * (1.0 + 0.00393 * (temperature - 20.0)), rel=1e-12
    )
    assert wire.length_of_resistance(size, ohms, temperature) == pytest.approx(length, rel=1e-12)


@given(st.floats(2e-5, 5e-3), st.floats(0.0, 1e5))
def test_mass_and_its_inverse(size, length):
    assert wire.length_of_mass(size, wire.mass(size, length)) == pytest.approx(length, rel=1e-12)


def test_reel_of_half_a_pound():
    # 24 AWG: 1.22 lb per 1000 ft, from memory of printed wire tables
    assert wire.mass(wire.diameter("AWG 24"), 304.8) == pytest.approx(1.223 * 0.45359237, rel=0.003)
    # and 25.67 ohm per 1000 ft at 20 degC in the table of the Bureau of Standards' Circular 31, from memory
    assert wire.dc_resistance(wire.diameter("AWG 24"), 304.8) == pytest.approx(25.67, rel=0.001)


def test_enamel_at_the_standards_sizes():
    # IEC 60317-0-1, greatest overall diameters
    for bare, first, second in ((0.1, 0.117, 0.125), (0.2, 0.226, 0.239), (0.315, 0.349, 0.367), (0.5, 0.544, 0.566)):
        assert wire.covered_diameter(bare * 1e-3) == pytest.approx(first * 1e-3, rel=1e-12)
        assert wire.covered_diameter(bare * 1e-3, "enamel grade 2") == pytest.approx(second * 1e-3, rel=1e-12)


def test_enamel_grows_with_the_wire_and_the_grade():
    bare = np.geomspace(0.04e-3, 2e-3, 300)
    first, second = (wire.covered_diameter(bare, f"enamel grade {grade}") for grade in (1, 2))
    assert np.all(bare < first)
    assert np.all(first < second)
    assert np.all(np.diff(first) > 0.0)
    assert np.all(np.diff(first / bare) < 0.01)


def test_other_coverings():
    thickness = [
        wire.covered_diameter(0.5e-3, covering) - 0.5e-3 for covering in wire.COVERINGS if "enamel" not in covering
    ]
    assert thickness[0] == 0.0
    assert np.all(np.diff(thickness) > 0.0)
    with pytest.raises(InputError) as refusal:
        wire.covered_diameter(0.5e-3, "wool")
    assert refusal.value.argument == "covering"
    for size in (0.03e-3, 2.1e-3):
        with pytest.raises(InputError) as refusal:
            wire.covered_diameter(size, "enamel grade 1")
        assert refusal.value.argument == "wire_diameter"


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("wire_diameter", lambda: wire.dc_resistance(0.0, 1.0)),
        ("length", lambda: wire.dc_resistance(1e-3, -1.0)),
        ("temperature", lambda: wire.dc_resistance(1e-3, 1.0, 201.0)),
        ("frequency", lambda: wire.resistance_ratio(1e-3, -1.0)),
        ("frequency", lambda: wire.skin_depth(0.0)),
        ("wire_diameter", lambda: wire.resistance_ratio(math.nan, 1.0)),
        ("copper_mass", lambda: wire.length_of_mass(1e-3, -1.0)),
        ("resistance", lambda: wire.length_of_resistance(1e-3, -1.0)),
        ("length", lambda: wire.mass(1e-3, math.inf)),
    ],
)
def test_refused_by_name(argument, call):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.argument == argument
