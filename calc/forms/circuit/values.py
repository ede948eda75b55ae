"""Values beside the names of a circuit diagram, each where there is room for it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from calc.forms.circuit.symbols import TYPE, width_of
from calc.forms.shapes import Arc, Dots, Drawing, Line, Point, Shape, Text

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""

_LINE = 13.0
_CLEAR = 1.5
"""Kept free about a value."""
_FARTHEST = 60.0
"""From a name to its value; beyond that nobody would take them for one."""
_ASIDE = 4.0
"""Steps in which places are tried."""


@dataclass(frozen=True)
class _Name:
    """The words of one part, in one line or more."""

    lines: tuple[Text, ...]

    @property
    def label(self) -> str:
        """The words; the tap of the aerial, drawn with the link, is told from that of the detector."""
        words = " ".join(line.text for line in self.lines)
        return f"aerial's {words}" if words == "tap" and self.lines[0].role == "accent" else words


def with_values(drawing: Drawing, values: Mapping[str, str]) -> Drawing:
    """The diagram with values beside the names of its parts; one for which there is no room is left out.

    Args:
        drawing: of a circuit.
        values: in one line or more, by the words that stand beside the part; of two taps the aerial's is "aerial's
            tap".
    """
    shapes = list(drawing.shapes)
    for name in _names(shapes):
        if name.label in values:
            shapes += _placed(name, values[name.label], shapes)
    boxes = [drawing_box(drawing), *(_box(shape) for shape in shapes if isinstance(shape, Text))]
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, bottom = max(box[2] for box in boxes), max(box[3] for box in boxes)
    return replace(drawing, shapes=shapes, left=left, top=top, width=right - left, height=bottom - top)


def drawing_box(drawing: Drawing) -> Box:
    """What a drawing shows."""
    return drawing.left, drawing.top, drawing.left + drawing.width, drawing.top + drawing.height


def _names(shapes: Sequence[Shape]) -> Iterator[_Name]:
    """The names that stand in a diagram: lines of words below each other are one."""
    lines: list[Text] = []
    for shape in shapes:
        if not isinstance(shape, Text):
            continue
        below = lines and (shape.x, shape.anchor) == (lines[-1].x, lines[-1].anchor)
        if below and shape.y == lines[-1].y + _LINE:
            lines.append(shape)
            continue
        if lines:
            yield _Name(tuple(lines))
        lines = [shape]
    if lines:
        yield _Name(tuple(lines))


def _placed(name: _Name, value: str, shapes: Sequence[Shape]) -> list[Shape]:
    """The value in the nearest free place about the name, or nothing."""
    boxes = [_box(shape) for shape in shapes if not isinstance(shape, Line)]
    strokes = [stroke for shape in shapes if isinstance(shape, Line) for stroke in _strokes(shape)]
    for texts in _tries(name, value.split("\n")):
        wanted = [
            (left - _CLEAR, top - _CLEAR, right + _CLEAR, bottom + _CLEAR)
            for left, top, right, bottom in map(_box, texts)
        ]
        if not any(_meet(one, box) for one in wanted for box in boxes) and not any(
            _crosses(stroke, one) for one in wanted for stroke in strokes
        ):
            return list(texts)
    return []


def _tries(name: _Name, value: Sequence[str]) -> list[list[Text]]:
    """Where the lines of a value might stand: below its name, above it, beside it, further and further off."""
    first, last = name.lines[0], name.lines[-1]
    tall = _LINE * (len(value) - 1)
    under, over = last.y + _LINE, first.y - _LINE - tall
    found = []
    for step in range(-20, 21):
        for y in (under, over, under + 0.5 * _LINE, over - 0.5 * _LINE, last.y - tall, first.y, 0.5 * (under + over)):
            x = first.x + _ASIDE * step
            down = max(y - last.y, first.y - tall - y, 0.0)
            gap = abs(step) * _ASIDE + down + (0.0 if y >= first.y else 1.0)
            if gap <= _FARTHEST:
                lines = [Text(x, y + _LINE * row, line, first.anchor, first.role) for row, line in enumerate(value)]
                found.append((gap, lines))
    return [lines for _, lines in sorted(found, key=lambda entry: entry[0])]


def _box(shape: Shape) -> Box:
    """The box about words, a circle or an arc."""
    if isinstance(shape, Text):
        long = width_of(shape.text)
        left = shape.x - {"start": 0.0, "middle": 0.5 * long, "end": long}[shape.anchor]
        return left, shape.y - 0.46 * TYPE, left + long, shape.y + 0.46 * TYPE
    assert not isinstance(shape, Line | Dots), "a line has no box of its own, and circuits have no rows of dots"
    if isinstance(shape, Arc):
        points = [_on(shape, shape.start + (shape.end - shape.start) * step / 8.0) for step in range(9)]
        xs, ys = zip(*points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)
    return shape.x - shape.radius, shape.y - shape.radius, shape.x + shape.radius, shape.y + shape.radius


def _on(arc: Arc, degrees: float) -> Point:
    angle = math.radians(degrees)
    return arc.x + arc.radius * math.cos(angle), arc.y + arc.radius * math.sin(angle)


def _strokes(line: Line) -> Iterator[tuple[Point, Point]]:
    points = [*line.points, line.points[0]] if line.closed else list(line.points)
    yield from pairwise(points)


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _crosses(stroke: tuple[Point, Point], box: Box) -> bool:
    """Whether a stroke goes through a box, by the share of it that lies within both of the box's bands."""
    (x, y), (to_x, to_y) = stroke
    enter, leave = 0.0, 1.0
    for start, along, low, high in ((x, to_x - x, box[0], box[2]), (y, to_y - y, box[1], box[3])):
        if along == 0.0:
            if not low < start < high:
                return False
            continue
        first, second = sorted(((low - start) / along, (high - start) / along))
        enter, leave = max(enter, first), min(leave, second)
    return enter < leave
