"""What arrives at the tank: voltage, source impedance, tuning.

One network stands behind all of them (see `calc.coupling.links`): the aerial's e.m.f. in series with its
impedance feeds the link and returns to earth; output and load are across the whole tank. Every argument may
be an array, and so may every value inside aerial, link and tank: they broadcast together.
"""

from typing import Any

import numpy as np

from calc import loads
from calc.constants import TWO_PI
from calc.coupling.links import Aerial, Circuit, Link, Tank
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


def _circuit(frequency: Values, aerial: Aerial, link: Link, tank: Tank) -> tuple[Array, Circuit]:
    """Angular frequency and the link's three figures at it."""
    angular_frequency = TWO_PI * require_positive("frequency", frequency)
    impedance = np.asarray(aerial.impedance(frequency), dtype=np.complex128)
    return angular_frequency, link.circuit(angular_frequency, impedance, tank)


def attenuation_factor(
    frequency: Values, aerial: Aerial, link: Link, tank: Tank, load_resistance: Values = np.inf
) -> Any:
    """Volts of e.m.f. per volt across the tank: 1 / `voltage_transfer`, smooth through its peak.

    Arguments as for `voltage_transfer`.

    Returns:
        Complex ratio [-].

    Raises:
        InputError: frequency or load_resistance is not above zero, or the link passes nothing.
    """
    angular_frequency, circuit = _circuit(frequency, aerial, link, tank)
    if not np.all(circuit.transfer):
        raise InputError("link", "must pass something: a coefficient of zero leaves no response to measure")
    admittance = loads.conductance("load_resistance", load_resistance) + 1j * angular_frequency * np.asarray(
        tank.capacitance
    )
    return plain((circuit.loop + circuit.product * admittance) / circuit.transfer)


def voltage_transfer(
    frequency: Values, aerial: Aerial, link: Link, tank: Tank, load_resistance: Values = np.inf
) -> Any:
    """Volts across the whole tank per volt of e.m.f. in the aerial.

    H = transfer / (loop + product (1/R + jwC)), exact for the circuit as drawn.

    Args:
        frequency: of the e.m.f. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit.
        load_resistance: across the whole tank; infinite for none. Scalar or array [ohm].

    Returns:
        Complex ratio [-]; its phase is that of the tank's live end against the e.m.f., the aerial terminal
        positive.

    Raises:
        InputError: frequency or load_resistance is not above zero.

    Accuracy: rounding alone; within 1e-9 of a general circuit solver.
    """
    angular_frequency, circuit = _circuit(frequency, aerial, link, tank)
    admittance = loads.conductance("load_resistance", load_resistance) + 1j * angular_frequency * np.asarray(
        tank.capacitance
    )
    return plain(circuit.transfer / (circuit.loop + circuit.product * admittance))


def thevenin(frequency: Values, aerial: Aerial, link: Link, tank: Tank) -> tuple[Any, Any]:
    """The tank's terminals as a source for the detector, the tank's capacitor included.

    A load R across the tank has the voltage E open_circuit / (1 + impedance / R), with E the aerial's e.m.f.

    Args:
        frequency: of the e.m.f. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit.

    Returns:
        (open-circuit volts per volt of e.m.f. [-], impedance looking back into the terminals [ohm]), both
        complex.

    Raises:
        InputError: frequency is not above zero.

    Source: L. Thevenin's theorem of the equivalent source (1883).
    """
    angular_frequency, circuit = _circuit(frequency, aerial, link, tank)
    divisor = circuit.loop + circuit.product * (1j * angular_frequency * np.asarray(tank.capacitance))
    return plain(circuit.transfer / divisor), plain(circuit.product / divisor)


def tuned_capacitance(
    frequency: Values, aerial: Aerial, link: Link, tank: Tank, load_resistance: Values = np.inf
) -> Any:
    """The total capacitance across the tank that makes its voltage greatest at a frequency.

    The current which aerial, link and coil would drive through a short across the tank does not depend on the
    capacitor, so the voltage is greatest when the capacitor cancels the susceptance it sees: C =
    -Im(loop/product)/w. A resistance across the tank adds no susceptance and does not move this capacitance;
    `load_resistance` stands here so that all functions of the circuit are called alike.

    Args:
        frequency: to be tuned to. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit; its own capacitance is not used.
        load_resistance: across the whole tank; infinite for none. Scalar or array [ohm].

    Returns:
        Capacitance [F]. Below zero where the frequency cannot be reached: what is already there, without any
        capacitor, tunes lower. The caller checks.

    Raises:
        InputError: frequency or load_resistance is not above zero; aerial and link short the tank.
    """
    conductance = loads.conductance("load_resistance", load_resistance)
    angular_frequency, circuit = _circuit(frequency, aerial, link, tank)
    if not np.all(circuit.product):
        raise InputError("aerial", "must have some impedance: this one shorts the tank")
    capacitance = -np.imag(circuit.loop / circuit.product) / angular_frequency
    return plain(np.broadcast_arrays(capacitance, conductance)[0].copy())


def available_power(electromotive_force: Values, resistance: Values) -> Any:
    """The most that a source can give, to a load matched to it: E**2 / (4 R).

    Args:
        electromotive_force: rms. Scalar or array [V].
        resistance: the real part of the source's impedance. Scalar or array [ohm].

    Returns:
        Power [W].

    Raises:
        InputError: the e.m.f. is below zero, or the resistance not above it.
    """
    force = require_nonnegative("electromotive_force", electromotive_force)
    return plain(force**2 / (4.0 * require_positive("resistance", resistance)))
