"""A coil from the frequencies at which it resonates with known capacitors: its inductance and its own capacitance.

The coil with C across it resonates at 1/f^2 = 4 pi^2 L (C + Cs): a straight line over C. Its slope gives the
inductance; it meets the axis at -Cs, the coil's self-capacitance and the strays of the circuit together.
"""

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.fitting.estimate import Estimate, fit
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


def coil_from_two_resonances(
    frequency_1: Values, capacitance_1: Values, frequency_2: Values, capacitance_2: Values
) -> tuple[float | Array, float | Array]:
    """Inductance [H] and self-capacitance [F] of a coil from its resonances with two known capacitors.

    L = (1/f1^2 - 1/f2^2)/(4 pi^2 (C1 - C2)), Cs = 1/(4 pi^2 f1^2 L) - C1.

    Args:
        frequency_1, frequency_2: of resonance [Hz]; arrays broadcast.
        capacitance_1, capacitance_2: across the coil [F], strays of the circuit left out; zero for none.

    Returns:
        The inductance, and what lies across it besides the capacitor: the coil's own capacitance and all strays. The
        latter comes out below zero if readings are off by more than it.

    Raises:
        InputError: a value out of range, two like capacitances, or a greater capacitance with a higher frequency.

    Accuracy: exact for an inductance with a capacitance across it, its Q above 20. Errors of the two readings come out
        enlarged, the more the nearer the two capacitances.
    """
    first, second = require_positive("frequency_1", frequency_1), require_positive("frequency_2", frequency_2)
    one = require_nonnegative("capacitance_1", capacitance_1)
    other = require_nonnegative("capacitance_2", capacitance_2)
    if np.any(one == other):
        raise InputError("capacitance_2", "must differ from the first capacitance")
    # (1/f1 - 1/f2)(1/f1 + 1/f2), so that nothing is lost when the two lie close
    inductance = (second - first) * (second + first) / ((TWO_PI * first * second) ** 2 * (one - other))
    if np.any(inductance <= 0.0):
        raise InputError("frequency_2", "must be higher with the smaller capacitance, and lower with the greater")
    result = plain(inductance), plain(1.0 / ((TWO_PI * first) ** 2 * inductance) - one)
    return result


def resonance(inductance: Values, self_capacitance: Values, capacitance: Values) -> float | Array:
    """Frequency [Hz] at which a coil resonates with a capacitor: 1/(2 pi sqrt(L (C + Cs))).

    Args:
        inductance: [H].
        self_capacitance: of the coil, with all strays [F].
        capacitance: of the capacitor [F].

    Accuracy: exact for an inductance with a capacitance across it.
    """
    across = require_nonnegative("capacitance", capacitance) + np.asarray(self_capacitance, dtype=np.float64)
    if np.any(across <= 0.0):
        raise InputError("self_capacitance", "must leave some capacitance across the coil")
    result: float | Array = plain(1.0 / (TWO_PI * np.sqrt(require_positive("inductance", inductance) * across)))
    return result


def coil_from_resonances(
    frequency: npt.ArrayLike,
    capacitance: npt.ArrayLike,
    frequency_uncertainty: npt.ArrayLike | None = None,
    capacitance_uncertainty: npt.ArrayLike | None = None,
) -> Estimate:
    """Inductance and self-capacitance of a coil from its resonances with two or more known capacitors.

    Args:
        frequency: of resonance [n] [Hz].
        capacitance: across the coil, strays left out [n] [F].
        frequency_uncertainty, capacitance_uncertainty: standard, one for each or one for all [Hz, F]; None for both,
            and the scatter of three or more readings tells, taken as the same share of each frequency. One alone may be
            given: the other is then nil.

    Returns:
        Estimate of "inductance" [H] and "self_capacitance" [F] (strays included); its readings are frequencies. An
        uncertainty of a capacitance counts as that of the frequency that it would shift.

    Raises:
        InputError: fewer than two different capacitances, a value out of range, or frequencies that rise with the
            capacitance.

    Accuracy: as `coil_from_two_resonances`. Errors common to all readings, as of a scale, do not show in the scatter:
        those of frequency enter the inductance twice over.
    """
    read, across = _two_lists(frequency, capacitance)
    order = np.argsort(across, kind="stable")
    low, high = int(order[0]), int(order[-1])
    if across[low] == across[high]:
        raise InputError("capacitance", "must differ from reading to reading")
    start = np.array(_line(read, across))
    sigma = _uncertainty(start, read, across, frequency_uncertainty, capacitance_uncertainty)

    def model(values: Array) -> Array:
        return np.asarray(1.0 / (TWO_PI * np.sqrt(values[0] * (across + values[1]))))

    names = ("inductance", "self_capacitance")
    if sigma is None:
        return fit(model, start, read, read, names=names, stated=False)
    # The weight of an uncertain capacitance hangs on the coil: twice is enough, and to go on would let readings that
    # disagree choose their own weights.
    first = fit(model, start, read, sigma, names=names)
    sigma = _uncertainty(first.values, read, across, frequency_uncertainty, capacitance_uncertainty)
    return fit(model, first.values, read, sigma, names=names)


def _two_lists(frequency: npt.ArrayLike, capacitance: npt.ArrayLike) -> tuple[Array, Array]:
    read = np.atleast_1d(require_positive("frequency", frequency))
    across = np.atleast_1d(require_nonnegative("capacitance", capacitance))
    if read.ndim != 1 or read.shape != across.shape:
        raise InputError("capacitance", "must be one for each frequency")
    if read.size < 2:
        raise InputError("frequency", "must be two readings at least")
    return read, across


def _line(read: Array, across: Array) -> tuple[float, float]:
    """Inductance and self-capacitance of the straight line through 1/f^2 over C, all readings of equal share."""
    period, weight = 1.0 / (TWO_PI * read) ** 2, read**4
    middle_c, middle_p = np.average(across, weights=weight), np.average(period, weights=weight)
    inductance = np.sum(weight * (across - middle_c) * (period - middle_p)) / np.sum(weight * (across - middle_c) ** 2)
    if not inductance > 0.0:
        raise InputError("frequency", "must fall as the capacitance grows")
    most = float(np.min(across))
    self_capacitance = float(middle_p / inductance - middle_c)
    return float(inductance), max(self_capacitance, -0.9 * most if most else 1e-3 * float(np.max(across)))


def _uncertainty(
    values: Array,
    read: Array,
    across: Array,
    frequency_uncertainty: npt.ArrayLike | None,
    capacitance_uncertainty: npt.ArrayLike | None,
) -> Array | None:
    """Standard uncertainty of each frequency, with that of its capacitor [Hz]."""
    if frequency_uncertainty is None and capacitance_uncertainty is None:
        return None
    own = require_nonnegative("frequency_uncertainty", 0.0 if frequency_uncertainty is None else frequency_uncertainty)
    of_c = require_nonnegative(
        "capacitance_uncertainty", 0.0 if capacitance_uncertainty is None else capacitance_uncertainty
    )
    if not np.all(across + values[1] > 1e-3 * across):
        raise InputError("frequency", "must agree better: they leave less than nothing across the coil")
    fitted = 1.0 / (TWO_PI * np.sqrt(values[0] * (across + values[1])))
    shift = 0.5 * fitted / (across + values[1]) * of_c
    both = np.hypot(np.broadcast_to(own, read.shape), shift)
    if not np.all(both > 0.0):
        raise InputError("frequency_uncertainty", "must be greater than zero, or left out")
    return np.asarray(both)
