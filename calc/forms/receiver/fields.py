"""What the whole-set form asks."""

from calc import detectors, earphones, ground_wave, wire
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import OWN, capacitor_fields
from calc.forms.receiver.catalogue import AERIALS, COILS, ROOMS, slug
from calc.units import InputError

_DISTRICT = "The district"
_AERIAL = "Aerial and earth"
_TANK = "Coil"
_LINK = "Link from aerial to coil"
_EARS = "Detector, earphones, room"

MEASURED = "measured"

_WIRE_AERIAL = ShownWhen("aerial", (OWN,))
_MEASURED_AERIAL = ShownWhen("aerial", (MEASURED,))
_OWN_COIL = ShownWhen("coil", (OWN, MEASURED))
_WINDING = ShownWhen("link", ("winding",))

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


def _listed(kinds: dict[str, str], own: str = "my own values") -> tuple[Choice, ...]:
    return (*(Choice(key, name) for key, name in kinds.items()), Choice(OWN, own))


FIELDS = (
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
            "whose field is known: 2 for twice twice as loud, −1 for half. Rows of a spreadsheet can be pasted."
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
        group=_DISTRICT,
    ),
    Field(
        "aerial",
        "Aerial",
        default="garden",
        choices=(
            *(Choice(key, part.name) for key, part in AERIALS.items()),
            Choice(OWN, "my own wire"),
            Choice(MEASURED, "measured values"),
        ),
        group=_AERIAL,
    ),
    Field(
        "aerial_kind",
        "Shape",
        default="inverted L",
        choices=(
            Choice("inverted L", "inverted L: up, then along"),
            Choice("T", "T: up to the middle of the top wire"),
            Choice("vertical", "vertical wire"),
        ),
        shown_when=_WIRE_AERIAL,
        group=_AERIAL,
    ),
    Field("height", "Height", "m", "7 m", 0.5, 100.0, shown_when=_WIRE_AERIAL, group=_AERIAL),
    Field(
        "span",
        "Length of the top",
        "m",
        "15 m",
        0.0,
        200.0,
        help="Not used by a vertical wire.",
        shown_when=_WIRE_AERIAL,
        group=_AERIAL,
    ),
    Field(
        "aerial_capacitance",
        "Aerial's capacitance",
        "F",
        "200p",
        5e-12,
        5e-9,
        bare="pF",
        shown_when=_MEASURED_AERIAL,
        group=_AERIAL,
    ),
    Field(
        "aerial_inductance",
        "Aerial's inductance",
        "H",
        "15 µH",
        0.0,
        1e-3,
        bare="µH",
        shown_when=_MEASURED_AERIAL,
        group=_AERIAL,
    ),
    Field("effective_height", "Effective height", "m", "6 m", 0.01, 200.0, shown_when=_MEASURED_AERIAL, group=_AERIAL),
    Field(
        "earth_resistance",
        "Earth resistance",
        "ohm",
        "60 Ω",
        0.1,
        10e3,
        help="One stake in garden soil: 30 to 150 Ω.",
        group=_AERIAL,
    ),
    Field(
        "coil",
        "Coil",
        default="card75",
        choices=(
            *(Choice(key, part.name) for key, part in COILS.items()),
            Choice(OWN, "my own winding"),
            Choice(MEASURED, "a coil I have measured"),
        ),
        group=_TANK,
    ),
    Field(
        "coil_inductance",
        "Inductance",
        "H",
        "240 µH",
        1e-6,
        0.05,
        bare="µH",
        shown_when=ShownWhen("coil", (MEASURED,)),
        group=_TANK,
    ),
    Field("coil_quality", "Q", "", "180", 5, 2000, shown_when=ShownWhen("coil", (MEASURED,)), group=_TANK),
    Field("coil_turns", "Turns", "", "60", 3, 1000, shown_when=_OWN_COIL, group=_TANK),
    Field(
        "coil_former", "Former, outside diameter", "m", "75 mm", 5e-3, 0.5, bare="mm", shown_when=_OWN_COIL, group=_TANK
    ),
    Field("coil_pitch", "Pitch of the turns", "m", "0.8 mm", 5e-5, 0.02, bare="mm", shown_when=_OWN_COIL, group=_TANK),
    Field(
        "coil_wire",
        "Wire",
        default="0.5 mm",
        read=wire.diameter,
        help="Bare diameter: 0.5 mm, AWG 24, SWG 25.",
        shown_when=ShownWhen("coil", (OWN,)),
        group=_TANK,
    ),
    *capacitor_fields("Variable capacitor"),
    Field(
        "strays",
        "Strays",
        "F",
        "15p",
        0.0,
        1e-9,
        help="Wiring and detector. Coil and aerial are counted by themselves.",
        bare="pF",
        group="Variable capacitor",
    ),
    Field(
        "link",
        "Link",
        default="capacitor",
        choices=(
            Choice("direct", "aerial straight on the coil"),
            Choice("capacitor", "through a small series capacitor"),
            Choice("tap", "to a tap on the coil"),
            Choice("winding", "through a separate winding"),
        ),
        group=_LINK,
    ),
    Field(
        "link_capacitor",
        "Series capacitor",
        "F",
        "33p",
        0.5e-12,
        0.1e-6,
        bare="pF",
        shown_when=ShownWhen("link", ("capacitor",)),
        group=_LINK,
    ),
    Field(
        "tap_turns",
        "Turns below the tap",
        "",
        "10",
        0.5,
        1000,
        help="Counted from the earthed end.",
        shown_when=ShownWhen("link", ("tap",)),
        group=_LINK,
    ),
    Field(
        "winding_turns",
        "Turns of the winding",
        "",
        "10",
        1.0,
        1000,
        help="Close wound on the same former.",
        shown_when=_WINDING,
        group=_LINK,
    ),
    Field(
        "winding_wire",
        "Its wire",
        default="0.8 mm",
        read=wire.diameter,
        help="Bare diameter.",
        shown_when=_WINDING,
        group=_LINK,
    ),
    Field(
        "coefficient",
        "Coefficient of coupling",
        "%",
        "20 %",
        0.001,
        0.95,
        help="Over the earthed end 30 to 40 %, a coil's width away about 10 %.",
        shown_when=_WINDING,
        group=_LINK,
    ),
    Field(
        "detector",
        "Detector",
        default="1n34a-type",
        choices=_listed({slug(name): f"{name}: {preset.kind}" for name, preset in detectors.presets().items()}),
        group=_EARS,
    ),
    Field(
        "saturation_current",
        "Saturation current",
        "A",
        "200 nA",
        1e-12,
        1e-3,
        bare="nA",
        shown_when=ShownWhen("detector", (OWN,)),
        group=_EARS,
    ),
    Field("ideality", "Ideality", "", "1.3", 0.9, 5.0, shown_when=ShownWhen("detector", (OWN,)), group=_EARS),
    Field(
        "earphone",
        "Earphones",
        default="magnetic",
        choices=_listed({key: kind.name for key, kind in earphones.earphone_kinds().items()}),
        group=_EARS,
    ),
    Field(
        "impedance",
        "Impedance",
        "ohm",
        "12 kΩ",
        1.0,
        10e6,
        help="At speech frequencies.",
        shown_when=ShownWhen("earphone", (OWN,)),
        group=_EARS,
    ),
    Field(
        "sensitivity",
        "Level for 1 mW",
        "dB",
        "108 dB",
        40.0,
        140.0,
        shown_when=ShownWhen("earphone", (OWN,)),
        group=_EARS,
    ),
    Field(
        "room",
        "Room",
        default="quiet",
        choices=_listed({key: room.name for key, room in ROOMS.items()}, "my own level"),
        group=_EARS,
    ),
    Field(
        "room_noise",
        "Room noise about 1 kHz",
        "dB",
        "27 dB",
        -10.0,
        100.0,
        help="Level in the octave about 1 kHz.",
        shown_when=ShownWhen("room", (OWN,)),
        group=_EARS,
    ),
)
