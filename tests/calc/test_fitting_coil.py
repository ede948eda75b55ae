"""A coil from its resonances: exact without noise, within its interval 19 times in 20, and as scipy fits it."""

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from calc import coils, fitting
from calc.units import InputError
from tests.calc.fitting_trials import TRIALS, held, holds_nineteen_in_twenty

TWO_PI = 2.0 * math.pi
CAPACITORS = np.array([47.0, 100.0, 150.0, 220.0, 330.0, 470.0]) * 1e-12


@given(st.floats(1e-6, 1e-2), st.floats(1e-12, 1e-10), st.floats(1e-11, 1e-9), st.floats(1.2, 20.0), st.booleans())
def test_two_resonances_give_the_coil_exactly(inductance, own, capacitance, ratio, swapped):
    pairs = [(float(fitting.resonance(inductance, own, c)), c) for c in (capacitance, ratio * capacitance)]
    first, second = pairs[::-1] if swapped else pairs
    found = fitting.coil_from_two_resonances(*first, *second)
    assert found == pytest.approx((inductance, own), rel=1e-9)


def test_two_resonances_of_a_coil_as_the_coil_module_has_it():
    """Resonance by the coil's own formulas, self-capacitance in the tuning."""
    inductance, own = 240e-6, 8e-12
    frequencies = [float(coils.self_resonance(inductance, own + c)) for c in (100e-12, 400e-12)]
    found = fitting.coil_from_two_resonances(frequencies[0], 100e-12, frequencies[1], 400e-12)
    assert found == pytest.approx((inductance, own), rel=1e-12)


def test_two_resonances_broadcast():
    capacitance = np.array([100e-12, 200e-12])
    first = fitting.resonance(240e-6, 8e-12, 50e-12)
    inductance, own = fitting.coil_from_two_resonances(
        first, 50e-12, fitting.resonance(240e-6, 8e-12, capacitance), capacitance
    )
    assert inductance == pytest.approx([240e-6] * 2)
    assert own == pytest.approx([8e-12] * 2)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_resonances_without_noise(count):
    across = CAPACITORS[:count]
    found = fitting.coil_from_resonances(fitting.resonance(240e-6, 8e-12, across), across, 500.0, 1e-12)
    assert found.values == pytest.approx([240e-6, 8e-12], rel=1e-9)


def test_resonances_against_scipy():
    source = np.random.default_rng(1)
    read = np.asarray(fitting.resonance(240e-6, 8e-12, CAPACITORS)) * (1.0 + 0.002 * source.standard_normal(6))
    found = fitting.coil_from_resonances(read, CAPACITORS, 0.002 * read)

    def model(capacitance, microhenry, picofarad):
        return 1.0 / (TWO_PI * np.sqrt(microhenry * 1e-6 * (capacitance + picofarad * 1e-12)))

    values, covariance = scipy.optimize.curve_fit(
        model, CAPACITORS, read, [200.0, 10.0], 0.002 * read, True, xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    assert found.values / [1e-6, 1e-12] == pytest.approx(values, rel=1e-6)
    spread = np.array([found[name].uncertainty for name in found.names]) / [1e-6, 1e-12]
    assert spread == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-6)


def test_uncertain_capacitors_against_a_fit_of_their_true_values_too():
    """All that was read may be off: scipy seeks the true capacitances along with the coil."""
    source = np.random.default_rng(2)
    across = CAPACITORS * (1.0 + 0.005 * source.standard_normal(6))
    read = np.asarray(fitting.resonance(240e-6, 8e-12, CAPACITORS)) * (1.0 + 0.001 * source.standard_normal(6))
    found = fitting.coil_from_resonances(read, across, 0.001 * read, 0.005 * across)

    def wrong(v):
        true = v[2:] * 1e-12
        fitted = 1.0 / (TWO_PI * np.sqrt(v[0] * 1e-6 * (true + v[1] * 1e-12)))
        return np.concatenate([(read - fitted) / (0.001 * read), (across - true) / (0.005 * across)])

    start = [200.0, 10.0, *(across * 1e12)]
    whole = scipy.optimize.least_squares(wrong, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    spread = np.sqrt(np.diag(np.linalg.inv(whole.jac.T @ whole.jac)))
    # the weights of the two differ by second order of the scatter
    assert np.abs(found.values / [1e-6, 1e-12] - whole.x[:2]) / spread[:2] == pytest.approx(0.0, abs=0.05)
    assert found["inductance"].uncertainty * 1e6 == pytest.approx(spread[0], rel=0.02)
    assert found["self_capacitance"].uncertainty * 1e12 == pytest.approx(spread[1], rel=0.02)


@pytest.mark.parametrize("stated", [True, False])
def test_intervals_of_a_coil(stated):
    source = np.random.default_rng(3)
    true = np.asarray(fitting.resonance(240e-6, 8e-12, CAPACITORS))
    counts = np.zeros(2)
    for _ in range(TRIALS):
        read = true * (1.0 + 0.003 * source.standard_normal(6))
        if stated:
            across = CAPACITORS * (1.0 + 0.005 * source.standard_normal(6))
            found = fitting.coil_from_resonances(read, across, 0.003 * read, 0.005 * across)
        else:
            found = fitting.coil_from_resonances(read, CAPACITORS)
        counts += [held(found["inductance"], 240e-6), held(found["self_capacitance"], 8e-12)]
    holds_nineteen_in_twenty(counts)


def test_two_readings_tell_nothing_of_their_uncertainty():
    read = fitting.resonance(240e-6, 8e-12, CAPACITORS[:2])
    found = fitting.coil_from_resonances(read, CAPACITORS[:2])
    assert found["inductance"].uncertainty is None
    assert found["inductance"].value == pytest.approx(240e-6)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"capacitance": [1e-10, 1e-10, 1e-10]}, "capacitance"),
        ({"capacitance": [1e-10, 2e-10]}, "capacitance"),
        ({"capacitance": [-1e-10, 2e-10, 3e-10]}, "capacitance"),
        ({"frequency": [1e6, 0.0, 0.5e6]}, "frequency"),
        ({"frequency": [0.5e6, 0.8e6, 1e6]}, "frequency"),
        ({"frequency": [1e6], "capacitance": [1e-10]}, "frequency"),
        ({"frequency_uncertainty": 0.0}, "frequency_uncertainty"),
        ({"capacitance_uncertainty": -1e-12}, "capacitance_uncertainty"),
    ],
)
def test_bad_resonances_are_named(change, argument):
    good = {"frequency": [1e6, 0.8e6, 0.6e6], "capacitance": [1e-10, 1.6e-10, 2.8e-10]}
    with pytest.raises(InputError) as caught:
        fitting.coil_from_resonances(**(good | change))
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    ("values", "argument"),
    [
        ((1e6, 1e-10, 0.5e6, 1e-10), "capacitance_2"),
        ((1e6, 1e-10, 1.5e6, 2e-10), "frequency_2"),
        ((1e6, 1e-10, 1e6, 2e-10), "frequency_2"),
        ((0.0, 1e-10, 1e6, 2e-10), "frequency_1"),
        ((1e6, 1e-10, math.nan, 2e-10), "frequency_2"),
        ((1e6, -1e-10, 0.5e6, 2e-10), "capacitance_1"),
    ],
)
def test_two_bad_resonances_are_named(values, argument):
    with pytest.raises(InputError) as caught:
        fitting.coil_from_two_resonances(*values)
    assert caught.value.argument == argument
