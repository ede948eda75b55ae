"""The capacitor-measuring form: a capacitance by substitution, with a calibrated variable capacitor as standard."""

from collections.abc import Sequence

import numpy as np

from calc import fitting, units
from calc.fitting import Estimate
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.shared import (
    COMMON,
    HOW_SURE,
    TWO_IN_THREE,
    each_chart,
    how_sure,
    measured_row,
    residual_cells,
    residual_columns,
    scatter_advice,
    with_uncertainty,
)
from calc.forms.results import Advice, Column, Result, Row, Table
from calc.units import InputError

_SETTINGS = ("standard_with", "standard_without", "readings", "uncertainty")


def _settings(name: str, default: str, way: str) -> Field:
    return Field(
        name,
        "Settings in tune",
        default=default,
        columns=(
            Field("without", "Without the unknown", "F", least=1e-12, most=1e-6, bare="pF"),
            Field("with", "With it", "F", least=1e-12, most=1e-6, bare="pF"),
        ),
        help="Of the standard. One pair at least. Pairs at different frequencies find out a scale that is not even.",
        shown_when=ShownWhen("way", (way,)),
        group="Readings",
    )


_FIELDS = (
    Field(
        "way",
        "The unknown",
        default="across",
        choices=(
            Choice("across", "goes across the standard, which is turned out to make room"),
            Choice("series", "goes in series with the standard, being larger than it"),
        ),
        group="Readings",
    ),
    _settings("readings", "402.6p; 263.1p\n371.0p; 232.4p\n330.4p; 190.2p\n296.8p; 158.0p", "across"),
    _settings("series_readings", "251.3p; 322.8p\n226.0p; 282.5p\n200.4p; 243.8p", "series"),
    Field(
        "setting_uncertainty",
        "One setting of the standard",
        "F",
        "0.6p",
        1e-16,
        1e-8,
        help=f"Scale and the finding of the peak. {TWO_IN_THREE} Empty: the scatter tells.",
        bare="pF",
        optional=True,
        group=HOW_SURE,
    ),
    Field(
        "strays",
        "Strays of the leads to the unknown",
        "F",
        "0",
        0.0,
        1e-9,
        help="What joining the leads alone makes the standard give way by.",
        bare="pF",
        group="Readings",
    ),
)


def solve(
    way: str,
    readings: Sequence[dict[str, float]] | None,
    series_readings: Sequence[dict[str, float]] | None,
    setting_uncertainty: float | None,
    strays: float,
) -> Result:
    """The capacitance for what was read."""
    across = way == "across"
    asked = "readings" if across else "series_readings"
    try:
        return _answer(across, (readings if across else series_readings) or (), setting_uncertainty, strays)
    except InputError as error:
        raise InputError(asked if error.argument in _SETTINGS else error.argument, error.reason) from None


def _answer(
    across: bool, readings: Sequence[dict[str, float]], setting_uncertainty: float | None, strays: float
) -> Result:
    without = np.array([each["without"] for each in readings])
    with_ = np.array([each["with"] for each in readings])
    if across:
        each = np.asarray(fitting.capacitance_across(without, with_))
        estimate = fitting.fit_across(without, with_, setting_uncertainty)
    else:
        each = np.asarray(fitting.capacitance_in_series(without, with_))
        estimate = fitting.fit_in_series(without, with_, setting_uncertainty)
    found = estimate["capacitance"]
    if strays >= found.value:
        raise InputError("strays", f"must be less than the whole, {units.format(found.value, 'F')}")
    found = found._replace(value=found.value - strays)
    how = "what the standard gives way by" if across else "C₁C₂/(C₂ − C₁)"
    rows = [measured_row("capacitance", "Capacitance of the unknown", found, "F", f"{how}, less the leads' strays")]
    if not across:
        rows.append(_enlarged(found.value + strays, without))
    return Result(
        sentence=f"The unknown has {with_uncertainty(found, 'F')}: {how_sure(found, 'F')}.",
        rows=rows,
        tables=(_table(estimate, without, each - strays, across),),
        charts=(each_chart("each", "Pair by pair", "Capacitance", (each - strays).tolist(), found, "F"),),
        advice=_advice(estimate, across),
        order=("rows", "charts", "tables", "advice"),
    )


def _enlarged(unknown: float, without: np.ndarray) -> Row:
    ratio = (unknown / float(np.mean(without))) ** 2
    return Row(
        "enlarged",
        "An error of the standard counts",
        ratio,
        text=f"{units.number(ratio, 2)}-fold",
        how="(unknown over standard)², which is why the unknown should not be too large",
    )


def _table(estimate: Estimate, without: np.ndarray, each: np.ndarray, across: bool) -> Table:
    rows = [
        [str(place + 1), float(without[place]), *residual_cells(estimate, place), float(each[place])]
        for place in range(without.size)
    ]
    columns = (
        Column("number", "Pair"),
        Column("without", "Without the unknown", "F"),
        *residual_columns("F", "Gives way by" if across else "With it"),
        Column("each", "This pair alone gives", "F"),
    )
    return Table("readings", "Pair by pair", columns, rows)


def _advice(estimate: Estimate, across: bool) -> list[Advice]:
    found = scatter_advice(estimate)
    if across:
        found.append(
            Advice(
                "Coil, strays and signal generator need not be known: they need only stay as they are. Leave the "
                "generator alone between the two settings of a pair."
            )
        )
    else:
        found.append(
            Advice(
                "Put the unknown at the earthed end. Strays across the standard count with its settings, strays across "
                "the unknown with it."
            )
        )
    found += [
        COMMON,
        Advice(
            "The unknown's own loss. A lossy one flattens the peak, and the setting is less sure than before.", "limit"
        ),
        Advice(
            "A capacitor that has stood on a high voltage may hold it for days. Short it through a resistor before you "
            "touch it.",
            "caution",
        ),
    ]
    return found


FORM = Form(
    id="measure-capacitor",
    title="Measure a capacitor",
    chapter="measuring",
    summary="A capacitance by substitution: what a calibrated variable capacitor gives way by, across it or in series.",
    fields=_FIELDS,
    solve=solve,
)
