"""The Q-measuring form: from the width of the resonance, or from the step-up of a small injected voltage."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import fitting, units
from calc.constants import TWO_PI
from calc.fitting import Estimate, Measured
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.shared import (
    COMMON,
    HOW_SURE,
    OR_SCATTER,
    TWO_IN_THREE,
    each_chart,
    half_width,
    how_sure,
    measured_row,
    residual_cells,
    residual_columns,
    scatter_advice,
    share_field,
    with_uncertainty,
)
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table
from calc.units import InputError

_WIDTH, _RATIO = ShownWhen("way", ("width",)), ShownWhen("way", ("ratio",))
_LOAD = "What lies across it"

_FIELDS = (
    Field(
        "way",
        "Way",
        default="width",
        choices=(
            Choice("width", "how wide: frequencies on either side of the peak"),
            Choice("ratio", "how high: voltage injected in series, and voltage across the capacitor"),
        ),
        group="Readings",
    ),
    Field(
        "pairs",
        "Frequencies on either side of the peak",
        default="70.7 %; 994.6 kHz; 1005.2 kHz\n70.7 %; 994.8 kHz; 1005.3 kHz\n50 %; 990.9 kHz; 1009.1 kHz",
        columns=(
            Field("level", "Reading, of the peak", "%", least=0.05, most=0.98, bare="%"),
            Field("lower", "Lower", "Hz", least=1e3, most=300e6, bare="kHz"),
            Field("upper", "Upper", "Hz", least=1e3, most=300e6, bare="kHz"),
        ),
        help="Half power is at 70.7 % of the peak voltage. Other levels serve as well.",
        shown_when=_WIDTH,
        group="Readings",
    ),
    Field(
        "law",
        "The meter reads",
        default="voltage",
        choices=(
            Choice("voltage", "in proportion to the voltage"),
            Choice("power", "in proportion to the power (a weak signal on a diode)"),
        ),
        shown_when=_WIDTH,
        group="Readings",
    ),
    Field(
        "voltages",
        "Voltages at resonance",
        default="20 mV; 2.83 V\n20 mV; 2.79 V\n40 mV; 5.66 V",
        columns=(
            Field("injected", "Injected", "V", least=1e-6, most=100.0, bare="mV"),
            Field("across", "Across the capacitor", "V", least=1e-6, most=1e4, bare="V"),
        ),
        shown_when=_RATIO,
        group="Readings",
    ),
    Field("frequency", "Frequency", "Hz", "1 MHz", 1e3, 300e6, bare="kHz", shown_when=_RATIO, group="Readings"),
    Field(
        "capacitance",
        "Whole capacitance of the circuit",
        "F",
        "110p",
        1e-12,
        1e-7,
        help="Capacitor and strays. By the step-up: the capacitor, without the coil's own.",
        bare="pF",
        group=_LOAD,
    ),
    Field(
        "meter_resistance",
        "Meter or detector across it",
        "ohm",
        "1M",
        100.0,
        1e12,
        help="Its resistance at this frequency. Empty: it takes nothing.",
        bare="kΩ",
        optional=True,
        group=_LOAD,
    ),
    Field(
        "injection_resistance",
        "Resistance that injects",
        "ohm",
        "40m",
        0.0,
        10.0,
        help="In series with the coil, across which the small voltage stands.",
        bare="Ω",
        shown_when=_RATIO,
        group=_LOAD,
    ),
    Field(
        "self_capacitance",
        "The coil's own capacitance",
        "F",
        "6p",
        0.0,
        1e-9,
        help="Measure a coil tells it.",
        bare="pF",
        shown_when=_RATIO,
        group=_LOAD,
    ),
    Field(
        "frequency_uncertainty",
        "A frequency",
        "Hz",
        "100 Hz",
        1e-3,
        1e6,
        help=f"How finely it can be set and read. {TWO_IN_THREE}",
        bare="Hz",
        optional=True,
        shown_when=_WIDTH,
        group=HOW_SURE,
    ),
    share_field("level_uncertainty", "A level, of the peak", "1 %", OR_SCATTER, shown_when=_WIDTH),
    share_field("injected_uncertainty", "An injected voltage", "1 %", TWO_IN_THREE, shown_when=_RATIO),
    share_field("across_uncertainty", "A voltage across the capacitor", "1.5 %", OR_SCATTER, shown_when=_RATIO),
    share_field("capacitance_uncertainty", "The capacitance", "2 %", optional=False),
    share_field("meter_uncertainty", "The meter's resistance", "15 %", optional=False),
    share_field("injection_uncertainty", "The resistance that injects", "2 %", optional=False, shown_when=_RATIO),
)


def solve(**values: Any) -> Result:
    """Q for what was read."""
    return _by_width(values) if values["way"] == "width" else _by_ratio(values)


def _known(value: float, share: float) -> Measured:
    return Measured(value, share * value)


# --- by width -----------------------------------------------------------------------------------------------------


def _by_width(v: Mapping[str, Any]) -> Result:
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
            _known(v["capacitance"], v["capacitance_uncertainty"]),
            _known(v["meter_resistance"], v["meter_uncertainty"]),
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


# --- by the step-up -----------------------------------------------------------------------------------------------


def _by_ratio(v: Mapping[str, Any]) -> Result:
    voltages: Sequence[dict[str, float]] = v["voltages"]
    injected, across = (np.array([each[name] for each in voltages]) for name in ("injected", "across"))
    estimate = fitting.fit_ratio(injected, across, v["injected_uncertainty"], v["across_uncertainty"])
    ratio = estimate["ratio"]
    if ratio.value < 2.0:
        raise InputError("voltages", "must show a step-up of 2 at least")
    frequency, capacitor = v["frequency"], _known(v["capacitance"], v["capacitance_uncertainty"])
    injection = _known(v["injection_resistance"], v["injection_uncertainty"])
    meter = None if v["meter_resistance"] is None else _known(v["meter_resistance"], v["meter_uncertainty"])
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


FORM = Form(
    id="measure-q",
    title="Measure Q",
    chapter="measuring",
    summary="Q of a tuned circuit from its half-power width, or of a coil from the step-up of an injected voltage.",
    fields=_FIELDS,
    solve=solve,
    blame={
        "lower": "pairs",
        "upper": "pairs",
        "level": "pairs",
        "readings": "pairs",
        "start": "pairs",
        "resistance": "meter_resistance",
        "ratio": "voltages",
        "across": "voltages",
        "injected": "voltages",
    },
)
