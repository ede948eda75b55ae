"""The aerial-measuring form: its capacitance and resistance from the shift and broadening of a tuned circuit."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import fitting, units
from calc.constants import TWO_PI
from calc.fitting import Added, Estimate, Measured
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.shared import (
    HOW_SURE,
    TWO_IN_THREE,
    half_width,
    how_sure,
    measured_row,
    scatter_advice,
    settled,
    share_field,
    steady,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table
from calc.units import InputError

_RETUNED, _SHIFTED = ShownWhen("way", ("retuned",)), ShownWhen("way", ("shifted",))
_THROUGH = ShownWhen("joined", ("capacitor",))
_WIDTHS = (
    Field("width_without", "Width without", "Hz", least=1.0, most=1e8, bare="kHz"),
    Field("width_with", "Width with", "Hz", least=1.0, most=1e8, bare="kHz"),
)

_FIELDS = (
    Field(
        "way",
        "With the aerial joined",
        default="retuned",
        choices=(
            Choice("retuned", "I turn the capacitor until the circuit is in tune again"),
            Choice("shifted", "I leave the capacitor and follow with the frequency"),
        ),
        group="Readings",
    ),
    Field(
        "retuned",
        "Readings, retuned",
        default="500 kHz; 415.3p; 349.4p; 5.21 kHz; 5.68 kHz\n650 kHz; 235.2p; 169.1p; 6.40 kHz; 8.24 kHz\n"
        "800 kHz; 146.6p; 80.1p; 8.05 kHz; 12.47 kHz\n950 kHz; 97.1p; 29.5p; 9.15 kHz; 18.59 kHz",
        columns=(
            Field("frequency", "Frequency", "Hz", least=1e4, most=30e6, bare="kHz"),
            Field("capacitor_without", "Capacitor without", "F", least=1e-12, most=1e-7, bare="pF"),
            Field("capacitor_with", "Capacitor with", "F", least=1e-13, most=1e-7, bare="pF"),
            *_WIDTHS,
        ),
        help="Widths are those between half-power points, 70.7 % of the peak voltage.",
        shown_when=_RETUNED,
        group="Readings",
    ),
    Field(
        "shifted",
        "Readings, shifted",
        default="650 kHz; 580.7 kHz; 236p; 6.45 kHz; 6.73 kHz\n850 kHz; 708.7 kHz; 127p; 8.58 kHz; 9.5 kHz\n"
        "1050 kHz; 811.3 kHz; 75p; 10.5 kHz; 12.09 kHz",
        columns=(
            Field("frequency_without", "Frequency without", "Hz", least=1e4, most=30e6, bare="kHz"),
            Field("frequency_with", "Frequency with", "Hz", least=1e4, most=30e6, bare="kHz"),
            Field("capacitor", "Capacitor", "F", least=1e-12, most=1e-7, bare="pF"),
            *_WIDTHS,
        ),
        help="Widths are those between half-power points, 70.7 % of the peak voltage.",
        shown_when=_SHIFTED,
        group="Readings",
    ),
    Field(
        "joined",
        "The aerial is joined",
        default="capacitor",
        choices=(Choice("capacitor", "through a small known capacitor"), Choice("direct", "straight to the coil")),
        group="The circuit",
    ),
    Field(
        "series_capacitance",
        "That capacitor",
        "F",
        "100p",
        5e-12,
        1e-8,
        bare="pF",
        shown_when=_THROUGH,
        group="The circuit",
    ),
    Field(
        "strays",
        "Strays and the coil's own capacitance",
        "F",
        "25p",
        1e-13,
        1e-9,
        help="Across the coil beside the capacitor. Measure a coil tells it.",
        bare="pF",
        group="The circuit",
    ),
    Field(
        "sought",
        "Taken for",
        default="capacitance",
        choices=(
            Choice("capacitance", "a resistance and a capacitance"),
            Choice("inductance", "these and an inductance (wants two frequencies well apart)"),
        ),
        group="The circuit",
    ),
    Field(
        "capacitor_uncertainty",
        "One setting of the capacitor",
        "F",
        "0.3p",
        1e-16,
        1e-8,
        help=TWO_IN_THREE,
        bare="pF",
        shown_when=_RETUNED,
        group=HOW_SURE,
    ),
    share_field("frequency_uncertainty", "One frequency of resonance", "0.05 %", optional=False, shown_when=_SHIFTED),
    share_field("width_uncertainty", "One width", "3 %", optional=False),
    Field("strays_uncertainty", "The strays", "F", "2p", 0.0, 1e-9, bare="pF", group=HOW_SURE),
    Field(
        "series_uncertainty",
        "The small capacitor",
        "F",
        "0.5p",
        0.0,
        1e-9,
        bare="pF",
        shown_when=_THROUGH,
        group=HOW_SURE,
    ),
)


def solve(**values: Any) -> Result:
    """The aerial for what was read."""
    added = _added(values)
    strays = Measured(values["strays"], values["strays_uncertainty"])
    ahead = None
    if values["joined"] == "capacitor":
        ahead = Measured(values["series_capacitance"], values["series_uncertainty"])
    with_inductance = values["sought"] == "inductance"
    if with_inductance and float(np.ptp(added.frequency)) < 0.1 * float(np.max(added.frequency)):
        raise InputError("sought", "must leave the inductance out, or have frequencies a tenth apart at least")
    try:
        own = fitting.apparent(added, strays.value, None if ahead is None else ahead.value)
        estimate = fitting.fit_aerial(added, strays, ahead, with_inductance)
    except InputError as error:
        raise InputError(values["way"] if error.argument in _READ else error.argument, error.reason) from None
    resistance, capacitance = estimate["resistance"], estimate["capacitance"]
    return Result(
        sentence=_sentence(capacitance, resistance),
        rows=_rows(estimate, with_inductance),
        tables=(_table(added, own, estimate),),
        charts=(_chart(added, own, estimate, "capacitance"), _chart(added, own, estimate, "resistance")),
        advice=_advice(estimate, added, with_inductance, ahead),
        order=("rows", "charts", "tables", "advice"),
    )


def _sentence(capacitance: Measured, resistance: Measured) -> str:
    begin = (
        f"The aerial with its earth has {with_uncertainty(capacitance, 'F')} and {with_uncertainty(resistance, 'ohm')}"
    )
    if resistance.value <= 0.0:
        return f"{begin}: by these readings the resistance comes out below nought, and so it is not known."
    halves = [half_width(each) for each in (capacitance, resistance)]
    told = [
        half is not None and half < each.value for half, each in zip(halves, (capacitance, resistance), strict=True)
    ]
    if all(told):
        return f"{begin}: 19 times in 20 the truth of each lies within."
    return f"{begin}: of the first, {how_sure(capacitance, 'F')}; of the second, {how_sure(resistance, 'ohm')}."


_READ = ("capacitor_with", "capacitance", "readings", "frequency_without", "width_without", "start")


def _added(v: Mapping[str, Any]) -> Added:
    rows: Sequence[dict[str, float]] = v[v["way"]]

    def column(name: str) -> Any:
        return np.array([row[name] for row in rows])

    widths = column("width_without"), column("width_with")
    if v["way"] == "retuned":
        settings = column("capacitor_without"), column("capacitor_with")
        return fitting.added_when_retuned(
            column("frequency"), *settings, *widths, v["capacitor_uncertainty"], v["width_uncertainty"]
        )
    frequencies = column("frequency_without"), column("frequency_with")
    return fitting.added_when_shifted(
        *frequencies, column("capacitor"), *widths, v["frequency_uncertainty"], v["width_uncertainty"]
    )


def _rows(estimate: Estimate, with_inductance: bool) -> list[Row]:
    kind = "of the aerial itself" if with_inductance else "apparent, mean over these frequencies"
    rows = [
        measured_row(
            "capacitance", "Capacitance of the aerial", estimate["capacitance"], "F", f"from the shift, {kind}"
        ),
        measured_row(
            "resistance",
            "Resistance of aerial and earth",
            estimate["resistance"],
            "ohm",
            "from the broadening, taken as the same at all these frequencies",
        ),
    ]
    if with_inductance:
        rows.append(
            measured_row(
                "inductance",
                "Inductance of the aerial",
                estimate["inductance"],
                "H",
                "from how the apparent capacitance grows with frequency",
            )
        )
        if estimate["inductance"].value > 0.0:
            resonance = estimate.derived(lambda u: 1.0 / (TWO_PI * np.sqrt(u[1] * u[2])))
            rows.append(measured_row("resonance", "The aerial's own resonance", resonance, "Hz", "1/(2π√LC)"))
    weakest = estimate.weakest
    if weakest is not None and weakest.uncertainty > 0.3:
        told = ", ".join(name.replace("_", " ") for name, share in weakest.shares.items() if abs(share) > 0.3)
        share = float(f"{weakest.uncertainty:.2e}") if estimate.decided else None
        rows.append(Row("weakest", "Least surely told", share, "%", how=f"{told}, changing together", digits=2))
    return rows


def _table(added: Added, own: tuple[Any, Any], estimate: Estimate) -> Table:
    count = added.frequency.size
    wrong = estimate.standardised
    rows: list[list[float | str | None]] = [
        [
            float(added.frequency[place]),
            *(None if np.isnan(each[place]) else float(each[place]) for each in (own[1], own[0])),
            *(float(w) if abs(w) > 1e-6 else "none" for w in (wrong[place], wrong[count + place])),
        ]
        for place in range(count)
    ]
    columns = (
        Column("frequency", "Frequency with the aerial", "Hz"),
        Column("capacitance", "Capacitance by this reading", "F", 3),
        Column("resistance", "Resistance by this reading", "ohm", 3),
        Column("shift", "Shift off by its own uncertainty", "", 2),
        Column("broadening", "Broadening off by its own uncertainty", "", 2),
    )
    return Table("readings", "Frequency by frequency", columns, rows)


def _chart(added: Added, own: tuple[Any, Any], estimate: Estimate, name: str) -> Chart:
    resistance = name == "resistance"
    unit, label = ("ohm", "Resistance") if resistance else ("F", "Apparent capacitance")
    each = own[0] if resistance else own[1]
    told = np.flatnonzero(np.isfinite(each))
    read = each[told]
    low, high = float(np.min(added.frequency)), float(np.max(added.frequency))
    margin = 0.08 * (high - low) or 0.1 * low
    over = np.linspace(low - margin, high + margin, 41)
    found = steady(estimate[name])
    value = np.full(over.size, found.value)
    if not resistance and "inductance" in estimate.names:
        inductance = estimate["inductance"].value
        value = 1.0 / np.maximum(1.0 / found.value - (TWO_PI * over) ** 2 * inductance, 0.02 / found.value)
    value = settled(value, float(np.max(np.abs(value))))
    half = half_width(found) or 0.0
    least = min(float(np.min(read)), float(np.min(value)) - half)
    most = max(float(np.max(read)), float(np.max(value)) + half)
    room = 0.1 * (most - least) or 0.1 * abs(most)
    series = [Series("fitted", "all together", over, value)]
    if resistance or "inductance" not in estimate.names:
        series += [
            Series("low", "19 times in 20 above this", over, value - half),
            Series("high", "and below this", over, value + half),
        ]
    return Chart(
        key=name,
        title="Resistance, frequency by frequency" if resistance else "Capacitance, frequency by frequency",
        summary=(
            f"Readings by themselves give {units.format(float(np.min(read)), unit, 3)} to "
            f"{units.format(float(np.max(read)), unit, 3)}; all together {with_uncertainty(found, unit)}."
        ),
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis(label, unit, least - room, most + room),
        series=series,
        marks=[Mark(str(place + 1), float(added.frequency[place]), float(each[place])) for place in told.tolist()],
    )


def _advice(estimate: Estimate, added: Added, with_inductance: bool, ahead: Measured | None) -> list[Advice]:
    count = added.frequency.size
    names = [f"the {what} of row {place + 1}" for what in ("shift", "broadening") for place in range(count)]
    found = scatter_advice(estimate, [*names, "the strays", "the small capacitor"])
    if ahead is not None and ahead.value < 0.1 * estimate["capacitance"].value:
        found.append(
            Advice(
                "The capacitor in the lead hides the aerial: most of what is seen is that capacitor. Take a larger one."
            )
        )
    if with_inductance and estimate["inductance"].value <= 0.0:
        found.append(
            Advice(
                "The inductance comes out below nought, so the readings do not show it. Leave it out, or go higher up."
            )
        )
    found += [
        Advice(
            "The broadening is the difference of two widths. When it is small beside them, the resistance is poorly "
            "told, however well each width was read."
        ),
        Advice("Read between stations. A strong one on the aerial reads as if it were yours.", "note"),
        Advice(
            "That the resistance changes over the band: the earth's grows at the high end, and near the aerial's own "
            "resonance all of it does.",
            "limit",
        ),
        Advice("Wind, rain and frost, which move both figures between one evening and the next.", "limit"),
        Advice(
            "With the aerial joined, a generator is a small transmitter: keep it weak and off the stations' "
            "frequencies, and switch it off between readings. Your law may forbid even that.",
            "caution",
        ),
        Advice(
            "Never work on an aerial or its lead when thunder is about, nor near power lines. Join the aerial to its "
            "earth before you touch the leads, and let local codes and licensed practice decide how it is earthed.",
            "caution",
        ),
    ]
    return found


FORM = Form(
    id="measure-aerial",
    title="Measure an aerial",
    chapter="measuring",
    summary="An aerial's capacitance and resistance from what it does to a tuned circuit: shift and broadening.",
    fields=_FIELDS,
    solve=solve,
)
