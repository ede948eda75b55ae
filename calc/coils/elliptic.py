"""Coaxial circles and the current sheet, by the arithmetic-geometric mean."""

import math

import numpy as np

from calc.constants import VACUUM_PERMEABILITY
from calc.units import Array, InputError, Values, plain, require_finite, require_nonnegative, require_positive

_MOST_STEPS = 20
"""More steps of the arithmetic-geometric mean than any ratio of double-precision numbers needs."""


def mean_and_sum(a: Array, b: Array, half_difference: Array) -> tuple[Array, Array]:
    """Arithmetic-geometric mean of a >= b > 0, and the sum of 2^(n-1) c_n^2 over its steps n = 1, 2, ...

    c_n is half the difference that step n closes. The first, (a - b)/2, is given, as the caller knows it without
    cancellation. The complete elliptic integrals follow: K = pi/(2 agm), (K - E)/K - k^2/2 = sum, with a = 1, b = k'.
    """
    steps = _steps(float((b / a).min(initial=1.0)))
    part = half_difference * half_difference
    total, both, share = part, a + b, 1.0
    for _ in range(steps):
        a, b = 0.5 * both, np.sqrt(a * b)
        both = a + b
        share *= 0.5
        part = share * (part / both) ** 2  # 2^n c_n^2, as c_n = c^2/(2 both) from the c before it
        total = total + part
    return 0.5 * both, total


def _steps(ratio: float) -> int:
    """Steps after which the arithmetic-geometric mean of one and a ratio stands; any nearer to one takes no more."""
    a, b = 1.0, ratio
    for step in range(1, _MOST_STEPS):
        a, b = 0.5 * (a + b), math.sqrt(a * b)
        if not 0.5 * (a - b) > 1e-9 * a:
            return step
    return _MOST_STEPS


def circle_mutual(radius_a: Values, radius_b: Values, distance: Values) -> float | Array:
    """Mutual inductance [H] of two coaxial circles of thin wire.

    Maxwell's formula M = mu0 sqrt(ab) [(2/k - k) K - (2/k) E], k^2 = 4ab/((a + b)^2 + z^2), in the form
    M = (mu0 pi/2) S / agm(p, q), p and q the greatest and least distance between points of the circles and S the sum
    of 2^(n-1) c_n^2 over the steps of that mean, which cancels nothing when the circles are far apart.

    Args:
        radius_a, radius_b: [m].
        distance: between their planes [m]; its sign does not matter.

    Raises:
        InputError: a radius not above zero; the two circles are one and the same.

    Accuracy: 1e-13.
    Source: J. C. Maxwell, A Treatise on Electricity and Magnetism (1873) art. 701; DLMF 19.34.
    """
    a, b = (
        require_positive("radius_a", radius_a),
        require_positive("radius_b", radius_b),
    )
    z = require_finite("distance", distance)
    alike = a == b
    if alike.any() and (alike & (z == 0.0)).any():
        raise InputError("distance", "must not be zero for circles of one size: they would be one and the same")
    result: float | Array = plain(mutual_of_circles(a, b, z))
    return result


def mutual_of_circles(a: Array, b: Array, z: Array) -> Array:
    """As `circle_mutual`, for arrays already checked; the circles must not coincide."""
    return _mutual(a + b, a - b, z, 2.0 * a * b)


def mutual_of_near_circles(mean_radius: Array, half_difference: Array, z: Array) -> Array:
    """As `mutual_of_circles`, for radii mean + and - half difference, which keeps the digits of that difference."""
    product = 2.0 * (mean_radius**2 - half_difference**2)
    return _mutual(2.0 * mean_radius, 2.0 * half_difference, z, product)


def _mutual(both_radii: Array, difference: Array, z: Array, twice_product: Array) -> Array:
    """Mutual inductance [H] of circles by the sum and the difference of their radii, and twice their product."""
    along = z**2
    longest, shortest = np.sqrt(both_radii**2 + along), np.sqrt(difference**2 + along)
    mean, total = mean_and_sum(longest, shortest, twice_product / (longest + shortest))
    return np.asarray(VACUUM_PERMEABILITY * (math.pi / 2.0) * total / mean)


def nagaoka(diameter_over_length: Values) -> float | Array:
    """Nagaoka's coefficient: inductance of a cylindrical current sheet over that of as long a piece of an endless one.

    Lorenz' closed form K = (4/(3 pi k')) [(k'^2/k^2)(K - E) + E - k], k = x/sqrt(1 + x^2), x the diameter over length.

    Args:
        diameter_over_length: [1], zero (endless) or more.

    Returns:
        K [1], one for an endless coil.

    Accuracy: 1e-14 for x up to one, 1e-13 up to 1e12. For x above one E - k is taken from Legendre's
    relation, since both tend to one.
    Source: H. Nagaoka, J. Coll. Sci. Tokyo 27 (1909) art. 6; L. Lorenz (1879).
    """
    x = require_nonnegative("diameter_over_length", diameter_over_length)
    ratio = np.clip(x, 1e-20, 1e100)
    root = np.sqrt(1.0 + ratio**2)
    kc, k = 1.0 / root, ratio / root
    one_less_kc, one_less_k = k**2 / (1.0 + kc), kc**2 / (1.0 + k)
    mean, total = mean_and_sum(np.ones_like(kc), kc, 0.5 * one_less_kc)
    big_k = math.pi / (2.0 * mean)
    difference = big_k * (0.5 * k**2 + total)
    tail, is_short = np.asarray(big_k - difference - k), ratio > 1.0
    if is_short.any():
        # Legendre: E - 1 = K (K' - E')/K' - (K' - pi/2)/K', primes of the complementary modulus, K' = pi/(2 agm(1, k))
        _, total_c = mean_and_sum(np.ones_like(k), k, 0.5 * one_less_k)
        short_coil = big_k * (0.5 * kc**2 + total_c) - _one_less_mean(one_less_k) + one_less_k
        tail = np.where(is_short, short_coil, tail)
    result: float | Array = plain(4.0 * root / (3.0 * math.pi) * (difference / ratio**2 + tail))
    return result


def _one_less_mean(one_less_b: Array) -> Array:
    """1 - agm(1, b) from 1 - b, without the rounding of b itself."""
    short_a, short_b = np.zeros_like(one_less_b), one_less_b
    for _ in range(7):
        product = short_a + short_b - short_a * short_b
        short_a, short_b = (
            0.5 * (short_a + short_b),
            product / (1.0 + np.sqrt(1.0 - product)),
        )
    return short_a
