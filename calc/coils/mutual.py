"""Two coils: mutual inductance and coupling coefficient against distance, angle and side-step, and the way back."""

import math
from collections.abc import Callable

import numpy as np

from calc.coils.elliptic import circle_mutual, mutual_of_circles
from calc.coils.sheets import gauss, mutual_of_sheets
from calc.coils.windings import Sheets, Solenoid, Winding
from calc.roots import smooth_root
from calc.units import Array, InputError, Values, plain, require_between, require_finite, require_nonnegative

_ROUND_POINTS = 24
_AXIAL_POINTS, _AXIAL_POINTS_OF_THICK = 12, 6
_LOOKS = np.linspace(0.0, 7.0, 9)
"""Logarithms at which a distance is looked for first: from the nearest one to some thirty sizes."""


def mutual_inductance(a: Winding, b: Winding, centre_distance: Values) -> float | Array:
    """Mutual inductance [H] of two coils on one axis, of any shapes, in the same sense.

    Both are taken as coaxial sheets of evenly spread current, and the mutual inductances of all pairs are added.

    Args:
        a, b: the coils.
        centre_distance: from a's centre to b's along the axis [m]; its sign matters for cones only.

    Accuracy: 1e-7 for single layers. Thick coils 1e-4 when their sections are a tenth of their depth apart along the
    axis, 2e-3 when they touch. Flat and conical coils are taken as their turns (up to 48), so that theirs is that of a
    sum over rings. Against such sums otherwise as `solenoid_mutual`; `Rings.mutual` is exact.
    """
    apart = require_finite("centre_distance", centre_distance)
    first, second = a.sheets(), b.sheets()
    place = apart[..., None, None] + second.position - first.position[:, None]
    kernel = mutual_of_sheets(first.radius[:, None], first.length[:, None], second.radius, second.length, place)
    result: float | Array = plain((kernel @ second.turns) @ first.turns)
    return result


def mutual_of_rings(a: Sheets, b: Sheets, centre_distance: Values) -> float | Array:
    """Mutual inductance [H] of two coils on one axis taken as rings: see `as_rings`. Quick, for curves.

    Args:
        a, b: sheets of no length.
        centre_distance: from a's centre to b's along the axis [m].

    Raises:
        InputError: two rings in one place.

    Accuracy: 1e-4 of `mutual_inductance` for coils end to end, a sixth of their lengths and of their radii apart; less
    where they come nearer.
    """
    apart = require_finite("centre_distance", centre_distance)[..., None, None] + b.position - a.position[:, None]
    kernel = np.asarray(circle_mutual(a.radius[:, None], b.radius, apart))
    result: float | Array = plain((kernel @ b.turns) @ a.turns)
    return result


def solenoid_mutual(a: Solenoid, b: Solenoid, centre_distance: Values) -> float | Array:
    """Mutual inductance [H] of two single-layer coils on one axis, as current sheets.

    The mean of Maxwell's mutual inductance of two circles over all pairs of places on the two sheets.

    Args:
        a, b: the coils. One may be inside the other, over it or beside it.
        centre_distance: between their centres along the axis [m].

    Accuracy: 1e-7 of the exact sheets. Real turns are not sheets: against a sum over rings 3e-4 when the coils are
    four pitches apart, 1e-4 further off.
    Source: J. C. Maxwell, Treatise (1873) art. 701; F. W. Grover, Inductance Calculations (1946) ch. 15 for the
    problem.
    """
    return mutual_inductance(a, b, centre_distance)


def coupling_coefficient(a: Winding, b: Winding, centre_distance: Values) -> float | Array:
    """Coupling coefficient k = M/sqrt(La Lb) [1] of two coils on one axis. Arguments as `mutual_inductance`.

    Accuracy: of M and half that of each inductance.
    """
    scale = np.sqrt(a.inductance * b.inductance)
    result: float | Array = plain(np.asarray(mutual_inductance(a, b, centre_distance)) / scale)
    return result


def distance_for_coefficient(a: Winding, b: Winding, coefficient: Values, least_distance: float = 0.0) -> float | Array:
    """Distance [m] between the centres of two coils on one axis at which they have a coupling coefficient.

    Args:
        a, b: the coils, each alike from both ends: not cones.
        coefficient: wanted [1], above zero.
        least_distance: nearest that they can come [m]: half the sum of their lengths for coils end to end.

    Raises:
        InputError: more than the coils reach at the least distance, or less than a ten-thousandth.

    Accuracy: exact inverse of `coupling_coefficient`.
    """
    wanted = require_between("coefficient", coefficient, 1e-4, 1.0)
    near = float(require_nonnegative("least_distance", least_distance))
    size = max(float((part.radius + part.length).max()) for part in (a.sheets(), b.sheets()))
    found = distances_where(lambda apart: np.asarray(coupling_coefficient(a, b, apart)), wanted, near, size)
    result: float | Array = plain(found)
    return result


def distances_where(coefficient_at: Callable[[Array], Array], wanted: Array, near: float, size: float) -> Array:
    """Distances [m], of the shape of `wanted`, at which a coefficient that falls with distance has values wanted [1].

    The coefficient goes by the square of the distance, far off by a power of it: its logarithm is smooth and nearly
    straight over that of one and by how many squares of the size [m] the square lies beyond that of the nearest
    distance [m].

    Raises:
        InputError: more than at the nearest distance.
    """

    def distance(beyond: Array) -> Array:
        return np.asarray(np.sqrt(near**2 + size**2 * np.expm1(beyond)))

    def falls(beyond: Array) -> Array:
        return np.asarray(-np.log(coefficient_at(distance(beyond))))

    places = _LOOKS
    values = falls(places)
    if np.any(-np.log(wanted) < values[0]):
        most = math.exp(-values[0])
        raise InputError("coefficient", f"is more than these coils reach: {most:.4f} at the least distance")
    while values[-1] < -math.log(wanted.min()):
        further = places[-1:] + 2.0
        places, values = np.append(places, further), np.append(values, falls(further))

    def root(level: float) -> float:
        return smooth_root(lambda beyond: falls(beyond) - level, places, values - level)

    roots = np.array([root(-math.log(one)) for one in wanted.ravel().tolist()])
    return distance(roots).reshape(wanted.shape)


def turned_mutual(
    a: Winding,
    b: Winding,
    angle: Values,
    centre_distance: Values = 0.0,
    side_step: Values = 0.0,
) -> float | Array:
    """Mutual inductance [H] of two coils whose axes are not one: b turned about its own centre, and set aside.

    Both coils are taken as rings at Gauss points of their length and depth. The vector potential of each ring of a
    follows from the mutual inductance of coaxial circles, A = M/(2 pi rho); it is summed along each ring of b.

    Args:
        a: the coil that stays, its axis the reference.
        b: the coil that moves.
        angle: between the axes [rad]; the turn is about a line through b's centre, square to the plane that holds a's
            axis and the side-step. Half a turn reverses the sign.
        centre_distance: of b's centre from a's, along a's axis [m].
        side_step: of b's centre from a's axis [m].

    Accuracy: 1e-3 of the mutual inductance at its greatest, as long as no part of one winding comes nearer the other
    than a sixth of its length and of its radius. Where they come nearer, less; windings that would cross are not
    noticed.
    """
    theta, along, aside = np.broadcast_arrays(
        require_finite("angle", angle),
        require_finite("centre_distance", centre_distance),
        require_finite("side_step", side_step),
    )
    first, second = as_rings(a), as_rings(b)
    phi = np.pi * (np.arange(_ROUND_POINTS) + 0.5) / _ROUND_POINTS
    sine, cosine = (f(theta)[..., None, None] for f in (np.sin, np.cos))
    radius, place, cosine_round, sine_round = second.radius[:, None], second.position[:, None], np.cos(phi), np.sin(phi)
    x = aside[..., None, None] + place * sine + radius * cosine_round * cosine
    y = radius * sine_round
    z = along[..., None, None] + place * cosine - radius * cosine_round * sine
    sweep = radius * (x * cosine_round + y * sine_round * cosine)
    rho2 = np.maximum(x**2 + y**2, 1e-18 * radius**2)
    shape = (..., slice(None), None, None)
    kernel = mutual_of_circles(
        first.radius[:, None, None], np.sqrt(rho2)[..., None, :, :], z[..., None, :, :] - first.position[shape[1:]]
    )
    share = second.turns[:, None] / _ROUND_POINTS * sweep / rho2
    lead = theta.shape
    around = kernel.reshape(*lead, first.turns.size, -1) @ share.reshape(*lead, -1, 1)
    result: float | Array = plain(around[..., 0] @ first.turns)
    return result


def as_rings(winding: Winding) -> Sheets:
    """A coil as rings: at Gauss points of the lengths of its sheets; sheets of no length stay as they are."""
    sheets = winding.sheets()
    if not (sheets.length > 0.0).any():
        return sheets
    point, weight = gauss(_AXIAL_POINTS if sheets.turns.size == 1 else _AXIAL_POINTS_OF_THICK)
    position = sheets.position[:, None] + sheets.length[:, None] * (point - 0.5)
    turns = sheets.turns[:, None] * weight
    radius = np.broadcast_to(sheets.radius[:, None], turns.shape)
    return Sheets(turns.ravel(), radius.ravel(), np.zeros(turns.size), position.ravel())
