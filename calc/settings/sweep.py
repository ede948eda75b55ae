"""The trade-off: loudness against separation as the coupling goes from closest to loosest."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.coupling import bandwidth
from calc.receiver import Receiver, Station
from calc.settings.knobs import Adjustment
from calc.settings.levels import CLEAR_SEPARATION, Aim, Judged, judge
from calc.settings.tuned import Dial, District, for_rows, offer, wanted_rows
from calc.units import Array, Values, require_positive

POINTS = 60
"""Couplings of a sweep, unless told otherwise."""


class Point(NamedTuple):
    """A coupling that was looked for, and what is heard there.

    Attributes:
        coupling: closeness of coupling, in the unit of the link's own.
        level: of the wanted station, of the faintest of several [dB SPL].
        margin: over the floor [dB].
        separation: from the loudest other, the least of several; None where there is no other [dB].
        at_end: whether it is the end of the sweep and might lie beyond.
    """

    coupling: float
    level: float
    margin: float
    separation: float | None
    at_end: bool


class TradeOff(NamedTuple):
    """What each coupling gives.

    Attributes:
        couplings: from closest to loosest, [couplings].
        wanted: places of the wanted stations, [wanted].
        judged: what is heard of each at each coupling, [couplings, wanted].
        clearance: by how much each is in the clear [dB], [couplings, wanted]; minus infinity off the dial.
        clear_from: for each wanted station the closest coupling at which it is in the clear; None where there is
            none.
        heard_to: the loosest at which it is over the floor; None where there is none.
        all_clear_from, all_heard_to: the same for all wanted stations at once.
    """

    couplings: Array
    wanted: npt.NDArray[np.intp]
    judged: Judged
    clearance: Array
    clear_from: tuple[Point | None, ...]
    heard_to: tuple[Point | None, ...]
    all_clear_from: Point | None
    all_heard_to: Point | None


def trade_off(
    receiver: Receiver,
    stations: Sequence[Station],
    adjustment: Adjustment,
    wanted: Sequence[int] | None = None,
    couplings: Values | None = None,
    dial: Dial | None = None,
    separation: float = CLEAR_SEPARATION,
    others: Sequence[float] = (),
    floor_counts: bool = True,
) -> TradeOff:
    """The set tuned to each wanted station, at couplings from closest to loosest.

    Args:
        receiver: the set; values inside link and tank are scalars or arrays of [stations, 1], a row for each station
            tuned to.
        stations: of the district.
        adjustment: the link, whose first knob is swept.
        wanted: places of the wanted stations in the list; None for all.
        couplings: from closest to loosest; None for equal ratios between the knob's ends.
        dial: the variable capacitor; None for one that reaches all.
        separation: that puts a station in the clear [dB].
        others: values of the link's other knobs.
        floor_counts: whether a station over the floor is in the clear as well where all others are below it.

    Raises:
        InputError: there is no station, a place is not in the list, or the link has no coupling to vary.

    Accuracy: at the couplings asked for, that of `calc.receiver.listen`. The points that were looked for lie where a
    straight line between neighbouring couplings, over the logarithm, puts them; what is heard there is worked out.
    """
    district = District.of(stations)
    rows = wanted_rows(wanted, len(stations))
    knob = adjustment.coupling
    swept = knob.spaced(POINTS) if couplings is None else require_positive("couplings", couplings).ravel()
    base = for_rows(receiver, rows, len(stations))
    rest = [np.asarray(value, dtype=np.float64) for value in others]

    def at(values: Array) -> Judged:
        set_ = adjustment.apply(base, values, *rest)
        return judge(set_, offer(set_, district, district.frequency[rows], dial), district.modulation, rows)

    judged = at(swept[:, None, None])
    clearance = judged.clearance(Aim(separation, floor_counts))
    heard = np.where(judged.reached, judged.margin, -np.inf)
    curves = np.concatenate(
        [clearance, clearance.min(axis=1, keepdims=True), heard, heard.min(axis=1, keepdims=True)], axis=1
    )
    count = rows.size + 1
    places = [_crossing(swept, curve, last=column >= count) for column, curve in enumerate(curves.T)]
    points = _points(places, at)
    return TradeOff(
        swept,
        rows,
        judged,
        clearance,
        tuple(points[: rows.size]),
        tuple(points[count:-1]),
        points[rows.size],
        points[-1],
    )


def _crossing(couplings: Array, curve: Array, last: bool) -> tuple[float, bool] | None:
    """The first (or last) coupling at which a curve is not below zero, and whether it is an end of the sweep; None
    where there is none."""
    above = np.flatnonzero(curve >= 0.0)
    if not above.size:
        return None
    here, step = (int(above[-1]), 1) if last else (int(above[0]), -1)
    beyond = here + step
    if not 0 <= beyond < couplings.size:
        return float(couplings[here]), True
    if not np.isfinite(curve[beyond]):
        return float(couplings[here]), False
    share = 1.0 if curve[here] == np.inf else float(curve[here] / (curve[here] - curve[beyond]))
    ratio = float(couplings[beyond] / couplings[here])
    return float(couplings[here]) * ratio ** (0.0 if curve[here] == np.inf else share), False


def _points(places: list[tuple[float, bool] | None], at: Callable[[Array], Judged]) -> list[Point | None]:
    """What is heard at some couplings: of one wanted station after the other, then of all, and this twice over."""
    found = [index for index, place in enumerate(places) if place is not None]
    if not found:
        return [None] * len(places)
    values = np.array([place[0] for place in places if place is not None])
    heard = at(values[:, None, None])
    count = len(places) // 2
    points: list[Point | None] = [None] * len(places)
    for row, index in enumerate(found):
        column = index % count
        own = slice(column, column + 1) if column < count - 1 else slice(None)
        apart = float(heard.separation[row, own].min())
        ended = places[index]
        points[index] = Point(
            float(values[row]),
            float(heard.level[row, own].min()),
            float(heard.margin[row, own].min()),
            apart if np.isfinite(apart) else None,
            ended is not None and ended[1],
        )
    return points


def bandwidths(receiver: Receiver, adjustment: Adjustment, couplings: Values, frequency: float) -> Array:
    """Width of the curve between half-power points at each coupling, no detector on it, tuned to a frequency.

    Args:
        receiver: the set, with scalars inside.
        adjustment: the link.
        couplings: [couplings].
        frequency: tuned to [Hz].

    Returns:
        [couplings] [Hz]; infinite where the curve is too broad to have a width.

    Raises:
        InputError: as for `calc.coupling.bandwidth`.
    """
    set_ = adjustment.apply(receiver, require_positive("couplings", couplings).ravel())
    return np.asarray(bandwidth(frequency, set_.aerial, set_.link, set_.tank, detector_tap=set_.detector_tap))
