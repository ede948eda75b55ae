"""The diode: an exponential junction, its bulk resistance and its capacitance, and how warmth changes it."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.constants import BOLTZMANN, ELEMENTARY_CHARGE, TWO_PI
from calc.units import Values, plain, require_nonnegative, require_positive


@dataclass(frozen=True)
class Diode:
    """A junction of i = Is (exp(q v / n k T) - 1), in series with the resistance of its bulk.

    Attributes:
        saturation_current: Is, at this temperature. Scalar or array [A].
        ideality: n, 1 for an ideal junction. Scalar or array [-].
        temperature: scalar or array [K].
        series_resistance: of the bulk. Scalar or array [ohm].
        junction_capacitance: at no bias; stands across the tank through the bulk. Scalar or array [F].
    """

    saturation_current: Values
    ideality: Values
    temperature: Values = 293.15
    series_resistance: Values = 0.0
    junction_capacitance: Values = 0.0

    def __post_init__(self) -> None:
        require_positive("saturation_current", self.saturation_current)
        require_positive("ideality", self.ideality)
        require_positive("temperature", self.temperature)
        require_nonnegative("series_resistance", self.series_resistance)
        require_nonnegative("junction_capacitance", self.junction_capacitance)

    @property
    def thermal_voltage(self) -> Any:
        """n k T / q: the voltage by which the forward current grows e-fold [V]."""
        temperature = np.asarray(self.temperature, dtype=np.float64)
        return plain(np.asarray(self.ideality) * (BOLTZMANN / ELEMENTARY_CHARGE) * temperature)

    @property
    def zero_bias_resistance(self) -> Any:
        """n k T / (q Is): the slope resistance of the junction at no voltage [ohm]. Without bulk it is the input
        resistance at no signal."""
        return plain(self.thermal_voltage / np.asarray(self.saturation_current))

    @property
    def bulk(self) -> Any:
        """The bulk's resistance over the junction's at no voltage [-]."""
        return plain(np.asarray(self.series_resistance) / self.zero_bias_resistance)

    def capacitive_admittance(self, frequency: Values) -> Any:
        """Admittance of the junction's capacitance through the bulk, jwC / (1 + jwC Rs) [S].

        Its imaginary part is one of the tank's strays, its real part a loss that grows as the frequency squared: at
        a megahertz a thousandth of a microsiemens for 0.5 pF behind 100 ohm. A bias would change the capacitance;
        that is left out.

        Args:
            frequency: scalar or array [Hz].

        Raises:
            InputError: frequency is not above zero.
        """
        susceptance = TWO_PI * require_positive("frequency", frequency) * np.asarray(self.junction_capacitance)
        return plain(1j * susceptance / (1.0 + 1j * susceptance * np.asarray(self.series_resistance)))


def saturation_current_at(
    saturation_current: Values,
    ideality: Values,
    temperature: Values,
    new_temperature: Values,
    band_gap: Values,
    exponent: Values,
) -> Any:
    """A junction's saturation current at another temperature: Is (T'/T)**(p/n) exp(q E / (n k) (1/T - 1/T')).

    Args:
        saturation_current: at the temperature where it was found. Scalar or array [A].
        ideality: n. Scalar or array [-].
        temperature: at which it was found. Scalar or array [K].
        new_temperature: at which it is wanted. Scalar or array [K].
        band_gap: E, the energy that the current has to pass: of the forbidden band, or of a metal's barrier.
            Scalar or array [eV].
        exponent: p of the power law, 3 for a junction, 2 for a metal's barrier. Scalar or array [-].

    Returns:
        Saturation current [A].

    Raises:
        InputError: a value is not above zero (exponent: below zero).

    Source: the law of every circuit simulator's diode with EG and XTI: P. Antognetti and G. Massobrio, Semiconductor
    Device Modeling with SPICE (1988), chapter 1 (from memory).
    """
    current = require_positive("saturation_current", saturation_current)
    n = require_positive("ideality", ideality)
    old = require_positive("temperature", temperature)
    new = require_positive("new_temperature", new_temperature)
    gap = require_positive("band_gap", band_gap) * ELEMENTARY_CHARGE / BOLTZMANN
    power = require_nonnegative("exponent", exponent)
    return plain(current * (new / old) ** (power / n) * np.exp(gap / n * (1.0 / old - 1.0 / new)))


def warmed(diode: Diode, temperature: Values, band_gap: Values, exponent: Values) -> Diode:
    """The diode at another temperature, its saturation current by `saturation_current_at`; bulk and capacitance stay.

    Args as there.
    """
    current = saturation_current_at(
        diode.saturation_current, diode.ideality, diode.temperature, temperature, band_gap, exponent
    )
    return replace(diode, saturation_current=current, temperature=temperature)
