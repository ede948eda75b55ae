"""The search for the least sum of squares: plain steps down to the last digit, damped ones before where those stray."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.fitting.measured import Function, gradient
from calc.units import Array, InputError

RANK = 1e-9
"""Singular values below this share of the greatest are rounding: the Jacobian is exact, its columns are of length 1."""
SETTLED = 1e-15
"""A step that moves the readings by less than this share of them is rounding."""
_MOST_STEPS = 200
_MOST_DAMPING = 1e12
_CONTRADICTORY = "must agree better: no values of the unknowns fit them best"


class Rates(NamedTuple):
    """The Jacobian by singular values, its columns brought to length 1.

    Attributes:
        length: of the columns before [p].
        left, strength, right: the three factors, [n, p], [p], [p, p].
        counts: which of the strengths are more than rounding [p].
        weakness: one over the strengths, nought where they do not count [p].
    """

    length: Array
    left: Array
    strength: Array
    right: Array
    counts: npt.NDArray[np.bool_]
    weakness: Array


@dataclass(frozen=True)
class Search:
    """A model against readings, all over the readings' uncertainties.

    Attributes:
        model: gives what would be read [n].
        readings, sigma: and their uncertainties [n].
        slope: the model's rates of change with each unknown [n, p]: a function of the unknowns, or of a linear model
            the rates themselves; None to find them by `gradient`.
    """

    model: Function
    readings: Array
    sigma: Array
    slope: Function | Array | None = None

    def fitted(self, values: Array) -> Array:
        """What would be read [n]."""
        found = np.asarray(self.model(values), dtype=np.float64)
        return found if found.shape == self.readings.shape else np.broadcast_to(found, self.readings.shape)

    def wrong(self, values: Array) -> Array:
        """What the readings miss by, over their uncertainties [n]."""
        return (self.readings - self.fitted(values)) / self.sigma

    def cost(self, values: Array) -> float:
        """Sum of the squares of that; infinite where the model has no value."""
        return _squares(self.wrong(values))

    def rates(self, values: Array) -> Rates:
        """Rates of change of what would be read, over the readings' uncertainties."""
        if isinstance(self.slope, np.ndarray):
            return self._everywhere
        return self._factored(gradient(self.model, values) if self.slope is None else self.slope(values), values.size)

    @cached_property
    def _everywhere(self) -> Rates:
        assert isinstance(self.slope, np.ndarray), "only a linear model has the same rates everywhere"
        return self._factored(self.slope, self.slope.shape[1])

    def _factored(self, table: Array, unknowns: int) -> Rates:
        if table.shape != (self.readings.size, unknowns):
            table = np.broadcast_to(table, (self.readings.size, unknowns))
        table = table / self.sigma[:, None]
        length = np.sqrt((table**2).sum(axis=0))
        if not np.isfinite(length).all():
            raise InputError("readings", _CONTRADICTORY)
        length = np.where(length > 0.0, length, 1.0)
        left, strength, right = np.linalg.svd(table / length, full_matrices=False)
        counts = strength > RANK * strength[0]
        weakness = np.where(counts, 1.0 / np.where(counts, strength, 1.0), 0.0)
        return Rates(length, left, strength, right, counts, weakness)

    @np.errstate(all="ignore")  # what runs out of range on the way is refused where it matters
    def best(self, begin: Array, within: float = SETTLED) -> tuple[Array, Rates]:
        """The values with the least sum of squares: by plain steps where these come to rest, else after damped ones.

        Args:
            begin: where the search begins [p].
            within: share of the readings by which the last step may still move them.

        Returns:
            The values, and the rates there to rounding.
        """
        wrong = self.wrong(begin)
        if not math.isfinite(_squares(wrong)):
            raise InputError("start", "must be where the model has a value")
        try:
            return self.polished(begin, wrong, within)
        except InputError:
            near = self.near(begin)
            return self.polished(near, self.wrong(near), within)

    def near(self, begin: Array) -> Array:
        """Marquardt's search from there: damped steps, each of which makes the sum of squares less."""
        values, damping = begin.copy(), 1e-3
        cost = self.cost(values)
        for _ in range(_MOST_STEPS):
            length, left, strength, right, counts, _ = self.rates(values)
            toward = left.T @ self.wrong(values)
            while True:
                part = np.where(counts, strength / (strength**2 + damping), 0.0)
                step = (right.T @ (part * toward)) / length
                trial = self.cost(values + step)
                if trial < cost:
                    break
                damping *= 10.0
                if damping > _MOST_DAMPING:
                    return values
            gain, cost, values = cost - trial, trial, values + step
            damping = max(damping * 0.1, 1e-12)
            if gain <= 1e-9 * cost:
                return values
        return values

    def polished(self, values: Array, wrong: Array, within: float) -> tuple[Array, Rates]:
        """Plain steps for as long as they shrink, down to that share of the readings; and the rates as for `best`.

        Args:
            values: where they begin [p].
            wrong: what `wrong` gives there [n].
            within: as for `best`.
        """
        last = size = math.inf
        scale = math.sqrt(_squares(self.readings / self.sigma))
        cost = _squares(wrong)
        highest = cost * (1.0 + 1e-6) + 1e-18 * scale**2
        for _ in range(_MOST_STEPS):
            rates = self.rates(values)
            step = ((wrong @ rates.left) * rates.weakness) @ rates.right
            size = math.sqrt(step @ step)
            if size >= last or size == 0.0:
                break
            trial = values + step / rates.length
            missed = self.wrong(trial)
            squares = _squares(missed)
            if not squares <= highest:
                break
            values, wrong, cost, last = trial, missed, squares, size
            if size <= within * scale:
                break
        if not size <= 1e-7 * math.sqrt(cost) + max(1e-9, within) * scale:
            raise InputError("readings", _CONTRADICTORY)
        return values, rates


def _squares(wrong: Array) -> float:
    """Sum of squares; infinite where one is not finite."""
    total = float(wrong @ wrong)
    return total if math.isfinite(total) else math.inf
