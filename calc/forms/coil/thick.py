"""Coils of several layers and flat spirals."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calc import coils
from calc.coils import LayeredCoil
from calc.coils.shielding import TurnRows
from calc.forms.coil.wound import MOST_ROWS, MOST_SEPARATE, MOST_TURNS, Wound
from calc.units import InputError


@dataclass(frozen=True)
class Layers(Wound):
    """Layers on a bobbin, turn beside turn.

    Attributes:
        core: outside diameter of the bobbin's core [m].
        bobbin: length between its cheeks [m].
        slack: what winding by hand wastes, in wire diameters a turn [1].
        in_grooves: each layer lies in the grooves of the one below.
    """

    core: float
    bobbin: float
    slack: float
    in_grooves: bool

    @cached_property
    def a_layer(self) -> int:
        """Turns of a full layer [1]."""
        count = int(coils.turns_that_fit(self.bobbin, self.conductor.close_pitch(), self.slack))
        if count < 1:
            raise InputError("bobbin", "must hold at least one turn of this wire")
        return count

    @cached_property
    def wound(self) -> LayeredCoil:
        """The turns as rings."""
        if self.turns > self.most_turns():
            raise InputError("turns", f"must be {self.most_turns():.0f} at most, {MOST_ROWS} layers, on this bobbin")
        wire = self.conductor
        shape = (self.core, self.bobbin, wire.bundle, wire.close_pitch(), self.slack, self.in_grooves)
        return coils.layers_that_hold(round(self.turns), *shape)

    @property
    def layers(self) -> int:
        """Layers, the last as full as it need be [1]."""
        return len(self.wound.layer_turns)

    @property
    def length(self) -> float:
        """Of the longest layer, turns times pitch [m]."""
        return max(self.wound.layer_turns) * self.wound.pitch

    @property
    def outer_diameter(self) -> float:
        """Over the last layer [m]."""
        return self.wound.layer_diameters[-1] + self.conductor.close_pitch()

    @property
    def inductance(self) -> float:
        """The sum over all turns [H]."""
        return self.wound.inductance

    @property
    def wire_length(self) -> float:
        """As rings [m]."""
        return self.wound.wire_length

    @cached_property
    def rows(self) -> TurnRows:
        """A row a layer."""
        coil = self.wound
        start = 0.5 * coil.pitch * np.asarray(coil.layer_offsets, dtype=np.float64)
        counts = np.asarray(coil.layer_turns, dtype=np.float64)
        middle = 0.5 * (float(np.min(start)) + float(np.max(start + coil.pitch * (counts - 1.0))))
        radius = 0.5 * np.asarray(coil.layer_diameters, dtype=np.float64)
        return TurnRows(radius, start - middle, counts, coil.pitch, coil.wire_diameter)

    def most_turns(self) -> float:
        """As many as the form sums [1]."""
        return min(MOST_TURNS, self.a_layer * MOST_ROWS)

    def turns_within(self, diameter: float) -> int:
        """Turns that keep within a diameter over all [m]."""
        covered = self.conductor.close_pitch()
        rise = covered * (math.sqrt(0.75) if self.in_grooves else 1.0)
        beyond_first = 0.5 * (diameter - self.core) - covered
        return self.a_layer * math.floor(beyond_first / rise + 1.0 + 1e-9) if beyond_first >= 0.0 else 0


@dataclass(frozen=True)
class Scramble(Wound):
    """A bobbin filled without order.

    Attributes:
        core: outside diameter of the bobbin's core [m].
        bobbin: length between its cheeks [m].
        packing: turns over those that would lie square, side by side and one upon the other [1].
    """

    core: float
    bobbin: float
    packing: float

    @property
    def cell(self) -> float:
        """Side of the square that a turn has to itself [m]."""
        return self.conductor.close_pitch() / math.sqrt(self.packing)

    @cached_property
    def a_row(self) -> int:
        """Turns side by side [1]."""
        if self.cell > self.bobbin:
            raise InputError("bobbin", "must hold at least one turn of this wire")
        return math.floor(self.bobbin / self.cell * (1.0 + 1e-12))

    @property
    def length(self) -> float:
        """Between the cheeks, or less where the turns do not make one row [m]."""
        return min(self.bobbin, self.turns * self.cell)

    @property
    def outer_diameter(self) -> float:
        """Over the winding [m]."""
        return self.core + 2.0 * self.turns * self.cell**2 / self.length

    @cached_property
    def inductance(self) -> float:
        """Even current with the round-wire correction [H]."""
        section = (self.core, self.outer_diameter, self.length)
        return float(coils.multilayer_inductance(self.turns, *section, self.conductor.bundle))

    @property
    def wire_length(self) -> float:
        """Turns times the mean circumference [m]."""
        return self.turns * math.pi * 0.5 * (self.core + self.outer_diameter)

    @cached_property
    def rows(self) -> TurnRows:
        """A square grid in place of the disorder."""
        whole = max(1, round(self.turns))
        if self.turns > self.most_turns():
            raise InputError("turns", f"must be {self.most_turns():.0f} at most, {MOST_ROWS} deep, on this bobbin")
        full, rest = divmod(whole, self.a_row)
        counts = np.array([self.a_row] * full + [rest] * bool(rest), dtype=np.float64)
        radius = np.asarray(0.5 * self.core + self.cell * (np.arange(counts.size) + 0.5), dtype=np.float64)
        return TurnRows(radius, -0.5 * self.cell * (counts - 1.0), counts, self.cell, self.conductor.bundle)

    def most_turns(self) -> float:
        """As many as the form sums [1]."""
        return min(MOST_TURNS, self.a_row * MOST_ROWS)

    def turns_within(self, diameter: float) -> int:
        """Turns that keep within a diameter over all [m]."""
        return math.floor(max(0.0, 0.5 * (diameter - self.core)) * self.bobbin / self.cell**2 * (1.0 + 1e-12))


@dataclass(frozen=True)
class FlatSpiral(Wound):
    """A flat spiral.

    Attributes:
        hub: inner diameter of the winding [m], half a pitch within the first turn's centre.
        pitch: from turn to turn along the radius [m].
    """

    hub: float
    pitch: float

    @property
    def length(self) -> float:
        """The wire's thickness [m]."""
        return self.conductor.bundle

    @property
    def outer_diameter(self) -> float:
        """Half a pitch beyond the last turn's centre [m]."""
        return self.hub + 2.0 * self.turns * self.pitch

    @cached_property
    def inductance(self) -> float:
        """Thin disc with the round-wire correction [H]."""
        return float(coils.spiral_inductance(self.turns, self.hub, self.outer_diameter, self.conductor.bundle))

    @property
    def wire_length(self) -> float:
        """Turns times the mean circumference [m]."""
        return self.turns * math.pi * 0.5 * (self.hub + self.outer_diameter)

    @cached_property
    def rows(self) -> TurnRows:
        """A row a turn."""
        order = np.arange(max(1, round(self.turns)))
        radius = np.asarray(0.5 * self.hub + self.pitch * (order + 0.5), dtype=np.float64)
        return TurnRows(radius, np.zeros(radius.size), np.ones(radius.size), self.pitch, self.conductor.bundle)

    def most_turns(self) -> float:
        """As many as the form sums [1]."""
        return MOST_SEPARATE

    def turns_within(self, diameter: float) -> int:
        """Turns that keep within a diameter over all [m]."""
        return math.floor(max(0.0, 0.5 * (diameter - self.hub)) / self.pitch * (1.0 + 1e-12))
