"""What a circuit diagram shows, and the same in words."""

from dataclasses import dataclass


@dataclass(frozen=True)
class CircuitParts:
    """The parts of a set.

    Attributes:
        link: from the aerial to the tuned circuit.
        trap: in the aerial's lead: "none", "rejector" or "acceptor".
        lead: what else is in it: "nothing", "capacitor" or "coil".
        aerial_tuner: what tunes the aerial with the link "tuned-winding": "capacitor" or "coil".
        detector_tap: whether the detector is on a tap of the coil.
        bypass: whether there is a by-pass capacitor.
        cure: whether resistor and capacitor stand before the load.
        transformer: between detector and earphones.
        bias: e.m.f. of a cell, positive where it helps the detector to conduct; zero for none [V].
        ear: what is listened with: "earphones", "earpiece" with its shunt resistor, or "amplifier".
    """

    link: str
    trap: str = "none"
    lead: str = "nothing"
    aerial_tuner: str = "capacitor"
    detector_tap: bool = False
    bypass: bool = True
    cure: bool = False
    transformer: bool = False
    bias: float = 0.0
    ear: str = "earphones"


TITLES = {
    "direct": "Aerial straight on the coil",
    "capacitor": "Through a small series capacitor",
    "tap": "To a tap on the coil",
    "winding": "Through a separate winding",
    "tuned-winding": "Through a separate winding, the aerial tuned",
    "pair": "Two tuned circuits, coils coupled",
    "pair-capacitor": "Two tuned circuits, a small capacitor between",
}

_FIRST = (
    "Through a small series capacitor the aerial feeds a first tuned circuit, a coil and a variable capacitor side by "
    "side to earth."
)
_LINKS = {
    "direct": "The aerial wire goes straight to the top of the tuned circuit.",
    "capacitor": "A small capacitor stands between the aerial wire and the top of the tuned circuit.",
    "tap": "The aerial wire goes to a tap on the coil, some turns above its earthed end.",
    "winding": (
        "The aerial wire goes through a winding of its own to earth; that winding stands beside the coil and couples "
        "to it."
    ),
    "pair": f"{_FIRST} Its coil stands beside that of the second tuned circuit and couples to it.",
    "pair-capacitor": f"{_FIRST} A small capacitor joins its top to that of the second tuned circuit.",
}
_TUNED = {
    "capacitor": "A variable capacitor between winding and earth tunes the aerial.",
    "coil": "A variable loading coil between winding and earth tunes the aerial.",
}
_TRAPS = {
    "rejector": "In the aerial wire stands a rejector, a coil and a capacitor side by side.",
    "acceptor": "From the aerial wire an acceptor, a coil and a capacitor in series, leads to earth.",
}
_LEADS = {
    "capacitor": "A capacitor in the aerial wire shortens the aerial.",
    "coil": "A loading coil in the aerial wire lengthens the aerial.",
}
_EARS = {
    "earphones": "the earphones",
    "earpiece": "the crystal earpiece, which has a resistor across it",
    "amplifier": "an amplifier, which drives the earphones and has a battery",
}


def description(parts: CircuitParts) -> str:
    """The diagram for those who cannot see it, from the aerial to the ear."""
    sentences = ["Circuit diagram."]
    if parts.trap != "none":
        sentences.append(_TRAPS[parts.trap])
    if parts.lead != "nothing":
        sentences.append(_LEADS[parts.lead])
    if parts.link == "tuned-winding":
        sentences += [_LINKS["winding"], _TUNED[parts.aerial_tuner]]
    else:
        sentences.append(_LINKS[parts.link])
    which = "second" if parts.link in ("pair", "pair-capacitor") else "tuned"
    circuit = "second tuned circuit" if which == "second" else "tuned circuit"
    sentences.append(f"The {circuit} is a coil and a variable capacitor side by side, their lower ends earthed.")
    start = "a tap on the coil" if parts.detector_tap else "its top"
    sentences.append(f"A diode leads from {start} to {_load_words(parts)}.")
    if parts.bypass:
        sentences.append("A by-pass capacitor leads from the diode's far end to earth.")
    if parts.bias:
        way = "helps the diode to conduct" if parts.bias > 0.0 else "holds the diode back"
        sentences.append(f"The load's other end goes to earth through a bias cell, which {way}.")
    else:
        sentences.append("The load's other end goes to earth.")
    return " ".join(sentences)


def _load_words(parts: CircuitParts) -> str:
    """What follows the diode."""
    through = "a resistor with a capacitor across it, and through that to " if parts.cure else ""
    ear = _EARS[parts.ear]
    if parts.transformer:
        return f"{through}the primary of a matching transformer, whose secondary feeds {ear}"
    return f"{through}{ear}"
