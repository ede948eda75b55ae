"""The detector: what an exponential diode makes of a steady carrier.

A sine of peak value A stands across a diode in series with its load; a large capacitor by-passes the load, so
that the diode's voltage is A cos(wt) - V with a steady V. Averaged over a cycle of i = Is (exp(v / nVt) - 1),
the current is

    V / R = Is (exp(-V / nVt) I0(A / nVt) - 1)

with I0 the modified Bessel function. Everything here follows from that without approximation. In units of the
diode's own, u = A/nVt for the drive, x = V/nVt for the output and g = (nVt/Is)/R for the load, it reads

    x + ln(1 + g x) = ln I0(u)

Series resistance, junction capacitance and reverse breakdown are left out. Drive and output may differ by any
factor.
"""

from dataclasses import dataclass
from functools import cache
from math import factorial
from typing import Any, NamedTuple

import numpy as np

from calc import loads, tables
from calc.constants import BOLTZMANN, ELEMENTARY_CHARGE
from calc.units import Array, Values, plain, require_nonnegative, require_positive


@dataclass(frozen=True)
class Diode:
    """A diode of i = Is (exp(q v / n k T) - 1).

    Attributes:
        saturation_current: Is, at this temperature. Scalar or array [A].
        ideality: n, 1 for an ideal junction. Scalar or array [-].
        temperature: scalar or array [K].
    """

    saturation_current: Values
    ideality: Values
    temperature: Values = 293.15

    def __post_init__(self) -> None:
        require_positive("saturation_current", self.saturation_current)
        require_positive("ideality", self.ideality)
        require_positive("temperature", self.temperature)

    @property
    def thermal_voltage(self) -> Any:
        """n k T / q: the voltage by which the forward current grows e-fold [V]."""
        temperature = np.asarray(self.temperature, dtype=np.float64)
        return plain(np.asarray(self.ideality) * (BOLTZMANN / ELEMENTARY_CHARGE) * temperature)

    @property
    def zero_bias_resistance(self) -> Any:
        """n k T / (q Is): the slope resistance at no voltage, and the input resistance at no signal [ohm]."""
        return plain(self.thermal_voltage / np.asarray(self.saturation_current))


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


_SERIES_TERMS = 38
_ASYMPTOTIC_TERMS = 26
_BORDER = 20.0
"""Drive above which the asymptotic series takes over: either, cut off so, is good to 1e-16 there."""


@cache
def _power_series() -> tuple[Array, ...]:
    """Coefficients of (I0(u) - 1) / (u/2)**2 and 2 I1(u) / u in powers of (u/2)**2, the highest power first.

    Source: NIST Digital Library of Mathematical Functions, 10.25.2.
    """
    pairs = [[1.0 / factorial(k + 1) ** 2, 1.0 / (factorial(k) * factorial(k + 1))] for k in range(_SERIES_TERMS)]
    return tuple(np.array(pair).reshape(2, 1) for pair in reversed(pairs))


@cache
def _asymptotic_series() -> tuple[Array, ...]:
    """Coefficients of sqrt(2 pi u) exp(-u) times I0(u) and I1(u) in powers of 1/(8u), highest first.

    Source: NIST Digital Library of Mathematical Functions, 10.40.1.
    """
    pairs = [np.ones((2, 1))]
    for k in range(1, _ASYMPTOTIC_TERMS):
        pairs.append(pairs[-1] * ((2.0 * k - 1.0) ** 2 - np.array([[0.0], [4.0]])) / k)
    return tuple(reversed(pairs))


def _polynomials(coefficients: tuple[Array, ...], variable: Array) -> Array:
    """The pair of polynomials at each value of a flat array, by Horner's rule."""
    total = np.repeat(coefficients[0], variable.size, axis=1)
    for coefficient in coefficients[1:]:
        total *= variable
        total += coefficient
    return total


def bessel_drive(drive: Values) -> tuple[Any, Any]:
    """The two combinations of modified Bessel functions that a detector needs, safe at any size of drive.

    Args:
        drive: u, the peak voltage in units of the diode's nVt, not below zero. Scalar or array [-].

    Returns:
        (ln I0(u), 2 I1(u) / (u I0(u))). They go to u**2/4 and 1 where u is small, nearly to u and 2/u where
        it is large.

    Raises:
        InputError: drive is below zero.

    Accuracy: 2e-15 of the value.
    """
    u = require_nonnegative("drive", drive)
    flat = u.ravel()
    logarithm, ratio = np.empty_like(flat), np.empty_like(flat)
    small = flat <= _BORDER
    if np.any(small):
        square = 0.25 * flat[small] ** 2
        excess, first = _polynomials(_power_series(), square)
        excess *= square
        logarithm[small] = np.log1p(excess)
        ratio[small] = first / (1.0 + excess)
    if not np.all(small):
        large = flat[~small]
        zeroth, first = _polynomials(_asymptotic_series(), 0.125 / large)
        logarithm[~small] = large + np.log(zeroth / np.sqrt(2.0 * np.pi * large))
        ratio[~small] = 2.0 * first / (large * zeroth)
    return plain(logarithm.reshape(u.shape)), plain(ratio.reshape(u.shape))


def _output(logarithm: Array, load: Array) -> Array:
    """x of x + ln(1 + g x) = y for y = ln I0(u) and g, neither below zero.

    That is x = W(b exp(b + y)) - b with b = 1/g and W Lambert's function, in the form that neither overflows
    nor loses digits when x is small against b. The left side grows ever more slowly, so Newton's rule climbs
    to the root from any start below it, and both lower bounds used here are close on their own side.
    """
    x = np.maximum(logarithm / (1.0 + load), logarithm - np.log1p(load * logarithm))
    for _ in range(60):
        shunt = load * x
        step = (logarithm - x - np.log1p(shunt)) / (1.0 + load / (1.0 + shunt))
        x = x + step
        if np.all(np.abs(step) <= 4e-16 * x):
            break
    return x


def rectify(diode: Diode, peak_voltage: Values, load_resistance: Values) -> Rectified:
    """D.c. that an exponential diode delivers from a steady sine, and the load that it is to its source.

    The power it takes is A Is exp(-V/nVt) I1(A/nVt); with the balance of currents the resistance that would
    take the same becomes A I0(u) / (2 I1(u) (Is + Idc)): the zero-bias resistance for no signal, half the
    load for a large one.

    Args:
        diode: the diode.
        peak_voltage: A, of the sine across diode and load, from a source without resistance. Not below zero.
            Scalar or array [V].
        load_resistance: R, by-passed by a large capacitor; above zero, infinite for an open circuit. (A short
            circuit is refused: nothing would limit the current.) Scalar or array [ohm].

    Returns:
        d.c. voltage [V], d.c. current [A] and input resistance [ohm], broadcast together.

    Raises:
        InputError: peak_voltage is below zero or load_resistance not above it.

    Accuracy: 1e-13 of the exact values for this diode, nanovolts to hundreds of volts.

    Source: I0 balance: D. W. Knight, Diode detectors for RF measurement, part 1 (2016), abstract. The rest
    follows.
    """
    peak = require_nonnegative("peak_voltage", peak_voltage)
    thermal = np.asarray(diode.thermal_voltage)
    zero_bias = np.asarray(diode.zero_bias_resistance)
    logarithm, ratio = bessel_drive(peak / thermal)
    load = zero_bias * loads.conductance("load_resistance", load_resistance)
    x = _output(np.asarray(logarithm), load)
    shunt = load * x
    voltage, current = thermal * x, np.asarray(diode.saturation_current) * shunt
    return Rectified(plain(voltage), plain(current), plain(zero_bias / ((1.0 + shunt) * ratio)))


@dataclass(frozen=True)
class Preset:
    """A diode of the table, and how far to trust it.

    Attributes:
        diode: its parameters at the temperature for which they are printed.
        kind: what it is made of.
        series_resistance: of the bulk, left out by `rectify` [ohm].
        junction_capacitance: at no bias; belongs to the tank's strays [F].
        assumed: True where no source gives the figures.
        source: where they were found.
    """

    diode: Diode
    kind: str
    series_resistance: float
    junction_capacitance: float
    assumed: bool
    source: str


@cache
def presets() -> dict[str, Preset]:
    """The diodes of `calc/data/diodes.csv` by name, in the order of the table."""
    return {
        row["name"]: Preset(
            diode=Diode(float(row["saturation_current"]), float(row["ideality"]), float(row["temperature"])),
            kind=row["kind"],
            series_resistance=float(row["series_resistance"]),
            junction_capacitance=float(row["junction_capacitance"]),
            assumed=row["certainty"] == "assumption",
            source=row["source"],
        )
        for row in tables.read("diodes")
    }
