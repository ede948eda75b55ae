"""What the pair form answers."""

import math
from functools import lru_cache
from typing import Any

import numpy as np

from calc import coils, units
from calc.forms.coil.thick import FlatSpiral
from calc.forms.coil_pair.pair import One, Pair, one_coil
from calc.forms.coil_pictures import Placed, Sheet, axis, block, measure_across, section
from calc.forms.results import Advice, Axis, Chart, Mark, Result, Row, Rule, Series
from calc.forms.shapes import Drawing, Text
from calc.interpolation import Curve
from calc.units import Array, InputError

_MM = 1e3
_SLIDES = 41
_TOO_NEAR = 1.0 / 6.0
"""Nearer than this share of their size, turned windings are too near for a sum over few rings."""
_NEEDED = math.radians(10.0)
"""A curve over less than this is none."""


def solve(**v: Any) -> Result:
    """The pair for what was typed."""
    pair = Pair(one_coil(v, "first"), one_coil(v, "second"))
    distance, angle, wanted = v["distance"], math.radians(v["angle"]), v["wanted"]
    clear = require_clear(pair, distance, angle)
    mutual = pair.mutual(distance, angle)
    coefficient = mutual / pair.scale
    turn = np.linspace(0.0, 0.5 * math.pi, 37)
    by_angle, free = pair.coefficient_by_angle(distance, turn)
    at_wanted = pair.distance_for(wanted)
    return Result(
        sentence=_sentence(coefficient, mutual, at_wanted, wanted),
        rows=_rows(pair, v, mutual, coefficient, at_wanted, _angle_for(wanted, turn, by_angle, free)),
        charts=[
            _slide_chart(pair, distance, angle, coefficient, wanted),
            *_turn_chart(turn, by_angle, free, v["angle"], coefficient, distance),
        ],
        drawings=(_drawing(pair, distance, angle),),
        advice=_advice(pair, angle, clear, free),
        order=("rows", "drawings", "charts", "tables", "advice"),
    )


def require_clear(pair: Pair, distance: float, angle: float) -> float:
    """How near windings that are turned come [m], endless for axes in line; two cannot be in one place."""
    if angle == 0.0:
        if distance < pair.least_distance:
            least = units.format(pair.least_distance, "m", 3)
            raise InputError(
                "distance",
                f"must be {least} or more, where the windings meet, or else one must go within the other",
            )
        return math.inf
    clear = pair.clearance(distance, angle)
    if clear <= 0.0:
        raise InputError("angle", "cannot be had at this distance: the windings would meet")
    return clear


def _sentence(coefficient: float, mutual: float, at_wanted: float | None, wanted: float) -> str:
    now = f"The coils couple with a coefficient of {units.format(coefficient, '%', 3)}, {units.format(mutual, 'H', 3)}"
    asked = units.format(wanted, "%", 3)
    if at_wanted is None:
        return f"{now}; {asked} is more than they reach."
    return f"{now}; for {asked} set their middles {units.format(at_wanted, 'm', 3)} apart, axes in line."


def _angle_for(wanted: float, turn: Array, by_angle: Array, free: float) -> float | None:
    """Angle [rad] at which the coefficient has fallen to one wanted; None where it does not."""
    there = turn <= free
    known, at = by_angle[there], turn[there]
    highest = int(np.argmax(known))
    known, at = known[highest:], at[highest:]
    if known.size < 4 or not known[-1] <= wanted <= known[0] or np.any(np.diff(known) >= 0.0):
        return None
    return float(Curve(known[::-1].copy(), at[::-1].copy())(wanted))


def _rows(
    pair: Pair, v: Any, mutual: float, coefficient: float, at_wanted: float | None, angle_wanted: float | None
) -> list[Row]:
    first, second = pair.first.winding.inductance, pair.second.winding.inductance
    asked = units.format(v["wanted"], "%", 3)
    gap = v["distance"] - 0.5 * (pair.first.length + pair.second.length)
    turned = v["angle"] != 0.0
    how = (
        "rings at points of both windings, one set turned; 0.1 % of the greatest"
        if turned
        else "all circles of the two windings (Maxwell); 0.1 % of a sum over turns"
    )
    degrees = None if angle_wanted is None else math.degrees(angle_wanted)
    return [
        Row("first_inductance", "Inductance of the first", first, "H", how=_how_own(pair.first)),
        Row("second_inductance", "Inductance of the second", second, "H", how=_how_own(pair.second)),
        Row("mutual", "Mutual inductance", mutual, "H", how=how),
        Row("coefficient", "Coefficient of coupling", coefficient, "%", how="M/√(L₁L₂)", digits=3),
        Row(
            "gap",
            "Gap between their ends",
            gap if gap >= 0.0 and not turned else None,
            "m",
            digits=3,
            how="between the windings, along the axis" if not turned else "with axes in line only",
        ),
        Row(
            "wanted_distance",
            f"Distance for {asked}",
            at_wanted,
            "m",
            digits=3,
            how="middle to middle, axes in line" if at_wanted is not None else "more than these coils reach",
        ),
        Row(
            "wanted_angle",
            f"Angle for {asked}",
            degrees,
            "deg",
            digits=2,
            how="at the present distance; 1°" if degrees is not None else "not by turning at this distance",
        ),
        Row("aiding", "Both in series, aiding", first + second + 2.0 * mutual, "H", how="L₁ + L₂ + 2M"),
        Row(
            "opposing",
            "Both in series, opposing",
            first + second - 2.0 * mutual,
            "H",
            how="L₁ + L₂ − 2M: measure both ways, and a quarter of the difference is M",
        ),
    ]


def _how_own(one: One) -> str:
    how = "exact current sheet"
    if one.wound is None:
        how = "current spread evenly over the section"
    elif isinstance(one.wound, FlatSpiral):
        how = "thin disc"
    return f"{how}, the wire not counted" if one.winding.wire_diameter is None else f"{how}, corrected for round wire"


@lru_cache(maxsize=4)  # it stays when the coils are moved
def _slide(pair: Pair, near: float, far: float) -> tuple[Array, Array]:
    """Distances [m] from just beyond the nearest, and the coefficients there [1]."""
    over = np.linspace(near, far, _SLIDES)
    if near > 0.0:
        over[0] = near + 0.01 * (over[1] - near)
    return over, np.minimum(pair.coaxial(over), 1.0)


def _slide_chart(pair: Pair, distance: float, angle: float, coefficient: float, wanted: float) -> Chart:
    near = pair.least_distance
    far = near + max(3.0 * max(pair.first.size, pair.second.size), 1.3 * (distance - near))
    over, value = _slide(pair, near, far)
    marks = (Mark("now", distance, coefficient, emphasis=True),) if angle == 0.0 else ()
    rules = [Rule(f"wanted {units.format(wanted, '%', 3)}", "y", wanted)]
    if angle != 0.0:
        rules.append(Rule("distance now", "x", distance))
    least, most = float(value[-1]), float(value[0])
    nearest = units.format(float(over[0]), "m", 2)
    return Chart(
        key="slide",
        title="Coefficient against distance, axes in line",
        summary=(
            f"The coefficient falls from {units.format(most, '%', 2)} with the middles {nearest} "
            f"apart to {units.format(least, '%', 2)} at {units.format(far, 'm', 2)}."
        ),
        x=Axis("Distance between middles", "m", 0.0 if near < 0.2 * far else near, far),
        y=Axis("Coefficient", "%", 0.8 * min(least, wanted), 1.25 * max(most, wanted), log=True),
        series=(Series("coefficient", "Coefficient", over, value),),
        marks=marks,
        rules=rules,
    )


def _turn_chart(
    turn: Array, by_angle: Array, free: float, angle: float, coefficient: float, distance: float
) -> list[Chart]:
    if free < _NEEDED:
        return []
    there = turn <= free
    over, value = np.degrees(turn[there]), by_angle[there]
    # past a right angle the coefficient is the same with the other sign
    folded = min(angle, 180.0 - angle)
    lowest, highest = min(0.0, float(np.min(value))), float(np.max(value))
    apart = f"{units.format(distance, 'm', 3)} apart" if distance else "in one place"
    last = "nothing" if abs(float(value[-1])) < 1e-9 else units.format(float(value[-1]), "%", 2)
    return [
        Chart(
            key="turn",
            title="Coefficient against angle, at this distance",
            summary=(
                f"With the middles {apart} the coefficient is "
                f"{units.format(float(value[0]), '%', 2)} with the axes in line and {last} "
                f"at {units.format(float(over[-1]), 'deg', 2)}. Beyond 90° it is the same again with the sign turned."
            ),
            x=Axis("Angle between the axes", "deg", 0.0, 90.0),
            y=Axis("Coefficient", "%", lowest, 1.1 * highest),
            series=(Series("coefficient", "Coefficient", over, value),),
            marks=(Mark("now", folded, abs(coefficient), emphasis=True),),
            rules=() if free >= 0.5 * math.pi else (Rule("they touch", "x", math.degrees(free)),),
        )
    ]


def _drawing(pair: Pair, distance: float, angle: float) -> Drawing:
    sheet = Sheet()
    along = _MM * distance
    reach = _MM * max(pair.first.size, pair.second.size)
    sheet.reach_to((-0.5 * reach, -0.5 * reach), (along + 0.5 * reach, 0.5 * reach))
    for one, placed, role in (
        (pair.first, Placed(), "ink"),
        (pair.second, Placed(along, angle), "accent"),
    ):
        if one.wound is not None:
            section(sheet, one.wound, placed, role)
        elif isinstance(one.winding, coils.Multilayer):
            block(sheet, one.winding, placed, role)
    type_size = sheet.type_size
    left, _, right, _ = sheet.box
    axis(sheet, left - 0.8 * type_size, right + 0.8 * type_size, Placed())
    if angle:
        half = 0.7 * _MM * pair.second.outer
        axis(sheet, -half, half, Placed(along, angle))
    _, top, _, bottom = sheet.box
    y = bottom + 1.2 * type_size
    apart = units.format(distance, "m", 3)
    if along > 3.0 * type_size:
        for x in (0.0, along):
            sheet.line([(x, 0.0), (x, y + 0.4 * type_size)], "thin")
        measure_across(sheet, 0.0, along, y, apart, type_size)
    words = f"Two coils in section, to scale, their middles {apart} apart"
    words += f", the second turned by {units.format(math.degrees(angle), 'deg', 3)}." if angle else ", axes in line."
    sheet.shapes.append(Text(0.0, top - 0.9 * type_size, "first"))
    sheet.reach_to((0.0, top - 1.5 * type_size))
    shift = 2.6 * type_size if along < 4.0 * type_size else 0.0
    anchor = "start" if shift else "middle"
    sheet.shapes.append(Text(along + shift, top - 0.9 * type_size, "second", anchor, "accent"))
    return sheet.drawing("pair", "The two coils, to scale", words, type_size)


def _advice(pair: Pair, angle: float, clear: float, free: float) -> tuple[Advice, ...]:
    found = []
    if angle and clear < _TOO_NEAR * min(pair.first.size, pair.second.size):
        found.append(
            Advice(
                f"Turned like this the windings come within {units.format(clear, 'm', 2)} of each other: the "
                "coefficient may be off by a few per cent."
            )
        )
    if free < _NEEDED:
        found.append(Advice("At this distance the second coil cannot be turned: the windings would meet."))
    found.append(
        Advice(
            "The capacitance between the two coils, which adds to the coupling or takes from it, most of all where "
            "their unearthed ends lie together. Leads, and metal near by.",
            "limit",
        )
    )
    return tuple(found)
