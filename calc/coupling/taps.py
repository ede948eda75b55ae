"""The coupling between the two parts of a tapped coil, from the inductances of the whole and of its parts."""

import numpy as np

from calc.units import Array, InputError, Values, plain, require_positive


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
