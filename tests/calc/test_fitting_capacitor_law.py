"""The law of a capacitor from readings: which one, its ends, and intervals that keep their word."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from calc.fitting.capacitor_law import KnownCoil, LawBench, fit_kind, fit_law
from calc.tuning_capacitor import STRAIGHT_KINDS, law, straightened, unstraightened
from calc.units import InputError

TURNS = np.array([0.05, 0.2, 0.4, 0.6, 0.8, 0.95])
LEAST, GREATEST = 14e-12, 372e-12
BRIDGE = LawBench(0.004, 0.01, 0.5e-12, 0.01)
COIL = KnownCoil(230e-6, 18e-12, 0.01, 1e-12)
TUNED = LawBench(0.004, 0.002)


def resonance(inductance, capacitance):
    return 1.0 / (2.0 * math.pi * np.sqrt(inductance * capacitance))


@pytest.mark.parametrize("kind", STRAIGHT_KINDS)
@pytest.mark.parametrize("strays", [0.0, 25e-12])
@pytest.mark.parametrize("coil", [None, COIL])
def test_without_noise_the_truth_comes_back(kind, strays, coil):
    own = law(kind, LEAST, GREATEST, strays=strays).capacitance(TURNS)
    read = own if coil is None else resonance(coil.inductance, own + coil.strays)
    bench = LawBench(0.004, 0.002, 0.2e-12, 0.01, strays)
    found = fit_law(TURNS[::-1], read[::-1], bench, coil)
    assert (found.best.kind, found.decided, found.followed) == (kind, True, True)
    assert found.best.least.value == pytest.approx(LEAST, rel=1e-9)
    assert found.best.greatest.value == pytest.approx(GREATEST, rel=1e-9)
    assert found.capacitances == pytest.approx(own, rel=1e-12)
    assert found.best.law.capacitance(TURNS) == pytest.approx(own, rel=1e-9)


def noisy_readings(kind, coil, rng):
    """As the benches say: the dial and each reading off by themselves, scale or coil the same in all."""
    low, high = straightened(kind, [LEAST, GREATEST])
    turned = TURNS + BRIDGE.turn_uncertainty * rng.standard_normal(TURNS.size)
    own = unstraightened(kind, low + turned * (high - low))
    by_itself = rng.standard_normal(TURNS.size)
    if coil is None:
        scale = 1.0 + BRIDGE.scale_uncertainty * rng.standard_normal()
        floor = BRIDGE.floor * rng.standard_normal(TURNS.size)
        return scale * own * (1.0 + BRIDGE.reading_uncertainty * by_itself) + floor
    inductance = coil.inductance * (1.0 + coil.inductance_uncertainty * rng.standard_normal())
    strays = coil.strays + coil.strays_uncertainty * rng.standard_normal()
    return resonance(inductance, own + strays) * (1.0 + TUNED.reading_uncertainty * by_itself)


@pytest.mark.parametrize("coil", [None, COIL])
def test_intervals_hold_the_truth_as_often_as_they_say(coil):
    """A thousand capacitors, of the three laws in turn."""
    rng = np.random.default_rng(11)
    held = np.zeros(2)
    bench = BRIDGE if coil is None else TUNED
    for trial in range(1000):
        kind = STRAIGHT_KINDS[trial % 3]
        read = noisy_readings(kind, coil, rng)
        own = fit_kind(kind, TURNS, read if coil is None else coil.capacitance(read), bench, coil)
        told = ((own.least, LEAST), (own.greatest, GREATEST))
        held += [low <= true <= high for (low, high), true in ((each.interval(), true) for each, true in told)]
    assert np.all((held >= 930) & (held <= 970)), held


@pytest.mark.parametrize("coil", [None, COIL])
def test_the_law_is_told_from_noisy_readings(coil):
    """A scatter that is called unlikely comes about once in a hundred."""
    rng = np.random.default_rng(12)
    right = 0
    for trial in range(90):
        kind = STRAIGHT_KINDS[trial % 3]
        found = fit_law(TURNS, noisy_readings(kind, coil, rng), BRIDGE if coil is None else TUNED, coil)
        right += found.best.kind == kind and found.decided and bool(found.followed)
    assert right >= 86


@pytest.mark.parametrize("kind", STRAIGHT_KINDS)
def test_against_scipys_least_squares(kind):
    read = noisy_readings(kind, None, np.random.default_rng(3))
    own = next(each for each in fit_law(TURNS, read, BRIDGE).fits if each.kind == kind)
    height = straightened(kind, read)
    near = unstraightened(kind, np.polyval(np.polyfit(TURNS, height, 1), TURNS))
    rate = (straightened(kind, near * (1 + 1e-6)) - straightened(kind, near * (1 - 1e-6))) / 2e-6

    def wrong(x):
        line = (1.0 - TURNS) * x[0] + TURNS * x[1] + rate * x[2]
        return np.concatenate([line - height, [x[2]]]) / own.estimate.uncertainty

    theirs = least_squares(
        wrong, own.estimate.values * 1.1 + [0, 0, 0.01], xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac"
    )
    assert own.estimate.values == pytest.approx(theirs.x, rel=1e-6, abs=1e-9)
    covariance = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert np.sqrt(np.diagonal(own.estimate.covariance)) == pytest.approx(np.sqrt(np.diagonal(covariance)), rel=1e-5)


def test_two_readings_decide_nothing():
    turns = np.array([0.0, 1.0])
    found = fit_law(turns, law("wavelength", LEAST, GREATEST).capacitance(turns), BRIDGE)
    assert not found.decided
    assert found.followed is None
    assert found.table is None


def test_rough_readings_do_not_decide():
    turns = np.array([0.0, 0.5, 1.0])
    own = law("wavelength", 100e-12, 200e-12).capacitance(turns)
    assert not fit_law(turns, own, LawBench(0.02, 0.1)).decided
    assert fit_law(turns, own, LawBench(0.001, 0.001)).decided


def test_a_capacitor_that_follows_none_is_told_and_has_its_table():
    own = 1e-12 * np.array([14.0, 20.0, 130.0, 150.0, 300.0, 372.0])
    found = fit_law(TURNS, own, BRIDGE)
    assert found.followed is False
    assert found.table.capacitance(TURNS) == pytest.approx(own, rel=1e-12)
    falling = own.copy()
    falling[3] = 120e-12
    assert fit_law(TURNS, falling, BRIDGE).table is None


@settings(max_examples=15, deadline=None)
@given(st.permutations(range(6)), st.sampled_from(STRAIGHT_KINDS))
def test_the_order_of_the_readings_does_not_matter(order, kind):
    read = noisy_readings(kind, None, np.random.default_rng(5))
    one, other = fit_law(TURNS, read, BRIDGE), fit_law(TURNS[order], read[order], BRIDGE)
    assert [each.kind for each in one.fits] == [each.kind for each in other.fits]
    assert other.best.least.value == pytest.approx(one.best.least.value, rel=1e-10)
    assert np.array_equal(one.capacitances, other.capacitances)


@pytest.mark.parametrize(
    ("turns", "read", "bench", "coil", "argument"),
    [
        ([0.5], [1e-10], BRIDGE, None, "turn"),
        ([0.5, 0.5], [1e-10, 2e-10], BRIDGE, None, "turn"),
        ([0.5, 1.1], [1e-10, 2e-10], BRIDGE, None, "turn"),
        ([0.1, 0.9], [1e-10, -2e-10], BRIDGE, None, "reading"),
        ([0.1, 0.9], [1e-10, 2e-10, 3e-10], BRIDGE, None, "reading"),
        ([0.1, 0.9], [2e-10, 1e-10], BRIDGE, None, "reading"),
        ([0.1, 0.9], [1e-10, 2e-10], LawBench(), None, "reading_uncertainty"),
        ([0.1, 0.9], [9e6, 1e6], TUNED, COIL, "strays"),
    ],
)
def test_what_cannot_be_is_refused(turns, read, bench, coil, argument):
    with pytest.raises(InputError) as caught:
        fit_law(turns, read, bench, coil)
    assert caught.value.argument == argument


def test_benches_and_coils_that_cannot_be_are_refused():
    for make, argument in (
        (lambda: LawBench(turn_uncertainty=-1.0), "turn_uncertainty"),
        (lambda: KnownCoil(0.0, 1e-12), "inductance"),
        (lambda: KnownCoil(1e-4, -1e-12), "strays"),
    ):
        with pytest.raises(InputError) as caught:
            make()
        assert caught.value.argument == argument
