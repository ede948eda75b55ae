"""How far a long calculation has come: told where it is done, heard by whoever asked for it.

Nobody need listen, and mostly nobody does. What is told runs from 0 to 1 and never back.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import NamedTuple

Hearer = Callable[[float], object]


class _Stretch(NamedTuple):
    """A part of the way: where it begins, and how much of the whole it is."""

    start: float
    size: float


class _Way:
    """Who listens, and the stretch that is being gone."""

    hearer: Hearer | None = None
    stretch = _Stretch(0.0, 1.0)


_way = _Way()


@contextmanager
def heard(hearer: Hearer | None) -> Iterator[None]:
    """While this lasts, what is told goes to the hearer; None for nobody."""
    before = _way.hearer, _way.stretch
    _way.hearer, _way.stretch = hearer, _Stretch(0.0, 1.0)
    try:
        yield
    finally:
        _way.hearer, _way.stretch = before


def tell(share: float) -> None:
    """Tells how much of the present stretch is done, 0 to 1."""
    if _way.hearer is not None:
        _way.hearer(_way.stretch.start + _way.stretch.size * share)


def steps[T](items: Sequence[T]) -> Iterator[T]:
    """The items, telling before each how many are done. Each is a stretch of its own: steps within it divide it."""
    whole = _way.stretch
    try:
        for index, item in enumerate(items):
            _way.stretch = whole
            tell(index / len(items))
            _way.stretch = _Stretch(whole.start + whole.size * index / len(items), whole.size / len(items))
            yield item
    finally:
        _way.stretch = whole


class Rounds:
    """Rounds whose number nobody knows beforehand: each tells a share that draws nearer to the whole."""

    def __init__(self, usual: int) -> None:
        """Takes how many mostly do: four fifths of the way are told after these."""
        self._usual, self._done = usual, 0

    def begin(self) -> None:
        """Tells that another round begins."""
        tell(self._done / (self._done + 0.25 * self._usual))
        self._done += 1
