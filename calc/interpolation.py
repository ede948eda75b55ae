"""A smooth curve through the points of a printed table that never overshoots between them.

Piecewise cubics whose slopes at the points are limited so that the curve rises where the table rises, falls where it
falls, and has a turning point only where the table has one.
"""

import numpy as np
import numpy.typing as npt

from calc.units import Array, Values

Integers = npt.NDArray[np.intp]


def _slopes(step: Array, rise: Array) -> Array:
    """Slopes at the points of curves that keep the table's own rises and falls, from what lies between the points.

    The slope is the weighted harmonic mean of the slopes of the two chords that meet at the point, and zero where they
    differ in sign.

    Source: F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J.
    Sci. Stat. Comput. 5 (1984) 300-304 (from memory).
    """
    found = np.empty((rise.shape[0] + 1, *rise.shape[1:]))
    before, after = rise[:-1], rise[1:]
    product = before * after
    weight_before, weight_after = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    same_sign = product > 0.0
    divisor = np.where(same_sign, weight_before * after + weight_after * before, 1.0)
    found[1:-1] = np.where(same_sign, (weight_before + weight_after) * product / divisor, 0.0)
    # at both ends the slope of the parabola through three points, cut back to keep the end interval monotone
    own, next_step, end, inner = step[[0, -1]], step[[1, -2]], rise[[0, -1]], rise[[1, -2]]
    slope = ((2.0 * own + next_step) * end - own * inner) / (own + next_step)
    slope = np.where(slope * end <= 0.0, 0.0, slope)
    too_steep = (end * inner < 0.0) & (np.abs(slope) > 3.0 * np.abs(end))
    found[[0, -1]] = np.where(too_steep, 3.0 * end, slope)
    return found


class Curve:
    """The curve through points, worked out once to be asked often; beyond its ends it stays as it is there."""

    def __init__(self, points: Array, values: Array) -> None:
        """
        Args:
            points: rising abscissas [n], at least three.
            values: ordinates [n], or [n, k] for k curves over the same abscissas.
        """
        step = (points[1:] - points[:-1]).reshape((-1,) + (1,) * (values.ndim - 1))
        rise = (values[1:] - values[:-1]) / step
        slope = _slopes(step, rise)
        before, after = slope[:-1], slope[1:]
        bend, twist = (3.0 * rise - 2.0 * before - after) / step, (before + after - 2.0 * rise) / step**2
        self._points, self._cubics = points, np.array([values[:-1], before, bend, twist])

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
