"""What the earth form asks."""

from calc import earths, ground_wave, units, wire
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.parts import OWN

BURIED = ("wire", "star")
"""Kinds that lie level in the soil."""

_SOIL, _EARTH, _LOOK = "Soil", "Earth", "Look at it"
_ITU_GROUNDS = ("rich-land", "wet", "good", "land", "medium-dry", "poor", "dry", "very-dry")


def _soil_choices() -> tuple[Choice, ...]:
    named = {key: (soil.name, soil.resistivity) for key, soil in earths.soils().items()}
    named |= {key: (ground_wave.grounds()[key].name, ground_wave.grounds()[key].resistivity) for key in _ITU_GROUNDS}
    listed = (Choice(key, f"{name}, {units.format(value, 'ohm m', 3)}") for key, (name, value) in named.items())
    return (*listed, Choice(OWN, "my own resistivity"))


def _when(*kinds: str) -> ShownWhen:
    return ShownWhen("kind", kinds)


FIELDS = (
    Field("soil", "Kind of soil", default="loam", choices=_soil_choices(), group=_SOIL),
    Field(
        "resistivity",
        "Resistivity",
        "ohm m",
        "100 Ωm",
        1.0,
        1e5,
        shown_when=ShownWhen("soil", (OWN,)),
        group=_SOIL,
    ),
    Field(
        "kind",
        "Kind of earth",
        default="stakes",
        choices=(
            Choice("stakes", "one stake or several"),
            Choice("wire", "buried wire"),
            Choice("star", "star of buried wires"),
            Choice("counterpoise", "counterpoise over the ground"),
            Choice("measured", "as measured: a water pipe, any earth"),
        ),
        group=_EARTH,
    ),
    Field("number", "Stakes", "", "1", 1, 12, whole=True, shown_when=_when("stakes"), group=_EARTH),
    Field("stake_length", "Length in the soil", "m", "1.2 m", 0.1, 30.0, shown_when=_when("stakes"), group=_EARTH),
    Field("stake_diameter", "Diameter", "m", "16 mm", 2e-3, 0.2, bare="mm", shown_when=_when("stakes"), group=_EARTH),
    Field(
        "stake_spacing",
        "Between neighbours",
        "m",
        "2.4 m",
        0.05,
        100.0,
        help="Twice their length is good.",
        shown_when=_when("stakes"),
        group=_EARTH,
    ),
    Field(
        "layout",
        "They stand",
        default="row",
        choices=(Choice("row", "in a row"), Choice("ring", "in a ring")),
        shown_when=_when("stakes"),
        group=_EARTH,
    ),
    Field("buried_length", "Length of the wire", "m", "10 m", 0.5, 300.0, shown_when=_when("wire"), group=_EARTH),
    Field("arms", "Arms", "", "6", 2, 24, whole=True, shown_when=_when("star"), group=_EARTH),
    Field("arm_length", "Length of an arm", "m", "5 m", 0.5, 100.0, shown_when=_when("star"), group=_EARTH),
    Field(
        "depth",
        "Depth",
        "m",
        "0.2 m",
        0.02,
        3.0,
        shown_when=_when(*BURIED),
        group=_EARTH,
    ),
    Field("wires", "Wires", "", "3", 1, 12, whole=True, shown_when=_when("counterpoise"), group=_EARTH),
    Field("wire_length", "Length of a wire", "m", "15 m", 1.0, 300.0, shown_when=_when("counterpoise"), group=_EARTH),
    Field(
        "wire_height", "Height over the ground", "m", "2.2 m", 0.1, 20.0, shown_when=_when("counterpoise"), group=_EARTH
    ),
    Field("wire_spacing", "Between neighbours", "m", "1 m", 0.05, 20.0, shown_when=_when("counterpoise"), group=_EARTH),
    Field(
        "wire",
        "Wire",
        default="2.5 mm",
        read=wire.diameter,
        help="Bare diameter: 2.5 mm, AWG 10, SWG 12.",
        shown_when=_when(*BURIED, "counterpoise"),
        group=_EARTH,
    ),
    Field("resistance", "Resistance", "ohm", "15 Ω", 0.01, 1e5, shown_when=_when("measured"), group=_EARTH),
    Field(
        "rest",
        "Rest of the aerial's resistance",
        "ohm",
        "5 Ω",
        0.1,
        10e3,
        help="Wire, radiation and coil in the aerial's lead. It decides how much a better earth buys.",
        shown_when=_when("stakes", *BURIED, "measured"),
        group=_LOOK,
    ),
    Field(
        "aerial_capacitance",
        "Aerial's capacitance",
        "F",
        "134p",
        5e-12,
        5e-9,
        bare="pF",
        shown_when=_when("counterpoise"),
        group=_LOOK,
    ),
    Field("frequency", "Frequency", "Hz", "1 MHz", 100e3, 3e6, bare="kHz", group=_LOOK),
)
