"""The coil-measuring form: inductance and own capacitance from resonances with known capacitors."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from calc import fitting, units
from calc.constants import TWO_PI
from calc.fitting import Estimate, Measured
from calc.forms.fields import Field
from calc.forms.form import Form
from calc.forms.measure.shared import (
    COMMON,
    HOW_SURE,
    OR_SCATTER,
    TWO_IN_THREE,
    how_sure,
    measured_row,
    residual_cells,
    residual_chart,
    residual_columns,
    scatter_advice,
    share_field,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table

_READINGS = """47p; 1293 kHz
100p; 949 kHz
150p; 796 kHz
220p; 670.5 kHz
330p; 553.5 kHz
470p; 467 kHz"""

_FIELDS = (
    Field(
        "readings",
        "Resonances",
        default=_READINGS,
        columns=(
            Field("capacitance", "Capacitor", "F", least=0.0, most=1e-6, bare="pF"),
            Field("frequency", "Resonance", "Hz", least=1e3, most=300e6, bare="kHz"),
        ),
        help="Two at least, with different capacitors. 0 for none.",
        group="Readings",
    ),
    Field(
        "strays",
        "Strays of the test circuit",
        "F",
        "8p",
        0.0,
        1e-9,
        help="Leads, clips and meter across the coil. Nought, if you want the coil and them together.",
        bare="pF",
        group="Readings",
    ),
    share_field("frequency_uncertainty", "A frequency", "0.2 %", TWO_IN_THREE),
    share_field("capacitance_uncertainty", "A capacitor", "0.6 %", OR_SCATTER),
    Field("strays_uncertainty", "The strays", "F", "2p", 0.0, 1e-9, bare="pF", group=HOW_SURE),
)


def solve(
    readings: Sequence[dict[str, float]],
    strays: float,
    frequency_uncertainty: float | None,
    capacitance_uncertainty: float | None,
    strays_uncertainty: float,
) -> Result:
    """The coil for what was read."""
    capacitance = np.array([each["capacitance"] for each in readings])
    frequency = np.array([each["frequency"] for each in readings])
    estimate = fitting.coil_from_resonances(
        frequency,
        capacitance,
        None if frequency_uncertainty is None else frequency_uncertainty * frequency,
        None if capacitance_uncertainty is None else capacitance_uncertainty * capacitance,
    )
    coil, whole = estimate["inductance"], estimate["self_capacitance"]
    own = fitting.propagate(lambda v: v[0] - v[1], [whole, Measured(strays, strays_uncertainty)])
    return Result(
        sentence=f"The coil has {with_uncertainty(coil, 'H')}: {how_sure(coil, 'H')}. {_own_words(own)}",
        rows=_rows(estimate, own),
        tables=(_table(estimate, capacitance),),
        charts=(_chart(estimate, capacitance), _left_over(estimate, capacitance)),
        advice=_advice(estimate, own, strays, capacitance),
        order=("rows", "charts", "tables", "advice"),
    )


def _own_words(own: Measured) -> str:
    interval = own.interval()
    if own.value <= 0.0:
        return "What it has of its own capacitance the readings do not show: it comes out below nought."
    if interval is not None and interval[0] <= 0.0:
        return (
            f"Its own capacitance is no more than {units.format(interval[1], 'F', 2)}; the readings do not tell better."
        )
    return f"Its own capacitance is {with_uncertainty(own, 'F')}."


def _rows(estimate: Estimate, own: Measured) -> list[Row]:
    rows = [
        measured_row("inductance", "Inductance", estimate["inductance"], "H", "slope of 1/f² over the capacitor"),
        measured_row(
            "together",
            "Across it besides the capacitor",
            estimate["self_capacitance"],
            "F",
            "where the line meets 1/f² = 0",
        ),
        measured_row("self_capacitance", "The coil's own capacitance", own, "F", "that, less the strays"),
    ]
    if own.value > 0.0:
        resonance = float(fitting.resonance(float(estimate.values[0]), own.value, 0.0))
        how = "1/(2π√LC) with its own capacitance alone, by its share half as uncertain as that"
        rows.append(Row("own_resonance", "The coil's own resonance", resonance, "Hz", how=how, digits=2))
    if estimate.correlation is not None:
        rows.append(
            Row(
                "correlation",
                "Correlation of the two",
                float(estimate.correlation[0, 1]),
                how="near −1 they can hardly be told apart; a wider range of capacitors parts them",
                digits=2,
            )
        )
    return rows


def _table(estimate: Estimate, capacitance: Any) -> Table:
    rows = [
        [str(place + 1), float(capacitance[place]), *residual_cells(estimate, place)]
        for place in range(capacitance.size)
    ]
    columns = (
        Column("number", "Reading"),
        Column("capacitance", "Capacitor", "F"),
        *residual_columns("Hz", "Resonance"),
    )
    return Table("readings", "Reading by reading", columns, rows)


def _chart(estimate: Estimate, capacitance: Any) -> Chart:
    coil, whole = estimate.values.tolist()
    least, most = min(0.0, -whole), 1.05 * float(np.max(capacitance))
    over = np.linspace(least, most, 31)
    line = (TWO_PI * 1e6) ** 2 * coil * (over + whole)
    squares = (1e6 / estimate.readings) ** 2
    odd = estimate.odd()
    marks = [
        Mark(str(place + 1), float(capacitance[place]), float(squares[place]), emphasis=place in odd)
        for place in range(capacitance.size)
    ]
    low = min(0.0, float(line[0]))
    return Chart(
        key="line",
        title="The straight line of a coil",
        summary=(
            "1/f² over the capacitor, readings and fitted line. It rises from nought at "
            f"{units.format(-whole, 'F', 3)}; its slope is that of {units.format(coil, 'H')}."
        ),
        x=Axis("Capacitor", "F", least, most),
        y=Axis("1/f² in µs²", "", low, 1.08 * max(float(np.max(squares)), float(np.max(line)))),
        series=(Series("line", "fitted", over, np.where(np.abs(line) < 1e-9 * np.max(line), 0.0, line)),),
        marks=marks,
    )


def _left_over(estimate: Estimate, capacitance: Any) -> Chart:
    span = float(np.max(capacitance) - np.min(capacitance))
    axis = Axis("Capacitor", "F", float(np.min(capacitance)) - 0.05 * span, float(np.max(capacitance)) + 0.05 * span)
    return residual_chart(estimate, axis, capacitance, "Hz", "frequency")


def _advice(estimate: Estimate, own: Measured, strays: float, capacitance: Any) -> list[Advice]:
    found = scatter_advice(estimate)
    ratio = (float(np.max(capacitance)) + float(estimate.values[1])) / (
        float(np.min(capacitance)) + float(estimate.values[1])
    )
    if ratio < 3.0:
        found.append(
            Advice(
                "The capacitors lie close together. Errors come out smaller if the greatest is four times the least or "
                "more."
            )
        )
    if own.value <= 0.0 and strays > 0.0:
        found.append(
            Advice("The strays that you gave are more than all that was found across the coil. Are they less?")
        )
    found += [
        COMMON,
        Advice(
            "How the meter and its leads load the coil beside their capacitance. A Q of less than 20 shifts the peak; "
            "couple loosely, until moving the leads away no longer shifts it.",
            "limit",
        ),
        Advice(
            "That a coil's own capacitance is spread along it. The line is straight up to about a third of its own "
            "resonance and bends above.",
            "limit",
        ),
    ]
    return found


FORM = Form(
    id="measure-coil",
    title="Measure a coil",
    chapter="measuring",
    summary="A coil's inductance and own capacitance from its resonances with two or more known capacitors.",
    fields=_FIELDS,
    solve=solve,
    blame={"start": "readings", "capacitance": "readings", "frequency": "readings", "self_capacitance": "readings"},
)
