"""Circuit diagrams of whole sets, in one hand: from the aerial to the ear, drawn from what was chosen."""

from functools import lru_cache

from calc.forms.circuit.aerial_side import aerial_side
from calc.forms.circuit.detector_side import CAPACITOR, detector_side, tuned_circuit
from calc.forms.circuit.parts import TITLES, CircuitParts, description
from calc.forms.circuit.places import EARTH
from calc.forms.circuit.symbols import TYPE, earth, node, wire
from calc.forms.circuit.values import with_values
from calc.forms.shapes import Circle, Drawing, Line, Shape

__all__ = ["CircuitParts", "circuit_drawing", "with_values"]

_MARGIN = 12.0


@lru_cache(maxsize=16)
def circuit_drawing(parts: CircuitParts) -> Drawing:
    """The circuit of a set."""
    front = aerial_side(parts)
    coil = front.coil
    back, last = detector_side(parts, coil)
    first = coil if front.left is None else front.left
    middle = coil + 0.5 * CAPACITOR
    wires = [*front.shapes, *tuned_circuit(parts, coil), *back]
    joined = [node(x, EARTH) for x in sorted({*_earthed(wires), middle}) if first < x < last]
    shapes = _nodes_last([*wires, *joined, wire((first, EARTH), (last, EARTH)), *earth(middle, EARTH)])
    left, right = _reach(shapes)
    top = front.top - _MARGIN
    return Drawing(
        key=f"circuit-{parts.link}",
        title=TITLES[parts.link],
        description=description(parts),
        left=left - _MARGIN,
        top=top,
        width=right - left + 2.0 * _MARGIN,
        height=EARTH + 36.0 + _MARGIN - top,
        type_size=TYPE,
        shapes=shapes,
    )


def _earthed(shapes: list[Shape]) -> set[float]:
    """Where wires come down to earth."""
    return {x for shape in shapes if isinstance(shape, Line) for x, y in shape.points if y == EARTH}


def _nodes_last(shapes: list[Shape]) -> list[Shape]:
    """Nodes lie over the wires that they join."""
    return sorted(shapes, key=lambda shape: isinstance(shape, Circle) and shape.filled)


def _reach(shapes: list[Shape]) -> tuple[float, float]:
    """From the leftmost wire to the rightmost."""
    xs = [x for shape in shapes if isinstance(shape, Line) for x, _ in shape.points]
    return min(xs), max(xs)
