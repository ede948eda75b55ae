"""Least squares, intervals and propagation against scipy, the guide's worked examples, and their own promises."""

import math

import numpy as np
import pytest
import scipy.optimize
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from calc import fitting
from calc.fitting import Measured
from calc.units import InputError

PLACE = np.linspace(0.0, 4.0, 15)


def decay(v):
    return v[0] * np.exp(-v[1] * PLACE) + v[2]


def resonance(v):
    return v[0] / np.sqrt(1.0 + (v[1] * (PLACE - v[2])) ** 2)


def power(v):
    return v[0] * (PLACE + 1.0) ** v[1]


MODELS = [
    (decay, [3.0, 1.3, 0.5], [1.0, 1.0, 0.0]),
    (resonance, [2.0, 1.5, 1.8], [1.5, 1.0, 2.2]),
    (power, [4.0, -0.7], [1.0, 0.5]),
]


# --- quantiles ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 9, 10, 31, 100, 1001])
@pytest.mark.parametrize("coverage", [0.05, 0.5, 0.6827, 0.95, 0.99, 0.9999])
def test_students_quantiles_are_scipys(degrees, coverage):
    expected = scipy.stats.t.ppf(0.5 + 0.5 * coverage, degrees)
    assert fitting.coverage_factor(coverage, degrees) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("coverage", [0.05, 0.5, 0.95, 0.9999])
def test_normal_quantiles_are_scipys(coverage):
    assert fitting.coverage_factor(coverage) == pytest.approx(scipy.stats.norm.ppf(0.5 + 0.5 * coverage), rel=1e-12)


@pytest.mark.parametrize(("degrees", "factor"), [(1, 12.71), (2, 4.30), (3, 3.18), (4, 2.78), (9, 2.26), (50, 2.01)])
def test_table_of_the_guide(degrees, factor):
    """JCGM 100:2008, table G.2, 95 % (from memory)."""
    assert fitting.coverage_factor(0.95, degrees) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize("degrees", [1, 2, 3, 10, 57, 400])
@pytest.mark.parametrize("share", [0.01, 0.5, 1.0, 1.7, 5.0])
def test_chance_of_a_scatter_is_scipys(degrees, share):
    expected = scipy.stats.chi2.sf(share * degrees, degrees)
    assert fitting.chance_of_scatter(share * degrees, degrees) == pytest.approx(expected, rel=1e-9, abs=1e-300)


@given(st.floats(0.0, 30.0), st.integers(1, 60))
def test_students_law_is_between_nothing_and_the_normal(distance, degrees):
    within = fitting.student_within(distance, degrees)
    assert 0.0 <= within <= fitting.normal_within(distance) + 1e-15


# --- fits ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("model", "truth", "start"), MODELS)
@pytest.mark.parametrize("stated", [True, False])
def test_against_scipy(model, truth, start, stated):
    source = np.random.default_rng(5)
    sigma = 0.02 * (1.0 + PLACE)
    read = model(np.array(truth)) + sigma * source.standard_normal(PLACE.size)
    found = fitting.fit(model, start, read, sigma, stated=stated)
    values, covariance = scipy.optimize.curve_fit(
        lambda _, *v: model(np.array(v)), PLACE, read, start, sigma, stated, xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    assert found.values == pytest.approx(values, rel=1e-6)
    assert found.covariance == pytest.approx(covariance, rel=1e-6)
    same = scipy.optimize.least_squares(
        lambda v: (read - model(v)) / sigma, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac"
    )
    assert found.values == pytest.approx(same.x, rel=1e-6)
    assert np.sum((found.residuals / sigma) ** 2) == pytest.approx(2.0 * same.cost, rel=1e-8)


@pytest.mark.parametrize(("model", "truth", "start"), MODELS)
def test_exact_readings_give_the_truth(model, truth, start):
    found = fitting.fit(model, start, model(np.array(truth)))
    assert found.values == pytest.approx(truth, rel=1e-12)
    assert not np.any(found.residuals)
    assert found.covariance == pytest.approx(0.0)


def test_a_line_against_the_normal_equations():
    design = np.stack([np.ones_like(PLACE), PLACE, PLACE**2], axis=1)
    read = np.sin(PLACE)
    found = fitting.fit_linear(design, read, names=("a", "b", "c"))
    values = np.linalg.solve(design.T @ design, design.T @ read)
    wrong = read - design @ values
    covariance = np.linalg.inv(design.T @ design) * (wrong @ wrong) / (PLACE.size - 3)
    assert found.values == pytest.approx(values, rel=1e-11)
    assert found.covariance == pytest.approx(covariance, rel=1e-7)
    hat = design @ np.linalg.inv(design.T @ design) @ design.T
    assert found.leverage == pytest.approx(np.diagonal(hat), rel=1e-10)
    assert found["b"].interval() == pytest.approx(
        values[1] + np.array([-1.0, 1.0]) * scipy.stats.t.ppf(0.975, 12) * math.sqrt(covariance[1, 1]), rel=1e-7
    )


def test_calibration_of_the_guide():
    """JCGM 100:2008, H.3: a thermometer's correction as a straight line over temperature (from memory)."""
    temperature = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    correction = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    design = np.stack([np.ones(11), np.array(temperature) - 20.0], axis=1)
    found = fitting.fit_linear(design, correction, names=("level", "slope"))
    assert found["level"].value == pytest.approx(-0.1712, abs=5e-5)
    assert found["level"].uncertainty == pytest.approx(0.0029, abs=5e-5)
    assert found["slope"].value == pytest.approx(0.00218, abs=5e-6)
    assert found["slope"].uncertainty == pytest.approx(0.00067, abs=5e-6)
    assert found.correlation[0, 1] == pytest.approx(-0.930, abs=5e-4)
    assert found.uncertainty[0] == pytest.approx(0.0035, abs=5e-5)
    at_thirty = found.derived(lambda v: v[0] + 10.0 * v[1])
    assert at_thirty.value == pytest.approx(-0.1494, abs=5e-5)
    assert at_thirty.uncertainty == pytest.approx(0.0041, abs=5e-5)
    assert at_thirty.degrees_of_freedom == 9


def test_resistance_and_reactance_of_the_guide():
    """JCGM 100:2008, H.2: five simultaneous readings of voltage, current and phase (from memory)."""
    read = np.array(
        [
            [5.007, 4.994, 5.005, 4.990, 4.999],
            [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
            [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
        ]
    )
    inputs = [Measured(float(row.mean()), float(row.std(ddof=1)) / math.sqrt(5.0), 4) for row in read]
    correlation = np.corrcoef(read)
    found = [
        fitting.propagate(function, inputs, correlation)
        for function in (
            lambda v: v[0] / v[1] * np.cos(v[2]),
            lambda v: v[0] / v[1] * np.sin(v[2]),
            lambda v: v[0] / v[1],
        )
    ]
    for one, (value, uncertainty) in zip(found, [(127.732, 0.071), (219.847, 0.295), (254.260, 0.236)], strict=True):
        assert one.value == pytest.approx(value, abs=6e-4)
        assert one.uncertainty == pytest.approx(uncertainty, abs=6e-4)


def test_degrees_of_freedom_of_welch_and_satterthwaite():
    """0.25, 0.57 and 0.82 % with 9, 4 and 14 degrees make 1.03 % with 19.0: JCGM 100:2008, G.4.1 (from memory)."""
    inputs = [Measured(1.0, 0.25, 9), Measured(1.0, 0.57, 4), Measured(1.0, 0.82, 14)]
    found = fitting.propagate(lambda v: v[0] * v[1] * v[2], inputs)
    assert found.uncertainty == pytest.approx(math.sqrt(0.25**2 + 0.57**2 + 0.82**2), rel=1e-12)
    by_hand = found.uncertainty**4 / (0.25**4 / 9 + 0.57**4 / 4 + 0.82**4 / 14)
    assert found.uncertainty == pytest.approx(1.03, abs=0.005)
    assert by_hand == pytest.approx(19.0, abs=0.05)
    assert found.degrees_of_freedom == math.floor(by_hand)  # 18.999, cut as the guide wants it


# --- what the readings cannot tell --------------------------------------------------------------------------------


def test_a_product_is_not_parted():
    found = fitting.fit(
        lambda v: v[0] * v[1] * np.exp(-v[2] * PLACE), [1.0, 1.5, 1.0], 3.0 * np.exp(-0.5 * PLACE), 0.01
    )
    assert (found.rank, found.decided) == (2, False)
    assert found["0"].interval() is None
    assert not found["1"].decided
    assert found["2"].value == pytest.approx(0.5, rel=1e-9)
    assert found["2"].decided
    (lost,) = found.lost
    assert found.weakest is lost
    assert lost.shares["0"] == pytest.approx(-lost.shares["1"], rel=1e-6)
    assert lost.shares["2"] == 0.0
    product = found.derived(lambda v: v[2] ** 2)
    assert product.decided


def test_the_weakest_combination_is_named():
    """Two exponentials of nearly one rate: their sum is well known, their difference is not."""

    def model(v):
        return v[0] * np.exp(-PLACE) + v[1] * np.exp(-1.05 * PLACE)

    found = fitting.fit(model, [1.0, 1.0], model(np.array([2.0, 2.0])), 0.01)
    weak = found.weakest
    assert weak.shares["0"] * weak.shares["1"] == pytest.approx(-1.0, abs=0.1)
    assert weak.uncertainty > 10.0 * found.derived(lambda v: v[0] + v[1]).relative


def test_as_many_readings_as_unknowns():
    read = [1.0, 3.0]
    design = [[1.0, 0.0], [1.0, 2.0]]
    alone = fitting.fit_linear(design, read)
    assert alone.covariance is None
    assert alone["0"] == Measured(pytest.approx(1.0), None, 0)
    assert alone["0"].interval() is None
    assert (alone.scatter, alone.chance, alone.weakest) == (None, None, None)
    stated = fitting.fit_linear(design, read, 0.1)
    assert stated["1"].uncertainty == pytest.approx(0.1 * math.sqrt(2.0) / 2.0)
    assert stated["1"].degrees_of_freedom is None


@pytest.mark.parametrize("stated", [True, False])
def test_an_odd_reading_is_named(stated):
    source = np.random.default_rng(7)
    read = 2.0 + 3.0 * PLACE + 0.05 * source.standard_normal(PLACE.size)
    design = np.stack([np.ones_like(PLACE), PLACE], axis=1)
    assert fitting.fit_linear(design, read, 0.05, stated=stated).odd() == []
    read[4] += 0.4
    found = fitting.fit_linear(design, read, 0.05, stated=stated)
    assert found.odd() == [4]


def test_good_readings_are_seldom_called_odd():
    source = np.random.default_rng(8)
    design = np.ones((10, 1))
    named = [bool(fitting.fit_linear(design, source.standard_normal(10)).odd()) for _ in range(1000)]
    assert 1 <= sum(named) <= 25  # 10 expected


def test_chance_tells_a_scatter_beyond_what_was_stated():
    source = np.random.default_rng(9)
    read = source.standard_normal(20)
    as_stated = fitting.fit_linear(np.ones((20, 1)), read, 1.0)
    too_sure = fitting.fit_linear(np.ones((20, 1)), read, 0.3)
    assert as_stated.chance > 0.01
    assert too_sure.chance < 1e-6
    assert too_sure.scatter == pytest.approx(as_stated.scatter / 0.3)


# --- properties ---------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(-10.0, 10.0), min_size=4, max_size=12), st.floats(0.1, 10.0))
def test_residuals_stand_upright_on_the_design(read, sigma):
    count = len(read)
    design = np.stack([np.ones(count), np.arange(count)], axis=1)
    found = fitting.fit_linear(design, read, sigma)
    assert design.T @ (found.readings - found.fitted) == pytest.approx(0.0, abs=1e-9)
    assert np.sum(found.leverage) == pytest.approx(2.0)


@given(st.floats(0.01, 100.0))
def test_the_unit_of_readings_does_not_matter(factor):
    read = decay(np.array([3.0, 1.3, 0.5])) + 0.01 * np.cos(7.0 * PLACE)
    one = fitting.fit(decay, [1.0, 1.0, 0.0], read)
    other = fitting.fit(lambda v: factor * decay(v), [1.0, 1.0, 0.0], factor * read)
    assert other.values == pytest.approx(one.values, rel=1e-9)
    assert other.covariance == pytest.approx(one.covariance, rel=1e-6)


def test_intervals_hold_the_truth_as_often_as_they_say():
    source = np.random.default_rng(10)
    truth = np.array([1.0, -2.0])
    design = np.stack([np.ones(6), np.arange(6.0)], axis=1)
    for stated in (True, False):
        held = 0
        for _ in range(1000):
            found = fitting.fit_linear(design, design @ truth + 0.3 * source.standard_normal(6), 0.3, stated=stated)
            least, most = found["1"].interval()
            held += least <= -2.0 <= most
        assert 930 <= held <= 970


@given(st.floats(-5.0, 5.0), st.floats(0.1, 5.0))
def test_gradients_are_exact(x, y):
    slope = fitting.gradient(lambda v: np.exp(0.1 * v[0]) * np.sqrt(v[1]) + v[0] * v[1] ** 3, [x, y])
    exact = [
        0.1 * math.exp(0.1 * x) * math.sqrt(y) + y**3,
        0.5 * math.exp(0.1 * x) / math.sqrt(y) + 3.0 * x * y**2,
    ]
    assert slope == pytest.approx(exact, rel=1e-13, abs=1e-13)


def test_propagation_of_what_is_not_known():
    known, unknown, lost = Measured(2.0, 0.1), Measured(3.0, None), Measured(4.0, math.inf)
    assert fitting.propagate(lambda v: v[0] * v[1], [known, unknown]) == Measured(6.0, None)
    assert fitting.propagate(lambda v: v[0] * v[1], [known, lost]) == Measured(8.0, math.inf)
    assert fitting.propagate(lambda v: v[0] + 0.0 * v[1], [known, unknown]).uncertainty == pytest.approx(0.1)
    assert known.relative == pytest.approx(0.05)
    assert unknown.relative is None


# --- bad input ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"readings": [1.0]}, "readings"),
        ({"readings": [1.0, math.nan, 2.0]}, "readings"),
        ({"readings": [[1.0, 2.0], [3.0, 4.0]]}, "readings"),
        ({"uncertainty": 0.0}, "uncertainty"),
        ({"uncertainty": -1.0}, "uncertainty"),
        ({"uncertainty": [1.0, 1.0]}, "uncertainty"),
        ({"names": ("a",)}, "names"),
        ({"start": [math.inf, 1.0]}, "start"),
        ({"start": [0.0, -100.0]}, "start"),
    ],
)
def test_bad_input_is_named(change, argument):
    given_ = {"readings": [1.0, 2.0, 3.0], "uncertainty": 1.0, "start": [1.0, 1.0], "names": ("a", "b")} | change
    place = np.arange(3.0)
    with pytest.raises(InputError) as caught:
        fitting.fit(
            lambda v: v[0] * np.sqrt(v[1] + place),
            given_["start"],
            given_["readings"],
            given_["uncertainty"],
            names=given_["names"],
        )
    assert caught.value.argument == argument


def test_bad_quantiles_are_named():
    for call, argument in (
        (lambda: fitting.coverage_factor(1.0), "coverage"),
        (lambda: fitting.coverage_factor(0.95, 0), "degrees_of_freedom"),
        (lambda: fitting.student_within(1.0, 2.5), "degrees_of_freedom"),
        (lambda: fitting.chance_of_scatter(-1.0, 3), "chi_square"),
    ):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.argument == argument


def test_readings_that_no_values_fit_best_are_refused():
    """At the foot of 1 + a/(1 + a^2) a step of a changes nothing to first order, and what is wrong stays wrong."""
    with pytest.raises(InputError, match="agree better"):
        fitting.fit(lambda v: 1.0 + v / (1.0 + v * v), [-0.5], [0.4])


def test_an_unknown_that_runs_off_is_not_decided():
    """exp(-a) nears nought for ever, and no a is the best."""
    assert not fitting.fit(lambda v: 1.0 + np.exp(-v), [1.0], [0.5], 0.1).decided
