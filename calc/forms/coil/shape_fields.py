"""What the coil form asks of a coil's shape, and where it is tapped."""

from calc import units
from calc.forms.fields import Choice, Field, ShownWhen
from calc.units import InputError

_SHAPE = "Shape"

SHAPES = (
    Choice("tube", "one layer on a tube"),
    Choice("layers", "layers on a bobbin, turn beside turn"),
    Choice("scramble", "a bobbin filled without order"),
    Choice("spiral", "a flat spiral"),
    Choice("cone", "one layer on a cone"),
    Choice("rod", "one layer on a ferrite rod"),
)

SIDES = {"round": 0, "square": 4, "hexagon": 6, "octagon": 8}
"""Corners of the formers in the list."""

_MOST_TAPS = 12


def _taps(text: str) -> tuple[float, ...]:
    """Turns at which to tap, from text such as "10, 20"; the comma parts them, the point marks decimals."""
    parts = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise InputError("taps", "must be turns with commas between them, such as 10, 20")
    if len(parts) > _MOST_TAPS:
        raise InputError("taps", f"may be {_MOST_TAPS} at most")
    turns = sorted({units.parse(part, "") for part in parts})
    if turns[0] <= 0.0:
        raise InputError("taps", "must be turns above zero, counted from the earthed end")
    return tuple(turns)


def _shape(*shapes: str) -> ShownWhen:
    return ShownWhen("shape", shapes)


SHAPE_FIELDS = (
    Field("shape", "Wound as", default="tube", choices=SHAPES, group=_SHAPE),
    Field(
        "former",
        "Former, outside diameter",
        "m",
        "75 mm",
        2e-3,
        1.0,
        help="With corners: across the flats.",
        bare="mm",
        shown_when=_shape("tube"),
        group=_SHAPE,
    ),
    Field(
        "former_shape",
        "Former's section",
        default="round",
        choices=(
            Choice("round", "round: tube, bottle"),
            Choice("square", "square"),
            Choice("hexagon", "hexagonal"),
            Choice("octagon", "octagonal"),
        ),
        shown_when=_shape("tube"),
        group=_SHAPE,
    ),
    Field(
        "core",
        "Core of the bobbin, outside diameter",
        "m",
        "25 mm",
        1e-3,
        0.5,
        bare="mm",
        shown_when=_shape("layers", "scramble"),
        group=_SHAPE,
    ),
    Field(
        "bobbin",
        "Length between its cheeks",
        "m",
        "15 mm",
        5e-4,
        0.5,
        bare="mm",
        shown_when=_shape("layers", "scramble"),
        group=_SHAPE,
    ),
    Field(
        "cheeks",
        "Cheeks, outside diameter",
        "m",
        "",
        2e-3,
        1.0,
        help="If given, the form says what they hold.",
        bare="mm",
        optional=True,
        shown_when=_shape("layers", "scramble"),
        group=_SHAPE,
    ),
    Field(
        "bedding",
        "Each layer lies",
        default="ridges",
        choices=(Choice("ridges", "on the ridges of the last"), Choice("grooves", "in the grooves of the last")),
        shown_when=_shape("layers"),
        group=_SHAPE,
    ),
    Field(
        "slack",
        "Room that hand winding wastes",
        "%",
        "5 %",
        0.0,
        0.5,
        help="Of the wire's width, each turn: 2 % with a guide, 5 to 10 % by hand.",
        shown_when=_shape("layers"),
        group=_SHAPE,
    ),
    Field(
        "packing",
        "How full it is packed",
        "%",
        "80 %",
        0.3,
        1.0,
        help="100 %: turns side by side and square. Without order 70 to 85 %.",
        shown_when=_shape("scramble"),
        group=_SHAPE,
    ),
    Field(
        "hub",
        "Inner diameter of the winding",
        "m",
        "40 mm",
        2e-3,
        1.0,
        bare="mm",
        shown_when=_shape("spiral"),
        group=_SHAPE,
    ),
    Field(
        "card",
        "Card, outside diameter",
        "m",
        "",
        5e-3,
        2.0,
        help="If given, the form says what goes on it.",
        bare="mm",
        optional=True,
        shown_when=_shape("spiral"),
        group=_SHAPE,
    ),
    Field(
        "narrow",
        "Former at the narrow end",
        "m",
        "60 mm",
        2e-3,
        1.0,
        help="Outside diameter where the winding begins.",
        bare="mm",
        shown_when=_shape("cone"),
        group=_SHAPE,
    ),
    Field(
        "wide",
        "Former at the wide end",
        "m",
        "90 mm",
        2e-3,
        1.0,
        help="Where it ends.",
        bare="mm",
        shown_when=_shape("cone"),
        group=_SHAPE,
    ),
    Field(
        "axial",
        "Length of the winding along the axis",
        "m",
        "50 mm",
        1e-3,
        1.0,
        help="The turns are spread over it.",
        bare="mm",
        shown_when=_shape("cone"),
        group=_SHAPE,
    ),
    Field("rod_length", "Rod, length", "m", "150 mm", 0.01, 1.0, bare="mm", shown_when=_shape("rod"), group=_SHAPE),
    Field("rod_diameter", "Rod, diameter", "m", "10 mm", 2e-3, 0.05, bare="mm", shown_when=_shape("rod"), group=_SHAPE),
    Field(
        "permeability",
        "Rod's permeability",
        "",
        "250",
        2,
        10000,
        help="Initial, of the material as a closed ring, from the maker's sheet.",
        shown_when=_shape("rod"),
        group=_SHAPE,
    ),
    Field(
        "loss_factor",
        "Rod's loss factor, tan δ/µ",
        "",
        "40e-6",
        0.0,
        1e-2,
        help="From the maker's sheet, at your frequency. Rods for medium wave: 20e-6 to 100e-6.",
        shown_when=_shape("rod"),
        group=_SHAPE,
    ),
    Field(
        "sleeve",
        "Sleeve between rod and wire, thickness",
        "m",
        "1 mm",
        0.0,
        0.02,
        bare="mm",
        shown_when=_shape("rod"),
        group=_SHAPE,
    ),
    Field(
        "offset",
        "Coil's middle from the rod's",
        "m",
        "0 mm",
        0.0,
        0.5,
        bare="mm",
        shown_when=_shape("rod"),
        group=_SHAPE,
    ),
    Field(
        "pitch",
        "Pitch of the turns",
        "m",
        "0.8 mm",
        1e-5,
        0.05,
        help="From one turn to the next. Empty: close wound.",
        bare="mm",
        optional=True,
        shown_when=_shape("tube", "spiral", "rod"),
        group=_SHAPE,
    ),
    Field(
        "room",
        "Length free for the winding",
        "m",
        "",
        1e-3,
        2.0,
        help="If given, the form says what goes on it.",
        bare="mm",
        optional=True,
        shown_when=_shape("tube"),
        group=_SHAPE,
    ),
    Field(
        "taps",
        "Taps, in turns from the earthed end",
        read=_taps,
        help="Commas between them, such as 10, 20. Empty: none.",
        optional=True,
        group=_SHAPE,
    ),
    Field(
        "field",
        "Draw its field",
        default="no",
        choices=(Choice("no", "no"), Choice("yes", "yes")),
        shown_when=_shape("tube", "layers", "scramble", "spiral", "cone"),
        group=_SHAPE,
    ),
)
