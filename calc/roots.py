"""Roots of rising functions, kept between two bounds: of many at once, and of a smooth one in few calls."""

import math
from collections.abc import Callable

import numpy as np

from calc.units import Array

_MOST_STEPS = 120
_EACH_SIDE = 3
"""Points on each side of zero that a polynomial goes through."""


def rising_root(
    function: Callable[[Array], Array], low: Array, high: Array, ends: tuple[Array, Array] | None = None
) -> Array:
    """Where each of many continuous rising functions crosses zero.

    False position between two bounds, the end that stays put being let down after Anderson and Bjorck; a bracket that
    has not halved in three steps is halved. It goes on until the next step would move no root by more than rounding,
    so that the result does not hang on a tolerance.

    Args:
        function: takes an array of abscissas and gives ordinates of the same shape.
        low, high: bounds, any shape that broadcasts; function(low) <= 0 <= function(high).
        ends: function(low) and function(high) where they are known, of that shape; None to ask for them.

    Returns:
        Abscissas, of the shape of the broadcast bounds.

    Source: N. Anderson and A. Bjorck, A new high order method of regula falsi type, BIT 13 (1973) 253-264 (from
    memory).
    """
    low, high = (np.array(bound, dtype=np.float64) for bound in np.broadcast_arrays(low, high))
    below, above = (function(low), function(high)) if ends is None else ends
    guess = np.where(np.abs(below) < np.abs(above), low, high)
    last_rose = np.zeros(low.shape, dtype=np.int8)
    widths = [np.full(low.shape, np.inf)] * 3
    for _ in range(_MOST_STEPS):
        width = high - low
        spread = above - below
        share = np.divide(-below, spread, out=np.full(low.shape, 0.5), where=spread > 0.0)
        share = np.where(width > 0.5 * widths[-3], 0.5, np.clip(share, 0.0, 1.0))
        step, guess = guess, low + share * width
        if np.all(np.abs(guess - step) <= 2.0 * np.spacing(np.abs(guess))):
            break
        value = function(guess)
        rose = value < 0.0
        above = np.where(rose, np.where(last_rose == 1, above * _let_down(value, below), above), value)
        below = np.where(rose, value, np.where(last_rose == -1, below * _let_down(value, above), below))
        low, high = np.where(rose | (value == 0.0), guess, low), np.where(rose & (value != 0.0), high, guess)
        last_rose = np.where(rose, 1, -1).astype(np.int8)
        widths = [*widths[1:], width]
    return guess


def _let_down(value: Array, replaced: Array) -> Array:
    """The factor by which the end that stayed is let down when the other end moves twice running."""
    ratio = np.divide(value, replaced, out=np.ones_like(value), where=replaced != 0.0)
    return np.where((ratio >= 0.0) & (ratio < 1.0), 1.0 - ratio, 0.5)


def smooth_root(function: Callable[[Array], Array], places: Array, values: Array) -> float:
    """Where a smooth rising function of one variable crosses zero, in few calls of several places each.

    Each call is for places close about a guess, that of a polynomial through the points nearest to zero which gives the
    variable by the function. How close, follows from how far those of one point less differ. Where a guess has not
    halved the bounds, the next places lie evenly between them. It ends when the polynomials differ by rounding only, or
    when the bounds do.

    Args:
        function: takes abscissas [n] and gives ordinates [n].
        places: where it is known to begin with [n], rising.
        values: its ordinates there, the first zero or less, the last zero or more.

    Returns:
        The abscissa.

    Accuracy: 1e-14 of the place furthest from nought.
    """
    known = list(zip(values.tolist(), places.tolist(), strict=True))
    hair = 32.0 * math.ulp(max(abs(known[0][1]), abs(known[-1][1])))
    guess, halved = known[0][1], True
    for _ in range(_MOST_STEPS):
        over = max(next((index for index, (value, _) in enumerate(known) if value > 0.0), len(known) - 1), 1)
        (below, low), (above, high) = known[over - 1 : over + 1]
        width = high - low
        if below == 0.0 or above == 0.0 or width <= hair:
            return low if -below <= above else high
        guess, doubt = _inverse(known[max(over - _EACH_SIDE, 0) : over + _EACH_SIDE])
        within = low <= guess <= high
        if within and doubt <= hair:
            break
        reach = max(4.0 * doubt, 1e-5 * width)
        if within and halved and reach < 0.25 * width:
            asked = [guess + share * reach for share in (-1.0, -0.4, 0.4, 1.0)]
        else:
            asked = [low + share * width for share in (0.2, 0.4, 0.6, 0.8)]
        asked = [place for place in asked if low < place < high]
        found = function(np.array(asked)).tolist()
        known[over:over] = zip(found, asked, strict=True)
        falls = [low, *(place for value, place in zip(found, asked, strict=True) if value <= 0.0)]
        halved = next((place for value, place in known if value > 0.0), high) - falls[-1] <= 0.5 * width
    return guess


def _inverse(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Abscissa at ordinate zero of the polynomial of it through points, after Neville, and by how much the two of one
    point less differ."""
    values, found = [value for value, _ in points], [place for _, place in points]
    apart = math.inf
    for step in range(1, len(points)):
        apart = abs(found[1] - found[0])
        for index in range(len(points) - step):
            far, near = values[index + step], values[index]
            if far == near:
                return math.nan, math.inf
            found[index] = (far * found[index] - near * found[index + 1]) / (far - near)
    return found[0], apart
