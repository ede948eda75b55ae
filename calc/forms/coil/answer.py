"""What the coil form answers."""

from typing import Any

import numpy as np

from calc import coils, units
from calc.constants import TWO_PI
from calc.forms.coil.build import Seen, turns_that_fit, wanted_coil
from calc.forms.coil.single import Cylinder, Rod, Tube
from calc.forms.coil.tapping import tap_table
from calc.forms.coil.thick import FlatSpiral, Layers, Scramble
from calc.forms.coil.words import advice, how_inductance, how_length, how_loss, sentence
from calc.forms.coil.wound import Wound, last_turn, whole_coil
from calc.forms.coil_pictures import coil_drawing, field_drawing
from calc.forms.results import Axis, Chart, Result, Row, Rule, Series
from calc.units import Array

_CHART_POINTS = 41
_NEAREST = 0.98
"""What the ends show is said up to this share of the self-resonance."""


def solve(**v: Any) -> Result:
    """The coil for what was typed."""
    coil = wanted_coil(v)
    seen = Seen(coil, v["leads"], v["temperature"], v["own_capacitance"], v["loss_tangent"] or 0.0)
    frequency = v["frequency"]
    whole = whole_coil(coil, v["inductance"] - seen.leads_inductance, coil.turns) if v["find"] == "turns" else coil
    over = np.geomspace(0.5 * frequency, 2.0 * frequency, _CHART_POINTS)
    quality = seen.quality(np.append(over, frequency))
    fits = turns_that_fit(v, coil)
    taps = v["taps"] or ()
    return Result(
        sentence=sentence(
            whole,
            whole.inductance + seen.leads_inductance,
            v["inductance"],
            frequency,
            float(quality[-1]),
            fits,
        ),
        rows=[
            *_turn_rows(v, seen, whole),
            *_shape_rows(v, seen),
            *_fit_rows(coil, fits),
            *_wire_rows(seen),
            *_loss_rows(seen, frequency, float(quality[-1])),
            *_resonance_rows(seen, frequency, float(quality[-1])),
        ],
        tables=(tap_table(coil, taps, v["leads"] or 0.0),) if taps else (),
        charts=_charts(seen, frequency, over, quality[:-1]),
        drawings=[coil_drawing(whole, taps), *([field_drawing(whole)] if v["field"] == "yes" else [])],
        advice=advice(v, seen, fits),
        order=("rows", "drawings", "tables", "charts", "advice"),
    )


def _turn_rows(v: Any, seen: Seen, whole: Wound) -> list[Row]:
    given = v["find"] == "inductance"
    how = "as given" if given else "whole turns, tried one by one" if isinstance(whole, Layers) else "solved for turns"
    rows = [
        Row("turns", "Turns", seen.coil.turns, how=how),
        Row("inductance", "Inductance", seen.inductance, "H", how=how_inductance(seen)),
    ]
    if not given:
        rows.insert(1, Row("whole_turns", "Whole turns", whole.turns, how="the nearest"))
        count = f"{whole.turns:.0f} turn{'s' * (whole.turns > 1)}"
        rows += [
            Row(
                "whole_turns_inductance",
                f"Inductance with {count}",
                whole.inductance + seen.leads_inductance,
                "H",
                how="as above",
            ),
            Row(
                "last_turn",
                "What the last turn makes of it",
                last_turn(whole),
                "H",
                how="so much less if you take it off",
                digits=3,
            ),
        ]
    if seen.leads is not None:
        rows.append(
            Row(
                "leads_inductance",
                "Of which the leads",
                seen.leads_inductance,
                "H",
                how="straight wire by itself; less where they lie together, none where they are short",
                digits=2,
            )
        )
    return rows


def _shape_rows(v: Any, seen: Seen) -> list[Row]:
    coil = seen.coil
    rows: list[Row] = []
    if isinstance(coil, Tube) and coil.sides:
        rows.append(
            Row("same_as", "Does the same as a round coil of", coil.diameter, "m", how="inductance within 0.2 %")
        )
    if isinstance(coil, Rod):
        alone = coil.without_rod.inductance
        rows += [
            Row("without_rod", "Without the rod", alone, "H", how="current sheet with the round-wire correction"),
            Row("rod_gain", "The rod makes it greater by", coil.inductance / alone, how="the two above", digits=3),
            Row(
                "apparent_permeability",
                "Rod's apparent permeability",
                coil.rod.apparent_permeability,
                how="in an even field, at its middle; its shape holds it down, 2 % of a field solution",
                digits=3,
            ),
        ]
    if isinstance(coil, Layers):
        rows.append(Row("layers", "Layers", float(coil.layers), how=f"{coil.a_layer} turns in a full one"))
    rows.append(Row("length", "Length of the winding", coil.length, "m", how=how_length(coil)))
    if isinstance(coil, (Layers, Scramble, FlatSpiral)):
        rows.append(
            Row("outer_diameter", "Outer diameter of the winding", coil.outer_diameter, "m", how="turns and wire")
        )
    return rows


def _fit_rows(coil: Wound, fits: int | None) -> list[Row]:
    if fits is None:
        return []
    counted = min(fits, coil.most_turns()) if fits >= coil.least_turns() else 0
    full = coil.rewound(float(int(counted))).inductance if counted >= 1 else None
    return [
        Row("fits", "Turns that would fit", float(fits), how="with this wire, at this pitch or close wound"),
        Row("fits_inductance", "Inductance when it is full", full, "H", how=how_inductance(Seen(coil))),
    ]


def _wire_rows(seen: Seen) -> list[Row]:
    conductor = seen.coil.conductor
    kelvin = units.format(seen.temperature, "degC", 3)
    tails = "leads counted in" if seen.leads is not None else "add tails"
    return [
        Row("wire_length", "Wire", seen.wire_length, "m", how=f"{_run(seen.coil)}; {tails}"),
        Row(
            "copper",
            "Copper in it",
            1e3 * conductor.copper(seen.wire_length),
            "g",
            how="8890 kg/m³, IEC 60028; covering adds 2 to 10 %, cotton more",
            digits=3,
        ),
        Row(
            "dc_resistance",
            "Resistance to d.c.",
            seen.steady_resistance,
            "ohm",
            how=f"copper at {kelvin}, IEC 60028",
        ),
    ]


def _run(coil: Wound) -> str:
    return "a helix" if isinstance(coil, Cylinder) else "turn by turn"


def _loss_rows(seen: Seen, frequency: float, quality: float) -> list[Row]:
    at = units.format(frequency, "Hz")
    hertz = np.asarray(frequency)
    rows = [
        Row(
            "rf_resistance",
            f"Resistance at {at}",
            TWO_PI * frequency * seen.inductance / quality,
            "ohm",
            how=how_loss(seen),
            digits=3,
        )
    ]
    if isinstance(seen.coil, Rod):
        rod = float(seen.rod_resistance(hertz))
        rows.append(
            Row(
                "rod_resistance",
                "Of which the rod",
                rod,
                "ohm",
                how="from its loss factor, which may be wrong severalfold",
                digits=2,
            )
        )
    if seen.loss_tangent and seen.self_capacitance is not None:
        lost = float(seen.former_resistance(hertz))
        rows.append(
            Row(
                "former_resistance",
                "Of which former and covering",
                lost,
                "ohm",
                how="ω³L²C tan δ, all the self-capacitance taken as lossy",
                digits=2,
            )
        )
    bound = "what is left out makes it less" if seen.loss_tangent else "wire loss alone: an upper bound"
    if isinstance(seen.coil, Rod):
        bound = "wire and rod: an upper bound"
    rows += [
        Row("quality", f"Q at {at}", quality, digits=3, how=f"2πfL/R, {bound}"),
        Row(
            "width",
            "Width of the tuning curve",
            frequency / quality,
            "Hz",
            digits=3,
            how="f/Q, between half powers, with nothing across the coil",
        ),
    ]
    return rows


def _resonance_rows(seen: Seen, frequency: float, quality: float) -> list[Row]:
    if seen.own_capacitance is not None:
        how = "as measured"
    elif not isinstance(seen.coil, Tube):
        how = "not known for this shape: measure it, and enter it"
    elif seen.self_capacitance is None:
        how = "known for windings of 0.1 to 50 diameters in length only"
    else:
        how = "Medhurst's table; he gives it 5 %"
    resonance = seen.self_resonance
    below = resonance is not None and frequency < _NEAREST * resonance
    at = units.format(frequency, "Hz")
    nothing = "needs the self-capacitance" if resonance is None else "none so near self-resonance, or above"
    inductance = shown = None
    if below:
        across, loss = seen.self_capacitance or 0.0, TWO_PI * frequency * seen.inductance / quality
        inductance = float(coils.effective_inductance(seen.inductance, across, frequency))
        shown = max(float(coils.effective_quality_factor(seen.inductance, loss, across, frequency)), 0.0)
    return [
        Row("self_capacitance", "Self-capacitance, one end earthed", seen.self_capacitance, "F", digits=2, how=how),
        Row(
            "self_resonance",
            "Self-resonance",
            resonance,
            "Hz",
            digits=3,
            how="with that capacitance; keep the band below a third of it" if resonance else nothing,
        ),
        Row(
            "effective_inductance",
            f"Inductance that its ends show at {at}",
            inductance,
            "H",
            how="L/(1 − ω²LC)" if below else nothing,
        ),
        Row(
            "effective_quality",
            "Q that its ends show there",
            shown,
            digits=3,
            how="what a bridge would read; in a tuned circuit the Q above counts" if below else nothing,
        ),
    ]


def _charts(seen: Seen, frequency: float, over: Array, quality: Array) -> list[Chart]:
    series = [Series("quality", "in a tuned circuit", over, quality)]
    resonance = seen.self_resonance
    if resonance is not None and resonance > 1.02 * float(over[0]):
        below = over < _NEAREST * resonance
        resistance = TWO_PI * over[below] * seen.inductance / quality[below]
        shown = coils.effective_quality_factor(seen.inductance, resistance, seen.self_capacitance or 0.0, over[below])
        series.append(Series("effective", "between its ends", over[below], np.maximum(shown, 0.0)))
    first, last = float(quality[0]), float(quality[-1])
    highest = float(np.max(quality))
    rule = Rule(units.format(frequency, "Hz"), "x", frequency)
    charts = [
        Chart(
            key="quality",
            title="Q over the band",
            summary=(
                f"Q runs from {units.number(first, 2)} at {units.format(float(over[0]), 'Hz')} to "
                f"{units.number(last, 2)} at {units.format(float(over[-1]), 'Hz')}."
            ),
            x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
            y=Axis("Q", "", 0.0, 1.1 * highest),
            series=series,
            rules=(rule,),
        )
    ]
    return charts + ([] if resonance is None else [_resonance_chart(seen, resonance, frequency)])


def _resonance_chart(seen: Seen, resonance: float, frequency: float) -> Chart:
    over = resonance * np.linspace(0.05, 0.9, 52)
    shown = np.asarray(coils.effective_inductance(seen.inductance, seen.self_capacitance or 0.0, over))
    rules = [Rule("a third of it", "x", resonance / 3.0)]
    if float(over[0]) <= frequency <= float(over[-1]):
        rules.append(Rule(units.format(frequency, "Hz"), "x", frequency))
    own = units.format(seen.inductance, "H", 3)
    third = float(coils.effective_inductance(seen.inductance, seen.self_capacitance or 0.0, resonance / 3.0))
    return Chart(
        key="near_resonance",
        title="What its ends show up to self-resonance",
        summary=(
            f"The ends show {own} at low frequency, {units.format(third, 'H', 3)} at a third of the self-resonance of "
            f"{units.format(resonance, 'Hz', 3)}, and ever more near it."
        ),
        x=Axis("Frequency", "Hz", 0.0, resonance),
        y=Axis("Inductance", "H", 0.0, float(shown[-1])),
        series=(Series("effective", "Inductance between the ends", over, shown),),
        rules=rules,
    )
