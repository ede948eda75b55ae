"""Roots of many functions at once against scipy's root finder and against roots known by design."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.roots import rising_root, smooth_root

ROOTS = np.linspace(0.01, 0.99, 33)
SHAPES = {  # rising functions of x with their zero at c, from gentle to hostile
    "straight": lambda x, c: x - c,
    "exponential": lambda x, c: np.expm1(30 * (x - c)),
    "logarithm": lambda x, c: np.log((x + 1e-9) / (c + 1e-9)),
    "steep and flat": lambda x, c: np.tanh(1e5 * (x - c)),
    "bend": lambda x, c: np.arctan(1e3 * (x - c)),
    "upright at its zero": lambda x, c: np.cbrt(x - c),
    "jump": lambda x, c: np.sign(x - c) + (x - c),
}


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_roots_known_by_design(shape):
    found = rising_root(lambda x: shape(x, ROOTS), np.zeros(33), np.ones(33))
    assert np.max(np.abs(found / ROOTS - 1)) < 1e-14


@given(st.floats(0.01, 50.0), st.floats(1e-6, 1e6), st.floats(-20.0, 20.0))
def test_against_scipy(growth, load, level):
    def function(x):
        return x + np.log1p(load * np.exp(np.minimum(growth * x, 700.0))) - level

    expected = brentq(function, level - 800.0, max(level, 0.0), xtol=1e-300, rtol=8.9e-16)
    found = rising_root(function, np.array([level - 800.0]), np.array([max(level, 0.0)]))
    assert found == pytest.approx(expected, rel=1e-13, abs=1e-13)


def test_tiny_roots_are_found_to_their_own_size():
    roots = np.geomspace(1e-12, 1.0, 25)
    found = rising_root(lambda x: x - roots, np.zeros(25), np.full(25, 10.0))
    assert np.max(np.abs(found / roots - 1)) < 1e-14


def test_roots_at_the_bounds():
    for low, high in ((3.0, 5.0), (1.0, 3.0), (3.0, 3.0)):
        assert rising_root(lambda x: x - 3.0, np.array(low), np.array(high)) == 3.0


def test_bounds_broadcast_and_one_slow_root_does_not_spoil_the_others():
    low, high = np.array([[-1.0], [0.0]]), np.array([1.0, 2.0, 4.0])
    targets = np.array([[0.5, 1e-9, 0.25], [0.75, 0.125, 3.5]])
    found = rising_root(lambda x: np.where(targets < 1e-6, np.cbrt(x - targets), x - targets), low, high)
    assert found.shape == (2, 3)
    assert np.max(np.abs(found - targets)) < 1e-15


def test_ends_that_are_known_are_not_asked_for():
    asked = []

    def function(x):
        asked.append(x)
        return np.expm1(3 * (x - ROOTS))

    low, high = np.zeros(33), np.ones(33)
    found = rising_root(function, low, high, (np.expm1(-3 * ROOTS), np.expm1(3 * (1 - ROOTS))))
    assert np.max(np.abs(found / ROOTS - 1)) < 1e-14
    assert not any(np.any((x == low) | (x == high)) for x in asked)


def test_it_stops_when_nothing_moves():
    calls = []

    def function(x):
        calls.append(x)
        return np.expm1(3 * (x - ROOTS))

    rising_root(function, np.zeros(33), np.ones(33))
    assert len(calls) < 25


def test_it_ends_where_the_function_is_nothing_but_rounding():
    found = rising_root(lambda x: (1.0 + x) - 1.0 - 1e-17, np.array([-1.0]), np.array([1.0]))
    assert abs(found[0]) < 1e-15


# --- one smooth root in few calls -------------------------------------------------------------------------------------

SMOOTH = {
    "straight": lambda x, c: x - c,
    "exponential": lambda x, c: np.expm1(5 * (x - c)),
    "logarithm": lambda x, c: np.log((x + 0.1) / (c + 0.1)),
    "bend": lambda x, c: np.arctan(10 * (x - c)),
    "level before its zero": lambda x, c: x**3 - c**3,
    "square root": lambda x, c: np.sqrt(x) - np.sqrt(c),
}


@pytest.mark.parametrize("shape", SMOOTH.values(), ids=SMOOTH.keys())
@pytest.mark.parametrize("root", [0.0, 0.02, 0.3, 0.5, 0.97, 1.0])
def test_a_smooth_root_takes_few_calls(shape, root):
    calls = []

    def function(x):
        calls.append(x.size)
        return shape(x, root)

    places = np.linspace(0.0, 1.0, 9)
    found = smooth_root(function, places, shape(places, root))
    assert found == pytest.approx(root, abs=1e-13)
    assert len(calls) <= 8
    assert sum(calls) <= 4 * len(calls)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_a_root_that_is_not_smooth_is_found_too(shape):
    for root in ROOTS:
        places = np.linspace(0.0, 1.0, 5)
        found = smooth_root(lambda x, root=root: shape(x, root), places, shape(places, root))
        assert found == pytest.approx(root, abs=1e-13)
