"""The way of the power, from the wave to the ear."""

from calc.forms.circuit.symbols import TYPE, wire, words
from calc.forms.shapes import Drawing, Line, Shape

_WIDTH, _HEIGHT = 92.0, 40.0
"""Of a box."""

_ACROSS, _DOWN = 122.0, 92.0
"""From one box to the next."""

_STAGES = (
    ("wave", "ground, hills\nand distance"),
    ("aerial\nand earth", "the soil"),
    ("link", "what you give\nup to be sharp"),
    ("coil and\ncapacitor", "warm wire"),
    ("detector", "a warm\njunction"),
    ("earphones\nand ear", "copper, iron\nand the room"),
)
"""What the power goes through, and where some of it is left."""


def way_of_power() -> Drawing:
    """Six stages in two rows, with what each of them keeps."""
    shapes: list[Shape] = []
    for number, (name, lost) in enumerate(_STAGES):
        row, place = divmod(number, 3)
        shapes += _stage(_ACROSS * place, _DOWN * row, name, lost)
        if place < 2:
            y = _DOWN * row + 0.5 * _HEIGHT
            shapes += _arrow((_ACROSS * place + _WIDTH, y), (_ACROSS * (place + 1), y))
    turn = _HEIGHT + 40.0
    right, left = 2.0 * _ACROSS + _WIDTH, 0.5 * _WIDTH
    shapes.append(wire((right, 20.0), (right + 12.0, 20.0), (right + 12.0, turn), (left, turn), role="accent"))
    shapes += _arrow((left, turn), (left, _DOWN))
    return Drawing(
        key="way-of-power",
        title="Where the power goes",
        description="Six boxes in two rows, joined by arrows: wave; aerial and earth; link; then coil and capacitor; "
        "detector; earphones and ear. Below each box stands what is lost there: in the wave, by ground, "
        "hills and distance; in aerial and earth, the soil; in the link, what is given up for sharpness; "
        "in the coil, warm wire; in the detector, a warm junction; in the earphones, copper, iron and the"
        " room.",
        left=-8.0,
        top=-8.0,
        width=right + 28.0,
        height=_DOWN + _HEIGHT + 46.0,
        type_size=TYPE,
        shapes=shapes,
    )


def _stage(x: float, y: float, name: str, lost: str) -> list[Shape]:
    box = ((x, y), (x + _WIDTH, y), (x + _WIDTH, y + _HEIGHT), (x, y + _HEIGHT))
    middle = x + 0.5 * _WIDTH
    first = y + 0.5 * _HEIGHT - (6.5 if "\n" in name else 0.0)
    return [Line(box, closed=True), *words(middle, first, name), *words(middle, y + _HEIGHT + 12.0, lost, role="thin")]


def _arrow(start: tuple[float, float], end: tuple[float, float]) -> list[Shape]:
    """A straight arrow, lying to the right or standing downwards."""
    x, y = end
    barbs = (
        ((x - 6.0, y - 4.0), end, (x - 6.0, y + 4.0))
        if start[1] == y
        else ((x - 4.0, y - 6.0), end, (x + 4.0, y - 6.0))
    )
    return [wire(start, end, role="accent"), wire(*barbs, role="accent")]
