"""A steady sine, a diode, and a load with a large capacitor across it: d.c. out and the load that the sine feels.

The diode's voltage is A cos(wt) - V with a steady V. Averaged over a cycle of i = Is (exp(v / nVt) - 1), the current is

    V / R = Is (exp(-V / nVt) I0(A / nVt) - 1)

with I0 the modified Bessel function. Everything here follows from that without approximation. In units of the
diode's own, u = A/nVt for the drive, x = V/nVt for the output and g = (nVt/Is)/R for the load, it reads

    x + ln(1 + g x) = ln I0(u)

With bulk resistance the cycle's averages are those of `calc.detectors.junction`. Reverse breakdown is left out. Drive
and output may differ by any factor.
"""

from typing import Any, NamedTuple

import numpy as np

from calc import loads
from calc.detectors.bessel import bessel_drive
from calc.detectors.diode import Diode
from calc.detectors.junction import bulky_cycle
from calc.units import Array, Values, plain, require_nonnegative

_MOST_STEPS = 60
_LAST_BIT = 4e-16


class Rectified(NamedTuple):
    """What `rectify` finds.

    Attributes:
        dc_voltage: across the load [V].
        dc_current: through the load [A].
        input_resistance: the resistance that would take the same power from the sine [ohm].
    """

    dc_voltage: Any
    dc_current: Any
    input_resistance: Any


def output(logarithm: Array, load: Array, shift: Array, near: float = _LAST_BIT) -> tuple[Array, Array]:
    """x and l of x + l = y, exp(l) = 1 + g x - k for y, g not below zero and k: a cycle's mean on a load line.

    The load line is j = g x - k, in units of Is; y = ln I0(u) and l = ln(1 + j). As an equation for l, g l + exp(l) - 1
    + k - g y = 0, its left side curves upward and rises, so Newton's rule comes down to the root from any start above
    it; both upper bounds used here are close on their own side.

    Args:
        logarithm: y, any shape.
        load: g, the slope of the load line; not below zero.
        shift: k, its intercept; below one where g is zero.
        near: so small a step, as a part of l, need not be taken: l is then good to its square.

    Returns:
        (x, l), broadcast together, each good to rounding, if asked for, even where it is small against the other.
    """
    target = load * logarithm - shift
    level = target / (1.0 + load)
    level = np.where(target > 0.0, np.minimum(level, np.log1p(np.maximum(target, 0.0))), level)
    for _ in range(_MOST_STEPS):
        current = np.expm1(level)
        step = (load * level + current - target) / (load + current + 1.0)
        moving = np.abs(step) > near * np.abs(level)
        if not moving.any():
            break
        level = np.where(moving, level - step, level)
    steep = np.maximum(load, 1.0)
    return np.where(load < 1.0, logarithm - level, (np.expm1(level) + shift) / steep), level


def rectify(diode: Diode, peak_voltage: Values, load_resistance: Values) -> Rectified:
    """D.c. that an exponential diode delivers from a steady sine, and the load that it is to its source.

    The power it takes is A Is exp(-V/nVt) I1(A/nVt); with the balance of currents the resistance that would
    take the same becomes A I0(u) / (2 I1(u) (Is + Idc)): the zero-bias resistance for no signal, half the
    load for a large one.

    Args:
        diode: the diode; its capacitance counts as the tank's.
        peak_voltage: A, of the sine across diode and load, from a source without resistance. Not below zero.
            Scalar or array [V].
        load_resistance: R, by-passed by a large capacitor; above zero, infinite for an open circuit. (A short
            circuit is refused: without bulk nothing would limit the current.) Scalar or array [ohm].

    Returns:
        d.c. voltage [V], d.c. current [A] and input resistance [ohm], broadcast together.

    Raises:
        InputError: peak_voltage is below zero or load_resistance not above it.

    Accuracy: without bulk 1e-13 of the exact values for this diode, nanovolts to hundreds of volts; with it that of
    `calc.detectors.junction.bulky_cycle`.

    Source: I0 balance: D. W. Knight, Diode detectors for RF measurement, part 1 (2016), abstract. The rest
    follows.
    """
    peak = require_nonnegative("peak_voltage", peak_voltage)
    thermal = np.asarray(diode.thermal_voltage)
    zero_bias = np.asarray(diode.zero_bias_resistance)
    logarithm, ratio = (np.asarray(part) for part in bessel_drive(peak / thermal))
    load = zero_bias * loads.conductance("load_resistance", load_resistance)
    x, level = output(logarithm, load, np.zeros(()))
    uptake = level + np.log(ratio)
    if np.any(diode.bulk):
        x, level, uptake = _with_bulk(np.log(np.maximum(peak / thermal, 1e-300)), x, load, np.asarray(diode.bulk))
    voltage, current = thermal * x, np.asarray(diode.saturation_current) * load * x
    return Rectified(plain(voltage), plain(current), plain(zero_bias * np.exp(-uptake)))


def _with_bulk(log_drive: Array, start: Array, load: Array, bulk: Array) -> tuple[Array, Array, Array]:
    """x, ln(1 + I/Is) and ln(R0/R) with bulk resistance: Newton's rule from the output without it, which is more."""
    log_drive, x, load, bulk = (np.array(part) for part in np.broadcast_arrays(log_drive, start, load, bulk))
    bulk = np.maximum(bulk, 1e-200)
    for _ in range(_MOST_STEPS):
        cycle = bulky_cycle(log_drive, x, bulk)
        shunt = load * x
        step = (cycle.level - np.log1p(shunt)) / (cycle.level_by_output - load / (1.0 + shunt))
        x = np.maximum(x - step, 0.1 * x)
        if np.all(np.abs(step) <= 1e-15 * x):
            break
    cycle = bulky_cycle(log_drive, x, bulk)
    return x, cycle.level, cycle.uptake
