"""The diode-measuring form: saturation current, ideality and bulk resistance from currents and voltages."""

import math
from collections.abc import Sequence

import numpy as np

from calc import units
from calc.fitting import Measured
from calc.fitting.diode_curve import Bench, DiodeCurve, fit_diode
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.ratios import ratio_row, with_ratio
from calc.forms.measure.shared import (
    HOW_SURE,
    TWO_IN_THREE,
    half_width,
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
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table
from calc.units import InputError

_ICE = 273.15
"""Of the ice point [K]."""

_READINGS = """1.007 uA; 25.5 mV
3.049 uA; 49.5 mV
10.12 uA; 83.0 mV
30.35 uA; 116.3 mV
102.0 uA; 154.8 mV
297.6 uA; 191.5 mV
997.7 uA; 238.5 mV"""

_FIELDS = (
    Field(
        "readings",
        "Forward readings",
        default=_READINGS,
        columns=(
            Field("current", "Current", "A", least=1e-10, most=10.0, bare="µA"),
            Field("voltage", "Voltage across the diode", "V", least=1e-5, most=10.0, bare="mV"),
        ),
        help="Two at least; three and more if the bulk is to be found. Over as many decades as you can.",
        group="Readings",
    ),
    Field(
        "temperature",
        "Temperature of the diode",
        "degC",
        "21 °C",
        -60.0,
        150.0,
        bare="°C",
        group="Readings",
    ),
    Field(
        "voltmeter",
        "Voltmeter across the diode alone",
        "ohm",
        "10M",
        1e3,
        1e13,
        help="Its resistance, if the ammeter carries its current too. Empty: it does not.",
        bare="ohm",
        optional=True,
        group="Readings",
    ),
    Field(
        "bulk",
        "Resistance of the bulk",
        default="find",
        choices=(Choice("find", "to be found"), Choice("given", "known")),
        group="Readings",
    ),
    Field(
        "series_resistance",
        "It is",
        "ohm",
        "0 ohm",
        0.0,
        1e5,
        help="Nought is near enough as long as the current is small.",
        bare="ohm",
        shown_when=ShownWhen("bulk", ("given",)),
        group="Readings",
    ),
    Field(
        "voltage_uncertainty",
        "A voltage",
        "V",
        "0.2 mV",
        1e-7,
        0.1,
        help=TWO_IN_THREE,
        bare="mV",
        group=HOW_SURE,
    ),
    share_field("current_uncertainty", "A current", "1 %", optional=False),
    share_field("voltage_scale", "The voltmeter's scale, in all readings alike", "0.5 %", optional=False),
    share_field("current_scale", "The ammeter's scale, likewise", "1 %", optional=False),
    Field("temperature_uncertainty", "The temperature", "degC", "1 °C", 0.0, 20.0, bare="°C", group=HOW_SURE),
)


def solve(
    readings: Sequence[dict[str, float]],
    temperature: float,
    voltmeter: float | None,
    bulk: str,
    series_resistance: float | None,
    voltage_uncertainty: float,
    current_uncertainty: float,
    voltage_scale: float,
    current_scale: float,
    temperature_uncertainty: float,
) -> Result:
    """The diode for what was read."""
    currents = [each["current"] for each in readings]
    if bulk == "find" and len(set(currents)) < 3:
        raise InputError("readings", "must have three different currents for the bulk to be found; or state the bulk")
    bench = Bench(
        temperature + _ICE,
        temperature_uncertainty,
        voltage_uncertainty,
        current_uncertainty,
        voltage_scale,
        current_scale,
        np.inf if voltmeter is None else voltmeter,
    )
    found = fit_diode(currents, [each["voltage"] for each in readings], bench, series_resistance)
    slope = found.log_zero_bias_resistance
    return Result(
        sentence=(
            f"At {units.format(temperature, 'degC', 3)} the diode saturates at "
            f"{with_ratio(found.log_saturation_current, 'A')}, with an ideality of "
            f"{with_uncertainty(found.ideality, '')}. To no signal it is {with_ratio(slope, 'ohm')}. Each ± holds 19 "
            "times in 20."
        ),
        rows=_rows(found, bulk),
        tables=(_table(found),),
        charts=(_chart(found), _left_over(found)),
        advice=_advice(found, bulk),
        order=("rows", "charts", "tables", "advice"),
    )


def _rows(found: DiodeCurve, bulk: str) -> list[Row]:
    rows = [
        ratio_row(
            "saturation_current",
            "Saturation current Is",
            found.log_saturation_current,
            "A",
            "where the curve's logarithm meets no voltage, at this temperature",
        ),
        measured_row("ideality", "Ideality n", steady(found.ideality, 6), "", "e-fold voltage over kT/q"),
        measured_row(
            "thermal_voltage",
            "Voltage for an e-fold current",
            steady(found.thermal_voltage, 6),
            "V",
            "n kT/q; wants no temperature",
        ),
        ratio_row(
            "zero_bias_resistance",
            "Resistance to no signal",
            found.log_zero_bias_resistance,
            "ohm",
            "n kT/(q Is), surer than its two parts, whose errors go together",
        ),
    ]
    if bulk == "find":
        how = "what the voltage rises faster than the logarithm at the greatest currents"
        rows.append(
            measured_row("series_resistance", "Resistance of the bulk", steady(found.series_resistance, 6), "ohm", how)
        )
    else:
        rows.append(
            Row(
                "series_resistance",
                "Resistance of the bulk",
                found.series_resistance.value,
                "ohm",
                how="as you gave it",
            )
        )
    return rows


def _table(found: DiodeCurve) -> Table:
    rows: list[list[float | str | None]] = [
        [str(place + 1), float(found.current[place]), *residual_cells(found.estimate, place)]
        for place in range(found.voltage.size)
    ]
    columns = (Column("number", "Reading"), Column("current", "Current", "A"), *residual_columns("V", "Voltage"))
    return Table("readings", "Reading by reading", columns, rows)


def _current_axis(found: DiodeCurve) -> Axis:
    return Axis(
        "Current", "A", 0.6 * float(found.current.min()), 1.6 * float(found.current.max()), log=True, each_unit=True
    )


def _chart(found: DiodeCurve) -> Chart:
    axis = _current_axis(found)
    over = np.geomspace(axis.least, axis.most, 61)
    curve = settled(found.at(over), float(found.voltage.max()))
    odd = found.estimate.odd()
    return Chart(
        key="curve",
        title="Voltage over current",
        summary=(
            f"The fitted voltage rises from {units.format(float(curve[0]), 'V', 3)} at "
            f"{units.format(axis.least, 'A', 2)} to {units.format(float(curve[-1]), 'V', 3)} at "
            f"{units.format(axis.most, 'A', 2)}. Where the line is straight, it rises by "
            f"{units.format(found.thermal_voltage.value * math.log(10.0), 'V', 3)} for each decade of current."
        ),
        x=axis,
        y=Axis("Voltage", "V", 0.0, 1.08 * max(float(curve.max()), float(found.voltage.max()))),
        series=(Series("curve", "fitted", over, curve),),
        marks=[
            Mark(str(place + 1), float(found.current[place]), float(found.voltage[place]), emphasis=place in odd)
            for place in range(found.voltage.size)
        ],
    )


def _left_over(found: DiodeCurve) -> Chart:
    return residual_chart(found.estimate, _current_axis(found), found.current, "V", "voltage")


def _advice(found: DiodeCurve, bulk: str) -> list[Advice]:
    count = found.voltage.size
    names = [f"reading {place + 1}" for place in range(count)]
    told = scatter_advice(found.estimate, [*names, *found.estimate.names[-3:]])
    n = found.ideality
    half = half_width(n) or 0.0
    if n.value + half < 1.0 or n.value - half > 2.2:
        told.append(
            Advice(
                "A junction has an ideality from 1 to 2. This lies outside: look for a wrong temperature or scale, "
                "a leak beside the diode, or hum on it, which it rectifies."
            )
        )
    if bulk == "find":
        told += _bulk_advice(found.series_resistance)
    if float(found.current.max() / found.current.min()) < 30.0:
        told.append(
            Advice("The currents span little. A decade more at the low end tells most of the saturation current.")
        )
    return [
        *told,
        Advice(
            "What holds at another temperature: the saturation current of a diode grows steeply with warmth, and by "
            "which law hangs on what it is made of.",
            "limit",
        ),
        Advice(
            "How the current warms the junction: stay below some milliwatts, and let it settle. What flows "
            "backwards. The capacitance, which counts at radio frequency alone.",
            "limit",
        ),
        Advice(
            "A resistance tester may send more current than a point contact bears. Begin with the greatest series "
            "resistor.",
            "caution",
        ),
    ]


def _bulk_advice(bulk: Measured) -> list[Advice]:
    half = half_width(bulk)
    if half is None or bulk.value - half > 0.0:
        return []
    return [
        Advice(
            "These readings show no bulk resistance for certain. Give it as nought, or read on to greater currents; "
            "the rest then gets surer."
        )
    ]


FORM = Form(
    id="measure-diode",
    title="Measure a diode",
    chapter="measuring",
    summary="A diode's saturation current, ideality and bulk resistance from forward currents and voltages.",
    fields=_FIELDS,
    solve=solve,
    blame={"current": "readings", "voltage": "readings"},
)
