"""The dummy aerial with which broadcast receivers are measured."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.aerials.series import SeriesAerial
from calc.constants import TWO_PI
from calc.units import Values, plain, require_positive


@dataclass(frozen=True)
class DummyAerial:
    """The standard dummy aerial: 200 pF in series with 20 uH, the coil shunted by 400 pF and 400 ohm in series.

    It stands for an ordinary outdoor wire, some 200 pF below 2 MHz and some 400 ohm above. The effective
    height of 4 m that goes with it by convention turns a voltage from a signal generator into a field
    strength.

    Attributes:
        series_capacitance: [F].
        inductance: [H].
        shunt_capacitance: [F].
        shunt_resistance: [ohm].
        effective_height: by convention [m].

    Source: Institute of Radio Engineers, Standards on Radio Receivers (1938), as quoted in service manuals
    (network seen second hand; the 4 m from memory).
    """

    series_capacitance: float = 200e-12
    inductance: float = 20e-6
    shunt_capacitance: float = 400e-12
    shunt_resistance: float = 400.0
    effective_height: float = 4.0

    def __post_init__(self) -> None:
        for name in ("series_capacitance", "inductance", "shunt_capacitance", "shunt_resistance"):
            require_positive(name, getattr(self, name))
        require_positive("effective_height", self.effective_height)

    @property
    def capacitance(self) -> float:
        """Capacitance well below the band [F]."""
        return self.series_capacitance

    def impedance(self, frequency: Values) -> Any:
        """Impedance between the terminals at a frequency above zero, scalar or array [Hz]; complex [ohm]."""
        jw = 1j * TWO_PI * require_positive("frequency", frequency)
        coil = jw * self.inductance
        shunt = self.shunt_resistance + 1.0 / (jw * self.shunt_capacitance)
        return plain(1.0 / (jw * self.series_capacitance) + coil * shunt / (coil + shunt))

    def series(self, frequency: Values) -> SeriesAerial:
        """Resistance, inductance and capacitance in series that have the same impedance at each frequency.

        The capacitance is the series capacitor's; above some 5 MHz, where the rest turns capacitive, it
        alone is changed and the inductance is zero.

        Args:
            frequency: scalar or array, above zero [Hz].
        """
        angular = TWO_PI * require_positive("frequency", frequency)
        impedance = np.asarray(self.impedance(frequency))
        rest = impedance.imag + 1.0 / (angular * self.series_capacitance)
        elastance = 1.0 / self.series_capacitance - np.minimum(rest, 0.0) * angular
        return SeriesAerial(
            resistance=plain(impedance.real),
            inductance=plain(np.maximum(rest, 0.0) / angular),
            capacitance=plain(1.0 / elastance),
        )
