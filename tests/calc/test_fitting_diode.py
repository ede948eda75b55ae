"""A diode from readings: the truth without noise, scipy's least squares with it, and intervals that keep their word."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import constants
from scipy.optimize import least_squares

from calc.detectors import Diode
from calc.fitting.diode_curve import Bench, fit_diode, forward_voltage
from calc.units import InputError

KELVIN = 294.15
CURRENTS = np.array([1e-6, 3e-6, 1e-5, 3e-5, 1e-4, 3e-4, 1e-3])
GERMANIUM = (8e-7, 1.25, 12.0)
NOISY = Bench(KELVIN, 1.0, 2e-4, 0.01, 0.005, 0.01, 10e6)


def volts(current, saturation_current, ideality, series_resistance, kelvin=KELVIN):
    return forward_voltage(current, saturation_current, ideality, kelvin, series_resistance)


def noisy_readings(truth, rng):
    """As the bench says: shared scales and temperature, and each reading off by itself. Also the true temperature."""
    kelvin = KELVIN + NOISY.temperature_uncertainty * rng.standard_normal()
    voltage_scale, current_scale = 1.0 + np.array([NOISY.voltage_scale, NOISY.current_scale]) * rng.standard_normal(2)
    across = volts(CURRENTS, *truth, kelvin)
    metered = current_scale * (CURRENTS + across / NOISY.voltmeter)
    read_current = metered * (1.0 + NOISY.current_uncertainty * rng.standard_normal(CURRENTS.size))
    read_voltage = voltage_scale * across + NOISY.voltage_uncertainty * rng.standard_normal(CURRENTS.size)
    return read_current, read_voltage, kelvin


@given(st.floats(1e-9, 1e-4), st.floats(1.0, 2.0), st.floats(0.0, 100.0), st.floats(250.0, 330.0))
def test_the_voltage_gives_back_its_current(saturation_current, ideality, bulk, kelvin):
    """The law of the detectors, solved for the voltage."""
    diode = Diode(saturation_current, ideality, kelvin)
    across = forward_voltage(CURRENTS, saturation_current, ideality, kelvin, bulk) - CURRENTS * bulk
    assert saturation_current * np.expm1(across / diode.thermal_voltage) == pytest.approx(CURRENTS, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(1e-9, 1e-6), st.floats(1.0, 2.0), st.floats(0.0, 50.0))
def test_without_noise_the_truth_comes_back(saturation_current, ideality, bulk):
    found = fit_diode(CURRENTS, volts(CURRENTS, saturation_current, ideality, bulk), Bench(KELVIN))
    assert found.saturation_current == pytest.approx(saturation_current, rel=1e-9)
    assert found.ideality.value == pytest.approx(ideality, rel=1e-9)
    assert found.series_resistance.value == pytest.approx(bulk, rel=1e-9, abs=1e-9)
    own = Diode(saturation_current, ideality, KELVIN).zero_bias_resistance
    assert math.exp(found.log_zero_bias_resistance.value) == pytest.approx(own, rel=1e-9)
    assert found.at(CURRENTS) == pytest.approx(volts(CURRENTS, saturation_current, ideality, bulk), rel=1e-10)


def test_two_readings_are_enough_where_the_bulk_is_known():
    two = CURRENTS[[0, 4]]
    found = fit_diode(two, volts(two, *GERMANIUM), Bench(KELVIN), GERMANIUM[2])
    assert (found.saturation_current, found.ideality.value) == pytest.approx(GERMANIUM[:2], rel=1e-9)
    assert found.series_resistance == (12.0, 0.0, None)


def test_a_silicon_junction_whose_saturation_is_never_seen():
    found = fit_diode(CURRENTS, volts(CURRENTS, 3e-14, 1.05, 0.6), Bench(KELVIN))
    assert found.saturation_current == pytest.approx(3e-14, rel=1e-9)


def test_the_voltmeters_own_current_is_taken_off():
    across = volts(CURRENTS, *GERMANIUM)
    found = fit_diode(CURRENTS + across / 1e6, across, Bench(KELVIN, voltmeter=1e6))
    assert found.saturation_current == pytest.approx(8e-7, rel=1e-9)
    left = fit_diode(CURRENTS + across / 1e6, across, Bench(KELVIN))
    assert abs(left.saturation_current / 8e-7 - 1.0) > 0.01


def test_against_scipys_least_squares():
    """Same readings, same weights, the shared errors as readings of their own: the same answer and covariance."""
    current, voltage, _ = noisy_readings(GERMANIUM, np.random.default_rng(7))
    found = fit_diode(current, voltage, NOISY)
    sigma = found.estimate.uncertainty
    per_kelvin = constants.k / constants.e
    highest = found.reference

    def wrong(x):
        exponent, ideality, bulk, kelvin, voltage_scale, current_scale = x
        true = current / current_scale - voltage / voltage_scale / NOISY.voltmeter
        law = ideality * per_kelvin * kelvin * np.log1p(true / highest * np.exp(exponent)) + true * bulk
        return (
            np.concatenate([voltage_scale * law - voltage, [kelvin - KELVIN, voltage_scale - 1, current_scale - 1]])
            / sigma
        )

    start = [6.0, 1.1, 5.0, KELVIN, 1.0, 1.0]
    theirs = least_squares(wrong, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac", jac="3-point")
    assert found.estimate.values == pytest.approx(theirs.x, rel=1e-6)
    covariance = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert np.sqrt(np.diagonal(found.estimate.covariance)) == pytest.approx(np.sqrt(np.diagonal(covariance)), rel=1e-5)


def test_intervals_hold_the_truth_as_often_as_they_say():
    """Saturation current, ideality, bulk, n kT/q and zero-bias resistance in 1000 benches."""
    rng = np.random.default_rng(20)
    held = np.zeros(5)
    for _ in range(1000):
        current, voltage, kelvin = noisy_readings(GERMANIUM, rng)
        found = fit_diode(current, voltage, NOISY)
        diode = Diode(*GERMANIUM[:2], kelvin)
        told = (
            (found.log_saturation_current, math.log(GERMANIUM[0])),
            (found.ideality, GERMANIUM[1]),
            (found.series_resistance, GERMANIUM[2]),
            (found.thermal_voltage, diode.thermal_voltage),
            (found.log_zero_bias_resistance, math.log(diode.zero_bias_resistance)),
        )
        held += [low <= true <= high for (low, high), true in ((each.interval(), true) for each, true in told)]
    assert np.all((held >= 930) & (held <= 970)), held


def test_a_scale_error_moves_the_ideality_and_no_number_of_readings_helps():
    many = np.repeat(CURRENTS, 30)
    sure = fit_diode(many, volts(many, *GERMANIUM), Bench(KELVIN, voltage_scale=0.02))
    assert sure.ideality.relative == pytest.approx(0.02, rel=0.02)
    warm = fit_diode(many, volts(many, *GERMANIUM), Bench(KELVIN, temperature_uncertainty=3.0))
    assert warm.ideality.relative == pytest.approx(3.0 / KELVIN, rel=0.1)
    assert warm.thermal_voltage.relative < 0.2 * warm.ideality.relative


def test_a_bad_reading_stands_out():
    across = volts(CURRENTS, *GERMANIUM)
    across[3] += 0.01
    found = fit_diode(CURRENTS, across, NOISY)
    assert int(np.argmax(np.abs(found.standardised))) == 3
    assert found.estimate.chance < 1e-3


@pytest.mark.parametrize(
    ("current", "voltage", "bench", "bulk", "argument"),
    [
        ([1e-6, 1e-4], [0.03, 0.15], Bench(KELVIN), None, "current"),
        ([1e-6, 1e-6], [0.03, 0.15], Bench(KELVIN), 0.0, "current"),
        ([1e-6, -1e-4], [0.03, 0.15], Bench(KELVIN), 0.0, "current"),
        ([1e-6, 1e-4], [0.03, 0.0], Bench(KELVIN), 0.0, "voltage"),
        ([1e-6, 1e-4], [0.03, 0.1, 0.2], Bench(KELVIN), 0.0, "voltage"),
        ([1e-6, 1e-4], [0.15, 0.03], Bench(KELVIN), 0.0, "voltage"),
        ([1e-6, 1e-4], [0.03, 0.15], Bench(KELVIN), -1.0, "series_resistance"),
        ([1e-6, 1e-4], [0.03, 0.15], Bench(KELVIN, voltmeter=1e4), 0.0, "voltmeter"),
    ],
)
def test_what_cannot_be_is_refused(current, voltage, bench, bulk, argument):
    with pytest.raises(InputError) as caught:
        fit_diode(current, voltage, bench, bulk)
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"temperature": 0.0}, "temperature"),
        ({"voltage_uncertainty": 0.0}, "voltage_uncertainty"),
        ({"current_scale": -0.01}, "current_scale"),
        ({"voltmeter": 0.0}, "voltmeter"),
        ({"voltmeter": math.nan}, "voltmeter"),
    ],
)
def test_benches_that_cannot_be_are_refused(change, argument):
    with pytest.raises(InputError) as caught:
        Bench(**({"temperature": KELVIN} | change))
    assert caught.value.argument == argument
