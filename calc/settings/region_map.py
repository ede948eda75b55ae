"""A map of couplings against tunings: which station is in the clear where."""

from collections.abc import Sequence
from enum import IntEnum
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.detection import CYCLE_POINTS
from calc.receiver import Receiver, Station
from calc.settings.knobs import Adjustment
from calc.settings.levels import CLEAR_SEPARATION, may_be_loudest, sound_levels
from calc.settings.tuned import Dial, District, offer
from calc.units import Array, InputError, Values, require_finite, require_positive


class Region(IntEnum):
    """What is heard at a place of the map."""

    OFF_THE_DIAL = 0
    SILENT = 1
    MIXED = 2
    CLEAR = 3


class RegionMap(NamedTuple):
    """What is heard at each place; arrays of [couplings, tunings].

    Attributes:
        region: a `Region` by number.
        loudest: place of the loudest station in the list.
        margin: its level over the floor [dB].
        second: place of the next loudest; -1 where there is no other.
        separation: of the loudest from it [dB]; infinite where there is no other.
    """

    region: npt.NDArray[np.intp]
    loudest: npt.NDArray[np.intp]
    margin: Array
    second: npt.NDArray[np.intp]
    separation: Array

    @classmethod
    def joined(cls, parts: "Sequence[RegionMap]") -> "RegionMap":
        """Maps of couplings that follow each other, as one."""
        if not parts:
            raise InputError("parts", "must hold one map at least")
        return cls(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def region_map(
    receiver: Receiver,
    stations: Sequence[Station],
    adjustment: Adjustment,
    couplings: Values,
    tunings: Values,
    dial: Dial | None = None,
    separation: float = CLEAR_SEPARATION,
    others: Sequence[float] = (),
    cycle_points: int = CYCLE_POINTS,
) -> RegionMap:
    """What is heard at each of some couplings, the set tuned to each of some frequencies.

    A caller that wants to show how far it has come asks for a few couplings at a time and joins the maps.

    Args:
        receiver: the set; values inside link and tank are scalars or arrays of [tunings, 1].
        stations: of the district.
        adjustment: the link, whose first knob is varied.
        couplings: [couplings].
        tunings: frequencies tuned to [Hz], [tunings].
        dial: the variable capacitor; None for one that reaches all.
        separation: that puts a station in the clear [dB].
        others: values of the link's other knobs.
        cycle_points: as for `calc.detection.detect`; 3 are within 0.005 dB at a depth of 30 %.

    Raises:
        InputError: as for `calc.settings.sweep.trade_off`.
    """
    district = District.of(stations)
    require_finite("separation", separation)
    rest = [np.asarray(value, dtype=np.float64) for value in others]
    swept = require_positive(adjustment.coupling.name, couplings).reshape(-1, 1, 1)
    set_ = adjustment.apply(receiver, swept, *rest)
    source, reached = offer(set_, district, require_positive("tunings", tunings).ravel(), dial)
    nobody = np.zeros(source.open_voltage.shape, dtype=np.bool_)
    keep = may_be_loudest(set_, source, district.modulation, nobody, count=2) & reached[..., None]
    levels = sound_levels(set_, source, district.modulation, keep, cycle_points)
    loudest, level = _greatest(levels)
    np.put_along_axis(levels, loudest[..., None], -np.inf, axis=-1)
    second, second_level = _greatest(levels)
    alone = np.isneginf(second_level)
    apart = np.where(alone, np.inf, level - np.where(alone, 0.0, second_level))
    clear = (apart >= separation) | (second_level < receiver.floor)
    region = np.where(clear, Region.CLEAR, Region.MIXED)
    region = np.where(level < receiver.floor, Region.SILENT, region)
    return RegionMap(
        np.where(reached, region, Region.OFF_THE_DIAL).astype(np.intp),
        loudest,
        level - receiver.floor,
        np.where(alone, -1, second),
        apart,
    )


def _greatest(levels: Array) -> tuple[npt.NDArray[np.intp], Array]:
    """Place and value of the greatest along the last axis."""
    place = levels.argmax(axis=-1)
    return place, np.take_along_axis(levels, place[..., None], axis=-1)[..., 0]
