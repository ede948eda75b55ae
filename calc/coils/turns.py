"""Coils turn by turn, each turn a ring of round wire: the exact sums beside the formulas, fast enough to use."""

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from calc.coils.elliptic import mean_and_sum, mutual_of_circles
from calc.constants import VACUUM_PERMEABILITY
from calc.units import Array, InputError, Values, plain, require_finite, require_positive

_MOST_TURNS = 3000


def ring_inductance(diameter: Values, wire_diameter: Values) -> float | Array:
    """Inductance [H] of one ring of round wire that carries its current evenly over its section.

    L = mu0 a [(1 + r^2/8a^2) ln(8a/r) + r^2/24a^2 - 7/4], a and r the radii of ring and wire.

    Args:
        diameter: of the ring, between wire centres [m].
        wire_diameter: bare [m], no more than half the ring's.

    Accuracy: next terms are in (r/a)^4. Current on the surface only: mu0 a/4 less.
    Source: Rayleigh and Niven, in E. B. Rosa and F. W. Grover, Bureau of Standards Scientific Paper 169 (1916) (from
    memory).
    """
    a = 0.5 * require_positive("diameter", diameter)
    r = 0.5 * require_positive("wire_diameter", wire_diameter)
    if np.any(r > 0.5 * a):
        raise InputError("wire_diameter", "must be no more than half the ring's diameter")
    square, logarithm = (r / a) ** 2, np.log(8.0 * a / r)
    result: float | Array = plain(VACUUM_PERMEABILITY * a * ((1.0 + square / 8.0) * logarithm + square / 24.0 - 1.75))
    return result


def straight_wire_inductance(length: Values, wire_diameter: Values) -> float | Array:
    """Inductance [H] that a straight lead adds: mu0 l/(2 pi) [ln(4l/d) - 1], current on the surface.

    Args:
        length: of the lead [m], ten times its diameter or more.
        wire_diameter: bare [m].

    Accuracy: of the formula 1 %; where the circuit closes near by, a lead has less. At rest mu0 l/(8 pi) more.
    Source: E. B. Rosa, Bull. Bureau of Standards 4 (1908) 301 (from memory).
    """
    run, d = require_positive("length", length), require_positive("wire_diameter", wire_diameter)
    if np.any(run < 10.0 * d):
        raise InputError("length", "must be ten wire diameters or more")
    result: float | Array = plain(VACUUM_PERMEABILITY * run / (2.0 * math.pi) * (np.log(4.0 * run / d) - 1.0))
    return result


@dataclass(frozen=True)
class Rings:
    """Coaxial rings of any sizes at any places, in series: what a coil of any shape of revolution comes down to.

    Attributes:
        diameter: of each ring, between wire centres [m].
        position: of each ring along the axis [m].
        wire_diameter: bare, of each ring [m].
        weight: current in each ring over that at the terminals [1]; -1 is a turn wound the other way.
    """

    diameter: Array
    position: Array
    wire_diameter: Array
    weight: Array

    def __post_init__(self) -> None:
        rows = (
            require_positive("diameter", self.diameter),
            require_finite("position", self.position),
            require_positive("wire_diameter", self.wire_diameter),
            require_finite("weight", self.weight),
        )
        names = ("diameter", "position", "wire_diameter", "weight")
        for name, row in zip(names, np.broadcast_arrays(*(np.atleast_1d(r) for r in rows)), strict=True):
            object.__setattr__(self, name, row)
        if self.diameter.ndim != 1 or self.diameter.size > _MOST_TURNS:
            raise InputError("diameter", f"must be a row of at most {_MOST_TURNS} rings")

    @cached_property
    def inductance(self) -> float:
        """Own inductance [H]: all rings with themselves and with one another."""
        own = np.sum(self.weight**2 * ring_inductance(self.diameter, self.wire_diameter))
        first, second = np.triu_indices(self.diameter.size, 1)
        a, b = 0.5 * self.diameter[first], 0.5 * self.diameter[second]
        apart = self.position[first] - self.position[second]
        if np.any((a == b) & (apart == 0.0)):
            raise InputError("position", "has two rings in one place")
        pairs = mutual_of_circles(a, b, apart) * self.weight[first] * self.weight[second]
        return float(own + 2.0 * np.sum(pairs))

    def mutual(self, other: "Rings", centre_distance: float = 0.0) -> float:
        """Mutual inductance [H] with `other`, whose places are counted from a point that distance along the axis."""
        apart = other.position + centre_distance - self.position[:, None]
        kernel = mutual_of_circles(0.5 * self.diameter[:, None], 0.5 * other.diameter, apart)
        return float(self.weight @ kernel @ other.weight)


@dataclass(frozen=True)
class LayeredCoil:
    """A coil wound in layers, turn beside turn, as rings of round wire on a grid.

    As the turns stand at equal steps, few distances occur, and each pair of layers needs each distance once: 300 turns
    in a dozen layers take some 2000 mutual inductances, not 45,000. A single layer, a flat spiral (layers of one turn)
    and layers set in the grooves of those below (half a pitch aside) are cases of it.

    Attributes:
        layer_diameters: of each layer, between wire centres [m], growing.
        layer_turns: whole turns in each layer.
        pitch: between neighbouring turns of a layer [m].
        wire_diameter: bare [m].
        layer_offsets: place of each layer's first turn, in half pitches; None to centre every layer as well as
            whole half pitches allow.
    """

    layer_diameters: tuple[float, ...]
    layer_turns: tuple[int, ...]
    pitch: float
    wire_diameter: float
    layer_offsets: tuple[int, ...] | None = None

    def __post_init__(self) -> None:
        sizes = require_positive("layer_diameters", self.layer_diameters)
        counts = require_positive("layer_turns", self.layer_turns)
        require_positive("pitch", self.pitch)
        wire = float(require_positive("wire_diameter", self.wire_diameter))
        if sizes.size != counts.size:
            raise InputError("layer_turns", "must have one number for each layer")
        if np.any(counts != np.round(counts)) or counts.sum() > _MOST_TURNS:
            raise InputError("layer_turns", f"must be whole turns, {_MOST_TURNS} in all at most")
        if np.max(counts) > 1 and wire > self.pitch * (1.0 + 1e-9):
            raise InputError("wire_diameter", "must be no more than the pitch")
        if any(b - a < 1.7 * wire * (1.0 - 1e-9) for a, b in pairwise(self.layer_diameters)):
            raise InputError("layer_diameters", "must grow by 1.7 wire diameters or more a layer")
        if self.layer_offsets is None:
            most = int(np.max(counts))
            object.__setattr__(self, "layer_offsets", tuple(most - int(n) for n in counts))
        elif len(self.layer_offsets) != sizes.size or min(self.layer_offsets) < 0:
            raise InputError("layer_offsets", "must have one number of half pitches, zero or more, a layer")

    @property
    def turns(self) -> int:
        """Turns in all."""
        return int(sum(self.layer_turns))

    @property
    def wire_length(self) -> float:
        """Length of wire [m], as rings; the climb from turn to turn adds less than (pitch/circumference)^2/2 of it."""
        return float(math.pi * np.dot(self.layer_diameters, self.layer_turns))

    @cached_property
    def _grid(self) -> tuple[Array, Array, float]:
        """Radii of the layers, turns at each place [layers, places], and the step between places [m]."""
        offsets = self.layer_offsets or ()
        half = len({offset % 2 for offset in offsets}) > 1
        stride = 2 if half else 1
        starts = [offset - min(offsets) if half else (offset - min(offsets)) // 2 for offset in offsets]
        places = max(s + stride * (n - 1) + 1 for s, n in zip(starts, self.layer_turns, strict=True))
        grid = np.zeros((len(starts), places))
        for row, start, count in zip(grid, starts, self.layer_turns, strict=True):
            row[start : start + stride * count : stride] = 1.0
        return 0.5 * np.asarray(self.layer_diameters, dtype=np.float64), grid, self.pitch / stride

    def rings(self) -> Rings:
        """The same coil as a list of rings about its middle."""
        radius, grid, step = self._grid
        layer, place = np.nonzero(grid)
        position = (place - 0.5 * (grid.shape[1] - 1)) * step
        return Rings(2.0 * radius[layer], position, np.array(self.wire_diameter), np.array(1.0))

    def _pair_counts(self) -> Array:
        """Pairs of turns of each two layers by places apart, either way [layers, layers, places]."""
        _, grid, _ = self._grid
        places = grid.shape[1]
        transform = np.fft.rfft(grid, 2 * places)
        counts = np.round(np.fft.irfft(transform[:, None] * np.conj(transform[None]), 2 * places))
        folded = counts[:, :, :places].copy()
        folded[:, :, 1:] += counts[:, :, :places:-1]
        return np.asarray(folded)

    @cached_property
    def inductance(self) -> float:
        """Own inductance [H]: the sum over all rings, current even over each wire's section."""
        radius, _, step = self._grid
        layer = np.arange(radius.size)
        behind = layer[:, None] - layer
        pairs = self._pair_counts() * (1.0 * (behind >= 0) + (behind > 0))[:, :, None]
        pairs[layer, layer, 0] = 0.0
        first, second, apart = np.nonzero(pairs)
        kernel = mutual_of_circles(radius[first], radius[second], np.asarray(step * apart, dtype=np.float64))
        own = np.dot(self.layer_turns, np.atleast_1d(ring_inductance(2.0 * radius, self.wire_diameter)))
        return float(np.dot(pairs[first, second, apart], kernel) + own)

    @cached_property
    def field_factor(self) -> float:
        """Mean square of the field H across the turns, times 2 pi^2/I^2 [1/m2], weighted with wire length.

        It is the field of all other turns, and that of the turn itself, which curves: (I/4 pi a)(ln(8a/r) - 3/4) at
        the wire. Times the square of the wire diameter and the transverse part of `wire.eddies` it is the coil's loss
        by proximity over its resistance to steady current.
        """
        radius, grid, step = self._grid
        layers, places = grid.shape
        z = step * (np.arange(2 * places) - places)
        a, rho = radius[:, None, None], radius[None, :, None]
        axial, radial = circle_field(a, rho, z, skip_self=True)
        layer = np.arange(layers)
        own = (np.log(16.0 * radius / self.wire_diameter) - 0.75) / (4.0 * math.pi * radius)
        axial[layer, layer, places] = own
        size = 4 * places
        source = np.fft.rfft(grid, size)[:, None]
        at_turns = [
            np.fft.irfft(np.sum(source * np.fft.rfft(part, size), axis=0), size)[:, places : 2 * places]
            for part in (axial, radial)
        ]
        square = grid * (at_turns[0] ** 2 + at_turns[1] ** 2) * radius[:, None]
        return float(2.0 * math.pi**2 * np.sum(square) / np.sum(grid * radius[:, None]))


def circle_field(radius: Array, rho: Array, z: Array, skip_self: bool = False) -> tuple[Array, Array]:
    """Axial and radial field H [A/m] of a circle that carries one ampere, `rho` from its axis and `z` from its plane.

    H_z = [K + E (a^2 - rho^2 - z^2)/q^2]/(2 pi p), H_rho = z/rho [-K + E (a^2 + rho^2 + z^2)/q^2]/(2 pi p), p and q
    being the greatest and least distance from the circle. `skip_self` gives zero on the circle itself.

    Source: W. R. Smythe, Static and Dynamic Electricity (1950) 7.10 (from memory).
    """
    along = z**2
    longest, shortest = np.sqrt((radius + rho) ** 2 + along), np.sqrt((radius - rho) ** 2 + along)
    here = shortest < 1e-9 * longest if skip_self else np.array(False)
    shortest = np.where(here, longest, shortest)
    product = 2.0 * radius * rho
    mean, total = mean_and_sum(longest, shortest, product / (longest + shortest))
    k_over_p = math.pi / (2.0 * mean)
    e_over_p = k_over_p * (1.0 - (product + total) / longest**2)
    squares, by_square = rho**2 + along, e_over_p / shortest**2
    axial = (k_over_p + by_square * (radius**2 - squares)) / (2.0 * math.pi)
    radial = (by_square * (radius**2 + squares) - k_over_p) * z / rho / (2.0 * math.pi)
    return np.where(here, 0.0, axial), np.where(here, 0.0, radial)
