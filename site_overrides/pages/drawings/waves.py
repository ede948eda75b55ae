"""The wave before and after the detector."""

from itertools import pairwise
from math import cos, pi

from calc.forms.circuit.symbols import TYPE, wire, words
from calc.forms.shapes import Drawing, Line, Point, Shape

_LEFT, _RIGHT = 20.0, 316.0
_CYCLES, _STEPS = 24, 24
"""Cycles of the carrier that are drawn, and points in each of them."""

_SOUNDS = 1.5
"""Cycles of the sound."""

_DEPTH, _HEIGHT = 0.7, 22.0


def from_carrier_to_sound() -> Drawing:
    """Three lines: what the coil gives, what the detector lets by, and what the earphones follow."""
    coil, passed, ear = 62.0, 176.0, 268.0
    shapes: list[Shape] = [
        *_line(coil, [(at, _envelope(at) * cos(2.0 * pi * _CYCLES * at)) for at in _times()], "ink"),
        *_line(coil, [(at, _envelope(at)) for at in _times()], "accent"),
        *_line(passed, [(at, max(0.0, _envelope(at) * cos(2.0 * pi * _CYCLES * at))) for at in _times()], "ink"),
        *_line(ear, [(at, _envelope(at)) for at in _times()], "accent"),
        wire((_LEFT, coil), (_RIGHT, coil), role="thin"),
        wire((_LEFT, passed), (_RIGHT, passed), role="thin"),
        wire((_LEFT, ear), (_RIGHT, ear), role="thin"),
        *words(_LEFT, 12.0, "at the coil: the carrier, swelling with the sound", "start"),
        *words(_LEFT, 126.0, "past the detector: one way only", "start"),
        *words(_LEFT, 218.0, "in the earphones: the sound, over a steady part", "start"),
    ]
    return Drawing(
        key="from-carrier-to-sound",
        title="From carrier to sound",
        description="Three curves over the same time. The first is a fast wave whose height swells and shrinks "
        "slowly, with its outline drawn above it. The second is the same wave with only its upper halves "
        "left. The third is the outline by itself, which lies above nought and rises and falls with the "
        "sound.",
        left=10.0,
        top=0.0,
        width=316.0,
        height=284.0,
        type_size=TYPE,
        shapes=shapes,
    )


def _times() -> list[float]:
    count = _CYCLES * _STEPS
    return [step / count for step in range(count + 1)]


def _envelope(at: float) -> float:
    return 1.0 - _DEPTH * cos(2.0 * pi * _SOUNDS * at)


def _line(base: float, values: list[tuple[float, float]], role: str) -> list[Shape]:
    """A curve over its base line, without points that lie on a straight line with their neighbours."""
    points: list[Point] = [(_LEFT + (_RIGHT - _LEFT) * at, base - _HEIGHT * value) for at, value in values]
    kept = [points[0]]
    for (before, here), (_, after) in pairwise(pairwise(points)):
        if (here[1] - before[1]) != (after[1] - here[1]):
            kept.append(here)
    return [Line([*kept, points[-1]], role)]
