"""The short lists of the whole-set form: what stands behind each entry."""

from collections.abc import Mapping
from dataclasses import dataclass

from calc import earphones
from calc.forms.fields import Choice
from calc.forms.parts import OWN

MEASURED = "measured"
"""The word in short lists for "what I have measured"."""

TUNED_WINDING, COIL_PAIR, CAPACITOR_PAIR = "tuned-winding", "pair", "pair-capacitor"

LINK_NAMES: Mapping[str, str] = {
    "direct": "aerial straight on the coil",
    "capacitor": "small series capacitor",
    "tap": "tap on the coil",
    "winding": "separate winding",
    TUNED_WINDING: "separate winding, aerial tuned",
    COIL_PAIR: "two tuned circuits, coils coupled",
    CAPACITOR_PAIR: "two tuned circuits, small capacitor between",
}
"""The links by the word that stands for them in addresses."""

ONE_CIRCUIT = ("direct", "capacitor", "tap", "winding")
"""Links with which the set has one knob: every set is compared with these."""


@dataclass(frozen=True)
class WireAerialPart:
    """An aerial of the short list: height and length of the top [m]."""

    name: str
    height: float
    span: float


AERIALS: Mapping[str, WireAerialPart] = {
    "garden": WireAerialPart("Garden wire, 7 m up and 15 m along", 7.0, 15.0),
    "full": WireAerialPart("Full-size wire, 12 m up and 30 m along", 12.0, 30.0),
    "low": WireAerialPart("Low wire, 3 m up and 10 m along", 3.0, 10.0),
}

AERIAL_WIRE = 1.5e-3
"""Diameter of the aerial wires of the list [m]."""


@dataclass(frozen=True)
class CoilPart:
    """A coil of the short list: turns, former, pitch and bare wire [m]."""

    name: str
    turns: float
    former: float
    pitch: float
    wire: float


COILS: Mapping[str, CoilPart] = {
    "card75": CoilPart("60 turns of 0.5 mm on 75 mm, spaced to 0.8 mm", 60.0, 75e-3, 0.8e-3, 0.5e-3),
    "card75close": CoilPart("50 turns of 0.5 mm on 75 mm, close wound", 50.0, 75e-3, 0.54e-3, 0.5e-3),
    "bottle": CoilPart("80 turns of 0.4 mm on a 50 mm bottle, close wound", 80.0, 50e-3, 0.44e-3, 0.4e-3),
    "long": CoilPart("250 turns of 0.25 mm on 75 mm, close wound, for long wave", 250.0, 75e-3, 0.28e-3, 0.25e-3),
}


@dataclass(frozen=True)
class Room:
    """A room: the noise-criterion curve that it meets."""

    name: str
    criterion: float

    @property
    def noise(self) -> float:
        """Level in the octave about 1 kHz [dB SPL]."""
        return earphones.room_noise(self.criterion)


ROOMS: Mapping[str, Room] = {
    "still": Room("a still night in the country", 15.0),
    "quiet": Room("an ordinary quiet room", 25.0),
    "living": Room("a living room by day", 35.0),
}


def slug(name: str) -> str:
    """A name as a word for addresses: small letters, hyphens for spaces."""
    return name.lower().replace(" ", "-")


def listed(kinds: Mapping[str, str], own: str = "my own values") -> tuple[Choice, ...]:
    """A short list of kinds by key, with a last entry for the reader's own."""
    return (*(Choice(key, name) for key, name in kinds.items()), Choice(OWN, own))
