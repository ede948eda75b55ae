"""The symbols of circuit diagrams as the trade uses them (IEC 60617), drawn from neutral shapes in one line weight.

A symbol that stands takes an x and the two ends of its wire; one that lies takes a y and the two ends of its wire.
"""

from calc.forms.shapes import Arc, Circle, Line, Shape, Text

TYPE = 11.0
"""Height of the type."""

_LETTER = 0.5 * TYPE
_LINE = 13.0
"""From one line of words to the next."""

_PLATE, _GAP = 13.0, 4.0
"""Half a capacitor's plate, and half the room between two."""

_BAR, _BAR_LENGTH = 5.0, 32.0
"""Half a resistor's width, and its length."""


def node(x: float, y: float) -> Shape:
    """Where wires are joined."""
    return Circle(x, y, 2.5, filled=True)


def wire(*points: tuple[float, float], role: str = "ink") -> Shape:
    """A wire through points."""
    return Line(points, role)


def words(x: float, y: float, text: str, anchor: str = "middle", role: str = "ink") -> list[Shape]:
    """Words in one line or more, the first at y."""
    return [Text(x, y + _LINE * row, line, anchor, role) for row, line in enumerate(text.split("\n"))]


def width_of(text: str) -> float:
    """About how long a line of words is."""
    return _LETTER * len(text)


def coil(x: float, top: float, bottom: float, loops: int, side: int = 1, role: str = "ink") -> list[Shape]:
    """Half-round loops down a standing wire, to the right (side 1) or to the left (-1)."""
    radius = (bottom - top) / (2.0 * loops)
    start, end = (-90.0, 90.0) if side > 0 else (90.0, 270.0)
    return [Arc(x, top + radius * (2 * row + 1), radius, start, end, role) for row in range(loops)]


def capacitor(x: float, top: float, bottom: float, middle: float, role: str = "ink") -> list[Shape]:
    """Two plates across a standing wire."""
    upper, lower = middle - _GAP, middle + _GAP
    return [
        Line(((x, top), (x, upper)), role),
        Line(((x - _PLATE, upper), (x + _PLATE, upper)), role),
        Line(((x - _PLATE, lower), (x + _PLATE, lower)), role),
        Line(((x, lower), (x, bottom)), role),
    ]


def capacitor_lying(y: float, left: float, right: float, role: str = "ink") -> list[Shape]:
    """Two plates across a lying wire, in the middle of it."""
    middle = 0.5 * (left + right)
    before, after = middle - _GAP, middle + _GAP
    return [
        Line(((left, y), (before, y)), role),
        Line(((before, y - _PLATE), (before, y + _PLATE)), role),
        Line(((after, y - _PLATE), (after, y + _PLATE)), role),
        Line(((after, y), (right, y)), role),
    ]


def arrow(x: float, y: float, role: str = "ink") -> list[Shape]:
    """Across the middle of a symbol: it can be varied."""
    tip, reach = (x + 17.0, y - 17.0), 17.0
    return [
        Line(((x - reach, y + reach), tip), role),
        Line(((tip[0] - 9.0, tip[1] + 1.0), tip, (tip[0] - 1.0, tip[1] + 9.0)), role),
    ]


def resistor_lying(y: float, left: float, right: float) -> list[Shape]:
    """A long box in a lying wire, in the middle of it."""
    middle, half = 0.5 * (left + right), 0.5 * _BAR_LENGTH
    box = ((middle - half, y - _BAR), (middle + half, y - _BAR), (middle + half, y + _BAR), (middle - half, y + _BAR))
    return [
        Line(((left, y), (middle - half, y))),
        Line(box, closed=True),
        Line(((middle + half, y), (right, y))),
    ]


def diode_lying(y: float, left: float, right: float) -> list[Shape]:
    """A diode in a lying wire that lets current run to the right."""
    middle = 0.5 * (left + right)
    back, tip = middle - 9.0, middle + 9.0
    return [
        Line(((left, y), (back, y))),
        Line(((back, y - 9.0), (back, y + 9.0), (tip, y)), closed=True),
        Line(((tip, y - 9.0), (tip, y + 9.0))),
        Line(((tip, y), (right, y))),
    ]


def cell(x: float, top: float, bottom: float, positive_below: bool) -> list[Shape]:
    """A cell in a standing wire; its long stroke is the positive pole."""
    middle = 0.5 * (top + bottom)
    upper, lower = (6.0, 12.0) if positive_below else (12.0, 6.0)
    return [
        Line(((x, top), (x, middle - 3.0))),
        Line(((x - upper, middle - 3.0), (x + upper, middle - 3.0))),
        Line(((x - lower, middle + 3.0), (x + lower, middle + 3.0))),
        Line(((x, middle + 3.0), (x, bottom))),
    ]


def aerial(x: float, top: float, bottom: float) -> list[Shape]:
    """A wire that ends in the sky."""
    return [
        Line(((x, bottom), (x, top))),
        Line(((x - 14.0, top), (x, top + 18.0), (x + 14.0, top))),
        Text(x + 20.0, top + 6.0, "aerial", "start"),
    ]


def earth(x: float, top: float) -> list[Shape]:
    """An earth below a wire."""
    bars: list[Shape] = [
        Line(((x - half, top + 14.0 + 6.0 * row), (x + half, top + 14.0 + 6.0 * row)), "ground")
        for row, half in enumerate((14.0, 9.0, 4.0))
    ]
    return [Line(((x, top), (x, top + 14.0))), *bars, Text(x + 20.0, top + 22.0, "earth", "start")]


def earphones(left: float, right: float, y: float) -> list[Shape]:
    """A pair on its headband, a wire to each side."""
    middle = 0.5 * (left + right)
    caps: list[Shape] = [
        Line(((x, y - 12.0), (x + 8.0, y - 12.0), (x + 8.0, y + 12.0), (x, y + 12.0)), closed=True)
        for x in (middle - 18.0, middle + 10.0)
    ]
    return [
        Line(((left, y), (middle - 18.0, y))),
        *caps,
        Arc(middle, y - 12.0, 14.0, 180.0, 360.0),
        Line(((middle + 18.0, y), (right, y))),
    ]


def earpiece(left: float, right: float, y: float) -> list[Shape]:
    """One earpiece: a domed case with its flat side to the ear."""
    middle, radius, flat = 0.5 * (left + right), 12.5, y + 7.5
    at = (radius**2 - (flat - y) ** 2) ** 0.5
    return [
        Line(((left, y), (middle - at, y))),
        Arc(middle, flat, radius, 180.0, 360.0),
        Line(((middle - radius, flat), (middle + radius, flat))),
        Line(((middle + at, y), (right, y))),
    ]


def amplifier(left: float, y: float) -> list[Shape]:
    """A triangle that points the way the signal goes, 30 long."""
    return [Line(((left, y - 18.0), (left, y + 18.0), (left + 30.0, y)), closed=True)]
