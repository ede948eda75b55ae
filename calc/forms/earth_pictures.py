"""Drawings of the earth form, to scale: stakes in the soil, buried wires, a counterpoise. Lengths are metres."""

from collections.abc import Sequence
from math import cos, pi, sin

from calc import units
from calc.forms.aerial_pictures import ground_line, level_dimension, upright_dimension
from calc.forms.shapes import Circle, Drawing, Line, Shape, Text

_TYPE_SHARE = 34.0


def _metres(length: float) -> str:
    return units.format(length, "m", 3)


def stakes_drawing(places: Sequence[tuple[float, float]], length: float, spacing: float, ring: bool) -> Drawing:
    """Stakes in a row from the side, or a ring of them from above."""
    if ring:
        return _ring_drawing(places, spacing)
    reach = (len(places) - 1) * spacing
    inside = max(reach, 2.0 * length)
    size = 1.5 * inside / _TYPE_SHARE
    left, right = -0.25 * inside, max(reach, 0.4 * inside) + 0.3 * inside
    shapes: list[Shape] = [*ground_line(left, right, size)]
    shapes += [Line(((x, -0.5 * size), (x, length)), "accent") for x, _ in places]
    if len(places) > 1:
        shapes.append(Line(((0.0, -0.5 * size), (reach, -0.5 * size)), "accent"))
        shapes += level_dimension(0.0, spacing, length + 1.2 * size, _metres(spacing), size, below=True)
    shapes += upright_dimension(reach + 1.4 * size, 0.0, length, _metres(length), size, right=True)
    count = f"{len(places)} stakes in a row, {_metres(spacing)} apart" if len(places) > 1 else "One stake"
    return Drawing(
        key="earth",
        title="In the soil, to scale",
        description=f"{count}, {_metres(length)} deep in the soil.",
        left=left,
        top=-2.0 * size,
        width=right - left,
        height=length + 5.0 * size,
        type_size=size,
        shapes=shapes,
    )


def _ring_drawing(places: Sequence[tuple[float, float]], spacing: float) -> Drawing:
    radius = (places[0][0] ** 2 + places[0][1] ** 2) ** 0.5
    size = 3.6 * radius / _TYPE_SHARE
    first, second = places[0], places[1]
    return Drawing(
        key="earth",
        title="The stakes from above, to scale",
        description=(
            f"{len(places)} stakes in a ring {_metres(2.0 * radius)} across, {_metres(spacing)} from neighbour to "
            "neighbour."
        ),
        left=-1.8 * radius,
        top=-1.25 * radius,
        width=3.6 * radius,
        height=2.5 * radius,
        type_size=size,
        shapes=(
            Line(places, "thin", closed=True),
            Line((first, second), "ink"),
            *(Circle(x, y, 0.4 * size, "accent", filled=True) for x, y in places),
            Text(
                0.5 * (first[0] + second[0]) + 0.8 * size,
                0.5 * (first[1] + second[1]) + 0.6 * size,
                _metres(spacing),
                "start",
                "thin",
            ),
        ),
    )


def wire_drawing(length: float, depth: float) -> Drawing:
    """A buried wire from the side."""
    size = 1.4 * length / _TYPE_SHARE
    return Drawing(
        key="earth",
        title="In the soil, to scale",
        description=f"A level wire of {_metres(length)} buried {_metres(depth)} deep, with a lead up to the set.",
        left=-0.2 * length,
        top=-2.4 * size,
        width=1.4 * length,
        height=depth + 6.0 * size,
        type_size=size,
        shapes=(
            *ground_line(-0.2 * length, 1.2 * length, size),
            Line(((0.0, -1.0 * size), (0.0, depth), (length, depth)), "accent"),
            *level_dimension(0.0, length, max(depth, size) + 1.4 * size, _metres(length), size, below=True),
            Text(length + 0.6 * size, -1.0 * size, f"{_metres(depth)} deep", "end", "thin"),
        ),
    )


def star_drawing(arms: int, length: float) -> Drawing:
    """A star from above."""
    size = 3.6 * length / _TYPE_SHARE
    ends = [(length * sin(2.0 * pi * n / arms), -length * cos(2.0 * pi * n / arms)) for n in range(arms)]
    return Drawing(
        key="earth",
        title="The star from above, to scale",
        description=f"{arms} buried wires of {_metres(length)} run out like spokes from under the lead.",
        left=-1.8 * length,
        top=-1.2 * length,
        width=3.6 * length,
        height=2.4 * length,
        type_size=size,
        shapes=(
            *(Line(((0.0, 0.0), end), "accent") for end in ends),
            Circle(0.0, 0.0, 0.45 * size, filled=True),
            Text(0.8 * size, -0.6 * length, _metres(length), "start", "thin"),
        ),
    )


def counterpoise_drawing(number: int, length: float, height: float, spacing: float) -> Drawing:
    """Wires over the ground from the side, and from above where there are several."""
    inside = max(length, height)
    size = 1.5 * inside / _TYPE_SHARE
    left, right = -0.2 * inside, length + 0.3 * inside
    breadth = (number - 1) * spacing
    plan_top = 3.4 * size
    shapes: list[Shape] = [
        *ground_line(left, right, size),
        *(Line(((x, 0.0), (x, -height - 0.3 * size)), "thin") for x in (-0.8 * size, length + 0.8 * size)),
        Line(((0.0, -height), (length, -height)), "accent"),
        *level_dimension(0.0, length, -height - 1.2 * size, _metres(length), size),
        *upright_dimension(length + 2.2 * size, -height, 0.0, _metres(height), size, right=True),
    ]
    if number > 1:
        middle = plan_top + 0.5 * breadth + 1.4 * size
        shapes.append(Text(0.0, plan_top, f"from above: {number} wires, {_metres(spacing)} apart", "start", "thin"))
        shapes += [
            Line(
                (
                    (0.0, middle + (n - 0.5 * (number - 1)) * spacing),
                    (length, middle + (n - 0.5 * (number - 1)) * spacing),
                ),
                "accent",
            )
            for n in range(number)
        ]
    return Drawing(
        key="earth",
        title="Over the ground, to scale",
        description=f"{number} level wires of {_metres(length)}, {_metres(height)} over the ground.",
        left=left,
        top=-height - 3.0 * size,
        width=right - left,
        height=height + 5.0 * size + (plan_top + breadth if number > 1 else 0.0),
        type_size=size,
        shapes=shapes,
    )
