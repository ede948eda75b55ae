"""Loss in windings whose turns shield one another: the field at every turn, and what the turns leave of it.

Each turn stands in the field of all the others. A wire that is thick against the skin depth pushes this field aside: it
becomes a dipole, which weakens or strengthens what its neighbours meet. All dipoles together make one set of linear
equations. What its solution is at any frequency follows from a few figures, found once for the winding.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from calc import wire
from calc.coils.turns import circle_field
from calc.units import Array, Values

ComplexArray = npt.NDArray[np.complex128]

_STEPS = 5
"""Steps of the recurrence in `TurnRows.patterns`; four give six digits."""


@dataclass(frozen=True)
class TurnRows:
    """Turns in rows. All turns of a row have one diameter and stand at equal steps along the axis.

    A layer is a row. A flat spiral and a cone have as many rows as turns.

    Attributes:
        radius: of each row, from the axis to the wire's centre [m], [rows].
        start: place of each row's first turn along the axis [m], [rows].
        counts: turns of each row [1], [rows].
        pitch: between neighbouring turns of a row [m].
        bundle: diameter of the wire, or of a bundle of strands [m].
    """

    radius: Array
    start: Array
    counts: Array
    pitch: float
    bundle: float

    @cached_property
    def places(self) -> tuple[Array, Array]:
        """Radius and place along the axis of every turn [m], row by row."""
        counts = self.counts.astype(int)
        order = np.concatenate([np.arange(count) for count in counts.tolist()])
        return np.repeat(self.radius, counts), np.repeat(self.start, counts) + self.pitch * order

    @cached_property
    def _filled(self) -> Array:
        """One where a row has a turn, else zero [rows, places]."""
        return np.asarray(np.arange(int(np.max(self.counts))) < self.counts[:, None], dtype=np.float64)

    @cached_property
    def _along(self) -> Array:
        """From a turn of one row to one of another along the axis [m], [rows, rows, steps between them]."""
        places = self._filled.shape[1]
        steps = self.pitch * np.arange(1 - places, places)
        return np.asarray((self.start[:, None] - self.start)[:, :, None] + steps)

    @cached_property
    def _across(self) -> Array:
        """The same across the axis [m], [rows, rows, 1]."""
        return np.asarray((self.radius[:, None] - self.radius)[:, :, None])

    def _spectrum(self, values: Array) -> ComplexArray:
        return np.fft.rfft(values, 3 * self._filled.shape[1], axis=-1)

    def _kernels(self, values: Array) -> ComplexArray:
        """Spectra of kernels [kernels, rows, rows, steps], as `_sums` takes them: [frequencies, kernels rows, rows]."""
        spectra = np.ascontiguousarray(np.moveaxis(self._spectrum(values), -1, 0))
        return spectra.reshape(spectra.shape[0], -1, self.radius.size)

    def _sums(self, kernels: ComplexArray, turns: Array) -> ComplexArray:
        """Spectra of sums over all turns, of each kernel times each of what the turns have [sorts, rows, places].

        [kernels, sorts, rows, frequencies].
        """
        found = kernels @ self._spectrum(turns).transpose(2, 1, 0)
        return found.reshape(found.shape[0], -1, self.radius.size, turns.shape[0]).transpose(1, 3, 2, 0)

    def _at_turns(self, sums: ComplexArray) -> Array:
        """Sums by their spectra, at each turn [..., rows, places]."""
        places = self._filled.shape[1]
        return np.fft.irfft(sums, 3 * places, axis=-1)[..., places - 1 : 2 * places - 1] * self._filled

    @cached_property
    def field(self) -> tuple[Array, Array]:
        """Axial and radial field at each turn with one ampere in all [A/m], [rows, places].

        It is the field of all other turns, and the turn's own, (ln(8a/r) - 3/4)/(4 pi a), which comes of its curving.
        """
        kernels = circle_field(self.radius[:, None], self.radius[:, None, None], self._along, skip_self=True)
        (axial,), (radial,) = self._at_turns(self._sums(self._kernels(np.array(kernels)), self._filled[None]))
        own = (np.log(16.0 * self.radius / self.bundle) - 0.75) / (4.0 * math.pi * self.radius)
        return axial + own[:, None] * self._filled, radial

    @cached_property
    def _dipole(self) -> ComplexArray:
        """Spectra of the field of a unit dipole one bundle thick: along its own direction, and square to it.

        Near by, where it counts, turns are as good as straight.
        """
        along, across = self._along**2, self._across**2
        square = along + across
        here = square < 1e-12 * self.bundle**2
        scale = np.where(here, 0.0, (0.5 * self.bundle / np.where(here, 1.0, square)) ** 2)
        return self._kernels(np.array([scale * (along - across), scale * (2.0 * self._along * self._across)]))

    @cached_property
    def unevenness(self) -> float:
        """2 pi^2 times the mean square of how much the others' field changes across a turn's own radius [1/m2].

        Turns on both sides of one may cancel each other's field there, but never this.
        """
        change = self._at_turns(self._sums(self._dipole, self._filled[None]))
        square = change**2 * self.radius[:, None] / np.dot(self.radius, self.counts)
        return float(square.sum()) / (2.0 * (0.5 * self.bundle) ** 2)

    def _taken_away(self, field: Array) -> Array:
        """What dipoles in proportion to a field [2, rows, places] take away from it."""
        (own, radial_own), (axial_aside, aside) = self._sums(self._dipole, field)
        return self._at_turns(np.array([own + aside, axial_aside - radial_own]))

    @cached_property
    def patterns(self) -> tuple[Array, Array]:
        """Shielding of the field's main patterns [1], and 2 pi^2 times the mean square field in each [1/m2].

        Dipoles of strength chi leave (1 + chi T)^-1 H of a field H, T being what dipoles of strength one take away. The
        mean square of that is the sum of weight/|1 + chi shielding|^2 over Gauss' nodes and weights for T and H, which
        Lanczos' recurrence finds.

        Source: G. H. Golub and J. H. Welsch, Mathematics of Computation 23 (1969) 221 (from memory).
        """
        share = np.sqrt(self.radius[:, None] / np.dot(self.radius, self.counts))
        field = np.array(self.field) * share
        size = math.sqrt(float((field**2).sum()))
        found, diagonal, beside = (field / size).reshape(1, -1), [], []
        for _ in range(_STEPS):
            image = self._taken_away(found[-1].reshape(field.shape)).ravel()
            parts = found @ image
            diagonal.append(float(parts[-1]))
            image = image - parts @ found
            rest = math.sqrt(float(image @ image))
            if rest < 1e-9:
                break
            beside.append(rest)
            found = np.concatenate([found, image[None] / rest])
        beside = beside[: len(diagonal) - 1]
        shielding, vectors = np.linalg.eigh(np.diag(diagonal) + np.diag(beside, 1) + np.diag(beside, -1))
        return np.asarray(shielding), 2.0 * math.pi**2 * size**2 * vectors[0] ** 2

    def resistance_ratio(self, strand: float, strands: int, frequency: Values, temperature: Values = 20.0) -> Array:
        """Resistance at a frequency [Hz] over that to steady current [1].

        h + [(1 - 1/n) n^2 (s/b)^2 + n^2 s^2 sum of w/|1 + chi k|^2] g + n^2 s^2 (s/b)^2 u (h - 1), for n strands of
        diameter s in a bundle of diameter b; solid wire has n = 1 and s = b. h and g are those of `wire.eddies`, k and
        w the `patterns`, u the `unevenness`: a field that changes across the wire loses (x^2/8) Im(I3/I1), which is
        h - 1. chi is the strength of the bundle's dipole: `wire.eddies`' screening times the copper's share of the
        bundle.

        Args:
            strand: bare diameter of the wire, or of one strand [m].
            strands: [1].
            frequency: [Hz], zero allowed.
            temperature: of the copper [degC].

        Accuracy: of the exact field of blocks of parallel wires up to ten skin depths thick: 0.5 % with a wire of half
        the pitch, 2 % at 0.7, 5 % at 0.9. Real windings are less even than that.
        Source: S. Butterworth (1926) (from memory) for the loss of a wire in a field, and of strands in a bundle; the
        dipoles' equations are worked out here.
        """
        effect = wire.eddies(strand, frequency, temperature)
        copper = strands * (strand / self.bundle) ** 2
        shielding, weight = self.patterns
        strength = copper * np.asarray(effect.screening)[..., None]
        outside = (strands * strand) ** 2 * np.sum(weight / np.abs(1.0 + strength * shielding) ** 2, axis=-1)
        inside = (1.0 - 1.0 / strands) * strands * copper
        uneven = (strands * strand) ** 2 * (strand / self.bundle) ** 2 * self.unevenness
        return np.asarray(effect.skin + (inside + outside) * effect.transverse + uneven * (effect.skin - 1.0))
