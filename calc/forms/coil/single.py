"""Coils of one layer: on a tube, on a ferrite rod, on a cone."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calc import coils
from calc.coils.shielding import TurnRows
from calc.constants import TWO_PI
from calc.forms.coil.wound import MOST_SEPARATE, MOST_TURNS, Wound, single_layer_ratio
from calc.units import Array, Values


@dataclass(frozen=True)
class Cylinder(Wound):
    """One layer on a cylinder, whatever is inside.

    Attributes:
        former: outside diameter, or across the flats [m].
        pitch: of the turns [m].
    """

    former: float
    pitch: float

    @property
    def length(self) -> float:
        """Turns times pitch [m]."""
        return self.turns * self.pitch

    @property
    def outer_diameter(self) -> float:
        """Between wire centres, across the flats if there are any [m]."""
        return self.former + self.conductor.bundle

    @property
    def diameter(self) -> float:
        """Of the round coil that does the same [m]."""
        return self.outer_diameter

    @cached_property
    def wire_length(self) -> float:
        """A helix [m]."""
        return float(coils.solenoid_wire_length(self.turns, self.diameter, self.length))

    def resistance_ratio(self, frequency: Values, temperature: float) -> Array:
        """By Medhurst and Butterworth [1]."""
        return single_layer_ratio(self.conductor, self.turns, self.diameter, self.length, frequency, temperature)

    @cached_property
    def rows(self) -> TurnRows:
        """One row."""
        count = max(1, round(self.turns))
        start = np.array([-0.5 * self.pitch * (count - 1)])
        radius = np.array([0.5 * self.outer_diameter])
        return TurnRows(radius, start, np.array([float(count)]), self.pitch, self.conductor.bundle)

    def turns_along(self, room: float) -> int:
        """Turns that a length of former [m] takes."""
        return math.floor(room / self.pitch * (1.0 + 1e-12))

    def wire_to(self, turns: float) -> float:
        """In proportion [m]."""
        return self.wire_length * turns / self.turns


@dataclass(frozen=True)
class Tube(Cylinder):
    """One layer on an empty former.

    Attributes:
        sides: of the former; 0 for a round one.
    """

    sides: int = 0

    @cached_property
    def diameter(self) -> float:
        """Of the round coil that does the same [m]."""
        if not self.sides:
            return self.outer_diameter
        return float(coils.equivalent_diameter(self.sides, self._side, self.length))

    @property
    def _side(self) -> float:
        return float(coils.polygon_side(self.sides, self.outer_diameter))

    def _turns_per_width(self) -> float:
        """Turns of a winding as long as the circle of the former's area is wide [1]."""
        area = 0.25 * self.sides * self._side**2 / math.tan(math.pi / self.sides)
        return math.sqrt(4.0 * area / math.pi) / self.pitch

    def least_turns(self) -> float:
        """On a former with corners, those that make a winding of 0.01 widths [1]."""
        return max(1.0, 0.01 * self._turns_per_width()) if self.sides else 1.0

    def most_turns(self) -> float:
        """On a former with corners, those that make a winding of 10 widths [1]."""
        return min(MOST_TURNS, 10.0 * self._turns_per_width()) if self.sides else MOST_TURNS

    @cached_property
    def inductance(self) -> float:
        """Current sheet with the round-wire correction [H]."""
        return float(coils.solenoid_inductance(self.turns, self.diameter, self.length, self.conductor.bundle))

    @cached_property
    def wire_length(self) -> float:
        """A helix, round or with corners [m]."""
        if self.sides:
            return self.turns * math.hypot(self.sides * self._side, self.pitch)
        return float(coils.solenoid_wire_length(self.turns, self.diameter, self.length))

    def self_capacitance(self) -> float | None:
        """By Medhurst's table [F]; None for a shape outside it."""
        if not 0.1 <= self.length / self.diameter <= 50.0:
            return None
        return float(coils.self_capacitance(self.diameter, self.length))


@dataclass(frozen=True)
class Rod(Cylinder):
    """One layer on a sleeve over a ferrite rod.

    Attributes:
        rod: the rod.
        offset: of the coil's middle from the rod's [m].
    """

    rod: coils.FerriteRod
    offset: float

    @cached_property
    def without_rod(self) -> coils.Solenoid:
        """The coil by itself."""
        return coils.Solenoid(self.turns, self.diameter, self.length, self.conductor.bundle)

    @cached_property
    def inductance(self) -> float:
        """With the rod [H]."""
        return coils.rod_coil_inductance(self.rod, self.without_rod, self.offset)

    @cached_property
    def loss_inductance(self) -> float:
        """What the rod's loss adds to the resistance, over the angular frequency [ohm s]."""
        return float(coils.rod_coil_loss(self.rod, self.without_rod, 1.0 / TWO_PI, self.offset))

    def room(self) -> float:
        """Length of rod that the coil may take about its place [m]."""
        return self.rod.length - 2.0 * abs(self.offset)

    def most_turns(self) -> float:
        """As many as the rod has room for [1]."""
        return min(MOST_TURNS, self.room() / self.pitch)


@dataclass(frozen=True)
class Cone(Wound):
    """Turns spread evenly over a cone.

    Attributes:
        narrow, wide: outside diameters of the former at the two ends of the winding [m].
        axial: length of the winding along the axis [m].
    """

    narrow: float
    wide: float
    axial: float

    @property
    def length(self) -> float:
        """Along the axis [m]."""
        return self.axial

    @property
    def side(self) -> float:
        """Along the side [m]."""
        return math.hypot(0.5 * (self.wide - self.narrow), self.axial)

    @property
    def pitch(self) -> float:
        """Along the side [m]."""
        return self.side / self.turns

    @property
    def outer_diameter(self) -> float:
        """Between wire centres at the wider end [m]."""
        return max(self.narrow, self.wide) + self.conductor.bundle

    @cached_property
    def inductance(self) -> float:
        """Conical sheet with the round-wire correction [H]."""
        wire = self.conductor.bundle
        return float(coils.conical_inductance(self.turns, self.narrow + wire, self.wide + wire, self.axial, wire))

    @property
    def wire_length(self) -> float:
        """Turns times the mean circumference [m]."""
        return self.turns * math.pi * (0.5 * (self.narrow + self.wide) + self.conductor.bundle)

    @cached_property
    def rows(self) -> TurnRows:
        """A row a turn."""
        count = max(1, round(self.turns))
        share = (np.arange(count) + 0.5) / count
        radius = 0.5 * (self.narrow + self.conductor.bundle + (self.wide - self.narrow) * share)
        place = self.axial * (share - 0.5)
        return TurnRows(radius, place, np.ones(count), self.pitch, self.conductor.bundle)

    def turns_close(self) -> int:
        """Turns that go on the cone close wound [1]."""
        wire = self.conductor
        return math.floor(self.side / (wire.bundle if wire.covered is None else wire.covered) * (1.0 + 1e-12))

    def most_turns(self) -> float:
        """Close wound, or as many as the form sums [1]."""
        return min(MOST_SEPARATE, self.turns_close())
