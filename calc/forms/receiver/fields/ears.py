"""The earphones and what joins them to the detector; the room."""

from calc import earphones
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import ROOMS, listed
from calc.forms.receiver.fields.question import LISTEN
from calc.listening import ROOM_SOUNDS

_EARS = "Earphones"
_ROOM = "Room"
_OWN = ShownWhen("earphone", (OWN,))
_TRANSFORMED = ShownWhen("transformer", ("yes",))
_CURED = ShownWhen("cure", ("yes",))

EAR_FIELDS = (
    Field(
        "earphone",
        "Earphones",
        default="magnetic",
        choices=listed({key: kind.name for key, kind in earphones.earphone_kinds().items()}),
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
        shown_when=_OWN,
        group=_EARS,
    ),
    Field("dc_resistance", "Resistance to d.c.", "ohm", "4 kΩ", 0.5, 10e6, shown_when=_OWN, group=_EARS),
    Field(
        "sensitivity",
        "Level for 1 mW",
        "dB",
        "108 dB",
        40.0,
        140.0,
        shown_when=_OWN,
        group=_EARS,
    ),
    Field("sensitivity_spread", "Give or take", "dB", "0 dB", 0.0, 30.0, shown_when=_OWN, group=_EARS),
    Field(
        "shunt",
        "Resistor across the earpiece",
        "ohm",
        "100 kΩ",
        1e3,
        10e6,
        help="Gives the detector's d.c. a way round the crystal.",
        shown_when=ShownWhen("earphone", ("crystal",)),
        group=_EARS,
    ),
    Field(
        "transformer",
        "Matching transformer",
        default="no",
        choices=(Choice("no", "none"), Choice("yes", "between detector and earphones")),
        group=_EARS,
    ),
    Field("ratio", "Turns ratio, primary to secondary", "", "10", 0.1, 200.0, shown_when=_TRANSFORMED, group=_EARS),
    Field(
        "primary_resistance",
        "Resistance of its primary",
        "ohm",
        "700 Ω",
        0.1,
        100e3,
        shown_when=_TRANSFORMED,
        group=_EARS,
    ),
    Field(
        "efficiency",
        "Its efficiency",
        "%",
        "80 %",
        0.01,
        1.0,
        help="Core and secondary; the primary is counted apart.",
        shown_when=_TRANSFORMED,
        group=_EARS,
    ),
    Field(
        "bypass",
        "By-pass capacitor",
        "F",
        "1 nF",
        0.0,
        1e-6,
        help="Shorts the carrier; too large a one dulls the highest notes.",
        group=_EARS,
    ),
    Field(
        "cure",
        "Resistor and capacitor before the load",
        default="no",
        choices=(Choice("no", "none"), Choice("yes", "in series with the load")),
        help="The cure where the load is much less to d.c. than to the audio.",
        group=_EARS,
    ),
    Field("cure_resistance", "The resistor", "ohm", "47 kΩ", 1.0, 10e6, shown_when=_CURED, group=_EARS),
    Field("cure_capacitance", "The capacitor across it", "F", "0.1 µF", 1e-10, 1e-3, shown_when=_CURED, group=_EARS),
    Field(
        "room",
        "Room",
        default="quiet",
        choices=listed({key: room.name for key, room in ROOMS.items()}, "my own level"),
        group=_ROOM,
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
        group=_ROOM,
    ),
    Field(
        "room_sound",
        "What sounds in the room",
        default="clock",
        choices=(Choice("none", "nothing"), *(Choice(key, room.name) for key, room in ROOM_SOUNDS.items())),
        help="Played at the room's level.",
        shown_when=ShownWhen("question", (LISTEN,)),
        group=_ROOM,
    ),
)
