"""From the aerial to the top of the tuned circuit."""

from dataclasses import dataclass

from calc.forms.circuit.parts import CircuitParts
from calc.forms.circuit.places import COIL_BOTTOM, COIL_TOP, EARTH, LOOPS, PLATES, RAIL, between_loops
from calc.forms.circuit.symbols import aerial, arrow, capacitor, capacitor_lying, coil, node, wire, words
from calc.forms.shapes import Shape

_MAST = 48.0
"""Of the aerial above what stands in its lead."""

_TRAP, _LEAD = 56.0, 48.0
"""Heights of a trap and of another part in the lead."""

_ACCEPTOR_APART = 74.0
"""From the acceptor to the lead."""

_APART = 44.0
"""Between coils that are coupled."""


@dataclass(frozen=True)
class Drawn:
    """What has been drawn.

    Attributes:
        shapes: so far.
        left: where the earth wire begins, if anything is earthed; else None.
        top: of the aerial.
        coil: where the tank's coil stands.
    """

    shapes: list[Shape]
    left: float | None
    top: float
    coil: float


def aerial_side(parts: CircuitParts) -> Drawn:
    """Aerial, lead, trap and link."""
    x = _ACCEPTOR_APART + 40.0 if parts.trap == "acceptor" else 40.0
    top = RAIL - _MAST - (_TRAP if parts.trap == "rejector" else 0.0) - (_LEAD if parts.lead != "nothing" else 0.0)
    shapes, left = _lead(parts, x, top)
    link, first, coil_at = _link(parts, x)
    earthed = [at for at in (left, first) if at is not None]
    return Drawn([*shapes, *link], min(earthed) if earthed else None, top, coil_at)


def _lead(parts: CircuitParts, x: float, top: float) -> tuple[list[Shape], float | None]:
    """The aerial's lead down to the rail, and where its acceptor is earthed."""
    y, left = top + 30.0, None
    shapes = aerial(x, top, y)
    if parts.trap == "rejector":
        shapes += _rejector(x, y, y + _TRAP)
        y += _TRAP
    if parts.trap == "acceptor":
        left = x - _ACCEPTOR_APART
        shapes += [node(x, y), wire((x, y), (left, y), (left, COIL_TOP)), *coil(left, COIL_TOP, 160.0, 4)]
        shapes += [*capacitor(left, 160.0, EARTH, 196.0), *words(left + 14.0, 130.0, "acceptor", "start")]
    if parts.lead == "coil":
        shapes += [wire((x, y), (x, y + 6.0)), *coil(x, y + 6.0, y + 42.0, 3), wire((x, y + 42.0), (x, y + _LEAD))]
        shapes += words(x + 14.0, y + 24.0, "loading coil", "start")
    if parts.lead == "capacitor":
        shapes += [*capacitor(x, y, y + _LEAD, y + 24.0), *words(x + 20.0, y + 24.0, "capacitor", "start")]
    y += _LEAD if parts.lead != "nothing" else 0.0
    return [*shapes, wire((x, y), (x, RAIL))], left


def _rejector(x: float, top: float, bottom: float) -> list[Shape]:
    """Coil and capacitor side by side in a standing wire."""
    upper, lower, left, right = top + 4.0, bottom - 4.0, x - 16.0, x + 16.0
    middle = 0.5 * (top + bottom)
    return [
        wire((x, top), (x, upper)),
        wire((left, upper + 6.0), (left, upper), (right, upper)),
        *coil(left, upper + 6.0, lower - 6.0, 3, -1),
        *capacitor(right, upper, lower, middle),
        wire((left, lower - 6.0), (left, lower), (right, lower)),
        wire((x, lower), (x, bottom)),
        node(x, upper),
        node(x, lower),
        *words(right + 20.0, middle, "rejector", "start"),
    ]


def _link(parts: CircuitParts, x: float) -> tuple[list[Shape], float | None, float]:
    """The link, where it is first earthed, and where the tank's coil stands."""
    if parts.link == "direct":
        return [wire((x, RAIL), (x + 56.0, RAIL), role="accent")], None, x + 56.0
    if parts.link == "capacitor":
        return _series_capacitor(x, x + 84.0), None, x + 84.0
    if parts.link == "tap":
        tap, at = between_loops(5), x + 66.0
        shapes = [wire((x, RAIL), (x, tap), (at, tap), role="accent"), node(at, tap)]
        return [*shapes, *words(x + 8.0, tap - 9.0, "tap", "start", "accent")], None, at
    if parts.link == "pair":
        return _coupled_coils(x)
    if parts.link == "pair-capacitor":
        return _coupled_tops(x)
    return _winding(parts, x)


def _series_capacitor(left: float, right: float) -> list[Shape]:
    middle = 0.5 * (left + right)
    label = words(middle, RAIL + 24.0, "series\ncapacitor", role="accent")
    return [*capacitor_lying(RAIL, left, right, "accent"), *label]


def _winding(parts: CircuitParts, x: float) -> tuple[list[Shape], float, float]:
    """A winding to earth, with what tunes the aerial below it."""
    at = x + 50.0
    shapes = [wire((x, RAIL), (at, RAIL), (at, COIL_TOP), role="accent")]
    if parts.link == "winding":
        shapes += [wire((at, COIL_TOP), (at, 120.0), role="accent"), *coil(at, 120.0, 180.0, 3, 1, "accent")]
        shapes += [wire((at, 180.0), (at, EARTH), role="accent"), *words(at - 10.0, PLATES, "winding", "end", "accent")]
        return shapes, at, at + _APART
    shapes += [*coil(at, COIL_TOP, 148.0, 3, 1, "accent"), *words(at - 10.0, 124.0, "winding", "end", "accent")]
    middle = 198.0
    if parts.aerial_tuner == "coil":
        shapes += [wire((at, 148.0), (at, middle - 18.0), role="accent")]
        shapes += coil(at, middle - 18.0, middle + 18.0, 3, 1, "accent")
        shapes += [wire((at, middle + 18.0), (at, EARTH), role="accent")]
    else:
        shapes += capacitor(at, 148.0, EARTH, middle, "accent")
    shapes += arrow(at, middle, "accent")
    label = f"aerial\ntuning\n{parts.aerial_tuner}"
    return [*shapes, *words(at - 22.0, middle - 13.0, label, "end", "accent")], at, at + _APART


def _coupled_coils(x: float) -> tuple[list[Shape], float, float]:
    """A first tuned circuit whose coil faces the tank's."""
    condenser, first = x + 88.0, x + 134.0
    shapes = [
        *_series_capacitor(x, condenser),
        wire((condenser, RAIL), (first, RAIL), (first, COIL_TOP), role="accent"),
        node(condenser, RAIL),
        *_first_capacitor(condenser),
        *coil(first, COIL_TOP, COIL_BOTTOM, LOOPS, 1, "accent"),
        wire((first, COIL_BOTTOM), (first, EARTH), role="accent"),
        *_first_label(condenser, first),
    ]
    return shapes, condenser, first + _APART


def _coupled_tops(x: float) -> tuple[list[Shape], float, float]:
    """A first tuned circuit whose top is joined to the tank's by a small capacitor."""
    first, condenser = x + 88.0, x + 134.0
    tank = condenser + 84.0
    shapes = [
        *_series_capacitor(x, first),
        wire((first, RAIL), (condenser, RAIL), role="accent"),
        wire((first, RAIL), (first, COIL_TOP), role="accent"),
        node(first, RAIL),
        node(condenser, RAIL),
        *coil(first, COIL_TOP, COIL_BOTTOM, LOOPS, -1, "accent"),
        wire((first, COIL_BOTTOM), (first, EARTH), role="accent"),
        *_first_capacitor(condenser),
        *capacitor_lying(RAIL, condenser, tank, "accent"),
        *words(0.5 * (condenser + tank), RAIL + 24.0, "coupling\ncapacitor", role="accent"),
        *_first_label(first, condenser),
    ]
    return shapes, first, tank


def _first_capacitor(x: float) -> list[Shape]:
    return [*capacitor(x, RAIL, EARTH, PLATES, "accent"), *arrow(x, PLATES, "accent")]


def _first_label(left: float, right: float) -> list[Shape]:
    return words(0.5 * (left + right), EARTH + 14.0, "first circuit", role="accent")
