"""Circuit diagrams of all sets that can be chosen: nothing overlaps, all is in words, and joints are where wires
meet."""

from dataclasses import replace
from itertools import combinations, pairwise, product

import pytest

from calc.forms.circuit import CircuitParts, circuit_drawing, with_values
from calc.forms.circuit.parts import TITLES
from calc.forms.shapes import Arc, Circle, Line, Text

LETTER = 0.5
"""Width of a letter over the height of the type, as the page takes it."""

FRONTS = [
    CircuitParts(link, trap, lead, tuner, tap)
    for link, trap, lead, tuner, tap in product(
        TITLES, ("none", "rejector", "acceptor"), ("nothing", "capacitor", "coil"), ("capacitor", "coil"), (False, True)
    )
    if tuner == "capacitor" or link == "tuned-winding"
]
BACKS = [
    CircuitParts("direct", "none", "nothing", "capacitor", tap, bypass, cure, transformer, bias, ear)
    for tap, bypass, cure, transformer, bias, ear in product(
        (False, True),
        (False, True),
        (False, True),
        (False, True),
        (-0.2, 0.0, 0.2),
        ("earphones", "earpiece", "amplifier"),
    )
]


def box(shape):
    """Left, top, right, bottom of a shape that is not a line."""
    if isinstance(shape, Text):
        long = LETTER * 11.0 * len(shape.text)
        left = shape.x - {"start": 0.0, "middle": long / 2, "end": long}[shape.anchor]
        return left, shape.y - 5.0, left + long, shape.y + 5.0
    x, y, r = shape.x, shape.y, shape.radius
    if isinstance(shape, Arc):
        sides = {(-90.0, 90.0): (x, y - r, x + r, y + r), (90.0, 270.0): (x - r, y - r, x, y + r)}
        return sides.get((shape.start, shape.end), (x - r, y - r, x + r, y))
    return x - r, y - r, x + r, y + r


def meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def segments(drawing):
    for shape in drawing.shapes:
        if isinstance(shape, Line):
            points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
            yield from pairwise(points)


def passes(segment, around):
    """Whether a line goes through a box (Liang and Barsky)."""
    (x, y), (to_x, to_y) = segment
    enter, leave = 0.0, 1.0
    for step, low, high in ((to_x - x, around[0] - x, around[2] - x), (to_y - y, around[1] - y, around[3] - y)):
        if step == 0.0:
            if low >= 0.0 or high <= 0.0:
                return False
            continue
        first, second = sorted((low / step, high / step))
        enter, leave = max(enter, first), min(leave, second)
    return enter < leave


def crossings(drawing):
    """Where an upright and a level wire cross, neither of them ending there."""
    lines = list(segments(drawing))
    for ((x, y), (_, to_y)), ((left, level), (right, _)) in product(
        [s for s in lines if s[0][0] == s[1][0]], [s for s in lines if s[0][1] == s[1][1]]
    ):
        if min(y, to_y) < level < max(y, to_y) and min(left, right) < x < max(left, right):
            yield x, level


@pytest.mark.parametrize("sets", [FRONTS, BACKS], ids=["aerial side", "detector side"])
def test_words_stand_clear_of_each_other_and_of_every_symbol(sets):
    for parts in sets:
        drawing = circuit_drawing(parts)
        texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
        for one, other in combinations(texts, 2):
            assert not meet(box(one), box(other)), (parts, one.text, other.text)
        for text in texts:
            for segment in segments(drawing):
                assert not passes(segment, box(text)), (parts, text.text, segment)
            for shape in drawing.shapes:
                if isinstance(shape, Arc | Circle):
                    assert not meet(box(text), box(shape)), (parts, text.text, shape)


@pytest.mark.parametrize("sets", [FRONTS, BACKS], ids=["aerial side", "detector side"])
def test_only_the_wire_from_the_detectors_tap_crosses_another(sets):
    for parts in sets:
        drawing = circuit_drawing(parts)
        nodes = {(shape.x, shape.y) for shape in drawing.shapes if isinstance(shape, Circle) and shape.filled}
        found = [place for place in crossings(drawing) if place not in nodes]
        assert len(found) == parts.detector_tap, parts


@pytest.mark.parametrize("sets", [FRONTS, BACKS], ids=["aerial side", "detector side"])
def test_wires_do_not_lie_upon_each_other(sets):
    for parts in sets:
        for axis in (0, 1):
            along = [s for s in segments(circuit_drawing(parts)) if s[0][axis] == s[1][axis]]
            for one, other in combinations(along, 2):
                if one[0][axis] == other[0][axis]:
                    (a, b), (c, d) = (sorted(point[1 - axis] for point in s) for s in (one, other))
                    assert min(b, d) - max(a, c) < 1e-9, (parts, one, other)


@pytest.mark.parametrize("sets", [FRONTS, BACKS], ids=["aerial side", "detector side"])
def test_a_joint_stands_wherever_a_wire_ends_on_another(sets):
    for parts in sets:
        drawing = circuit_drawing(parts)
        nodes = {(shape.x, shape.y) for shape in drawing.shapes if isinstance(shape, Circle) and shape.filled}
        wires = list(segments(drawing))
        for x, y in {point for segment in wires for point in segment}:
            through = [
                s
                for s in wires
                if (s[0][0] == s[1][0] == x and min(s[0][1], s[1][1]) < y < max(s[0][1], s[1][1]))
                or (s[0][1] == s[1][1] == y and min(s[0][0], s[1][0]) < x < max(s[0][0], s[1][0]))
            ]
            boxes = [shape for shape in drawing.shapes if isinstance(shape, Line) and shape.closed]
            symbol = any((x, y) not in shape.points and _on_outline((x, y), shape) for shape in boxes)
            plate = through and all(abs(s[1][0] - s[0][0]) + abs(s[1][1] - s[0][1]) <= 30.0 for s in through)
            if through and not symbol and not plate:
                assert (x, y) in nodes, (parts, x, y)


def _on_outline(point, shape):
    corners = [*shape.points, shape.points[0]]
    return any(
        passes(segment, (point[0] - 0.1, point[1] - 0.1, point[0] + 0.1, point[1] + 0.1))
        for segment in pairwise(corners)
    )


def test_everything_lies_within_the_drawing():
    for parts in FRONTS + BACKS:
        drawing = circuit_drawing(parts)
        for shape in drawing.shapes:
            points = shape.points if isinstance(shape, Line) else [box(shape)[:2], box(shape)[2:]]
            for x, y in points:
                assert drawing.top <= y <= drawing.top + drawing.height
                if not isinstance(shape, Text):  # the page makes room for words
                    assert drawing.left <= x <= drawing.left + drawing.width


PLAIN = CircuitParts("capacitor")


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"trap": "rejector"}, "rejector"),
        ({"trap": "acceptor"}, "acceptor"),
        ({"lead": "coil"}, "loading coil"),
        ({"lead": "capacitor"}, "shortens the aerial"),
        ({"detector_tap": True}, "from a tap on the coil"),
        ({"cure": True}, "resistor with a capacitor across it"),
        ({"transformer": True}, "matching transformer"),
        ({"bias": 0.2}, "helps the diode"),
        ({"bias": -0.2}, "holds the diode back"),
        ({"ear": "earpiece"}, "crystal earpiece"),
        ({"ear": "amplifier"}, "has a battery"),
        ({"link": "tuned-winding", "aerial_tuner": "coil"}, "variable loading coil"),
        ({"link": "pair"}, "second tuned circuit"),
    ],
)
def test_each_part_is_in_the_words_and_in_the_picture_when_it_is_chosen_and_only_then(change, word):
    with_it, without = circuit_drawing(replace(PLAIN, **change)), circuit_drawing(PLAIN)
    assert word in with_it.description
    assert word not in without.description
    assert len(with_it.shapes) > len(without.shapes) or change.get("bias") == -0.2


def test_no_bypass_is_neither_drawn_nor_told():
    drawing = circuit_drawing(replace(PLAIN, bypass=False))
    assert "by-pass" not in drawing.description
    assert not any(isinstance(shape, Text) and shape.text == "by-pass" for shape in drawing.shapes)
    assert "by-pass" in circuit_drawing(PLAIN).description


def test_the_cells_long_stroke_is_where_it_ought_to_be():
    """The diode's current runs down through the load: a cell that helps has its positive pole at the earthed end."""
    for bias, positive_below in ((0.2, True), (-0.2, False)):
        drawing = circuit_drawing(replace(PLAIN, bias=bias))
        level = {s for s in segments(drawing) if s[0][1] == s[1][1] and 200.0 < s[0][1] < 230.0}
        upper, lower = sorted(level, key=lambda s: s[0][1])
        assert (lower[1][0] - lower[0][0] > upper[1][0] - upper[0][0]) is positive_below


# --- values -------------------------------------------------------------------------------------------------------

VALUES = {
    "coil": "245 µH", "variable capacitor": "15 to 365 pF", "series capacitor": "33 pF", "coupling capacitor": "3.3 pF",
    "winding": "10 turns", "aerial tuning capacitor": "210 to 480 pF", "aerial tuning coil": "310 to 480 µH",
    "tap": "turn 30", "aerial's tap": "turn 10", "rejector": "100 µH\n676 pF", "acceptor": "100 µH\n676 pF",
    "loading coil": "200 µH", "capacitor": "250 pF", "first circuit": "245 µH\n15 to 365 pF", "detector": "1N34A type",
    "by-pass": "1 nF", "cure": "47 kΩ\n100 nF", "transformer": "10 to 1", "bias cell": "200 mV", "earphones": "12 kΩ",
    "resistor": "100 kΩ",
}  # fmt: skip


@pytest.mark.parametrize("sets", [FRONTS, BACKS], ids=["aerial side", "detector side"])
def test_values_stand_clear_of_everything_and_near_their_names(sets):
    for parts in sets:
        plain = circuit_drawing(parts)
        drawing = with_values(plain, VALUES)
        added = drawing.shapes[len(plain.shapes) :]
        texts = [shape for shape in plain.shapes if isinstance(shape, Text)]
        for text in added:
            for other in [*texts, *(one for one in added if one is not text)]:
                assert not meet(box(text), box(other)), (parts, text.text, other.text)
            for segment in segments(drawing):
                assert not passes(segment, box(text)), (parts, text.text, segment)
            for shape in drawing.shapes:
                if isinstance(shape, Arc | Circle):
                    assert not meet(box(text), box(shape)), (parts, text.text, shape)
            left, top, right, bottom = box(text)
            assert drawing.left <= left
            assert right <= drawing.left + drawing.width + 1e-9
            assert drawing.top <= top
            assert bottom <= drawing.top + drawing.height
        told = "\n".join(text.text for text in added)
        for name, value in VALUES.items():
            labelled = name in told_names(texts)
            assert (value in told) or not labelled, (parts, name)


def told_names(texts):
    """The names in a diagram, lines below each other taken together."""
    names, lines = [], []
    for text in texts:
        if lines and text.x == lines[-1].x and text.y == lines[-1].y + 13.0:
            lines.append(text)
            continue
        names.append(lines)
        lines = [text]
    joined = [(" ".join(line.text for line in group), group[0].role) for group in [*names, lines] if group]
    return {f"aerial's {name}" if (name, role) == ("tap", "accent") else name for name, role in joined}
