"""Thick, flat and conical coils as evenly spread current, and one way to describe coils of every shape."""

from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from calc.coils.sheets import block_inductance, gauss, ribbon_inductance
from calc.coils.solenoid import round_wire_deficit, solenoid_inductance
from calc.constants import VACUUM_PERMEABILITY
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive

_RADIAL_SHEETS = 8
_MOST_RINGS = 48
_ROUND_IN_SQUARE = 0.155
"""What the logarithm of side over wire leaves out when round wires stand for squares of the winding's section."""


class Sheets(NamedTuple):
    """A winding as coaxial cylindrical sheets: turns [1], radius, length and place of the centre [m] of each."""

    turns: Array
    radius: Array
    length: Array
    position: Array


class Winding(Protocol):
    """What mutual inductance needs to know of a coil."""

    @property
    def inductance(self) -> float:
        """Own inductance [H]."""
        ...

    def sheets(self) -> Sheets:
        """The coil as sheets about its centre."""
        ...


def multilayer_inductance(
    turns: Values,
    inner_diameter: Values,
    outer_diameter: Values,
    length: Values,
    wire_diameter: Values | None = None,
) -> float | Array:
    """Inductance [H] of a coil of rectangular section with its current spread evenly over the section.

    The mean of Maxwell's mutual inductance over all pairs of circles of the section, times the turns squared. With a
    wire diameter, mu0 a N (ln(s/d) + 0.155) more, a the mean radius and s the side of the square that each turn
    has to itself: round wires lie closer to themselves, and to their neighbours, than the squares they stand for.

    Args:
        turns: [1].
        inner_diameter: of the winding [m], zero or more.
        outer_diameter: of the winding [m].
        length: of the winding along the axis [m].
        wire_diameter: bare [m]; None for the evenly spread current.

    Raises:
        InputError: a value out of range, an outer diameter no greater than the inner, more copper than section.

    Accuracy: even current 1e-6 for sections up to 1000 to 1. With wire, against a sum over the turns 0.02 % for coils
    of many turns, 0.3 % for a few thick ones whose depth is as great as their inner diameter. For a coil wound turn by
    turn `LayeredCoil` is exact; of a coil wound at random nobody knows the section to better than a few per cent.
    Source: J. C. Maxwell, Treatise (1873) art. 706; round wire in square: E. B. Rosa (1907), as in Grover (1946) ch.
    14 (0.138 for the turn itself, from memory, and 0.017 for its neighbours, from a sum).
    """
    n, span = require_positive("turns", turns), require_positive("length", length)
    inner = require_nonnegative("inner_diameter", inner_diameter)
    outer = require_positive("outer_diameter", outer_diameter)
    _require_wider(inner, outer)
    inner, outer, span = np.broadcast_arrays(inner, outer, span)
    total = n**2 * block_inductance(0.5 * inner, 0.5 * outer, span)
    if wire_diameter is not None:
        wire = require_positive("wire_diameter", wire_diameter)
        side = np.sqrt(0.5 * (outer - inner) * span / n)
        if np.any(wire > 1.08 * side):
            raise InputError("wire_diameter", "is too thick: this many turns do not fit the section")
        mean_radius = 0.25 * (inner + outer)
        total = total + VACUUM_PERMEABILITY * mean_radius * n * (np.log(side / wire) + _ROUND_IN_SQUARE)
    result: float | Array = plain(total)
    return result


def _require_wider(inner: Array, outer: Array) -> None:
    if np.any(outer <= inner):
        raise InputError("outer_diameter", "must be greater than the inner diameter")


def spiral_inductance(
    turns: Values, inner_diameter: Values, outer_diameter: Values, wire_diameter: Values | None = None
) -> float | Array:
    """Inductance [H] of a flat spiral: the mean mutual inductance of circles of a thin disc, times the turns squared.

    Args:
        turns: [1].
        inner_diameter, outer_diameter: of the disc [m], half a pitch beyond the first and the last turn's centre.
        wire_diameter: bare [m], for Rosa's round-wire correction with the mean radius; None for the thin disc.

    Raises:
        InputError: a value out of range, an outer diameter no greater than the inner, a wire thicker than the pitch.

    Accuracy: the disc 1e-6. With wire, 0.1 % of a sum over round rings down to an inner diameter of a fifth of the
    outer. A spiral on a slotted card goes to and fro through the card: take its turns as lying in the card's middle,
    and add 1 % of doubt.
    Source: as `multilayer_inductance`.
    """
    return _ribbon(turns, inner_diameter, outer_diameter, 0.0, wire_diameter, flat=True)


def conical_inductance(
    turns: Values,
    first_diameter: Values,
    last_diameter: Values,
    length: Values,
    wire_diameter: Values | None = None,
) -> float | Array:
    """Inductance [H] of a coil on a cone, the turns evenly spread along its side.

    Args:
        turns: [1].
        first_diameter, last_diameter: between wire centres at the two ends of the winding [m].
        length: along the axis [m].
        wire_diameter: bare [m], for Rosa's round-wire correction with the mean radius; None for the sheet.

    Accuracy: sheet 1e-6; with wire as `solenoid_inductance`. Source: as `multilayer_inductance`.
    """
    return _ribbon(turns, first_diameter, last_diameter, length, wire_diameter, flat=False)


def _ribbon(
    turns: Values, first: Values, last: Values, length: Values, wire_diameter: Values | None, flat: bool
) -> float | Array:
    names = ("inner_diameter", "outer_diameter") if flat else ("first_diameter", "last_diameter")
    n = require_positive("turns", turns)
    start, end = require_nonnegative(names[0], first), require_positive(names[1], last)
    span = np.asarray(length, dtype=np.float64) if flat else require_positive("length", length)
    if flat:
        _require_wider(start, end)
    start, end, span = np.broadcast_arrays(start, end, span)
    total = n**2 * ribbon_inductance(0.5 * start, 0.5 * end, span)
    if wire_diameter is not None:
        pitch = np.hypot(0.5 * (end - start), span) / n
        total = total - round_wire_deficit(n, 0.5 * (start + end), pitch, wire_diameter)
    result: float | Array = plain(total)
    return result


def _settle(shape: object, names: tuple[str, ...]) -> None:
    """Turns the named attributes of a frozen shape into checked floats."""
    for name in names:
        check = require_nonnegative if name == "inner_diameter" else require_positive
        object.__setattr__(shape, name, float(check(name, getattr(shape, name))))


@dataclass(frozen=True)
class Solenoid:
    """A single-layer coil as a current sheet.

    Attributes:
        turns: [1], above zero.
        diameter: between wire centres [m].
        length: turns times pitch [m].
        wire_diameter: bare [m], which corrects the inductance only; None for the sheet's.
    """

    turns: float
    diameter: float
    length: float
    wire_diameter: float | None = None
    inductance: float = field(init=False)
    """Own inductance [H]."""

    def __post_init__(self) -> None:
        _settle(self, ("turns", "diameter", "length"))
        own = solenoid_inductance(self.turns, self.diameter, self.length, self.wire_diameter)
        object.__setattr__(self, "inductance", own)

    def sheets(self) -> Sheets:
        """The one sheet."""
        return Sheets(*(np.array([v]) for v in (self.turns, 0.5 * self.diameter, self.length, 0.0)))


@dataclass(frozen=True)
class Multilayer:
    """A coil of rectangular section: arguments as `multilayer_inductance`."""

    turns: float
    inner_diameter: float
    outer_diameter: float
    length: float
    wire_diameter: float | None = None
    inductance: float = field(init=False)
    """Own inductance [H]."""

    def __post_init__(self) -> None:
        _settle(self, ("turns", "inner_diameter", "outer_diameter", "length"))
        own = multilayer_inductance(
            self.turns, self.inner_diameter, self.outer_diameter, self.length, self.wire_diameter
        )
        object.__setattr__(self, "inductance", own)

    def sheets(self) -> Sheets:
        """Sheets at Gauss points of the depth."""
        point, weight = gauss(_RADIAL_SHEETS)
        radius = 0.5 * (self.inner_diameter + (self.outer_diameter - self.inner_diameter) * point)
        return Sheets(self.turns * weight, radius, np.full_like(radius, self.length), np.zeros_like(radius))


@dataclass(frozen=True)
class Spiral:
    """A flat spiral: arguments as `spiral_inductance`."""

    turns: float
    inner_diameter: float
    outer_diameter: float
    wire_diameter: float | None = None
    inductance: float = field(init=False)
    """Own inductance [H]."""

    def __post_init__(self) -> None:
        _settle(self, ("turns", "inner_diameter", "outer_diameter"))
        own = spiral_inductance(self.turns, self.inner_diameter, self.outer_diameter, self.wire_diameter)
        object.__setattr__(self, "inductance", own)

    def sheets(self) -> Sheets:
        """The turns as rings."""
        turns, point = _as_turns(self.turns)
        radius = 0.5 * (self.inner_diameter + (self.outer_diameter - self.inner_diameter) * point)
        return Sheets(turns, radius, np.zeros_like(radius), np.zeros_like(radius))


@dataclass(frozen=True)
class Cone:
    """A coil on a cone: arguments as `conical_inductance`; the first diameter is at the lesser place on the axis."""

    turns: float
    first_diameter: float
    last_diameter: float
    length: float
    wire_diameter: float | None = None
    inductance: float = field(init=False)
    """Own inductance [H]."""

    def __post_init__(self) -> None:
        _settle(self, ("turns", "first_diameter", "last_diameter", "length"))
        own = conical_inductance(self.turns, self.first_diameter, self.last_diameter, self.length, self.wire_diameter)
        object.__setattr__(self, "inductance", own)

    def sheets(self) -> Sheets:
        """The turns as rings."""
        turns, point = _as_turns(self.turns)
        radius = 0.5 * (self.first_diameter + (self.last_diameter - self.first_diameter) * point)
        return Sheets(turns, radius, np.zeros_like(radius), self.length * (point - 0.5))


def _as_turns(turns: float) -> tuple[Array, Array]:
    """Turns of each ring, and its place from 0 to 1 across the winding, for as many rings as turns up to a limit."""
    rings = min(int(np.ceil(turns)), _MOST_RINGS)
    return np.full(rings, turns / rings), (np.arange(rings) + 0.5) / rings
