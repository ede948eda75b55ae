"""The trade-off: loudness against separation as the coupling goes from closest to loosest."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.coupling import bandwidth
from calc.detection import CYCLE_POINTS
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
    cycle_points: int = CYCLE_POINTS,
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
        cycle_points: as for `calc.detection.detect`; `FEW_CYCLE_POINTS` there says what fewer cost.

    Raises:
        InputError: there is no station, a place is not in the list, or the link has no coupling to vary.

    Accuracy: at the couplings asked for, that of `calc.receiver.listen`. The points that were looked for lie where a
    straight line between neighbouring couplings, over the logarithm, puts them (with 60 of them within 0.05 dB), or at
    a step of a knob that has steps; what is heard there is worked out.
    """
    district = District.of(stations)
    rows = wanted_rows(wanted, len(stations))
    knob = adjustment.coupling
    swept = knob.spaced(POINTS) if couplings is None else require_positive("couplings", couplings).ravel()
    base = for_rows(receiver, rows, len(stations))
    rest = [np.asarray(value, dtype=np.float64) for value in others]

    def at(values: Array) -> Judged:
        set_ = adjustment.apply(base, values, *rest)
        offered = offer(set_, district, district.frequency[rows], dial)
        return judge(set_, offered, district.modulation, rows, cycle_points)

    judged = at(swept[:, None, None])
    clearance = judged.clearance(Aim(separation, floor_counts))
    heard = np.where(judged.reached, judged.margin, -np.inf)
    between = not knob.steps
    clear = [_crossing(swept, curve, False, between) for curve in (*clearance.T, clearance.min(axis=1))]
    faint = [_crossing(swept, curve, True, between) for curve in (*heard.T, heard.min(axis=1))]
    first, second = _points([clear, faint], at)
    return TradeOff(swept, rows, judged, clearance, tuple(first[:-1]), tuple(second[:-1]), first[-1], second[-1])


class _Place(NamedTuple):
    coupling: float
    at_end: bool


def _crossing(couplings: Array, curve: Array, last: bool, between: bool) -> _Place | None:
    """The first (or last) coupling at which a curve is not below zero, between the couplings or one of them; None where
    there is none."""
    above = np.flatnonzero(curve >= 0.0)
    if not above.size:
        return None
    here, step = (int(above[-1]), 1) if last else (int(above[0]), -1)
    beyond = here + step
    if not 0 <= beyond < couplings.size:
        return _Place(float(couplings[here]), True)
    if not (between and np.isfinite(curve[beyond]) and np.isfinite(curve[here])):
        return _Place(float(couplings[here]), False)
    share = float(curve[here] / (curve[here] - curve[beyond]))
    return _Place(float(couplings[here] * (couplings[beyond] / couplings[here]) ** share), False)


def _points(places: Sequence[Sequence[_Place | None]], at: Callable[[Array], Judged]) -> list[list[Point | None]]:
    """What is heard at couplings that were found: rows of one place a wanted station, and one for all of them."""
    count = len(places[0]) - 1
    values = np.ones((2 * len(places), count))
    for row, found in enumerate(places):
        own = [place.coupling if place else np.nan for place in found]
        values[2 * row], values[2 * row + 1] = own[:-1], own[-1]
    known = np.isfinite(values)
    if not known.any():
        return [[None] * len(found) for found in places]
    heard = at(np.where(known, values, values[known][0])[..., None])
    points = []
    for row, found in enumerate(places):
        parts = [(2 * row, slice(column, column + 1)) for column in range(count)] + [(2 * row + 1, slice(None))]
        points.append([place and _point(place, heard, part) for place, part in zip(found, parts, strict=True)])
    return points


def _point(place: _Place, heard: Judged, part: tuple[int, slice]) -> Point:
    apart = float(heard.separation[part].min())
    return Point(
        place.coupling,
        float(heard.level[part].min()),
        float(heard.margin[part].min()),
        apart if np.isfinite(apart) else None,
        place.at_end,
    )


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
