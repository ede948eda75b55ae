"""What a coil stores beside its field: self-capacitance, self-resonance, and what its ends show near it."""

from functools import cache

import numpy as np
import numpy.typing as npt

from calc import tables
from calc.constants import TWO_PI
from calc.interpolation import Curve
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


@cache
def _self_capacitance_curve() -> Curve:
    rows = tables.read("medhurst_self_capacitance")
    return Curve(
        np.log([float(row["length_over_diameter"]) for row in rows]), np.log([float(row["H"]) for row in rows])
    )


def self_capacitance(diameter: Values, length: Values) -> float | Array:
    """Self-capacitance [F] of a single-layer coil with one end earthed: C [pF] = H(l/D) D [cm].

    It is the capacitance that, across an ideal inductance, gives the coil's lowest resonance; most of it is the coil's
    field to its surroundings, little of it is between turns, so that neither pitch nor wire enters.

    Args:
        diameter: of the coil [m].
        length: of the winding [m], from 0.1 to 50 diameters, the span of the table.

    Raises:
        InputError: a value not above zero, or a shape outside the table.

    Accuracy: the author gives about 5 % for his coils, on solid polystyrene rods; the printed figures are rounded to
    0.01 in H. Wax, varnish, thick covering, and a shield or earthed parts close by add to it. No like measurements of
    thick or flat coils are known to us, and none is given here.
    Source: R. G. Medhurst, Wireless Engineer 24 (1947) 35-43, 80-92; a smooth curve through his printed points.
    """
    d = require_positive("diameter", diameter)
    shape = require_positive("length", length) / d
    if np.any((shape < 0.1 * (1.0 - 1e-9)) | (shape > 50.0 * (1.0 + 1e-9))):
        raise InputError("length", "must lie from 0.1 to 50 coil diameters, where self-capacitance was measured")
    height = np.exp(_self_capacitance_curve()(np.log(shape)))
    result: float | Array = plain(height * d * 1e-10)
    return result


def self_resonance(inductance: Values, capacitance: Values) -> float | Array:
    """Frequency [Hz] at which an inductance [H] resonates with its self-capacitance [F]: 1/(2 pi sqrt(L C)).

    Accuracy: half the error of the self-capacitance.
    """
    product = require_positive("inductance", inductance) * require_positive("capacitance", capacitance)
    result: float | Array = plain(1.0 / (TWO_PI * np.sqrt(product)))
    return result


def effective_inductance(inductance: Values, capacitance: Values, frequency: Values) -> float | Array:
    """Inductance [H] that a coil shows at its ends below self-resonance: L/(1 - omega^2 L C).

    Args:
        inductance: own [H].
        capacitance: self-capacitance [F].
        frequency: [Hz], below self-resonance.

    Raises:
        InputError: a frequency at or above self-resonance, where the coil is no inductance.
    """
    own = require_positive("inductance", inductance)
    result: float | Array = plain(own / _left_of_resonance(own, capacitance, frequency))
    return result


def effective_quality_factor(
    inductance: Values, resistance: Values, capacitance: Values, frequency: Values
) -> float | Array:
    """Q [1] that a coil shows at its ends below self-resonance: reactance over resistance of `apparent_impedance`.

    Well below resonance (omega L/R)(1 - omega^2 L C). A coil in a tuned circuit keeps the Q of omega L/R, its
    self-capacitance being part of the circuit's.

    Args:
        inductance: own [H].
        resistance: in series [ohm].
        capacitance: self-capacitance [F].
        frequency: [Hz], below self-resonance.

    Raises:
        InputError: as `effective_inductance`.
    """
    own, loss = require_positive("inductance", inductance), require_positive("resistance", resistance)
    rest = _left_of_resonance(own, capacitance, frequency)
    omega = TWO_PI * np.asarray(frequency, dtype=np.float64)
    result: float | Array = plain((omega * own * rest - omega * np.asarray(capacitance) * loss**2) / loss)
    return result


def _left_of_resonance(own: Array, capacitance: Values, frequency: Values) -> Array:
    omega = TWO_PI * require_nonnegative("frequency", frequency)
    rest = 1.0 - omega**2 * own * require_nonnegative("capacitance", capacitance)
    if np.any(rest <= 0.0):
        raise InputError("frequency", "must be below the coil's own resonance")
    return np.asarray(rest)


def apparent_impedance(
    inductance: Values, resistance: Values, capacitance: Values, frequency: Values
) -> complex | npt.NDArray[np.complex128]:
    """Impedance [ohm] between the ends of a coil: R + j omega L with the self-capacitance across it.

    Z = (R + j omega L) / (1 - omega^2 L C + j omega C R).

    Args:
        inductance: own [H].
        resistance: in series [ohm].
        capacitance: self-capacitance [F].
        frequency: [Hz].

    Accuracy: exact for that circuit, which stands for a coil up to about its first resonance.
    """
    omega = TWO_PI * require_nonnegative("frequency", frequency)
    own, loss = require_positive("inductance", inductance), require_nonnegative("resistance", resistance)
    inner = loss + 1j * omega * own
    across = 1j * omega * require_nonnegative("capacitance", capacitance)
    result: complex | npt.NDArray[np.complex128] = plain(inner / (1.0 + across * inner))
    return result


def dielectric_resistance(
    inductance: Values, capacitance: Values, loss_tangent: Values, frequency: Values
) -> float | Array:
    """Series resistance [ohm] that a lossy self-capacitance adds to a coil: omega^3 L^2 C tan(delta).

    It rises as the cube of frequency and so stands out at the top of a band.

    Args:
        inductance: own [H].
        capacitance: the part of the capacitance that lies in the lossy stuff [F]: the self-capacitance at most.
        loss_tangent: of that stuff [1], from a data sheet or a measurement; nothing is assumed for card, wood or wax,
            which hold more or less water.
        frequency: [Hz], well below self-resonance.

    Accuracy: of the formula (omega/omega0)^2, omega0 being self-resonance.
    Source: F. E. Terman, Radio Engineers' Handbook (1943) 2.17 (from memory).
    """
    omega = TWO_PI * require_nonnegative("frequency", frequency)
    own, across = require_positive("inductance", inductance), require_nonnegative("capacitance", capacitance)
    result: float | Array = plain(omega**3 * own**2 * across * require_nonnegative("loss_tangent", loss_tangent))
    return result
