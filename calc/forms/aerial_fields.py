"""What the aerial form asks."""

from calc import wire
from calc.forms.fields import Choice, Field, ShownWhen

UPRIGHT_TOPPED = ("inverted-l", "t", "several")
WIRES = ("inverted-l", "t", "vertical", "sloping", "low", "several", "indoor")
"""Kinds that are a wire over ground, worked out from its shape."""
LOOPS = ("frame", "rod")
"""Kinds that take the magnetic field and need no earth."""

_AERIAL, _LOOK = "Aerial", "Look at it"

KINDS = (
    Choice("inverted-l", "inverted L: up, then along"),
    Choice("t", "T: up to the middle of the top wire"),
    Choice("vertical", "vertical wire"),
    Choice("sloping", "sloping wire"),
    Choice("low", "long low wire"),
    Choice("several", "several wires side by side"),
    Choice("indoor", "wire round a room"),
    Choice("measured", "as measured: bedstead, gutter, any wire"),
    Choice("frame", "frame aerial"),
    Choice("rod", "ferrite rod"),
    Choice("dummy", "standard dummy aerial"),
)


def _when(*kinds: str) -> ShownWhen:
    return ShownWhen("kind", kinds)


_WIRE_SHAPES = (
    Field(
        "height",
        "Height of the top",
        "m",
        "7 m",
        1.0,
        100.0,
        shown_when=_when("inverted-l", "t", "vertical", "several"),
        group=_AERIAL,
    ),
    Field("span", "Length of the top", "m", "15 m", 1.0, 300.0, shown_when=_when(*UPRIGHT_TOPPED), group=_AERIAL),
    Field(
        "number",
        "Wires in the top",
        default="3",
        least=2,
        most=8,
        whole=True,
        shown_when=_when("several"),
        group=_AERIAL,
    ),
    Field("spacing", "Between neighbours", "m", "1 m", 0.2, 20.0, shown_when=_when("several"), group=_AERIAL),
    Field(
        "joined",
        "The lead joins them",
        default="end",
        choices=(Choice("end", "at one end"), Choice("middle", "in the middle")),
        shown_when=_when("several"),
        group=_AERIAL,
    ),
    Field("far_height", "Height of the far end", "m", "9 m", 1.0, 100.0, shown_when=_when("sloping"), group=_AERIAL),
    Field(
        "near_height",
        "Height of the near end",
        "m",
        "2 m",
        1.0,
        100.0,
        help="Where the lead up from the set passes into the slope.",
        shown_when=_when("sloping"),
        group=_AERIAL,
    ),
    Field(
        "ground_distance",
        "Along the ground",
        "m",
        "20 m",
        1.0,
        300.0,
        help="From the set to the foot of the far support.",
        shown_when=_when("sloping"),
        group=_AERIAL,
    ),
    Field("low_height", "Height of the wire", "m", "2 m", 1.0, 20.0, shown_when=_when("low"), group=_AERIAL),
    Field("low_length", "Length of the wire", "m", "50 m", 2.0, 400.0, shown_when=_when("low"), group=_AERIAL),
    Field("room_length", "Length of the room", "m", "5 m", 1.0, 50.0, shown_when=_when("indoor"), group=_AERIAL),
    Field("room_width", "Width of the room", "m", "4 m", 1.0, 50.0, shown_when=_when("indoor"), group=_AERIAL),
    Field(
        "room_height",
        "Height of the wire",
        "m",
        "2.4 m",
        1.0,
        50.0,
        help="Over the ground outside.",
        shown_when=_when("indoor"),
        group=_AERIAL,
    ),
    Field(
        "room_wire",
        "Wire along the walls",
        "m",
        "16 m",
        1.0,
        200.0,
        help="Once round the room at most.",
        shown_when=_when("indoor"),
        group=_AERIAL,
    ),
    Field(
        "wire",
        "Wire",
        default="1.5 mm",
        read=wire.diameter,
        help="Bare diameter: 1.5 mm, AWG 14, SWG 16.",
        shown_when=_when(*WIRES),
        group=_AERIAL,
    ),
    Field(
        "metal",
        "Metal",
        default="copper",
        choices=(
            Choice("copper", "copper"),
            Choice("aluminium", "aluminium"),
            Choice("stainless", "stainless steel"),
        ),
        shown_when=_when(*WIRES),
        group=_AERIAL,
    ),
    Field(
        "earth_resistance",
        "Earth resistance",
        "ohm",
        "60 Ω",
        0.0,
        10e3,
        help="One stake in garden soil: 30 to 150 Ω. The earth form works it out.",
        shown_when=_when(*WIRES),
        group=_AERIAL,
    ),
)

_MEASURED = (
    Field(
        "measured_capacitance",
        "Capacitance to earth",
        "F",
        "150p",
        5e-12,
        5e-9,
        bare="pF",
        shown_when=_when("measured"),
        group=_AERIAL,
    ),
    Field(
        "measured_inductance",
        "Inductance in series",
        "H",
        "10 µH",
        0.0,
        1e-3,
        bare="µH",
        shown_when=_when("measured"),
        group=_AERIAL,
    ),
    Field(
        "measured_resistance",
        "Resistance in series",
        "ohm",
        "80 Ω",
        0.1,
        10e3,
        help="Of everything, the earth included.",
        shown_when=_when("measured"),
        group=_AERIAL,
    ),
    Field(
        "measured_height",
        "Effective height",
        "m",
        "1.5 m",
        0.01,
        200.0,
        help="If unknown: about half the height of the metal over the ground.",
        shown_when=_when("measured"),
        group=_AERIAL,
    ),
)

_LOOP_SHAPES = (
    Field("frame_width", "Width", "m", "600 mm", 0.05, 10.0, bare="mm", shown_when=_when("frame"), group=_AERIAL),
    Field("frame_height", "Height", "m", "600 mm", 0.05, 10.0, bare="mm", shown_when=_when("frame"), group=_AERIAL),
    Field("frame_turns", "Turns", "", "13", 1, 200, whole=True, shown_when=_when("frame"), group=_AERIAL),
    Field(
        "frame_depth",
        "Breadth of the winding",
        "m",
        "72 mm",
        1e-3,
        2.0,
        help="From the first turn to the last, side by side on the rim.",
        bare="mm",
        shown_when=_when("frame"),
        group=_AERIAL,
    ),
    Field(
        "frame_wire",
        "Wire",
        default="0.6 mm",
        read=wire.diameter,
        help="Bare diameter: 0.6 mm, AWG 22, SWG 23.",
        shown_when=_when("frame"),
        group=_AERIAL,
    ),
    Field(
        "rod_length", "Length of the rod", "m", "200 mm", 0.02, 1.0, bare="mm", shown_when=_when("rod"), group=_AERIAL
    ),
    Field(
        "rod_diameter",
        "Diameter of the rod",
        "m",
        "10 mm",
        2e-3,
        0.1,
        bare="mm",
        shown_when=_when("rod"),
        group=_AERIAL,
    ),
    Field(
        "rod_permeability",
        "Permeability of the material",
        "",
        "125",
        2.0,
        10e3,
        help="Initial permeability, from the maker: 100 to 400 for rods of these bands.",
        shown_when=_when("rod"),
        group=_AERIAL,
    ),
    Field("rod_turns", "Turns", "", "52", 1.0, 2000.0, shown_when=_when("rod"), group=_AERIAL),
    Field(
        "rod_coil_length",
        "Length of the coil",
        "m",
        "26 mm",
        1e-3,
        1.0,
        bare="mm",
        shown_when=_when("rod"),
        group=_AERIAL,
    ),
    Field(
        "rod_coil_place",
        "Coil off the middle by",
        "m",
        "0 mm",
        0.0,
        0.5,
        bare="mm",
        shown_when=_when("rod"),
        group=_AERIAL,
    ),
)

_CIRCUIT = (
    Field(
        "quality",
        "Q of the tuned circuit",
        "",
        "120",
        2.0,
        2000.0,
        help="With detector and capacitor: 30 to 150. The coil by itself 100 to 300.",
        shown_when=_when(*LOOPS),
        group=_LOOK,
    ),
    Field(
        "turned",
        "Turned away from the best direction",
        "deg",
        "0°",
        -360.0,
        360.0,
        bare="deg",
        shown_when=_when(*LOOPS),
        group=_LOOK,
    ),
    Field(
        "upright",
        "Upright effect",
        "%",
        "10 %",
        0.0,
        1.0,
        help="What it picks up as a small wire aerial, of what it picks up as a loop.",
        shown_when=_when(*LOOPS),
        group=_LOOK,
    ),
    Field(
        "step",
        "The upright effect comes",
        default="out",
        choices=(
            Choice("out", "out of step: it fills the nulls"),
            Choice("in", "in step: it moves the nulls"),
        ),
        shown_when=_when(*LOOPS),
        group=_LOOK,
    ),
)

_AT = (
    Field("frequency", "Frequency", "Hz", "1 MHz", 100e3, 3e6, bare="kHz", group=_LOOK),
    Field(
        "field",
        "Field strength",
        "V/m",
        "5 mV/m",
        1e-7,
        50.0,
        help="The field form works it out.",
        bare="mV/m",
        group=_LOOK,
    ),
)

FIELDS = (
    Field("kind", "Kind", default="inverted-l", choices=KINDS, group=_AERIAL),
    *_WIRE_SHAPES,
    *_MEASURED,
    *_LOOP_SHAPES,
    *_CIRCUIT,
    *_AT,
)
