"""A capacitor by substitution: exact without noise, within its interval 19 times in 20, and as scipy fits it."""

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from calc import fitting
from calc.units import InputError
from tests.calc.fitting_trials import TRIALS, held, holds_nineteen_in_twenty

STANDARD = np.array([400.0, 350.0, 300.0, 250.0]) * 1e-12


@given(st.floats(5e-12, 2e-10), st.floats(2.1e-10, 5e-10))
def test_across_the_standard(unknown, standard):
    assert fitting.capacitance_across(standard, standard - unknown) == pytest.approx(unknown, rel=1e-9)
    found = fitting.fit_across([standard], [standard - unknown], 1e-12)["capacitance"]
    assert found.value == pytest.approx(unknown, rel=1e-9)
    assert found.uncertainty == pytest.approx(math.sqrt(2.0) * 1e-12, rel=1e-9)


@given(st.floats(5.2e-10, 5e-9), st.lists(st.floats(1e-10, 5e-10), min_size=1, max_size=6))
def test_in_series_with_the_standard(unknown, standards):
    before = np.array(standards)
    after = before * unknown / (unknown - before)
    # the two in series are what the standard alone was
    assert 1.0 / (1.0 / after + 1.0 / unknown) == pytest.approx(before, rel=1e-12)
    assert fitting.capacitance_in_series(before, after) == pytest.approx(unknown, rel=1e-9)
    assert fitting.fit_in_series(before, after, 1e-12)["capacitance"].value == pytest.approx(unknown, rel=1e-9)


def test_in_series_against_scipy():
    source = np.random.default_rng(4)
    after = STANDARD * 1.5e-9 / (1.5e-9 - STANDARD) + 1e-12 * source.standard_normal(4)
    found = fitting.fit_in_series(STANDARD, after, 1e-12)
    values = found["capacitance"].value
    sigma = 1e-12 * np.hypot(1.0, (1.5e-9 / (1.5e-9 - STANDARD)) ** 2)

    def wrong(v):
        true = v[1:] * 1e-12
        return np.concatenate([(after * 1e12 - true * 1e12 * v[0] / (v[0] - true * 1e9)), (STANDARD - true) * 1e12])

    whole = scipy.optimize.least_squares(wrong, [1.4, *(STANDARD * 1e12)], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.all(sigma > 0.0)
    # weights differ by second order only
    assert values * 1e9 == pytest.approx(whole.x[0], abs=0.03 * found["capacitance"].uncertainty * 1e9)


@pytest.mark.parametrize("stated", [True, False])
@pytest.mark.parametrize(("way", "unknown"), [("across", 140e-12), ("series", 900e-12)])
def test_intervals_of_a_substitution(way, unknown, stated):
    source = np.random.default_rng(5)
    after = STANDARD - unknown if way == "across" else STANDARD * unknown / (unknown - STANDARD)
    fit = fitting.fit_across if way == "across" else fitting.fit_in_series
    count = 0
    for _ in range(TRIALS):
        before_read, after_read = (each + 0.8e-12 * source.standard_normal(4) for each in (STANDARD, after))
        count += held(fit(before_read, after_read, 0.8e-12 if stated else None)["capacitance"], unknown)
    holds_nineteen_in_twenty(count)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: fitting.capacitance_across(1e-10, 2e-10), "standard_with"),
        (lambda: fitting.capacitance_across(-1e-10, 0.0), "standard_without"),
        (lambda: fitting.capacitance_in_series(2e-10, 1e-10), "standard_with"),
        (lambda: fitting.fit_across([1e-10], [1e-10, 2e-10]), "standard_with"),
        (lambda: fitting.fit_across([1e-10], [2e-10], 1e-12), "standard_with"),
        (lambda: fitting.fit_in_series([2e-10], [1e-10], 1e-12), "standard_with"),
        (lambda: fitting.fit_across([2e-10], [1e-10], 0.0), "uncertainty"),
    ],
)
def test_bad_settings_are_named(call, argument):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument
