"""Behaviour of earths: shape laws, many electrodes, refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import earths
from calc.units import InputError

lengths = st.floats(0.3, 6.0)
diameters = st.floats(0.005, 0.05)
resistivities = st.floats(5.0, 5000.0)


@given(lengths, diameters, resistivities, st.floats(0.2, 5.0))
def test_stake_laws(length, diameter, resistivity, factor):
    value = earths.stake_resistance(length, diameter, resistivity)
    assert value > 0.0
    assert earths.stake_resistance(length, diameter, factor * resistivity) == pytest.approx(factor * value, rel=1e-13)
    scaled = earths.stake_resistance(factor * length, factor * diameter, resistivity)
    assert scaled == pytest.approx(value / factor, rel=1e-12)
    assert earths.stake_resistance(1.5 * length, diameter, resistivity) < value


def test_stake_against_a_half_spheroid():
    # IDENTITY: half a prolate spheroid of the same length and middle diameter has rho/(2 pi l) ln(2l/a) exactly; an
    # even rod is stouter towards its end, so it has less
    length, radius, rho = 2.0, 0.01, 100.0
    spheroid = rho / (2.0 * np.pi * length) * np.log(2.0 * length / radius)
    value = earths.stake_resistance(length, 2.0 * radius, rho)
    assert 0.93 * spheroid < value < spheroid


@settings(max_examples=30)
@given(st.integers(2, 8), st.floats(1.0, 20.0))
def test_stakes_share_and_hinder(number, spacing):
    places = [(spacing * n, 0.0) for n in range(number)]
    one = earths.stakes_resistance([(0.0, 0.0)], 1.2, 0.012, 100.0)
    assert one == earths.stake_resistance(1.2, 0.012, 100.0)
    together = earths.stakes_resistance(places, 1.2, 0.012, 100.0)
    assert one / number < together < one
    wider = earths.stakes_resistance([(1.5 * x, y) for x, y in places], 1.2, 0.012, 100.0)
    assert wider < together


def test_far_stakes_are_plain_parallel():
    places = [(0.0, 0.0), (5e4, 0.0), (0.0, 5e4)]
    value = earths.stakes_resistance(places, 1.5, 0.016, 100.0)
    assert value == pytest.approx(earths.stake_resistance(1.5, 0.016, 100.0) / 3.0, rel=1e-4)


def test_two_arms_in_line_are_one_wire():
    assert earths.star_resistance(2, 10.0, 0.002, 0.5, 100.0) == pytest.approx(
        earths.buried_wire_resistance(20.0, 0.002, 0.5, 100.0), rel=1e-3
    )


def test_buried_wires():
    longer = earths.buried_wire_resistance(np.array([5.0, 10.0, 20.0]), 0.002, 0.5, 100.0)
    assert np.all(np.diff(longer) < 0.0)
    deeper = earths.buried_wire_resistance(20.0, 0.002, np.array([0.1, 0.5, 2.0]), 100.0)
    assert np.all(np.diff(deeper) < 0.0)
    arms = [earths.star_resistance(n, 10.0, 0.002, 0.5, 100.0) for n in (2, 3, 4, 6, 12)]
    assert np.all(np.diff(arms) < 0.0)


def test_useful_length():
    # worked by hand: sqrt(100 / (pi 1e6 4e-7 pi)) = 5.0329 m
    assert earths.useful_buried_length(100.0, 1e6) == pytest.approx(5.0329, rel=1e-4)
    assert earths.useful_buried_length(100.0, 2.5e5) == pytest.approx(2.0 * 5.0329, rel=1e-4)


def test_counterpoise():
    values = [earths.counterpoise_capacitance(20.0, 0.002, 2.0, number, 0.5) for number in (1, 2, 4)]
    assert np.all(np.diff(values) > 0.0)
    assert values[2] < 4.0 * values[0]
    assert earths.counterpoise_capacitance(20.0, 0.002, [1.0, 3.0]).shape == (2,)


def test_soils():
    for soil in earths.soils().values():
        assert soil.low < soil.resistivity < soil.high


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("length", lambda: earths.stake_resistance(0.0, 0.01, 100.0)),
        ("diameter", lambda: earths.stake_resistance(1.0, 2.0, 100.0)),
        ("resistivity", lambda: earths.stake_resistance(1.0, 0.01, np.nan)),
        ("places", lambda: earths.stakes_resistance([], 1.0, 0.01, 100.0)),
        ("places", lambda: earths.stakes_resistance([(0.0, 0.0), (0.05, 0.0)], 1.0, 0.01, 100.0)),
        ("depth", lambda: earths.buried_wire_resistance(10.0, 0.01, 0.001, 100.0)),
        ("wire_diameter", lambda: earths.buried_wire_resistance(1.0, 2.0, 3.0, 100.0)),
        ("arms", lambda: earths.star_resistance(1, 10.0, 0.002, 0.5, 100.0)),
        ("frequency", lambda: earths.useful_buried_length(100.0, 0.0)),
        ("number", lambda: earths.counterpoise_capacitance(10.0, 0.002, 2.0, 0)),
        ("height", lambda: earths.counterpoise_capacitance(10.0, 0.002, 0.001)),
    ],
)
def test_refusals(argument, call):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument
