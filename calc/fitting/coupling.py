"""How closely two coils are coupled: by their inductance in series, and by what a short of one does to the other."""

import math

import numpy as np
import numpy.typing as npt

from calc.fitting.estimate import Estimate, fit_linear
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


def coefficient_from_series(aiding: Values, opposing: Values, first: Values, second: Values) -> float | Array:
    """Coefficient of coupling [1] from four inductances: (L_aiding - L_opposing)/(4 sqrt(L1 L2)).

    Args:
        aiding, opposing: of the two in series, joined one way and the other [H].
        first, second: of each by itself [H].

    Raises:
        InputError: a value not above zero, or opposing greater than aiding: the two joints have changed names.
    """
    more, less = require_positive("aiding", aiding), require_positive("opposing", opposing)
    if np.any(less > more):
        raise InputError("opposing", "must be no more than the inductance in series aiding")
    mean = np.sqrt(require_positive("first", first) * require_positive("second", second))
    result: float | Array = plain((more - less) / (4.0 * mean))
    return result


def coefficient_from_short(frequency_open: Values, frequency_short: Values) -> float | Array:
    """Coefficient of coupling [1] from resonances of the first coil, the second open and shorted.

    k = sqrt(1 - (f_open/f_short)^2).

    Args:
        frequency_open, frequency_short: with the same capacitor across the first coil [Hz].

    Raises:
        InputError: a short that lowers the frequency.

    Accuracy: of a second coil of Q2 the short cancels 1 part in Q2^2 less; the capacitance across an open second coil
        lowers f_open as k^2 times the square of that frequency over the second coil's own resonance.
    """
    open_, short = (
        require_positive("frequency_open", frequency_open),
        require_positive("frequency_short", frequency_short),
    )
    if np.any(short < open_):
        raise InputError("frequency_short", "must be no less than the frequency with the second coil open")
    result: float | Array = plain(np.sqrt((short - open_) * (short + open_)) / short)
    return result


def fit_series(
    aiding: npt.ArrayLike,
    opposing: npt.ArrayLike,
    first: npt.ArrayLike,
    second: npt.ArrayLike,
    relative_uncertainty: float | None = None,
) -> Estimate:
    """The "first", "second" and "mutual" [H] of two coils from inductances in series and by themselves.

    Four readings for three unknowns: aiding and opposing together must make twice the two coils' sum, and what they
    lack of it is shared out.

    Args:
        aiding, opposing, first, second: each one or more readings [H].
        relative_uncertainty: standard, of one reading, as a share of it [1]; None, and the scatter tells.

    Raises:
        InputError: a value not above zero, or no reading of one of the four.
    """
    rows: list[list[float]] = []
    readings: list[float] = []
    ways = (("aiding", aiding, [1.0, 1.0, 2.0]), ("opposing", opposing, [1.0, 1.0, -2.0]))
    for name, values, row in (*ways, ("first", first, [1.0, 0.0, 0.0]), ("second", second, [0.0, 1.0, 0.0])):
        found = np.atleast_1d(require_positive(name, values))
        if found.ndim != 1 or not found.size:
            raise InputError(name, "must be one reading at least")
        rows += [row] * found.size
        readings += found.tolist()
    names = ("first", "second", "mutual")
    sigma = np.array(readings)
    if relative_uncertainty is None:
        return fit_linear(rows, readings, sigma, names=names, stated=False)
    return fit_linear(
        rows, readings, sigma * require_positive("relative_uncertainty", relative_uncertainty), names=names
    )


def coefficient_of(values: npt.NDArray[np.generic]) -> Array:
    """Coefficient of coupling [1] of the three unknowns of `fit_series`, for its `derived`."""
    result: Array = values[2] / np.sqrt(values[0] * values[1])
    return result


def fit_short(
    frequency_open: npt.ArrayLike, frequency_short: npt.ArrayLike, relative_uncertainty: float | None = None
) -> Estimate:
    """The "square" of the coefficient of coupling [1], from pairs of resonances with the second coil open and shorted.

    The square, since it is what the readings tell in proportion: with loose coupling it may come out below zero.

    Args:
        frequency_open, frequency_short: [n] [Hz].
        relative_uncertainty: standard, of one frequency against the other, as a share [1]; None, and the scatter of two
            or more pairs tells.
    """
    open_ = np.atleast_1d(require_positive("frequency_open", frequency_open))
    short = np.atleast_1d(require_positive("frequency_short", frequency_short))
    if open_.ndim != 1 or open_.shape != short.shape:
        raise InputError("frequency_short", "must be one for each frequency with the second coil open")
    square = (short - open_) * (short + open_) / short**2
    table = np.ones((square.size, 1))
    if relative_uncertainty is None:
        return fit_linear(table, square, names=("square",))
    share = float(require_nonnegative("relative_uncertainty", relative_uncertainty))
    middle = max(1.0 - float(np.mean(square)), 1e-12)
    return fit_linear(table, square, 2.0 * math.sqrt(2.0) * share * middle, names=("square",))
