"""The comparison form: up to four coils of one inductance side by side, in shape, wire, size and Q."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from calc import units, wire
from calc.constants import TWO_PI
from calc.forms.coil.build import Seen, coil_of
from calc.forms.coil.single import Tube
from calc.forms.coil.wound import Wound, nearest_whole
from calc.forms.coil_pictures import Placed, Sheet, section
from calc.forms.fields import CellError, Choice, Field
from calc.forms.form import Form
from calc.forms.results import Advice, Axis, Chart, Column, Result, Row, Rule, Series, Table
from calc.forms.shapes import Drawing, Text
from calc.units import Array, InputError

_MM = 1e3
_CHART_POINTS = 31
_MOST_CIRCLES = 64
"""Turns drawn one by one in half of a section: fewer than in a drawing of one coil."""
_NAMES = {"tube": "one layer", "layers": "layers", "scramble": "scramble", "spiral": "spiral"}
_CELL_OF = {
    "former": "former", "core": "former", "hub": "former", "pitch": "pitch", "bobbin": "length", "wire": "wire",
    "strand": "wire", "covering": "wire", "strands": "strands", "bundle": "strands",
}  # fmt: skip
"""The column beside which an error of the coil form's fields belongs."""

_COILS = """\
tube; 75 mm; 0.5 mm; ; 0.8 mm;
tube; 75 mm; 0.05 mm; 40; 0.8 mm;
spiral; 40 mm; 0.5 mm; ; 0.9 mm;
layers; 25 mm; 0.3 mm; ; ; 15 mm"""

FIELDS = (
    Field("inductance", "Inductance of each", "H", "240 µH", 1e-6, 0.05, bare="µH", group="What you want"),
    Field("frequency", "Look at them at", "Hz", "1 MHz", 50e3, 10e6, bare="kHz", group="What you want"),
    Field(
        "coils",
        "Coils",
        default=_COILS,
        columns=(
            Field(
                "shape",
                "Wound as",
                choices=(
                    Choice("tube", "one layer on a tube"),
                    Choice("spiral", "a flat spiral"),
                    Choice("layers", "layers on a bobbin"),
                    Choice("scramble", "a bobbin without order"),
                ),
            ),
            Field("former", "Former or inner diameter", "m", least=2e-3, most=1.0, bare="mm"),
            Field("wire", "Wire, or one strand", read=wire.diameter),
            Field("strands", "Strands", "", least=1, most=2000, whole=True, optional=True),
            Field("pitch", "Pitch", "m", least=1e-5, most=0.05, bare="mm", optional=True),
            Field("length", "Bobbin's length", "m", least=5e-4, most=0.5, bare="mm", optional=True),
        ),
        most_rows=4,
        help="One row a coil. Strands: empty for solid wire. Pitch: empty for close winding. Length: for bobbins.",
        group="The coils",
    ),
)


@dataclass(frozen=True)
class Entry:
    """A coil of the comparison."""

    number: int
    name: str
    coil: Wound
    quality: Array
    here: float

    @property
    def title(self) -> str:
        """Its number and what it is."""
        return f"{self.number}: {self.name}"


def solve(inductance: float, frequency: float, coils: list[dict[str, Any]]) -> Result:
    """The comparison for what was typed."""
    over = _band(frequency)
    entries = [_entry(index, row, inductance, frequency) for index, row in enumerate(coils)]
    best, worst = max(entries, key=lambda one: one.here), min(entries, key=lambda one: one.here)
    shortest = min(entries, key=lambda one: one.coil.wire_length)
    return Result(
        sentence=_sentence(entries, best, worst, frequency),
        rows=[
            Row("best_quality", f"Highest Q: {best.title}", best.here, digits=3, how="wire loss alone: an upper bound"),
            Row("worst_quality", f"Lowest Q: {worst.title}", worst.here, digits=3, how="likewise"),
            Row(
                "ratio",
                "The one over the other",
                best.here / worst.here,
                digits=3,
                how="so much sharper with nothing across it",
            ),
            Row(
                "least_wire",
                f"Least wire: {shortest.title}",
                shortest.coil.wire_length,
                "m",
                digits=3,
                how="without tails",
            ),
        ],
        tables=(_gives(entries, frequency), _takes(entries)),
        charts=(_chart(entries, over, frequency),),
        drawings=(_drawing(tuple(one.coil for one in entries)),),
        advice=_advice(entries),
        order=("rows", "tables", "charts", "drawings", "advice"),
    )


def _entry(index: int, row: dict[str, Any], inductance: float, frequency: float) -> Entry:
    """The coil of a row, wound with the whole turns nearest to the inductance [H].

    Raises:
        CellError: for a coil that cannot be.
    """
    shape = row["shape"]
    if shape in ("layers", "scramble") and row["length"] is None:
        raise CellError("coils", f"Row {index + 1}: a bobbin wants its length.", index, "length")
    strands = row["strands"] or 1
    values = {
        "shape": shape,
        "former": row["former"],
        "former_shape": "round",
        "core": row["former"],
        "hub": row["former"],
        "bobbin": row["length"],
        "pitch": row["pitch"],
        "slack": 0.05,
        "bedding": "ridges",
        "packing": 0.8,
        "wire_kind": "stranded" if strands > 1 else "solid",
        "wire": row["wire"],
        "covering": "enamel-1",
        "strand": row["wire"],
        "strands": strands,
        "bundle": None,
        "outer_covering": "silk-1",
    }
    try:
        coil = nearest_whole(_one_turn(tuple(values.items())), inductance)
    except InputError as error:
        column = _CELL_OF.get(error.argument, "former")
        raise CellError("coils", f"Row {index + 1}: {_sense(error)}", index, column) from None
    quality = _quality(coil, frequency)
    return Entry(index + 1, _name(row, strands), coil, quality[:-1], float(quality[-1]))


@lru_cache(maxsize=16)  # an edit of one row leaves the coils of the others as they are
def _one_turn(values: tuple[tuple[str, Any], ...]) -> Wound:
    """One turn of the coil of these values."""
    return coil_of(dict(values), 1.0)


def _band(frequency: float) -> Array:
    """Frequencies of the chart [Hz]."""
    return np.geomspace(0.5 * frequency, 2.0 * frequency, _CHART_POINTS)


@lru_cache(maxsize=16)
def _quality(coil: Wound, frequency: float) -> Array:
    """Q of a coil over the band of the chart, and last at a frequency [Hz]."""
    return _seen(coil).quality(np.append(_band(frequency), frequency))


@lru_cache(maxsize=16)
def _seen(coil: Wound) -> Seen:
    """A coil as seen, without leads."""
    return Seen(coil)


def _sense(error: InputError) -> str:
    about = {"core": "former", "hub": "inner diameter", "bobbin": "bobbin", "strand": "one strand"}
    return f"{about.get(error.argument, error.argument)} {error.reason}."


def _name(row: dict[str, Any], strands: int) -> str:
    size = units.format(row["wire"], "m", 2)
    thread = f"{strands} × {size}" if strands > 1 else size
    return f"{_NAMES[row['shape']]}, {units.format(row['former'], 'm', 3)}, wire {thread}"


def _sentence(entries: list[Entry], best: Entry, worst: Entry, frequency: float) -> str:
    at = units.format(frequency, "Hz")
    top = f"a Q of about {units.number(best.here, 2)} at {at}"
    if len(entries) == 1:
        return f"Coil 1 ({best.name}) has {top}."
    return (
        f"Coil {best.number} ({best.name}) loses least, with {top}; coil {worst.number} ({worst.name}) has "
        f"{units.number(worst.here, 2)}."
    )


def _takes(entries: list[Entry]) -> Table:
    """What each coil takes to wind."""
    rows: list[list[float | str | None]] = [
        [
            one.title,
            one.coil.turns,
            one.coil.inductance,
            one.coil.wire_length,
            1e3 * one.coil.conductor.copper(one.coil.wire_length),
            one.coil.outer_diameter,
            one.coil.length,
        ]
        for one in entries
    ]
    columns = (
        Column("coil", "Coil"),
        Column("turns", "Turns", "", 4),
        Column("inductance", "Inductance", "H", 4),
        Column("wire_length", "Wire", "m", 3),
        Column("copper", "Copper", "g", 3),
        Column("across", "Across", "m", 3),
        Column("long", "Long", "m", 3),
    )
    return Table("coils", "What each takes, wound with whole turns", columns, rows)


def _gives(entries: list[Entry], frequency: float) -> Table:
    """What each coil gives at a frequency [Hz]."""
    rows: list[list[float | str | None]] = []
    for one in entries:
        resistance = TWO_PI * frequency * one.coil.inductance / one.here
        resonance = _seen(one.coil).self_resonance
        rows.append([one.title, one.here, frequency / one.here, resistance, resonance])
    columns = (
        Column("coil", "Coil"),
        Column("quality", "Q", "", 3),
        Column("width", "Width of the tuning curve", "Hz", 3),
        Column("resistance", "Resistance", "ohm", 3),
        Column("self_resonance", "Self-resonance", "Hz", 3),
    )
    return Table("loss", f"What each gives at {units.format(frequency, 'Hz')}", columns, rows)


def _chart(entries: list[Entry], over: Array, frequency: float) -> Chart:
    highest = max(float(np.max(one.quality)) for one in entries)
    ends = "; ".join(
        f"coil {one.number} from {units.number(float(one.quality[0]), 2)} to {units.number(float(one.quality[-1]), 2)}"
        for one in entries
    )
    low, high = units.format(float(over[0]), "Hz"), units.format(float(over[-1]), "Hz")
    return Chart(
        key="quality",
        title="Q over the band",
        summary=f"Between {low} and {high}, Q runs so: {ends}.",
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis("Q", "", 0.0, 1.1 * highest),
        series=[Series(f"coil-{one.number}", one.title, over, one.quality) for one in entries],
        rules=(Rule(units.format(frequency, "Hz"), "x", frequency),),
    )


@lru_cache(maxsize=4)  # other frequencies do not change it
def _drawing(wound: tuple[Wound, ...]) -> Drawing:
    """All coils in section, to one scale."""
    widest = max(coil.outer_diameter for coil in wound)
    gap = 0.25 * _MM * widest
    sheet = Sheet()
    total = sum(_MM * coil.length for coil in wound) + gap * len(wound)
    sheet.reach_to((0.0, -0.5 * _MM * widest), (total, 0.5 * _MM * widest))
    right, places = 0.0, []
    for coil in wound:
        half = 0.5 * _MM * coil.length
        middle = right + 0.5 * gap + half
        section(sheet, coil, Placed(middle), most=_MOST_CIRCLES)
        places.append(middle)
        right = middle + half + 0.5 * gap
    type_size, (_, _, _, bottom) = sheet.type_size, sheet.box
    for number, middle in enumerate(places, 1):
        sheet.shapes.append(Text(middle, bottom + 1.0 * type_size, str(number)))
    sheet.reach_to((0.0, bottom + 1.6 * type_size))
    sizes = ((units.format(coil.outer_diameter, "m", 3), units.format(coil.length, "m", 3)) for coil in wound)
    words = "; ".join(
        f"coil {number} is {across} across and {long} long" for number, (across, long) in enumerate(sizes, 1)
    )
    words = f"The coils in section side by side: {words}."
    return sheet.drawing("coils", "All in section, to one scale", words, type_size)


def _advice(entries: list[Entry]) -> tuple[Advice, ...]:
    found = []
    if any(not isinstance(one.coil, Tube) for one in entries):
        found.append(
            Advice(
                "For one layer the loss rests on measurements and is good to 10 %. For other shapes it is worked out "
                "from the field of all turns, and real windings differ from that by 20 %: take a difference of a fifth "
                "for none."
            )
        )
    if any(one.coil.conductor.is_stranded for one in entries):
        found.append(
            Advice("Stranded wire counts with every strand sound and soldered at both ends. One bad joint undoes it.")
        )
    found.append(
        Advice(
            "Loss in formers, bobbins, cards, covering and self-capacitance, which falls hardest on the coil of the "
            "highest Q; self-resonance of shapes for which no measurements are known.",
            "limit",
        )
    )
    return tuple(found)


FORM = Form(
    id="coil-compare",
    title="Coils compared",
    chapter="coil",
    summary="Up to four coils of one inductance side by side: turns, wire, size, and Q over the band.",
    fields=FIELDS,
    solve=solve,
)
