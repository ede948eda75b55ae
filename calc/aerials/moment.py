"""Moment solution of thin wires over perfectly conducting ground.

The wires are cut into short pieces. Each piece carries a current; each joint between pieces carries the
charge that the currents leave there, spread over half of every piece that meets it. The ground acts by an
image. The kernel exp(-jkR)/R is taken as 1/R, integrated along the wire, and what remains, which is smooth.
So that a whole band costs little more than one frequency, the current is then sought as a sum of its first
natural shapes.

Source: R. F. Harrington, *Field Computation by Moment Methods*, 1968, chapter 4 (thin wires by joint charges
and piece currents, from memory); the reduction to a few shapes is a Galerkin projection.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from calc.aerials.retardation import MIRROR, Array, Complex, Retardation, distance
from calc.constants import SPEED_OF_LIGHT, TWO_PI, VACUUM_PERMEABILITY, VACUUM_PERMITTIVITY
from calc.units import InputError

Indices = npt.NDArray[np.intp]
Point = tuple[float, float, float]
Wire = tuple[Point, Point]

_PIECES = 44
_MODES = 12
_REACH = 5.0
"""Highest frequency allowed, in units of that at which all the wire would be a quarter wave."""
_GAUSS_PLACES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(2)


def _line_potential(place: Array, start: Array, direction: Array, length: Array, radius: float) -> Array:
    """Integral of 1/R along a straight piece, R kept from zero by the wire's radius; vectors by component first."""
    x, y, z = (at - origin for at, origin in zip(place, start, strict=True))
    to_x, to_y, to_z = direction
    along = x * to_x + y * to_y + z * to_z
    # by the vector product: the difference of squares would lose a thin wire's radius to rounding
    across = np.sqrt((y * to_z - z * to_y) ** 2 + (z * to_x - x * to_z) ** 2 + (x * to_y - y * to_x) ** 2 + radius**2)
    return np.asarray(np.arcsinh(along / across) + np.arcsinh((length - along) / across))


@dataclass(frozen=True)
class Response:
    """What a mesh answers at its feed, an array over frequency each.

    Attributes:
        inductance: that with the capacitance at low frequency in series makes up the reactance [H].
        radiation_resistance: power radiated over the square of the current at the foot [ohm].
        equivalent_length: length that, carrying the current of the foot all along, would lose as much in its
            own resistance as the wire does; times the wire's resistance per metre it is the loss resistance
            [m].
        effective_height: open-circuit voltage over field strength, vertical field [m].
    """

    inductance: Array
    radiation_resistance: Array
    equivalent_length: Array
    effective_height: Array


@dataclass(frozen=True)
class Mesh:
    """Wires of one radius, joined where their ends coincide and fed at the first end of the first wire."""

    wires: tuple[Wire, ...]
    radius: float

    @cached_property
    def _pieces(self) -> tuple[Array, Array, Indices, Array]:
        """Starts and ends of the pieces, numbers of the joints at both, places of the joints."""
        lengths = np.array([np.linalg.norm(np.subtract(end, start)) for start, end in self.wires])
        counts = np.maximum(4, np.round(_PIECES * lengths / lengths.sum())).astype(int)
        ends: dict[Point, int] = {}
        places: list[Point] = []
        numbers: list[tuple[int, int]] = []
        for wire, count in zip(self.wires, counts, strict=True):
            for end in wire:
                if end not in ends:
                    ends[end] = len(places)
                    places.append(end)
            # pieces are shorter towards both ends of a wire, where charge gathers
            even = np.linspace(0.0, 1.0, count + 1)[1:-1, None]
            fraction = 0.5 * even + 0.25 * (1.0 - np.cos(np.pi * even))
            start, span = np.asarray(wire[0]), np.subtract(wire[1], wire[0])
            inner = range(len(places), len(places) + count - 1)
            places += [(float(x), float(y), float(z)) for x, y, z in start + fraction * span]
            numbers += pairwise([ends[wire[0]], *inner, ends[wire[1]]])
        pairs = np.array(numbers, dtype=np.intp)
        points = np.array(places)
        return points[pairs[:, 0]], points[pairs[:, 1]], pairs, points

    @cached_property
    def _spans(self) -> tuple[Array, Array]:
        """Pieces as vectors, and their lengths."""
        starts, ends, _, _ = self._pieces
        span = ends - starts
        return span, np.sqrt(np.sum(span**2, axis=1))

    @cached_property
    def total_length(self) -> float:
        """All wire together [m]."""
        return float(self._spans[1].sum())

    @cached_property
    def _lead(self) -> Array:
        """From the ground up to the foot; it carries the current of the foot but none of the charge."""
        return np.asarray(self._pieces[3][0] * (0.0, 0.0, 1.0))

    @cached_property
    def _integrals(self) -> tuple[Array, Array]:
        """Double integrals of 1/R over pairs of half pieces and, last, the lead from the ground up to the foot: with
        the wire itself, and with its image in the ground."""
        starts, ends, _, points = self._pieces
        start = np.concatenate([starts, (starts + ends) / 2.0, points[:1] * (1.0, 1.0, 0.0)])
        half = np.concatenate([(ends - starts) / 2.0, (ends - starts) / 2.0, self._lead[None, :]])
        length = np.sqrt(np.sum(half**2, axis=1))
        direction = half / np.where(length > 0.0, length, 1.0)[:, None]  # a wire drawn to the ground has no lead
        share = (_GAUSS_PLACES + 1.0) / 2.0
        places = (start.T[:, :, None] + half.T[:, :, None] * share)[..., None]
        weights = length[:, None] * _GAUSS_WEIGHTS / 2.0
        real, image = (
            np.einsum(
                "ag,agb->ab",
                weights,
                _line_potential(places, (start * flip).T, (direction * flip).T, length, self.radius),
            )
            for flip in (np.ones(3), MIRROR)
        )
        return (real + real.T) / 2.0, (image + image.T) / 2.0

    @cached_property
    def _potential(self) -> Array:
        """Coefficients of potential between the joints' charges, by 1/R [1/F]."""
        _, _, pairs, points = self._pieces
        real, image = self._integrals
        count = len(pairs)
        share = np.zeros((2 * count + 1, len(points)))
        share[np.arange(2 * count), pairs.T.ravel()] = 1.0
        cell = share[:-1].T @ np.tile(self._spans[1], 2) / 2.0
        return np.asarray(
            share.T @ (real - image) @ share / (cell[:, None] * cell) / (2.0 * TWO_PI * VACUUM_PERMITTIVITY)
        )

    @cached_property
    def _inductance(self) -> Array:
        """Coefficients of inductance between the currents, by 1/R; that of the lead to the foot comes first [H]."""
        real, image = self._integrals
        span, lengths = self._spans
        direction = np.concatenate([[(0.0, 0.0, 1.0)], span / lengths[:, None]])
        count = len(lengths)
        merge = np.zeros((2 * count + 1, count + 1))
        merge[-1, 0] = 1.0
        merge[:-1, 1:] = np.tile(np.eye(count), (2, 1))
        return np.asarray(
            (VACUUM_PERMEABILITY / (2.0 * TWO_PI))
            * (
                (merge.T @ real @ merge) * (direction @ direction.T)
                - (merge.T @ image @ merge) * (direction @ (direction * MIRROR).T)
            )
        )

    @cached_property
    def _incidence(self) -> Array:
        """Which current brings charge to which joint (+1) and which takes it away (-1)."""
        _, _, pairs, points = self._pieces
        columns = 1 + np.arange(len(pairs))
        table = np.zeros((len(points), len(pairs) + 1))
        table[0, 0] = 1.0
        table[pairs[:, 0], columns] -= 1.0
        table[pairs[:, 1], columns] += 1.0
        return table

    @cached_property
    def _charge(self) -> Array:
        """Charges of the joints with the whole wire at one volt [C]."""
        return np.asarray(np.linalg.solve(self._potential, np.ones(len(self._potential))))

    @cached_property
    def capacitance(self) -> float:
        """Capacitance to ground of the whole wire at one potential [F]."""
        return float(self._charge.sum())

    @cached_property
    def mean_height(self) -> float:
        """Mean height of the charge, the whole wire at one potential: the effective height at low frequency [m]."""
        return float(self._charge @ self._pieces[3][:, 2] / self.capacitance)

    @cached_property
    def _slow(self) -> Array:
        """Currents of the pieces, outwards from the foot, that bring the charges of `_charge` in a second [A]."""
        along = self._incidence[1:, 1:]
        return np.asarray(along.T @ np.linalg.solve(along @ along.T, self._charge[1:]))

    @cached_property
    def inductance(self) -> float:
        """Series inductance at low frequency: of the currents, and what retardation adds to the charges [H]."""
        points = self._pieces[3]
        current = np.concatenate([[1.0], self._slow / self.capacitance])
        charge = self._charge / self.capacitance
        spread = charge @ (distance(points, points) - distance(points, points * MIRROR)) @ charge
        return float(current @ self._inductance @ current + VACUUM_PERMEABILITY / (4.0 * TWO_PI) * spread)

    @cached_property
    def _shapes(self) -> Array:
        """Shapes of current, a column each: into the foot, of slow charging, of the natural oscillations.

        The oscillations are those with the foot earthed, lowest first; of slow charging only what lies outside them.
        """
        elastance = self._incidence.T @ self._potential @ self._incidence
        to_foot = -elastance[0, 1:] / elastance[0, 0]
        lift = np.vstack([to_foot, np.eye(len(to_foot))])
        inductance = lift.T @ self._inductance @ lift
        earthed = elastance[1:, 1:] - np.outer(to_foot, to_foot) * elastance[0, 0]
        factor = np.linalg.cholesky(inductance)
        half = np.linalg.solve(factor, earthed)
        modes = np.linalg.solve(factor.T, np.linalg.eigh(np.linalg.solve(factor, half.T))[1][:, :_MODES])
        slow = self._slow
        slow = slow - modes @ (modes.T @ (inductance @ slow))
        wire = np.column_stack([slow / np.sqrt(slow @ inductance @ slow), modes])
        table = np.zeros((len(elastance), 2 + modes.shape[1]))
        table[0, 0] = 1.0
        table[0, 1:] = to_foot @ wire
        table[1:, 1:] = wire
        return table

    @cached_property
    def _moments(self) -> Array:
        """Current times vector length of every piece, by shape; the lead from the ground up to the foot comes first."""
        spans = np.concatenate([self._lead[None, :], self._spans[0]])
        return np.asarray(spans[:, :, None] * self._shapes[:, None, :])

    @cached_property
    def _retarded(self) -> Retardation:
        starts, ends, _, points = self._pieces
        middles = np.concatenate([points[:1] * (1.0, 1.0, 0.5), (starts + ends) / 2.0])
        return Retardation(middles, points, self._moments, self._incidence @ self._shapes)

    @cached_property
    def _quasi_static(self) -> tuple[Array, Array, Array]:
        """Inductance, elastance and length between shapes."""
        shapes = self._shapes
        charges = self._incidence @ shapes
        return (
            shapes.T @ self._inductance @ shapes,
            charges.T @ self._potential @ charges,
            shapes[1:].T @ (self._spans[1][:, None] * shapes[1:]),
        )

    @property
    def highest_frequency(self) -> float:
        """Frequency up to which the shapes of current hold [Hz]."""
        return float(_REACH * SPEED_OF_LIGHT / (4.0 * self.total_length))

    def response(self, frequency: Array, loss: Array) -> Response:
        """Solve the wire at every frequency of a one-dimensional array.

        Args:
            frequency: above zero, up to `highest_frequency` [Hz].
            loss: the wire's own resistance per metre at each frequency [ohm/m].
        """
        if np.any(frequency > self.highest_frequency):
            raise InputError("frequency", f"must not exceed {self.highest_frequency / 1e6:.3g} MHz for this much wire")
        wave_number = TWO_PI * frequency / SPEED_OF_LIGHT
        inductance, elastance, length = self._quasi_static
        retarded = self._retarded.impedance(wave_number)
        angular = TWO_PI * frequency[:, None, None]
        reactive = angular * inductance - elastance / angular + retarded.imag
        total = retarded.real + loss[:, None, None] * length + 1j * reactive
        feed = self._shapes[0]
        current = np.linalg.solve(total, feed[:, None])[..., 0]
        current = current / (current @ feed)[:, None]
        slow = np.linalg.solve(elastance, feed)
        # the energy of the charges over that of slow charging, without the difference of two large numbers
        excess = current - slow / (slow @ feed)

        def energy(table: Array, shape: Complex) -> Array:
            return np.asarray(np.einsum("fc,fcd,fd->f", shape.conj(), table, shape).real)

        every = np.broadcast_to
        return Response(
            inductance=energy(inductance + retarded.imag / angular, current) - energy(elastance / angular**2, excess),
            radiation_resistance=energy(retarded.real, current),
            equivalent_length=energy(every(length, total.shape), current),
            effective_height=np.abs(current @ self._moments[:, 2, :].sum(axis=0)),
        )
