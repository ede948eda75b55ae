"""A capacitor by substitution: a calibrated variable one is turned until the circuit is in tune again.

What the standard gives way by is what was joined. The circuit, its strays and the frequency need only stay the same.
"""

import numpy as np
import numpy.typing as npt

from calc.fitting.estimate import Estimate, fit, fit_linear
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


def capacitance_across(standard_without: Values, standard_with: Values) -> float | Array:
    """Capacitance [F] of a capacitor joined across the standard: what the standard gives way by.

    Args:
        standard_without: setting in tune before it is joined [F].
        standard_with: setting in tune with it across the standard [F].

    Raises:
        InputError: the standard did not give way.
    """
    before = require_positive("standard_without", standard_without)
    after = require_nonnegative("standard_with", standard_with)
    if np.any(after >= before):
        raise InputError("standard_with", "must be less than the setting without the unknown")
    result: float | Array = plain(before - after)
    return result


def capacitance_in_series(standard_without: Values, standard_with: Values) -> float | Array:
    """Capacitance [F] of a capacitor put in series with the standard: C1 C2/(C2 - C1).

    Args:
        standard_without: C1, setting in tune before it is put in [F].
        standard_with: C2, setting in tune with it in series [F].

    Raises:
        InputError: the standard did not grow.

    Accuracy: exact where no strays lie across the unknown. Those across the standard itself count with its setting.
    """
    before = require_positive("standard_without", standard_without)
    after = require_positive("standard_with", standard_with)
    if np.any(after <= before):
        raise InputError("standard_with", "must be more than the setting without the unknown")
    result: float | Array = plain(before * after / (after - before))
    return result


def fit_across(without: npt.ArrayLike, with_: npt.ArrayLike, uncertainty: npt.ArrayLike | None = None) -> Estimate:
    """The "capacitance" [F] of a capacitor across the standard, from one or more pairs of settings.

    Args:
        without, with_: settings of the standard in tune, without the unknown and with it [n] [F].
        uncertainty: standard, of one setting [F]: one for all, or one a pair; None, and the scatter of two or more
            pairs tells.

    Returns:
        Estimate; its readings are the differences.

    Raises:
        InputError: a setting out of range, or a mean that is not above zero.
    """
    before, after = _pairs(without, with_)
    sigma = None if uncertainty is None else np.sqrt(2.0) * require_positive("uncertainty", uncertainty)
    estimate = fit_linear(np.ones((before.size, 1)), before - after, sigma, names=("capacitance",))
    if estimate.values[0] <= 0.0:
        raise InputError("standard_with", "must be less than the setting without the unknown")
    return estimate


def fit_in_series(without: npt.ArrayLike, with_: npt.ArrayLike, uncertainty: npt.ArrayLike | None = None) -> Estimate:
    """The "capacitance" [F] of a capacitor in series with the standard, from one or more pairs of settings.

    Args:
        without, with_, uncertainty: as for `fit_across`.

    Returns:
        Estimate; its readings are the settings with the unknown. The uncertainty of the setting without it counts as
        that of the setting with it that it would shift.

    Raises:
        InputError: a setting out of range, or settings that do not grow when the unknown is put in.
    """
    before, after = _pairs(without, with_)
    start = capacitance_in_series(float(np.mean(before)), float(np.mean(after)))
    values = np.array([max(float(start), 1.001 * float(np.max(before)))])
    own = 1.0 if uncertainty is None else require_positive("uncertainty", uncertainty)

    def model(unknown: Array) -> Array:
        return np.asarray(before * unknown[0] / (unknown[0] - before))

    for _ in range(2):
        sigma = own * np.hypot(1.0, (values[0] / (values[0] - before)) ** 2)
        estimate = fit(model, values, after, sigma, names=("capacitance",), stated=uncertainty is not None)
        values = estimate.values
        if np.any(values <= np.max(before)):
            raise InputError("standard_with", "must be more than the setting without the unknown")
    return estimate


def _pairs(without: npt.ArrayLike, with_: npt.ArrayLike) -> tuple[Array, Array]:
    before = np.atleast_1d(require_positive("standard_without", without))
    after = np.atleast_1d(require_nonnegative("standard_with", with_))
    if before.ndim != 1 or before.shape != after.shape:
        raise InputError("standard_with", "must be one for each setting without the unknown")
    return before, after
