"""What is asked of the set, and what belongs to a single question."""

from calc.forms.fields import Choice, Field, ShownWhen

STATIONS, DIAL, LISTEN, TRADE_OFF, BEST, CHANGES, TOLERANCE, MAP = (
    "stations",
    "dial",
    "listen",
    "trade-off",
    "best",
    "changes",
    "tolerance",
    "map",
)
"""The questions, as they stand in addresses."""

QUESTION_FIELD = Field(
    "question",
    "Show",
    default=STATIONS,
    choices=(
        Choice(STATIONS, "Each station"),
        Choice(DIAL, "Turn the dial"),
        Choice(LISTEN, "Listen"),
        Choice(TRADE_OFF, "Sharpness against loudness"),
        Choice(BEST, "Best setting"),
        Choice(CHANGES, "What to change first"),
        Choice(TOLERANCE, "When parts vary"),
        Choice(MAP, "All settings at once"),
    ),
    place="question",
)

_GROUP = "What counts"
_VARYING = ShownWhen("question", (TOLERANCE,))
_TOLERANCES = "How far parts may lie off"

_STEPS_OF_DIAL = tuple(f"{step / 2:g}" for step in range(201))


def _tolerance(name: str, label: str, default: str, most: float = 0.5, help_: str = "") -> Field:
    return Field(name, label, "%", default, 0.0, most, help=help_, shown_when=_VARYING, group=_TOLERANCES)


QUESTION_FIELDS = (
    Field(
        "dial",
        "Dial",
        default="35",
        least=0.0,
        most=100.0,
        help="0: plates out, the highest frequency.",
        shown_when=ShownWhen("question", (DIAL, LISTEN)),
        place="answer",
        stops=_STEPS_OF_DIAL,
    ),
    Field(
        "wanted",
        "Stations that you want",
        help="Names, with commas between them. Empty: all of the district.",
        optional=True,
        read=str,
        shown_when=ShownWhen("question", (TRADE_OFF, BEST, CHANGES)),
        group=_GROUP,
    ),
    Field(
        "apart",
        "Others down by",
        "dB",
        "20 dB",
        1.0,
        60.0,
        help="At 20 dB the next station is a quarter as loud at most.",
        shown_when=ShownWhen("question", (TRADE_OFF, BEST, MAP)),
        group=_GROUP,
    ),
    _tolerance("coil_tolerance", "Coil's inductance ±", "3 %"),
    _tolerance("quality_tolerance", "Coil's Q ±", "20 %"),
    _tolerance("capacitor_tolerance", "Variable capacitor ±", "3 %"),
    _tolerance("strays_tolerance", "Strays ±", "30 %", 0.9),
    _tolerance("aerial_tolerance", "Aerial's capacitance and height ±", "10 %"),
    _tolerance("earth_tolerance", "Aerial's and earth's resistance ±", "30 %", 0.9),
    _tolerance("link_tolerance", "Coupling ±", "10 %"),
    _tolerance("field_tolerance", "Field strengths ±", "30 %", 0.9, "Detector and earphones vary as their tables say."),
)
