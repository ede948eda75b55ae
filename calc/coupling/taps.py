"""The two parts of a tapped coil: their coupling from their inductances, and an inductance from the coupling."""

import numpy as np

from calc.units import Array, InputError, Values, plain, require_between, require_positive


def tap_coefficient(inductance: Values, lower_inductance: Values, upper_inductance: Values) -> Array | float:
    """Coefficient of coupling of the parts of a tapped coil, (L - L1 - L2) / (2 sqrt(L1 L2)) [-].

    The whole coil is both parts in series with their mutual inductance twice over; the mutual follows from the three
    inductances, each that of a plain coil.

    Args:
        inductance: of the whole coil [H], any shape.
        lower_inductance, upper_inductance: of the part below and above the tap by itself [H].

    Returns:
        Coefficient, from 0 to 1 for parts of a real coil.

    Raises:
        InputError: a value is not finite and positive, or no real coil has these three.
    """
    whole = require_positive("inductance", inductance)
    lower = require_positive("lower_inductance", lower_inductance)
    upper = require_positive("upper_inductance", upper_inductance)
    coefficient = (whole - lower - upper) / (2.0 * np.sqrt(lower * upper))
    if np.any((coefficient < 0.0) | (coefficient > 1.0)):
        raise InputError("inductance", "must lie between the sum of the parts and the square of the sum of their roots")
    return plain(coefficient)


_STEPS = 8
"""Newton's steps: from below on a curve that is hollow upwards, the last ones below rounding."""


def part_inductance(inductance: Values, fraction: Values, coefficient: Values) -> Array | float:
    """Inductance of the part of a coil between its end and a tap, by itself [H].

    It is taken as a power of the share of the turns, the same for both parts: the power for which the two parts, with
    their mutual inductance twice over, make the whole. It lies between 1, with no coupling, and 2, with all of it.
    The rule is ours, and held to exact sums over current sheets.

    Args:
        inductance: of the whole coil [H], any shape.
        fraction: share of the turns in the part, above zero and up to one [-], any shape.
        coefficient: of coupling between the two parts, 0 to 1 [-], any shape.

    Raises:
        InputError: a value is out of its range.

    Accuracy: single-layer coils 0.5 to 4 times as wide as long, with the true coefficient: within 12 % from a sixth of
    the turns up, 28 % from a twentieth, exact at the middle.
    """
    whole, below = require_positive("inductance", inductance), require_positive("fraction", fraction)
    if not np.all(below <= 1.0):
        raise InputError("fraction", "must be above zero and not above one")
    coupled = require_between("coefficient", coefficient, 0.0, 1.0)
    is_part = below < 1.0
    below = np.where(is_part, below, 0.5)
    logs = np.log(below), np.log1p(-below)
    power = np.ones(np.broadcast_shapes(below.shape, coupled.shape))
    for _ in range(_STEPS):
        one, other = (np.exp(power * log) for log in logs)
        both = coupled * np.sqrt(one * other)
        power -= (one + other + 2.0 * both - 1.0) / (one * logs[0] + other * logs[1] + both * (logs[0] + logs[1]))
    return plain(whole * np.where(is_part, np.exp(power * logs[0]), 1.0))
