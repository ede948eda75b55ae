"""Unknowns from readings by weighted least squares, linear or not: how sure each is, and what cannot be told apart."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from calc.fitting.coverage import chance_of_scatter, coverage_factor
from calc.fitting.measured import Function, Measured, gradient
from calc.fitting.search import SETTLED, Rates, Search
from calc.units import Array, InputError, require_finite, require_positive

_TAKES_PART = 1e-6
"""An unknown with a smaller part than this in a combination that the readings do not see is decided all the same."""
_ALONE = 1e-4
"""A reading with less than this of its own uncertainty's square left over has decided what is fitted to it."""
_GRAIN = 2.0**-33
"""Residuals are kept to this share of their reading, so that an exact fit has none, on any machine."""
_TINY = 1e-200


@dataclass(frozen=True)
class Combination:
    """A change of the unknowns together.

    Attributes:
        shares: relative change of each unknown, by name, the greatest being 1.
        uncertainty: relative standard uncertainty of that change; infinite where the readings say nothing of it.
    """

    shares: dict[str, float]
    uncertainty: float


@dataclass(frozen=True)
class Estimate:
    """What a fit found.

    Attributes:
        names: of the unknowns.
        values: their estimates [p].
        covariance: of the estimates [p, p]; None where nothing tells of it: as many readings as unknowns, and no
            uncertainty stated. Infinite on the diagonal for an unknown that the readings do not decide.
        degrees_of_freedom: readings less unknowns.
        stated: whether the readings' uncertainties were stated; else their scatter has told them.
        readings, fitted, residuals: [n]; a residual is a reading less its fitted value.
        uncertainty: of each reading [n], stated or as the scatter tells; None where nothing tells.
        basis: directions in which the unknowns can move the readings, all over their uncertainty [n, rank].
        rank: how many unknowns, or combinations of them, the readings decide.
        lost: combinations that leave every reading as it is; empty unless rank is less than the number of unknowns.
    """

    names: tuple[str, ...]
    values: Array
    covariance: Array | None
    degrees_of_freedom: int
    stated: bool
    readings: Array
    fitted: Array
    residuals: Array
    uncertainty: Array | None
    basis: Array
    rank: int
    lost: tuple[Combination, ...]

    @property
    def decided(self) -> bool:
        """Whether the readings decide all unknowns."""
        return not self.lost

    @property
    def _freedom(self) -> int | None:
        return None if self.stated else self.degrees_of_freedom

    def __getitem__(self, name: str) -> Measured:
        """The unknown of that name."""
        place = self.names.index(name)
        spread = None if self.covariance is None else math.sqrt(float(self.covariance[place, place]))
        return Measured(float(self.values[place]), spread, self._freedom)

    def derived(self, function: Function) -> Measured:
        """What a function of all unknowns, as an array [p], comes to, their correlation minded.

        Accuracy: first order, as `calc.fitting.propagate`.
        """
        value = float(np.real(function(self.values.astype(np.complex128))))
        if self.covariance is None:
            return Measured(value, None)
        slope = gradient(function, self.values)
        if not self.lost:
            square = float(slope @ self.covariance @ slope)
            return Measured(value, math.sqrt(max(square, 0.0)), self._freedom)
        counts = slope != 0.0
        if np.any(counts & np.isinf(np.diagonal(self.covariance))):
            return Measured(value, math.inf, self._freedom)
        square = float(slope[counts] @ self.covariance[np.ix_(counts, counts)] @ slope[counts])
        return Measured(value, math.sqrt(max(square, 0.0)), self._freedom)

    @cached_property
    def correlation(self) -> Array | None:
        """Of each unknown with each [p, p]; None where there is no finite covariance."""
        if self.covariance is None or not np.all(np.isfinite(self.covariance)):
            return None
        spread = np.sqrt(np.diagonal(self.covariance))
        if not np.all(spread > 0.0):
            return None
        return np.asarray(self.covariance / np.outer(spread, spread))

    @property
    def leverage(self) -> Array:
        """Share of each reading in its own fitted value [n], from 0 to 1."""
        return np.asarray(np.sum(self.basis**2, axis=1))

    @cached_property
    def standardised(self) -> Array:
        """Residuals over their own standard deviation, to a millionth [n]; 0 where that is nil or nothing tells.

        It is nil for a reading that alone decides what is fitted to it.
        """
        if self.uncertainty is None:
            return np.zeros_like(self.residuals)
        wrong = self.residuals / np.where(self.uncertainty > 0.0, self.uncertainty, 1.0)
        return np.asarray(np.round(wrong * _own(self.leverage), 6) + 0.0)

    def odd(self, chance: float = 0.01) -> list[int]:
        """Places of readings that are not of a piece with the rest, the oddest first.

        The one that lies furthest off is named if, in sets of good readings, one so far off is found with this chance
        at most. Then the others are judged without it. Where the scatter tells the uncertainty, each is held against
        the scatter of the others. One reading more than unknowns tells that something is off, but not which; and if
        more than a third would be named, it is not they that are odd, and none is.
        """
        if self.uncertainty is None:
            return []
        wrong = self.residuals / np.where(self.uncertainty > 0.0, self.uncertainty, 1.0)
        kept, found = list(range(wrong.size)), list[int]()
        while len(kept) > self.rank + 1:
            own, squares, freedom = _left_over(self.basis[kept], wrong[kept])
            # the first of those that are equal but for rounding
            worst = int(np.argmax(np.abs(own) >= (1.0 - 1e-9) * np.max(np.abs(own))))
            far, share = abs(float(own[worst])), 1.0 - chance / len(kept)
            if self.stated:
                odd = far > coverage_factor(share)
            else:
                rest = (squares - far**2) / (freedom - 1)  # square of the scatter without it
                odd = rest > 0.0 and far > coverage_factor(share, freedom - 1) * math.sqrt(rest)
            if not odd:
                break
            found.append(kept.pop(worst))
        return found if 3 * len(found) <= wrong.size else []

    @property
    def scatter(self) -> float | None:
        """Scatter of the readings against what was stated: 1 as stated, 2 twice that; None where nothing tells."""
        if not self.stated or self.uncertainty is None or self.degrees_of_freedom < 1:
            return None
        return math.sqrt(float(np.sum((self.residuals / self.uncertainty) ** 2)) / self.degrees_of_freedom)

    @property
    def chance(self) -> float | None:
        """Chance of a scatter as great or greater, if the readings are as uncertain as stated; None as `scatter`."""
        if self.scatter is None:
            return None
        return chance_of_scatter(self.scatter**2 * self.degrees_of_freedom, self.degrees_of_freedom)

    @cached_property
    def weakest(self) -> Combination | None:
        """The combination of relative changes that the readings tell least of; None where nothing tells."""
        if self.lost:
            return self.lost[0]
        if self.covariance is None:
            return None
        size = np.where(self.values == 0.0, 1.0, np.abs(self.values))
        spread, direction = np.linalg.eigh(self.covariance / np.outer(size, size))
        return _combination(self.names, direction[:, -1], math.sqrt(max(float(spread[-1]), 0.0)))


def _own(leverage: Array) -> Array:
    """What a residual over its reading's uncertainty is multiplied by to be over its own."""
    rest = 1.0 - leverage
    counts = rest > _ALONE
    return np.where(counts, 1.0 / np.sqrt(np.where(counts, rest, 1.0)), 0.0)


def _left_over(basis: Array, wrong: Array) -> tuple[Array, float, int]:
    """What a fit of these readings leaves, to first order: each by its own uncertainty [n], sum of squares, degrees."""
    left, strength, _ = np.linalg.svd(basis, full_matrices=False)
    sound = left[:, strength > _TAKES_PART]
    rest = wrong - sound @ (sound.T @ wrong)
    return rest * _own(np.sum(sound**2, axis=1)), float(rest @ rest), wrong.size - sound.shape[1]


def _combination(names: Sequence[str], direction: Array, uncertainty: float) -> Combination:
    shares = direction / direction[int(np.argmax(np.abs(direction)))] + 0.0
    return Combination(dict(zip(names, shares.tolist(), strict=True)), uncertainty)


def fit_linear(
    design: npt.ArrayLike,
    readings: npt.ArrayLike,
    uncertainty: npt.ArrayLike | None = None,
    *,
    names: Sequence[str] = (),
    stated: bool = True,
) -> Estimate:
    """Unknowns x for which design @ x comes nearest to the readings.

    Args:
        design: [n, p].
        readings, uncertainty, names, stated: as for `fit`.

    Raises:
        InputError: as for `fit`.
    """
    table = require_finite("design", design)
    if table.ndim != 2:
        raise InputError("design", "must be a table with a row for each reading and a column for each unknown")

    def model(values: Array) -> Array:
        return np.asarray(table @ values)

    told = uncertainty is not None and stated
    search, begin = prepared(model, np.zeros(table.shape[1]), readings, uncertainty, table)
    return estimated(search, *search.best(begin), names, told)


def fit(
    model: Function,
    start: npt.ArrayLike,
    readings: npt.ArrayLike,
    uncertainty: npt.ArrayLike | None = None,
    *,
    names: Sequence[str] = (),
    stated: bool = True,
    within: float = SETTLED,
) -> Estimate:
    """Unknowns for which a model comes nearest to the readings: least sum of ((reading - model)/uncertainty)^2.

    Args:
        model: of an array of the unknowns [p], giving what would be read [n]. As `calc.fitting.Function`.
        start: where the search begins [p].
        readings: [n], no fewer than unknowns.
        uncertainty: standard, of each reading [n] or one for all; None for alike and unknown.
        names: of the unknowns; "0", "1" and so on where none are given.
        stated: False if `uncertainty` only says how the readings' uncertainties go together, and their scatter is to
            tell how large they are.
        within: share of the readings by which the last step may still move them; for a model that is dear.

    Raises:
        InputError: fewer readings than unknowns, shapes that do not fit, a start where the model has no value, or
            readings so far from the model that the search runs off.

    Accuracy: of the estimates to rounding, or as `within` says. Covariance, intervals and the rest are first order in
        the uncertainties: exact for a linear model with normal scatter.
    Source: JCGM 100:2008 (GUM) for covariance and intervals, D. W. Marquardt (1963) for the search (from memory).
    """
    told = uncertainty is not None and stated
    search, begin = prepared(model, start, readings, uncertainty)
    return estimated(search, *search.best(begin, within), names, told)


def prepared(
    model: Function,
    start: npt.ArrayLike,
    readings: npt.ArrayLike,
    uncertainty: npt.ArrayLike | None,
    slope: Function | Array | None = None,
) -> tuple[Search, Array]:
    """The search for what `fit` finds, and where it begins [p].

    Args:
        model, start, readings, uncertainty: as for `fit`.
        slope: as for `Search`.

    Raises:
        InputError: fewer readings than unknowns, or shapes that do not fit.
    """
    read, begin = np.atleast_1d(require_finite("readings", readings)), np.atleast_1d(require_finite("start", start))
    if read.ndim != 1 or begin.ndim != 1:
        raise InputError("readings", "must be a list of numbers")
    if read.size < begin.size:
        raise InputError("readings", f"must be {begin.size} at least, as many as the unknowns")
    try:
        sigma = np.broadcast_to(
            require_positive("uncertainty", 1.0 if uncertainty is None else uncertainty), read.shape
        )
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise InputError("uncertainty", "must be one for each reading, or one for all") from None
    return Search(model, read, sigma, slope), begin


@np.errstate(all="ignore")  # the model's own value may run out of range, as on the way there
def estimated(search: Search, values: Array, rates: Rates, names: Sequence[str], told: bool) -> Estimate:
    """What is known of the values that a search found.

    Args:
        search: which.
        values, rates: as `Search.best` gives them.
        names: as for `fit`.
        told: whether the readings' uncertainties were stated.

    Raises:
        InputError: names that are not as many as the unknowns.
    """
    labels = tuple(names) or tuple(str(place) for place in range(values.size))
    if len(labels) != values.size:
        raise InputError("names", "must be as many as the unknowns")
    length, left, strength, right, counts, _ = rates
    rank = int(np.count_nonzero(counts))
    fitted = search.fitted(values)
    grain = _GRAIN * np.abs(search.readings)
    wrong = search.readings - fitted
    kept = grain > _TINY
    residuals = np.where(kept, np.rint(wrong / np.where(kept, grain, 1.0)) * grain + 0.0, wrong)
    freedom = search.readings.size - rank
    root = right[counts] / strength[counts, None] / length
    covariance = root.T @ root
    sigma: Array | None = search.sigma
    if not told and freedom:
        square = float(np.sum((residuals / search.sigma) ** 2)) / freedom
        covariance, sigma = covariance * square, search.sigma * math.sqrt(square)
    known = told or freedom > 0
    lost: tuple[Combination, ...] = ()
    if rank < values.size:
        size = np.where(values == 0.0, 1.0, np.abs(values))
        blind = np.where(np.abs(right[~counts]) < _TAKES_PART, 0.0, right[~counts])
        covariance[np.diag_indices(values.size)] += np.where(np.any(blind != 0.0, axis=0), math.inf, 0.0)
        lost = tuple(_combination(labels, each / length / size, math.inf) for each in blind)
    return Estimate(
        names=labels,
        values=values,
        covariance=covariance if known else None,
        degrees_of_freedom=freedom,
        stated=told,
        readings=search.readings,
        fitted=fitted,
        residuals=residuals,
        uncertainty=sigma if known else None,
        basis=left[:, counts],
        rank=rank,
        lost=lost,
    )
