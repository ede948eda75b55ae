"""An earth from three stakes: hemispheres worked out by themselves, scipy, and intervals that keep their word."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from calc.fitting.earth_stakes import TRUE_SHARE, StakeBench, fit_stakes, nearness, reading, slope_method
from calc.units import InputError

FAR = 25.0
PLACES = np.array([0.2, 0.3, 0.4, 0.5, 0.6, 0.7]) * FAR
NOISY = StakeBench(FAR, 0.015, 0.1, 0.05, 0.3, 0.01)


def potential(resistivity, current, distance):
    """Of a point that feeds a current into the surface of a half space [V]."""
    return resistivity * current / (2.0 * math.pi * distance)


@given(st.floats(0.01, 0.3), st.floats(1.0, 1e4), st.floats(5.0, 100.0), st.floats(0.1, 0.95))
def test_a_hemisphere_and_a_point_by_their_potentials(radius, resistivity, far, share):
    """One ampere in at a hemisphere and out at the current stake: the voltage from its edge to the potential stake."""
    place = share * far
    edge = potential(resistivity, 1.0, radius) - potential(resistivity, 1.0, far)
    there = potential(resistivity, 1.0, place) - potential(resistivity, 1.0, far - place)
    own = resistivity / (2.0 * math.pi * radius)
    assert reading(own, resistivity, place, far) == pytest.approx(edge - there, rel=1e-9)


@given(st.floats(5.0, 300.0))
def test_the_bracket_is_nought_at_the_golden_section(far):
    assert nearness(TRUE_SHARE * far, far) * far == pytest.approx(0.0, abs=1e-13)


@given(st.floats(0.5, 500.0), st.floats(1.0, 5000.0))
def test_without_noise_the_truth_comes_back(resistance, resistivity):
    read = reading(resistance, resistivity, PLACES, FAR)
    if np.all(read > 0.0):
        found = fit_stakes(PLACES[::-1], read[::-1], NOISY)
        assert found.resistance.value == pytest.approx(resistance, rel=1e-9)
        assert found.resistivity.value == pytest.approx(resistivity, rel=1e-9)
        assert found.residuals == pytest.approx(np.zeros(6), abs=1e-9 * resistance)


def noisy_readings(resistance, resistivity, rng):
    far = FAR + NOISY.current_distance_uncertainty * rng.standard_normal()
    places = PLACES + NOISY.tape_uncertainty * rng.standard_normal(PLACES.size)
    scale = 1.0 + NOISY.scale_uncertainty * rng.standard_normal()
    own = 1.0 + NOISY.reading_uncertainty * rng.standard_normal(PLACES.size)
    return scale * own * reading(resistance, resistivity, places, far) + NOISY.floor * rng.standard_normal(PLACES.size)


def test_intervals_hold_the_truth_as_often_as_they_say():
    rng = np.random.default_rng(4)
    held = np.zeros(2)
    for _ in range(1000):
        found = fit_stakes(PLACES, noisy_readings(62.0, 95.0, rng), NOISY)
        told = ((found.resistance, 62.0), (found.resistivity, 95.0))
        held += [low <= true <= high for (low, high), true in ((each.interval(), true) for each, true in told)]
    assert np.all((held >= 930) & (held <= 970)), held


def test_against_scipys_least_squares():
    read = noisy_readings(62.0, 95.0, np.random.default_rng(8))
    found = fit_stakes(PLACES, read, NOISY)

    def wrong(x):
        resistance, resistivity, far, scale = x
        bracket = 1.0 / (far - PLACES) - 1.0 / PLACES - 1.0 / far
        fitted = scale * (resistance + resistivity / (2.0 * math.pi) * bracket)
        return np.concatenate([fitted - read, [far - FAR, scale - 1.0]]) / found.estimate.uncertainty

    theirs = least_squares(wrong, [50.0, 50.0, FAR, 1.0], xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    assert found.estimate.values == pytest.approx(theirs.x, rel=1e-6)
    covariance = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert np.sqrt(np.diagonal(found.estimate.covariance)) == pytest.approx(np.sqrt(np.diagonal(covariance)), rel=1e-5)


@given(st.floats(-0.15, 3.0), st.floats(1.0, 1e3), st.floats(1.0, 1e3))
def test_the_slope_method_finds_a_middle_that_is_off_the_tape(offset, level, steepness):
    """Readings with the earth's middle before the start of the tape, by the potentials; the true one is read where
    the method says."""

    def read(share):
        return level + steepness * (1.0 / (1.0 - share) - 1.0 / (share + offset) - 1.0 / (1.0 + offset))

    found = slope_method(read(0.2), read(0.4), read(0.6))
    assert found.offset == pytest.approx(offset, abs=1e-6)
    assert read(found.share) == pytest.approx(level, abs=1e-5 * max(level, steepness))


def test_the_slope_method_as_a_check():
    found = fit_stakes(PLACES, reading(62.0, 95.0, PLACES, FAR), NOISY)
    assert found.slopes.share == pytest.approx(TRUE_SHARE, abs=1e-9)
    assert found.slope_resistance == pytest.approx(62.0, rel=0.001)  # straight lines between readings
    without = fit_stakes(PLACES[1:], reading(62.0, 95.0, PLACES[1:], FAR), NOISY)
    assert without.slopes is None
    assert without.slope_resistance is None
    off = 0.1  # an earth whose middle lies 2.5 m behind: the plain method reads low, the slopes tell
    shares = PLACES / FAR
    big = 20.0 + 2.0 * (1.0 / (1.0 - shares) - 1.0 / (shares + off) - 1.0 / (1.0 + off))
    again = fit_stakes(PLACES, big, NOISY)
    assert abs(again.resistance.value - 20.0) > 5.0 * abs(again.slope_resistance - 20.0)


def test_no_plateau_is_seen_in_the_readings_about_the_true_place():
    near, far = (
        fit_stakes(d * PLACES / FAR, reading(62.0, 95.0, d * PLACES / FAR, d), StakeBench(d)) for d in (3.0, 60.0)
    )
    assert np.diff(near.plateau)[0] > 10.0 * np.diff(far.plateau)[0]


@pytest.mark.parametrize(
    ("distance", "resistance", "argument"),
    [
        ([5.0], [60.0], "distance"),
        ([5.0, 5.0], [60.0, 61.0], "distance"),
        ([5.0, 25.0], [60.0, 61.0], "distance"),
        ([0.0, 15.0], [60.0, 61.0], "distance"),
        ([5.0, 15.0], [60.0, 0.0], "resistance"),
        ([5.0, 15.0], [60.0, 61.0, 62.0], "resistance"),
        ([16.0, 24.0], [1.0, 1000.0], "resistance"),
    ],
)
def test_what_cannot_be_is_refused(distance, resistance, argument):
    with pytest.raises(InputError) as caught:
        fit_stakes(distance, resistance, NOISY)
    assert caught.value.argument == argument


@pytest.mark.parametrize("readings", [(60.0, 60.0, 61.0), (60.0, 61.0, 60.0), (60.0, 60.1, 70.0)])
def test_slopes_that_tell_nothing_are_refused(readings):
    with pytest.raises(InputError) as caught:
        slope_method(*readings)
    assert caught.value.argument == "far"
