"""Parts that several forms ask for: fields shared between them, and the values behind their short lists."""

from collections.abc import Mapping
from dataclasses import dataclass

from calc.forms.fields import Choice, Field, ShownWhen
from calc.units import InputError

OWN = "own"
"""The word in every short list for "my own values"."""

COVERING = 1.08
"""Overall diameter of ordinary enamelled wire over its bare diameter, where nothing more is asked: 1.05 to 1.12 for 0.3
to 1 mm (common practice; the makers' tables decide)."""


@dataclass(frozen=True)
class VariableCapacitor:
    """A variable capacitor of a short list: its name and range [F]."""

    name: str
    least: float
    most: float


CAPACITORS: Mapping[str, VariableCapacitor] = {
    "365p": VariableCapacitor("One gang, 15 to 365 pF", 15e-12, 365e-12),
    "500p": VariableCapacitor("One gang, 20 to 500 pF", 20e-12, 500e-12),
    "2x365p": VariableCapacitor("Two gangs together, 30 to 730 pF", 30e-12, 730e-12),
}
"""Ranges usual for air-spaced capacitors (common practice)."""

LAWS = (
    Choice("capacitance", "half-round plates (equal steps of capacitance)"),
    Choice("wavelength", "square-law plates (equal steps of wavelength)"),
    Choice("frequency", "plates for equal steps of frequency"),
)

MEASURED_LAW = "table"
"""The word for plates of which readings are typed."""

COEFFICIENT_HELP = "For 10 turns on 75 mm: over the earthed end 55 %, close beside it 35 %, 13 mm off 20 %, 30 mm 10 %."
"""A winding on the usual coil of 60 turns, as the form for two coils has it."""

CAPACITOR_GROUP, AERIAL_GROUP = "Variable capacitor", "Aerial and earth"


def capacitor_fields(group: str = CAPACITOR_GROUP, *, measured_law: bool = False) -> tuple[Field, ...]:
    """Fields for a variable capacitor: a short list, or its own least and most; its law, which may be readings."""
    choices = tuple(Choice(key, part.name) for key, part in CAPACITORS.items())
    own = ShownWhen("capacitor", (OWN,))
    return (
        Field(
            "capacitor",
            "Variable capacitor",
            default="365p",
            choices=(*choices, Choice(OWN, "my own values")),
            group=group,
        ),
        Field(
            "capacitor_least",
            "Least capacitance",
            "F",
            "15p",
            0.1e-12,
            2e-9,
            help="Plates fully out.",
            bare="pF",
            shown_when=own,
            group=group,
        ),
        Field(
            "capacitor_most",
            "Most capacitance",
            "F",
            "365p",
            1e-12,
            20e-9,
            help="Plates fully in.",
            bare="pF",
            shown_when=own,
            group=group,
        ),
        Field(
            "law",
            "Shape of the plates",
            default="capacitance",
            choices=(*LAWS, Choice(MEASURED_LAW, "as I have measured them")) if measured_law else LAWS,
            help="Decides how stations spread over the dial.",
            group=group,
        ),
        *((_readings(group),) if measured_law else ()),
    )


def earth_field(shown_when: ShownWhen | None = None) -> Field:
    """The earth's resistance."""
    return Field(
        "earth_resistance",
        "Earth resistance",
        "ohm",
        "60 Ω",
        0.1,
        10e3,
        help="One stake in garden soil: 30 to 150 Ω.",
        shown_when=shown_when,
        group=AERIAL_GROUP,
    )


def aerial_as_a_circuit(shown_when: ShownWhen) -> tuple[Field, ...]:
    """Fields for an aerial of which is known what it is as a circuit: its capacitance and inductance."""
    return (
        Field(
            "aerial_capacitance",
            "Aerial's capacitance",
            "F",
            "200p",
            5e-12,
            5e-9,
            bare="pF",
            shown_when=shown_when,
            group=AERIAL_GROUP,
        ),
        Field(
            "aerial_inductance",
            "Aerial's inductance",
            "H",
            "15 µH",
            0.0,
            1e-3,
            bare="µH",
            shown_when=shown_when,
            group=AERIAL_GROUP,
        ),
    )


def _readings(group: str) -> Field:
    """Readings of a capacitor's law."""
    return Field(
        "law_table",
        "Its capacitance, measured",
        default="0; 15 pF\n25; 75 pF\n50; 165 pF\n75; 262 pF\n100; 365 pF",
        columns=(
            Field("dial", "Dial", "", least=0.0, most=100.0),
            Field("capacitance", "Capacitance", "F", least=0.1e-12, most=20e-9, bare="pF"),
        ),
        most_rows=40,
        help="By itself, at three places of the dial or more. Its range stands at 0 and 100 if you leave them out.",
        shown_when=ShownWhen("law", (MEASURED_LAW,)),
        group=group,
    )


def capacitor_range(capacitor: str, least: float | None, most: float | None) -> tuple[float, float]:
    """Least and most [F] of the capacitor chosen."""
    if capacitor != OWN:
        return CAPACITORS[capacitor].least, CAPACITORS[capacitor].most
    assert least is not None, "own values are asked whenever they are chosen"
    assert most is not None, "own values are asked whenever they are chosen"
    if most < 1.01 * least:  # two capacitances that differ by rounding alone leave no dial to read
        raise InputError("capacitor_most", "must be above the least capacitance, by a hundredth of it or more")
    return least, most
