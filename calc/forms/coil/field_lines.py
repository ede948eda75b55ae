"""The field of a coil as lines: each runs where the flux through a circle about the axis is the same."""

import numpy as np

from calc import coils
from calc.coils.shielding import TurnRows
from calc.units import Array

_MOST_RINGS = 24
_LINES = 7
_ACROSS, _ALONG = 30, 45
Point = tuple[float, float]
Edge = tuple[int, int, bool]
"""A side of a cell: row and column of its lesser end, and whether it runs along the axis."""


def field_lines(rows: TurnRows, along: float, across: float) -> list[list[Point]]:
    """Lines of a coil's field on one side of its axis, each as points (place along the axis, distance from it) [m].

    The lines cross the plane through the coil's middle at equal steps from the axis to the winding. The flux is that of
    the turns as rings, bundled to a few where they are many.

    Args:
        rows: the coil's turns.
        along, across: how far from the middle, and from the axis, the lines are followed [m].
    """
    turns, radius, place = _rings(rows)
    x, rho = np.linspace(-along, along, _ALONG), np.linspace(0.0, across, _ACROSS)[1:]
    flux = _flux(turns, radius, place, x, rho)
    # the axis is a line itself, with no flux within it; near it the root of the flux is straight
    flux = np.sqrt(np.concatenate([np.zeros((1, x.size)), flux]))
    rho = np.concatenate([[0.0], rho])
    reach = float(np.min(rows.radius)) - 0.5 * rows.bundle
    crossing = np.asarray(reach * np.arange(1, _LINES + 1) / (_LINES + 0.5), dtype=np.float64)
    levels = _flux(turns, radius, place, np.zeros(1), crossing)[:, 0]
    return [line for level in levels.tolist() for line in contours(x, rho, flux, level**0.5)]


def _rings(rows: TurnRows) -> tuple[Array, Array, Array]:
    """Turns [1], radius and place [m] of the rings that stand for the turns."""
    radius, place = rows.places
    order = np.arange(radius.size)
    layers = (
        np.split(order, np.cumsum(rows.counts).astype(int)[:-1]) if rows.counts.size <= _MOST_RINGS // 2 else [order]
    )
    parts = [
        part for layer in layers for part in np.array_split(layer, min(layer.size, max(1, _MOST_RINGS // len(layers))))
    ]
    return (
        np.array([float(part.size) for part in parts]),
        np.array([float(np.mean(radius[part])) for part in parts]),
        np.array([float(np.mean(place[part])) for part in parts]),
    )


def _flux(turns: Array, radius: Array, place: Array, x: Array, rho: Array) -> Array:
    """Flux [Wb] for one ampere through circles of radius rho about the axis at x, [rho, x]."""
    apart = x[:, None] - place
    apart = np.where(apart == 0.0, 1e-9 * radius, apart)
    through = coils.circle_mutual(radius, rho[:, None, None], apart)
    return np.asarray(np.asarray(through) @ turns)


def contours(x: Array, y: Array, values: Array, level: float) -> list[list[Point]]:
    """Lines along which values [y, x] on a grid have a level, by straight pieces across each cell of the grid."""
    above = values > level
    links: dict[Edge, list[Edge]] = {}
    corners = above[:-1, :-1].astype(int) + above[:-1, 1:] + above[1:, :-1] + above[1:, 1:]
    for row, column in zip(*(index.tolist() for index in np.nonzero((corners > 0) & (corners < 4))), strict=True):
        edges = [
            edge
            for edge, crossed in (
                ((row, column, True), above[row, column] != above[row, column + 1]),
                ((row, column, False), above[row, column] != above[row + 1, column]),
                ((row, column + 1, False), above[row, column + 1] != above[row + 1, column + 1]),
                ((row + 1, column, True), above[row + 1, column] != above[row + 1, column + 1]),
            )
            if crossed
        ]
        for one, other in zip(edges[::2], edges[1::2], strict=True):
            links.setdefault(one, []).append(other)
            links.setdefault(other, []).append(one)
    return [[_crossing(x, y, values, level, edge) for edge in chain] for chain in _chains(links)]


def _chains(links: dict[Edge, list[Edge]]) -> list[list[Edge]]:
    """Edges in the order in which lines cross them; those that end at the grid's border first, then closed ones."""
    chains = []
    for start in sorted(links, key=lambda edge: len(links[edge])):
        if not links[start]:
            continue
        chain = [start]
        while links[chain[-1]]:
            here = chain[-1]
            there = links[here].pop()
            links[there].remove(here)
            chain.append(there)
        chains.append(chain)
    return chains


def _crossing(x: Array, y: Array, values: Array, level: float, edge: Edge) -> Point:
    """Where a line crosses an edge, in proportion to the values at its ends."""
    row, column, is_along = edge
    start = float(values[row, column])
    end = float(values[row, column + 1] if is_along else values[row + 1, column])
    share = (level - start) / (end - start)
    if is_along:
        return float(x[column] + share * (x[column + 1] - x[column])), float(y[row])
    return float(x[column]), float(y[row] + share * (y[row + 1] - y[row]))
