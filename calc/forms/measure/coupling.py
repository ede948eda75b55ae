"""The coupling-measuring form: the coefficient of two coils from inductances in series, or from a short of one."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import fitting, units
from calc.fitting import Estimate, Measured, coverage_factor
from calc.forms.bars import Bar, Bars
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.shared import (
    COMMON,
    OR_SCATTER,
    TWO_IN_THREE,
    each_chart,
    from_to,
    how_sure,
    measured_row,
    residual_cells,
    residual_columns,
    scatter_advice,
    share_field,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Column, Result, Row, Rule, Table

_SERIES, _SHORT = ShownWhen("way", ("series",)), ShownWhen("way", ("short",))
_INDUCTANCES = (
    ("aiding", "In series, aiding", "284.6u", "The way that gives more."),
    ("opposing", "In series, opposing", "216.9u", "One coil's ends changed over."),
    ("first", "First coil by itself", "238.2u", "The other open, and left where it is."),
    ("second", "Second coil by itself", "11.7u", "The first open, and left where it is."),
)

_FIELDS = (
    Field(
        "way",
        "Way",
        default="series",
        choices=(
            Choice("series", "both in series, joined one way and the other"),
            Choice("short", "one resonated, the other open and then shorted"),
        ),
        group="Readings",
    ),
    *(
        Field(name, label, "H", default, 1e-9, 1.0, help=told, bare="µH", shown_when=_SERIES, group="Readings")
        for name, label, default, told in _INDUCTANCES
    ),
    Field(
        "resonances",
        "Resonances of the first coil",
        default="612.3 kHz; 629.9 kHz\n844.8 kHz; 870.1 kHz\n1102.5 kHz; 1133.8 kHz",
        columns=(
            Field("open", "Second coil open", "Hz", least=1e3, most=300e6, bare="kHz"),
            Field("short", "Second coil shorted", "Hz", least=1e3, most=300e6, bare="kHz"),
        ),
        help="Each pair with one capacitor left as it is. One pair at least.",
        shown_when=_SHORT,
        group="Readings",
    ),
    share_field("inductance_uncertainty", "An inductance", "0.5 %", TWO_IN_THREE, shown_when=_SERIES),
    share_field("frequency_uncertainty", "A frequency", "0.1 %", OR_SCATTER, shown_when=_SHORT),
)


def solve(**values: Any) -> Result:
    """The coefficient for what was read."""
    return _by_series(values) if values["way"] == "series" else _by_short(values["resonances"], values)


# --- in series ----------------------------------------------------------------------------------------------------


def _by_series(v: Mapping[str, Any]) -> Result:
    fitting.coefficient_from_series(v["aiding"], v["opposing"], v["first"], v["second"])
    estimate = fitting.fit_series(v["aiding"], v["opposing"], v["first"], v["second"], v["inductance_uncertainty"])
    if np.any(estimate.values[:2] <= 0.0):
        raise units.InputError("first", "does not go with the two in series: together they must be half their sum")
    coefficient = estimate.derived(fitting.coefficient_of)
    if coefficient.value > 1.0:
        raise units.InputError("aiding", "is more than two coils can have that are coupled wholly")
    mutual = estimate["mutual"]
    rows = [
        measured_row("coefficient", "Coefficient of coupling", coefficient, "%", "M/√(L₁L₂)"),
        measured_row("mutual", "Mutual inductance", mutual, "H", "a quarter of aiding less opposing"),
        measured_row("first", "First coil", estimate["first"], "H", "from all four readings"),
        measured_row("second", "Second coil", estimate["second"], "H", "from all four readings"),
    ]
    return Result(
        sentence=f"The coils are coupled by {with_uncertainty(coefficient, '%')}: {how_sure(coefficient, '%')}.",
        rows=rows,
        bars=(_bars(estimate),),
        tables=(_series_table(estimate),),
        advice=_series_advice(estimate, v),
        order=("rows", "bars", "tables", "advice"),
    )


def _bars(estimate: Estimate) -> Bars:
    odd = estimate.odd()
    shares = estimate.residuals / estimate.readings
    bound = coverage_factor(0.95) * _share(estimate)
    most = 1.2 * max(float(np.max(np.abs(shares))), bound, 1e-9)
    return Bars(
        key="residuals",
        title="What is left over",
        summary=(
            "Aiding and opposing together should make twice the sum of the coils. What they lack of it is shared out "
            "over the four readings, here as a share of each. Of good readings 19 in 20 lie between the two lines."
        ),
        axis=Axis("Read less fitted", "%", -most, most),
        series=("",),
        bars=[
            Bar(label, (float(shares[place]),), emphasis=place in odd)
            for place, (_, label, *_) in enumerate(_INDUCTANCES)
        ],
        rules=(Rule("", "x", -bound), Rule("", "x", bound)) if bound > 0.0 else (),
    )


def _share(estimate: Estimate) -> float:
    """Standard uncertainty of a reading as a share of it, alike for all."""
    return 0.0 if estimate.uncertainty is None else float(estimate.uncertainty[0] / estimate.readings[0])


def _series_table(estimate: Estimate) -> Table:
    rows = [[label, *residual_cells(estimate, place)] for place, (_, label, *_) in enumerate(_INDUCTANCES)]
    return Table("readings", "Reading by reading", (Column("what", "What"), *residual_columns("H", "Inductance")), rows)


def _series_advice(estimate: Estimate, v: Mapping[str, Any]) -> list[Advice]:
    found = scatter_advice(estimate, [label.lower() for _, label, *_ in _INDUCTANCES])
    if v["aiding"] - v["opposing"] < 0.05 * v["aiding"]:
        found.append(
            Advice(
                "Aiding and opposing differ by little, and an error of either counts many times over in what is left. "
                "With coupling so loose, resonate one coil and short the other."
            )
        )
    found += [
        COMMON,
        Advice(
            "The coils' own capacitances, and that between them. Measure well below the lowest resonance of the two in "
            "series: a third of it or less.",
            "limit",
        ),
    ]
    return found


# --- by a short ---------------------------------------------------------------------------------------------------


def _by_short(readings: Sequence[dict[str, float]], v: Mapping[str, Any]) -> Result:
    open_, short = (np.array([each[name] for each in readings]) for name in ("open", "short"))
    each = np.asarray(fitting.coefficient_from_short(open_, short)) ** 2
    estimate = fitting.fit_short(open_, short, v["frequency_uncertainty"])
    square = estimate["square"]
    if square.value <= 0.0:
        raise units.InputError("resonances", "must rise when the second coil is shorted")
    coefficient = float(np.sqrt(square.value))
    interval = square.interval()
    low, high = (None, None) if interval is None else (max(interval[0], 0.0) ** 0.5, min(interval[1], 1.0) ** 0.5)
    if low is None or high is None:
        sure, span = "nothing tells how sure that is", None
    elif low == 0.0:
        sure, span = f"it is no more than {units.format(high, '%', 2)}, 19 times in 20, and may be nought", (low, high)
    elif high - low <= 1e-9:
        sure, span = "the readings agree to the last digit", (low, high)
    else:
        sure, span = f"19 times in 20 the truth lies from {from_to(low, high, '%')}", (low, high)
    row = Row(
        "coefficient",
        "Coefficient of coupling",
        coefficient,
        "%",
        how=f"√(1 − (f open/f shorted)²); {sure}",
        digits=3,
        interval=span,
    )
    return Result(
        sentence=f"The coils are coupled by {units.format(coefficient, '%', 3)}: {sure}.",
        rows=[
            row,
            measured_row("square", "Its square", square, "", "what the short takes of the first coil's inductance"),
        ],
        tables=(_short_table(estimate, open_, short, each),),
        charts=(each_chart("each", "Pair by pair", "Square of the coefficient", each.tolist(), square, ""),),
        advice=_short_advice(estimate, square),
        order=("rows", "charts", "tables", "advice"),
    )


def _short_table(estimate: Estimate, open_: Any, short: Any, each: Any) -> Table:
    rows = [
        [
            str(place + 1),
            float(open_[place]),
            float(short[place]),
            float(np.sqrt(each[place])),
            *residual_cells(estimate, place)[2:],
        ]
        for place in range(open_.size)
    ]
    columns = (
        Column("number", "Pair"),
        Column("open", "Open", "Hz", 5),
        Column("short", "Shorted", "Hz", 5),
        Column("each", "This pair alone gives", "%", 3),
        *residual_columns("", "Square")[2:],
    )
    return Table("readings", "Pair by pair", columns, rows)


def _short_advice(estimate: Estimate, square: Measured) -> list[Advice]:
    found = scatter_advice(estimate)
    found += [
        Advice(
            "Read the shift and not the two frequencies: leave the capacitor and the generator's range alone between "
            "them, so that what both have in common drops out."
        ),
        COMMON,
        Advice(
            "The second coil's own capacitance while it is open. It lowers that reading by k² times the square of the "
            "frequency over the second coil's own resonance: stay below a fifth of it.",
            "limit",
        ),
        Advice("The second coil's resistance while it is shorted. It matters if its Q is below 20.", "limit"),
    ]
    return found


FORM = Form(
    id="measure-coupling",
    title="Measure coupling",
    chapter="measuring",
    summary="The coefficient of two coils from their inductance in series both ways, or from what a short of one does.",
    fields=_FIELDS,
    solve=solve,
    blame={
        "frequency_short": "resonances",
        "frequency_open": "resonances",
        "relative_uncertainty": "inductance_uncertainty",
    },
)
