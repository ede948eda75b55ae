"""Two bars of known length, by which a print is proved to be at true size."""

from calc.forms.shapes import Drawing, Line, Shape, Text
from calc.forms.sheets.paper import Picture, Words

TYPE = 3.2
"""Height of the type of drawings at true size [mm]."""

METRIC, INCHES = 100.0, 101.6
"""Lengths of the two bars: 100 mm and 4 in [mm]."""


def printer_check() -> tuple[Words, Picture]:
    """What to look at first, and the bars to lay a rule on."""
    shapes: list[Shape] = []
    for y, length, words, steps in ((6.0, METRIC, "100 mm", 10), (17.0, INCHES, "4 in", 4)):
        shapes.append(Line(((0.0, y), (length, y))))
        for step in range(steps + 1):
            x, reach = length * step / steps, 2.5 if step in (0, steps) else 1.5
            shapes.append(Line(((x, y - reach), (x, y + reach))))
        shapes.append(Text(length + 3.0, y, words, "start"))
    drawing = Drawing(
        "printer-check", "Bars of 100 mm and of 4 in",
        "Two bars to lay a rule on: the upper 100 mm long with a stroke each 10 mm, the lower 4 in with one each inch.",
        -1.0, 2.0, 130.0, 19.0, TYPE, shapes,
    )  # fmt: skip
    told = "Print at 100 %, not fitted to the page. Lay a rule on both bars: if they are not right, nor is the rest."
    return Words((told,), "At true size?"), Picture(drawing)
