"""The modified Bessel functions of a cycle: averages of exp(u cos t), in the combinations that a detector needs."""

from functools import cache
from math import factorial
from typing import Any

import numpy as np

from calc.units import Array, Values, plain, require_nonnegative

_SERIES_TERMS = 38
_ASYMPTOTIC_TERMS = 26
_BORDER = 20.0
"""Drive above which the asymptotic series takes over: either, cut off so, is good to 1e-16 there."""


@cache
def _power_series() -> tuple[Array, ...]:
    """Coefficients of (I0(u) - 1) / (u/2)**2 and 2 I1(u) / u in powers of (u/2)**2, the highest power first.

    Source: NIST Digital Library of Mathematical Functions, 10.25.2.
    """
    pairs = [[1.0 / factorial(k + 1) ** 2, 1.0 / (factorial(k) * factorial(k + 1))] for k in range(_SERIES_TERMS)]
    return tuple(np.array(pair).reshape(2, 1) for pair in reversed(pairs))


@cache
def _asymptotic_series() -> tuple[Array, ...]:
    """Coefficients of sqrt(2 pi u) exp(-u) times I0(u) and I1(u) in powers of 1/(8u), highest first.

    Source: NIST Digital Library of Mathematical Functions, 10.40.1.
    """
    pairs = [np.ones((2, 1))]
    for k in range(1, _ASYMPTOTIC_TERMS):
        pairs.append(pairs[-1] * ((2.0 * k - 1.0) ** 2 - np.array([[0.0], [4.0]])) / k)
    return tuple(reversed(pairs))


def _polynomials(coefficients: tuple[Array, ...], variable: Array) -> Array:
    """The pair of polynomials at each value of a flat array, by Horner's rule."""
    total = np.repeat(coefficients[0], variable.size, axis=1)
    for coefficient in coefficients[1:]:
        total *= variable
        total += coefficient
    return total


def bessel_drive(drive: Values) -> tuple[Any, Any]:
    """The two combinations of modified Bessel functions that a detector needs, safe at any size of drive.

    Args:
        drive: u, the peak voltage in units of the diode's nVt, not below zero. Scalar or array [-].

    Returns:
        (ln I0(u), 2 I1(u) / (u I0(u))). They go to u**2/4 and 1 where u is small, nearly to u and 2/u where
        it is large.

    Raises:
        InputError: drive is below zero.

    Accuracy: 2e-15 of the value.
    """
    u = require_nonnegative("drive", drive)
    flat = u.ravel()
    logarithm, ratio = np.empty_like(flat), np.empty_like(flat)
    small = flat <= _BORDER
    if np.any(small):
        square = 0.25 * flat[small] ** 2
        excess, first = _polynomials(_power_series(), square)
        excess *= square
        logarithm[small] = np.log1p(excess)
        ratio[small] = first / (1.0 + excess)
    if not np.all(small):
        large = flat[~small]
        zeroth, first = _polynomials(_asymptotic_series(), 0.125 / large)
        logarithm[~small] = large + np.log(zeroth / np.sqrt(2.0 * np.pi * large))
        ratio[~small] = 2.0 * first / (large * zeroth)
    return plain(logarithm.reshape(u.shape)), plain(ratio.reshape(u.shape))
