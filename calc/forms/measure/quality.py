"""The Q-measuring form: from the width of the resonance, or from the step-up of a small injected voltage."""

from typing import Any

from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.measure.quality_ratio import by_ratio
from calc.forms.measure.quality_width import by_width
from calc.forms.measure.shared import (
    HOW_SURE,
    OR_SCATTER,
    TWO_IN_THREE,
    share_field,
)
from calc.forms.results import Result

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
    return by_width(values) if values["way"] == "width" else by_ratio(values)


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
