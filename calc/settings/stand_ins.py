"""Aerials that stand in for a set's own where many frequencies, or many specimens, are asked for.

An aerial of wire is dear to work out at a frequency. One in a table is worked out at a few and smooth between them; one
of many specimens is worked out once, and varied by factors.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from calc.coupling import Aerial, AerialLead
from calc.interpolation import Curve
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
    def _parts(self) -> Curve:
        """Resistance and reactance times frequency over the square of frequency."""
        parts = [np.real(self.impedance_there), np.imag(self.impedance_there) * self.frequency]
        return Curve(self.frequency**2, np.stack(parts, axis=1))

    def impedance(self, frequency: Values) -> Any:
        """Impedance between the terminals [ohm] at frequencies [Hz], any shape."""
        hertz = require_positive("frequency", frequency)
        parts = self._parts(hertz * hertz)
        return plain(parts[..., 0] + 1j * (parts[..., 1] / hertz))


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
