"""Sound levels of the stations that matter: the wanted one and whichever may be the loudest other.

The detector is the dear part of a set's arithmetic. What a source can come to in it lies between two bounds that cost
next to nothing, and a station that cannot be the loudest other by these bounds is left out.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.detection import CYCLE_POINTS, load_line
from calc.detectors.envelope import Sidebands
from calc.receiver import Receiver, Source, hear
from calc.settings.tuned import Booleans, Offer, changed_values
from calc.units import Array, require_finite

_SLACK, _SLACK_ON_LOAD = 10.0 ** (-1.5 / 20.0), 10.0 ** (-3.0 / 20.0)
"""Allowed for what the bounds leave out: the bend of a deep modulation; on a load by-pass, sidebands, clipping too."""

_MOST_CREST = 50.0
"""Drive beyond which cosh would tell no more."""


def sound_levels(
    receiver: Receiver, source: Source, modulation: Array, keep: Booleans, cycle_points: int = CYCLE_POINTS
) -> Array:
    """Levels of some of the sources in the earphone [dB SPL]; minus infinity for the others.

    Args:
        receiver: the set; values inside diode, earphone and load broadcast with [..., tunings, stations].
        source: what its tank offers, [..., tunings, stations].
        modulation: [stations].
        keep: for which sources, [..., tunings, stations].
        cycle_points: of the modulation at which the detector is solved, as for `calc.detection.detect`.
    """
    shape = source.open_voltage.shape
    index = np.flatnonzero(keep)

    def kept(values: npt.ArrayLike) -> npt.NDArray[np.generic]:
        return np.broadcast_to(values, shape).reshape(-1)[index]

    bands = source.sidebands
    heard = hear(
        replace(
            receiver,
            diode=changed_values(receiver.diode, kept),
            earphone=changed_values(receiver.earphone, kept),
            load=changed_values(receiver.load, kept),
        ),
        Source(
            source.capacitance,
            np.asarray(kept(source.open_voltage), dtype=np.float64),
            np.asarray(kept(source.impedance), dtype=np.complex128),
            None if bands is None else Sidebands(*(np.asarray(kept(part), dtype=np.complex128) for part in bands)),
        ),
        np.asarray(kept(modulation), dtype=np.float64),
        cycle_points,
    )
    found = np.full(shape, -np.inf)
    found.reshape(-1)[index] = heard.sound_level
    return found


def may_be_loudest(receiver: Receiver, source: Source, modulation: Array, apart: Booleans, count: int = 1) -> Booleans:
    """Which sources may be among the `count` loudest, those `apart` not counted; [..., tunings, stations].

    What stands across the detector depends on its input resistance. That lies between the diode's without signal and
    half the load's; and it is never less than a cosh-th of the former, cosh of the crest of the drive, which is more
    than a diode with its load shorted would bend. Level goes with the depth of modulation, and by one to two decibels
    for each of that voltage; so a source with less voltage and less modulated voltage than another is not louder.
    """
    line = load_line(receiver.earphone, receiver.load)
    thermal = np.asarray(receiver.diode.thermal_voltage)
    rest = np.asarray(receiver.diode.zero_bias_resistance)
    shift = np.exp(np.abs(line.bias) / thermal)
    crest = np.sqrt(2.0) * (1.0 + modulation) * source.open_voltage / thermal
    bent = rest / shift / np.cosh(np.minimum(crest, _MOST_CREST))
    low = np.maximum(np.minimum(rest / shift, 0.5 / np.maximum(line.direct, line.audio)), bent)
    least = source.open_voltage / np.abs(1.0 + source.impedance / low)
    lighter = np.minimum(line.direct, line.audio)
    half = np.divide(0.5, lighter, out=np.full(np.shape(lighter), np.inf), where=lighter > 0.0)
    high = np.maximum((rest + np.asarray(receiver.diode.series_resistance)) * shift, half)
    most = source.open_voltage / np.abs(1.0 + source.impedance / high)
    order = np.where(apart, -1.0, modulation * least**2)
    if count >= order.shape[-1]:
        return np.asarray(~apart)
    rival = np.argpartition(order, -count, axis=-1)[..., -count, None]
    bound = np.take_along_axis(least, rival, axis=-1)
    depth = modulation / np.maximum(modulation[rival], np.finfo(np.float64).tiny)
    ratio = np.divide(most, bound, out=np.full(most.shape, np.inf), where=bound > 0.0)
    kept = depth * np.maximum(ratio, ratio**2) >= (_SLACK if receiver.load is None else _SLACK_ON_LOAD)
    kept |= order >= np.take_along_axis(order, rival, axis=-1)
    return np.asarray(kept & ~apart)


CLEAR_SEPARATION = 20.0
"""Decibels that all others must be down for a station to be in the clear, unless told otherwise."""


class Aim(NamedTuple):
    """What puts a station in the clear: all others so many decibels down; or, if the floor counts, it being over the
    floor with all others below.

    Attributes:
        separation: [dB].
        floor_counts: whether that other way is one.
    """

    separation: float = CLEAR_SEPARATION
    floor_counts: bool = True


class Judged(NamedTuple):
    """Wanted stations, the set tuned to each: arrays of [..., wanted].

    Attributes:
        level: of the wanted station [dB SPL].
        margin: over the floor [dB].
        rival: place of the loudest other in the list of stations; -1 where there is none.
        rival_level: its level [dB SPL]; minus infinity where there is none.
        separation: of the wanted station from it [dB]; infinite where there is none.
        capacitance: across the tank [F].
        reached: whether the set can be tuned there; the rest is as with its capacitor at nothing where not.
    """

    level: Array
    margin: Array
    rival: npt.NDArray[np.intp]
    rival_level: Array
    separation: Array
    capacitance: Array
    reached: Booleans

    def clearance(self, aim: Aim) -> Array:
        """By how much each is in the clear [dB]: minus infinity off the dial."""
        by_separation = self.separation - require_finite("separation", aim.separation)
        if aim.floor_counts:
            below = np.where(np.isfinite(self.separation), self.separation - self.margin, np.inf)
            by_separation = np.maximum(by_separation, np.minimum(below, self.margin))
        return np.where(self.reached, by_separation, -np.inf)


def judge(
    receiver: Receiver,
    offer: Offer,
    modulation: Array,
    wanted: npt.NDArray[np.intp],
    cycle_points: int = CYCLE_POINTS,
) -> Judged:
    """What is heard of each wanted station against the loudest other.

    Args:
        receiver: the set.
        offer: with it tuned to each wanted station.
        modulation: of all stations, [stations].
        wanted: places of the wanted stations, [wanted].
        cycle_points: as for `calc.detection.detect`.
    """
    source = offer.source
    own = np.zeros((wanted.size, modulation.size), dtype=np.bool_)
    own[np.arange(wanted.size), wanted] = True
    own = np.broadcast_to(own, source.open_voltage.shape)
    keep = own if modulation.size == 1 else own | may_be_loudest(receiver, source, modulation, own)
    levels = sound_levels(receiver, source, modulation, keep, cycle_points)
    level = levels[own].reshape(source.open_voltage.shape[:-1])
    others = np.where(own, -np.inf, levels)
    rival = others.argmax(axis=-1)
    rival_level = np.take_along_axis(others, rival[..., None], axis=-1)[..., 0]
    alone = np.isneginf(rival_level)
    separation = np.where(alone, np.inf, level - np.where(alone, 0.0, rival_level))
    return Judged(
        level,
        level - receiver.floor,
        np.where(alone, -1, rival),
        rival_level,
        separation,
        np.broadcast_to(source.capacitance, level.shape),
        offer.reached,
    )
