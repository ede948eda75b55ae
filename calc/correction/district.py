"""A district as it would be heard with sets, many of them at once, each tuned to every station in turn."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from calc.correction.model import Builder, built_together
from calc.sets import hear
from calc.settings.tuned import District, offer
from calc.units import Array


class HeardBy(NamedTuple):
    """What is heard with each set.

    Attributes:
        own_capacitance: what the variable capacitor itself must have for each station, within its range or not; below
            nothing where none would do [F], [..., stations].
        level: of each station (column) with the set tuned to each (row) [dB SPL], [..., stations, stations].
    """

    own_capacitance: Array
    level: Array


def heard_by(build: Builder, sets: Sequence[Sequence[float]], district: District) -> HeardBy:
    """The district as each of some sets would have it heard, [sets, ...].

    NaN for a set that cannot be.

    Args:
        build: makes a set.
        sets: unknowns of each, [sets, unknowns].
        district: the stations, [stations] each.

    Accuracy: that of `calc.sets.hear`.
    """
    count = district.frequency.size
    found = HeardBy(np.full((len(sets), count), np.nan), np.full((len(sets), count, count), np.nan))
    possible, built = built_together(build, sets, district.frequency)
    if built is not None:
        source = offer(built.receiver, district, district.frequency).source
        found.own_capacitance[possible] = source.capacitance - built.strays
        found.level[possible] = hear(built.receiver, source, district.modulation).sound_level
    return found
