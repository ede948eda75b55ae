"""How wide an interval must be to hold the truth, by the normal law and by Student's; and the chance of a scatter.

For whole degrees of freedom both laws are finite sums, so that nothing is approximated.
"""

import math
from collections.abc import Callable
from functools import lru_cache

from calc.units import InputError, require_between, require_nonnegative


def _degrees(value: int) -> int:
    if value < 1 or value != int(value):
        raise InputError("degrees_of_freedom", "must be a whole number of 1 or more")
    return int(value)


def student_within(distance: float, degrees_of_freedom: int) -> float:
    """Chance [1] that Student's t lies within -distance to distance.

    Args:
        distance: [1].
        degrees_of_freedom: a whole number of 1 or more.

    Accuracy: exact, to rounding.
    Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4 (from memory).
    """
    t, n = float(require_nonnegative("distance", distance)), _degrees(degrees_of_freedom)
    angle = math.atan2(t, math.sqrt(n))
    square = n / (n + t * t)
    odd = n % 2 == 1
    term = math.sqrt(square) if odd else 1.0
    total = 0.0
    for k in range(1 if odd else 0, n - 1, 2):
        total += term
        term *= square * (k + 1) / (k + 2)
    return (angle + math.sin(angle) * total) * 2.0 / math.pi if odd else math.sin(angle) * total


def normal_within(distance: float) -> float:
    """Chance [1] that a normal variate lies within `distance` standard deviations of its mean: erf(distance/sqrt 2)."""
    return math.erf(float(require_nonnegative("distance", distance)) / math.sqrt(2.0))


def chance_of_scatter(chi_square: float, degrees_of_freedom: int) -> float:
    """Chance [1] that a sum of squares of so many independent standard normal variates is greater than this.

    Args:
        chi_square: the sum [1].
        degrees_of_freedom: how many; a whole number of 1 or more.

    Accuracy: exact, to rounding.
    Source: Abramowitz and Stegun (1964), 26.4.4 and 26.4.5 (from memory).
    """
    x, n = float(require_nonnegative("chi_square", chi_square)), _degrees(degrees_of_freedom)
    if x == 0.0:
        return 1.0
    odd = n % 2 == 1
    total = math.erfc(math.sqrt(0.5 * x)) if odd else 0.0
    # each term by its logarithm: exp(-x/2) alone runs out of range where the sum does not
    for k in range(n // 2):
        power = k + 0.5 if odd else float(k)
        total += math.exp(power * math.log(0.5 * x) - 0.5 * x - math.lgamma(power + 1.0))
    return min(total, 1.0)


@lru_cache(maxsize=256)
def coverage_factor(coverage: float = 0.95, degrees_of_freedom: int | None = None) -> float:
    """Standard uncertainties to either side [1] that hold the truth with a given chance.

    Args:
        coverage: the chance, above 0 and below 1.
        degrees_of_freedom: of the standard uncertainty, where a scatter has shown it; None where it is known, for the
            normal law.

    Accuracy: exact, to rounding.
    Source: JCGM 100:2008 (GUM), annex G.
    """
    require_between("coverage", coverage, 1e-6, 1.0 - 1e-9)
    if degrees_of_freedom is None:
        return _inverse(normal_within, coverage)
    n = _degrees(degrees_of_freedom)
    return _inverse(lambda t: student_within(t, n), coverage)


def _inverse(within: Callable[[float], float], chance: float) -> float:
    """The distance within which that chance lies: halving down to the last digit."""
    low, high = 0.0, 2.0
    while within(high) < chance:
        low, high = high, 2.0 * high
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return middle
        low, high = (middle, high) if within(middle) < chance else (low, middle)
