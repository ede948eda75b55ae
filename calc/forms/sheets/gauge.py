"""A winding gauge at true size: a strip of paper that is laid on the former, with a tick where the turns come."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calc import units
from calc.forms.shapes import Drawing, Line, Shape, Text
from calc.forms.sheets.paper import Picture
from calc.forms.sheets.printer_check import TYPE
from calc.units import InputError

_MM = 1e3
LONGEST = 148.0
"""Of one piece, from its first place to its last [mm]: with its margins it goes across all papers."""
OVERLAP = 10.0
"""That a piece has in common with the next [mm]."""
MOST_PIECES = 16
_CLOSEST = 0.7
"""Of ticks that can be told apart [mm]."""
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_LETTER = 0.55
"""Width of a letter over the height of the type, at most on average."""
_BEFORE, _AFTER = 9.0, 22.0
"""Paper before and after a piece, the latter with room for the last name."""
_EDGE = 17.0
"""Height of the edge that lies along the turns."""
_TICK, _LONG_TICK, _NAMED_TICK = 2.2, 4.2, 8.5
_BESIDE = 0.7
"""From a stroke to its name."""
_LINE = 3.6
"""From one line of names to the next."""


@dataclass(frozen=True)
class Gauge:
    """Where the turns of a winding come.

    Attributes:
        key: of its drawings.
        name: of what is wound.
        turns: of it, whole or not [1].
        pitch: from turn to turn along the strip [m].
        taps: turns at which it is tapped, rising.
        along: what the strip is laid along, as "the former".
        start, end: words at its ends.
    """

    key: str
    name: str
    turns: float
    pitch: float
    taps: Sequence[float] = ()
    along: str = "the former"
    start: str = "start"
    end: str = "end"

    @property
    def length(self) -> float:
        """From start to end [mm]."""
        return _MM * self.pitch * self.turns

    def place(self, turns: float) -> float:
        """How far from the start the middle of the wire is after so many turns [mm]."""
        return _MM * self.pitch * turns

    @property
    def step(self) -> int:
        """Turns from one tick to the next."""
        return _step(_CLOSEST / (_MM * self.pitch))

    @property
    def numbered(self) -> int:
        """Turns from one number to the next: a multiple of the ticks' step, with room for the number."""
        longest = _LETTER * TYPE * len(f"{self.turns:.0f}") + 2.0
        return next(step for step in (*_STEPS, 2000, 5000) if step % self.step == 0 and self.place(step) >= longest)

    def pieces(self) -> list[tuple[float, float]]:
        """From where to where each piece of the strip goes [mm from the start].

        Raises:
            InputError: a strip of more pieces than anyone would join.
        """
        if self.length <= LONGEST:
            return [(0.0, self.length)]
        fresh = LONGEST - OVERLAP
        count = math.ceil((self.length - OVERLAP) / fresh - 1e-9)
        if count > MOST_PIECES:
            raise InputError("gauge", f"would be {units.format(1e-3 * self.length, 'm', 3)} long")
        return [(fresh * index, min(fresh * index + LONGEST, self.length)) for index in range(count)]

    def ticks(self, low: float, high: float) -> list[float]:
        """Turns of the ticks from one place to another, both counted [mm]."""
        first = math.ceil(low / self.place(self.step) - 1e-9)
        last = math.floor(high / self.place(self.step) + 1e-9)
        return [float(self.step * index) for index in range(first, last + 1)]

    def said(self) -> str:
        """What the ticks are."""
        each = "every turn" if self.step == 1 else f"every {self.step} turns"
        return f"A tick for {each}, a number for every {self.numbered}"

    def pictures(self) -> list[Picture]:
        """The strip's pieces at true size.

        Raises:
            InputError: as `pieces`.
        """
        places = self.pieces()
        return [Picture(self._piece(index, len(places), *place)) for index, place in enumerate(places)]

    def _piece(self, index: int, count: int, low: float, high: float) -> Drawing:
        """One piece; its own lengths begin where it does."""
        named, lines = self._named(low, high)
        top, bottom = _EDGE - _NAMED_TICK - _LINE * lines - 1.5, _EDGE
        left, right = -_BEFORE + 1.0, high - low + _AFTER - 1.0
        outline = ((left, bottom), (left, top), (right, top), (right, bottom))
        shapes: list[Shape] = [Line(outline, "thin"), Line(((left, bottom), (right, bottom)))]
        joins = list(self._joins(index, count))
        shapes += [*self._marks(low, high, [place for place, _ in joins]), *named]
        for place, letter in joins:
            x = place - low
            shapes.append(Line(((x, bottom - _NAMED_TICK), (x, bottom)), "thin", dashed=True))
            shapes += [Line(((x, top), (x, top + 1.2)), "thin"), Text(x, top - 2.2, letter, size=0.9)]
        which = f", piece {index + 1} of {count}" if count > 1 else ""
        title = f"Gauge: {self.name}{which}"
        words = (
            f"A strip {units.number(high - low)} mm long from {self._end(low)} to {self._end(high)}, at true size. "
            f"{self.said()}."
        )
        key = self.key if count == 1 else f"{self.key}-{index + 1}"
        size = (high - low + _BEFORE + _AFTER, bottom - top + 5.5)
        return Drawing(key, title, words, -_BEFORE, top - 5.0, *size, TYPE, shapes)

    def _end(self, place: float) -> str:
        return "the start" if place == 0.0 else "the end" if place == self.length else f"{units.number(place)} mm"

    def _marks(self, low: float, high: float, joins: Sequence[float]) -> Iterator[Shape]:
        """Ticks along the edge, and numbers over some; a number keeps clear of named places and of joins."""
        for turn in self.ticks(low, high):
            x, has_number = self.place(turn) - low, turn % self.numbered == 0
            yield Line(((x, _EDGE), (x, _EDGE - (_LONG_TICK if has_number else _TICK))), "thin")
            if has_number and self._clear(turn, joins):
                yield Text(x, _EDGE - _LONG_TICK - 1.9, f"{turn:.0f}", size=0.9)

    def _clear(self, turn: float, joins: Sequence[float]) -> bool:
        """Whether a number here keeps away from named places and from joins."""
        wide = _LETTER * TYPE * len(f"{turn:.0f}") + 1.0
        here = self.place(turn)
        from_names = all(abs(here - self.place(at)) > wide for at, _ in self._names())
        return from_names and all(abs(here - place) > 0.5 * wide for place in joins)

    def _names(self) -> list[tuple[float, str]]:
        """Turns of the places that have a name, and the names."""
        taps = [(tap, f"tap {units.number(tap)}") for tap in self.taps]
        return [(0.0, self.start), *taps, (self.turns, f"{self.end} {units.number(self.turns, 5)}")]

    def _named(self, low: float, high: float) -> tuple[list[Shape], int]:
        """Start, taps and end: long lines with their names; and on how many lines of words the names stand."""
        shown = [(turn, name) for turn, name in self._names() if low - 1e-9 <= self.place(turn) <= high + 1e-9]
        levels = _levels([(self.place(turn) - low, len(name)) for turn, name in shown])
        shapes: list[Shape] = []
        for (turn, name), level in zip(shown, levels, strict=True):
            x, y = self.place(turn) - low, _EDGE - _NAMED_TICK - 1.8 - _LINE * level
            shapes.append(Line(((x, _EDGE), (x, y - 1.2))))
            shapes.append(Text(x + _BESIDE, y, name, "start", size=0.9))
        return shapes, 1 + max(levels, default=0)

    def _joins(self, index: int, count: int) -> Iterator[tuple[float, str]]:
        """Where a piece is laid on the next: the same two places on both, each with a letter."""
        fresh = LONGEST - OVERLAP
        for join in (index - 1, index):
            if 0 <= join < count - 1:
                name = chr(ord("A") + join)
                yield fresh * (join + 1), f"{name}1"
                yield min(fresh * (join + 1) + OVERLAP, self.length), f"{name}2"


def _step(turns: float) -> int:
    """The least of the usual steps that is no less than so many turns."""
    return next((step for step in _STEPS if step >= turns * (1.0 - 1e-9)), _STEPS[-1])


def _levels(names: Sequence[tuple[float, int]]) -> list[int]:
    """On which line of words each name stands, counted from the lowest, none on another or on a stroke.

    Names stand to the right of their stroke; one that reaches beyond the next stroke stands higher than its name.

    Args:
        names: place [mm] and letters of each, from left to right.
    """
    found: list[int] = []
    for index in reversed(range(len(names))):
        x, letters = names[index]
        end = x + _LETTER * TYPE * letters + 2.0 * _BESIDE
        over = [level for (at, _), level in zip(names[index + 1 :], reversed(found), strict=True) if at < end]
        found.append(1 + max(over, default=-1))
    return found[::-1]
