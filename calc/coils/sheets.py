"""Coaxial current sheets: mutual inductance of two cylinders, and of windings made up of them."""

from functools import cache

import numpy as np

from calc.coils.elliptic import mutual_of_circles, mutual_of_near_circles
from calc.units import Array

_POINTS = 24


@cache
def gauss(points: int) -> tuple[Array, Array]:
    """Abscissas and weights of Gauss-Legendre quadrature from 0 to 1."""
    x, w = np.polynomial.legendre.leggauss(points)
    return 0.5 * (x + 1.0), 0.5 * w


@cache
def graded(points: int) -> tuple[Array, Array]:
    """Gauss points in the cube root of the abscissa, from 0 to 1: for what changes fast, or as a logarithm, near 0."""
    t, w = gauss(points)
    return t**3, 3.0 * w * t**2


def mutual_of_sheets(radius_a: Array, length_a: Array, radius_b: Array, length_b: Array, distance: Array) -> Array:
    """Mutual inductance [H] of two coaxial cylindrical sheets of one turn each, spread over their lengths.

    The mean of the mutual inductance of two circles over all pairs of places on the sheets. In the distance z between
    the circles it is a single integral, weighted with the length of sheet that has pairs so far apart: a trapezium.
    Each straight side of it is integrated by itself, from the end nearest z = 0, where circles of like size meet, by
    points that crowd there. A sheet shorter than a millionth of its radius is a circle.

    Args:
        All [m], of shapes that broadcast; distance is between the centres.

    Accuracy: 1e-7, and mostly 1e-12; tested against turn-by-turn sums and direct quadrature.
    """
    la, lb = np.maximum(length_a, 1e-6 * radius_a), np.maximum(length_b, 1e-6 * radius_b)
    half_sum, half_difference = 0.5 * (la + lb), 0.5 * np.abs(la - lb)
    d = np.abs(distance) + 0.0 * half_sum
    corners = (d - half_sum, d - half_difference, d + half_difference, d + half_sum)
    ends = np.sort(np.array((*corners, np.zeros(d.shape))), axis=0)
    low, high = ends[:-1], ends[1:]
    step = high - low
    # each side from the end nearest to zero, and the distance without its sign, as circles have none
    start = np.minimum(np.abs(low), np.abs(high))
    t, w = graded(_POINTS)
    z = start[..., None] + step[..., None] * t
    signed = np.where(low < 0.0, -1.0, 1.0)[..., None] * z
    weight = half_sum[..., None] - np.abs(signed - d[..., None])
    weight = np.minimum(np.maximum(weight, 0.0), np.minimum(la, lb)[..., None])
    kernel = mutual_of_circles(np.asarray(radius_a)[..., None], np.asarray(radius_b)[..., None], z)
    return np.asarray((step * ((weight * kernel) @ w)).sum(axis=0) / (la * lb))


def block_inductance(inner_radius: Array, outer_radius: Array, length: Array) -> Array:
    """Inductance [H] of one turn spread evenly over a rectangular section: the mean mutual inductance of its circles.

    The mean over all pairs is taken over their axial distance z, their radial distance d and their mean radius. The
    logarithm at z = d = 0 is dissolved by splitting the rectangle of z and d in two triangles with that corner and
    taking, in each, the distance from the corner (graded) and the slope (in equal steps of its hyperbolic angle).
    """
    depth = outer_radius - inner_radius
    u, wu = graded(16)
    slope_points, slope_weights = gauss(16)
    mean_points, mean_weights = gauss(8)
    total = np.zeros(np.broadcast_shapes(depth.shape, length.shape))
    for first, second, axial_first in ((length, depth, True), (depth, length, False)):
        ratio = (second / first)[..., None, None]
        angle = np.arcsinh(ratio)
        slope = np.sinh(angle * slope_points) / ratio
        weight = slope_weights * angle * np.cosh(angle * slope_points) / ratio
        weight = weight * (wu * u)[:, None] * (first * second)[..., None, None]
        along = first[..., None, None] * u[:, None] + 0.0 * slope
        across = second[..., None, None] * u[:, None] * slope
        z, d = (along, across) if axial_first else (across, along)
        weight = weight * 4.0 * (length[..., None, None] - z) * (depth[..., None, None] - d)
        half, low = 0.5 * d[..., None], inner_radius[..., None, None, None]
        mean = low + half + (depth[..., None, None] - d)[..., None] * mean_points
        kernel = mutual_of_near_circles(mean, half, z[..., None])
        total = total + np.sum(weight * np.sum(mean_weights * kernel, axis=-1), axis=(-2, -1))
    return np.asarray(total / (length * depth) ** 2)


def ribbon_inductance(first_radius: Array, last_radius: Array, length: Array) -> Array:
    """Inductance [H] of one turn spread evenly over a thin conical sheet: from a flat ring to a cylinder.

    The mean mutual inductance of pairs of circles, over their distance along the sheet (graded: it is a logarithm
    near 0) and the place midway between them.
    """
    t, wt = graded(32)
    s, ws = gauss(16)
    rise = (last_radius - first_radius)[..., None, None]
    middle = first_radius[..., None, None] + rise * (0.5 * t + (1.0 - t) * s[:, None])
    half = 0.5 * rise * t
    kernel = mutual_of_near_circles(middle, half, length[..., None, None] * t)
    over_middle = np.sum(ws[:, None] * kernel, axis=-2)
    return np.asarray(np.sum(wt * 2.0 * (1.0 - t) * over_middle, axis=-1))
