"""Roots of many rising functions at once, each kept between two bounds."""

from collections.abc import Callable

import numpy as np

from calc.units import Array

_MOST_STEPS = 120


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
