"""Round copper wire: gauge sizes, resistance, skin effect, covering, stranded wire, and what a reel holds."""

import math
import re
from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc import tables, units
from calc.constants import (
    COPPER_DENSITY,
    COPPER_RESISTIVITY,
    COPPER_TEMPERATURE_COEFFICIENT,
    TWO_PI,
    VACUUM_PERMEABILITY,
)
from calc.interpolation import Curve
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_nonnegative,
    require_positive,
)

ComplexArray = npt.NDArray[np.complex128]
INCH = 0.0254
_GAUGE = re.compile(r"(AWG|SWG)\s*#?\s*(\d+|\d/0)|#?\s*(\d+|\d/0)\s*(AWG|SWG)", re.IGNORECASE)
_ASYMPTOTIC_FROM = 25.0
_FRACTION_DEPTH = 48


def diameter(text: str) -> float:
    """Bare diameter [m] of the wire that `text` names: a gauge ("AWG 24", "SWG 22") or a size ("0.5 mm", "0.02 in").

    American gauge: ASTM B258 defines No. 36 as 0.0050 in, No. 0000 as 0.4600 in and a constant ratio between; the
    diameter is not rounded. Standard gauge: the sizes of BS 3737, in steps set by table. A bare number is millimetres.

    Raises:
        InputError: no such gauge, or not a length above zero.

    Source: ASTM B258-02 (definition); BS 3737:1964. Exact.
    """
    match = _GAUGE.fullmatch(text.strip())
    if match is None:
        size = units.parse(text, "m", bare="mm", argument="wire")
        return float(require_positive("wire", size))
    number = match[2] or match[3]
    gauge = f"{len(number)}/0" if set(number) == {"0"} else number.lstrip("0")
    gauge = "0" if gauge == "1/0" else gauge
    if (match[1] or match[4]).upper() == "AWG":
        return _american_gauge(gauge)
    sizes = standard_wire_gauge()
    if gauge not in sizes:
        raise InputError("wire", "SWG sizes run from 7/0 to 50")
    return sizes[gauge]


def standard_wire_gauge() -> dict[str, float]:
    """Bare diameter [m] by standard wire gauge number, thickest first. Source: BS 3737:1964, in inches; exact."""
    return {row["gauge"]: float(row["inch"]) * INCH for row in tables.read("standard_wire_gauge")}


def _american_gauge(gauge: str) -> float:
    """Diameter [m] of an American wire gauge number; 2/0, 3/0 and 4/0 count as -1, -2 and -3."""
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    if not -3 <= number <= 50:
        raise InputError("wire", "AWG sizes run from 4/0 to 50")
    return float(0.005 * INCH * 92.0 ** ((36 - number) / 39))


def resistivity(temperature: Values = 20.0) -> float | Array:
    """Resistivity [ohm m] of annealed copper at `temperature` [degC], from -100 to 200 degC.

    Straight line through 20 degC; within 0.5 % over the temperatures of a room.

    Source: IEC 60028: 1/58 ohm mm2/m and 0.00393 /K at 20 degC.
    """
    celsius = require_between("temperature", temperature, -100.0, 200.0, "degC")
    result: float | Array = plain(COPPER_RESISTIVITY * (1.0 + COPPER_TEMPERATURE_COEFFICIENT * (celsius - 20.0)))
    return result


def dc_resistance(wire_diameter: Values, length: Values, temperature: Values = 20.0) -> float | Array:
    """Resistance [ohm] to steady current of round copper wire: R = rho l / (pi d^2 / 4).

    Args:
        wire_diameter: bare [m].
        length: of wire [m].
        temperature: of the copper [degC].

    Raises:
        InputError: a diameter not above zero, a length below zero, a temperature outside -100 to 200 degC.

    Accuracy: that of the wire; 1 % in the diameter is 2 % here, and drawn wire may be that much off its size.
    Source: IEC 60028 for the copper.
    """
    d = require_positive("wire_diameter", wire_diameter)
    run = require_nonnegative("length", length)
    result: float | Array = plain(resistivity(temperature) * run / (math.pi / 4.0 * d**2))
    return result


def skin_depth(frequency: Values, temperature: Values = 20.0) -> float | Array:
    """Depth [m] in copper at which a current has fallen to 1/e: delta = sqrt(2 rho / (omega mu0)).

    Args:
        frequency: [Hz], above zero.
        temperature: of the copper [degC].
    """
    omega = TWO_PI * require_positive("frequency", frequency)
    result: float | Array = plain(np.sqrt(2.0 * resistivity(temperature) / (omega * VACUUM_PERMEABILITY)))
    return result


def _internal_impedance_excess(
    argument: Array,
) -> "np.ndarray[tuple[int, ...], np.dtype[np.complex128]]":
    """Internal impedance of a round wire over its steady resistance, less one, at x = a sqrt(omega mu0 / rho).

    Z/R = (z/2) I0(z)/I1(z), z = x exp(j pi/4). Up to x = 25 by the continued fraction of Gauss,
    Z/R - 1 = (u/4)/(2 + (u/4)/(3 + (u/4)/(4 + ...))), u = z^2 = j x^2; above it by the asymptotic series of Hankel,
    whose neglected second exponential is below 1e-15 there. Both hold 1e-13.
    """
    quarter = np.asarray(0.25j * np.minimum(argument, _ASYMPTOTIC_FROM) ** 2)
    largest = float(np.max(np.abs(quarter), initial=0.0))
    depth = 8 + int(min(_FRACTION_DEPTH, 4.0 * math.sqrt(largest)))
    tail = np.full(quarter.shape, depth + 1.0, dtype=np.complex128)
    for step in range(depth, 1, -1):
        tail = step + quarter / tail
    excess = quarter / tail
    if np.any(argument > _ASYMPTOTIC_FROM):
        z = np.maximum(argument, _ASYMPTOTIC_FROM) * complex(math.sqrt(0.5), math.sqrt(0.5))
        term_0 = term_1 = sum_0 = sum_1 = np.ones_like(z)
        for step in range(1, 19):
            odd = (2 * step - 1) ** 2
            term_0 = term_0 * odd / (8.0 * step * z)
            term_1 = term_1 * (odd - 4) / (8.0 * step * z)
            sum_0, sum_1 = sum_0 + term_0, sum_1 + term_1
        excess = np.where(argument > _ASYMPTOTIC_FROM, 0.5 * z * sum_0 / sum_1 - 1.0, excess)
    return excess


def _skin_argument(wire_diameter: Values, frequency: Values, temperature: Values) -> Array:
    """x = a sqrt(omega mu0 / rho) of a wire of radius a: the square root of two times radius over skin depth."""
    d = require_positive("wire_diameter", wire_diameter)
    omega = TWO_PI * require_nonnegative("frequency", frequency)
    return np.asarray(0.5 * d * np.sqrt(omega * VACUUM_PERMEABILITY / resistivity(temperature)))


def resistance_ratio(wire_diameter: Values, frequency: Values, temperature: Values = 20.0) -> float | Array:
    """Resistance of a lone straight round copper wire at `frequency` over its resistance to steady current.

    Exact: the real part of (z/2) I0(z)/I1(z), z = (1 + j) a / delta, with modified Bessel functions, a the radius and
    delta the skin depth.

    Args:
        wire_diameter: bare [m].
        frequency: [Hz], zero allowed.
        temperature: of the copper [degC].

    Returns:
        The ratio [1], one at zero frequency.

    Accuracy: 1e-12. A wire near others, as in a coil, has more: see `coils.solenoid_resistance`.
    Source: Kelvin's solution as in J. A. Stratton, Electromagnetic Theory (1941) 9.17 (from memory).
    """
    excess = _internal_impedance_excess(_skin_argument(wire_diameter, frequency, temperature))
    result: float | Array = plain(1.0 + excess.real)
    return result


def internal_inductance_ratio(wire_diameter: Values, frequency: Values, temperature: Values = 20.0) -> float | Array:
    """Inductance of the field inside a round copper wire at `frequency` over mu0/(8 pi) per metre, its value at rest.

    Arguments as `resistance_ratio`; from the imaginary part of the same exact expression. Accuracy 1e-12.
    """
    x = _skin_argument(wire_diameter, frequency, temperature)
    excess = _internal_impedance_excess(x)
    safe = np.where(x > 1e-4, x, 1.0)
    result: float | Array = plain(np.where(x > 1e-4, 8.0 * excess.imag / safe**2, 1.0))
    return result


class Eddies(NamedTuple):
    """What the frequency makes of a round wire: see `eddies`."""

    skin: Array
    transverse: Array
    screening: ComplexArray


def eddies(wire_diameter: Values, frequency: Values, temperature: Values = 20.0) -> Eddies:
    """The three functions of x = a sqrt(omega mu0 / rho) that the loss of a round copper wire in a coil is made of.

    With z = x exp(j pi/4):

    skin = Re[(z/2) I0(z)/I1(z)], the `resistance_ratio` of the lone wire;

    transverse = (x^2/4) Im[I2(z)/I0(z)]: the loss per metre in a field of H [A/m] r.m.s. across the wire is
    8 pi rho H^2 times it. It is x^4/32 where the wire is thin against the skin depth and x/(2 sqrt 2) - 1/4 where it
    is thick;

    screening = I2(z)/I0(z): the dipole that a field across the wire induces, over that of a perfect conductor.

    Arguments as `resistance_ratio`. Accuracy 1e-12.
    Source: S. Butterworth, Effective resistance of inductance coils at radio frequency, Experimental Wireless 3 (1926)
    203, 309, 417, 483 (from memory), whose G(z) is half of `transverse`.
    """
    x = _skin_argument(wire_diameter, frequency, temperature)
    excess = _internal_impedance_excess(x)
    screening = excess / (1.0 + excess)
    return Eddies(1.0 + excess.real, 0.25 * x**2 * screening.imag, screening)


_TEXTILE = {"single silk": 0.05e-3, "double silk": 0.10e-3, "single cotton": 0.12e-3, "double cotton": 0.22e-3}
COVERINGS = ("bare", "enamel grade 1", "enamel grade 2", *_TEXTILE)
"""Coverings that `covered_diameter` knows."""


@cache
def _enamel(grade: str) -> tuple[float, float, Curve]:
    """Bare diameters between which there is enamel of a grade [m], and its increase [m] over their logarithm."""
    rows = tables.read("enamelled_wire")
    sizes = np.array([float(row["nominal"]) for row in rows]) * 1e-3
    overall = np.array([float(row[f"grade_{grade}"]) for row in rows]) * 1e-3
    return float(sizes[0]), float(sizes[-1]), Curve(np.log(sizes), overall - sizes)


def covered_diameter(wire_diameter: Values, covering: str = "enamel grade 1") -> float | Array:
    """Diameter [m] of a round wire with its covering.

    Enamel: the greatest overall diameter that IEC 60317-0-1 allows, its increase over the bare wire interpolated
    between the standard's sizes (which itself gives a size between the increase of the next larger). Silk and cotton:
    a typical increase, whatever the size.

    Args:
        wire_diameter: bare [m]; for enamel from 0.04 to 2 mm.
        covering: one of `COVERINGS`.

    Raises:
        InputError: a covering or, for enamel, a size that is not in the table.

    Accuracy: enamel is at most this thick and mostly a little less; a new reel lies 2 to 4 % under it. Silk and cotton
    vary by a third of their thickness: measure ten turns side by side.
    Source: IEC 60317-0-1; silk and cotton from memory of old makers' lists.
    """
    d = require_positive("wire_diameter", wire_diameter)
    if covering not in COVERINGS:
        raise InputError("covering", f"must be one of: {', '.join(COVERINGS)}")
    if covering == "bare":
        result: float | Array = plain(d)
    elif covering in _TEXTILE:
        result = plain(d + _TEXTILE[covering])
    else:
        thinnest, thickest, increase = _enamel(covering[-1])
        require_between("wire_diameter", d, thinnest, thickest, "m")
        result = plain(d + increase(np.log(d)))
    return result


def mass(wire_diameter: Values, length: Values) -> float | Array:
    """Mass [kg] of the copper in a round wire: 8890 kg/m3 times its volume.

    Args:
        wire_diameter: bare [m].
        length: [m].

    Accuracy: twice that of the diameter. Enamel adds 2 % to thick wire and 10 % to the finest, cotton more.
    Source: IEC 60028 for the density.
    """
    area = math.pi / 4.0 * require_positive("wire_diameter", wire_diameter) ** 2
    result: float | Array = plain(COPPER_DENSITY * area * require_nonnegative("length", length))
    return result


def length_of_mass(wire_diameter: Values, copper_mass: Values) -> float | Array:
    """Length [m] of round copper wire of given mass [kg], the inverse of `mass`: weigh the reel, full and empty."""
    result: float | Array = plain(
        require_nonnegative("copper_mass", copper_mass) / np.asarray(mass(wire_diameter, 1.0))
    )
    return result


def length_of_resistance(wire_diameter: Values, resistance: Values, temperature: Values = 20.0) -> float | Array:
    """Length [m] of a round copper wire of given resistance [ohm] to steady current, the inverse of `dc_resistance`."""
    ohms = require_nonnegative("resistance", resistance)
    result: float | Array = plain(ohms / np.asarray(dc_resistance(wire_diameter, 1.0, temperature)))
    return result
