"""What to change first: single changes of a set, each by what it brings in loudness and in separation."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from calc.progress import steps
from calc.receiver import Receiver, Station
from calc.settings.levels import Judged, judge
from calc.settings.tuned import Booleans, Dial, District, for_rows, offer, wanted_rows
from calc.units import Array, InputError


@dataclass(frozen=True)
class Change:
    """One change of a set.

    Attributes:
        name: what is changed.
        effort: in words.
        receiver: the set with it.
        stations: of the district, if the change bears on them; None for those of the set as it is.
        dial: likewise.
    """

    name: str
    effort: str
    receiver: Receiver
    stations: Sequence[Station] | None = None
    dial: Dial | None = None


class Gain(NamedTuple):
    """What a change brings, the set tuned anew to each wanted station.

    Attributes:
        change: which.
        loudness: of the faintest wanted station's margin over the floor, whichever that is before and after [dB];
            infinite from silence to sound, minus infinity the other way.
        separation: of the least separation [dB]; None where no station has a rival.
        loudness_of, separation_of: of each wanted station by itself, [wanted] [dB]; NaN where one of the two is not on
            the dial, for the separation also where it has no rival.
        judged: what is heard with the change, arrays of [wanted].
        reaches_all: whether all wanted stations are on the dial with it.
    """

    change: Change
    loudness: float
    separation: float | None
    loudness_of: Array
    separation_of: Array
    judged: Judged
    reaches_all: bool


def judged_as_tuned(
    receiver: Receiver, stations: Sequence[Station], wanted: Sequence[int] | None = None, dial: Dial | None = None
) -> Judged:
    """What is heard of each wanted station, the set tuned to it: arrays of [wanted].

    Args:
        receiver: the set; values inside link and tank are scalars or arrays of [stations, 1].
        stations: of the district.
        wanted: places of the wanted stations in the list; None for all.
        dial: the variable capacitor; None for one that reaches all.

    Raises:
        InputError: there is no station, or a place is not in the list.
    """
    district = District.of(stations)
    rows = wanted_rows(wanted, len(stations))
    base = for_rows(receiver, rows, len(stations))
    return judge(base, offer(base, district, district.frequency[rows], dial), district.modulation, rows)


def gains(
    receiver: Receiver,
    stations: Sequence[Station],
    changes: Sequence[Change],
    wanted: Sequence[int] | None = None,
    dial: Dial | None = None,
) -> list[Gain]:
    """What each of some changes brings, the one that brings most loudness first; those that lose a station last.

    Args:
        receiver, stations, wanted, dial: the set as it is, as for `judged_as_tuned`.
        changes: each alone.

    Raises:
        InputError: a change has another number of stations; or as for `judged_as_tuned`.
    """
    before = judged_as_tuned(receiver, stations, wanted, dial)
    found = [_gain(before, change, stations, wanted, dial) for change in steps(changes)]
    return sorted(found, key=lambda gain: (not gain.reaches_all, -gain.loudness))


def _gain(
    before: Judged, change: Change, stations: Sequence[Station], wanted: Sequence[int] | None, dial: Dial | None
) -> Gain:
    district = stations if change.stations is None else change.stations
    if len(district) != len(stations):
        raise InputError("changes", f"must leave as many stations as there are: {change.name} does not")
    after = judged_as_tuned(change.receiver, district, wanted, dial if change.dial is None else change.dial)
    both = before.reached & after.reached
    rivals = both & np.isfinite(before.separation) & np.isfinite(after.separation)
    shared = both if both.any() else np.ones_like(both)
    return Gain(
        change=change,
        loudness=_rise(float(before.margin[shared].min()), float(after.margin[shared].min())),
        separation=float(after.separation[rivals].min() - before.separation[rivals].min()) if rivals.any() else None,
        loudness_of=_difference(before.margin, after.margin, both),
        separation_of=_difference(before.separation, after.separation, rivals),
        judged=after,
        reaches_all=bool(after.reached.all()),
    )


def _rise(before: float, after: float) -> float:
    """Of two levels, either of which may be silence; none from silence to silence."""
    return 0.0 if before == after else after - before


def _difference(before: Array, after: Array, counted: Booleans) -> Array:
    return np.subtract(after, before, out=np.full(before.shape, np.nan), where=counted)
