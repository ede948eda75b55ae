"""What the form for a variable capacitor's law asks."""

from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.measure.shared import HOW_SURE, TWO_IN_THREE, share_field
from calc.forms.parts import OWN

DIAL = "Dial"
_CAPACITANCE, _FREQUENCY = ShownWhen("way", ("capacitance",)), ShownWhen("way", ("frequency",))
_OWN_SCALE = ShownWhen("scale", (OWN,))
_COIL = "The coil with which you tuned it"

FIELDS = (
    Field(
        "way",
        "What you read",
        default="capacitance",
        choices=(
            Choice("capacitance", "capacitance at places of the dial"),
            Choice("frequency", "frequency with a coil of known inductance"),
        ),
        group="Readings",
    ),
    Field(
        "capacitances",
        "Readings",
        default="0; 13.7 pF\n20; 47.7 pF\n40; 97.7 pF\n60; 175.3 pF\n80; 264.1 pF\n100; 373.1 pF",
        columns=(
            Field("place", DIAL, "", least=0.0, most=360.0),
            Field("capacitance", "Capacitance", "F", least=0.1e-12, most=1e-7, bare="pF"),
        ),
        help="By bridge or by substitution. Both ends, and some between.",
        shown_when=_CAPACITANCE,
        group="Readings",
    ),
    Field(
        "frequencies",
        "Readings",
        default="0; 1817 kHz\n20; 1279 kHz\n40; 973 kHz\n60; 754.9 kHz\n80; 624.7 kHz\n100; 531 kHz",
        columns=(
            Field("place", DIAL, "", least=0.0, most=360.0),
            Field("frequency", "Frequency", "Hz", least=1e3, most=300e6, bare="kHz"),
        ),
        help="Where the circuit is in tune. Both ends, and some between.",
        shown_when=_FREQUENCY,
        group="Readings",
    ),
    Field(
        "scale",
        "The dial goes",
        default="100",
        choices=(
            Choice("100", "from 0 to 100"),
            Choice("180", "from 0 to 180"),
            Choice(OWN, "from and to marks of my own"),
        ),
        help="Over the half turn between plates out and plates in. Which end is which, the readings tell.",
        group="Readings",
    ),
    Field("lowest", "Its one end", "", "0", 0.0, 360.0, shown_when=_OWN_SCALE, group="Readings"),
    Field("highest", "Its other end", "", "100", 0.0, 360.0, shown_when=_OWN_SCALE, group="Readings"),
    Field(
        "plate_strays",
        "Strays for which the plates were cut",
        "F",
        "0p",
        0.0,
        1e-9,
        help="Steps are equal only with these about it. Nought: the law is that of the capacitor alone.",
        bare="pF",
        group="Readings",
    ),
    Field("inductance", "Inductance", "H", "230u", 1e-7, 1.0, bare="µH", shown_when=_FREQUENCY, group=_COIL),
    Field(
        "strays",
        "Strays across it",
        "F",
        "18p",
        0.0,
        1e-9,
        help="All but the capacitor: the coil's own capacitance, wiring, meter.",
        bare="pF",
        shown_when=_FREQUENCY,
        group=_COIL,
    ),
    share_field("dial_uncertainty", "A place of the dial, of the whole turn", "0.4 %", TWO_IN_THREE, optional=False),
    share_field("capacitance_uncertainty", "A capacitance", "0.5 %", optional=False, shown_when=_CAPACITANCE),
    Field(
        "floor",
        "And besides",
        "F",
        "0.3p",
        0.0,
        1e-10,
        help="What clips and hands add to one reading or another.",
        bare="pF",
        shown_when=_CAPACITANCE,
        group=HOW_SURE,
    ),
    share_field(
        "scale_uncertainty", "The standard, in all readings alike", "1 %", optional=False, shown_when=_CAPACITANCE
    ),
    share_field("frequency_uncertainty", "A frequency", "0.1 %", optional=False, shown_when=_FREQUENCY),
    share_field("inductance_uncertainty", "The inductance", "1 %", optional=False, shown_when=_FREQUENCY),
    Field("strays_uncertainty", "The strays", "F", "1p", 0.0, 1e-9, bare="pF", shown_when=_FREQUENCY, group=HOW_SURE),
)
