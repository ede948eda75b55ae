"""What the earphone-measuring form asks."""

from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.measure.shared import HOW_SURE, share_field
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import ROOMS, listed

BALANCED, HEARD = ("balance-volts", "balance-attenuator"), ("threshold-attenuator", "threshold-volts")
_BALANCE, _THRESHOLD = ShownWhen("way", BALANCED), ShownWhen("way", HEARD)
_ATTENUATED = ShownWhen("way", ("balance-attenuator", "threshold-attenuator"))
_LISTENER, _KNOWN = "Who listens, and where", "The known earphone"


def _decibel_field(name: str, label: str, default: str, help: str, shown_when: ShownWhen | None = None) -> Field:
    return Field(name, label, "dB", default, 0.0, 30.0, help=help, bare="dB", shown_when=shown_when, group=HOW_SURE)


def _table_field(way: str, default: str, columns: tuple[Field, ...], help: str) -> Field:
    return Field(
        way.replace("-", "_"),
        "Readings",
        default=default,
        columns=columns,
        help=help,
        shown_when=ShownWhen("way", (way,)),
        group="Readings",
    )


def _volts(name: str, label: str) -> Field:
    return Field(name, label, "V", least=1e-9, most=100.0, bare="mV")


def _decibels(name: str, label: str) -> Field:
    return Field(name, label, "dB", least=0.0, most=160.0, bare="dB")


FIELDS = (
    Field(
        "way",
        "Way",
        default=BALANCED[0],
        choices=(
            Choice(BALANCED[0], "as loud as a known earphone: voltages"),
            Choice(BALANCED[1], "as loud as a known earphone: settings of an attenuator"),
            Choice(HEARD[0], "the faintest tone that is heard: settings of an attenuator"),
            Choice(HEARD[1], "the faintest tone that is heard: voltages"),
        ),
        group="Readings",
    ),
    _table_field(
        BALANCED[0],
        "19.5 mV; 108 mV\n23.3 mV; 109 mV\n20.4 mV; 86 mV\n26.3 mV; 82 mV\n17.5 mV; 119 mV",
        (_volts("known", "Across the known one"), _volts("this", "Across this one")),
        "Each time you find both equally loud.",
    ),
    _table_field(
        BALANCED[1],
        "34 dB; 20 dB\n33 dB; 19 dB\n34 dB; 21 dB\n32 dB; 21 dB",
        (_decibels("known", "For the known one"), _decibels("this", "For this one")),
        "Each time you find both equally loud, behind one steady tone.",
    ),
    _table_field(
        HEARD[0],
        "92 dB\n95 dB\n91 dB\n94 dB",
        (_decibels("this", "Attenuator"),),
        "The most at which the tone is still heard. Come down to it and up to it by turns.",
    ),
    _table_field(
        HEARD[1],
        "25 µV\n18 µV\n28 µV\n20 µV",
        (_volts("this", "Across the earphone"),),
        "The least at which the tone is still heard. Come down to it and up to it by turns.",
    ),
    Field(
        "source",
        "Voltage before the attenuator",
        "V",
        "1 V",
        1e-4,
        100.0,
        bare="V",
        shown_when=_ATTENUATED,
        group="Readings",
    ),
    Field(
        "impedance",
        "Impedance of this earphone",
        "ohm",
        "12k",
        1.0,
        1e7,
        help="At the frequency of the tone; several times its resistance to d.c. if it is a magnetic one.",
        bare="ohm",
        group="Readings",
    ),
    Field("known_sensitivity", "Its level for 1 mW", "dB", "97 dB", 40.0, 150.0, shown_when=_BALANCE, group=_KNOWN),
    Field("known_impedance", "Its impedance", "ohm", "32", 1.0, 1e7, bare="ohm", shown_when=_BALANCE, group=_KNOWN),
    Field(
        "frequency",
        "Frequency of the tone",
        "Hz",
        "1 kHz",
        100.0,
        8000.0,
        bare="Hz",
        shown_when=_THRESHOLD,
        group=_LISTENER,
    ),
    Field(
        "ears",
        "Heard with",
        default="both",
        choices=(Choice("both", "both ears"), Choice("one", "one ear")),
        shown_when=_THRESHOLD,
        group=_LISTENER,
    ),
    Field(
        "hearing_loss",
        "Hearing loss at that tone",
        "dB",
        "0 dB",
        -15.0,
        80.0,
        help="Against young ears, as a hearing test gives it.",
        bare="dB",
        shown_when=_THRESHOLD,
        group=_LISTENER,
    ),
    Field(
        "room",
        "Room",
        default="still",
        choices=listed({key: room.name for key, room in ROOMS.items()}, "my own level"),
        shown_when=_THRESHOLD,
        group=_LISTENER,
    ),
    Field(
        "room_noise",
        "Room noise about the tone",
        "dB",
        "17 dB",
        -10.0,
        100.0,
        help="Level in the octave about it. Counts only for a room of your own.",
        bare="dB",
        shown_when=ShownWhen("room", (OWN,)),
        group=_LISTENER,
    ),
    Field(
        "shut_out",
        "The earphones keep out",
        "dB",
        "8 dB",
        0.0,
        40.0,
        help="Of the room's noise. Little for loose ones, 20 dB and more for sealed cups.",
        bare="dB",
        shown_when=_THRESHOLD,
        group=_LISTENER,
    ),
    Field(
        "judgement",
        "One judgement by ear",
        "dB",
        "2 dB",
        0.05,
        20.0,
        help="Two in three lie within it. Leave it empty to let the scatter of the readings tell.",
        bare="dB",
        optional=True,
        group=HOW_SURE,
    ),
    _decibel_field(
        "known_uncertainty", "The known earphone", "3 dB", "3 dB for a printed figure, 1 dB if measured.", _BALANCE
    ),
    _decibel_field(
        "hearing_uncertainty", "Your hearing", "5 dB", "5 dB if it was never tested, 3 dB if it was.", _THRESHOLD
    ),
    _decibel_field("noise_uncertainty", "The noise at the ear", "5 dB", "", _THRESHOLD),
    _decibel_field("seating", "How it sits on the ear", "3 dB", "A leak beside the cushion costs low notes above all."),
    share_field("impedance_uncertainty", "An impedance", "15 %", optional=False),
    share_field("voltage_uncertainty", "Voltmeter or attenuator", "3 %", "In all readings alike.", optional=False),
)
