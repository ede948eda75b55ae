"""What can be turned on the set of the form, as the physics of settings takes it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from calc import coupling, units
from calc.coupling import Tap, TunedAerial
from calc.forms.receiver.build import ChosenSet, Winding
from calc.forms.receiver.catalogue import CAPACITOR_PAIR, COIL_PAIR, TUNED_WINDING
from calc.receiver import Receiver
from calc.settings.knobs import Adjustment, Knob, closeness, coupling_of
from calc.settings.tuned import Dial
from calc.units import Array


@dataclass(frozen=True)
class CouplingScale:
    """How a link's closeness of coupling is shown.

    Attributes:
        label: of axes.
        unit: in which it is shown.
        factor: shown value over that of the physics, by the number of turns of the coil.
    """

    label: str
    unit: str
    factor: Callable[[float], float] = lambda turns: 1.0


SCALES = {
    "direct": CouplingScale("Coupling", ""),
    "capacitor": CouplingScale("Series capacitor", "F"),
    "tap": CouplingScale("Turns below the tap", "", lambda turns: turns),
    "winding": CouplingScale("Coefficient of coupling", "%"),
    TUNED_WINDING: CouplingScale("Coefficient of coupling", "%"),
    COIL_PAIR: CouplingScale("Coupling of the two coils", "%"),
    CAPACITOR_PAIR: CouplingScale("Capacitor between the circuits", "F"),
}


def coupling_text(chosen: ChosenSet, kind: str, value: float) -> str:
    """A closeness of coupling as the reader sees it."""
    scale = SCALES[kind]
    text = units.format(value * scale.factor(chosen.winding.turns), scale.unit, 3)
    return f"{text} turns" if kind == "tap" else text


def dial_of(chosen: ChosenSet) -> Dial:
    """The variable capacitor with its strays."""
    return Dial(*chosen.capacitor, chosen.strays)


def adjustment_of(chosen: ChosenSet, kind: str | None = None) -> Adjustment:
    """A link's closeness of coupling as a knob, from closest to loosest."""
    kind = kind or str(chosen.values["link"])
    link = chosen.receiver(kind, float(chosen.frequencies[0])).link
    if kind == "tap":
        most = max(chosen.winding.turns - 1.0, 0.9 * chosen.winding.turns) / chosen.winding.turns
        least = min(0.5, 1.0 / chosen.winding.turns)
        return coupling_of(link, most, least, lambda fraction: _taps(chosen.winding, fraction), kind)
    if isinstance(link, TunedAerial):
        usual = coupling_of(link.winding).coupling

        def apply(receiver: Receiver, value: Array) -> Receiver:
            return replace(receiver, link=replace(link, winding=replace(link.winding, coefficient=value)))

        return Adjustment(kind, (Knob("coupling", usual.closest, usual.loosest),), apply)
    return coupling_of(link, name=kind)


def present_coupling(chosen: ChosenSet) -> float | None:
    """The closeness of coupling that is chosen, as the knob has it; None for a link without."""
    link = chosen.receiver(at=float(chosen.frequencies[0])).link
    found = closeness(link.winding if isinstance(link, TunedAerial) else link)
    return None if found is None else float(np.asarray(found))


def _taps(winding: Winding, fraction: Array) -> Tap:
    """Taps on fractions of the coil's turns, by the inductances that the two parts have by themselves, any shape."""
    turns = np.asarray(fraction) * winding.turns
    lower, upper = winding.part_inductance(turns), winding.part_inductance(winding.turns - turns)
    return Tap(fraction, coupling.tap_coefficient(winding.inductance, lower, upper), lower)
