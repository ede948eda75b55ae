"""Aerial and earth, and what stands in the aerial's lead."""

from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import AERIAL_GROUP, OWN, aerial_as_a_circuit, earth_field
from calc.forms.receiver.catalogue import AERIALS, MEASURED

_LEAD = "In the aerial's lead"
_WIRE_AERIAL = ShownWhen("aerial", (OWN,))
_MEASURED_AERIAL = ShownWhen("aerial", (MEASURED,))
_TRAPPED = ShownWhen("trap", ("rejector", "acceptor"))

AERIAL_FIELDS = (
    Field(
        "aerial",
        "Aerial",
        default="garden",
        choices=(
            *(Choice(key, part.name) for key, part in AERIALS.items()),
            Choice(OWN, "my own wire"),
            Choice(MEASURED, "measured values"),
        ),
        group=AERIAL_GROUP,
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
        group=AERIAL_GROUP,
    ),
    Field("height", "Height", "m", "7 m", 0.5, 100.0, shown_when=_WIRE_AERIAL, group=AERIAL_GROUP),
    Field(
        "span",
        "Length of the top",
        "m",
        "15 m",
        0.0,
        200.0,
        help="Not used by a vertical wire.",
        shown_when=_WIRE_AERIAL,
        group=AERIAL_GROUP,
    ),
    *aerial_as_a_circuit(_MEASURED_AERIAL),
    Field(
        "effective_height", "Effective height", "m", "6 m", 0.01, 200.0, shown_when=_MEASURED_AERIAL, group=AERIAL_GROUP
    ),
    earth_field(),
    Field(
        "lead",
        "In series",
        default="nothing",
        choices=(
            Choice("nothing", "nothing"),
            Choice("capacitor", "a capacitor: shortens the aerial"),
            Choice("coil", "a loading coil: lengthens it"),
        ),
        group=_LEAD,
    ),
    Field(
        "lead_capacitor",
        "Its capacitance",
        "F",
        "250p",
        1e-12,
        0.1e-6,
        bare="pF",
        shown_when=ShownWhen("lead", ("capacitor",)),
        group=_LEAD,
    ),
    Field(
        "lead_inductance",
        "Its inductance",
        "H",
        "200 µH",
        1e-7,
        0.05,
        bare="µH",
        shown_when=ShownWhen("lead", ("coil",)),
        group=_LEAD,
    ),
    Field("lead_quality", "Its Q", "", "120", 5, 2000, shown_when=ShownWhen("lead", ("coil",)), group=_LEAD),
    Field(
        "trap",
        "Trap for one strong station",
        default="none",
        choices=(
            Choice("none", "none"),
            Choice("rejector", "rejector: coil and capacitor side by side, in the lead"),
            Choice("acceptor", "acceptor: coil and capacitor in series, from the lead to earth"),
        ),
        group=_LEAD,
    ),
    Field("trap_frequency", "Trap set to", "Hz", "612 kHz", 100e3, 3e6, bare="kHz", shown_when=_TRAPPED, group=_LEAD),
    Field(
        "trap_inductance",
        "Trap's inductance",
        "H",
        "100 µH",
        1e-7,
        0.05,
        bare="µH",
        help="A rejector wants few turns and much capacitance, an acceptor the reverse.",
        shown_when=_TRAPPED,
        group=_LEAD,
    ),
    Field("trap_quality", "Trap's Q", "", "150", 5, 2000, shown_when=_TRAPPED, group=_LEAD),
)
