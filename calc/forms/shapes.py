"""Neutral shapes of which drawings are made. Lengths are the drawing's own; y runs downwards; no colours, no HTML."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """A polyline through points. `role`: "ink" for what is built, "thin" for dimension and guide lines, "accent" for
    the thing spoken of, "ground" for earth and surfaces."""

    points: Sequence[Point]
    role: str = "ink"
    closed: bool = False
    filled: bool = False
    dashed: bool = False

    def as_json(self) -> dict[str, Any]:
        """The shape as plain data."""
        return {
            "shape": "line",
            "points": [[_short(x), _short(y)] for x, y in self.points],
            "role": self.role,
            "closed": self.closed,
            "filled": self.filled,
            "dashed": self.dashed,
        }


@dataclass(frozen=True)
class Circle:
    """A circle by centre and radius; roles as for lines."""

    x: float
    y: float
    radius: float
    role: str = "ink"
    filled: bool = False

    def as_json(self) -> dict[str, Any]:
        """The shape as plain data."""
        return _circle(float(self.x), float(self.y), _short(self.radius), self.role, self.filled)


@dataclass(frozen=True)
class Dots:
    """Filled circles of one radius about many points, each a circle of the drawing; roles as for lines."""

    points: Sequence[Point]
    radius: float
    role: str = "ink"

    def as_circles(self) -> list[dict[str, Any]]:
        """The circles as plain data."""
        radius = _short(self.radius)
        return [_circle(x, y, radius, self.role, filled=True) for x, y in self.points]


@dataclass(frozen=True)
class Arc:
    """A circular arc through degrees `start` to `end`, counted clockwise from three o'clock as y runs downwards."""

    x: float
    y: float
    radius: float
    start: float
    end: float
    role: str = "ink"

    def as_json(self) -> dict[str, Any]:
        """The shape as plain data."""
        return {
            "shape": "arc",
            "x": _short(self.x),
            "y": _short(self.y),
            "radius": _short(self.radius),
            "start": self.start,
            "end": self.end,
            "role": self.role,
        }


@dataclass(frozen=True)
class Text:
    """Words at a point. `anchor`: "start", "middle" or "end"; `size` is a multiple of the drawing's type size; `turn`
    is the angle by which they are turned about the point [degrees, clockwise]."""

    x: float
    y: float
    text: str
    anchor: str = "middle"
    role: str = "ink"
    size: float = 1.0
    turn: float = 0.0

    def as_json(self) -> dict[str, Any]:
        """The shape as plain data."""
        upright: dict[str, Any] = {
            "shape": "text",
            "x": _short(self.x),
            "y": _short(self.y),
            "text": self.text,
            "anchor": self.anchor,
            "role": self.role,
            "size": self.size,
        }
        return upright | {"turn": _short(self.turn)} if self.turn else upright


Shape = Line | Circle | Dots | Arc | Text


@dataclass(frozen=True)
class Drawing:
    """A drawing: its box, its shapes, and words that can stand for it.

    Attributes:
        key, title: name and caption.
        description: the drawing in words, for those who cannot see it.
        left, top, width, height: the box that is shown, in the drawing's lengths.
        type_size: height of its type in the drawing's lengths.
        shapes: drawn in order.
    """

    key: str
    title: str
    description: str
    left: float
    top: float
    width: float
    height: float
    type_size: float
    shapes: Sequence[Shape]

    def as_json(self) -> dict[str, Any]:
        """The drawing as plain data."""
        return {
            "key": self.key,
            "title": self.title,
            "description": self.description,
            "box": [_short(self.left), _short(self.top), _short(self.width), _short(self.height)],
            "type_size": _short(self.type_size),
            "shapes": self._plain,
        }

    @cached_property
    def _plain(self) -> list[dict[str, Any]]:
        """The shapes as plain data: worked out once, as the same drawing goes with many answers."""
        found: list[dict[str, Any]] = []
        for shape in self.shapes:
            found.extend(shape.as_circles() if isinstance(shape, Dots) else (shape.as_json(),))
        return found


def _circle(x: float, y: float, radius: float, role: str, filled: bool) -> dict[str, Any]:
    return {"shape": "circle", "x": round(x, 4), "y": round(y, 4), "radius": radius, "role": role, "filled": filled}


def _short(value: float) -> float:
    """A coordinate without digits that no screen shows."""
    return round(float(value), 4)
