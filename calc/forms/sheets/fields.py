"""What sheets to print ask beyond the form that they are of."""

from calc.forms.fields import Choice, Field
from calc.forms.sheets.paper import PAPERS

GROUP = "Sheets to print"

PAPER_FIELD = Field(
    "paper",
    "Paper",
    default="a4",
    choices=tuple(Choice(key, paper.name) for key, paper in PAPERS.items()),
    place="sheet",
    group=GROUP,
)

WINDING_FIELDS = (
    Field(
        "tails",
        "Tail at each end",
        "m",
        "150 mm",
        0.0,
        2.0,
        help="Wire to spare, beyond winding and leads.",
        bare="mm",
        place="sheet",
        group=GROUP,
    ),
    Field(
        "first_hole",
        "Winding begins",
        "m",
        "15 mm",
        0.0,
        0.5,
        help="From the former's end to the first turn.",
        bare="mm",
        place="sheet",
        group=GROUP,
    ),
)

DIAL_FIELDS = (
    Field(
        "knob_radius",
        "Knob's radius",
        "m",
        "30 mm",
        5e-3,
        0.1,
        help="The dial scale begins where the knob, or its pointer, ends.",
        bare="mm",
        place="sheet",
        group=GROUP,
    ),
    Field(
        "dial_turn",
        "It turns through",
        "deg",
        "180°",
        60.0,
        340.0,
        help="From plates out to plates in: half a turn, unless there is a drive.",
        place="sheet",
        group=GROUP,
    ),
    Field(
        "dial_sense",
        "The scale's numbers run",
        default="clockwise",
        choices=(Choice("clockwise", "clockwise"), Choice("anticlockwise", "anticlockwise")),
        help=(
            "Clockwise where a pointer that turns clockwise turns the plates in. The other way round if it turns them "
            "out, or for a disc that turns with the knob past a fixed mark."
        ),
        place="sheet",
        group=GROUP,
    ),
)
