"""A dial scale at true size: numbers from 0 to 100, kilohertz, and stations, round a knob."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calc import units
from calc.forms.shapes import Arc, Drawing, Line, Point, Shape, Text
from calc.forms.sheets.printer_check import TYPE
from calc.units import Array, InputError

_NUMBERS, _NUMERALS = 2.0, 6.8
"""From the knob to the scale of numbers, and to the middle of its numerals [mm]."""
_HERTZ_NUMERALS, _HERTZ = 13.4, 19.0
"""From the knob to the middle of the kilohertz' numerals, and to their scale [mm]."""
_STATION, _LABEL = 23.0, 29.0
"""From the knob to where a station's line bends, and to where its name begins [mm]."""
_LEAST_NAME, _EASY_NAME = 14.0, 26.0
"""Room that names must have, and that most names need [mm]."""
_SIZE = 0.9
_LETTER = 0.55 * _SIZE * TYPE
"""Width of a letter, at most on average [mm]."""
_EDGE = 2.0 + 0.6 * TYPE
"""From the end of a name to the edge of its room [mm]."""
_HEADROOM = 30.0
"""Of the page, for what stands above the drawing [mm]."""
_CROSS = 4.0
"""Half of the cross in the middle [mm]."""
_CLOSEST = 0.75
"""Of ticks that can be told apart [mm]."""
_BEYOND = 15.0
"""Degrees by which names may stand beyond the ends of the scale."""


@dataclass(frozen=True)
class Marked:
    """A station on the dial: its name and its turn from 0, plates out, to 1, plates in."""

    name: str
    turn: float


@dataclass(frozen=True)
class DialScale:
    """A scale about a knob. Lengths are millimetres of paper; angles are degrees, clockwise from three o'clock.

    Attributes:
        radius: of the knob.
        sweep: through which it turns.
        clockwise: whether the numbers run so.
        frequencies: of the ticks [kHz], [ticks].
        turns: where they come, from 0 to 1, [ticks].
        stations: those that the dial reaches.
    """

    radius: float
    sweep: float
    clockwise: bool
    frequencies: Array
    turns: Array
    stations: Sequence[Marked]

    def angle(self, turn: float) -> float:
        """At which angle a turn from 0 to 1 comes; half of the scale lies on each side of upright."""
        share = turn - 0.5
        return -90.0 + self.sweep * (share if self.clockwise else -share)

    @cached_property
    def by_angle(self) -> list[Marked]:
        """The stations by their angles, the least first."""
        return sorted(self.stations, key=lambda station: self.angle(station.turn))

    @cached_property
    def name_angles(self) -> Array:
        """Where the stations' names stand: as near to their places as can be, one clear of the other."""
        apart = math.degrees(1.2 * _SIZE * TYPE / (self.radius + _LABEL))
        low, high = sorted((self.angle(0.0), self.angle(1.0)))
        beyond = min(_BEYOND, 0.5 * (360.0 - self.sweep - apart))
        return spread(
            np.array([self.angle(station.turn) for station in self.by_angle]), apart, low - beyond, high + beyond
        )

    def kilohertz(self) -> list[tuple[float, float, str]]:
        """Ticks of frequency: turn, length, and its numeral or none.

        A tick that would come too near to another is left out, the roundest stay; so with numerals.
        """
        order = sorted(
            range(self.frequencies.size), key=lambda index: (-_roundness(float(self.frequencies[index])), index)
        )
        ticks: dict[int, tuple[float, float, str]] = {}
        taken: list[tuple[float, float]] = []
        for index in order:
            turn, khz = float(self.turns[index]), float(self.frequencies[index])
            along = math.radians(self.sweep) * (self.radius + _HERTZ)
            if any(abs(turn - other) * along < _CLOSEST for other, _, _ in ticks.values()):
                continue
            roundness, text = _roundness(khz), f"{khz:.0f}"
            wide = (_LETTER * len(text) + 1.2) / (math.radians(self.sweep) * (self.radius + _HERTZ_NUMERALS))
            fits = roundness > 1 and all(abs(turn - at) >= 0.5 * (wide + other) for at, other in taken)
            if fits:
                taken.append((turn, wide))
            ticks[index] = (turn, 3.6 if fits else 2.8 if roundness > 1 else 1.8, text if fits else "")
        return [ticks[index] for index in sorted(ticks)]

    def numerals(self) -> int:
        """Step of the numerals from 0 to 100."""
        around = math.radians(self.sweep) * (self.radius + _NUMERALS)
        return next((step for step in (10, 20, 25, 50) if around * step / 100.0 >= 3.0 * _LETTER + 1.0), 100)

    def number_ticks(self) -> int:
        """Step of the ticks from 0 to 100."""
        around = math.radians(self.sweep) * (self.radius + _NUMBERS)
        steps = (1, 2, 5, 10, 25, 50)
        return next(s for s in steps if around * s / 100.0 >= _CLOSEST and self.numerals() % s == 0)

    def drawing(self, room: tuple[float, float]) -> Drawing:
        """The scale, its names cut short where they would leave the room [mm]."""
        names = [
            self._name(station, float(at), room) for station, at in zip(self.by_angle, self.name_angles, strict=True)
        ]
        shapes = [*self._knob(), *self._numbers(), *self._frequencies(), *self._lines(), *names]
        points = [point for shape in shapes for point in _reach(shape)]
        xs, ys = zip(*points, strict=True)
        left, top = min(xs) - 1.0, min(ys) - 1.0
        told = ", ".join(f"{station.name} at {units.number(100.0 * station.turn, 3)}" for station in self.stations)
        return Drawing(
            "dial", "Dial scale",
            f"A scale round a knob of {units.number(2.0 * self.radius)} mm, at true size. Within, numbers from 0, "
            f"plates out, to 100; then kilohertz; without, stations: {told or 'none'}.",
            left, top, max(xs) - left + 1.0, max(ys) - top + 1.0, TYPE, shapes,
        )  # fmt: skip

    def _at(self, radius: float, angle: float) -> Point:
        return radius * math.cos(math.radians(angle)), radius * math.sin(math.radians(angle))

    def _ray(self, start: float, end: float, angle: float, role: str = "ink") -> Line:
        """A line outwards; from and to are counted from the knob's edge."""
        return Line((self._at(self.radius + start, angle), self._at(self.radius + end, angle)), role)

    def _arc(self, beyond: float) -> Arc:
        low, high = sorted((self.angle(0.0), self.angle(1.0)))
        return Arc(0.0, 0.0, self.radius + beyond, low, high)

    def _around(self, beyond: float, turn: float, text: str) -> Text:
        """Words across a ray, readable from outside."""
        angle = self.angle(turn)
        x, y = self._at(self.radius + beyond, angle)
        return Text(x, y, text, size=_SIZE, turn=angle + 90.0)

    def _knob(self) -> Iterator[Shape]:
        low, high = sorted((self.angle(0.0), self.angle(1.0)))
        yield Arc(0.0, 0.0, self.radius, low, high, "thin")
        yield Line(((-_CROSS, 0.0), (_CROSS, 0.0)), "thin")
        yield Line(((0.0, -_CROSS), (0.0, _CROSS)), "thin")

    def _numbers(self) -> Iterator[Shape]:
        yield self._arc(_NUMBERS)
        step, named = self.number_ticks(), self.numerals()
        for number in range(0, 101, step):
            turn = number / 100.0
            has_name = number % named == 0
            reach = 2.6 if has_name else 2.0 if number % 5 == 0 else 1.3
            yield self._ray(_NUMBERS, _NUMBERS + reach, self.angle(turn), "thin")
            if has_name:
                yield self._around(_NUMERALS, turn, str(number))

    def _frequencies(self) -> Iterator[Shape]:
        yield self._arc(_HERTZ)
        for turn, length, text in self.kilohertz():
            yield self._ray(_HERTZ - length, _HERTZ, self.angle(turn), "thin")
            if text:
                yield self._around(_HERTZ_NUMERALS, turn, text)

    def _lines(self) -> Iterator[Shape]:
        """A station's line goes out from its place on the scale, and over to its name."""
        for station, at in zip(self.by_angle, self.name_angles.tolist(), strict=True):
            place = self.angle(station.turn)
            start, bend, end = (
                self._at(self.radius + beyond, angle)
                for beyond, angle in ((_HERTZ, place), (_STATION, place), (_LABEL - 1.0, at))
            )
            yield Line((start, bend, end))

    def _name(self, station: Marked, angle: float, room: tuple[float, float]) -> Text:
        x, y = self._at(self.radius + _LABEL, angle)
        outwards = math.cos(math.radians(angle)) >= 0.0
        text = _shortened(station.name, self._reach_of(angle, room))
        return Text(x, y, text, "start" if outwards else "end", size=_SIZE, turn=angle + (0.0 if outwards else 180.0))

    def _reach_of(self, angle: float, room: tuple[float, float]) -> float:
        """Length that a name at an angle may have [mm]."""
        across, down = abs(math.cos(math.radians(angle))), math.sin(math.radians(angle))
        below = _below(self.radius, self.sweep)
        level = below if down > 0.0 else room[1] - _HEADROOM - below
        farthest = min((0.5 * room[0] - _EDGE) / max(across, 1e-9), (level - _EDGE) / max(abs(down), 1e-9))
        return farthest - self.radius - _LABEL


def lies_on(radius: float, sweep: float, room: tuple[float, float], name: float = _LEAST_NAME) -> bool:
    """Whether a scale goes on paper, with so much room for names [mm]."""
    reach = radius + _LABEL + name
    return 2.0 * (reach + _EDGE) <= room[0] and reach + _EDGE + _below(radius, sweep) <= room[1] - _HEADROOM


def turned_or_not(radius: float, sweep: float, rooms: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    """Whether the paper is turned for a scale; upright if that is easy.

    Args:
        radius: of the knob [mm].
        sweep: through which it turns [degrees].
        rooms: of upright and turned paper [mm].

    Raises:
        InputError: it goes on neither.
    """
    for name in (_EASY_NAME, _LEAST_NAME):
        for turned, room in enumerate(rooms):
            if lies_on(radius, sweep, room, name):
                return bool(turned)
    most = max((r for r in range(1, 120) if any(lies_on(float(r), sweep, room) for room in rooms)), default=0)
    raise InputError("knob_radius", f"must be {most} mm at most for a scale that goes on this paper")


def _below(radius: float, sweep: float) -> float:
    """How far the scale and its names reach below the middle [mm]."""
    beyond = min(_BEYOND, 0.5 * (360.0 - sweep))
    under = math.sin(math.radians(min(max(0.5 * sweep + beyond - 90.0, 0.0), 90.0)))
    return max((radius + _LABEL + _LEAST_NAME) * under, _CROSS) + _EDGE


def spread(places: Array, apart: float, low: float, high: float) -> Array:
    """Places no nearer to each other than `apart`, moved as little as can be (least squares), within low and high.

    Args:
        places: rising, [n].
        apart: least distance of neighbours; less, if they would not go between low and high.
        low, high: bounds.
    """
    if places.size == 0:
        return places
    gap = min(apart, (high - low) / max(places.size - 1, 1))
    shift = gap * np.arange(places.size)
    blocks: list[tuple[float, int]] = []
    for place in (places - shift).tolist():
        mean, count = place, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    level = np.repeat([mean for mean, _ in blocks], [count for _, count in blocks])
    return np.asarray(np.clip(level, low, high - shift[-1]) + shift)


def _roundness(khz: float) -> int:
    """How round a frequency is: the rounder, the sooner it is given its tick and its numeral."""
    return next((rank for rank, step in ((4, 500.0), (3, 100.0), (2, 50.0)) if khz % step == 0.0), 1)


def _shortened(name: str, room: float) -> str:
    """A name that goes into so much room [mm]."""
    letters = math.floor(room / _LETTER)
    return name if len(name) <= letters else f"{name[: max(letters - 1, 1)].rstrip()}…"


def _reach(shape: Shape) -> list[Point]:
    """Points that a shape reaches at most, words turned any way."""
    if isinstance(shape, Line):
        return list(shape.points)
    if isinstance(shape, Arc):
        return []  # the ticks along it reach as far, and names beyond it
    assert isinstance(shape, Text), "a scale is made of lines, arcs and words"
    long = _LETTER * len(shape.text)
    begin = {"start": 0.0, "middle": -0.5 * long, "end": -long}[shape.anchor]
    sine, cosine = math.sin(math.radians(shape.turn)), math.cos(math.radians(shape.turn))
    half = 0.6 * TYPE
    return [
        (shape.x + along * cosine - across * sine, shape.y + along * sine + across * cosine)
        for along in (begin, begin + long)
        for across in (-half, half)
    ]
