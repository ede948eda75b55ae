"""The wire form: what a size is in copper and covering, what it does at radio frequency, and what a reel holds."""

import math
from typing import Any

import numpy as np

from calc import units, wire
from calc.forms.coil.conductor import COVERINGS, Conductor, solid
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.results import Advice, Axis, Chart, Column, Result, Row, Rule, Series, Table
from calc.forms.shapes import Circle, Drawing, Line, Shape, Text

_SIZE, _REEL = "Wire", "The reel"
_AMERICAN = ("4/0", "3/0", "2/0", *(str(number) for number in range(51)))
_NEAR = 3
"""Sizes of each gauge to list."""

FIELDS = (
    Field(
        "wire",
        "Wire",
        default="0.5 mm",
        read=wire.diameter,
        help="Bare diameter: 0.5 mm, AWG 24, SWG 25, 0.02 in.",
        group=_SIZE,
    ),
    Field(
        "covering",
        "Covering",
        default="enamel-1",
        choices=tuple(Choice(key, label) for key, (_, label) in COVERINGS.items()),
        group=_SIZE,
    ),
    Field("frequency", "Frequency", "Hz", "1 MHz", 10e3, 100e6, bare="kHz", group=_SIZE),
    Field("temperature", "Temperature", "degC", "20 °C", -40.0, 150.0, group=_SIZE),
    Field(
        "reel",
        "You know its",
        default="mass",
        choices=(
            Choice("mass", "weight, without the empty reel"),
            Choice("resistance", "resistance from end to end"),
            Choice("length", "length"),
        ),
        group=_REEL,
    ),
    Field(
        "reel_mass",
        "Weight of the wire",
        "g",
        "50 g",
        0.01,
        1e5,
        help="Weigh it, and take off an empty reel.",
        bare="g",
        shown_when=ShownWhen("reel", ("mass",)),
        group=_REEL,
    ),
    Field(
        "reel_resistance",
        "Resistance",
        "ohm",
        "2.5 Ω",
        1e-4,
        1e6,
        help="Both ends bared; take off what the meter's leads have.",
        shown_when=ShownWhen("reel", ("resistance",)),
        group=_REEL,
    ),
    Field("reel_length", "Length", "m", "30 m", 0.01, 1e5, shown_when=ShownWhen("reel", ("length",)), group=_REEL),
    Field(
        "need",
        "The coil needs",
        "m",
        "15 m",
        0.0,
        1e5,
        help="From the coil form, and tails. Empty: no coil in mind.",
        optional=True,
        group=_REEL,
    ),
)


def solve(**v: Any) -> Result:
    """The wire for what was typed."""
    conductor = solid(v["wire"], v["covering"])
    at, celsius = v["frequency"], v["temperature"]
    on_reel = _on_reel(v)
    return Result(
        sentence=_sentence(conductor, on_reel, v["need"]),
        rows=[
            *_size_rows(conductor, v["covering"], celsius),
            *_frequency_rows(v["wire"], at, celsius),
            *_reel_rows(conductor, v, on_reel),
        ],
        tables=(_near_sizes(v["wire"], celsius), _coverings(v["wire"])),
        charts=(_chart(v["wire"], at, celsius),),
        drawings=(_drawing(conductor, at, celsius),),
        advice=_advice(conductor, v),
        order=("rows", "drawings", "charts", "tables", "advice"),
    )


def _on_reel(v: Any) -> float:
    """Length of wire on the reel [m]."""
    if v["reel"] == "mass":
        return float(wire.length_of_mass(v["wire"], 1e-3 * v["reel_mass"]))
    if v["reel"] == "resistance":
        return float(wire.length_of_resistance(v["wire"], v["reel_resistance"], v["temperature"]))
    return float(v["reel_length"])


def _sentence(conductor: Conductor, on_reel: float, need: float | None) -> str:
    size, length = units.format(conductor.strand, "m", 3), units.format(on_reel, "m", 3)
    holds = f"The reel holds about {length} of {size} wire"
    if need is None:
        return f"{holds}."
    asked = units.format(need, "m", 3)
    if need > on_reel:
        return f"{holds}, too little for the {asked} that the coil needs."
    spare = units.format(on_reel - need, "m", 2)
    return f"{holds}: enough for the {asked} that the coil needs, with {spare} to spare."


def _size_rows(conductor: Conductor, covering: str, temperature: float) -> list[Row]:
    size = conductor.strand
    covered = conductor.covered
    how = {"enamel": "the most that IEC 60317-0-1 allows; a new reel is 2 to 4 % less", "bare": "no covering"}.get(
        covering.split("-")[0], "typical of old makers' lists: measure ten turns side by side"
    )
    if covered is None:
        how = "enamel is in the table for 0.04 to 2 mm only"
    by_hand = units.format(temperature, "degC", 3)
    return [
        Row("diameter", "Diameter of the copper", size, "m", how="as named; drawn wire may be 1 % off"),
        Row("covered", "With its covering", covered, "m", how=how),
        Row(
            "turns_per_length",
            "Turns in a centimetre, close wound",
            None if covered is None else 0.01 / covered,
            how="one over the covered diameter; by hand 5 % fewer",
            digits=3,
        ),
        Row(
            "resistance",
            f"Resistance of a metre at {by_hand}",
            float(wire.dc_resistance(size, 1.0, temperature)),
            "ohm",
            how="copper as in IEC 60028, and 0.39 % more for every kelvin; twice the error of the diameter",
        ),
        Row(
            "mass",
            "Weight of a metre",
            1e3 * float(wire.mass(size, 1.0)),
            "g",
            how="copper alone, 8890 kg/m³; enamel adds 2 to 10 %, cotton more",
            digits=3,
        ),
    ]


def _frequency_rows(size: float, frequency: float, temperature: float) -> list[Row]:
    at = units.format(frequency, "Hz")
    ratio = float(wire.resistance_ratio(size, frequency, temperature))
    steady = float(wire.dc_resistance(size, 1.0, temperature))
    return [
        Row(
            "skin_depth",
            f"Skin depth at {at}",
            float(wire.skin_depth(frequency, temperature)),
            "m",
            how="√(ρ/πfµ₀): there the current has fallen to 37 %",
            digits=3,
        ),
        Row(
            "ratio",
            f"Resistance at {at} over that to d.c.",
            ratio,
            how="exact, for a straight wire by itself (Kelvin)",
        ),
        Row(
            "rf_resistance",
            f"Resistance of a metre at {at}",
            ratio * steady,
            "ohm",
            how="the two together; in a coil it is more, since the turns crowd one another's current",
        ),
    ]


def _reel_rows(conductor: Conductor, v: Any, on_reel: float) -> list[Row]:
    how = {
        "mass": "weight over that of a metre of copper; the covering makes it 2 to 10 % less, cotton more",
        "resistance": "resistance over that of a metre; 2 % for 1 % in the diameter",
        "length": "as given",
    }[v["reel"]]
    ohms = conductor.steady_resistance(on_reel, v["temperature"])
    need = v["need"]
    rows = [
        Row("on_reel", "Wire on the reel", on_reel, "m", how=how, digits=3),
        Row("reel_resistance", "From end to end", ohms, "ohm", how="to d.c.: the check on the bench", digits=3),
        Row(
            "reel_mass",
            "Copper on the reel",
            1e3 * conductor.copper(on_reel),
            "g",
            how="8890 kg/m³",
            digits=3,
        ),
    ]
    if need is not None:
        rows.append(
            Row(
                "spare",
                "Left over" if on_reel >= need else "Missing",
                abs(on_reel - need),
                "m",
                how="what the reel holds against what the coil needs",
                digits=2,
            )
        )
    return rows


def _near_sizes(size: float, temperature: float) -> Table:
    """The gauge sizes about this wire, thickest first."""
    american = [(f"AWG {name}", wire.diameter(f"AWG {name}")) for name in _AMERICAN]
    standard = [(f"SWG {name}", value) for name, value in wire.standard_wire_gauge().items()]
    near = [
        entry
        for gauge in (american, standard)
        for entry in sorted(gauge, key=lambda one: abs(math.log(one[1] / size)))[:_NEAR]
    ]
    rows: list[list[float | str | None]] = [
        [
            name,
            value,
            value / size,
            float(wire.dc_resistance(value, 1.0, temperature)),
            1e3 * float(wire.mass(value, 1.0)),
        ]
        for name, value in sorted(near, key=lambda one: -one[1])
    ]
    columns = (
        Column("name", "Size"),
        Column("diameter", "Copper", "m", 4),
        Column("ratio", "Over this wire", "", 3),
        Column("resistance", "A metre has", "ohm", 3),
        Column("mass", "And weighs", "g", 3),
    )
    return Table("sizes", "Gauge sizes near it", columns, rows)


def _coverings(size: float) -> Table:
    rows: list[list[float | str | None]] = []
    for key, (_, label) in COVERINGS.items():
        covered = solid(size, key).covered
        rows.append([label, covered, None if covered is None else 0.01 / covered])
    columns = (
        Column("covering", "Covering"),
        Column("covered", "Diameter with it", "m", 3),
        Column("turns", "Turns in a centimetre", "", 3),
    )
    return Table("coverings", "This wire in other coverings", columns, rows)


def _chart(size: float, frequency: float, temperature: float) -> Chart:
    over = np.geomspace(min(10e3, 0.3 * frequency), max(10e6, 3.0 * frequency), 61)
    here, half = (
        np.asarray(wire.resistance_ratio(d, over, temperature)) * float(wire.dc_resistance(d, 1.0, temperature))
        for d in (size, 0.5 * size)
    )
    at = units.format(frequency, "Hz")
    return Chart(
        key="resistance",
        title="Resistance of a metre",
        summary=(
            f"A metre has {units.format(float(here[0]), 'ohm', 2)} at {units.format(float(over[0]), 'Hz')} and "
            f"{units.format(float(here[-1]), 'ohm', 2)} at {units.format(float(over[-1]), 'Hz')}. Wire half as thick "
            "has four times as much where current fills it, and twice as much where it keeps to the skin."
        ),
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1]), log=True),
        y=Axis("Resistance of a metre", "ohm", 0.8 * float(here[0]), 1.25 * float(half[-1]), log=True),
        series=(
            Series("wire", units.format(size, "m", 3), over, here),
            Series("half", f"half as thick, {units.format(0.5 * size, 'm', 3)}", over, half),
        ),
        rules=(Rule(at, "x", frequency),),
    )


def _drawing(conductor: Conductor, frequency: float, temperature: float) -> Drawing:
    """The wire cut across, a hundred units thick, with its skin and its covering."""
    scale = 100.0 / conductor.strand
    radius, size = 50.0, conductor.strand
    depth = float(wire.skin_depth(frequency, temperature))
    outer = radius if conductor.covered is None else 0.5 * scale * conductor.covered
    shapes: list[Shape] = [Circle(0.0, 0.0, radius)]
    words = f"The wire cut across: copper {units.format(size, 'm', 3)} thick"
    labels = [("copper", units.format(size, "m", 3), radius, "ink")]
    if outer > 1.001 * radius:
        shapes.append(Circle(0.0, 0.0, outer, "thin"))
        assert conductor.covered is not None, "no covering, no greater circle"
        labels.insert(0, ("over the covering", units.format(conductor.covered, "m", 3), outer, "thin"))
        words += f", {units.format(conductor.covered, 'm', 3)} with its covering"
    skin = units.format(depth, "m", 2)
    if scale * depth < radius:
        inner = radius - scale * depth
        shapes.append(Circle(0.0, 0.0, inner, "accent"))
        labels.append(("skin", skin, inner, "accent"))
        words += f". At {units.format(frequency, 'Hz')} the current keeps mostly to a skin {skin} deep"
    else:
        words += f". At {units.format(frequency, 'Hz')} the skin depth, {skin}, is more than half of it"
    reach = max(outer, radius)
    step = 2.0 * reach / (len(labels) + 1)
    for index, (name, value, at, role) in enumerate(labels):
        y = -reach + step * (index + 1)
        edge = math.sqrt(max(at**2 - y**2, 0.0)) if abs(y) < at else 0.0
        shapes += [
            Line(((edge, y), (reach + 14.0, y)), "thin"),
            Text(reach + 18.0, y, f"{name}: {value}", "start", role),
        ]
    return Drawing(
        key="section",
        title="The wire cut across, to scale",
        description=f"{words}.",
        left=-reach - 6.0,
        top=-reach - 6.0,
        width=2.0 * reach + 190.0,
        height=2.0 * reach + 12.0,
        type_size=11.0,
        shapes=shapes,
    )


def _advice(conductor: Conductor, v: Any) -> tuple[Advice, ...]:
    found = []
    if v["need"] is not None and v["reel"] != "length":
        on_reel = _on_reel(v)
        if 0.9 * on_reel < v["need"] <= on_reel:
            found.append(Advice("It is a near thing: covering and thick drawing can eat a tenth. Check by both ways."))
    if conductor.strand < 0.1e-3:
        found.append(Advice("Wire this fine breaks at a pull: solder its ends to thicker leads, and fix those first."))
    found.append(
        Advice(
            "Stranded wire, and turns near each other: the coil form works those out. Copper-clad and tinned wire.",
            "limit",
        )
    )
    return tuple(found)


FORM = Form(
    id="wire",
    title="Wire",
    chapter="coil",
    summary="A wire's size, covering, resistance, skin depth and weight, and whether the reel will do for the coil.",
    fields=FIELDS,
    solve=solve,
)
