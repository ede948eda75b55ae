"""The coil form: a single-layer coil from its turns, or the turns from a wanted inductance."""

import numpy as np

from calc import coils, units, wire
from calc.constants import TWO_PI
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.results import Advice, Axis, Chart, Result, Row, Rule, Series
from calc.units import InputError

COVERING = 1.08
"""Overall diameter of ordinary enamelled wire over its bare diameter, for close winding when no pitch is given: 1.05
to 1.12 for 0.3 to 1 mm (common practice; the makers' tables decide)."""

_FIELDS = (
    Field(
        "find",
        "Work out",
        default="inductance",
        choices=(
            Choice("inductance", "the inductance of so many turns"),
            Choice("turns", "the turns for an inductance"),
        ),
        group="Coil",
    ),
    Field(
        "turns",
        "Turns",
        default="60",
        least=1,
        most=2000,
        help="Whole turns, or parts of one.",
        shown_when=ShownWhen("find", ("inductance",)),
        group="Coil",
    ),
    Field(
        "inductance",
        "Wanted inductance",
        "H",
        "240 µH",
        1e-7,
        0.1,
        bare="µH",
        shown_when=ShownWhen("find", ("turns",)),
        group="Coil",
    ),
    Field("former", "Former, outside diameter", "m", "75 mm", 2e-3, 1.0, bare="mm", group="Coil"),
    Field(
        "wire",
        "Wire",
        default="0.5 mm",
        read=wire.diameter,
        help="Bare diameter: 0.5 mm, AWG 24, SWG 25.",
        group="Coil",
    ),
    Field(
        "pitch",
        "Pitch of the turns",
        "m",
        "0.8 mm",
        1e-5,
        0.05,
        help="From one turn to the next. Empty: close wound in enamelled wire.",
        bare="mm",
        optional=True,
        group="Coil",
    ),
    Field("frequency", "Look at it at", "Hz", "1 MHz", 50e3, 10e6, bare="kHz", group="Where"),
)


def solve(
    find: str,
    turns: float | None,
    inductance: float | None,
    former: float,
    wire: float,
    pitch: float | None,
    frequency: float,
) -> Result:
    """The coil for what was typed."""
    step = _pitch(wire, pitch)
    diameter = former + wire
    if turns is None:
        turns = float(coils.turns_for_inductance(inductance or 0.0, diameter, pitch=step, wire_diameter=wire))
    coil = SingleLayer(turns, diameter, step, wire)
    whole = round(turns)
    quality = coil.quality(frequency)
    rows = [
        Row("turns", "Turns", turns, how="as given" if find == "inductance" else "current sheet, solved for turns"),
        Row(
            "inductance",
            "Inductance",
            coil.inductance,
            "H",
            how="exact current sheet with the round-wire correction; 0.3 % of a sum over round turns",
        ),
        Row("length", "Length of the winding", coil.length, "m", how="turns × pitch"),
        Row("wire_length", "Wire in the winding", coil.wire_length, "m", how="helix; add tails"),
        Row("dc_resistance", "Resistance to d.c.", coil.dc_resistance, "ohm", how="copper at 20 °C, IEC 60028"),
        Row(
            "rf_resistance",
            f"Resistance at {units.format(frequency, 'Hz')}",
            coil.resistance(frequency),
            "ohm",
            digits=3,
            how=(
                "exact skin effect with Medhurst's proximity table; measured coils scatter by 10 %, a damp former adds "
                "more"
            ),
        ),
        Row(
            "quality",
            f"Q at {units.format(frequency, 'Hz')}",
            quality,
            digits=3,
            how="2πfL/R, wire loss alone: an upper bound",
        ),
        Row(
            "self_capacitance",
            "Self-capacitance, one end earthed",
            coil.self_capacitance,
            "F",
            digits=2,
            how="Medhurst's table; he gives it 5 %",
        ),
        Row(
            "self_resonance",
            "Self-resonance",
            coil.self_resonance,
            "Hz",
            digits=3,
            how="with that capacitance; keep the band well below",
        ),
    ]
    if find == "turns" and whole >= 1 and abs(whole - turns) > 1e-9:
        at_whole = SingleLayer(float(whole), diameter, step, wire).inductance
        rows.insert(2, Row("whole_turns_inductance", f"Inductance with {whole} turns", at_whole, "H", how="as above"))
    return Result(
        sentence=_sentence(find, turns, coil, frequency, quality),
        rows=rows,
        charts=(_chart(coil, frequency),),
        advice=_advice(coil, step, wire),
    )


class SingleLayer:
    """A single-layer coil with all that the form says of it."""

    def __init__(self, turns: float, diameter: float, pitch: float, wire_diameter: float) -> None:
        self.turns, self.diameter, self.pitch, self.wire_diameter = turns, diameter, pitch, wire_diameter
        self.length = turns * pitch
        self.inductance = float(coils.solenoid_inductance(turns, diameter, self.length, wire_diameter))
        self.wire_length = float(coils.solenoid_wire_length(turns, diameter, self.length))
        self.dc_resistance = float(wire.dc_resistance(wire_diameter, self.wire_length))
        self.self_capacitance = float(coils.self_capacitance(diameter, self.length))
        self.self_resonance = float(coils.self_resonance(self.inductance, self.self_capacitance))

    def resistance(self, frequency: float) -> float:
        """Series resistance at a frequency [ohm]."""
        return float(coils.solenoid_resistance(self.turns, self.diameter, self.length, self.wire_diameter, frequency))

    def quality(self, frequency: float) -> float:
        """Reactance over resistance of the coil without its self-capacitance [1]."""
        return TWO_PI * frequency * self.inductance / self.resistance(frequency)


def _pitch(wire_diameter: float, pitch: float | None) -> float:
    if pitch is None:
        return COVERING * wire_diameter
    if pitch < wire_diameter:
        raise InputError("pitch", f"must be at least the wire's {units.format(wire_diameter, 'm')}")
    return pitch


def _sentence(find: str, turns: float, coil: SingleLayer, frequency: float, quality: float) -> str:
    size = f"{units.format(coil.diameter, 'm', 3)} across and {units.format(coil.length, 'm', 3)} long"
    sharp = f"Q is about {units.number(quality, 2)} at {units.format(frequency, 'Hz')}"
    if find == "turns":
        return f"{units.number(turns, 3)} turns, {size}, give {units.format(coil.inductance, 'H', 3)}; {sharp}."
    return f"{units.number(turns)} turns, {size}, make {units.format(coil.inductance, 'H', 3)}; {sharp}."


def _chart(coil: SingleLayer, frequency: float) -> Chart:
    over = np.geomspace(0.5 * frequency, 2.0 * frequency, 41)
    quality = [coil.quality(f) for f in over.tolist()]
    least, most = min(quality), max(quality)
    return Chart(
        key="quality",
        title="Q over the band",
        summary=(
            f"Q runs from {units.number(quality[0], 2)} at {units.format(float(over[0]), 'Hz')} to "
            f"{units.number(quality[-1], 2)} at {units.format(float(over[-1]), 'Hz')}."
        ),
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis("Q", "", 0.0 if least < 0.6 * most else 0.8 * least, 1.1 * most),
        series=(Series("quality", "Q", over, quality),),
        rules=(Rule(units.format(frequency, "Hz"), "x", frequency),),
    )


def _advice(coil: SingleLayer, pitch: float, wire_diameter: float) -> tuple[Advice, ...]:
    found = []
    if wire_diameter / pitch > 0.75:
        found.append(
            Advice(
                f"The turns lie close: the wire fills {units.format(wire_diameter / pitch, '%', 2)} of the pitch, and "
                "neighbouring turns crowd the current. A pitch of one and a half to two wire diameters loses less."
            )
        )
    found.append(
        Advice(
            "Loss in the former, in varnish and in the self-capacitance, and the leads. A damp card tube can cost a "
            "third of the Q.",
            "limit",
        )
    )
    return tuple(found)


FORM = Form(
    id="coil",
    title="Coil",
    chapter="coil",
    summary="A single-layer coil from its turns, or the turns for an inductance, with its Q, wire and self-resonance.",
    fields=_FIELDS,
    solve=solve,
    blame={"wire_diameter": "wire", "diameter": "former", "length": "pitch"},
)
