"""What the aerial-loading form asks."""

from calc import bands
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import AERIAL_GROUP, COEFFICIENT_HELP, OWN, aerial_as_a_circuit, capacitor_fields, earth_field
from calc.forms.receiver.catalogue import AERIALS

DUMMY = "dummy"

_TANK, _LINKS, _BAND = "Coil", "Links", "Band"
_OWN_AERIAL = ShownWhen("aerial", (OWN,))

FIELDS = (
    Field(
        "band",
        "Band",
        default="medium-wave-9",
        choices=tuple(Choice(plan.key, plan.name) for plan in bands.channel_plans().values()),
        group=_BAND,
    ),
    Field(
        "aerial",
        "Aerial",
        default="garden",
        choices=(
            *(Choice(key, part.name) for key, part in AERIALS.items()),
            Choice(DUMMY, "Standard dummy aerial"),
            Choice(OWN, "my own values"),
        ),
        group=AERIAL_GROUP,
    ),
    earth_field(ShownWhen("aerial", tuple(AERIALS))),
    *aerial_as_a_circuit(_OWN_AERIAL),
    Field(
        "aerial_resistance",
        "Resistance, earth included",
        "ohm",
        "60 Ω",
        0.1,
        10e3,
        shown_when=_OWN_AERIAL,
        group=AERIAL_GROUP,
    ),
    Field("inductance", "Inductance of the coil", "H", "240 µH", 1e-6, 0.05, bare="µH", group=_TANK),
    Field("quality", "Q of the coil", "", "200", 5.0, 2000.0, help="By itself, 100 to 300.", group=_TANK),
    *capacitor_fields(_TANK),
    Field(
        "strays",
        "Strays",
        "F",
        "20p",
        0.0,
        1e-9,
        help="Wiring, detector, and the coil's own. Not the aerial.",
        bare="pF",
        group=_TANK,
    ),
    Field("link_capacitor", "Series capacitor", "F", "33p", 0.5e-12, 0.1e-6, bare="pF", group=_LINKS),
    Field(
        "tap",
        "Tap at",
        "%",
        "17 %",
        0.001,
        1.0,
        help="Share of the turns between earth and tap: 10 of 60 turns are 17 %.",
        group=_LINKS,
    ),
    Field(
        "tap_coefficient",
        "Coupling of its two parts",
        "%",
        "40 %",
        0.0,
        1.0,
        help="On a single layer as long as wide 30 %, half as long 45 %.",
        group=_LINKS,
    ),
    Field(
        "winding_inductance",
        "Separate winding",
        "H",
        "14 µH",
        1e-7,
        10e-3,
        help="Ten turns beside a coil of sixty: 14 µH.",
        bare="µH",
        group=_LINKS,
    ),
    Field(
        "coefficient",
        "Its coupling to the coil",
        "%",
        "20 %",
        0.001,
        0.95,
        help=COEFFICIENT_HELP,
        group=_LINKS,
    ),
)
