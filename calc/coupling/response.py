"""What arrives at the detector: voltage, source impedance, tuning.

One network stands behind all of them (see `calc.coupling.feeds`): the aerial's e.m.f. in series with its impedance
feeds the link and returns to earth; output and load are across the whole tank, or below a tap of its coil. Every
argument may be an array, and so may every value inside aerial, link and tank: they broadcast together.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from calc import loads
from calc.constants import TWO_PI
from calc.coupling.coil import DetectorTap, Tank
from calc.coupling.feeds import Terminals
from calc.coupling.lead import aerial_source
from calc.coupling.links import Aerial, Link
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


def _terminals(
    frequency: Values, aerial: Aerial, link: Link, tank: Tank, detector_tap: DetectorTap | None
) -> tuple[Array, Terminals]:
    """Angular frequency and the detector's terminals at it."""
    angular_frequency = TWO_PI * require_positive("frequency", frequency)
    feed = link.feed(angular_frequency, aerial_source(frequency, aerial), tank)
    if detector_tap is not None:
        return angular_frequency, feed.terminals(detector_tap.split(tank))
    loop, transfer, product, factor = feed.circuit
    return angular_frequency, Terminals(factor * transfer, 0.0, loop, product, product, 0.0)


def _ratio(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values,
    detector_tap: DetectorTap | None,
) -> tuple[Any, Any]:
    """Volts at the terminals per volt of e.m.f., as numerator and denominator."""
    conductance = loads.conductance("load_resistance", load_resistance)
    angular_frequency, ends = _terminals(frequency, aerial, link, tank, detector_tap)
    admittance = tank.susceptance(angular_frequency)
    loaded = ends.loop + ends.loop_slope * admittance + conductance * (ends.back + ends.back_slope * admittance)
    return ends.open + ends.open_slope * admittance, loaded


def attenuation_factor(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values = np.inf,
    detector_tap: DetectorTap | None = None,
) -> Any:
    """Volts of e.m.f. per volt at the detector's terminals: 1 / `voltage_transfer`, smooth through its peak.

    Arguments as for `voltage_transfer`.

    Returns:
        Complex ratio [-].

    Raises:
        InputError: frequency or load_resistance is not above zero, or the link passes nothing.
    """
    passed, loaded = _ratio(frequency, aerial, link, tank, load_resistance, detector_tap)
    if not np.all(passed):
        raise InputError("link", "must pass something: a coefficient of zero leaves no response to measure")
    return plain(loaded / passed)


def voltage_transfer(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values = np.inf,
    detector_tap: DetectorTap | None = None,
) -> Any:
    """Volts at the detector's terminals per volt of e.m.f. in the aerial.

    Across the whole tank H = transfer / (loop + product (1/R + jwC)), exact for the circuit as drawn.

    Args:
        frequency: of the e.m.f. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit.
        load_resistance: across the detector's terminals; infinite for none. Scalar or array [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Complex ratio [-]; its phase is that of the terminals' live end against the e.m.f., the aerial terminal
        positive.

    Raises:
        InputError: frequency or load_resistance is not above zero.

    Accuracy: rounding alone; within 1e-9 of a general circuit solver.
    """
    passed, loaded = _ratio(frequency, aerial, link, tank, load_resistance, detector_tap)
    return plain(passed / loaded)


def thevenin(
    frequency: Values, aerial: Aerial, link: Link, tank: Tank, detector_tap: DetectorTap | None = None
) -> tuple[Any, Any]:
    """The detector's terminals as a source, the tank's capacitor included.

    A load R across them has the voltage E open_circuit / (1 + impedance / R), with E the aerial's e.m.f.

    Args:
        frequency: of the e.m.f. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit.
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        (open-circuit volts per volt of e.m.f. [-], impedance looking back into the terminals [ohm]), both complex.

    Raises:
        InputError: frequency is not above zero.

    Source: L. Thevenin's theorem of the equivalent source (1883).
    """
    angular_frequency, ends = _terminals(frequency, aerial, link, tank, detector_tap)
    admittance = tank.susceptance(angular_frequency)
    loop = ends.loop + ends.loop_slope * admittance
    return (
        plain((ends.open + ends.open_slope * admittance) / loop),
        plain((ends.back + ends.back_slope * admittance) / loop),
    )


def tuned_capacitance(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values = np.inf,
    detector_tap: DetectorTap | None = None,
) -> Any:
    """The total capacitance across the tank that makes the voltage at the detector's terminals greatest.

    The current which aerial, link and coil would drive through a short across the tank does not depend on the
    capacitor, so the tank's voltage is greatest when the capacitor cancels the susceptance it sees: C =
    -Im(loop/product)/w. A resistance across the tank adds no susceptance and does not move this capacitance.

    On a tap, numerator and denominator of the voltage both change with the capacitor: in x, the distance of wC from
    that cancelling value in terms of the conductance seen, |V|**2 goes as |P + Q x|**2 / (1 + x**2), which is
    greatest at tan(2 arctan x) = 2 Re(P Q*) / (|P|**2 - |Q|**2).

    Of two tuned circuits in a row this is the second's, the first left as it is; `tune` sets both.

    Args:
        frequency: to be tuned to. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit; its own capacitance is not used.
        load_resistance: across the detector's terminals; infinite for none. Scalar or array [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Capacitance [F]. Below zero where the frequency cannot be reached: what is already there, without any
        capacitor, tunes lower. The caller checks.

    Raises:
        InputError: frequency or load_resistance is not above zero; aerial and link short the tank.
    """
    conductance = loads.conductance("load_resistance", load_resistance)
    angular_frequency, ends = _terminals(frequency, aerial, link, tank, detector_tap)
    seen = _seen(ends.loop + conductance * ends.back, ends.loop_slope + conductance * ends.back_slope)
    susceptance = -np.imag(seen)
    if detector_tap is not None:
        at_zero = ends.open + 1j * susceptance * ends.open_slope
        change = 1j * np.real(seen) * ends.open_slope
        twice = 2.0 * np.real(at_zero * np.conj(change))
        fall = np.abs(at_zero) ** 2 - np.abs(change) ** 2
        divisor = fall + np.hypot(fall, twice)
        best = np.divide(twice, divisor, out=np.zeros(np.shape(divisor)), where=divisor > 0.0)
        susceptance = susceptance + np.real(seen) * best
    return plain(susceptance / angular_frequency)


def tuned_capacitances(frequency: Values, aerial: Aerial, links: Sequence[Link], tank: Tank) -> Array:
    """`tuned_capacitance` across the whole tank for each of some links, the aerial being asked once for all.

    Args:
        frequency, aerial, tank: as there.
        links: what they have in them must be of a shape that the frequency has already.

    Returns:
        Capacitances, a first axis for the links before those of the frequency [F].

    Raises:
        InputError: as there.
    """
    angular_frequency = TWO_PI * require_positive("frequency", frequency)
    source = aerial_source(frequency, aerial)
    circuits = [link.feed(angular_frequency, source, tank).circuit for link in links]
    seen = _seen(np.array([each.loop for each in circuits]), np.array([each.product for each in circuits]))
    return np.asarray(-seen.imag / angular_frequency)


def _seen(loop: Any, slope: Any) -> Any:
    """Admittance that the tank's capacitor sees [S]."""
    if not np.all(slope):
        raise InputError("aerial", "must have some impedance: this one shorts the tank")
    return loop / slope


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
