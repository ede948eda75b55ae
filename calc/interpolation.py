"""A smooth curve through the points of a printed table that never overshoots between them.

Piecewise cubics whose slopes at the points are limited so that the curve rises where the table rises, falls where it
falls, and has a turning point only where the table has one.
"""

import numpy as np
import numpy.typing as npt

from calc.units import Array, Values

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


class Curve:
    """The curve through points, worked out once to be asked often; beyond its ends it stays as it is there."""

    def __init__(self, points: Array, values: Array) -> None:
        """
        Args:
            points: rising abscissas [n], at least three.
            values: ordinates [n], or [n, k] for k curves over the same abscissas.
        """
        step = np.diff(points).reshape((-1,) + (1,) * (values.ndim - 1))
        rise, slope = np.diff(values, axis=0) / step, slopes(points, values)
        before, after = slope[:-1], slope[1:]
        bend, twist = (3.0 * rise - 2.0 * before - after) / step, (before + after - 2.0 * rise) / step**2
        self._points, self._cubics = points, np.stack([values[:-1], before, bend, twist])

    def __call__(self, at: Values) -> Array:
        """Ordinates at abscissas of any shape; with a last axis [k] when there are k curves."""
        left, beyond = self._place(at)
        return _cubic(self._cubics[:, left], beyond.reshape(beyond.shape + (1,) * (self._cubics.ndim - 2)))

    def each(self, at: Values) -> Array:
        """Ordinates at abscissas [k], one for each of k curves, [k]."""
        left, beyond = self._place(at)
        return _cubic(self._cubics[:, left, np.arange(left.size)], beyond)

    def _place(self, at: Values) -> tuple[Integers, Array]:
        """For each abscissa the interval that it lies in, and how far in."""
        inside = np.minimum(np.maximum(at, self._points[0]), self._points[-1])
        left = np.minimum(np.searchsorted(self._points, inside, side="right") - 1, self._points.size - 2)
        return left, inside - self._points[left]


def _cubic(coefficients: Array, beyond: Array) -> Array:
    constant, slope, bend, twist = coefficients
    return np.asarray(constant + beyond * (slope + beyond * (bend + beyond * twist)))
