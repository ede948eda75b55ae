"""What the pair form asks."""

from calc import wire
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.sheets.fields import PAPER_FIELD, WINDING_FIELDS

SHAPES = (
    Choice("tube", "one layer on a tube"),
    Choice("layers", "thick: many layers, or without order"),
    Choice("spiral", "a flat spiral"),
)


def _coil(prefix: str, group: str, turns: str, former: str, wire_size: str, pitch: str) -> tuple[Field, ...]:
    """The fields of one coil, their names beginning with `prefix`."""

    def shown(*shapes: str) -> ShownWhen:
        return ShownWhen(f"{prefix}_shape", shapes)

    return (
        Field(f"{prefix}_shape", "Wound as", default="tube", choices=SHAPES, group=group),
        Field(f"{prefix}_turns", "Turns", default=turns, least=1, most=2000, group=group),
        Field(
            f"{prefix}_former",
            "Former, outside diameter",
            "m",
            former,
            2e-3,
            1.0,
            bare="mm",
            shown_when=shown("tube"),
            group=group,
        ),
        Field(
            f"{prefix}_inner",
            "Inner diameter of the winding",
            "m",
            "20 mm",
            1e-3,
            1.0,
            bare="mm",
            shown_when=shown("layers", "spiral"),
            group=group,
        ),
        Field(
            f"{prefix}_depth",
            "Depth of the winding",
            "m",
            "8 mm",
            1e-4,
            0.5,
            help="From its inside to its outside.",
            bare="mm",
            shown_when=shown("layers"),
            group=group,
        ),
        Field(
            f"{prefix}_length",
            "Length of the winding",
            "m",
            "10 mm",
            1e-4,
            0.5,
            bare="mm",
            shown_when=shown("layers"),
            group=group,
        ),
        Field(
            f"{prefix}_wire",
            "Wire",
            default=wire_size,
            read=wire.diameter,
            help="Bare diameter: 0.5 mm, AWG 24, SWG 25. Empty: not counted.",
            optional=True,
            group=group,
        ),
        Field(
            f"{prefix}_pitch",
            "Pitch of the turns",
            "m",
            pitch,
            1e-5,
            0.05,
            help="From one turn to the next.",
            bare="mm",
            shown_when=shown("tube", "spiral"),
            group=group,
        ),
    )


FIELDS = (
    *_coil("first", "First coil", "60", "75 mm", "0.5 mm", "0.8 mm"),
    *_coil("second", "Second coil", "10", "75 mm", "0.8 mm", "0.9 mm"),
    Field(
        "distance",
        "Distance between their middles",
        "m",
        "50 mm",
        0.0,
        2.0,
        help="Along the first coil's axis. 0: one within or over the other.",
        bare="mm",
        group="How they stand",
    ),
    Field(
        "angle",
        "Angle between their axes",
        "deg",
        "0",
        0.0,
        180.0,
        help="The second coil turned about its own middle.",
        bare="deg",
        group="How they stand",
    ),
    Field(
        "wanted",
        "Wanted coefficient",
        "%",
        "10 %",
        1e-3,
        0.99,
        help="The form says at which distance, or angle, you have it.",
        bare="%",
        group="How they stand",
    ),
    PAPER_FIELD,
    *WINDING_FIELDS,
)
