"""A function that is dear: worked out at few places, and expanded about each of them."""

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from calc.units import Array, InputError

_STEP = 3e-3
_PLACES = np.array([-2.0, -1.0, 1.0, 2.0])
_FIRST = np.array([1.0, -8.0, 8.0, -1.0]) / 12.0
_SECOND = np.array([-1.0, 16.0, 16.0, -1.0]) / 12.0
_THIRD = np.array([-1.0, 2.0, -2.0, 1.0]) / 2.0
"""Central differences, of the fourth order for the first two derivatives: M. Abramowitz and I. A. Stegun, Handbook of
Mathematical Functions (1964), table 25.2 (from memory)."""
_DOUBT = 10.0
"""By how much the third derivatives between axes may exceed what those along them let expect."""
_MOST_KEPT = 200


def _say_nothing() -> None:
    """Nobody asked."""


class Expansion(NamedTuple):
    """A function about a place, to the second order.

    Attributes:
        at: the place [p].
        value: there [n].
        rates: of change [n, p].
        bends: second derivatives [n, p, p].
        twists: cube roots of the third derivatives along the axes, over the greatest rate, [n, p].
    """

    at: Array
    value: Array
    rates: Array
    bends: Array
    twists: Array

    def value_at(self, at: Array) -> Array:
        """The function near the place [n]."""
        moved = at - self.at
        if not moved.any():
            return self.value  # it may have no rates, at the edge of what can be
        return np.asarray(self.value + (self.rates + 0.5 * (self.bends @ moved)) @ moved)

    def rates_at(self, at: Array) -> Array:
        """Rates of change near the place [n, p]."""
        return np.asarray(self.rates + self.bends @ (at - self.at))

    def doubt(self, at: Array) -> float:
        """What is left out there, as a share of what a place moved by one unit would change [-]; NaN where there are no
        rates."""
        moved = np.abs(at - self.at)
        return float(_DOUBT / 6.0 * np.max(self.twists @ moved, initial=0.0) ** 3) if moved.any() else 0.0


class Expanded:
    """A function of an array [p], worked out where no expansion about a place that is known holds.

    What it gives hangs on what was asked before by no more than the doubt that is asked for.

    Accuracy: of values, the doubt that is asked for; of rates where the function is worked out about 1e-10, for a
        function that bends on a scale of one.
    """

    def __init__(self, function: Callable[[Array], Array]) -> None:
        """Takes a function of many arrays [k, p], giving as many answers [k, n]."""
        self._function = function
        self._known: list[Expansion] = []
        self._places = np.empty((0, 0))
        self.begin()

    def begin(self, most: float = math.inf, tell: Callable[[], object] = _say_nothing) -> None:
        """Begins a search.

        Args:
            most: times that the function may be worked out for it.
            tell: called before each.
        """
        self._left = most
        self._tell = tell

    def nearest(self, at: Array) -> Expansion | None:
        """The expansion about the nearest place that is known; None where none is."""
        if not self._known:
            return None
        return self._known[int(np.argmin(np.sum((self._places - at) ** 2, axis=1)))]

    def about(self, at: Array, doubt: float = 0.0) -> Expansion:
        """An expansion in which there is no more doubt there.

        Raises:
            InputError: the function has been worked out more often than the search may.
        """
        known = self.nearest(at)
        if known is not None and known.doubt(at) <= doubt:
            return known
        self._left -= 1
        if self._left < 0:
            raise InputError("readings", "must agree better: no values of the unknowns fit them best")
        self._tell()
        if len(self._known) == _MOST_KEPT:
            self._known.clear()
        self._known.append(self._expand(at))
        self._places = np.stack([each.at for each in self._known])
        return self._known[-1]

    def _expand(self, at: Array) -> Expansion:
        """All that is needed, asked for at once."""
        count = at.size
        steps = _STEP * np.eye(count)
        pairs = np.array([(i, j) for i in range(count) for j in range(i)], dtype=np.intp).reshape(-1, 2)
        along = (_PLACES[:, None, None] * steps).reshape(-1, count)
        across = steps[pairs[:, 0]] + steps[pairs[:, 1]]
        found = self._function(at + np.concatenate([np.zeros((1, count)), along, across, -across]))
        value, axes, corners = found[0], found[1 : 1 + along.shape[0]], found[1 + along.shape[0] :]
        around = axes.reshape(_PLACES.size, count, -1) - value
        rates, bends = (np.tensordot(weights, around, axes=1).T for weights in (_FIRST, _SECOND))
        one = around[1] + around[2]
        between = (corners - value).reshape(2, len(pairs), value.size).sum(axis=0) - one[pairs[:, 0]] - one[pairs[:, 1]]
        table = np.zeros((value.size, count, count))
        table[:, pairs[:, 0], pairs[:, 1]] = table[:, pairs[:, 1], pairs[:, 0]] = 0.5 * between.T
        table[:, np.arange(count), np.arange(count)] = bends
        third = np.abs(np.tensordot(_THIRD, around, axes=1).T) / _STEP**3
        steepest = np.abs(rates).max(axis=1, keepdims=True) / _STEP
        twists = np.cbrt(third / np.where(steepest > 0.0, steepest, 1.0))
        return Expansion(at.copy(), value, rates / _STEP, table / _STEP**2, twists)
