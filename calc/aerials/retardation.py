"""What the finite speed of light adds to the potentials of thin wires over ground: the part (exp(-jkR) - 1) / R."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI, WAVE_IMPEDANCE

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

MIRROR = np.array([1.0, 1.0, -1.0])
_SERIES = ((1.0, 18), (2.0, 22), (3.5, 28), (6.0, 37))
"""Largest kR up to which so many powers of it do; beyond the last the kernel itself is taken."""


def distance(a: Array, b: Array) -> Array:
    """Distances between all points of two lists [m]."""
    return np.asarray(np.sqrt(np.sum((a[:, None, :] - b) ** 2, axis=-1)))


@dataclass(frozen=True, eq=False)
class Retardation:
    """Currents and charges in a few shapes, and their image in the ground.

    Attributes:
        middles: where the currents are taken to flow, an array of points [m].
        points: where the charges sit [m].
        moments: current times vector length at every middle, by direction and shape [A m].
        charges: rate of charge at every point, by shape [A].
    """

    middles: Array
    points: Array
    moments: Array
    charges: Array

    @cached_property
    def _distances(self) -> tuple[Array, ...]:
        """Between currents, from currents to images, between charges, from charges to images."""
        pairs = [(places, places * side) for places in (self.middles, self.points) for side in (np.ones(3), MIRROR)]
        return tuple(distance(*pair) for pair in pairs)

    @cached_property
    def _farthest(self) -> float:
        return max(float(apart.max()) for apart in self._distances)

    def _between(self, kernels: tuple[Array, ...]) -> Array:
        """Vector and scalar potential between shapes for a kernel given at each of the distances."""
        count, shapes = self.charges.shape[-1], len(self.middles)
        images = -self.moments * MIRROR[:, None]
        around = kernels[0] @ self.moments.reshape(shapes, -1) + kernels[1] @ images.reshape(shapes, -1)
        vector = self.moments.reshape(-1, count).T @ around.reshape(-1, count)
        return np.array([vector, self.charges.T @ ((kernels[2] - kernels[3]) @ self.charges)])

    def _powers(self, orders: int) -> Array:
        """Parts of both potentials that go as (-jk)^n R^(n-1) / n!, n = 1, 2, ... `orders`."""
        parts, powers = self._known
        while len(parts) < orders:
            parts.append(self._between(powers))
            for power, apart in zip(powers, self._distances, strict=True):
                power *= apart
                power *= 1.0 / (len(parts) + 1)
        return np.array(parts[:orders])

    @cached_property
    def _known(self) -> tuple[list[Array], tuple[Array, ...]]:
        """The parts found so far, and R^(n-1) / n! of the next."""
        return [], tuple(np.ones_like(apart) for apart in self._distances)

    def _kernel(self, wave_number: float) -> Complex:
        """Both potentials by the kernel itself, as sines of half and whole angles so that it holds at R = 0."""
        turns = tuple(wave_number / TWO_PI * apart for apart in self._distances)
        real = self._between(tuple(-np.pi * wave_number * turn * np.sinc(turn) ** 2 for turn in turns))
        imaginary = self._between(tuple(-wave_number * np.sinc(2.0 * turn) for turn in turns))
        return np.asarray(real + 1j * imaginary)

    def impedance(self, wave_number: Array) -> Complex:
        """Impedances between shapes, a matrix for each wave number.

        While kR is small the series in it keeps the small radiated part that is left of large terms; where it is
        large the powers would cancel instead.

        Args:
            wave_number: one-dimensional array, above zero [1/m].
        """
        count = self.charges.shape[-1]
        potentials = np.empty((len(wave_number), 2, count, count), dtype=np.complex128)
        reach = wave_number * self._farthest
        lowest = 0.0
        for limit, orders in _SERIES:
            chosen = (reach > lowest) & (reach <= limit)
            lowest = limit
            if chosen.any():
                factors = (-1j * wave_number[chosen][:, None]) ** np.arange(1, orders + 1)
                potentials[chosen] = np.tensordot(factors, self._powers(orders), 1)
        for place in np.flatnonzero(reach > lowest):
            potentials[place] = self._kernel(float(wave_number[place]))
        k = wave_number[:, None, None]
        return np.asarray(1j * WAVE_IMPEDANCE / (2.0 * TWO_PI) * (k * potentials[:, 0] - potentials[:, 1] / k))
