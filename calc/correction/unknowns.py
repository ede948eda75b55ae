"""What may be wrong in the model of a set: a figure of it, what was entered for it, and how loosely that is known."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc.units import Array, require_positive


@dataclass(frozen=True)
class Unknown:
    """A figure that readings are to find.

    It is sought on a scale of its own, on which it may go anywhere: its logarithm; the logarithm of its part of `most`
    over what is left, if it has a most; or, with a `size`, itself in that size, so that it may be found below zero.

    Attributes:
        name: what it is called.
        entered: what is taken for it before the readings, in its own unit.
        looseness: standard uncertainty of what was entered, on its scale: 0.3 for a factor of 1.35 either way [-].
        most: what it cannot reach; None for no such bound.
        size: of a figure that goes by itself, not by its logarithm; None for one that goes by its logarithm.
    """

    name: str
    entered: float
    looseness: float
    most: float | None = None
    size: float | None = None

    def __post_init__(self) -> None:
        require_positive("looseness", self.looseness)
        if self.size is None:
            require_positive(self.name, self.entered)

    def place(self, value: float) -> float:
        """Where a value lies on its scale, from what was entered."""
        if self.size is not None:
            return (value - self.entered) / self.size
        return self._height(value) - self._height(self.entered)

    def value(self, place: float) -> float:
        """The value at a place on its scale."""
        if self.size is not None:
            return self.entered + self.size * place
        if self.most is None:
            return self.entered * math.exp(place)
        return self.most / (1.0 + math.exp(-self._height(self.entered) - place))

    def rate(self, place: float) -> float:
        """How fast the value goes with the place."""
        if self.size is not None:
            return self.size
        value = self.value(place)
        return value if self.most is None else value * (1.0 - value / self.most)

    def _height(self, value: float) -> float:
        return math.log(value) if self.most is None else math.log(value / (self.most - value))


def values_at(unknowns: Sequence[Unknown], places: Array) -> list[float]:
    """The values at places on their scales, [unknowns]."""
    return [each.value(place) for each, place in zip(unknowns, places.tolist(), strict=True)]
