"""From the tuned circuit to the ear."""

from calc.forms.circuit.parts import CircuitParts
from calc.forms.circuit.places import COIL_BOTTOM, COIL_TOP, EARTH, LOOPS, PLATES, RAIL, between_loops
from calc.forms.circuit.symbols import (
    amplifier,
    arrow,
    capacitor,
    capacitor_lying,
    cell,
    coil,
    diode_lying,
    earphones,
    earpiece,
    node,
    resistor_lying,
    wire,
    words,
)
from calc.forms.shapes import Shape

CAPACITOR = 62.0
"""From the coil to the variable capacitor."""

_EAR, _RETURN = 140.0, 192.0
"""Heights of what is listened with, and of the wire back from it to a transformer."""

_FOOT = 18.0
"""From the live wire to the amplifier's wire back."""

_LEFT_COILS = ("winding", "tuned-winding", "pair")
"""Links whose coil faces the one before it."""


def tuned_circuit(parts: CircuitParts, x: float) -> list[Shape]:
    """Coil and variable capacitor, the coil at x."""
    condenser = x + CAPACITOR
    side = -1 if parts.link in _LEFT_COILS or (parts.detector_tap and parts.link != "tap") else 1
    joined = [node(x, RAIL)] if parts.link in ("direct", "capacitor", "pair-capacitor") else []
    joined += [] if parts.detector_tap else [node(condenser, RAIL)]
    return [
        wire((x, COIL_TOP), (x, RAIL), (condenser, RAIL)),
        *joined,
        *coil(x, COIL_TOP, COIL_BOTTOM, LOOPS, side),
        wire((x, COIL_BOTTOM), (x, EARTH)),
        *words(x + 14.0, PLATES, "coil", "start"),
        *capacitor(condenser, RAIL, EARTH, PLATES),
        *arrow(condenser, PLATES),
        *words(condenser + 20.0, 170.0, "variable\ncapacitor", "start"),
    ]


def detector_side(parts: CircuitParts, x: float) -> tuple[list[Shape], float]:
    """Detector, by-pass, cure and load after a coil at x, and where the earth wire ends."""
    condenser = x + CAPACITOR
    start, end = condenser + 28.0, condenser + 78.0
    shapes = _to_detector(parts, x, start)
    shapes += [*diode_lying(RAIL, start, end), *words(0.5 * (start + end), RAIL - 18.0, "detector")]
    at = end
    if parts.bypass:
        at = condenser + 104.0
        shapes += [wire((end, RAIL), (at, RAIL)), node(at, RAIL), *capacitor(at, RAIL, EARTH, PLATES)]
        shapes += words(at - 18.0, PLATES, "by-pass", "end")
    if parts.cure:
        shapes += [wire((at, RAIL), (at + 16.0, RAIL)), *_cure(at + 16.0, at + 76.0)]
        at += 76.0
    load = at + 34.0
    shapes.append(wire((at, RAIL), (load, RAIL)))
    more, last = _transformed(parts, load) if parts.transformer else _untransformed(parts, load)
    return shapes + more, last


def _to_detector(parts: CircuitParts, x: float, start: float) -> list[Shape]:
    """From the top of the tuned circuit, or from a tap, which crosses the capacitor's wire."""
    if not parts.detector_tap:
        return [wire((x + CAPACITOR, RAIL), (start, RAIL))]
    tap = between_loops(1)
    return [node(x, tap), wire((x, tap), (start, tap), (start, RAIL)), *words(x + 18.0, tap - 9.0, "tap", "start")]


def _cure(left: float, right: float) -> list[Shape]:
    """A resistor in the rail, a capacitor across it."""
    below = RAIL + 28.0
    return [
        *resistor_lying(RAIL, left, right),
        wire((left, RAIL), (left, below)),
        *capacitor_lying(below, left, right),
        wire((right, below), (right, RAIL)),
        node(left, RAIL),
        node(right, RAIL),
        *words(0.5 * (left + right), RAIL - 18.0, "cure"),
    ]


def _untransformed(parts: CircuitParts, x: float) -> tuple[list[Shape], float]:
    """What is listened with, between the rail and earth."""
    shapes, last = _ear(parts, x)
    shapes.append(wire((x, RAIL), (x, _EAR)))
    if parts.ear == "amplifier":
        shapes += [wire((x + _FOOT, _RETURN), (last, _RETURN)), node(last, _RETURN)]
    if not parts.bias:
        return [*shapes, wire((last, _EAR), (last, EARTH))], last
    label = words(last - 18.0, 0.5 * (_RETURN + EARTH), "bias cell", "end")
    wires = [wire((last, _EAR), (last, _RETURN)), *cell(last, _RETURN, EARTH, parts.bias > 0.0)]
    return [*shapes, *wires, *label], last


def _transformed(parts: CircuitParts, x: float) -> tuple[list[Shape], float]:
    """Primary between the rail and earth, secondary to what is listened with."""
    secondary = x + 40.0
    ear = secondary + 24.0
    shapes, last = _ear(parts, ear)
    foot = [node(ear + _FOOT, _RETURN)] if parts.ear == "amplifier" else []
    core = [wire((x + at, 104.0), (x + at, 176.0)) for at in (18.0, 22.0)]
    top, bottom = 110.0, 170.0
    primary = [wire((x, RAIL), (x, top)), *coil(x, top, bottom, 4)]
    if parts.bias:
        primary += [wire((x, bottom), (x, _RETURN)), *cell(x, _RETURN, EARTH, parts.bias > 0.0)]
        primary += words(x + 18.0, 0.5 * (_RETURN + EARTH) + 4.0, "bias cell", "start")
    else:
        primary.append(wire((x, bottom), (x, EARTH)))
    return [
        *shapes,
        *foot,
        *primary,
        *core,
        *coil(secondary, top, bottom, 4, -1),
        wire((secondary, top), (secondary, 94.0), (ear, 94.0), (ear, _EAR)),
        wire((secondary, bottom), (secondary, _RETURN), (last, _RETURN), (last, _EAR)),
        *words(x + 10.0, 78.0, "transformer", "start"),
    ], x


def _ear(parts: CircuitParts, x: float) -> tuple[list[Shape], float]:
    """What is listened with, its live wire at x and its other wire where it says, both at one height."""
    if parts.ear == "amplifier":
        last = x + 106.0
        return [
            wire((x, _EAR), (x + 8.0, _EAR)),
            *amplifier(x + 8.0, _EAR),
            wire((x + _FOOT, _EAR + 12.0), (x + _FOOT, _RETURN)),
            *words(x + 24.0, _EAR + 40.0, "amplifier", "start"),
            *earphones(x + 38.0, last, _EAR),
            *words(x + 72.0, _EAR + 24.0, "earphones"),
        ], last
    last = x + 64.0
    if parts.ear == "earphones":
        return [*earphones(x, last, _EAR), *words(x + 32.0, _EAR + 24.0, "earphones")], last
    across = _EAR + 26.0
    return [
        *earpiece(x, last, _EAR),
        node(x, _EAR),
        wire((x, _EAR), (x, across)),
        *resistor_lying(across, x, last),
        node(last, across),
        *words(x + 32.0, _EAR - 22.0, "earpiece"),
        *words(x + 32.0, across + 14.0, "resistor"),
    ], last
