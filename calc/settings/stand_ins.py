"""Aerials that stand in for a set's own where many frequencies, or many specimens, are asked for.

An aerial of wire is dear to work out at a frequency. One in a table is worked out at a few and smooth between them; one
of many specimens is worked out once, and varied by factors.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from calc.coupling import Aerial, AerialLead
from calc.interpolation import slopes
from calc.units import Array, InputError, Values, plain, require_positive


@dataclass(frozen=True)
class TabulatedAerial:
    """An aerial by its impedance at some frequencies, smooth between them and as at the ends beyond.

    Resistance, and reactance times frequency, are taken as smooth over the square of frequency: for a resistance,
    inductance and capacitance in series both are straight lines.

    Attributes:
        frequency: rising, three at least, [n] [Hz].
        impedance_there: [n] [ohm], complex.
    """

    frequency: Array
    impedance_there: Array

    @cached_property
    def _cubics(self) -> tuple[Array, Array]:
        """Squares of the frequencies, and for each interval between them the coefficients, highest power first, of a
        cubic in the part of it gone: for resistance and for reactance times frequency."""
        nodes = self.frequency**2
        known = np.stack([np.real(self.impedance_there), np.imag(self.impedance_there) * self.frequency], axis=1)
        slope, width = slopes(nodes, known), np.diff(nodes)[:, None]
        rise, start, end = np.diff(known, axis=0), slope[:-1] * width, slope[1:] * width
        return nodes, np.stack([start + end - 2.0 * rise, 3.0 * rise - 2.0 * start - end, start, known[:-1]])

    def impedance(self, frequency: Values) -> Any:
        """Impedance between the terminals [ohm] at frequencies [Hz], any shape."""
        hertz = require_positive("frequency", frequency)
        nodes, cubics = self._cubics
        square = np.clip(hertz**2, nodes[0], nodes[-1])
        left = np.clip(np.searchsorted(nodes, square, side="right") - 1, 0, nodes.size - 2)
        gone = ((square - nodes[left]) / (nodes[left + 1] - nodes[left]))[..., None]
        third, second, first, start = cubics[:, left]
        value = ((third * gone + second) * gone + first) * gone + start
        return plain(value[..., 0] + 1j * (value[..., 1] / hertz))


def tabulated(aerial: Aerial, least: float, most: float, count: int = 9) -> Aerial:
    """An aerial in a table over a range of frequencies; of one with parts in its lead the aerial alone.

    Args:
        aerial: anything with `impedance(frequency)`.
        least, most: ends of the range [Hz].
        count: of frequencies in the table, three at least.

    Raises:
        InputError: the range is none.

    Accuracy: rounding for a series circuit; for 20 m of wire over two octaves with nine frequencies 0.1 %.
    """
    if not require_positive("most", most) > require_positive("least", least):
        raise InputError("most", "must be more than the least frequency")
    if isinstance(aerial, AerialLead):
        return replace(aerial, aerial=tabulated(aerial.aerial, least, most, count))
    frequency = np.geomspace(least, most, max(count, 3))
    return TabulatedAerial(frequency, np.asarray(aerial.impedance(frequency), dtype=np.complex128))


class VariedAerial:
    """Specimens of an aerial: its resistance times one factor, its capacitance times another.

    The reactance of an aerial that is short against the wave is that of its capacitance; all of it goes by that factor.
    What the aerial is asked for twice is worked out once.
    """

    def __init__(self, aerial: Aerial, resistance: Values, capacitance: Values) -> None:
        """
        Args:
            aerial: anything with `impedance(frequency)`.
            resistance, capacitance: factors, broadcast with the frequencies that will be asked for.
        """
        self._aerial = aerial
        self._known: dict[bytes, Any] = {}
        self._resistance = require_positive("resistance", resistance)
        self._capacitance = require_positive("capacitance", capacitance)

    def impedance(self, frequency: Values) -> Any:
        """Impedance between the terminals [ohm] at frequencies [Hz], broadcast with the factors."""
        hertz = np.asarray(frequency, dtype=np.float64)
        key = hertz.tobytes()
        if key not in self._known:
            self._known[key] = np.asarray(self._aerial.impedance(hertz.ravel()), dtype=np.complex128)
        impedance = self._known[key].reshape(hertz.shape)
        return np.real(impedance) * self._resistance + 1j * (np.imag(impedance) / self._capacitance)


def varied(aerial: Aerial, resistance: Values, capacitance: Values) -> Aerial:
    """An aerial's specimens as `VariedAerial`; of one with parts in its lead the aerial alone is varied."""
    if isinstance(aerial, AerialLead):
        return replace(aerial, aerial=varied(aerial.aerial, resistance, capacitance))
    return VariedAerial(aerial, resistance, capacitance)
