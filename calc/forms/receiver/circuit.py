"""The circuit diagram of the chosen set."""

import numpy as np

from calc.coupling import TunedAerial
from calc.forms.circuit import CircuitParts, circuit_drawing
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.link import detector_tap_of
from calc.forms.receiver.catalogue import TUNED_WINDING
from calc.forms.shapes import Drawing


def picture(chosen: ChosenSet, tuned: float) -> Drawing:
    """The circuit of the set, with what tunes its aerial to a frequency [Hz]."""
    v = chosen.values
    return circuit_drawing(
        CircuitParts(
            link=v["link"],
            trap=v["trap"],
            lead=v["lead"],
            aerial_tuner=_aerial_tuner(chosen, tuned),
            detector_tap=detector_tap_of(v, chosen.winding) is not None,
            bypass=v["bypass"] > 0.0,
            cure=v["cure"] == "yes",
            transformer=v["transformer"] == "yes",
            bias=v["bias"] or 0.0,
            ear=_ear(chosen),
        )
    )


def _ear(chosen: ChosenSet) -> str:
    """What is listened with."""
    if chosen.phones.has_battery:
        return "amplifier"
    return "earpiece" if chosen.phones.capacitance > 0.0 else "earphones"


def _aerial_tuner(chosen: ChosenSet, tuned: float) -> str:
    """What makes the loop of aerial and winding resonate, where it is to."""
    if chosen.values["link"] != TUNED_WINDING:
        return "capacitor"
    link, _ = chosen.receiver(at=tuned).link.tuned(tuned, chosen.aerial.terminals)
    return "coil" if isinstance(link, TunedAerial) and np.any(np.asarray(link.coil.inductance) > 0.0) else "capacitor"
