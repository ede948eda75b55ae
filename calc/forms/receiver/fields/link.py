"""The link from the aerial to the coil, and how close it is."""

from calc import wire
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import COEFFICIENT_HELP
from calc.forms.receiver.catalogue import CAPACITOR_PAIR, COIL_PAIR, LINK_NAMES, TUNED_WINDING

_LINK = "Link from aerial to coil"
_WINDING = ShownWhen("link", ("winding", TUNED_WINDING))
_PAIR = ShownWhen("link", (COIL_PAIR, CAPACITOR_PAIR))

_HEADS = ("1", "1.2", "1.5", "1.8", "2.2", "2.7", "3.3", "3.9", "4.7", "5.6", "6.8", "8.2")
"""The first of the preferred values of a decade in twelve steps (IEC 60063)."""


def _preferred(unit: str, decades: tuple[int, ...]) -> tuple[str, ...]:
    return tuple(f"{float(head) * 10**decade:g} {unit}" for decade in decades for head in _HEADS)


_PICOFARADS = (*_preferred("pF", (0, 1, 2)), "1000 pF")
_PERCENT = (*_preferred("%", (-1, 0)), *(f"{step} %" for step in (10, 12, 15, 18, 20, 22, 27, 33, 39, 47, 56, 68, 82)))
_TURNS = tuple(f"{turns}" for turns in range(1, 61))

LINK_FIELDS = (
    Field(
        "link",
        "Link",
        default="capacitor",
        choices=tuple(Choice(key, name) for key, name in LINK_NAMES.items()),
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
        place="answer",
        stops=_PICOFARADS,
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
        place="answer",
        stops=_TURNS,
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
        help=COEFFICIENT_HELP,
        shown_when=_WINDING,
        place="answer",
        stops=_PERCENT,
    ),
    Field(
        "first_capacitor",
        "Aerial to the first circuit",
        "F",
        "33p",
        0.5e-12,
        0.1e-6,
        bare="pF",
        help="A small series capacitor.",
        shown_when=_PAIR,
        group=_LINK,
    ),
    Field(
        "first_inductance",
        "First coil's inductance",
        "H",
        "",
        1e-6,
        0.05,
        bare="µH",
        optional=True,
        help="Empty: a coil like the other.",
        shown_when=_PAIR,
        group=_LINK,
    ),
    Field(
        "first_quality",
        "First coil's Q",
        "",
        "",
        5,
        2000,
        optional=True,
        help="Empty: that of the other.",
        shown_when=_PAIR,
        group=_LINK,
    ),
    Field(
        "pair_coefficient",
        "Coupling of the two coils",
        "%",
        "1.5 %",
        0.0005,
        0.5,
        shown_when=ShownWhen("link", (COIL_PAIR,)),
        place="answer",
        stops=_PERCENT[:-5],
    ),
    Field(
        "pair_capacitor",
        "Capacitor between the circuits",
        "F",
        "3.3p",
        0.1e-12,
        1e-9,
        bare="pF",
        shown_when=ShownWhen("link", (CAPACITOR_PAIR,)),
        place="answer",
        stops=_PICOFARADS,
    ),
)
