"""The set on the bench: as entered, its aerial and coil by their figures, and those figures that may be wrong."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np

from calc.constants import TWO_PI
from calc.correction import Built, Model, Reading, Skill, Unknown
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.winding import coil_resistance
from calc.forms.receiver.catalogue import CAPACITOR_PAIR, COIL_PAIR, MEASURED, TUNED_WINDING
from calc.units import Array, InputError

STRAYS, AERIAL, QUALITY, COUPLING, INDUCTANCE = "strays", "aerial", "quality", "coupling", "inductance"
UNKNOWNS = (STRAYS, AERIAL, QUALITY, COUPLING, INDUCTANCE)
"""What may be wrong, as it stands in the answer."""

COUPLING_FIELD: Mapping[str, str] = {
    "capacitor": "link_capacitor",
    "tap": "tap_turns",
    "winding": "coefficient",
    TUNED_WINDING: "coefficient",
    COIL_PAIR: "pair_coefficient",
    CAPACITOR_PAIR: "pair_capacitor",
}
"""For each link the field that says how close it is; a direct one has none."""

_SURE = ("stations", "names", "frequencies", "capacitor", "diode", "phones", "load", "room_noise")
"""Parts of a set that hang on none of them."""
_FIELDS = {STRAYS: "strays", AERIAL: "aerial_capacitance", QUALITY: "coil_quality", INDUCTANCE: "coil_inductance"}
_LOOSENESS = {AERIAL: 0.35, QUALITY: 0.4, COUPLING: 0.35, INDUCTANCE: 0.04}
"""How loosely what was entered is known, as a part of it: standard uncertainties of common practice."""
_STRAYS = 10e-12
"""The same of strays [F]."""


@dataclass(frozen=True)
class BenchSet:
    """The set.

    Attributes:
        entered: as the form holds it.
    """

    entered: ChosenSet

    @cached_property
    def values(self) -> dict[str, Any]:
        """Of the whole-set form's fields: the same set, its aerial and coil as if measured in the middle of the
        district."""
        chosen, middle = self.entered, self.entered.middle
        winding, wire, aerial = chosen.winding, chosen.aerial.wire, {}
        if wire is not None:
            series = wire.series(middle)
            aerial = {
                "aerial": MEASURED,
                "aerial_capacitance": float(np.asarray(series.capacitance)),
                "aerial_inductance": float(np.asarray(series.inductance)),
                "earth_resistance": float(np.asarray(series.resistance)),
                "effective_height": chosen.aerial.effective_height,
            }
        resistance = float(coil_resistance(winding, np.asarray(middle)))
        coil = {
            "coil": MEASURED,
            "coil_inductance": winding.inductance,
            "coil_quality": TWO_PI * middle * winding.inductance / resistance,
            "coil_turns": winding.turns,
            "coil_former": winding.diameter,
            "coil_pitch": winding.pitch,
        }
        return {**chosen.values, **aerial, **coil}

    def field(self, unknown: str) -> str | None:
        """The whole-set form's field that holds an unknown; None for the coupling of a direct link."""
        return COUPLING_FIELD.get(self.values["link"]) if unknown == COUPLING else _FIELDS[unknown]

    def unknown(self, name: str) -> Unknown | None:
        """An unknown with what was entered for it; None where the set has none."""
        field = self.field(name)
        if field is None:
            return None
        if name == STRAYS:
            return Unknown(name, self.values[field], 1.0, size=_STRAYS)
        most = None
        if name == COUPLING:
            if field == "tap_turns" and self.values[field] >= self.values["coil_turns"]:
                raise InputError(field, f"must be fewer than the coil's {self.values['coil_turns']:g}")
            most = self.values["coil_turns"] if field == "tap_turns" else 1.0 if field.endswith("coefficient") else None
        return Unknown(name, self.values[field], _LOOSENESS[name], most)

    def chosen(self, names: Sequence[str], found: Sequence[float], possible: bool = False) -> ChosenSet:
        """The set with some unknowns put in; with strays below nothing held at nothing if it is to be `possible`."""
        fields = [self.field(name) for name in names]
        values = self.values | {field: value for field, value in zip(fields, found, strict=True) if field is not None}
        if possible:
            values["strays"] = max(values["strays"], 0.0)
        chosen = ChosenSet(values)
        # what does not hang on the unknowns is not worked out anew
        vars(chosen).update({name: getattr(self.entered, name) for name in _SURE})
        return chosen

    def model(self, names: Sequence[str], readings: Sequence[Reading], skill: Skill) -> Model:
        """The set as a model of readings, with some figures of it unknown."""
        return Model(partial(self.built, names), readings, skill, self.values["modulation"])

    def built(self, names: Sequence[str], found: Sequence[float], frequency: Array) -> Built:
        """The set for physics with some unknowns put in, tuned to each of some frequencies [Hz]."""
        chosen = self.chosen(names, found)
        return Built(chosen.receiver(at=frequency), chosen.strays)
