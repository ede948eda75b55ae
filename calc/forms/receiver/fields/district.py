"""The district: its stations, and the ground between."""

from calc import ground_wave
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.receiver.fields.question import STATIONS
from calc.units import InputError

_DISTRICT = "The district"

DEMO_STATIONS = """\
Aldermoss; 612 kHz; 1 kW; 14 km;
Brackwater; 666 kHz; 5 kW; 32 km;
Castle Quoy; 747 kHz; 1 kW; 33 km;"""
"""The demo district. Places and stations are invented."""


def _name(text: str) -> str:
    """A station's name: anything short that is not empty."""
    if not text:
        raise InputError("name", "is empty: give the station a name")
    if len(text) > 40:
        raise InputError("name", "is too long: 40 letters at most")
    return text


DISTRICT_FIELDS = (
    Field(
        "stations",
        "Stations",
        default=DEMO_STATIONS,
        columns=(
            Field("name", "Station", read=_name),
            Field("frequency", "Frequency", "Hz", least=100e3, most=3e6, bare="kHz"),
            Field("power", "Radiated power", "W", least=1e-3, most=5e6, bare="kW", optional=True),
            Field("distance", "Distance", "m", least=1e3, most=2e6, bare="km", optional=True),
            Field("field", "Or field strength", "V/m", least=1e-7, most=50.0, bare="mV/m", optional=True),
            Field("ear", "Or by ear", least=-10, most=10, bare="steps", whole=True, optional=True),
        ),
        most_rows=24,
        help=(
            "A row a station: power and distance, or its field strength, or how it sounds beside the first station "
            "whose field is known: 1 for twice as loud, 2 for four times, −1 for half. Rows of a spreadsheet can be "
            "pasted."
        ),
        group=_DISTRICT,
    ),
    Field(
        "ground",
        "Ground between",
        default="land",
        choices=tuple(Choice(key, ground.name) for key, ground in ground_wave.grounds().items()),
        group=_DISTRICT,
    ),
    Field(
        "modulation",
        "Depth of modulation",
        "%",
        "30 %",
        0.01,
        1.0,
        help="About 30 % for speech and quiet music, more for loud music.",
        group=_DISTRICT,
    ),
    Field(
        "tuned_to",
        "Tune the dial to",
        "Hz",
        "",
        100e3,
        3e6,
        help="For the curve. Empty: the station that is hardest to separate.",
        bare="kHz",
        optional=True,
        shown_when=ShownWhen("question", (STATIONS,)),
        group=_DISTRICT,
    ),
)
