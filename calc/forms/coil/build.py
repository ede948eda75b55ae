"""From the fields of the coil form to a coil, its leads and where it works."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc import coils, units, wire
from calc.constants import TWO_PI
from calc.forms.coil.conductor import Conductor, solid, stranded
from calc.forms.coil.shape_fields import SIDES
from calc.forms.coil.single import Cone, Cylinder, Rod, Tube
from calc.forms.coil.thick import FlatSpiral, Layers, Scramble
from calc.forms.coil.wound import Wound, exact_turns, nearest_whole
from calc.units import Array, InputError, Values

Answers = Mapping[str, Any]

_FOUNDATION = {
    "tube": "former", "layers": "core", "scramble": "core", "spiral": "hub", "cone": "narrow", "rod": "rod_diameter",
}  # fmt: skip
"""The field that says what each shape is wound on."""


def conductor_of(v: Answers) -> Conductor:
    """What the coil is wound with."""
    if v["wire_kind"] == "stranded":
        return stranded(v["strands"], v["strand"], v["bundle"], v["outer_covering"])
    return solid(v["wire"], v["covering"])


def coil_of(v: Answers, turns: float) -> Wound:
    """The coil with so many turns, not yet checked against what can be wound."""
    shape = v["shape"]
    conductor = conductor_of(v)
    foundation = _FOUNDATION[shape]
    if conductor.bundle > v[foundation]:
        raise InputError(foundation, f"must be no less than the wire's {units.format(conductor.bundle, 'm', 3)}")
    if shape == "tube":
        return Tube(turns, conductor, v["former"], _pitch(v, conductor), SIDES[v["former_shape"]])
    if shape == "layers":
        return Layers(turns, conductor, v["core"], v["bobbin"], v["slack"], v["bedding"] == "grooves")
    if shape == "scramble":
        return Scramble(turns, conductor, v["core"], v["bobbin"], v["packing"])
    if shape == "spiral":
        return FlatSpiral(turns, conductor, v["hub"], _pitch(v, conductor))
    if shape == "cone":
        if v["wide"] < conductor.bundle:
            raise InputError("wide", f"must be no less than the wire's {units.format(conductor.bundle, 'm', 3)}")
        return Cone(turns, conductor, v["narrow"], v["wide"], v["axial"])
    return _on_rod(v, turns, conductor)


def _on_rod(v: Answers, turns: float, conductor: Conductor) -> Rod:
    if not 2.0 * v["rod_diameter"] <= v["rod_length"] <= 60.0 * v["rod_diameter"]:
        raise InputError("rod_length", "must be from 2 to 60 rod diameters")
    rod = coils.FerriteRod(v["rod_length"], v["rod_diameter"], v["permeability"], v["loss_factor"] * v["permeability"])
    coil = Rod(turns, conductor, v["rod_diameter"] + 2.0 * v["sleeve"], _pitch(v, conductor), rod, v["offset"])
    if coil.most_turns() < 1.0:
        raise InputError("offset", "must leave room on the rod for one turn")
    return coil


def _pitch(v: Answers, conductor: Conductor) -> float:
    pitch = v["pitch"]
    if pitch is None:
        return conductor.close_pitch()
    if pitch < conductor.bundle:
        raise InputError("pitch", f"must be at least the wire's {units.format(conductor.bundle, 'm')}")
    return float(pitch)


def wanted_coil(v: Answers) -> Wound:
    """The coil as asked: with the turns given, or with those that give the inductance wanted, leads counted in.

    Raises:
        InputError: what cannot be wound, or lies beyond what can be worked out.
    """
    if v["find"] == "turns":
        coil = coil_of(v, 1.0)
        wanted = v["inductance"] - leads_inductance(v["leads"], coil.conductor)
        if wanted <= 0.0:
            raise InputError("leads", "make more than the wanted inductance by themselves")
        if isinstance(coil, Layers):
            return nearest_whole(coil, wanted)
        return coil.rewound(exact_turns(coil, wanted))
    coil = coil_of(v, v["turns"])
    if isinstance(coil, Layers) and coil.turns != round(coil.turns):
        raise InputError("turns", "must be whole in a coil of layers")
    least, most = coil.least_turns(), coil.most_turns()
    if not least <= coil.turns <= most * (1.0 + 1e-12):
        raise InputError("turns", _beyond(coil, least, most))
    return coil


def _beyond(coil: Wound, least: float, most: float) -> str:
    if isinstance(coil, Tube):
        return f"must be {np.ceil(least):.0f} to {np.floor(most):.0f}: a length of 0.01 to 10 widths of this former"
    if isinstance(coil, Rod):
        return f"must be {np.floor(most):.0f} at most, to stay on the rod"
    if isinstance(coil, Cone) and most == coil.turns_close():
        return f"must be {most:.0f} at most, to go on the cone"
    if isinstance(coil, (Layers, Scramble)):
        return f"must be {most:.0f} at most on this bobbin, 60 layers"
    return f"must be {most:.0f} at most for this shape"


def leads_inductance(leads: float | None, conductor: Conductor) -> float:
    """Inductance of both leads together [H]; nothing for leads too short to have one worth counting."""
    if leads is None or leads < 10.0 * conductor.bundle:
        return 0.0
    return float(coils.straight_wire_inductance(leads, conductor.bundle))


@dataclass(frozen=True)
class Seen:
    """A coil with its leads, at a temperature [degC].

    Attributes:
        leads: length of both together [m], or None.
        own_capacitance: measured self-capacitance [F], or None.
        loss_tangent: of what that capacitance lies in [1].
    """

    coil: Wound
    leads: float | None = None
    temperature: float = 20.0
    own_capacitance: float | None = None
    loss_tangent: float = 0.0

    @cached_property
    def leads_inductance(self) -> float:
        """Of both leads [H]."""
        return leads_inductance(self.leads, self.coil.conductor)

    @property
    def inductance(self) -> float:
        """Leads and all [H]."""
        return self.coil.inductance + self.leads_inductance

    @property
    def wire_length(self) -> float:
        """Leads and all [m]."""
        return self.coil.wire_length + (self.leads or 0.0)

    @cached_property
    def steady_resistance(self) -> float:
        """To steady current [ohm]."""
        return self.coil.conductor.steady_resistance(self.wire_length, self.temperature)

    @cached_property
    def self_capacitance(self) -> float | None:
        """Measured, or by the table for the one shape that has one [F]."""
        if self.own_capacitance is not None:
            return self.own_capacitance
        return self.coil.self_capacitance() if isinstance(self.coil, Tube) else None

    @cached_property
    def self_resonance(self) -> float | None:
        """[Hz]; None where the self-capacitance is not known."""
        if self.self_capacitance is None:
            return None
        return float(coils.self_resonance(self.inductance, self.self_capacitance))

    def wire_resistance(self, frequency: Array) -> Array:
        """Of the wire, leads and all, at frequencies [ohm]."""
        conductor = self.coil.conductor
        winding = self.coil.resistance_ratio(frequency, self.temperature) * conductor.steady_resistance(
            self.coil.wire_length, self.temperature
        )
        if self.leads is None:
            return winding
        straight = np.asarray(wire.resistance_ratio(conductor.strand, frequency, self.temperature))
        return winding + straight * conductor.steady_resistance(self.leads, self.temperature)

    def rod_resistance(self, frequency: Array) -> Array:
        """What the rod's loss adds [ohm]."""
        if not isinstance(self.coil, Rod):
            return np.zeros_like(frequency)
        return TWO_PI * frequency * self.coil.loss_inductance

    def former_resistance(self, frequency: Array) -> Array:
        """What the loss of the self-capacitance adds [ohm]."""
        if not self.loss_tangent or self.self_capacitance is None:
            return np.zeros_like(frequency)
        return np.asarray(
            coils.dielectric_resistance(self.inductance, self.self_capacitance, self.loss_tangent, frequency)
        )

    def resistance(self, frequency: Values) -> Array:
        """In series, of all that is counted, at frequencies [ohm]."""
        hertz = np.asarray(frequency, dtype=np.float64)
        return self.wire_resistance(hertz) + self.rod_resistance(hertz) + self.former_resistance(hertz)

    def quality(self, frequency: Values) -> Array:
        """Reactance over resistance, the self-capacitance being part of the tuned circuit [1]."""
        return TWO_PI * np.asarray(frequency) * self.inductance / self.resistance(frequency)


def turns_that_fit(v: Answers, coil: Wound) -> int | None:
    """Turns that go on the former or within the cheeks, if those are given; None if not."""
    if isinstance(coil, Rod):
        return coil.turns_along(coil.room())
    if isinstance(coil, Cylinder):
        return None if v["room"] is None else coil.turns_along(v["room"])
    if isinstance(coil, Cone):
        return coil.turns_close()
    if isinstance(coil, FlatSpiral):
        return None if v["card"] is None else coil.turns_within(v["card"])
    if isinstance(coil, (Layers, Scramble)):
        return None if v["cheeks"] is None else coil.turns_within(v["cheeks"])
    return None
