"""An aerial as a set sees it from its terminals: resistance, inductance and capacitance in series."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.constants import TWO_PI
from calc.units import InputError, Values, plain, require_finite, require_nonnegative, require_positive


@dataclass(frozen=True)
class SeriesAerial:
    """Resistance, inductance and capacitance in series between the aerial and earth terminals.

    Each may be an array that broadcasts with the frequency it is asked for.

    Attributes:
        resistance: of everything that takes power: radiation, wire, earth. Scalar or array [ohm].
        inductance: of wire, lead and earth lead. Scalar or array [H].
        capacitance: to earth. Scalar or array [F]; infinite means that the capacitor is absent (a direct
            connection).
    """

    resistance: Values
    inductance: Values
    capacitance: Values

    def __post_init__(self) -> None:
        require_nonnegative("resistance", self.resistance)
        require_nonnegative("inductance", self.inductance)
        capacitance = np.asarray(self.capacitance, dtype=np.float64)
        if not np.all(capacitance > 0.0):
            raise InputError("capacitance", "must be greater than zero (infinite for a direct connection)")

    def impedance(self, frequency: Values) -> Any:
        """Impedance between the terminals: R + j(wL - 1/(wC)).

        Args:
            frequency: scalar or array, broadcast with the elements [Hz].

        Returns:
            Complex impedance [ohm].

        Raises:
            InputError: the frequency is not above zero.
        """
        angular = TWO_PI * require_positive("frequency", frequency)
        resistance = require_finite("resistance", self.resistance)
        inductance = require_finite("inductance", self.inductance)
        elastance = 1.0 / np.asarray(self.capacitance, dtype=np.float64)
        return plain(resistance + 1j * (angular * inductance - elastance / angular))

    def over_counterpoise(self, capacitance: Values) -> "SeriesAerial":
        """The aerial against wires over the ground in place of an earth: their capacitance comes in series.

        Args:
            capacitance: of the counterpoise to ground, as from `earths.counterpoise_capacitance` [F].
        """
        elastance = 1.0 / np.asarray(self.capacitance) + 1.0 / require_positive("capacitance", capacitance)
        return SeriesAerial(self.resistance, self.inductance, plain(1.0 / elastance))
