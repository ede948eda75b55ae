"""A value with what is known of its uncertainty, and the law by which uncertainties pass from inputs to a result."""

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.fitting.coverage import coverage_factor
from calc.units import Array, InputError, require_finite, require_nonnegative

_STEP = 1e-30
_TINY = 1e-200
Function = Callable[[npt.NDArray[Any]], Any]
"""A function of one array, made of numpy's analytic functions so that it also takes complex numbers: no `abs`, `max` or
`hypot` of what varies."""


class Measured(NamedTuple):
    """A value and its standard uncertainty.

    Attributes:
        value: the estimate.
        uncertainty: standard, in the value's unit; None where nothing tells, infinite where the readings do not decide.
        degrees_of_freedom: of the uncertainty, where a scatter has shown it; None where it is known.
    """

    value: float
    uncertainty: float | None
    degrees_of_freedom: int | None = None

    @property
    def relative(self) -> float | None:
        """Standard uncertainty as a share of the value [1]; None where there is none."""
        if self.uncertainty is None or self.value == 0.0:
            return None
        return self.uncertainty / abs(self.value)

    @property
    def decided(self) -> bool:
        """Whether it has a finite uncertainty."""
        return self.uncertainty is not None and math.isfinite(self.uncertainty)

    def interval(self, coverage: float = 0.95) -> tuple[float, float] | None:
        """Least and most, which hold the truth with that chance; None where there is no finite uncertainty."""
        if self.uncertainty is None or not math.isfinite(self.uncertainty):
            return None
        half = coverage_factor(coverage, self.degrees_of_freedom) * self.uncertainty
        return self.value - half, self.value + half


def gradient(function: Function, at: npt.ArrayLike) -> Array:
    """Rates of change of a function's results with each element of its argument, exact to rounding.

    Args:
        function: of an array [p], giving a number or an array [n]. As `Function`.
        at: where, [p].

    Returns:
        [p] for a function that gives a number, [n, p] for one that gives an array.

    Source: the imaginary part of f(x + ih)/h with h too small for its square to count (J. N. Lyness and C. B. Moler,
        1967, from memory).
    """
    moved, step = moved_each(np.asarray(at, dtype=np.float64))
    return np.asarray(np.array([function(each) for each in moved]).imag.T / step)


def moved_each(point: Array) -> tuple[npt.NDArray[np.complex128], Array]:
    """A point moved along each axis in turn by an imaginary step [p, p], a row for each, and the steps [p]."""
    size = np.abs(point)
    step = _STEP * np.where(size < _TINY, 1.0, size)
    moved = np.zeros((point.size, point.size), dtype=np.complex128)
    moved.real = point
    moved.imag.flat[:: point.size + 1] = step
    return moved, step


def propagate(function: Function, inputs: Sequence[Measured], correlation: npt.ArrayLike | None = None) -> Measured:
    """What comes of a function of measured values: u^2 = sum over i, j of c_i c_j u_i u_j r_ij.

    Args:
        function: of an array of the values, giving a number. As `Function`.
        inputs: the values.
        correlation: of each with each [p, p]; None for independent ones.

    Returns:
        The result. Its degrees of freedom are those of Welch and Satterthwaite, cut to a whole number, if any input
        has some and the inputs are independent. Its uncertainty is None where an input that counts has none, and
        infinite where one has that.

    Accuracy: first order: good while the function is nearly straight over the inputs' uncertainties.
    Source: JCGM 100:2008 (GUM), 5.1.2, 5.2.2 and G.4.1.
    """
    values = require_finite("inputs", [each.value for each in inputs])
    value = float(np.real(function(values.astype(np.complex128))))
    slope = gradient(function, values)
    if any(each.uncertainty is None and rate != 0.0 for each, rate in zip(inputs, slope.tolist(), strict=True)):
        return Measured(value, None)
    if any(each.uncertainty == math.inf and rate != 0.0 for each, rate in zip(inputs, slope.tolist(), strict=True)):
        return Measured(value, math.inf)
    known = require_nonnegative("uncertainty", [each.uncertainty or 0.0 for each in inputs])
    part = slope * known
    matrix = np.eye(part.size) if correlation is None else require_finite("correlation", correlation)
    if matrix.shape != (part.size, part.size):
        raise InputError("correlation", "must be a square table with a row for each input")
    combined = math.sqrt(max(float(part @ matrix @ part), 0.0))
    return Measured(value, combined, _degrees(inputs, part, combined) if correlation is None else None)


def _degrees(inputs: Sequence[Measured], part: Array, combined: float) -> int | None:
    """Welch and Satterthwaite's; None where all parts are known."""
    shares = [
        (share / combined) ** 4 / each.degrees_of_freedom
        for each, share in zip(inputs, part.tolist(), strict=True)
        if each.degrees_of_freedom is not None and combined > 0.0
    ]
    total = sum(shares)
    # a hair is added before the cut, so that four equal parts do not lose a degree to rounding
    return max(int(1.0 / total * (1.0 + 1e-9)), 1) if total > 1e-9 else None
