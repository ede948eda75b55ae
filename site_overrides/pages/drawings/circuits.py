"""Circuits that are no whole set."""

from calc.forms.circuit.places import COIL_BOTTOM, COIL_TOP, EARTH, LOOPS, PLATES, RAIL
from calc.forms.circuit.symbols import TYPE, arrow, capacitor, coil, earth, node, wire, words
from calc.forms.shapes import Circle, Drawing, Line, Shape, Text


def strays() -> Drawing:
    """The tuned circuit with the capacitances that nobody put there."""
    own, wiring, wanted, aerial = 76.0, 214.0, 140.0, 286.0
    shapes: list[Shape] = [
        wire((20.0, COIL_TOP), (20.0, RAIL), (wanted, RAIL)),
        *coil(20.0, COIL_TOP, COIL_BOTTOM, LOOPS, -1),
        wire((20.0, COIL_BOTTOM), (20.0, EARTH), (wanted, EARTH)),
        wire((wanted, RAIL), (aerial, RAIL), role="accent"),
        wire((wanted, EARTH), (aerial, EARTH), role="accent"),
        *capacitor(wanted, RAIL, EARTH, PLATES),
        *arrow(wanted, PLATES),
        node(wanted, RAIL),
        node(wanted, EARTH),
        *words(20.0, RAIL - 16.0, "coil"),
        *words(wanted, RAIL - 29.0, "variable\ncapacitor"),
    ]
    for x, name in ((own, "the coil's\nown"), (wiring, "wiring,\ndetector"), (aerial, "the\naerial's")):
        shapes += [_dashed(shape) for shape in capacitor(x, RAIL, EARTH, PLATES, "accent")]
        shapes += [node(x, RAIL), node(x, EARTH), *words(x, RAIL - 29.0, name, role="accent")]
    shapes += earth(own, EARTH)
    return Drawing(
        key="strays",
        title="What lies across the coil",
        description="A coil with a variable capacitor across it. Three more capacitors, drawn with dashes, lie across"
        " them: the coil's own capacitance, that of wiring and detector, and that of the aerial. The "
        "lower end is earthed.",
        left=-14.0,
        top=RAIL - 46.0,
        width=334.0,
        height=EARTH + 40.0 - RAIL + 46.0,
        type_size=TYPE,
        shapes=shapes,
    )


def coil_on_the_bench() -> Drawing:
    """A source that drives a tuned circuit from a distance, and a meter that takes little from it."""
    source, loop, tank, condenser, meter = 30.0, 96.0, 152.0, 226.0, 334.0
    shapes: list[Shape] = [
        Circle(source, PLATES, 17.0),
        Text(source, PLATES, "∿", size=1.6),
        wire((source, PLATES - 17.0), (source, 120.0), (loop, 120.0), (loop, 132.0)),
        *coil(loop, 132.0, 168.0, 2),
        wire((loop, 168.0), (loop, 180.0), (source, 180.0), (source, PLATES + 17.0)),
        *words(source + 4.0, 198.0, "source"),
        wire((tank, COIL_TOP), (tank, RAIL), (meter, RAIL), (meter, PLATES - 17.0)),
        *coil(tank, COIL_TOP, COIL_BOTTOM, LOOPS, -1),
        wire((tank, COIL_BOTTOM), (tank, EARTH), (meter, EARTH), (meter, PLATES + 17.0)),
        *capacitor(condenser, RAIL, EARTH, PLATES),
        node(condenser, RAIL),
        node(condenser, EARTH),
        Circle(meter, PLATES, 17.0),
        Text(meter, PLATES, "V"),
        *words(meter - 10.0, PLATES + 44.0, "meter,\nlightly joined", "end", "thin"),
        *words(tank + 8.0, PLATES, "coil", "start"),
        *words(condenser, RAIL - 16.0, "known capacitor"),
        *words(tank - 16.0, 88.0, "well apart", "end", "accent"),
        *earth(tank, EARTH),
    ]
    return Drawing(
        key="coil-on-the-bench",
        title="A tuned circuit on the bench",
        description="A source drives a loop of two turns. Well apart from it stands the coil to be measured, with a "
        "known capacitor and a voltmeter across it. Its lower end is earthed.",
        left=0.0,
        top=RAIL - 30.0,
        width=360.0,
        height=EARTH + 40.0 - RAIL + 30.0,
        type_size=TYPE,
        shapes=shapes,
    )


def _dashed(shape: Shape) -> Shape:
    return Line(shape.points, shape.role, dashed=True) if isinstance(shape, Line) else shape
