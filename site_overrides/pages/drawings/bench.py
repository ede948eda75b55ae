"""How a set is laid out, how a tap is made, and how a wire comes into a house."""

from calc.forms.circuit.symbols import TYPE, wire, words
from calc.forms.shapes import Arc, Circle, Drawing, Line, Shape

_POST = 4.5
"""Radius of a terminal."""


def bench_layout() -> Drawing:
    """A board from above: power comes in on the left and leaves on the right."""
    shapes: list[Shape] = [
        _box(4.0, 30.0, 332.0, 200.0),
        *_post(24.0, 62.0, "aerial"),
        *_post(24.0, 178.0, "earth"),
        _box(72.0, 66.0, 66.0, 108.0),
        *[wire((72.0, 74.0 + 8.0 * row), (138.0, 74.0 + 8.0 * row), role="thin") for row in range(12)],
        *words(105.0, 56.0, "coil"),
        Circle(210.0, 126.0, 30.0),
        Arc(210.0, 126.0, 22.0, 90.0, 270.0),
        wire((210.0, 104.0), (210.0, 148.0)),
        *words(210.0, 168.0, "capacitor"),
        wire((210.0, 96.0), (210.0, 80.0), (246.0, 80.0), role="accent"),
        Line(((246.0, 73.0), (246.0, 87.0), (260.0, 80.0)), closed=True),
        wire((260.0, 73.0), (260.0, 87.0)),
        wire((260.0, 80.0), (306.0, 80.0)),
        *words(253.0, 60.0, "detector"),
        *_post(310.0, 80.0, ""),
        *_post(310.0, 196.0, ""),
        *words(318.0, 138.0, "earphones", "end"),
        wire((28.5, 62.0), (60.0, 62.0), (60.0, 82.0), (72.0, 82.0), role="accent"),
        wire((138.0, 82.0), (170.0, 82.0), (210.0, 82.0), role="accent"),
        wire((24.0, 182.5), (24.0, 196.0), (305.5, 196.0)),
        wire((105.0, 174.0), (105.0, 196.0)),
        wire((240.0, 126.0), (248.0, 126.0), (248.0, 196.0)),
        *words(170.0, 216.0, "short live wires, one thick earth wire", role="thin"),
    ]
    return Drawing(
        key="bench-layout",
        title="A board seen from above",
        description="A wooden board. On the left edge stand the terminals of aerial and earth. Next to them lies the "
        "coil, then the variable capacitor, then the detector, and on the right edge the two terminals of"
        " the earphones. Short wires join the top of the coil, the capacitor and the detector. One thick "
        "earth wire runs along the near edge, and coil, capacitor and earphones come down to it.",
        left=0.0,
        top=24.0,
        width=340.0,
        height=212.0,
        type_size=TYPE,
        shapes=shapes,
    )


def twisted_tap() -> Drawing:
    """A loop twisted into the wire between one turn and the next."""
    shapes: list[Shape] = [
        _box(20.0, 40.0, 220.0, 90.0),
        *[wire((60.0 + 14.0 * turn, 40.0), (66.0 + 14.0 * turn, 130.0)) for turn in range(10) if turn != 5],
        wire((130.0, 130.0), (130.0, 86.0), (134.0, 74.0), (127.0, 62.0), (134.0, 50.0), (127.0, 38.0), role="accent"),
        wire((136.0, 130.0), (134.0, 86.0), (127.0, 74.0), (134.0, 62.0), (127.0, 50.0), (134.0, 38.0), role="accent"),
        Arc(130.5, 28.0, 10.0, 110.0, 430.0, "accent"),
        *words(150.0, 22.0, "scrape and tin the loop", "start", "accent"),
        *words(130.0, 148.0, "the wire is not cut"),
    ]
    return Drawing(
        key="twisted-tap",
        title="A tap",
        description="A tube with ten turns of wire. In the middle the wire leaves the tube, is twisted on itself, "
        "ends in a small loop above it, and goes on as the next turn without being cut.",
        left=10.0,
        top=6.0,
        width=280.0,
        height=154.0,
        type_size=TYPE,
        shapes=shapes,
    )


def lead_in() -> Drawing:
    """From the wire in the air to the set, with an earth outside."""
    ground = 214.0
    shapes: list[Shape] = [
        wire((4.0, ground), (336.0, ground), role="ground"),
        wire((30.0, ground), (30.0, 34.0)),
        wire((30.0, 40.0), (52.0, 42.0), role="thin"),
        Circle(56.0, 42.0, 3.5),
        wire((60.0, 42.0), (196.0, 52.0), role="accent"),
        Circle(200.0, 52.0, 3.5),
        wire((203.5, 52.0), (232.0, 54.0), role="thin"),
        wire((232.0, ground), (232.0, 40.0), (284.0, 14.0), (336.0, 40.0)),
        wire((196.0, 52.0), (196.0, 138.0), (204.0, 150.0), (240.0, 146.0), (262.0, 146.0), role="accent"),
        _box(262.0, 134.0, 44.0, 26.0),
        *words(284.0, 147.0, "set"),
        *words(128.0, 34.0, "wire"),
        *words(40.0, 92.0, "pole, or", "start"),
        *words(40.0, 105.0, "a firm post", "start"),
        *words(188.0, 128.0, "drip loop", "end", "accent"),
        wire((204.0, 150.0), (204.0, 168.0)),
        Circle(204.0, 170.0, 2.5, filled=True),
        wire((204.0, 170.0), (212.0, 186.0)),
        Circle(204.0, 190.0, 2.5, filled=True),
        wire((204.0, 190.0), (204.0, 244.0)),
        *words(190.0, 180.0, "earthing switch,", "end"),
        *words(190.0, 193.0, "outside", "end"),
        *words(190.0, 236.0, "stake", "end"),
        wire((204.0, 200.0), (250.0, 200.0), (250.0, 156.0), (262.0, 156.0)),
    ]
    return Drawing(
        key="lead-in",
        title="From the wire to the set",
        description="A wire hangs between a pole on the left and the wall of a house on the right, with an insulator "
        "at each end. Its lead comes down outside the wall, makes a loop that lets rain drip off, and "
        "goes through the wall to the set. Outside, a switch can join the lead to a stake in the soil. "
        "The set's earth wire comes from the same stake.",
        left=0.0,
        top=4.0,
        width=340.0,
        height=248.0,
        type_size=TYPE,
        shapes=shapes,
    )


def _box(x: float, y: float, width: float, height: float) -> Line:
    return Line(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), closed=True)


def _post(x: float, y: float, name: str) -> list[Shape]:
    """A terminal, its name above it."""
    return [Circle(x, y, _POST), *(words(x + 1.0, y - 16.0, name) if name else [])]
