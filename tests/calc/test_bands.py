"""Bands, coils and capacitors: identities, a root finder, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc import bands
from calc.units import InputError

CAPACITANCE = st.floats(1e-12, 1e-8)
FREQUENCY = st.floats(1e4, 1e8)


def test_a_microhenry_and_a_microfarad():
    """1 / (2 pi) of a megahertz, as on every reactance chart."""
    assert bands.resonant_frequency(1e-6, 1e-6) == pytest.approx(159154.943091895, rel=1e-14)


@given(FREQUENCY, CAPACITANCE)
def test_three_ways_round_the_same_triangle(frequency, capacitance):
    inductance = bands.inductance_for(frequency, capacitance)
    assert bands.resonant_frequency(inductance, capacitance) == pytest.approx(frequency, rel=1e-14)
    assert bands.capacitance_for(frequency, inductance) == pytest.approx(capacitance, rel=1e-14)
    # where the two reactances are equal, which is what being in tune means
    assert 2 * math.pi * frequency * inductance == pytest.approx(1 / (2 * math.pi * frequency * capacitance), rel=1e-14)


@given(FREQUENCY, st.floats(1.2, 5.0), CAPACITANCE, st.floats(2.0, 50.0), st.floats(0.0, 1e-9))
def test_a_band_is_laid_in_the_middle_by_ratio(low, ratio, least, span, strays):
    high, most = low * ratio, least * span
    coil = bands.inductance_for_band(low, high, least, most, strays)
    bottom, top = bands.coverage(coil, least, most, strays)
    assert low / bottom == pytest.approx(top / high, rel=1e-12)
    assert top / bottom == pytest.approx(bands.tuning_ratio(least, most, strays), rel=1e-12)


def test_strays_that_just_cover_the_band():
    """The coil found by bisection on the lower edge agrees where the range just fits."""
    low, high, least, most = 526.5e3, 1606.5e3, 15e-12, 365e-12
    strays = brentq(lambda s: math.sqrt((most + s) / (least + s)) - high / low, 0.0, 1e-9, xtol=1e-25)
    coil = brentq(
        lambda inductance: 1 / (2 * math.pi * math.sqrt(inductance * (most + strays))) - low, 1e-6, 1e-2, xtol=1e-18
    )
    assert bands.inductance_for_band(low, high, least, most, strays) == pytest.approx(coil, rel=1e-9)
    assert bands.coverage(coil, least, most, strays) == pytest.approx((low, high), rel=1e-9)


@given(st.sampled_from(bands.CAPACITOR_LAWS), st.floats(0.0, 1.0), CAPACITANCE, st.floats(1.5, 50.0))
def test_dial_and_capacitance_are_each_others_inverse(law, position, least, span):
    capacitance = bands.capacitance_at(position, least, least * span, law)
    assert bands.dial_position(capacitance, least, least * span, law) == pytest.approx(position, abs=1e-12)


@pytest.mark.parametrize(
    ("law", "what"),
    [
        ("capacitance", lambda c: c),
        ("wavelength", lambda c: 2 * math.pi * 299792458 * np.sqrt(240e-6 * c)),
        ("frequency", lambda c: 1 / (2 * math.pi * np.sqrt(240e-6 * c))),
    ],
)
def test_each_law_makes_its_quantity_a_straight_line_of_the_dial(law, what):
    turned = np.linspace(0.0, 1.0, 11)
    line = what(bands.capacitance_at(turned, 15e-12, 365e-12, law))
    assert np.allclose(np.diff(line, 2), 0.0, atol=1e-9 * np.ptp(line))
    assert bands.capacitance_at(0.0, 15e-12, 365e-12, law) == pytest.approx(15e-12)
    assert bands.capacitance_at(1.0, 15e-12, 365e-12, law) == pytest.approx(365e-12)


def test_off_the_dial_lies_outside_nought_to_one():
    for law in bands.CAPACITOR_LAWS:
        assert bands.dial_position(400e-12, 15e-12, 365e-12, law) > 1.0
        assert bands.dial_position(10e-12, 15e-12, 365e-12, law) < 0.0


def test_the_nearest_channel():
    plan = bands.channel_plans()["medium-wave-9"]
    assert plan.nearest(913e3) == 909e3
    assert plan.nearest(914e3) == 918e3
    assert plan.nearest(1.0) == 531e3
    assert plan.nearest(3e6) == 1602e3


def test_arrays_broadcast_and_scalars_are_floats():
    assert type(bands.resonant_frequency(1e-4, 1e-10)) is float
    assert bands.resonant_frequency(np.ones((3, 1)) * 1e-4, np.ones(4) * 1e-10).shape == (3, 4)
    lowest, highest = bands.coverage([1e-4, 2e-4], 15e-12, 365e-12)
    assert lowest.shape == highest.shape == (2,)


REFUSED = [
    (bands.resonant_frequency, (0.0, 1e-10), "inductance"),
    (bands.resonant_frequency, (1e-4, math.inf), "capacitance"),
    (bands.inductance_for, (-1e6, 1e-10), "frequency"),
    (bands.inductance_for, (1e6, math.nan), "capacitance"),
    (bands.capacitance_for, (1e6, "a coil"), "inductance"),
    (bands.tuning_ratio, (365e-12, 15e-12), "most"),
    (bands.tuning_ratio, (15e-12, 365e-12, -1e-12), "strays"),
    (bands.tuning_ratio, (0.0, 365e-12), "least"),
    (bands.inductance_for_band, (1e6, 5e5, 15e-12, 365e-12), "high"),
    (bands.inductance_for_band, (5e5, 1e6, 15e-12, 15e-12), "most"),
    (bands.coverage, (1e-4, 15e-12, math.nan), "most"),
    (bands.dial_position, (1e-10, 15e-12, 365e-12, "cosine"), "law"),
    (bands.dial_position, (-1e-12, 15e-12, 365e-12, "wavelength"), "capacitance"),
    (bands.capacitance_at, (1.1, 15e-12, 365e-12), "position"),
    (bands.capacitance_at, (0.5, 15e-12, 365e-12, "cosine"), "law"),
    (bands.channel_plans()["long-wave"].nearest, (math.nan,), "frequency"),
]


@pytest.mark.parametrize(("function", "values", "argument"), REFUSED)
def test_what_cannot_be_is_named(function, values, argument):
    with pytest.raises(InputError) as caught:
        function(*values)
    assert caught.value.argument == argument
