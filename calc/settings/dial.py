"""The dial as it is turned: one capacitance across the tank, and all that is heard with it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from calc.constants import TWO_PI
from calc.coupling import AerialAt, Tuning, tuned_capacitance
from calc.detection import Heard
from calc.receiver import separations
from calc.sets import Receiver, Station, hear, terminals
from calc.settings.tuned import District, offered
from calc.units import Array, InputError, Values, require_positive

_LOOKED_AT = np.geomspace(0.1, 3.0, 72)
"""Of the frequency of coil and capacitance alone: an aerial's capacitance may bring it far down, coupled coils up."""

_BETWEEN = np.linspace(0.0, 1.0, 257)[:, None]
"""Places between two frequencies with a root between them, where to look next."""

_ABOUT, _INNER = 6, slice(1, 5)
"""Places about a root through which its frequency is taken as a polynomial, and those through which it is to be nearly
the same."""

_NEARLY = 1e-10
"""Of a frequency: by so little they may differ, the longer polynomial being far better than that."""

_NARROW = 1e-12
"""Of a frequency: between bounds that are so near to each other nothing more is looked for."""


def tuned_frequency(
    receiver: Receiver, capacitance: float, turned_to: Callable[[Array], Receiver] | None = None
) -> float:
    """The frequency to which a set is tuned when so much capacitance stands across its tank.

    It undoes `calc.coupling.tune`: the tank's greatest voltage at that frequency comes with that capacitance. Where
    the aerial has a resonance of its own there may be several, on either side of it; it is the one at which the
    detector's terminals get most.

    Args:
        receiver: the set, with scalars inside; its aerial must answer a third to ten times the frequency (see
            `calc.settings.stand_ins.tabulated`).
        capacitance: across the tank, strays and all [F].
        turned_to: gives the set with its coils' losses at frequencies of any shape [Hz]; None where those of
            `receiver` do.

    Returns:
        Frequency [Hz].

    Raises:
        InputError: capacitance is not above zero, or the set is tuned nowhere with it.

    Accuracy: one part in 10**11.
    """
    total = float(require_positive("capacitance", capacitance))
    alone = 1.0 / (TWO_PI * np.sqrt(float(np.asarray(receiver.tank.inductance).item()) * total))

    def excess(frequency: Array) -> Array:
        set_ = receiver if turned_to is None else turned_to(frequency)
        aerial = AerialAt(frequency, set_.aerial)
        link, _ = set_.link.tuned(frequency, aerial)
        needed = tuned_capacitance(frequency, aerial, link, set_.tank, detector_tap=set_.detector_tap)
        return np.asarray(total - needed)

    looked_at = alone * _LOOKED_AT
    rise = excess(looked_at)
    places = np.flatnonzero((rise[:-1] < 0.0) & (rise[1:] >= 0.0))
    if not places.size:
        raise InputError("capacitance", "tunes this set nowhere in the range that was looked over")
    found = _root(excess, looked_at[places], looked_at[places + 1])
    if found.size == 1:
        return float(found[0])
    each = found[:, None]
    set_ = receiver if turned_to is None else turned_to(each)
    gain = np.abs(terminals(set_, _tuning(set_, total, each), each)[0])
    return float(found[int(np.argmax(gain))])


def _root(rising: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Where a function crosses zero, rising, between each pair of bounds; few calls for many places."""
    while True:
        places = low + _BETWEEN * (high - low)
        heights = rising(places)
        after = np.maximum(np.argmax(heights >= 0.0, axis=0), 1)
        first = np.minimum(np.maximum(after - _ABOUT // 2, 0), len(_BETWEEN) - _ABOUT)
        about = first + np.arange(_ABOUT)[:, None]
        found, nearly = _crossing(np.take_along_axis(places, about, axis=0), np.take_along_axis(heights, about, axis=0))
        each = np.arange(low.size)
        low, high = places[after - 1, each], places[after, each]
        sure = (found >= low) & (found <= high) & (np.abs(found - nearly) < _NEARLY * low)
        if np.all(sure | (high - low < _NARROW * low)):
            return np.where(sure, found, low)


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # of heights that do not rise, which gives no number
def _crossing(places: Array, heights: Array) -> tuple[Array, Array]:
    """Where polynomials through places as functions of their heights are at height zero, [n] each: through all of
    [places, n], and through the inner ones."""
    apart = heights[:, None] - heights
    share = np.where(np.eye(_ABOUT, dtype=bool)[..., None], 1.0, heights[:, None] / apart)
    inner = share[_INNER, _INNER].prod(axis=0)
    return (share.prod(axis=0) * places).sum(axis=0), (inner * places[_INNER]).sum(axis=0)


def _tuning(receiver: Receiver, capacitance: float, frequency: Array | float) -> Tuning:
    """The set with its tank's capacitance given, and whatever stands before it tuned to a frequency, or to each of
    some, [tunings, 1]."""
    link, reached = receiver.link.tuned(frequency, receiver.aerial)
    return Tuning(link, replace(receiver.tank, capacitance=np.full((1, 1), capacitance)), reached)


class AtDial(NamedTuple):
    """What is heard with the dial where it is.

    Attributes:
        frequency: tuned to [Hz].
        heard: of each station by itself, arrays of [stations].
        level, margin, separation: of each station: in the earphone [dB SPL], over the floor, over the loudest other
            (infinite where there is none) [dB].
        response: volts across the detector per volt of e.m.f. at the frequencies of the curve [dB]; the detector loads
            the tank as it does on the loudest station.
    """

    frequency: float
    heard: Heard
    level: Array
    margin: Array
    separation: Array
    response: Array


def at_dial(
    receiver: Receiver,
    stations: Sequence[Station],
    capacitance: float,
    curve: Values = (),
    tuned_to: float | None = None,
) -> AtDial:
    """What is heard of every station with so much capacitance across the tank.

    Of two tuned circuits the first is taken as tuned to where the tank is.

    Args:
        receiver: the set, with scalars inside; its aerial as for `tuned_frequency`.
        stations: of the district.
        capacitance: across the tank, strays and all [F].
        curve: frequencies at which the response is wanted [Hz].
        tuned_to: the answer of `tuned_frequency`, if it is known.

    Raises:
        InputError: as for `tuned_frequency`, or there is no station.
    """
    district = District.of(stations)
    frequency = tuned_frequency(receiver, capacitance) if tuned_to is None else tuned_to
    tuning = _tuning(receiver, float(require_positive("capacitance", capacitance)), frequency)
    heard = hear(receiver, offered(receiver, district, tuning).source, district.modulation)
    heard = Heard(*(np.asarray(part)[0] for part in heard))
    at = require_positive("curve", curve).ravel()
    response = np.zeros(0)
    if at.size:
        load = heard.input_resistance[int(np.argmax(heard.sound_level))]
        transfer, impedance = terminals(receiver, tuning, at)
        response = 20.0 * np.log10(np.abs(transfer / (1.0 + impedance / load)))[0]
    level = heard.sound_level
    return AtDial(frequency, heard, level, level - receiver.floor, separations(level), response)
