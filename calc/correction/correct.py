"""Unknowns of a built set from its readings: the best fit, how sure it is, and the readings that do not belong."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from calc.correction.expansion import Expanded, Expansion
from calc.correction.model import Model
from calc.correction.readings import Kind
from calc.correction.unknowns import Unknown, values_at
from calc.fitting.estimate import Estimate, estimated
from calc.fitting.search import Search
from calc.progress import Rounds
from calc.units import Array, InputError

OUTLIER = 3.5
"""Standard deviations by which a reading lies off that is not of a piece with the others; one good one in 2000 is."""
_MOST_LEFT_OUT = 0.25
_FENCE = math.log(30.0)
"""How far an unknown is followed from what was entered, either way on its scale."""
_WIDENED = 16.0
"""Of all uncertainties of figures, where nothing fits them, to see which one is to blame."""
_MOST_ROUNDS = 60
"""Times that the model is worked out before a search is given up."""
_ROUGHLY = 1e-2
"""Share of the readings to which they are fitted at a time."""
_NEAR, _THERE = 3e-3, 1e-10
"""Doubt in an expansion, of what a place moved by one unit would change, with which it leads on and with which it is
good for the answer."""
_AT_REST = 1e-7
"""By so much places may still move when a fit has come to rest."""
_MOST_TURNS = 50
_USUAL_ROUNDS = 4
"""Times that the model is worked out for a fit that leaves nothing out."""
_DECIBEL = 20.0 / math.log(10.0)


@dataclass(frozen=True)
class Correction:
    """What readings have made of a set.

    Attributes:
        unknowns: what was sought.
        model: with all readings, those left out among them.
        estimate: of places on the unknowns' scales, then of offsets of the stations and of the ear.
        guided: whether what was entered counted as a reading.
        figures: as read, in the order of `Model.kinds`.
        uncertainty: standard, of each figure.
        before, after: the figures as the set entered and the set found would have them.
        left_out: places, in that order, of figures that do not fit and were left out.
        off: how far each figure lies from the set found, in standard deviations of its distance from what the others
            say [-].
        rates: of the figures with the unknowns' places, at the set found [figures, unknowns].
        offsets: which of the stations' and the ear's offsets each figure holds [figures, offsets].
        offset_uncertainty: of those [dB].
    """

    unknowns: tuple[Unknown, ...]
    model: Model
    estimate: Estimate
    guided: bool
    figures: Array
    uncertainty: Array
    before: Array
    after: Array
    left_out: tuple[int, ...]
    off: Array
    rates: Array
    offsets: Array
    offset_uncertainty: Array

    @property
    def places(self) -> Array:
        """Of the unknowns on their scales."""
        return self.estimate.values[: len(self.unknowns)]

    @cached_property
    def values(self) -> list[float]:
        """Of the unknowns, as found."""
        return values_at(self.unknowns, self.places)

    @cached_property
    def scatter(self) -> float:
        """By how much more the readings scatter than was stated, if that is no chance; else 1."""
        free = self.figures.size - len(self.left_out) - len(self.unknowns)
        if free < 1:
            return 1.0
        chance, found = self.estimate.chance, self.estimate.scatter
        return max(found, 1.0) if found is not None and chance is not None and chance < 0.01 else 1.0

    def spread(self, index: int) -> float:
        """Standard uncertainty of an unknown on its scale; infinite where nothing tells of it."""
        name = self.unknowns[index].name
        found = self.estimate[name].uncertainty
        return math.inf if found is None else found * self.scatter

    def interval(self, index: int) -> tuple[float, float] | None:
        """What holds an unknown with a chance of 95 %; None where nothing tells of it."""
        unknown, spread = self.unknowns[index], self.spread(index)
        if not spread < _FENCE:
            return None
        middle = float(self.places[index])
        return unknown.value(middle - 1.96 * spread), unknown.value(middle + 1.96 * spread)

    @cached_property
    def information(self) -> Array:
        """What the readings that count, and they alone, tell of the unknowns' places: the inverse of a covariance,
        stations and ear left free within their uncertainty [unknowns, unknowns]."""
        kept = _others(self.figures.size, self.left_out)
        rates, offsets = self.rates[kept], self.offsets[kept]
        noise = np.diag(self.uncertainty[kept] ** 2) + (offsets * self.offset_uncertainty**2) @ offsets.T
        found = rates.T @ np.linalg.solve(noise, rates)
        return np.asarray(0.5 * (found + found.T))


def expanded(model: Model, unknowns: Sequence[Unknown]) -> Expanded:
    """What would be read from a set, as a function of its unknowns' places: `Model.read_and_steepness` of one."""

    def read(places: Array) -> Array:
        return model.read_and_steepness([values_at(unknowns, row) for row in places])

    return Expanded(read)


def correct(
    model: Model,
    unknowns: Sequence[Unknown],
    guided: bool = True,
    leave_out: bool = True,
    known: Expanded | None = None,
) -> Correction:
    """The set that would have given the readings, as nearly as may be.

    The sum of ((figure - model)/uncertainty)^2 over all figures is made least. If `guided`, what was entered counts as
    a reading of each unknown, as loose as the unknown says. Each station's strength and the ear's threshold are sought
    with the rest, from what `Skill` says of them. Figures that lie more than `OUTLIER` off are left out, the worst
    first, a quarter of all at most.

    Args:
        model: the set and its readings.
        unknowns: what to find, in the order in which `model.build` takes them.
        guided: whether what was entered counts.
        leave_out: whether figures that do not fit may be left out.
        known: by `expanded`, of a model that differs in nothing but what was read and how surely; None to begin anew.

    Raises:
        InputError: fewer figures than unknowns, a set as entered that cannot be, or readings that no set fits.

    Accuracy: of the estimate to about 1e-6 of its uncertainty; uncertainties to first order.
    """
    problem = _Problem(model, tuple(unknowns), guided, expanded(model, unknowns) if known is None else known)
    most = int(_MOST_LEFT_OUT * problem.figures.size) if leave_out else 0
    left_out: list[int] = []
    start: Array | None = None
    while True:
        estimate, uncertainty, widened = problem.solved(left_out, start)
        start = estimate.values
        off = problem.off(estimate, uncertainty, left_out)
        counted = np.abs(off)
        counted[left_out] = 0.0
        if len(left_out) >= most or (widened == 1.0 and counted.max() <= OUTLIER):
            break
        left_out.append(int(np.argmax(counted)))
    if widened > 1.0:
        raise InputError("readings", "contradict each other: no set fits them")
    count = len(problem.unknowns)
    return Correction(
        unknowns=problem.unknowns,
        model=model,
        estimate=estimate,
        guided=guided,
        figures=problem.figures,
        uncertainty=uncertainty,
        before=problem.before,
        after=problem.read(estimate.values[:count]),
        left_out=tuple(sorted(left_out)),
        off=off,
        rates=problem.rates(estimate.values[:count]),
        offsets=problem.offsets,
        offset_uncertainty=problem.offset_uncertainty,
    )


def _others(count: int, left_out: Sequence[int]) -> npt.NDArray[np.intp]:
    """Of so many places those that are not left out."""
    return np.array([place for place in range(count) if place not in left_out], dtype=np.intp)


class _Problem:
    """Figures, a model of them, and what is sought."""

    def __init__(self, model: Model, unknowns: tuple[Unknown, ...], guided: bool, known: Expanded) -> None:
        self.model, self.unknowns, self.guided, self.known = model, unknowns, guided, known
        self.kinds = model.kinds
        self._rounds = Rounds(_USUAL_ROUNDS)
        if len(self.kinds) < len(unknowns) and not guided:
            raise InputError("readings", f"must be {len(unknowns)} figures or more, as many as are to be found")
        self.figures = np.array([self._figure(kind, place) for kind, place in self.kinds])
        self.offsets, self.offset_uncertainty = self._offsets()
        self.known.begin(_MOST_ROUNDS, self._rounds.begin)
        self.before = self.read(np.zeros(len(unknowns)))
        if not np.all(np.isfinite(self.before)):
            # a set that cannot be says itself why
            model.build([each.entered for each in unknowns], np.array([each.frequency for each in model.readings]))
            raise InputError("readings", "must be such that the set entered would hear something")

    def _figure(self, kind: Kind, place: int) -> float:
        reading = self.model.readings[place]
        if kind is Kind.DIAL:
            return reading.capacitance
        if kind is Kind.WIDTH:
            return self.model.skill.fall
        if kind is Kind.LOUDNESS:
            return float(reading.loudness or 0.0)
        return _DECIBEL * math.log(reading.current or 1.0)

    def _offsets(self) -> tuple[Array, Array]:
        """A column for each station's strength and one for the ear, where loudness or current was read."""
        skill, readings = self.model.skill, self.model.readings
        stations: dict[float, list[float]] = {}
        sizes = []
        for index, (kind, place) in enumerate(self.kinds):
            if kind in (Kind.LOUDNESS, Kind.CURRENT):
                one = readings[place]
                of_station = float(one.station) if one.station is not None else -one.frequency
                if of_station not in stations:
                    stations[of_station] = [0.0] * len(self.kinds)
                    sizes.append(skill.stranger_uncertainty if one.station is None else skill.field_uncertainty)
                stations[of_station][index] = 1.0
        columns = list(stations.values())
        if any(kind is Kind.LOUDNESS for kind, _ in self.kinds):
            columns.append([float(kind is Kind.LOUDNESS) for kind, _ in self.kinds])
            sizes.append(skill.ear_uncertainty)
        return np.array(columns).reshape(len(columns), len(self.kinds)).T, np.array(sizes)

    def read(self, places: Array) -> Array:
        """What would be read from the set at those places of its unknowns [figures]."""
        return self.known.about(places, _THERE).value_at(places)[: self.figures.size]

    def rates(self, places: Array) -> Array:
        """How that changes with them [figures, unknowns]."""
        return self.known.about(places, _THERE).rates_at(places)[: self.figures.size]

    def solved(self, left_out: Sequence[int], begin: Array | None) -> tuple[Estimate, Array, float]:
        """The estimate without some figures, each figure's uncertainty, and how far that had to be widened: readings
        that contradict each other have no best fit until they count for less beside what was entered."""
        try:
            return *self._solved(left_out, begin, 1.0), 1.0
        except InputError:
            if not self.guided:
                raise
        return *self._solved(left_out, None, _WIDENED), _WIDENED

    def _solved(self, left_out: Sequence[int], begin: Array | None, widened: float) -> tuple[Estimate, Array]:
        """The same with a widening, sought from a place that is near, if one is known: first by steps, each of which
        makes the fit better, then in one expansion after another until one holds where it leads to.

        Flanks are weighed as for the set found: how surely a fall is known hangs on how steeply it grows.
        """
        fit = _Fit(self, left_out, widened)
        self.known.begin(_MOST_ROUNDS, self._rounds.begin)
        begin = fit.start if begin is None else begin
        places, _ = fit.search(begin)[0].best(begin, _ROUGHLY)
        last = None
        for _ in range(_MOST_TURNS):
            own = places[: len(self.unknowns)]
            local = self.known.nearest(own)
            # one that is not good for the answer does not lead on twice
            if local is None or not local.doubt(own) <= (_THERE if local is last else _NEAR):
                local = self.known.about(own)
            search, uncertainty = fit.search(places, local)
            if not 0.0 < search.sigma.min() < math.inf:
                break  # where it leads to, a set cannot be, or a fall does not grow with its width
            found, rates = search.best(places, _ROUGHLY)
            moved, places, last = np.abs(found - places).max(), found, local
            if moved <= _AT_REST and local.doubt(places[: len(self.unknowns)]) <= _THERE:
                return estimated(search, places, rates, fit.names, told=True), uncertainty
        raise InputError("readings", "must agree better: no values of the unknowns fit them best")

    def uncertainty(self, local: Expansion, places: Array) -> Array:
        """Of each figure, flanks weighed as for a set at those places."""
        skill, readings = self.model.skill, self.model.readings
        steep = iter(np.abs(local.value_at(places)[self.figures.size :]).tolist())
        found = []
        for kind, place in self.kinds:
            if kind is Kind.DIAL:
                found.append(readings[place].uncertainty)
            elif kind is Kind.WIDTH:
                found.append(math.hypot(skill.fall_uncertainty, skill.width_uncertainty * next(steep)))
            elif kind is Kind.LOUDNESS:
                found.append(skill.loudness_uncertainty)
            else:
                found.append(_DECIBEL * skill.current_uncertainty)
        return np.array(found)

    def off(self, estimate: Estimate, uncertainty: Array, left_out: Sequence[int]) -> Array:
        """How far each figure lies off, in standard deviations of its distance from what the others say."""
        count = len(self.unknowns)
        wrong = self.figures - self.read(estimate.values[:count]) - self.offsets @ estimate.values[count:]
        found = wrong / uncertainty
        kept = _others(self.figures.size, left_out)
        found[kept] = estimate.standardised[: kept.size]
        return np.asarray(found)


class _Fit:
    """The search for places of the unknowns and offsets that fit some of the figures best.

    Attributes:
        names: of the unknowns and offsets.
        start: what was entered, and no offsets.
    """

    def __init__(self, problem: _Problem, left_out: Sequence[int], widened: float) -> None:
        self._problem, self._widened = problem, widened
        self._count, extra = len(problem.unknowns), problem.offset_uncertainty.size
        self._kept = _others(problem.figures.size, left_out)
        loose = np.array([each.looseness for each in problem.unknowns])[: None if problem.guided else 0]
        guides = np.eye(loose.size, self._count + extra)
        self._priors = np.vstack([guides, np.eye(extra, self._count + extra, self._count)])
        self._sizes = np.concatenate([loose, problem.offset_uncertainty])
        self._fence = np.array([_FENCE if each.size is None else 30.0 for each in problem.unknowns])
        self.names = (*(each.name for each in problem.unknowns), *(f"offset {place}" for place in range(extra)))
        self._readings = np.concatenate([problem.figures[self._kept], np.zeros(self._sizes.size)])
        self.start = np.zeros(self._count + extra)
        if self._readings.size < self.start.size:
            raise InputError("readings", f"must be {self._count} figures or more, as many as are to be found")

    def search(self, start: Array, local: Expansion | None = None) -> tuple[Search, Array]:
        """The search, and the uncertainty of each figure, weighed at a start.

        Args:
            start: places and offsets.
            local: the expansion to be used; None for one wherever the search comes that leads on from there.
        """
        problem, kept, count = self._problem, self._kept, self._count

        def about(own: Array) -> Expansion:
            return problem.known.about(own, _NEAR) if local is None else local

        def read(places: Array) -> Array:
            own = places[:count]
            if np.any(np.abs(own) > self._fence):
                return np.full(self._readings.size, np.nan)
            figures = about(own).value_at(own)[: problem.figures.size] + problem.offsets @ places[count:]
            return np.concatenate([figures[kept], self._priors @ places])

        def slope(places: Array) -> Array:
            own = places[:count]
            rates = about(own).rates_at(own)[: problem.figures.size]
            return np.vstack([np.hstack([rates, problem.offsets])[kept], self._priors])

        own = start[:count]
        uncertainty = self._widened * problem.uncertainty(about(own), own)
        sigma = np.concatenate([uncertainty[kept], self._sizes])
        return Search(read, self._readings, sigma, slope), uncertainty
