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


def two_currents() -> Drawing:
    """The voltage at the detector's output, about its steady part: whole, and with its troughs cut off."""
    whole, cut = 78.0, 186.0
    steady, small = 1.0, 0.55
    swings = [(at, _envelope(at)) for at in _times()]
    shapes: list[Shape] = [
        *_line(whole, swings, "accent"),
        Line(((_LEFT, whole - _HEIGHT * steady), (_RIGHT, whole - _HEIGHT * steady)), "ink", dashed=True),
        wire((_LEFT, whole), (_RIGHT, whole), role="thin"),
        *_line(cut, [(at, max(0.0, value - steady + small)) for at, value in swings], "accent"),
        Line(((_LEFT, cut - _HEIGHT * small), (_RIGHT, cut - _HEIGHT * small)), "ink", dashed=True),
        wire((_LEFT, cut), (_RIGHT, cut), role="thin"),
        *words(_LEFT, 12.0, "loads alike: the sound swings about the steady part", "start"),
        *words(_LEFT, 126.0, "less load to d.c. than to sound: troughs are cut", "start"),
        *words(_RIGHT, whole + 14.0, "nought", "end", "thin"),
        *words(_RIGHT, cut + 14.0, "nought", "end", "thin"),
    ]
    return Drawing(
        key="two-currents",
        title="What comes out of the detector",
        description="Two curves over the same time. In the first, a slow wave swings about a dashed line, the steady "
        "part, and never comes down to nought. In the second the dashed line lies lower. The wave would "
        "swing below nought, and its troughs are cut off flat.",
        left=10.0,
        top=0.0,
        width=316.0,
        height=210.0,
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
