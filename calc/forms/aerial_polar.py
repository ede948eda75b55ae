"""The polar drawing of a loop: what it takes from each direction, as a line about a middle."""

from math import cos, radians, sin

import numpy as np

from calc import units
from calc.aerials import loop_pattern
from calc.forms.shapes import Circle, Drawing, Line, Point, Shape, Text

_RADIUS = 100.0
_DEEP = 0.3
"""A dip below this share of the best direction is called a null."""


def _at(share: float, degrees: float) -> Point:
    """The point at a share of the radius, in a direction clockwise from the top."""
    angle = radians(degrees)
    return _RADIUS * share * sin(angle), -_RADIUS * share * cos(angle)


def pattern(upright: complex) -> tuple[np.ndarray, np.ndarray]:
    """Directions from the best one [degrees] and what comes from each, over what comes from the best."""
    degrees = np.arange(0.0, 360.0, 2.0)
    taken = np.asarray(loop_pattern(degrees, upright))
    return degrees, taken / taken.max()


def nulls(upright: complex) -> list[float]:
    """Directions in which next to nothing is taken [degrees from the best], where the pattern dips."""
    degrees = np.arange(0.0, 360.0, 0.5)
    taken = np.asarray(loop_pattern(degrees, upright))
    taken = taken / taken.max()
    lowest = (taken <= np.roll(taken, 1)) & (taken < np.roll(taken, -1)) & (taken < _DEEP)
    return [float(degree) for degree in degrees[lowest]]


def polar_drawing(kind: str, upright: complex, turned: float) -> Drawing:
    """What a frame or a rod takes from each direction, its best one at the top."""
    degrees, taken = pattern(upright)
    dips = nulls(upright)
    curve = [_at(share, degree) for share, degree in zip(taken.tolist(), degrees.tolist(), strict=True)]
    shapes: list[Shape] = [Circle(0.0, 0.0, _RADIUS * share, "thin") for share in (0.25, 0.5, 0.75, 1.0)]
    for degree in range(0, 360, 30):
        shapes.append(Line(((0.0, 0.0), _at(1.0, degree)), "thin"))
        shapes.append(_label(f"{degree}°", degree, 1.1))
    shapes.append(Line(curve, "accent", closed=True))
    shapes += _source(kind)
    shapes += [_label("null", dip, 1.42, "accent") for dip in dips]
    if all(abs((turned - dip + 180.0) % 360.0 - 180.0) > 12.0 for dip in dips):
        shapes.append(_label("station", turned, 1.3))
    shapes.append(Line((_at(1.0, turned), _at(0.0, turned)), "ink", dashed=True))
    told = ", ".join(f"{dip:g}°" for dip in dips)
    best = "the plane of the frame" if kind == "frame" else "the line square to the rod"
    return Drawing(
        key="polar",
        title="What it takes from each direction",
        description=(
            f"Polar diagram of the voltage, the best direction at the top, in {best}; the circles stand at a "
            "quarter, a half, three quarters and all of it. "
            + (f"Nulls at {told}." if dips else "There is no deep null.")
            + f" The station is {units.number(turned)}° away from the best direction."
        ),
        left=-160.0,
        top=-145.0,
        width=320.0,
        height=290.0,
        type_size=11.0,
        shapes=shapes,
    )


def _label(words: str, degree: float, share: float, role: str = "ink") -> Text:
    x, y = _at(share, degree)
    anchor = "start" if x > 30.0 else "end" if x < -30.0 else "middle"
    nearer = 0.94 if anchor != "middle" else 1.0
    return Text(x * nearer, y, words, anchor, role, 1.0 if share > 1.2 else 0.85)


def _source(kind: str) -> list[Shape]:
    """The frame from above, standing in the best direction; or the rod, lying across it."""
    if kind == "frame":
        return [Line(((-4.0, -26.0), (4.0, -26.0), (4.0, 26.0), (-4.0, 26.0)), "ink", closed=True, filled=True)]
    return [Line(((-30.0, -3.5), (30.0, -3.5), (30.0, 3.5), (-30.0, 3.5)), "ink", closed=True, filled=True)]
