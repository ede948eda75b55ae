"""Bands, channels, and the coil and capacitor that cover them.

A tuned circuit of inductance L and total capacitance C is in tune at f = 1 / (2 pi sqrt(L C)). The total capacitance
is the variable capacitor's own and whatever stands across it: wiring, the coil's self-capacitance, the detector, the
aerial as it appears through the link. Those strays set the top of the band and seldom appear on the parts list.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc import tables
from calc.constants import TWO_PI
from calc.tuning_capacitor import straightened, unstraightened
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_nonnegative,
    require_positive,
)


@dataclass(frozen=True)
class ChannelPlan:
    """The channels of a broadcasting band.

    Attributes:
        key, name: its word in addresses, and its name.
        first, last, step: carrier frequencies of the first and the last channel and their spacing [Hz].
        low, high: edges of the band [Hz].
    """

    key: str
    name: str
    first: float
    last: float
    step: float
    low: float
    high: float

    def channels(self) -> Array:
        """Carrier frequencies of all channels [Hz], [n]."""
        count = round((self.last - self.first) / self.step) + 1
        return np.asarray(self.first + self.step * np.arange(count), dtype=np.float64)

    def nearest(self, frequency: float) -> float:
        """The channel nearest to a frequency [Hz]; the first or last for frequencies outside the band."""
        index = round((float(require_positive("frequency", frequency)) - self.first) / self.step)
        return min(max(self.first + self.step * index, self.first), self.last)


@cache
def channel_plans() -> Mapping[str, ChannelPlan]:
    """The published channel plans by key. Source: calc/data/channel_plans.csv."""
    numbers = ("first", "last", "step", "band_low", "band_high")
    plans = (
        ChannelPlan(row["key"], row["name"], *(1e3 * float(row[column]) for column in numbers))
        for row in tables.read("channel_plans")
    )
    return {plan.key: plan for plan in plans}


def resonant_frequency(inductance: Values, capacitance: Values) -> Array | float:
    """Frequency at which a lossless L and C are in tune, 1 / (2 pi sqrt(L C)) [Hz].

    Args:
        inductance: [H], any shape.
        capacitance: [F], broadcasts with it.

    Raises:
        InputError: a value is not finite and positive.
    """
    product = require_positive("inductance", inductance) * require_positive("capacitance", capacitance)
    return plain(1.0 / (TWO_PI * np.sqrt(product)))


def inductance_for(frequency: Values, capacitance: Values) -> Array | float:
    """Inductance that a capacitance tunes to a frequency, 1 / ((2 pi f)^2 C) [H].

    Args:
        frequency: [Hz], any shape.
        capacitance: total, strays included [F], broadcasts with it.

    Raises:
        InputError: a value is not finite and positive.
    """
    turning = TWO_PI * require_positive("frequency", frequency)
    return plain(1.0 / (turning**2 * require_positive("capacitance", capacitance)))


def capacitance_for(frequency: Values, inductance: Values) -> Array | float:
    """Total capacitance that tunes an inductance to a frequency, 1 / ((2 pi f)^2 L) [F].

    Args:
        frequency: [Hz], any shape.
        inductance: [H], broadcasts with it.

    Raises:
        InputError: a value is not finite and positive.
    """
    turning = TWO_PI * require_positive("frequency", frequency)
    return plain(1.0 / (turning**2 * require_positive("inductance", inductance)))


def tuning_ratio(least: Values, most: Values, strays: Values = 0.0) -> Array | float:
    """Highest over lowest frequency that a variable capacitor reaches, sqrt((most + strays) / (least + strays)).

    Args:
        least, most: the capacitor's own range [F].
        strays: what stands across it [F].

    Raises:
        InputError: a value is not finite, least is not above zero, strays are negative, or most is not above least.
    """
    strays = require_nonnegative("strays", strays)
    least, most = _capacitor(least, most)
    return plain(np.sqrt((most + strays) / (least + strays)))


def inductance_for_band(low: float, high: float, least: float, most: float, strays: float = 0.0) -> float:
    """The coil that lays a band on a variable capacitor [H].

    The range sqrt((most + strays)/(least + strays)) is laid so that what it reaches beyond the band, or lacks of it,
    is the same ratio at both ends.

    Args:
        low, high: edges of the band [Hz].
        least, most: the capacitor's own range [F].
        strays: what stands across it [F].

    Raises:
        InputError: a value is out of its range, or high is not above low.
    """
    low, high = float(require_positive("low", low)), float(require_positive("high", high))
    if high <= low:
        raise InputError("high", "must be above the lower edge")
    tuning_ratio(least, most, strays)
    middle_capacitance = float(np.sqrt((most + strays) * (least + strays)))
    return float(inductance_for(np.sqrt(low * high), middle_capacitance))


def coverage(inductance: Values, least: Values, most: Values, strays: Values = 0.0) -> tuple[Array, Array]:
    """Lowest and highest frequency that a coil and a variable capacitor reach [Hz].

    Args:
        inductance: [H].
        least, most: the capacitor's own range [F].
        strays: what stands across it [F].

    Raises:
        InputError: as for `tuning_ratio`.
    """
    tuning_ratio(least, most, strays)
    least, most = _capacitor(least, most)
    strays = require_nonnegative("strays", strays)
    lowest = resonant_frequency(inductance, most + strays)
    highest = resonant_frequency(inductance, least + strays)
    return lowest, highest  # type: ignore[return-value]


_KIND_OF_LAW = {"capacitance": "semicircular", "wavelength": "wavelength", "frequency": "frequency"}

CAPACITOR_LAWS = tuple(_KIND_OF_LAW)
"""What falls in a straight line as the knob turns: the shape of the plates decides it."""


def dial_position(capacitance: Values, least: float, most: float, law: str = "capacitance") -> Array | float:
    """Where a variable capacitor stands for a capacitance: 0 with its plates out, 1 with its plates in.

    Args:
        capacitance: the capacitor's own, without strays [F], any shape. Outside least to most the position lies
            outside 0 to 1, so that the caller sees by how much the dial is missed; below zero capacitance is refused
            for the laws that take its root.
        least, most: the capacitor's range [F].
        law: "capacitance" for half-round plates, "wavelength" for square-law plates, "frequency" for plates cut to
            give equal steps of frequency; each is the law of the capacitor by itself.

    Raises:
        InputError: a value is out of its range or the law is not known.
    """
    low, high = _ends(least, most, law)
    return plain((straightened(_KIND_OF_LAW[law], capacitance) - low) / (high - low))


def capacitance_at(position: Values, least: float, most: float, law: str = "capacitance") -> Array | float:
    """The variable capacitor's own capacitance at a position from 0, plates out, to 1, plates in [F].

    The inverse of `dial_position`, with the same arguments and errors.
    """
    low, high = _ends(least, most, law)
    turned = require_between("position", position, 0.0, 1.0)
    return plain(unstraightened(_KIND_OF_LAW[law], low + turned * (high - low)))


def _ends(least: Values, most: Values, law: str) -> tuple[Array, Array]:
    """What goes in a straight line under a law, at both ends of the capacitor's range."""
    if law not in _KIND_OF_LAW:
        raise InputError("law", f"must be one of {', '.join(CAPACITOR_LAWS)}")
    low, high = (straightened(_KIND_OF_LAW[law], end) for end in _capacitor(least, most))
    return low, high


def _capacitor(least: Values, most: Values) -> tuple[Array, Array]:
    """A variable capacitor's range, checked."""
    least, most = require_positive("least", least), require_positive("most", most)
    if not np.all(most > least):
        raise InputError("most", "must be above the least capacitance")
    return least, most
