"""Q by the width of the resonance: the answer of the Q-measuring form."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import fitting, units
from calc.constants import TWO_PI
from calc.fitting import Estimate, Measured
from calc.forms.measure.shared import (
    COMMON,
    how_sure,
    known,
    measured_row,
    residual_cells,
    residual_columns,
    scatter_advice,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table


def by_width(v: Mapping[str, Any]) -> Result:
    """The answer for the form's values."""
    pairs: Sequence[dict[str, float]] = v["pairs"]
    lower, upper = np.array([each["lower"] for each in pairs]), np.array([each["upper"] for each in pairs])
    read = np.array([each["level"] for each in pairs])
    power = v["law"] == "power"
    level = np.sqrt(read) if power else read
    if power and v["level_uncertainty"] is not None:
        of_level = v["level_uncertainty"] / (2.0 * level)
    else:
        of_level = v["level_uncertainty"]
    estimate = fitting.fit_width(lower, upper, level, v["frequency_uncertainty"], of_level)
    loaded, middle = estimate["quality"], estimate["resonance"]
    rows = [
        measured_row(
            "loaded", "Q as it stands", loaded, "", "√(1/a² − 1)·√(f₁f₂)/(f₂ − f₁), a being the share of the peak"
        ),
        measured_row("resonance", "Resonance", middle, "Hz", "between the pairs, by ratio"),
        measured_row(
            "width",
            "Width at half power",
            estimate.derived(lambda u: u[0] / u[1]),
            "Hz",
            "resonance over Q",
        ),
    ]
    own = loaded
    if v["meter_resistance"] is not None:
        own = fitting.unloaded(
            loaded,
            middle.value,
            known(v["capacitance"], v["capacitance_uncertainty"]),
            known(v["meter_resistance"], v["meter_uncertainty"]),
        )
        rows.insert(
            0, measured_row("unloaded", "Q without the meter", own, "", "1/(1/Q − 1/2πfCR), R being the meter's")
        )
    rows.append(_parallel_row(own, middle.value, v["capacitance"]))
    name = "Without the meter the circuit has" if own is not loaded else "The circuit has"
    each = np.asarray(fitting.quality_from_width(lower, upper, level))
    return Result(
        sentence=f"{name} a Q of {with_uncertainty(own, '')}: {how_sure(own, '')}.",
        rows=rows,
        tables=(_width_table(estimate, read, each),),
        charts=(_curve(estimate, level, lower, upper),),
        advice=[*scatter_advice(estimate, _names(len(pairs))), *_width_advice(loaded, own)],
        order=("rows", "charts", "tables", "advice"),
    )


def _names(pairs: int) -> list[str]:
    return [f"the {side} frequency of pair {place + 1}" for side in ("lower", "upper") for place in range(pairs)]


def _parallel_row(own: Measured, frequency: float, capacitance: float) -> Row:
    parallel = own.value / (TWO_PI * frequency * capacitance)
    return Row("parallel", "Its loss as a resistance across it", parallel, "ohm", how="Q/2πfC", digits=3)


def _width_table(estimate: Estimate, read: Any, each: Any) -> Table:
    count = read.size
    rows: list[list[float | str | None]] = []
    for place in range(2 * count):
        pair = place % count
        side = "lower" if place < count else "upper"
        rows.append([f"{pair + 1} {side}", float(read[pair]), *residual_cells(estimate, place), float(each[pair])])
    rows.sort(key=lambda row: int(str(row[0]).split()[0]))
    columns = (
        Column("number", "Pair"),
        Column("level", "Reading, of the peak", "%", 3),
        *residual_columns("Hz", "Frequency"),
        Column("each", "This pair alone gives Q", "", 3),
    )
    return Table("readings", "Reading by reading", columns, rows)


def _curve(estimate: Estimate, level: Any, lower: Any, upper: Any) -> Chart:
    middle, quality = estimate.values.tolist()
    reach = 1.25 * max(middle - float(np.min(lower)), float(np.max(upper)) - middle)
    reach = min(max(reach, 1.2 * middle / quality), 0.95 * middle)
    over = np.linspace(middle - reach, middle + reach, 81)
    turned = quality * (over / middle - middle / over)
    odd = estimate.odd()
    marks = [
        Mark(str(place % level.size + 1), float(at), float(level[place % level.size]), emphasis=place in odd)
        for place, at in enumerate(np.concatenate([lower, upper]).tolist())
    ]
    return Chart(
        key="curve",
        title="The resonance",
        summary=(
            f"Voltage as a share of its peak over frequency, readings and fitted curve: peak at "
            f"{units.format(middle, 'Hz', 5)}, {units.format(middle / quality, 'Hz', 3)} wide at half power."
        ),
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis("Voltage, of its peak", "%", 0.0, 1.05),
        series=(Series("curve", "fitted", over, 1.0 / np.sqrt(1.0 + turned**2)),),
        marks=marks,
    )


def _width_advice(loaded: Measured, own: Measured) -> list[Advice]:
    found = []
    if loaded.value < 0.8 * own.value:
        found.append(
            Advice(
                f"The meter takes {units.format(1.0 - loaded.value / own.value, '%', 2)} of the Q. Join it lower down "
                "the coil, or through a picofarad or two."
            )
        )
    found += [
        Advice(
            "The level has to be steady while you turn the frequency. Go back to the peak after each pair, and see "
            "that it still reads the same."
        ),
        COMMON,
        Advice(
            "How the generator loads the circuit. Couple it so loosely that half the coupling gives the same Q.",
            "limit",
        ),
        Advice("How Q changes with frequency over the width of the resonance: of no account above 20 or so.", "limit"),
    ]
    return found
