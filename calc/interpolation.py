"""A smooth curve through the points of a printed table that never overshoots between them.

Piecewise cubics whose slopes at the points are limited so that the curve rises where the table rises, falls where it
falls, and has a turning point only where the table has one.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from calc.units import Array

Integers = npt.NDArray[np.intp]


def _end_slope(step: Array, next_step: Array, rise: Array, next_rise: Array) -> Array:
    """Slope at an end point from the parabola through three points, cut back to keep the first interval monotone."""
    slope = ((2.0 * step + next_step) * rise - step * next_rise) / (step + next_step)
    slope = np.where(slope * rise <= 0.0, 0.0, slope)
    too_steep = (rise * next_rise < 0.0) & (np.abs(slope) > 3.0 * np.abs(rise))
    return np.where(too_steep, 3.0 * rise, slope)


def slopes(points: Array, values: Array) -> Array:
    """Slopes at the points of a curve that keeps the table's own rises and falls.

    The slope is the weighted harmonic mean of the slopes of the two chords that meet at the point, and zero where they
    differ in sign.

    Args:
        points: rising abscissas [n], at least three.
        values: ordinates [n, ...]; further axes are separate curves.

    Returns:
        Slopes, of the shape of `values`.

    Source: F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J.
    Sci. Stat. Comput. 5 (1984) 300-304 (from memory).
    """
    steps = np.diff(points).reshape((-1,) + (1,) * (values.ndim - 1))
    rises = np.diff(values, axis=0) / steps
    before, after = rises[:-1], rises[1:]
    weight_before, weight_after = (
        2.0 * steps[1:] + steps[:-1],
        steps[1:] + 2.0 * steps[:-1],
    )
    same_sign = before * after > 0.0
    divisor = np.where(same_sign, weight_before * after + weight_after * before, 1.0)
    inner = np.where(same_sign, (weight_before + weight_after) * before * after / divisor, 0.0)
    first = _end_slope(steps[0], steps[1], rises[0], rises[1])
    last = _end_slope(steps[-1], steps[-2], rises[-1], rises[-2])
    return np.concatenate([first[None], inner, last[None]])


def _cubic(points: Array, at: Array, pick: Callable[[Array, Integers], Array], values: Array) -> Array:
    """The cubic of the interval in which each of `at` lies; `pick` takes rows of an array by interval."""
    slope = slopes(points, values)
    left = np.clip(np.searchsorted(points, at, side="right") - 1, 0, points.size - 2)
    width = points[left + 1] - points[left]
    t = (at - points[left]) / width
    extra = (1,) * (pick(values, left).ndim - at.ndim)
    t, width = t.reshape(t.shape + extra), width.reshape(width.shape + extra)
    rest = 1.0 - t
    return np.asarray(
        rest**2 * ((1.0 + 2.0 * t) * pick(values, left) + t * width * pick(slope, left))
        + t**2 * ((1.0 + 2.0 * rest) * pick(values, left + 1) - rest * width * pick(slope, left + 1))
    )


def monotone(points: Array, values: Array, at: Array) -> Array:
    """The curve through (`points`, `values`) at `at`, which must lie within the points.

    Args:
        points: rising abscissas [n], at least three.
        values: ordinates [n], or [n, k] for k curves over the same abscissas.
        at: abscissas wanted, any shape.

    Returns:
        Ordinates of the shape of `at`, with a last axis [k] when there are k curves.
    """
    return _cubic(points, at, lambda table, rows: table[rows], values)


def monotone_each(points: Array, values: Array, at: Array) -> Array:
    """As `monotone`, where each of `at` [m] has a curve of its own: `values` is [n, m], and the result [m]."""
    own = np.arange(at.size)
    return _cubic(points, at, lambda table, rows: table[rows, own], values)
