"""Drawings of the aerial form: the wire over its ground, the frame, the rod, each to scale; and the circuit that they
amount to.

Lengths are metres in drawings to scale. Only the set, the earth symbol and insulators are symbols of fixed size.
"""

from collections.abc import Sequence
from math import ceil

from calc import units
from calc.aerials import FerriteRod, FrameAerial, ParallelWires
from calc.forms.aerial_kinds import Wires
from calc.forms.shapes import Arc, Circle, Drawing, Line, Point, Shape, Text

_TYPE_SHARE = 34.0
"""Width of a drawing over the height of its type."""


def _metres(length: float) -> str:
    return units.format(length, "m", 3)


# --- things that stand in several drawings -----------------------------------------------------------------------


def level_dimension(start: float, end: float, y: float, words: str, size: float, below: bool = False) -> list[Shape]:
    """A level dimension line with ticks at its ends, and words beside its middle."""
    tick = 0.35 * size
    return [
        Line(((start, y), (end, y)), "thin"),
        Line(((start, y - tick), (start, y + tick)), "thin"),
        Line(((end, y - tick), (end, y + tick)), "thin"),
        Text(0.5 * (start + end), y + (0.9 if below else -0.9) * size, words, "middle", "thin"),
    ]


def upright_dimension(x: float, top: float, bottom: float, words: str, size: float, right: bool = False) -> list[Shape]:
    """An upright dimension line with ticks at its ends, and words beside its middle, higher on a short one."""
    tick = 0.35 * size
    side = 0.6 * size if right else -0.6 * size
    level = min(0.5 * (top + bottom), bottom - 0.75 * size)
    return [
        Line(((x, top), (x, bottom)), "thin"),
        Line(((x - tick, top), (x + tick, top)), "thin"),
        Line(((x - tick, bottom), (x + tick, bottom)), "thin"),
        Text(x + side, level, words, "start" if right else "end", "thin"),
    ]


def ground_line(left: float, right: float, size: float) -> list[Shape]:
    """The surface of the ground with hatching below it."""
    strokes = 24
    step = (right - left) / strokes
    depth = min(0.5 * size, 0.5 * step)
    hatch = [
        Line(((left + (n + 0.6) * step, 0.0), (left + (n + 0.6) * step - depth, depth)), "ground")
        for n in range(strokes)
    ]
    return [Line(((left, 0.0), (right, 0.0)), "ground"), *hatch]


def _set_and_earth(size: float, lead: float) -> list[Shape]:
    """The set at the foot of the lead, no higher than half of it, and the earth symbol below; not to scale."""
    half, high = 0.7 * size, min(1.1 * size, 0.5 * lead)
    box = ((-half, -high), (half, -high), (half, 0.0), (-half, 0.0))
    bars = [
        Line(((-width * size, (1.1 + 0.4 * row) * size), (width * size, (1.1 + 0.4 * row) * size)))
        for row, width in enumerate((0.9, 0.55, 0.2))
    ]
    return [Line(box, closed=True), Line(((0.0, 0.0), (0.0, 1.1 * size))), *bars]


# --- a wire over ground -------------------------------------------------------------------------------------------


def wire_drawing(kind: str, shape: Wires, effective_height: float) -> Drawing:
    """The wire over the ground, seen from the side, to scale; the room of an indoor wire from above its corner."""
    slanted = kind == "indoor"
    wires = [tuple(_seen(point, slanted) for point in wire) for wire in shape.wires]
    xs, ys = zip(*(point for wire in wires for point in wire), strict=True)
    reach, top = max(xs) - min(xs), -min(ys)
    inside = max(reach, 0.9 * top, 2.0)
    size = 1.45 * inside / _TYPE_SHARE
    left = min(xs) - 0.22 * inside
    right = max(max(xs) + (6.4 * size if kind == "sloping" else 0.16 * inside), left + 1.38 * inside)
    plan = _plan(shape, 4.5 * size, size) if kind == "several" else ([], 0.0)
    shapes: list[Shape] = [
        *ground_line(left, right, size),
        *_supports(kind, wires, size),
        *_dimensions(kind, shape, wires, size),
        *_height_mark(kind, effective_height, left, max(xs), size),
        *_set_and_earth(size, -wires[0][1][1]),
        *(Line(wire, "accent") for wire in _joined(wires)),
        *plan[0],
    ]
    return Drawing(
        key="aerial",
        title="The aerial over its ground, to scale" if not slanted else "The wire round the room, to scale",
        description=_in_words(kind, shape, effective_height),
        left=left,
        top=-top - 3.0 * size,
        width=right - left,
        height=top + 6.2 * size + plan[1],
        type_size=size,
        shapes=shapes,
    )


def _seen(point: Sequence[float], slanted: bool) -> Point:
    """A point (x, y, z) from the side, or slantwise with the far wall up and to the right."""
    x, y, z = point
    return (x + 0.5 * y, -z - 0.3 * y) if slanted else (x, -z)


def _joined(wires: Sequence[Sequence[Point]]) -> list[list[Point]]:
    """Wires that go on from each other as one line each."""
    lines: list[list[Point]] = []
    for start, end in wires:
        if lines and lines[-1][-1] == start:
            lines[-1].append(end)
        elif start != end and [start, end] not in lines:
            lines.append([start, end])
    return lines


def _supports(kind: str, wires: Sequence[Sequence[Point]], size: float) -> list[Shape]:
    """A pole at the far end of the wire and one behind its lead, with an insulator at the far end."""
    if kind == "indoor":
        return _room(wires)
    tops = [point for wire in wires for point in wire]
    far, near = max(tops), min(tops)
    lead_top = min((point for point in tops if abs(point[0]) < 1e-9), key=lambda point: point[1])
    away = 1.2 * size
    ends: list[tuple[Point, float]] = []
    if kind == "vertical":
        return [Line(((away, 0.0), (away, lead_top[1] - 0.4 * size)), "thin")]
    if far[0] > 1e-9:
        ends.append((far, 1.0))
    if near[0] < -1e-9:
        ends.append((near, -1.0))
    else:
        ends.append((lead_top, -1.0))
    found: list[Shape] = []
    for (x, y), side in ends:
        pole = x + side * away
        found.append(Line(((pole, 0.0), (pole, y - 0.4 * size)), "thin"))
        found.append(Line(((x, y), (pole, y)), "thin"))
        found.append(Circle(x + side * 0.45 * size, y, 0.22 * size, filled=True))
    return found


def _room(wires: Sequence[Sequence[Point]]) -> list[Shape]:
    """Thin lines from the wire's corners down to the floor, and the floor."""
    corners = [wires[1][0], *(wire[1] for wire in wires[1:])]
    drop = -wires[0][1][1]
    floor = [(x, y + drop) for x, y in corners]
    posts = [Line((corner, foot), "thin", dashed=True) for corner, foot in zip(corners, floor, strict=True)]
    return [Line(floor, "thin", dashed=True), *posts]


def _dimensions(kind: str, shape: Wires, wires: Sequence[Sequence[Point]], size: float) -> list[Shape]:
    """Height and length as dimension lines."""
    tops = [point for wire in wires for point in wire]
    left, right = min(tops)[0], max(tops)[0]
    highest = min(point[1] for point in tops)
    if kind == "indoor":
        top = wires[0][1][1]
        walls = [
            Text(0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]) - 0.9 * size, _metres(length), "middle", "thin")
            for (a, b), length in zip(wires[1:], _lengths(shape)[1:], strict=True)
        ]
        return [*upright_dimension(-1.6 * size, top, 0.0, _metres(-top), size), *walls]
    beside = left - 2.6 * size
    found = upright_dimension(beside, highest, 0.0, _metres(-highest), size)
    if kind == "sloping":
        found = upright_dimension(right + 2.4 * size, highest, 0.0, _metres(-highest), size, right=True)
        near = wires[0][1][1]
        found += upright_dimension(beside, near, 0.0, _metres(-near), size)
        found += level_dimension(0.0, right, highest - 1.2 * size, _metres(right), size)
    elif right - left > 0.0:
        found += level_dimension(left, right, highest - 1.2 * size, _metres(right - left), size)
    return found


def _lengths(shape: Wires) -> list[float]:
    return [sum((b - a) ** 2 for a, b in zip(start, end, strict=True)) ** 0.5 for start, end in shape.wires]


def _height_mark(kind: str, height: float, left: float, wire_end: float, size: float) -> list[Shape]:
    """The level at which an upright wire that took the current of the foot all along would end."""
    end = wire_end + {"vertical": 3.0, "sloping": 6.2, "indoor": 1.5}.get(kind, 2.2) * size
    return [
        Line(((left + 5.2 * size, -height), (end, -height)), "thin", dashed=True),
        *(
            Text(end + 0.5 * size, -height + line * 1.2 * size, words, "start")
            for line, words in enumerate(("effective", "height", _metres(height)), start=-1)
        ),
    ]


def _plan(shape: Wires, top: float, size: float) -> tuple[list[Shape], float]:
    """The top wires from above, below the view from the side, and the height that this takes."""
    assert isinstance(shape, ParallelWires), "only several wires are drawn from above"
    breadth = (shape.number - 1) * shape.spacing
    middle = top + 0.5 * breadth + 1.6 * size
    wires = [
        Line([(start[0], middle + start[1]), (end[0], middle + end[1])], "accent") for start, end in shape.wires[1:]
    ]
    right = max(end[0] for _, end in shape.wires)
    words = f"from above: {shape.number} wires, {_metres(shape.spacing)} apart"
    return [
        Text(min(end[0] for _, end in shape.wires[1:]), top, words, "start", "thin"),
        *wires,
        *upright_dimension(
            right + 1.2 * size, middle - 0.5 * breadth, middle + 0.5 * breadth, _metres(breadth), size, True
        ),
    ], breadth + 3.2 * size


def _in_words(kind: str, shape: Wires, effective_height: float) -> str:
    top = max(point[2] for wire in shape.wires for point in wire)
    names = {
        "inverted-l": "An upright lead and a level wire from its top",
        "t": "An upright lead that meets a level wire in its middle",
        "vertical": "An upright wire beside a mast",
        "sloping": "A wire that slopes between two supports, with a short upright lead to the set",
        "low": "A long level wire low over the ground, with a short lead to the set",
        "several": "Several level wires side by side, with one lead",
        "indoor": "A wire round a room, seen slantwise from above, with a lead down to the set",
    }
    return (
        f"{names[kind]}; the highest point is {_metres(top)} over the ground, and all wire together is "
        f"{_metres(shape.wire_length)}. A dashed line marks the effective height, {_metres(effective_height)}."
    )


# --- frame and rod ------------------------------------------------------------------------------------------------


def frame_drawing(frame: FrameAerial) -> Drawing:
    """The frame from the front and from its edge, to scale."""
    width, height, depth = frame.width, frame.height, frame.depth
    size = (width + depth + 0.75 * max(width, height)) / _TYPE_SHARE
    gap = 4.0 * size
    edge = width + gap
    shown = _some(frame.turns)
    turns = [
        Line(
            ((edge + depth * n / max(frame.turns - 1, 1), 0.0), (edge + depth * n / max(frame.turns - 1, 1), height)),
            "accent",
        )
        for n in shown
    ]
    return Drawing(
        key="aerial",
        title="The frame from the front and from its edge, to scale",
        description=(
            f"A frame {_metres(width)} wide and {_metres(height)} high with {frame.turns} turns side by side over "
            f"{_metres(depth)} of its rim."
        ),
        left=-6.0 * size,
        top=-3.0 * size,
        width=edge + depth + 10.0 * size,
        height=height + 5.6 * size,
        type_size=size,
        shapes=(
            Line(((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), "accent", closed=True),
            Line(((0.0, 0.5 * height), (width, 0.5 * height)), "thin"),
            Line(((0.5 * width, 0.0), (0.5 * width, height)), "thin"),
            *turns,
            *level_dimension(0.0, width, -1.2 * size, _metres(width), size),
            *upright_dimension(-1.2 * size, 0.0, height, _metres(height), size),
            *level_dimension(edge, edge + depth, height + 1.2 * size, _metres(depth), size, below=True),
            Text(edge + 0.5 * depth, -1.0 * size, f"{frame.turns} turns"),
        ),
    )


def _some(turns: int) -> list[int]:
    """Numbers of the turns that are drawn: all, or every how many-th so that sixty are not passed."""
    return list(range(0, turns, ceil(turns / 60)))


def rod_drawing(rod: FerriteRod) -> Drawing:
    """The rod with its coil, to scale."""
    length, half = rod.rod_length, 0.5 * rod.rod_diameter
    size = 1.35 * length / _TYPE_SHARE
    start = rod.coil_centre - 0.5 * rod.coil_length
    end = rod.coil_centre + 0.5 * rod.coil_length
    outer = 1.05 * half
    count = max(round(rod.turns), 1)
    turns = [
        Line(
            ((start + (n + 0.5) / count * (end - start), -outer), (start + (n + 0.5) / count * (end - start), outer)),
            "accent",
        )
        for n in _some(count)
    ]
    return Drawing(
        key="aerial",
        title="The rod and its coil, to scale",
        description=(
            f"A rod {_metres(length)} long and {_metres(rod.rod_diameter)} thick, with a coil "
            f"{_metres(rod.coil_length)} long "
            + (
                f"whose middle stands {_metres(rod.coil_centre)} from that of the rod."
                if rod.coil_centre
                else "in its middle."
            )
        ),
        left=-0.5 * length - 4.0 * size,
        top=-half - 3.4 * size,
        width=length + 11.0 * size,
        height=2.0 * half + 6.4 * size,
        type_size=size,
        shapes=(
            Line(
                ((-0.5 * length, -half), (0.5 * length, -half), (0.5 * length, half), (-0.5 * length, half)),
                closed=True,
            ),
            *turns,
            *level_dimension(start, end, -half - 1.2 * size, f"coil {_metres(rod.coil_length)}", size),
            *level_dimension(-0.5 * length, 0.5 * length, half + 1.2 * size, _metres(length), size, below=True),
            *upright_dimension(0.5 * length + 1.2 * size, -half, half, _metres(rod.rod_diameter), size, right=True),
        ),
    )


# --- the circuit --------------------------------------------------------------------------------------------------


def circuit_drawing(force: float, resistance: float, inductance: float, capacitance: float) -> Drawing:
    """What the set sees between its aerial and earth terminals: a source, and three parts in series with it."""
    texts = [units.format(resistance, "ohm", 3), units.format(inductance, "H", 3), units.format(capacitance, "F", 3)]
    level, floor = 40.0, 120.0
    return Drawing(
        key="circuit",
        title="What it is to the set",
        description=(
            f"A source of {units.format(force, 'V', 3)} in series with a resistance of {texts[0]}, an inductance of "
            f"{texts[1]} and a capacitance of {texts[2]}, between the aerial terminal and the earth terminal."
        ),
        left=-70.0,
        top=0.0,
        width=420.0,
        height=140.0,
        type_size=12.0,
        shapes=(
            Circle(0.0, 80.0, 16.0),
            Text(0.0, 80.0, "~", size=1.6),
            Text(-24.0, 80.0, units.format(force, "V", 3), "end"),
            Line(((0.0, 64.0), (0.0, level), (40.0, level))),
            Line(((40.0, 33.0), (84.0, 33.0), (84.0, 47.0), (40.0, 47.0)), closed=True),
            Text(62.0, 14.0, texts[0]),
            Line(((84.0, level), (120.0, level))),
            *(Arc(127.0 + 14.0 * n, level, 7.0, 180.0, 360.0) for n in range(4)),
            Text(148.0, 14.0, texts[1]),
            Line(((176.0, level), (218.0, level))),
            Line(((218.0, 27.0), (218.0, 53.0))),
            Line(((226.0, 27.0), (226.0, 53.0))),
            Text(222.0, 14.0, texts[2]),
            Line(((226.0, level), (270.0, level))),
            Circle(274.0, level, 4.0),
            Text(286.0, level, "aerial", "start"),
            Line(((0.0, 96.0), (0.0, floor), (270.0, floor))),
            Circle(274.0, floor, 4.0),
            Text(286.0, floor, "earth", "start"),
        ),
    )
