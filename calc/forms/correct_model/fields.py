"""What the form asks: readings, how surely they were read, what to find; then the set as the whole-set form has it."""

from dataclasses import replace

from calc.correction import LINK, OFF, STRAIGHT
from calc.forms.correct_model.bench_set import AERIAL, COUPLING, INDUCTANCE, QUALITY, STRAYS, UNKNOWNS
from calc.forms.fields import Choice, Field
from calc.forms.receiver.fields.aerial import AERIAL_FIELDS
from calc.forms.receiver.fields.coil import COIL_FIELDS
from calc.forms.receiver.fields.detector import DETECTOR_FIELDS
from calc.forms.receiver.fields.district import DISTRICT_FIELDS
from calc.forms.receiver.fields.ears import EAR_FIELDS
from calc.forms.receiver.fields.link import LINK_FIELDS

_READINGS = "Readings"
_SKILL = "How surely they were read"
_FIND = "What to find"

DEMO_READINGS = """\
747 kHz; off; ; 40.2; 1.6; ;
612 kHz; off; ; 66.7; 2.5; ;
612 kHz; straight; 100p; 48.2; ; ;
747 kHz; straight; 100p; 22.4; ; ;
612 kHz; link; ; 57.2; ; ;
666 kHz; link; ; 45.4; 9.7; ;
747 kHz; link; ; 31.7; 4.3; ;"""
"""As a set would have given them that has 24 pF of strays, an aerial of 163 pF, a Q of 205 and 38.5 pF in the link."""

NAMES = {
    STRAYS: "strays",
    AERIAL: "aerial's capacitance",
    QUALITY: "coil's Q",
    COUPLING: "coupling",
    INDUCTANCE: "coil's inductance",
}
"""The unknowns in words."""

FIND, KEEP = "find", "keep"


def _find(unknown: str) -> Field:
    choices = (Choice(FIND, "find it"), Choice(KEEP, "keep what was entered"))
    label = NAMES[unknown][0].upper() + NAMES[unknown][1:]
    default = KEEP if unknown == INDUCTANCE else FIND
    return Field(f"find_{unknown}", label, default=default, choices=choices, group=_FIND)


_BENCH_FIELDS = (
    Field(
        "readings",
        "Readings",
        default=DEMO_READINGS,
        columns=(
            Field("frequency", "Frequency", "Hz", least=100e3, most=3e6, bare="kHz"),
            Field(
                "joined",
                "Aerial on",
                default=LINK,
                choices=(
                    Choice(LINK, "link"),
                    Choice(STRAIGHT, "coil"),
                    Choice(OFF, "off"),
                ),
            ),
            Field("through", "Through", "F", least=1e-12, most=0.1e-6, bare="pF", optional=True),
            Field("dial", "Dial", least=0.0, most=100.0),
            Field("width", "Width", least=0.05, most=25.0, optional=True),
            Field("steps", "Steps to lost", least=0.0, most=40.0, optional=True),
            Field("current", "Current", "A", least=1e-9, most=0.1, bare="µA", optional=True),
        ),
        most_rows=24,
        help=(
            "A row a setting: where the station is loudest. If you can, also the distance between the two places "
            "where it has fallen, the equal steps until it is lost, the detector's direct current. “Coil”: past the "
            "link to the coil's live end, through a capacitor if one is named. “Off”: its lead laid near the coil."
        ),
        group=_READINGS,
    ),
    Field("dial_reading", "Dial read to ±", "", "0.3", 0.01, 10.0, help="In hundredths of the turn.", group=_SKILL),
    Field("width_reading", "Widths read to ±", "%", "5 %", 0.001, 0.5, group=_SKILL),
    Field(
        "fall",
        "Width is where the sound has fallen by",
        "dB",
        "10 dB",
        2.0,
        40.0,
        help="Put in an attenuator of so much at the earphones, and find where it is just lost; then take it out.",
        group=_SKILL,
    ),
    Field("fall_reading", "That fall is sure to ±", "dB", "1 dB", 0.0, 10.0, group=_SKILL),
    Field(
        "width_by",
        "Width found by",
        default="ear",
        choices=(Choice("ear", "ear"), Choice("meter", "a meter in the detector's load")),
        help="A current falls to half in 6 dB.",
        group=_SKILL,
    ),
    Field("step", "A step until it is lost is", "dB", "3 dB", 0.5, 20.0, group=_SKILL),
    Field("step_reading", "Steps counted to ±", "", "1", 0.1, 10.0, group=_SKILL),
    Field("current_reading", "Currents read to ±", "%", "3 %", 0.001, 0.5, group=_SKILL),
    *(_find(unknown) for unknown in UNKNOWNS),
    Field(
        "guide",
        "What was entered",
        default="counts",
        choices=(
            Choice("counts", "counts, as loosely as is usual"),
            Choice("readings", "does not count: readings alone"),
        ),
        help=(
            "Usual: strays ± 10 pF, aerial and coupling within a third, Q within two fifths, inductance within a "
            "twenty-fifth."
        ),
        group=_FIND,
    ),
    Field(
        "misfits",
        "Readings that do not fit",
        default="leave",
        choices=(Choice("leave", "leave them out, and name them"), Choice("count", "count them")),
        group=_FIND,
    ),
)

_LINK_GROUP = LINK_FIELDS[0].group
_NOT_HEARD = ("tuned_to", "room_sound")
_OF_THE_SET = (*DISTRICT_FIELDS, *AERIAL_FIELDS, *COIL_FIELDS, *LINK_FIELDS, *DETECTOR_FIELDS, *EAR_FIELDS)

SET_FIELDS = tuple(
    replace(field, place="form", stops=(), group=field.group or _LINK_GROUP)
    for field in _OF_THE_SET
    if field.name not in _NOT_HEARD
)
"""The set's own fields, under the names that they have in the whole-set form; its knobs stand among them here."""

FIELDS = (*_BENCH_FIELDS, *SET_FIELDS)
