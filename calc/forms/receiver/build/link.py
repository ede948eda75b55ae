"""The link from the aerial to the coil, and the tap for the detector."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from calc import coils, coupling
from calc.constants import TWO_PI
from calc.coupling import (
    CapacitorPair,
    DetectorTap,
    Direct,
    Inductive,
    InductivePair,
    Link,
    SeriesCapacitor,
    Tank,
    Tap,
    TunedAerial,
)
from calc.forms.parts import COVERING
from calc.forms.receiver.build.winding import Winding
from calc.forms.receiver.catalogue import CAPACITOR_PAIR, COIL_PAIR, TUNED_WINDING
from calc.forms.receiver.fields.link import LINK_FIELDS
from calc.units import Array, InputError

_USUAL = {field.name: field.parse(field.default) for field in LINK_FIELDS}
"""Values of the links that are not chosen, for the comparison of all links."""

_SCARCE = 1e-12
"""Stands for a first circuit's capacitance, which tuning sets [F]."""


def link_of(
    kind: str, values: Mapping[str, Any], winding: Winding, frequencies: Array, tunings: Any, loss: Any
) -> Link:
    """The link of a kind; its values those of the form if it is the one chosen, else usual ones.

    Args:
        kind: of the link.
        values: of the form.
        winding: the tank's coil.
        frequencies: of the stations, [stations] [Hz].
        tunings: to which the set is tuned, any shape [Hz].
        loss: resistance of the tank's coil there, the same shape [ohm].
    """
    v = {name: usual if values[name] is None else values[name] for name, usual in _USUAL.items()}
    middle = float(np.sqrt(frequencies.min() * frequencies.max()))
    if kind == "direct":
        return Direct()
    if kind == "capacitor":
        return SeriesCapacitor(v["link_capacitor"])
    if kind == "tap":
        # The tap that is only compared with goes to a sixth of a coil that is too short for the usual one.
        asked = values["tap_turns"]
        return tap_on(winding, asked if asked is not None else min(v["tap_turns"], winding.turns / 6.0), "tap_turns")
    if kind in (COIL_PAIR, CAPACITOR_PAIR):
        first = _first_circuit(v, winding, tunings, loss)
        feed = SeriesCapacitor(v["first_capacitor"])
        if kind == COIL_PAIR:
            return InductivePair(feed, first, v["pair_coefficient"])
        return CapacitorPair(feed, first, v["pair_capacitor"])
    made = Inductive(*aerial_winding(v["winding_turns"], v["winding_wire"], winding, middle), v["coefficient"])
    return TunedAerial(made) if kind == TUNED_WINDING else made


@lru_cache(maxsize=64)
def aerial_winding(turns: float, wire: float, winding: Winding, frequency: float) -> tuple[float, float]:
    """Inductance [H] and resistance at a frequency [ohm] of a winding close wound on the coil's former."""
    diameter, length = winding.diameter + wire, turns * COVERING * wire
    return (
        float(coils.solenoid_inductance(turns, diameter, length)),
        float(coils.solenoid_resistance(turns, diameter, length, wire, frequency)),
    )


@lru_cache(maxsize=64)
def tap_on(winding: Winding, turns: float, field: str) -> Tap:
    """A tap so many turns above the earthed end, by the inductances that the two parts have by themselves."""
    if turns >= winding.turns:
        raise InputError(field, f"must be fewer than the coil's {winding.turns:g}")
    lower, upper = winding.part_inductance(turns), winding.part_inductance(winding.turns - turns)
    return Tap(turns / winding.turns, float(coupling.tap_coefficient(winding.inductance, lower, upper)), lower)


def detector_tap_of(values: Mapping[str, Any], winding: Winding) -> DetectorTap | None:
    """The tap on which the detector is; None for the whole coil."""
    turns = values["detector_turns"]
    if turns is None or turns == winding.turns:
        return None
    tap = tap_on(winding, turns, "detector_turns")
    return DetectorTap(tap.fraction, tap.coefficient, tap.inductance)


def _first_circuit(v: Mapping[str, Any], winding: Winding, tunings: Any, loss: Any) -> Tank:
    """The first of two tuned circuits, its loss that at each tuning: of a coil as good as the tank's, or as told."""
    inductance = v["first_inductance"] or winding.inductance
    resistance = loss / winding.inductance * inductance
    if v["first_quality"] is not None:
        resistance = TWO_PI * tunings * inductance / v["first_quality"]
    return Tank(inductance, resistance, _SCARCE)
