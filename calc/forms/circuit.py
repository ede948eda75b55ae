"""Circuit diagrams of the four links, in one hand: the symbols that the trade uses (IEC 60617), drawn from neutral
shapes.

Lengths are those of a grid of tens. Every symbol stands upright on a vertical wire and takes the two ends of that wire.
"""

from calc.forms.shapes import Arc, Circle, Drawing, Line, Shape, Text

_TOP, _EARTH = 40.0, 200.0
_AERIAL_X, _PRIMARY_X, _COIL_X, _CAPACITOR_X, _BYPASS_X, _EAR_X = 40.0, 95.0, 150.0, 215.0, 330.0, 395.0

_WORDS = {
    "direct": (
        "Aerial straight on the coil",
        "The aerial wire goes straight to the top of the tuned circuit.",
    ),
    "capacitor": (
        "Through a small series capacitor",
        "A small capacitor stands in the aerial lead, between the aerial and the top of the tuned circuit.",
    ),
    "tap": ("To a tap on the coil", "The aerial wire goes to a tap on the coil, some turns above its earthed end."),
    "winding": (
        "Through a separate winding",
        "The aerial wire goes through a winding of its own to earth; that winding stands beside the coil and "
        "couples to it.",
    ),
}


def circuit_drawing(link: str) -> Drawing:
    """The circuit of a set with one of the links "direct", "capacitor", "tap" or "winding"."""
    title, words = _WORDS[link]
    shapes = [*_aerial(), *_link(link), *_tuned_circuit(), *_detector(), *_earth_rail(link)]
    return Drawing(
        key=f"circuit-{link}",
        title=title,
        description=(
            f"Circuit diagram. {words} The tuned circuit is a coil and a variable capacitor side by side, their "
            f"lower ends "
            "earthed. A diode leads from its top to the earphones, across which a by-pass capacitor stands; the "
            "other end of "
            "both is earthed."
        ),
        left=0.0,
        top=0.0,
        width=480.0,
        height=250.0,
        type_size=11.0,
        shapes=shapes,
    )


def _aerial() -> list[Shape]:
    x = _AERIAL_X
    return [
        Line(((x, 70.0), (x, 12.0))),
        Line(((x - 14.0, 12.0), (x, 30.0), (x + 14.0, 12.0))),
        Text(x - 20.0, 55.0, "aerial", "end"),
    ]


def _earth_rail(link: str) -> list[Shape]:
    start = _PRIMARY_X if link == "winding" else _COIL_X
    x = 0.5 * (_COIL_X + _CAPACITOR_X)
    bars: list[Shape] = [
        Line(((x - half, _EARTH + 18.0 + 6.0 * row), (x + half, _EARTH + 18.0 + 6.0 * row)), "ground")
        for row, half in enumerate((14.0, 9.0, 4.0))
    ]
    return [
        Line(((start, _EARTH), (_EAR_X + 48.0, _EARTH), (_EAR_X + 48.0, 122.0), (_EAR_X + 42.0, 122.0))),
        Line(((x, _EARTH), (x, _EARTH + 18.0))),
        *bars,
        Text(x + 22.0, _EARTH + 30.0, "earth", "start"),
    ]


def _link(link: str) -> list[Shape]:
    x = _AERIAL_X
    if link == "direct":
        return [Line(((x, 70.0), (x, _TOP + 30.0), (x, 70.0), (_COIL_X, 70.0)), "accent"), _node(_COIL_X, 70.0)]
    if link == "capacitor":
        middle = 0.5 * (x + _COIL_X)
        return [
            Line(((x, 70.0), (middle - 4.0, 70.0)), "accent"),
            Line(((middle - 4.0, 58.0), (middle - 4.0, 82.0)), "accent"),
            Line(((middle + 4.0, 58.0), (middle + 4.0, 82.0)), "accent"),
            Line(((middle + 4.0, 70.0), (_COIL_X, 70.0)), "accent"),
            Text(middle, 99.0, "series capacitor", "middle", "accent"),
            _node(_COIL_X, 70.0),
        ]
    if link == "tap":
        tap = 158.0
        return [
            Line(((x, 70.0), (x, tap), (_COIL_X, tap)), "accent"),
            _node(_COIL_X, tap),
            Text(x + 8.0, tap - 8.0, "tap", "start", "accent"),
        ]
    return [
        Line(((x, 70.0), (_PRIMARY_X, 70.0), (_PRIMARY_X, 110.0)), "accent"),
        *_coil(_PRIMARY_X, 110.0, 170.0, 3, "accent"),
        Line(((_PRIMARY_X, 170.0), (_PRIMARY_X, _EARTH)), "accent"),
        Text(_PRIMARY_X - 10.0, 144.0, "winding", "end", "accent"),
    ]


def _tuned_circuit() -> list[Shape]:
    return [
        Line(((_COIL_X, 84.0), (_COIL_X, _TOP), (_BYPASS_X - 90.0, _TOP))),
        *_coil(_COIL_X, 84.0, 180.0, 6),
        Line(((_COIL_X, 180.0), (_COIL_X, _EARTH))),
        Text(_COIL_X + 22.0, 136.0, "coil", "start"),
        _node(_CAPACITOR_X, _TOP),
        _node(_CAPACITOR_X, _EARTH),
        *_capacitor(_CAPACITOR_X),
        Line(((_CAPACITOR_X - 17.0, 137.0), (_CAPACITOR_X + 17.0, 103.0))),
        Line(((_CAPACITOR_X + 8.0, 104.0), (_CAPACITOR_X + 17.0, 103.0), (_CAPACITOR_X + 16.0, 112.0))),
        Text(_CAPACITOR_X + 22.0, 150.0, "variable", "start"),
        Text(_CAPACITOR_X + 22.0, 163.0, "capacitor", "start"),
    ]


def _detector() -> list[Shape]:
    left = _BYPASS_X - 90.0
    return [
        Line(((left, _TOP), (left + 28.0, _TOP))),
        Line(((left + 28.0, _TOP - 9.0), (left + 28.0, _TOP + 9.0), (left + 46.0, _TOP)), closed=True),
        Line(((left + 46.0, _TOP - 9.0), (left + 46.0, _TOP + 9.0))),
        Line(((left + 46.0, _TOP), (_EAR_X, _TOP), (_EAR_X, 122.0), (_EAR_X + 6.0, 122.0))),
        Text(left + 37.0, _TOP - 16.0, "detector"),
        _node(_BYPASS_X, _TOP),
        _node(_BYPASS_X, _EARTH),
        *_capacitor(_BYPASS_X),
        Text(_BYPASS_X - 16.0, 124.0, "by-pass", "end"),
        *_earphones(),
    ]


def _earphones() -> list[Shape]:
    """A pair on its headband, a wire to each side."""
    x = _EAR_X
    caps: list[Shape] = [
        Line(((x + at, 110.0), (x + at + 8.0, 110.0), (x + at + 8.0, 134.0), (x + at, 134.0)), closed=True)
        for at in (6.0, 34.0)
    ]
    return [*caps, Arc(x + 24.0, 110.0, 14.0, 180.0, 360.0), Text(x + 24.0, 152.0, "earphones")]


def _coil(x: float, top: float, bottom: float, loops: int, role: str = "ink") -> list[Shape]:
    """Half-round loops down a vertical wire."""
    radius = (bottom - top) / (2.0 * loops)
    return [Arc(x, top + radius * (2 * row + 1), radius, -90.0, 90.0, role) for row in range(loops)]


def _capacitor(x: float) -> list[Shape]:
    """Two plates across the vertical wire from the top rail to the earth rail."""
    return [
        Line(((x, _TOP), (x, 116.0))),
        Line(((x - 14.0, 116.0), (x + 14.0, 116.0))),
        Line(((x - 14.0, 124.0), (x + 14.0, 124.0))),
        Line(((x, 124.0), (x, _EARTH))),
    ]


def _node(x: float, y: float) -> Shape:
    return Circle(x, y, 2.5, filled=True)
