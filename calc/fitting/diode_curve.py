"""A diode's saturation current, ideality and bulk resistance from readings of current and voltage.

The voltage is taken as a function of the current, v = n kT/q ln(1 + i/Is) + i Rs: it has one value for every current,
and is straight in two of its unknowns. Forward readings only: backwards, leakage of the surface rules.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from calc.constants import BOLTZMANN, ELEMENTARY_CHARGE
from calc.fitting.estimate import Estimate
from calc.fitting.measured import Measured
from calc.fitting.shared import Shared, fit_shared
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive

_VOLTS_PER_KELVIN = BOLTZMANN / ELEMENTARY_CHARGE
_MOST_EXPONENT = 60.0
"""ln of the greatest current over Is: a silicon junction of 1e-15 A at 1 A has 35."""
_EXPONENTS = np.arange(-1.0, 36.0, 2.0)
"""Among which the search begins."""


def forward_voltage(
    current: Values, saturation_current: Values, ideality: Values, temperature: Values, series_resistance: Values = 0.0
) -> Array | float:
    """Voltage of a diode at a current: n kT/q ln(1 + i/Is) + i Rs [V].

    The inverse of the law of `calc.detectors.Diode`, bulk included.

    Args:
        current: not below zero, any shape [A].
        saturation_current: Is, any shape [A].
        ideality: n, any shape [-].
        temperature: any shape [K].
        series_resistance: Rs of the bulk, any shape [ohm].

    Raises:
        InputError: a value is out of its range.
    """
    flowing = require_nonnegative("current", current)
    scale = require_positive("ideality", ideality) * _VOLTS_PER_KELVIN * require_positive("temperature", temperature)
    bulk = require_nonnegative("series_resistance", series_resistance)
    return plain(
        scale * np.log1p(flowing / require_positive("saturation_current", saturation_current)) + flowing * bulk
    )


@dataclass(frozen=True)
class Bench:
    """How a diode's current and voltage were read.

    Attributes:
        temperature: of the diode [K].
        temperature_uncertainty: standard [K].
        voltage_uncertainty: of each reading by itself, standard [V].
        current_uncertainty: of each reading by itself, standard, over the reading [-].
        voltage_scale: of the voltmeter's scale, the same in all readings, standard [-].
        current_scale: likewise of the ammeter's [-].
        voltmeter: its resistance, if it stands across the diode alone, so that the ammeter's reading holds its current
            too; infinite where it does not [ohm].
    """

    temperature: float
    temperature_uncertainty: float = 0.0
    voltage_uncertainty: float = 1e-4
    current_uncertainty: float = 0.0
    voltage_scale: float = 0.0
    current_scale: float = 0.0
    voltmeter: float = np.inf

    def __post_init__(self) -> None:
        for name in ("temperature", "voltage_uncertainty"):
            require_positive(name, getattr(self, name))
        for name in ("temperature_uncertainty", "current_uncertainty", "voltage_scale", "current_scale"):
            require_nonnegative(name, getattr(self, name))
        if not self.voltmeter > 0.0:
            raise InputError("voltmeter", "must be greater than zero")


@dataclass(frozen=True)
class DiodeCurve:
    """What readings tell of a diode.

    Attributes:
        estimate: the fit; unknowns "exponent" (ln of the first reading's current over Is), "ideality" and, where it is
            looked for, "series_resistance", and the shared errors.
        current, voltage: as read [A], [V].
        reference: current to which "exponent" belongs [A].
        temperature: of the diode [K].
        given_resistance: of the bulk, where it was not looked for; else None [ohm].
    """

    estimate: Estimate
    current: Array
    voltage: Array
    reference: float
    temperature: float
    given_resistance: float | None

    def _derived(self, function: Any) -> Measured:
        return self.estimate.derived(function)

    def _kelvin(self, values: npt.NDArray[Any]) -> Any:
        names = self.estimate.names
        return values[names.index("temperature")] if "temperature" in names else self.temperature

    @cached_property
    def log_saturation_current(self) -> Measured:
        """ln(Is / 1 A): the estimate is even about it, and not about Is itself."""
        return self._derived(lambda values: np.log(self.reference) - values[0])

    @cached_property
    def saturation_current(self) -> float:
        """Is [A]."""
        return float(np.exp(self.log_saturation_current.value))

    @property
    def ideality(self) -> Measured:
        """n [-]."""
        return self.estimate["ideality"]

    @cached_property
    def thermal_voltage(self) -> Measured:
        """n kT/q [V]: what the readings tell of n before a temperature is brought in."""
        return self._derived(lambda values: values[1] * _VOLTS_PER_KELVIN * self._kelvin(values))

    @property
    def series_resistance(self) -> Measured:
        """Rs of the bulk [ohm]; sure, where it was given."""
        if self.given_resistance is not None:
            return Measured(self.given_resistance, 0.0)
        return self.estimate["series_resistance"]

    @cached_property
    def log_zero_bias_resistance(self) -> Measured:
        """ln of n kT / (q Is) over one ohm: the slope resistance at no voltage."""
        return self._derived(
            lambda values: np.log(values[1] * _VOLTS_PER_KELVIN * self._kelvin(values) / self.reference) + values[0]
        )

    @property
    def residuals(self) -> Array:
        """Voltages read, less those of the curve [V]."""
        return self.estimate.residuals[: self.voltage.size]

    @property
    def standardised(self) -> Array:
        """The same over their own standard deviations [-]."""
        return self.estimate.standardised[: self.voltage.size]

    def at(self, current: Values) -> Array | float:
        """Voltage of the curve at currents through the diode [V]."""
        flowing = np.asarray(current, dtype=np.float64)
        bulk = self.series_resistance.value
        return plain(self.thermal_voltage.value * np.log1p(flowing / self.saturation_current) + flowing * bulk)


def fit_diode(
    current: npt.ArrayLike, voltage: npt.ArrayLike, bench: Bench, series_resistance: float | None = None
) -> DiodeCurve:
    """Saturation current and ideality, and the bulk's resistance if it is not given, from forward readings.

    Args:
        current: as read [A], [n].
        voltage: across the diode [V], [n]. Two readings at least, or three where the bulk is looked for.
        bench: how they were read.
        series_resistance: Rs of the bulk where it is known [ohm]; None to look for it.

    Returns:
        The curve with all that is known of its sureness.

    Raises:
        InputError: too few readings, one not forward, or readings that do not go as a diode's.

    Accuracy: as `calc.fitting.fit`: first order in the readings' uncertainties.
    """
    flowing, across = (np.atleast_1d(require_positive(*pair)) for pair in (("current", current), ("voltage", voltage)))
    sought = 2 if series_resistance is not None else 3
    if np.unique(flowing).size < sought:
        raise InputError("current", f"must have {sought} different values or more")
    if flowing.shape != across.shape:
        raise InputError("voltage", "must be as many as the currents")
    through = flowing - across / bench.voltmeter
    if np.any(through <= 0.0):
        raise InputError("voltmeter", "would take all the current of a reading: its resistance must be greater")
    given = None if series_resistance is None else float(require_nonnegative("series_resistance", series_resistance))
    reference = float(through.max())
    begin = _start(through, across, reference, bench, given)

    def model(unknowns: npt.NDArray[Any], shared: npt.NDArray[Any]) -> Any:
        scale, bulk = _scale_and_bulk(unknowns, shared, given)
        true = flowing / shared[2] - across / shared[1] / bench.voltmeter
        return shared[1] * (scale * np.log1p(true / reference * np.exp(unknowns[0])) + true * bulk)

    def uncertainty(unknowns: Array, shared: Array) -> Array:
        scale, bulk = _scale_and_bulk(unknowns, shared, given)
        saturation = reference * np.exp(-np.clip(unknowns[0], -_MOST_EXPONENT, _MOST_EXPONENT))
        steepness = scale / (through + saturation) + bulk
        # a voltage read too high also takes too much from the current of the ammeter
        upright = (1.0 + steepness / bench.voltmeter) * bench.voltage_uncertainty
        return np.hypot(upright, steepness * flowing * bench.current_uncertainty)

    names = ("exponent", "ideality") if given is not None else ("exponent", "ideality", "series_resistance")
    shared = (
        Shared("temperature", bench.temperature, bench.temperature_uncertainty),
        Shared("voltage_scale", 1.0, bench.voltage_scale),
        Shared("current_scale", 1.0, bench.current_scale),
    )
    try:
        found = fit_shared(model, begin, across, uncertainty, shared, names)
    except InputError:
        # what was typed is in order by now: nothing like a diode comes near enough for a fit to settle
        raise InputError("voltage", _NOT_A_DIODE) from None
    if not (found.values[1] > 0.0 and -3.0 < found.values[0] < _MOST_EXPONENT):
        raise InputError("voltage", _NOT_A_DIODE)
    return DiodeCurve(found, flowing, across, reference, bench.temperature, given)


_NOT_A_DIODE = "must bend as a diode's does: rise by about the same for each doubling of the current"


def _scale_and_bulk(unknowns: Any, shared: Any, given: float | None) -> tuple[Any, Any]:
    """n kT/q, and the bulk's resistance."""
    return unknowns[1] * _VOLTS_PER_KELVIN * shared[0], unknowns[2] if given is None else given


def _start(through: Array, across: Array, reference: float, bench: Bench, given: float | None) -> Array:
    """Where the search begins: the best of many saturation currents, the other unknowns worked out for each."""
    bends = _VOLTS_PER_KELVIN * bench.temperature * np.log1p(through / reference * np.exp(_EXPONENTS)[:, None])
    target = across if given is None else across - through * given
    own, rest = bends, target
    if given is None:
        # what a straight line in the current cannot do
        along = through / math.sqrt(through @ through)
        own, rest = bends - (bends @ along)[:, None] * along, target - (target @ along) * along
    strength = (own**2).sum(axis=1)
    idealities = np.divide(own @ rest, strength, out=np.zeros_like(strength), where=strength > 0.0)
    costs = ((rest - idealities[:, None] * own) ** 2).sum(axis=1)
    best = int(np.argmin(np.where(idealities > 0.0, costs, np.inf)))
    if not idealities[best] > 0.0:
        raise InputError("voltage", _NOT_A_DIODE)
    begin = [_EXPONENTS[best], idealities[best]]
    if given is None:
        begin.append((target - idealities[best] * bends[best]) @ through / (through @ through))
    return np.array(begin)
