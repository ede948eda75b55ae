"""What the coil form asks: what is wanted, the wire, and where the coil works."""

from calc import wire
from calc.forms.coil.conductor import COVERINGS, THICKEST_STRAND, THINNEST_STRAND
from calc.forms.coil.shape_fields import SHAPE_FIELDS
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.sheets.fields import PAPER_FIELD, WINDING_FIELDS
from calc.units import InputError

_WANT, _WIRE, _WHERE = "What you want", "Wire", "Where it works"


def _strand(text: str) -> float:
    """Bare diameter [m] of one strand, of which enamels are known and stranded wire is made."""
    size = wire.diameter(text)
    if not THINNEST_STRAND <= size <= THICKEST_STRAND:
        raise InputError("strand", "must be from 0.04 to 0.5 mm")
    return size


_STRANDED = ShownWhen("wire_kind", ("stranded",))
_SOLID = ShownWhen("wire_kind", ("solid",))

FIELDS = (
    Field(
        "find",
        "Work out",
        default="inductance",
        choices=(
            Choice("inductance", "the inductance of so many turns"),
            Choice("turns", "the turns for an inductance"),
        ),
        group=_WANT,
    ),
    Field(
        "turns",
        "Turns",
        default="60",
        least=1,
        most=2000,
        help="Whole turns, or parts of one.",
        shown_when=ShownWhen("find", ("inductance",)),
        group=_WANT,
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
        group=_WANT,
    ),
    *SHAPE_FIELDS,
    Field(
        "wire_kind",
        "Wire is",
        default="solid",
        choices=(Choice("solid", "solid"), Choice("stranded", "stranded, each strand enamelled (litz)")),
        group=_WIRE,
    ),
    Field(
        "wire",
        "Wire",
        default="0.5 mm",
        read=wire.diameter,
        help="Bare diameter: 0.5 mm, AWG 24, SWG 25.",
        shown_when=_SOLID,
        group=_WIRE,
    ),
    Field(
        "covering",
        "Covering",
        default="enamel-1",
        choices=tuple(Choice(key, label) for key, (_, label) in COVERINGS.items()),
        help="Decides how close the turns can lie.",
        shown_when=_SOLID,
        group=_WIRE,
    ),
    Field("strands", "Strands", "", "30", 2, 2000, whole=True, shown_when=_STRANDED, group=_WIRE),
    Field(
        "strand",
        "One strand",
        default="0.05 mm",
        read=_strand,
        help="Bare diameter: 0.05 mm, AWG 44.",
        shown_when=_STRANDED,
        group=_WIRE,
    ),
    Field(
        "bundle",
        "Over all strands, if measured",
        "m",
        "",
        5e-5,
        0.02,
        help="Without the outer covering. Empty: as the standard has it.",
        bare="mm",
        optional=True,
        shown_when=_STRANDED,
        group=_WIRE,
    ),
    Field(
        "outer_covering",
        "Outer covering",
        default="silk-1",
        choices=(
            Choice("bare", "none"),
            *(Choice(key, COVERINGS[key][1]) for key in ("silk-1", "silk-2", "cotton-1", "cotton-2")),
        ),
        shown_when=_STRANDED,
        group=_WIRE,
    ),
    Field(
        "leads",
        "Leads, both together",
        "m",
        "",
        1e-3,
        10.0,
        help="Straight wire from the winding to the terminals. Empty: left out.",
        bare="mm",
        optional=True,
        group=_WIRE,
    ),
    Field("frequency", "Look at it at", "Hz", "1 MHz", 50e3, 10e6, bare="kHz", group=_WHERE),
    Field("temperature", "Temperature", "degC", "20 °C", -40.0, 120.0, group=_WHERE),
    Field(
        "own_capacitance",
        "Self-capacitance, if measured",
        "F",
        "",
        1e-14,
        1e-8,
        help="Empty: from the table, for one layer on a tube.",
        bare="pF",
        optional=True,
        group=_WHERE,
    ),
    Field(
        "loss_tangent",
        "Loss tangent of what that capacitance lies in",
        "",
        "",
        0.0,
        1.0,
        help="Former, covering and varnish together, if you know it. Empty: no loss.",
        optional=True,
        group=_WHERE,
    ),
    PAPER_FIELD,
    *WINDING_FIELDS,
)
