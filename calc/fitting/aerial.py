"""An aerial by what it does to a tuned circuit: the shift tells its capacitance, the broadening its resistance.

At each frequency the aerial with its earth, and a small capacitor in its lead if there is one, is an admittance across
the circuit. It adds C = Im Y/omega to the capacitance and G = Re Y to the loss; a circuit of capacitance C and loss G
is G/(2 pi C) wide between half-power points.
"""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.fitting.estimate import Estimate, fit
from calc.fitting.measured import Measured
from calc.units import Array, InputError, require_nonnegative, require_positive

_MOST = 1e-6
"""No aerial has so much capacitance [F]: readings that lead there contradict each other."""


class Added(NamedTuple):
    """What was seen at each frequency, as shares of the circuit's own capacitance, which may be known less surely.

    Attributes:
        frequency: with the aerial joined [n] [Hz].
        capacitor: across the coil without the aerial, strays left out [n] [F].
        capacitance: added by the aerial [n]: as told by a retuned capacitor [F], or as share of the whole [1].
        width: added by the aerial's loss, of the circuit as it was without it [n] [Hz].
        capacitance_uncertainty, width_uncertainty: standard [n].
        shared: whether `capacitance` is a share of the whole.
    """

    frequency: Array
    capacitor: Array
    capacitance: Array
    width: Array
    capacitance_uncertainty: Array
    width_uncertainty: Array
    shared: bool


def added_when_retuned(
    frequency: npt.ArrayLike,
    capacitor_without: npt.ArrayLike,
    capacitor_with: npt.ArrayLike,
    width_without: npt.ArrayLike,
    width_with: npt.ArrayLike,
    capacitor_uncertainty: float,
    width_uncertainty: float,
) -> Added:
    """What the aerial added, where the frequency was left and the capacitor retuned.

    Args:
        frequency: [n] [Hz].
        capacitor_without, capacitor_with: settings in tune, without the aerial and with it [n] [F].
        width_without, width_with: between half-power points [n] [Hz].
        capacitor_uncertainty: standard, of one setting [F].
        width_uncertainty: standard, of one width, as a share of it [1].

    Raises:
        InputError: a value out of range, or lists that do not match.
    """
    at, before, after, narrow, wide = _lists(
        frequency=frequency,
        capacitor_without=capacitor_without,
        capacitor_with=capacitor_with,
        width_without=width_without,
        width_with=width_with,
    )
    spread = float(require_positive("capacitor_uncertainty", capacitor_uncertainty))
    share = float(require_positive("width_uncertainty", width_uncertainty))
    return Added(
        frequency=at,
        capacitor=before,
        capacitance=before - after,
        width=wide - narrow,
        capacitance_uncertainty=np.full(at.shape, np.sqrt(2.0) * spread),
        width_uncertainty=share * np.hypot(narrow, wide),
        shared=False,
    )


def added_when_shifted(
    frequency_without: npt.ArrayLike,
    frequency_with: npt.ArrayLike,
    capacitor: npt.ArrayLike,
    width_without: npt.ArrayLike,
    width_with: npt.ArrayLike,
    frequency_uncertainty: float,
    width_uncertainty: float,
) -> Added:
    """What the aerial added, where the capacitor was left and the frequency followed.

    The coil is taken to keep its Q over the shift, so that its loss across the circuit goes as one over frequency.

    Args:
        frequency_without, frequency_with: of resonance, without the aerial and with it [n] [Hz].
        capacitor: setting, the same for both [n] [F].
        width_without, width_with: between half-power points [n] [Hz].
        frequency_uncertainty: standard, of one frequency of resonance, as a share of it [1].
        width_uncertainty: standard, of one width, as a share of it [1].

    Raises:
        InputError: a value out of range, or lists that do not match.
    """
    before, after, across, narrow, wide = _lists(
        frequency_without=frequency_without,
        frequency_with=frequency_with,
        capacitor=capacitor,
        width_without=width_without,
        width_with=width_with,
    )
    share = float(require_positive("frequency_uncertainty", frequency_uncertainty))
    of_width = float(require_positive("width_uncertainty", width_uncertainty))
    ratio = before / after
    return Added(
        frequency=after,
        capacitor=across,
        capacitance=(ratio - 1.0) * (ratio + 1.0),
        width=wide * ratio**2 - narrow * ratio,
        capacitance_uncertainty=2.0 * np.sqrt(2.0) * share * ratio**2,
        width_uncertainty=of_width * np.hypot(wide * ratio**2, narrow * ratio),
        shared=True,
    )


def _lists(**lists: npt.ArrayLike) -> list[Array]:
    found = [np.atleast_1d(require_positive(name, values)) for name, values in lists.items()]
    for name, values in zip(lists, found, strict=True):
        if values.ndim != 1 or values.shape != found[0].shape:
            raise InputError(name, f"must be one for each {next(iter(lists)).replace('_', ' ')}")
    return found


def fit_aerial(
    added: Added,
    strays: Measured,
    series_capacitance: Measured | None = None,
    with_inductance: bool = False,
) -> Estimate:
    """The "resistance" [ohm] and "capacitance" [F] of an aerial, and its "inductance" [H] if asked for.

    Args:
        added: what was seen, as `added_when_retuned` or `added_when_shifted` give it.
        strays: across the coil beside the capacitor, the coil's own capacitance included [F].
        series_capacitance: in the aerial's lead [F]; None where it was joined directly.
        with_inductance: whether to seek it too; wants two frequencies at least. Without, the capacitance is the
            apparent one, which the aerial's inductance makes larger than it is at low frequencies.

    Returns:
        Estimate of the unknowns; besides those asked for of "strays", and of "series_capacitance" if there is one:
        each is known by a reading of its own, as surely as was stated, and takes part in the fit. Its readings are
        capacitances, then widths, then these.

    Raises:
        InputError: a value out of range; an aerial that adds no capacitance; or an aerial through a capacitor that adds
            more than this.

    Accuracy: exact for that circuit. A real aerial's resistance changes with frequency, most of all near its resonance;
        over one band it is a mean.
    """
    known = [("strays", strays)] + ([] if series_capacitance is None else [("series_capacitance", series_capacitance)])
    for name, value in known:
        require_positive(name, value.value)
        require_nonnegative(name, value.uncertainty or 0.0)
    sure = {name: value.value for name, value in known if not value.uncertainty}
    told = [(name, value) for name, value in known if value.uncertainty]
    sought = ("resistance", "capacitance") + (("inductance",) if with_inductance else ())
    names = sought + tuple(name for name, _ in told)

    def model(unknown: npt.NDArray[Any]) -> npt.NDArray[Any]:
        value = dict(zip(names, unknown, strict=True))
        values = sure | value
        ahead = values.get("series_capacitance")
        omega = TWO_PI * added.frequency
        # real and imaginary part of 1/(r + jx), written out so that r and x may themselves be complex
        elastance = 1.0 / values["capacitance"] + (0.0 if ahead is None else 1.0 / ahead)
        loss, reactance = values["resistance"], omega * values.get("inductance", 0.0) - elastance / omega
        square = loss**2 + reactance**2
        whole = added.capacitor + values["strays"]
        capacitance = -reactance / square / omega
        seen = capacitance / whole if added.shared else capacitance
        return np.concatenate([seen, loss / square / (TWO_PI * whole), [value[name] for name, _ in told]])

    start = _start(added, strays.value, None if series_capacitance is None else series_capacitance.value)
    begin = [*start, *([1e-6] if with_inductance else []), *(each.value for _, each in told)]
    readings = np.concatenate([added.capacitance, added.width, [each.value for _, each in told]])
    sigma = np.concatenate(
        [added.capacitance_uncertainty, added.width_uncertainty, [each.uncertainty or 0.0 for _, each in told]]
    )
    estimate = fit(model, begin, readings, sigma, names=names)
    if not 0.0 < estimate["capacitance"].value < _MOST:
        raise InputError("capacitor_with", "must agree better: together they tell of no capacitance that could be")
    return estimate


def apparent(added: Added, strays: float, series_capacitance: float | None = None) -> tuple[Array, Array]:
    """Resistance [ohm] and capacitance [F] in series that the readings of each frequency by themselves tell of, [n].

    Not a number where a reading by itself tells of none: it adds no capacitance, or more than the lead's capacitor.

    Args:
        added, strays, series_capacitance: as for `fit_aerial`, values alone.

    Raises:
        InputError: no reading tells of any.
    """
    whole = added.capacitor + float(require_nonnegative("strays", strays))
    omega = TWO_PI * added.frequency
    joined = added.capacitance * (whole if added.shared else 1.0)
    adds = joined > 0.0
    if not np.any(adds):
        raise InputError("capacitor_with", "must be such that the aerial adds capacitance")
    impedance = 1.0 / (TWO_PI * whole * added.width + 1j * omega * np.where(adds, joined, 1.0))
    elastance = -impedance.imag * omega - (0.0 if series_capacitance is None else 1.0 / series_capacitance)
    good = adds & (elastance > 0.0)
    if not np.any(good):
        raise InputError(
            "series_capacitance", "must be more than what the aerial adds, since two in a row make less than either"
        )
    capacitance = 1.0 / np.where(good, elastance, 1.0)
    return np.where(good, impedance.real, np.nan), np.where(good, capacitance, np.nan)


def _start(added: Added, strays: float, series_capacitance: float | None) -> tuple[float, float]:
    resistance, capacitance = apparent(added, strays, series_capacitance)
    good = np.isfinite(resistance)
    typical = float(np.median(resistance[good]))
    return (typical if typical > 0.0 else 1.0), float(np.median(capacitance[good]))
