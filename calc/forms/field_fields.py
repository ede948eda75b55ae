"""What the field form asks."""

from calc import ground_wave
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import OWN

NEAREST, FARTHEST = 1e3, 1e6
"""Distances that the form deals with [m]."""
PLACES = {"city": "city", "residential": "houses and gardens", "rural": "country"}
"""Kinds of place whose noise is shown, as the form calls them."""

_STATION, _PATH, _PLACE = "Station", "Ground between", "Your place"


def _ground_choices() -> tuple[Choice, ...]:
    """All grounds, average land first: a new row of a path begins with it."""
    grounds = ground_wave.grounds()
    return tuple(Choice(key, grounds[key].name) for key in dict.fromkeys(("land", *grounds)))


_ONE, _SEVERAL = ShownWhen("path", ("one",)), ShownWhen("path", ("several",))
_OWN_GROUND = ShownWhen("ground", (OWN,))

DEMO_PATH = """\
20 km; medium-dry
16 km; sea
6 km; land"""

FIELDS = (
    Field(
        "given",
        "Power given as",
        default="radiated",
        choices=(
            Choice("radiated", "radiated power, e.m.r.p."),
            Choice("transmitter", "power of the transmitter"),
        ),
        group=_STATION,
    ),
    Field(
        "power",
        "Power",
        "W",
        "1 kW",
        1e-3,
        5e6,
        help="e.m.r.p.: as if from a short upright aerial over perfect ground.",
        bare="kW",
        group=_STATION,
    ),
    Field(
        "gain",
        "Aerial over a short upright one",
        "dB",
        "−1 dB",
        -40.0,
        20.0,
        help="Its losses taken off. A good quarter-wave mast is about +0.4 dB, a short mast −3 dB and less.",
        shown_when=ShownWhen("given", ("transmitter",)),
        group=_STATION,
    ),
    Field("frequency", "Frequency", "Hz", "612 kHz", 100e3, 3e6, bare="kHz", group=_STATION),
    Field(
        "path",
        "The way to you",
        default="one",
        choices=(Choice("one", "one kind of ground"), Choice("several", "several kinds in turn")),
        group=_PATH,
    ),
    Field("distance", "Distance", "m", "14 km", NEAREST, FARTHEST, bare="km", shown_when=_ONE, group=_PATH),
    Field(
        "ground",
        "Ground",
        default="land",
        choices=(*_ground_choices(), Choice(OWN, "my own values")),
        shown_when=_ONE,
        group=_PATH,
    ),
    Field(
        "sections",
        "Sections",
        default=DEMO_PATH,
        columns=(
            Field("length", "Length", "m", least=100.0, most=FARTHEST, bare="km"),
            Field("ground", "Ground", choices=_ground_choices()),
        ),
        most_rows=6,
        help="From the station to you.",
        shown_when=_SEVERAL,
        group=_PATH,
    ),
    Field(
        "conductivity", "Conductivity", "S/m", "3 mS/m", 1e-6, 10.0, bare="mS/m", shown_when=_OWN_GROUND, group=_PATH
    ),
    Field("permittivity", "Relative permittivity", "", "22", 1.0, 200.0, shown_when=_OWN_GROUND, group=_PATH),
    Field(
        "latitude",
        "Geomagnetic latitude",
        "deg",
        "52°",
        -90.0,
        90.0,
        help="Of the middle of the way, for the wave after dark. In western Europe about that of the map.",
        bare="deg",
        group=_PLACE,
    ),
    Field(
        "place",
        "You live in",
        default="residential",
        choices=tuple(Choice(key, name) for key, name in PLACES.items()),
        group=_PLACE,
    ),
)
