"""The best setting: all wanted stations apart by so many decibels, and the faintest of them as loud as can be.

What is sought is the greatest least margin where nothing wanted is short of being in the clear. Along the coupling
both change steeply, and the best place mostly lies where separation just suffices; so each choice of the other knobs is
judged by its best coupling, the line between neighbouring couplings giving the place where separation suffices. From a
coarse grid the search closes in on the best choice. A last search along the coupling alone leaves nothing to the line.
"""

from collections.abc import Sequence
from itertools import product
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from calc import progress
from calc.constants import TWO_PI
from calc.receiver import Receiver, Station
from calc.settings.knobs import Adjustment, Knob
from calc.settings.levels import CLEAR_SEPARATION, Aim, Judged, judge
from calc.settings.tuned import Dial, District, for_rows, lies_above, offer, wanted_rows
from calc.units import Array

_COUPLINGS = 48
_COARSE = {1: 12, 2: 7}
"""Places of each further knob to begin with, by how many there are; fewer where there are more."""
_FINE, _FINE_COUPLINGS, _ROUNDS = 5, 11, 7
_LAST_COUPLINGS, _LAST_ROUNDS = 9, 5
_HAIR = 1e-9
"""By which a setting must be clear in the search, so that it is so still when worked out by itself [dB]."""
_NOT_CLEAR, _OFF_DIAL = -1e4, -1e6
"""What a setting is worth that is not in the clear, or not on the dial: below any that is [dB]."""
_WORTH_A_LOOK, _STARTS = 6.0, 3
"""Another peak of the coarse grid so little below the highest may yet be higher [dB]; and how many are looked at."""
_WORTH_ALONG = 1.0
"""The same where the coupling is all that is turned, and known closely at once [dB]."""


class Obstacle(NamedTuple):
    """What is in the way, at the setting that comes nearest.

    Attributes:
        kind: "above the dial" or "below the dial": no setting brings all wanted stations on it; "too near": the pair
            cannot be separated; "too faint": separated, but below the floor.
        station: place of the wanted station that fails first.
        rival: place of the station that it cannot be separated from; -1 where that is not what is wrong.
        separation: the most that was reached for that pair [dB]; None where that is not what is wrong.
        spacing: of the pair's carriers [Hz]; None likewise.
        quality: Q of the tank's coil by itself at the wanted station.
        margin: of that station over the floor, there [dB]; None off the dial.
        at_loosest: whether the coupling stands at the loosest that the link allows.
    """

    kind: Literal["above the dial", "below the dial", "too near", "too faint"]
    station: int
    rival: int
    separation: float | None
    spacing: float | None
    quality: float
    margin: float | None
    at_loosest: bool


class Best(NamedTuple):
    """The best that a link can do.

    Attributes:
        adjustment: the link.
        values: of its knobs, by name.
        judged: what is heard of each wanted station there, arrays of [wanted].
        least_margin: of the faintest over the floor [dB].
        least_clearance: by how much the least clear is in the clear [dB]; infinite for a station alone, minus infinity
            off the dial.
        obstacle: what keeps the wanted stations from being separated and heard; None where nothing does.
    """

    adjustment: Adjustment
    values: dict[str, float]
    judged: Judged
    least_margin: float
    least_clearance: float
    obstacle: Obstacle | None

    @property
    def is_clear(self) -> bool:
        """Whether all wanted stations are on the dial and in the clear."""
        return self.least_clearance >= 0.0


def best_settings(
    receiver: Receiver,
    stations: Sequence[Station],
    adjustments: Sequence[Adjustment],
    wanted: Sequence[int] | None = None,
    dial: Dial | None = None,
    separation: float = CLEAR_SEPARATION,
    floor_counts: bool = True,
) -> list[Best]:
    """The best setting of each of some links, the best link first.

    Args:
        receiver: the set; values inside link and tank are scalars or arrays of [stations, 1], a row for each station
            tuned to.
        stations: of the district.
        adjustments: the links that are at hand.
        wanted: places of the wanted stations in the list; None for all.
        dial: the variable capacitor; None for one that reaches all.
        separation: that puts a station in the clear [dB].
        floor_counts: whether a station over the floor is in the clear as well where all others are below it.

    Raises:
        InputError: as for `calc.settings.sweep.trade_off`.

    Accuracy: within 0.1 dB of the best of a fine grid, where there is none much narrower than a step of the coarse
    one.
    """
    district = District.of(stations)
    rows = wanted_rows(wanted, len(stations))
    base = for_rows(receiver, rows, len(stations))
    aim = Aim(separation, floor_counts)
    found = [_Search(base, district, rows, one, dial, aim).best() for one in progress.steps(adjustments)]
    return sorted(found, key=lambda best: (best.obstacle is not None, not best.is_clear, -_worth(best)))


def _worth(best: Best) -> float:
    return best.least_margin if best.is_clear else best.least_clearance


class _Along(NamedTuple):
    """The best place along the coupling for each choice of the other knobs, [choices]."""

    worth: Array
    place: Array


class _Search:
    """The search with one link. Knobs are turned by the logarithms of their values."""

    def __init__(
        self,
        receiver: Receiver,
        district: District,
        rows: npt.NDArray[np.intp],
        adjustment: Adjustment,
        dial: Dial | None,
        aim: Aim,
    ) -> None:
        self.receiver, self.district, self.rows = receiver, district, rows
        self.adjustment, self.dial, self.aim = adjustment, dial, aim
        self.knobs = adjustment.knobs
        ends = np.log([[knob.closest, knob.loosest] for knob in self.knobs]).reshape(-1, 2)
        self.low, self.high = ends.min(axis=1), ends.max(axis=1)

    def _set(self, points: Array) -> Receiver:
        """The set at settings of [settings, knobs]."""
        values = [_snapped(knob, column)[:, None, None] for knob, column in zip(self.knobs, points.T, strict=True)]
        return self.adjustment.apply(self.receiver, *values)

    def judged(self, points: Array) -> Judged:
        """What is heard at settings of [settings, knobs]."""
        set_ = self._set(points)
        offered = offer(set_, self.district, self.district.frequency[self.rows], self.dial)
        return judge(set_, offered, self.district.modulation, self.rows)

    def best(self) -> Best:
        """The best setting, and what is in its way."""
        if not self.knobs:
            return self._told(np.zeros((1, 0)), np.zeros((0, self.rows.size)))
        couplings = np.linspace(self.low[0], self.high[0], _COUPLINGS)
        count = _COARSE.get(len(self.knobs) - 1, 5)
        axes = [
            np.unique(np.log(_snapped(knob, np.linspace(low, high, count))))
            for knob, low, high in zip(self.knobs[1:], self.low[1:], self.high[1:], strict=True)
        ]
        choices = _grid(axes)
        margin, clearance, judged = self._figures(couplings, choices)
        along = _along(couplings, margin, clearance)
        step = float(couplings[1] - couplings[0])
        reach = np.array([axis[1] - axis[0] if axis.size > 1 else 0.0 for axis in axes])
        first = int(np.argmax(along.worth))
        starts = [(choices[first], float(along.place[first]))]
        worths = _worths(margin, clearance)
        less = _WORTH_A_LOOK if axes or along.worth[first] < _NOT_CLEAR / 2 else _WORTH_ALONG
        peaks = _peaks(worths.reshape(*(axis.size for axis in axes), couplings.size), less)
        for choice, coupling in zip(
            *np.unravel_index(np.array(peaks, dtype=np.intp), (len(choices), couplings.size)), strict=True
        ):
            start = choices[choice], float(couplings[coupling])
            if len(starts) < _STARTS and all(_are_apart(start, one, reach, step) for one in starts):
                starts.append(start)
        ends = [self._closed_in(*start, reach, step) for start in progress.steps(starts)]
        point = max(ends, key=lambda end: end[0])[1]
        needed = np.broadcast_to(judged.capacitance, judged.level.shape)
        return self._told(point[None], np.where(judged.reached, np.nan, needed))

    def _closed_in(self, choice: Array, place: float, reach: Array, step: float) -> tuple[float, Array]:
        """The best setting about one, and what it is worth."""
        if choice.size:
            window = max(step, float(reach.max()))
            for _ in range(_ROUNDS):
                axes = [
                    np.unique(np.clip(np.linspace(centre - far, centre + far, _FINE), low, high))
                    for centre, far, low, high in zip(choice, reach, self.low[1:], self.high[1:], strict=True)
                ]
                choices = _grid(axes)
                couplings = self._couplings(place, window, _FINE_COUPLINGS)
                along = _along(couplings, *self._figures(couplings, choices)[:2])
                first = int(np.argmax(along.worth))
                choice, place = choices[first], float(along.place[first])
                step = 2.0 * window / (_FINE_COUPLINGS - 1)
                window, reach = 0.5 * window, 0.5 * reach
            step *= 2.0
        worth = -np.inf
        for _ in range(_LAST_ROUNDS):
            couplings = self._couplings(place, step, _LAST_COUPLINGS)
            values = _worths(*self._figures(couplings, choice[None])[:2])[0]
            first = int(np.argmax(values))
            worth, place = float(values[first]), float(couplings[first])
            step *= 2.0 / (_LAST_COUPLINGS - 1)
        return worth, np.array([place, *choice])

    def _couplings(self, place: float, window: float, count: int) -> Array:
        return np.clip(np.linspace(place - window, place + window, count), self.low[0], self.high[0])

    def _figures(self, couplings: Array, choices: Array) -> tuple[Array, Array, Judged]:
        """Least margin and least clearance, [choices, couplings], and all that is heard."""
        points = np.concatenate(
            [np.tile(couplings, len(choices))[:, None], np.repeat(choices, couplings.size, axis=0)], axis=1
        )
        judged = self.judged(points)
        shape = len(choices), couplings.size
        clearance = judged.clearance(self.aim).min(axis=-1) - _HAIR
        return judged.margin.min(axis=-1).reshape(shape), clearance.reshape(shape), judged

    def _told(self, point: Array, off_dial: Array) -> Best:
        """A setting with all that is heard there.

        Args:
            point: the setting, [1, knobs].
            off_dial: capacitance that was needed where a station was off the dial, NaN where it was not, [settings,
                wanted].
        """
        judged = self.judged(point)
        here = Judged(*(np.asarray(part).reshape(-1, self.rows.size)[0] for part in judged))
        clearance = here.clearance(self.aim)
        values = {knob.name: float(_snapped(knob, column)[0]) for knob, column in zip(self.knobs, point.T, strict=True)}
        loosest = bool(self.knobs) and bool(np.isclose(point[0, 0], np.log(self.knobs[0].loosest), rtol=0.0, atol=1e-4))
        obstacle = self._obstacle(point, here, clearance, off_dial, loosest)
        return Best(self.adjustment, values, here, float(here.margin.min()), float(clearance.min()), obstacle)

    def _obstacle(
        self, point: Array, here: Judged, clearance: Array, off_dial: Array, at_loosest: bool
    ) -> Obstacle | None:
        if not here.reached.all():
            missing = np.vstack([off_dial, np.where(here.reached, np.nan, here.capacitance)])
            times = np.isfinite(missing).sum(axis=0)
            worst = int(np.argmax(np.where(here.reached, -1, times)))
            above = lies_above(self._set(point), self.district.frequency[self.rows], self.dial)
            is_above = bool(above.reshape(-1)[worst])
            kind: Literal["above the dial", "below the dial"] = "above the dial" if is_above else "below the dial"
            return Obstacle(kind, int(self.rows[worst]), -1, None, None, self._quality(worst), None, at_loosest)
        worst = int(np.argmin(clearance))
        station = int(self.rows[worst])
        if clearance[worst] < 0.0:
            rival = int(here.rival[worst])
            carriers = self.district.frequency
            spacing = abs(float(carriers[station] - carriers[rival]))
            return Obstacle(
                "too near",
                station,
                rival,
                float(here.separation[worst]),
                spacing,
                self._quality(worst),
                float(here.margin[worst]),
                at_loosest,
            )
        worst = int(np.argmin(here.margin))
        if here.margin[worst] < 0.0:
            margin = float(here.margin[worst])
            return Obstacle(
                "too faint", int(self.rows[worst]), -1, None, None, self._quality(worst), margin, at_loosest
            )
        return None

    def _quality(self, row: int) -> float:
        tank = self.receiver.tank
        shape = (self.rows.size, 1)
        resistance = np.broadcast_to(np.asarray(tank.resistance, dtype=np.float64), shape)[row, 0]
        reactance = TWO_PI * self.district.frequency[self.rows[row]] * np.broadcast_to(tank.inductance, shape)[row, 0]
        return float(reactance / resistance) if resistance > 0.0 else np.inf


def _grid(axes: Sequence[Array]) -> Array:
    """All combinations of values, [combinations, axes]; one of nothing where there is no axis."""
    return np.array(list(product(*axes)), dtype=np.float64).reshape(-1 if axes else 1, len(axes))


def _snapped(knob: Knob, logarithms: Array) -> Array:
    """Values of a knob, the nearest of its steps where it has steps."""
    if not knob.steps:
        return np.clip(np.exp(logarithms), min(knob.closest, knob.loosest), max(knob.closest, knob.loosest))
    steps = np.array(knob.steps)
    return steps[np.abs(np.log(steps) - logarithms[:, None]).argmin(axis=1)]


def _worths(margin: Array, clearance: Array) -> Array:
    """What settings are worth: their least margin in the clear; else the nearer to it the more."""
    short = np.where(np.isfinite(clearance), _NOT_CLEAR + clearance, _OFF_DIAL)
    return np.where(clearance >= 0.0, margin, short)


def _along(couplings: Array, margin: Array, clearance: Array) -> _Along:
    """The best place along the coupling for each choice of the other knobs, from least margins and least clearances of
    [choices, couplings]."""
    worths = _worths(margin, clearance)
    first = np.argmax(worths, axis=1)
    own = np.arange(len(margin))
    worth, place = worths[own, first], couplings[first]
    one, other = clearance[:, :-1], clearance[:, 1:]
    turns = np.isfinite(one) & np.isfinite(other) & ((one >= 0.0) != (other >= 0.0))
    if np.any(turns):
        fall = np.subtract(one, other, out=np.ones(one.shape), where=turns)
        share = np.where(turns, one, 0.0) / fall
        there = np.where(turns, margin[:, :-1] + share * np.diff(margin, axis=1), -np.inf)
        most = np.argmax(there, axis=1)
        crossed = couplings[most] + share[own, most] * np.diff(couplings)[most]
        place = np.where(there[own, most] > worth, crossed, place)
        worth = np.maximum(worth, there[own, most])
    return _Along(worth, place)


def _peaks(worth: Array, less: float) -> list[int]:
    """Places in a grid, flattened, that no neighbour is above, and which are so little below the best; the best first.
    None where all of it is off the dial."""
    if worth.max() <= _OFF_DIAL:
        return []
    padded = np.pad(worth, 1, constant_values=-np.inf)
    inner = [slice(1, size + 1) for size in worth.shape]
    top = np.ones(worth.shape, dtype=np.bool_)
    for steps in product((-1, 0, 1), repeat=worth.ndim):
        beside = tuple(slice(part.start + step, part.stop + step) for part, step in zip(inner, steps, strict=True))
        top &= worth >= padded[beside]
    found = np.flatnonzero(top & (worth > worth.max() - less))
    return [int(place) for place in found[np.argsort(-worth.ravel()[found], kind="stable")]]


def _are_apart(one: tuple[Array, float], other: tuple[Array, float], reach: Array, step: float) -> bool:
    """Whether two settings are further from each other than the search about one of them looks at first."""
    window = max([step, *reach])
    return abs(one[1] - other[1]) > window or bool(np.any(np.abs(one[0] - other[0]) > 1.01 * reach))
