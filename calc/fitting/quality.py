"""Q of a tuned circuit: from how wide it is, and from how far it steps a small voltage up."""

import math

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.fitting.estimate import Estimate, fit, fit_linear
from calc.fitting.measured import Measured, propagate
from calc.units import Array, InputError, Values, plain, require_between, require_nonnegative, require_positive

HALF_POWER = math.sqrt(0.5)
"""Share of the peak voltage at which half the power is left."""


def quality_from_width(lower: Values, upper: Values, level: Values = HALF_POWER) -> float | Array:
    """Q [1] of a tuned circuit from two frequencies of one level: sqrt(1/a^2 - 1) sqrt(f1 f2)/(f2 - f1).

    Args:
        lower, upper: frequencies on either side where the voltage is that share of its peak [Hz].
        level: the share a [1], above 0 and below 1; half power unless given.

    Raises:
        InputError: upper is not above lower, or a level out of range.

    Accuracy: exact for a single tuned circuit driven by a constant current and of fixed parallel resistance; a constant
        Q of the coil instead makes of it one part in 1/Q^2 or so.
    """
    low, high = require_positive("lower", lower), require_positive("upper", upper)
    if np.any(high <= low):
        raise InputError("upper", "must be above the lower frequency")
    result: float | Array = plain(_detuning(level) * np.sqrt(low * high) / (high - low))
    return result


def _detuning(level: Values) -> Array:
    """Q (f/f0 - f0/f) at which the voltage is that share of the peak [1]."""
    share = require_between("level", level, 0.02, 0.99)
    return np.asarray(np.sqrt((1.0 - share) * (1.0 + share)) / share)


def unloaded(quality: Measured, frequency: float, capacitance: Measured, resistance: Measured) -> Measured:
    """Q [1] without a resistance that lay across the circuit: 1/(1/Q - 1/(omega C R)).

    Args:
        quality: as measured with it.
        frequency: of resonance [Hz].
        capacitance: whole capacitance of the circuit [F].
        resistance: that lay across it, of a meter or a detector [ohm].

    Raises:
        InputError: the resistance by itself would make Q lower than was measured.
    """
    omega = TWO_PI * float(require_positive("frequency", frequency))
    if omega * capacitance.value * resistance.value <= quality.value:
        raise InputError("resistance", "must be more: by itself it would make Q lower than was measured")
    return propagate(lambda v: 1.0 / (1.0 / v[0] - 1.0 / (omega * v[1] * v[2])), [quality, capacitance, resistance])


def fit_width(
    lower: npt.ArrayLike,
    upper: npt.ArrayLike,
    level: npt.ArrayLike = HALF_POWER,
    frequency_uncertainty: npt.ArrayLike | None = None,
    level_uncertainty: npt.ArrayLike | None = None,
) -> Estimate:
    """The "resonance" [Hz] and "quality" [1] of a tuned circuit from pairs of frequencies, each pair at one level.

    Args:
        lower, upper: of each pair [n] [Hz].
        level: of each pair, share of the peak voltage [n] or one for all [1].
        frequency_uncertainty: standard, of a frequency [Hz]; one for all or one a pair.
        level_uncertainty: standard, of a level [1]. It counts as that of the frequencies it would shift, each of a
            pair by itself. None for both, and the scatter of two or more pairs tells.

    Returns:
        Estimate; its readings are all lower frequencies and then all upper ones.

    Raises:
        InputError: as `quality_from_width`, or lists that do not match.
    """
    low, high = np.atleast_1d(require_positive("lower", lower)), np.atleast_1d(require_positive("upper", upper))
    if low.ndim != 1 or low.shape != high.shape:
        raise InputError("upper", "must be one for each lower frequency")
    share = np.broadcast_to(require_between("level", level, 0.02, 0.99), low.shape)
    detuning, read = _detuning(share), np.concatenate([low, high])
    each = quality_from_width(low, high, share)
    values = np.array([float(np.mean(np.sqrt(low * high))), 1.0 / float(np.mean(1.0 / np.asarray(each)))])

    def model(unknown: Array) -> Array:
        half = detuning / (2.0 * unknown[1])
        middle = np.sqrt(1.0 + half * half)
        return np.asarray(unknown[0] * np.concatenate([middle - half, middle + half]))

    names = ("resonance", "quality")
    if frequency_uncertainty is None and level_uncertainty is None:
        return fit(model, values, read, names=names)
    own = np.broadcast_to(
        require_nonnegative("frequency_uncertainty", 0.0 if frequency_uncertainty is None else frequency_uncertainty),
        low.shape,
    )
    of_level = require_nonnegative("level_uncertainty", 0.0 if level_uncertainty is None else level_uncertainty)
    # d detuning/d level = -1/(a^2 sqrt(1 - a^2))
    steep = of_level / (share**2 * np.sqrt((1.0 - share) * (1.0 + share)))
    for _ in range(2):
        shift = values[0] * steep / (2.0 * values[1])
        sigma = np.hypot(own, shift)
        if not np.all(sigma > 0.0):
            raise InputError("frequency_uncertainty", "must be greater than zero, or left out")
        estimate = fit(model, values, read, np.concatenate([sigma, sigma]), names=names)
        values = estimate.values
        if not np.all((values > 0.0) & (values < 1e9)):
            raise InputError("upper", "must all belong to one resonance")
    return estimate


def fit_ratio(
    injected: npt.ArrayLike,
    across: npt.ArrayLike,
    injected_uncertainty: float | None = None,
    across_uncertainty: float | None = None,
) -> Estimate:
    """The "ratio" [1] of the voltage across the capacitor to the one injected in series, from one or more pairs.

    Args:
        injected, across: voltages at resonance [n] [V].
        injected_uncertainty, across_uncertainty: standard, share of the voltage [1]; None for both, and the scatter of
            two or more pairs tells.

    Raises:
        InputError: a voltage that is not above zero, or lists that do not match.
    """
    one, other = (
        np.atleast_1d(require_positive("injected", injected)),
        np.atleast_1d(require_positive("across", across)),
    )
    if one.ndim != 1 or one.shape != other.shape:
        raise InputError("across", "must be one for each injected voltage")
    ratio = other / one
    names = ("ratio",)
    if injected_uncertainty is None and across_uncertainty is None:
        return fit_linear(np.ones((ratio.size, 1)), ratio, ratio, names=names, stated=False)
    share = math.hypot(
        float(require_nonnegative("injected_uncertainty", injected_uncertainty or 0.0)),
        float(require_nonnegative("across_uncertainty", across_uncertainty or 0.0)),
    )
    if share <= 0.0:
        raise InputError("across_uncertainty", "must be greater than zero, or left out")
    mean = float(np.mean(ratio))
    return fit_linear(np.ones((ratio.size, 1)), ratio, share * mean, names=names)


def coil_resistance(
    ratio: Measured,
    frequency: float,
    capacitance: Measured,
    injection_resistance: Measured,
    meter_resistance: Measured | None = None,
) -> Measured:
    """Series resistance [ohm] of a coil from the step-up at resonance: X/ratio - R_injection - X^2/R_meter.

    X = 1/(omega C) is the reactance of the capacitor.

    Args:
        ratio: voltage across the capacitor over voltage injected.
        frequency: [Hz].
        capacitance: across which the voltage is read, the coil's own left out [F].
        injection_resistance: in series, of the source of the small voltage [ohm].
        meter_resistance: across the capacitor [ohm]; None for one that takes nothing.

    Raises:
        InputError: the two resistances by themselves explain more than all the loss.

    Accuracy: to one part in Q^2.
    """
    omega = TWO_PI * float(require_positive("frequency", frequency))
    meter = Measured(math.inf, 0.0) if meter_resistance is None else meter_resistance
    parts = [ratio, capacitance, injection_resistance, Measured(1.0 / meter.value, _inverse_uncertainty(meter))]
    found = propagate(lambda v: 1.0 / (omega * v[1] * v[0]) - v[2] - v[3] / (omega * v[1]) ** 2, parts)
    if found.value <= 0.0:
        raise InputError("injection_resistance", "and the meter explain more than all the loss that was measured")
    return found


def _inverse_uncertainty(resistance: Measured) -> float | None:
    if resistance.uncertainty is None or math.isinf(resistance.value):
        return resistance.uncertainty
    return resistance.uncertainty / resistance.value**2
