"""The tuned circuit: coil, variable capacitor, strays."""

from calc import wire
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import CAPACITOR_GROUP, OWN, capacitor_fields
from calc.forms.receiver.catalogue import COILS, MEASURED

_TANK = "Coil"
_OWN_COIL = ShownWhen("coil", (OWN, MEASURED))

COIL_FIELDS = (
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
    *capacitor_fields(measured_law=True),
    Field(
        "strays",
        "Strays",
        "F",
        "15p",
        0.0,
        1e-9,
        help="Wiring. Coil, detector and aerial are counted by themselves.",
        bare="pF",
        group=CAPACITOR_GROUP,
    ),
)
