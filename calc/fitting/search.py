"""The search for the least sum of squares: plain steps down to the last digit, damped ones before where those stray."""

import math
from dataclasses import dataclass

import numpy as np

from calc.fitting.measured import Function, gradient
from calc.units import Array, InputError

RANK = 1e-9
"""Singular values below this share of the greatest are rounding: the Jacobian is exact, its columns are of length 1."""
_SETTLED = 1e-15
"""A step that moves the readings by less than this share of them is rounding."""
_MOST_STEPS = 200
_MOST_DAMPING = 1e12
_CONTRADICTORY = "must agree better: no values of the unknowns fit them best"


@dataclass(frozen=True)
class Search:
    """A model against readings, all over the readings' uncertainties."""

    model: Function
    readings: Array
    sigma: Array

    def fitted(self, values: Array) -> Array:
        """What would be read [n]."""
        found = np.asarray(self.model(values), dtype=np.float64)
        return found if found.shape == self.readings.shape else np.broadcast_to(found, self.readings.shape)

    def wrong(self, values: Array) -> Array:
        """What the readings miss by, over their uncertainties [n]."""
        return (self.readings - self.fitted(values)) / self.sigma

    def cost(self, values: Array) -> float:
        """Sum of the squares of that; infinite where the model has no value."""
        wrong = self.wrong(values)
        return float(wrong @ wrong) if np.all(np.isfinite(wrong)) else math.inf

    def rates(self, values: Array) -> tuple[Array, Array, Array, Array]:
        """The Jacobian by singular values, its columns brought to length 1: lengths, and the three factors."""
        table = gradient(self.model, values)
        if table.shape != (self.readings.size, values.size):
            table = np.broadcast_to(table, (self.readings.size, values.size))
        table = table / self.sigma[:, None]
        length = np.sqrt(np.sum(table**2, axis=0))
        if not np.all(np.isfinite(length)):
            raise InputError("readings", _CONTRADICTORY)
        length = np.where(length > 0.0, length, 1.0)
        left, strength, right = np.linalg.svd(table / length, full_matrices=False)
        return length, left, strength, right

    def best(self, begin: Array) -> Array:
        """The values with the least sum of squares: by plain steps where these come to rest, else after damped ones."""
        if not math.isfinite(self.cost(begin)):
            raise InputError("start", "must be where the model has a value")
        try:
            return self.polished(begin)
        except InputError:
            return self.polished(self.near(begin))

    def near(self, begin: Array) -> Array:
        """Marquardt's search from there: damped steps, each of which makes the sum of squares less."""
        values, damping = begin.copy(), 1e-3
        cost = self.cost(values)
        for _ in range(_MOST_STEPS):
            length, left, strength, right = self.rates(values)
            toward = left.T @ self.wrong(values)
            counts = strength > RANK * strength[0]
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

    def polished(self, values: Array) -> Array:
        """Plain steps for as long as they shrink, down to the last digit."""
        last = size = math.inf
        scale = float(np.linalg.norm(self.readings / self.sigma))
        highest = self.cost(values) * (1.0 + 1e-6) + 1e-18 * scale**2
        for _ in range(_MOST_STEPS):
            length, left, strength, right = self.rates(values)
            counts = strength > RANK * strength[0]
            part = np.where(counts, (left.T @ self.wrong(values)) / np.where(counts, strength, 1.0), 0.0)
            step = right.T @ part
            size = float(np.sqrt(step @ step))
            trial = values + step / length
            if size >= last or size == 0.0 or not self.cost(trial) <= highest:
                break
            values, last = trial, size
            if size <= _SETTLED * scale:
                break
        if not size <= 1e-7 * math.sqrt(self.cost(values)) + 1e-9 * scale:
            raise InputError("readings", _CONTRADICTORY)
        return values
