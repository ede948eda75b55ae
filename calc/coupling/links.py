"""The ways of joining an aerial to the tuned circuit: direct, by a capacitor, on a tap, by a winding.

A link says how the aerial feeds the tank's coil; `calc.coupling.feeds` says what follows from that. Two tuned circuits
in a row are links as well (`calc.coupling.pairs`).
"""

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from calc.coupling.coil import CoilAt, CoilTap, ComplexArray, Tank, values
from calc.coupling.feeds import Circuit, Feed, FluxFeed, Source, TapFeed, TopFeed
from calc.units import Array, Values, require_between, require_nonnegative, require_positive


class Aerial(Protocol):
    """Whatever has an impedance between the aerial and earth terminals at a frequency."""

    def impedance(self, frequency: Values) -> Any:
        """Complex impedance [ohm] at `frequency` [Hz]."""
        ...


class Link(Protocol):
    """A way of joining the aerial to the tank."""

    def tuned(self, frequency: Values, aerial: Aerial) -> "tuple[Link, Any]":
        """The link with all that is tuned in it tuned to a frequency [Hz], and whether that can be done.

        Args:
            frequency: scalar or array [Hz].
            aerial: anything with `impedance(frequency)`.
        """
        return self, True

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """How that source feeds the tank's coil at an angular frequency [rad/s]."""
        ...

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """The three figures at an angular frequency [rad/s] with an aerial of that impedance [ohm]."""
        return self.feed(angular_frequency, Source(1.0, aerial_impedance), tank).circuit


@dataclass(frozen=True)
class Direct(Link):
    """The aerial straight on the live end of the tank."""

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The aerial loop is closed by the whole coil."""
        return TopFeed(source, CoilAt(tank, angular_frequency))


@dataclass(frozen=True)
class SeriesCapacitor(Link):
    """A capacitor between the aerial and the live end of the tank.

    Attributes:
        capacitance: of the series capacitor. Scalar or array [F].
    """

    capacitance: Values

    def __post_init__(self) -> None:
        require_positive("capacitance", self.capacitance)

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """A direct link to an aerial that has the capacitor in its lead."""
        reactance = 1.0 / (angular_frequency * values(self.capacitance))
        return TopFeed(source._replace(impedance=source.impedance - 1j * reactance), CoilAt(tank, angular_frequency))


@dataclass(frozen=True)
class Tap(CoilTap, Link):
    """The aerial on a tap of the tank coil."""

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The aerial loop is closed by the lower part; the upper part steps its voltage up."""
        return TapFeed(source, self.split(tank), CoilAt(tank, angular_frequency))


@dataclass(frozen=True)
class Inductive(Link):
    """A separate winding in the aerial lead, coupled to the tank coil by mutual inductance alone.

    Attributes:
        inductance: of the aerial winding. Scalar or array [H].
        resistance: of the aerial winding. Scalar or array [ohm].
        coefficient: of coupling between the winding and the tank coil, 0 to 1. Scalar or array [-].
        capacitance: of a capacitor in series with the winding, which tunes the aerial; None where there is none.
            Scalar or array [F].
    """

    inductance: Values
    resistance: Values
    coefficient: Values
    capacitance: Values | None = None

    def __post_init__(self) -> None:
        require_positive("inductance", self.inductance)
        require_nonnegative("resistance", self.resistance)
        require_between("coefficient", self.coefficient, 0.0, 1.0)
        if self.capacitance is not None:
            require_positive("capacitance", self.capacitance)

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The aerial winding closes the aerial loop; its flux goes through the tank coil."""
        reactance = angular_frequency * values(self.inductance)
        outside = source.impedance
        if self.capacitance is not None:
            outside = outside - 1j / (angular_frequency * values(self.capacitance))
        loop = outside + values(self.resistance) + 1j * reactance
        mutual = mutual_reactance(self.coefficient, reactance, angular_frequency * values(tank.inductance))
        return FluxFeed(source._replace(impedance=loop), mutual, CoilAt(tank, angular_frequency))


def mutual_reactance(coefficient: Values, one_reactance: Array, other_reactance: Array) -> Array:
    """Reactance of the mutual inductance of two coils: k sqrt(X1 X2) [ohm]."""
    return np.asarray(values(coefficient) * np.sqrt(one_reactance * other_reactance))
