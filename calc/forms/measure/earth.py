"""The earth-measuring form: resistance to distant ground from readings with three stakes."""

from collections.abc import Sequence

import numpy as np

from calc import units
from calc.fitting.earth_stakes import TRUE_SHARE, StakeBench, StakeFit, fit_stakes
from calc.forms.fields import Field
from calc.forms.form import Form
from calc.forms.measure.shared import (
    HOW_SURE,
    TWO_IN_THREE,
    half_width,
    how_sure,
    measured_row,
    residual_cells,
    residual_chart,
    residual_columns,
    scatter_advice,
    settled,
    share_field,
    steady,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Rule, Series, Table
from calc.units import InputError

_FLAT = 0.05
"""Rise over a fifth of the way about the true place, as a share of the resistance, that still counts as level."""

_FIELDS = (
    Field(
        "current_distance",
        "Current stake, from the earth",
        "m",
        "25 m",
        1.0,
        1000.0,
        help="Ten times the length of the longest stake of the earth, or more.",
        bare="m",
        group="Readings",
    ),
    Field(
        "readings",
        "Readings",
        default="5 m; 59.2 ohm\n7.5 m; 61.9 ohm\n10 m; 62.0 ohm\n12.5 m; 62.6 ohm\n15 m; 62.5 ohm\n17.5 m; 63.6 ohm",
        columns=(
            Field("distance", "Potential stake, from the earth", "m", least=0.01, most=1000.0, bare="m"),
            Field("resistance", "Reading", "ohm", least=1e-3, most=1e6, bare="ohm"),
        ),
        help="On a straight line to the current stake, from a fifth of the way to seven tenths.",
        group="Readings",
    ),
    share_field("reading_uncertainty", "A reading", "1 %", TWO_IN_THREE, optional=False),
    Field(
        "tape_uncertainty",
        "A place of the potential stake",
        "m",
        "5 cm",
        0.0,
        10.0,
        bare="cm",
        group=HOW_SURE,
    ),
    Field(
        "far_uncertainty",
        "The place of the current stake",
        "m",
        "20 cm",
        0.0,
        50.0,
        bare="cm",
        group=HOW_SURE,
    ),
    share_field("scale_uncertainty", "The meter's scale, in all readings alike", "2 %", optional=False),
)


def solve(
    current_distance: float,
    readings: Sequence[dict[str, float]],
    reading_uncertainty: float,
    tape_uncertainty: float,
    far_uncertainty: float,
    scale_uncertainty: float,
) -> Result:
    """The earth for what was read."""
    if far_uncertainty > 0.2 * current_distance:
        raise InputError("far_uncertainty", "must be a fifth of the current stake's distance or less")
    bench = StakeBench(
        current_distance,
        reading_uncertainty=reading_uncertainty,
        tape_uncertainty=tape_uncertainty,
        current_distance_uncertainty=far_uncertainty,
        scale_uncertainty=scale_uncertainty,
    )
    found = fit_stakes([each["distance"] for each in readings], [each["resistance"] for each in readings], bench)
    earth = found.resistance
    return Result(
        sentence=f"The earth has {with_uncertainty(earth, 'ohm')}: {how_sure(earth, 'ohm')}.",
        rows=_rows(found),
        tables=(_table(found),),
        charts=(_chart(found), _left_over(found)),
        advice=_advice(found),
        order=("rows", "charts", "tables", "advice"),
    )


def _rows(found: StakeFit) -> list[Row]:
    slopes = found.slopes
    rows = [
        measured_row(
            "resistance",
            "Resistance of the earth",
            steady(found.resistance, 6),
            "ohm",
            "height of the curve where it is true",
        ),
        Row(
            "place",
            "Where the curve is true",
            float(TRUE_SHARE) * found.current_distance,
            "m",
            how="0.618 of the way to the current stake",
            digits=3,
        ),
        Row(
            "flatness", "Rise about that place", _rise(found), "%", how="of the curve over a fifth of the way", digits=2
        ),
        measured_row(
            "resistivity",
            "Resistivity of the soil",
            steady(found.resistivity, 6),
            "ohm m",
            "steepness of the curve, if the soil is even",
        ),
        Row(
            "slope_coefficient",
            "Slope coefficient",
            None if slopes is None else slopes.coefficient,
            how="later rise over earlier, of readings at 0.2, 0.4 and 0.6 of the way; 0.571 for a small earth",
            digits=3,
        ),
        Row(
            "slope_resistance",
            "Resistance by the slope method",
            found.slope_resistance,
            "ohm",
            how="a check: the reading where those three say it is true",
            digits=3,
        ),
    ]
    return rows


def _rise(found: StakeFit) -> float:
    low, high = found.plateau
    return round((high - low) / found.resistance.value, 9)


def _table(found: StakeFit) -> Table:
    rows: list[list[float | str | None]] = [
        [str(place + 1), float(found.distances[place]), *residual_cells(found.estimate, place)]
        for place in range(found.readings.size)
    ]
    columns = (
        Column("number", "Reading"),
        Column("distance", "Potential stake", "m"),
        *residual_columns("ohm", "Resistance"),
    )
    return Table("readings", "Reading by reading, outwards", columns, rows)


def _chart(found: StakeFit) -> Chart:
    far = found.current_distance
    first = min(0.15 * far, float(found.distances[0]))
    last = max(0.85 * far, float(found.distances[-1]))
    over = np.linspace(first, last, 61)
    curve = settled(found.at(over), float(found.readings.max()))
    resistance = steady(found.resistance, 6)
    earth, half = resistance.value, half_width(resistance) or 0.0
    least = min(float(curve.min()), float(found.readings.min()), earth - half)
    most = max(float(curve.max()), float(found.readings.max()), earth + half)
    margin = 0.06 * (most - least)
    odd = found.estimate.odd()
    return Chart(
        key="fall",
        title="Readings on the way to the current stake",
        summary=(
            f"The fitted reading rises from {units.format(float(curve[0]), 'ohm', 3)} at "
            f"{units.format(first, 'm', 3)} to {units.format(float(curve[-1]), 'ohm', 3)} at "
            f"{units.format(last, 'm', 3)}; at 0.618 of the way it is the earth's own, "
            f"{with_uncertainty(found.resistance, 'ohm')}."
        ),
        x=Axis("Potential stake, from the earth", "m", 0.0, far),
        y=Axis("Reading", "ohm", least - margin, most + margin),
        series=(Series("curve", "fitted", over, curve),),
        marks=[
            Mark(str(place + 1), float(found.distances[place]), float(found.readings[place]), emphasis=place in odd)
            for place in range(found.readings.size)
        ],
        rules=(Rule("true here", "x", float(TRUE_SHARE) * far), Rule("the earth", "y", earth)),
    )


def _left_over(found: StakeFit) -> Chart:
    axis = Axis("Potential stake, from the earth", "m", 0.0, found.current_distance)
    return residual_chart(found.estimate, axis, found.distances, "ohm", "resistance")


def _advice(found: StakeFit) -> list[Advice]:
    count = found.readings.size
    names = [f"reading {place + 1}" for place in range(count)]
    names += ["the meter's scale"] * (found.estimate.readings.size - count)
    told = scatter_advice(found.estimate, names)
    shares = found.distances / found.current_distance
    if abs(_rise(found)) > _FLAT:
        told.append(
            Advice(
                "The readings do not level off. Set the current stake further out, and go along the line anew: the "
                "earth and that stake still feel each other."
            )
        )
    if not (shares.min() <= 0.5 and shares.max() >= 0.6):
        told.append(
            Advice("There is no reading on either side of the true place. Take some from 0.4 to 0.7 of the way.")
        )
    check, own = found.slope_resistance, found.resistance
    half = half_width(own)
    if check is not None and half is not None and abs(check - own.value) > max(half, 0.02 * own.value):
        told.append(
            Advice(
                "The slope method does not agree: the earth's middle is not where the tape begins, or the soil is "
                "layered. Go out in another direction, and further."
            )
        )
    return [
        *told,
        Advice(
            "Measure only an earth of your own that nothing else hangs on. Never take off, open or borrow a mains "
            "protective earth, not for a minute: what it protects may be live. Local codes say what may be done, "
            "and a licensed electrician does it.",
            "caution",
        ),
        Advice(
            "Keep well away from the earths of power lines, substations, masts and railways, and from wires "
            "overhead. In a fault, or with lightning about, the ground there is live, and so are your long leads. "
            "At the first thunder stop, and touch neither stakes nor leads.",
            "caution",
        ),
        Advice(
            "Use a meter made for earths, with its own alternating test current. Never use the mains for that. Find "
            "out what lies under the ground before you drive a stake, and mark leads and stakes where people walk.",
            "caution",
        ),
        Advice(
            "The aerial must be off its earth while you measure, and lightning protection must be on again after.",
            "caution",
        ),
        Advice(
            "Layers in the soil, and an earth that is large against the distances: the formula is that of a small "
            "earth in even soil. Season and rain, which change an earth by a factor of two.",
            "limit",
        ),
        Advice(
            "That readings are at some hundred hertz: at radio frequency the lead to the earth adds its reactance.",
            "limit",
        ),
    ]


FORM = Form(
    id="measure-earth",
    title="Measure an earth",
    chapter="measuring",
    summary="An earth's resistance to distant ground, from readings with two more stakes in a line.",
    fields=_FIELDS,
    solve=solve,
    blame={"distance": "readings", "potential_distance": "readings", "resistance": "readings"},
)
