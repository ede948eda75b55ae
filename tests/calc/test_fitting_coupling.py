"""Coupling in series and by a short: exact without noise, within its interval 19 times in 20, and as scipy fits it."""

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from calc import coils, fitting
from calc.units import InputError
from tests.calc.fitting_trials import TRIALS, held, holds_nineteen_in_twenty


@given(st.floats(1e-6, 1e-3), st.floats(1e-6, 1e-3), st.floats(0.01, 0.95))
def test_coupling_by_series(first, second, coefficient):
    mutual = coefficient * math.sqrt(first * second)
    aiding, opposing = first + second + 2.0 * mutual, first + second - 2.0 * mutual
    assert fitting.coefficient_from_series(aiding, opposing, first, second) == pytest.approx(coefficient, rel=1e-7)
    found = fitting.fit_series(aiding, opposing, first, second, 0.01)
    assert found.values == pytest.approx([first, second, mutual], rel=1e-9)
    assert found.derived(fitting.coefficient_of).value == pytest.approx(coefficient, rel=1e-9)


@given(st.floats(0.001, 0.95), st.floats(1e5, 1e7))
def test_coupling_by_a_short(coefficient, frequency):
    """The short leaves 1 - k^2 of the inductance."""
    short = frequency / math.sqrt(1.0 - coefficient**2)
    assert fitting.coefficient_from_short(frequency, short) == pytest.approx(coefficient, rel=1e-7)
    assert fitting.fit_short([frequency], [short], 1e-3)["square"].value == pytest.approx(coefficient**2, rel=1e-8)


def test_coupling_of_two_coils_as_the_coil_module_has_them():
    first, second = coils.Solenoid(60, 0.075, 0.048), coils.Solenoid(12, 0.075, 0.010)
    mutual = coils.solenoid_mutual(first, second, 0.035)
    one, other = first.inductance, second.inductance
    found = fitting.fit_series(one + other + 2.0 * mutual, one + other - 2.0 * mutual, one, other, 0.005)
    assert found["mutual"].value == pytest.approx(mutual, rel=1e-9)


def test_series_against_scipy():
    source = np.random.default_rng(10)
    true = np.array([283.0, 218.0, 239.0, 11.6])
    read = true * (1.0 + 0.005 * source.standard_normal(4))
    found = fitting.fit_series(*(read * 1e-6), 0.005)
    design = np.array([[1.0, 1.0, 2.0], [1.0, 1.0, -2.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    whole = scipy.optimize.least_squares(
        lambda v: (read - design @ v) / (0.005 * read), [200.0, 10.0, 10.0], xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    assert found.values * 1e6 == pytest.approx(whole.x, rel=1e-6)


@pytest.mark.parametrize("stated", [True, False])
def test_intervals_of_coupling_by_series(stated):
    source = np.random.default_rng(11)
    first, second, coefficient = 239e-6, 30e-6, 0.3
    mutual = coefficient * math.sqrt(first * second)
    true = np.array([first + second + 2.0 * mutual, first + second - 2.0 * mutual, first, second])
    counts = np.zeros(2)
    for _ in range(TRIALS):
        read = true[:, None] * (1.0 + 0.005 * source.standard_normal((4, 3)))
        found = fitting.fit_series(*read, 0.005 if stated else None)
        counts += [held(found.derived(fitting.coefficient_of), coefficient), held(found["mutual"], mutual)]
    holds_nineteen_in_twenty(counts)


@pytest.mark.parametrize("stated", [True, False])
@pytest.mark.parametrize("coefficient", [0.02, 0.25])
def test_intervals_of_coupling_by_a_short(coefficient, stated):
    source = np.random.default_rng(12)
    open_ = np.array([600e3, 850e3, 1100e3])
    short = open_ / math.sqrt(1.0 - coefficient**2)
    count = 0
    for _ in range(TRIALS):
        read = [each * (1.0 + 0.001 * source.standard_normal(3)) for each in (open_, short)]
        count += held(fitting.fit_short(*read, 0.001 if stated else None)["square"], coefficient**2)
    holds_nineteen_in_twenty(count)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: fitting.coefficient_from_series(1e-4, 2e-4, 1e-4, 1e-4), "opposing"),
        (lambda: fitting.coefficient_from_series(-1e-4, 2e-4, 1e-4, 1e-4), "aiding"),
        (lambda: fitting.coefficient_from_short(2e6, 1e6), "frequency_short"),
        (lambda: fitting.fit_series([], 1e-4, 1e-4, 1e-4), "aiding"),
        (lambda: fitting.fit_series(3e-4, 1e-4, 1e-4, 1e-4, 0.0), "relative_uncertainty"),
        (lambda: fitting.fit_short([1e6], [1.1e6, 1.2e6]), "frequency_short"),
    ],
)
def test_bad_readings_of_coupling_are_named(call, argument):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument
