"""Coils drawn to scale from neutral shapes: in section along the axis, or a spiral from its face. In millimetres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from calc import coils, units
from calc.coils.shielding import TurnRows
from calc.forms.coil.field_lines import field_lines
from calc.forms.coil.single import Cone, Cylinder, Rod
from calc.forms.coil.thick import FlatSpiral, Layers, Scramble
from calc.forms.coil.wound import Wound
from calc.forms.shapes import Arc, Circle, Dots, Drawing, Line, Point, Shape, Text
from calc.units import Array

_MM = 1e3
_MOST_CIRCLES = 160
"""Turns drawn one by one in each half of a section; a coil of more is drawn as a crossed block."""
_ACROSS, _DOWN = 34.0, 24.0
"""Width and height of a drawing at most, in heights of its type."""
_HALF_LINE = 0.053
"""Half the thickness of a drawn line, in heights of type: a filled circle is drawn smaller by so much."""
_FINEST = 0.13
"""Steps of a spiral below this, in heights of type, are not drawn one by one."""


@dataclass(frozen=True)
class Placed:
    """A coil's section laid in a drawing: its middle [mm] and how far its axis is turned [rad]."""

    along: float = 0.0
    angle: float = 0.0

    def at(self, x: float, y: float) -> Point:
        """Where a point of the section comes, x along the coil's own axis and y away from it [mm]."""
        sine, cosine = math.sin(self.angle), math.cos(self.angle)
        return self.along + x * cosine + y * sine, y * cosine - x * sine

    def each(self, x: Array, y: Array) -> tuple[list[float], list[float]]:
        """As `at`, for many points."""
        sine, cosine = math.sin(self.angle), math.cos(self.angle)
        return (self.along + x * cosine + y * sine).tolist(), (y * cosine - x * sine).tolist()


@dataclass
class Sheet:
    """Shapes on their way to a drawing, and how far they reach: left, top, right and bottom."""

    shapes: list[Shape] = field(default_factory=list)
    box: tuple[float, float, float, float] = (math.inf, math.inf, -math.inf, -math.inf)

    def line(self, points: Sequence[Point], role: str = "ink", closed: bool = False, dashed: bool = False) -> None:
        """A polyline that counts for the drawing's size."""
        self.shapes.append(Line(points, role, closed=closed, dashed=dashed))
        self.reach_to(*points)

    def dots(self, x: Sequence[float], y: Sequence[float], radius: float, role: str = "ink") -> None:
        """Filled circles of one radius that count for the drawing's size."""
        self.shapes.append(Dots(list(zip(x, y, strict=True)), radius, role))
        self.reach_to((min(x) - radius, min(y) - radius), (max(x) + radius, max(y) + radius))

    def reach_to(self, *points: Point) -> None:
        """Makes room for points."""
        left, top, right, bottom = self.box
        for x, y in points:
            left, top, right, bottom = min(left, x), min(top, y), max(right, x), max(bottom, y)
        self.box = left, top, right, bottom

    @property
    def type_size(self) -> float:
        """Height of type that suits what is drawn so far."""
        left, top, right, bottom = self.box
        return max((right - left) / _ACROSS, (bottom - top) / _DOWN)

    def drawing(self, key: str, title: str, description: str, type_size: float) -> Drawing:
        """The drawing, with half a line of room around it."""
        left, top, right, bottom = self.box
        edge = 0.5 * type_size
        size = (right - left + 2.0 * edge, bottom - top + 2.0 * edge)
        return Drawing(key, title, description, left - edge, top - edge, *size, type_size, self.shapes)


def coil_drawing(coil: Wound, taps: Sequence[float] = ()) -> Drawing:
    """One coil to scale with its main measures: a spiral from its face, all others cut along the axis.

    Args:
        coil: the coil.
        taps: in turns from the end at the left, or within.
    """
    sheet = Sheet()
    if isinstance(coil, FlatSpiral):
        _face(sheet, coil)
        return _with_spiral_measures(sheet, coil, taps)
    section(sheet, coil, Placed())
    return _with_section_measures(sheet, coil, taps)


def field_drawing(coil: Wound) -> Drawing:
    """A coil cut along its axis, and lines of its field."""
    sheet = Sheet()
    half, radius = 0.5 * coil.length, 0.5 * coil.outer_diameter
    along, across = half + 1.1 * max(radius, 0.6 * half), radius + 0.7 * max(radius, half)
    for line in field_lines(coil.rows, along, across):
        for side in (-1.0, 1.0):
            sheet.line([(_MM * x, side * _MM * y) for x, y in line], "accent")
    section(sheet, coil, Placed())
    axis(sheet, -_MM * along, _MM * along, Placed())
    words = (
        "The coil cut along its axis, with lines of its field: inside they run along the axis and nearly even, beyond "
        "the ends they spread, and outside they return far apart."
    )
    return sheet.drawing("field", "The field of the coil", words, sheet.type_size)


def section(sheet: Sheet, coil: Wound, placed: Placed, role: str = "ink", most: int = _MOST_CIRCLES) -> None:
    """Draws a coil cut along its axis: former, and turns above and below, one by one if no more than `most`."""
    _former(sheet, coil, placed)
    _turns(sheet, coil.rows, placed, role, most)


def _turns(sheet: Sheet, rows: TurnRows, placed: Placed, role: str, most: int) -> None:
    """Draws the cut turns of a coil: one by one, or as a crossed block where they are many."""
    radius, place = (_MM * values for values in rows.places)
    wire = 0.5 * _MM * rows.bundle
    dot = max(wire - _HALF_LINE * sheet.type_size, 0.02 * sheet.type_size)
    for side in (-1.0, 1.0):
        if radius.size <= most:
            sheet.dots(*placed.each(place, side * radius), dot, role)
            continue
        crossed(sheet, [placed.at(x, side * r) for x, r in _corners(rows, wire)], role)


def block(sheet: Sheet, winding: coils.Multilayer, placed: Placed, role: str = "ink") -> None:
    """Draws the cut of a winding of which only the section is known."""
    half = 0.5 * _MM * winding.length
    inner, outer = 0.5 * _MM * winding.inner_diameter, 0.5 * _MM * winding.outer_diameter
    for side in (-1.0, 1.0):
        corners = [(-half, inner), (half, inner), (half, outer), (-half, outer)]
        crossed(sheet, [placed.at(x, side * y) for x, y in corners], role)


def crossed(sheet: Sheet, corners: Sequence[Point], role: str) -> None:
    """Four corners with both diagonals: a winding's section whose turns are not drawn one by one."""
    sheet.line(corners, role, closed=True)
    sheet.line([corners[0], corners[2]], role)
    sheet.line([corners[1], corners[3]], role)


def _corners(rows: TurnRows, wire: float) -> list[Point]:
    """Corners of the winding's section above the axis [mm]."""
    radius, start = _MM * rows.radius, _MM * rows.start
    end = start + _MM * rows.pitch * (rows.counts - 1.0)
    first, last = 0, radius.size - 1
    if np.all(rows.counts == 1.0):  # a row a turn: a spiral or a cone, whose section is a slanting strip
        run = np.array([start[last] - start[first], radius[last] - radius[first]])
        run = run / max(float(np.hypot(*run)), 1e-9)
        step, side = wire * run, wire * np.array([-run[1], run[0]])
        ends = [np.array([start[k], radius[k]]) + sign * step for k, sign in ((first, -1.0), (last, 1.0))]
        corners = [ends[0] - side, ends[1] - side, ends[1] + side, ends[0] + side]
        return [(float(x), float(y)) for x, y in corners]
    low, high = float(np.min(start)) - wire, float(np.max(end)) + wire
    inner, outer = float(radius[first]) - wire, float(radius[last]) + wire
    return [(low, inner), (high, inner), (high, outer), (low, outer)]


def _former(sheet: Sheet, coil: Wound, placed: Placed) -> None:
    """Draws what the coil is wound on, cut along the axis."""
    if isinstance(coil, Rod):
        half, radius = 0.5 * _MM * coil.rod.length, 0.5 * _MM * coil.rod.diameter
        shift = -_MM * coil.offset
        _outline(
            sheet,
            placed,
            [(shift - half, -radius), (shift + half, -radius), (shift + half, radius), (shift - half, radius)],
        )
    if isinstance(coil, Cylinder):
        half, radius = 0.5 * _MM * coil.length + 0.08 * _MM * coil.former, 0.5 * _MM * coil.former
        _wall(sheet, placed, (-half, radius), (half, radius), _thickness(coil))
    elif isinstance(coil, Cone):
        beyond = 0.08
        half, middle = (0.5 + beyond) * _MM * coil.axial, 0.25 * _MM * (coil.narrow + coil.wide)
        slope = (0.5 + beyond) * 0.5 * _MM * (coil.wide - coil.narrow)
        _wall(sheet, placed, (-half, middle - slope), (half, middle + slope), 0.03 * _MM * coil.narrow)
    elif isinstance(coil, (Layers, Scramble)):
        half, radius = 0.5 * _MM * coil.bobbin, 0.5 * _MM * coil.core
        cheek, wall = 0.5 * _MM * coil.outer_diameter + 0.06 * _MM * coil.outer_diameter, 0.06 * _MM * coil.core
        _wall(sheet, placed, (-half, radius), (half, radius), wall)
        for side in (-1.0, 1.0):
            for end in (-1.0, 1.0):
                near, far = end * half, end * (half + wall)
                low = side * (radius - wall)
                _outline(sheet, placed, [(near, low), (far, low), (far, side * cheek), (near, side * cheek)])


def _thickness(coil: Cylinder) -> float:
    """A wall of former that looks like card, and on a rod what the sleeve has [mm]."""
    if isinstance(coil, Rod):
        return max(0.5 * _MM * (coil.former - coil.rod.diameter), 0.01 * _MM * coil.former)
    return 0.03 * _MM * coil.former


def _wall(sheet: Sheet, placed: Placed, start: Point, end: Point, thickness: float) -> None:
    """The cut wall of a former, above the axis and below."""
    for side in (-1.0, 1.0):
        outer = [(x, side * y) for x, y in (start, end)]
        inner = [(x, side * (y - thickness)) for x, y in (end, start)]
        _outline(sheet, placed, outer + inner)


def _outline(sheet: Sheet, placed: Placed, points: Sequence[Point]) -> None:
    sheet.line([placed.at(*point) for point in points], "thin", closed=True)


def axis(sheet: Sheet, start: float, end: float, placed: Placed) -> None:
    """A coil's axis, dashed, between two places along it [mm]."""
    sheet.line([placed.at(start, 0.0), placed.at(end, 0.0)], "thin", dashed=True)


# --- measures -----------------------------------------------------------------------------------------------------


def measure_across(sheet: Sheet, left: float, right: float, y: float, words: str, type_size: float) -> None:
    """A dimension line from left to right at a height, its words below it."""
    tick = 0.35 * type_size
    sheet.line([(left, y), (right, y)], "thin")
    for x, inwards in ((left, 1.0), (right, -1.0)):
        _arrow(sheet, (x, y), (inwards, 0.0), tick)
    sheet.shapes.append(Text(0.5 * (left + right), y + 0.9 * type_size, words))
    sheet.reach_to((0.5 * (left + right), y + 1.4 * type_size))


def measure_down(sheet: Sheet, top: float, bottom: float, x: float, words: str, type_size: float) -> None:
    """A dimension line from top to bottom at a place, its words to the right of it."""
    tick = 0.35 * type_size
    sheet.line([(x, top), (x, bottom)], "thin")
    for y, inwards in ((top, 1.0), (bottom, -1.0)):
        _arrow(sheet, (x, y), (0.0, inwards), tick)
    sheet.shapes.append(Text(x + 0.5 * type_size, 0.5 * (top + bottom), words, "start"))
    sheet.reach_to((x + (0.5 + 0.55 * len(words)) * type_size, 0.5 * (top + bottom)))


def _arrow(sheet: Sheet, tip: Point, inwards: Point, size: float) -> None:
    (x, y), (u, v) = tip, inwards
    barbs = [(x + size * (u + 0.45 * side * v), y + size * (v + 0.45 * side * u)) for side in (-1.0, 1.0)]
    sheet.shapes.append(Line([barbs[0], tip, barbs[1]], "thin"))


def _with_section_measures(sheet: Sheet, coil: Wound, taps: Sequence[float]) -> Drawing:
    left, _, right, _ = sheet.box
    type_size = sheet.type_size
    axis(sheet, left - 0.8 * type_size, right + 0.8 * type_size, Placed())
    marked = _tap_marks(sheet, coil, taps, type_size)
    _, _, right, bottom = sheet.box
    half, radius = 0.5 * _MM * coil.length, 0.5 * _MM * coil.outer_diameter
    y, x = bottom + 1.0 * type_size, right + 1.0 * type_size
    for end in (-half, half):
        sheet.line([(end, radius + 0.4 * type_size), (end, y + 0.4 * type_size)], "thin")
    long, wide = units.format(coil.length, "m", 3), units.format(coil.outer_diameter, "m", 3)
    measure_across(sheet, -half, half, y, long, type_size)
    for side in (-radius, radius):
        sheet.line([(right - 0.2 * type_size, side), (x + 0.4 * type_size, side)], "thin")
    measure_down(sheet, -radius, radius, x, wide, type_size)
    words = (
        f"The coil cut along its axis, to scale: {units.number(coil.turns, 4)} turns, {long} long and {wide} across."
    )
    return sheet.drawing("section", "The winding in section, to scale", words + marked, type_size)


def _tap_marks(sheet: Sheet, coil: Wound, taps: Sequence[float], type_size: float) -> str:
    """Draws taps as lines that rise from their turns; says so in words."""
    if not taps:
        return ""
    radius, place = (_MM * values for values in coil.rows.places)
    _, top, _, _ = sheet.box
    # words stand to the right of their line, those further left higher, so that no line crosses them
    level, next_left = 0, math.inf
    for tap in reversed(taps):
        index = min(max(round(tap * radius.size / coil.turns) - 1, 0), radius.size - 1)
        x, words = float(place[index]), f"tap at {units.number(tap)}"
        end = x + (0.9 + 0.5 * len(words)) * type_size
        level = 0 if end < next_left else level + 1
        next_left = x
        y = top - (1.2 + 1.2 * level) * type_size
        sheet.line([(x, -float(radius[index])), (x, y)], "accent")
        sheet.shapes.append(Text(x + 0.4 * type_size, y + 0.1 * type_size, words, "start", "accent"))
        sheet.reach_to((x, y - 0.5 * type_size), (end, y))
    return f" Taps at {', '.join(units.number(tap) for tap in taps)} turns from the left, earthed end."


# --- a spiral from its face ---------------------------------------------------------------------------------------


def _face(sheet: Sheet, coil: FlatSpiral) -> None:
    """Half circles about two centres a quarter pitch aside, as a draughtsman draws a spiral; or its edges alone."""
    pitch, start = _MM * coil.pitch, 0.5 * _MM * coil.hub
    outer = 0.5 * _MM * coil.outer_diameter
    sheet.reach_to((-outer, -outer), (outer, outer))
    if pitch < _FINEST * sheet.type_size:
        sheet.shapes.extend(Circle(0.0, 0.0, radius) for radius in (start, outer))
        inner = (start + share * (outer - start) for share in (0.25, 0.5, 0.75))
        sheet.shapes.extend(Circle(0.0, 0.0, radius, "thin") for radius in inner)
        return
    halves = 2.0 * coil.turns
    role = "ink" if pitch > 2.0 * _FINEST * sheet.type_size else "thin"
    for half in range(math.ceil(halves - 1e-9)):
        centre = 0.25 * pitch * (1.0 if half % 2 else -1.0)
        begin = 180.0 * (half % 2)
        sweep = 180.0 * min(halves - half, 1.0)
        sheet.shapes.append(Arc(centre, 0.0, start + 0.5 * pitch * (half + 0.5), begin, begin + sweep, role))


def _with_spiral_measures(sheet: Sheet, coil: FlatSpiral, taps: Sequence[float]) -> Drawing:
    type_size = sheet.type_size
    inner, outer = 0.5 * _MM * coil.hub, 0.5 * _MM * coil.outer_diameter
    for tap in taps:
        radius = inner + _MM * coil.pitch * tap
        around = 360.0 * (tap % 1.0)
        x, y = (radius * f(math.radians(around)) for f in (math.cos, math.sin))
        sheet.shapes.append(Circle(x, y, 0.3 * type_size, "accent", filled=True))
    _, _, _, bottom = sheet.box
    wide, hollow = units.format(coil.outer_diameter, "m", 3), units.format(coil.hub, "m", 3)
    y = bottom + 1.0 * type_size
    for end in (-outer, outer):
        sheet.line([(end, 0.0), (end, y + 0.4 * type_size)], "thin")
    measure_across(sheet, -outer, outer, y, wide, type_size)
    if inner > 2.0 * type_size:
        measure_across(sheet, -inner, inner, -0.4 * type_size, hollow, type_size)
    words = f"The spiral from its face, to scale: {units.number(coil.turns, 4)} turns from {hollow} to {wide} across."
    if taps:
        words += f" Taps at {', '.join(units.number(tap) for tap in taps)} turns from the inner, earthed end."
    return sheet.drawing("section", "The winding from its face, to scale", words, type_size)
