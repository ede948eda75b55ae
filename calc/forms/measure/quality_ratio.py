"""Q by the step-up of a small voltage: the answer of the Q-measuring form."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import fitting
from calc.constants import TWO_PI
from calc.fitting import Estimate, Measured
from calc.forms.measure.shared import (
    COMMON,
    each_chart,
    half_width,
    how_sure,
    known,
    measured_row,
    residual_cells,
    residual_columns,
    scatter_advice,
    with_uncertainty,
)
from calc.forms.results import Advice, Column, Result, Table
from calc.units import InputError


def by_ratio(v: Mapping[str, Any]) -> Result:
    """The answer for the form's values."""
    voltages: Sequence[dict[str, float]] = v["voltages"]
    injected, across = (np.array([each[name] for each in voltages]) for name in ("injected", "across"))
    estimate = fitting.fit_ratio(injected, across, v["injected_uncertainty"], v["across_uncertainty"])
    ratio = estimate["ratio"]
    if ratio.value < 2.0:
        raise InputError("voltages", "must show a step-up of 2 at least")
    frequency, capacitor = v["frequency"], known(v["capacitance"], v["capacitance_uncertainty"])
    injection = known(v["injection_resistance"], v["injection_uncertainty"])
    meter = None if v["meter_resistance"] is None else known(v["meter_resistance"], v["meter_uncertainty"])
    loss = fitting.coil_resistance(ratio, frequency, capacitor, injection, meter)
    # Q by way of the reactance and not of the loss, whose uncertainty of the capacitor would count twice
    omega = TWO_PI * frequency
    load = Measured(0.0, 0.0) if meter is None else Measured(1.0 / meter.value, v["meter_uncertainty"] / meter.value)
    effective = fitting.propagate(
        lambda u: 1.0 / (1.0 / u[0] - omega * u[1] * u[2] - u[3] / (omega * u[1])),
        [ratio, capacitor, injection, load],
    )
    whole = 1.0 + v["self_capacitance"] / v["capacitance"]
    own = Measured(
        effective.value * whole,
        None if effective.uncertainty is None else effective.uncertainty * whole,
        effective.degrees_of_freedom,
    )
    each = (across / injected).tolist()
    return Result(
        sentence=f"The coil has a Q of {with_uncertainty(own, '')}: {how_sure(own, '')}.",
        rows=[
            measured_row(
                "own", "Q of the coil itself", own, "", "with its own capacitance counted as part of the tuning"
            ),
            measured_row("effective", "Q at its ends", effective, "", "reactance over what is left of the loss"),
            measured_row("ratio", "Voltage step-up, as read", ratio, "", "across the capacitor over injected"),
            measured_row(
                "loss", "Resistance of the coil", loss, "ohm", "X/step-up, less the injecting resistance and X²/R"
            ),
        ],
        tables=(_ratio_table(estimate, injected, across),),
        charts=(each_chart("each", "Pair by pair", "Step-up", each, ratio, ""),),
        advice=_ratio_advice(estimate, ratio, effective),
        order=("rows", "charts", "tables", "advice"),
    )


def _ratio_table(estimate: Estimate, injected: Any, across: Any) -> Table:
    rows = [
        [str(place + 1), float(injected[place]), float(across[place]), *residual_cells(estimate, place)]
        for place in range(injected.size)
    ]
    columns = (
        Column("number", "Pair"),
        Column("injected", "Injected", "V"),
        Column("across", "Across the capacitor", "V"),
        *residual_columns("", "Step-up"),
    )
    return Table("readings", "Pair by pair", columns, rows)


def _ratio_advice(estimate: Estimate, ratio: Measured, effective: Measured) -> list[Advice]:
    found = scatter_advice(estimate)
    half = half_width(effective)
    if half is not None and effective.value > 1.3 * ratio.value:
        found.append(
            Advice(
                "Resistance that injects and meter take more than a quarter of what was there. A smaller resistance, "
                "or a lighter meter, leaves less to correct."
            )
        )
    found += [
        COMMON,
        Advice(
            "The loss of the capacitor, which counts as the coil's. A good air-spaced one has a Q above 2000.", "limit"
        ),
    ]
    return found
