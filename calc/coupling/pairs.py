"""Two tuned circuits in a row: the aerial works on a first one, and that on the tank.

The first circuit may hang on the aerial by any link. Seen from the tank it is a source again, so that the pair is a
link: by the flux that the two coils share, or by a small capacitor between the live ends. A pair may itself be the
link of a further pair.
"""

from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from calc import loads
from calc.constants import TWO_PI
from calc.coupling.coil import CoilAt, DetectorTap, Tank, values
from calc.coupling.feeds import Feed, FluxFeed, Source
from calc.coupling.lead import AerialAt, aerial_source
from calc.coupling.links import Aerial, Link, SeriesCapacitor, mutual_reactance
from calc.coupling.response import tuned_capacitance
from calc.units import Array, Values, plain, require_between, require_positive

_NO_CAPACITOR = 1e-15
"""Stands for a first circuit without any capacitance [F]: a hundredth of what any coil has by itself."""


@dataclass(frozen=True)
class InductivePair(Link):
    """A first tuned circuit whose coil is coupled to the tank's by mutual inductance alone.

    Other windings and a tap of the first coil share its flux with the tank's in the measure in which they have it; an
    aerial winding has no flux in common with the tank's coil directly.

    Attributes:
        link: between the aerial and the first circuit.
        primary: the first circuit.
        coefficient: of coupling between the two coils, 0 to 1. Scalar or array [-].
    """

    link: Link
    primary: Tank
    coefficient: Values

    def __post_init__(self) -> None:
        require_between("coefficient", self.coefficient, 0.0, 1.0)

    def tuned(self, frequency: Values, aerial: Aerial) -> tuple[Link, Any]:
        """The pair with its first circuit tuned by itself."""
        return _tuned(frequency, aerial, self)

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The first circuit, opened in its coil, is the source of a loop that shares flux with the tank's coil."""
        first = self.link.feed(angular_frequency, source, self.primary)
        around = first.round_the_coil(self.primary.susceptance(angular_frequency))
        reactance = mutual_reactance(
            self.coefficient,
            angular_frequency * values(self.primary.inductance),
            angular_frequency * values(tank.inductance),
        )
        return FluxFeed(around, reactance, CoilAt(tank, angular_frequency))

    def primary_capacitance(self, frequency: Values, aerial: Aerial) -> Any:
        """Capacitance of the first circuit that makes the voltage across it greatest, the tank's coil open [F]."""
        return tuned_capacitance(frequency, aerial, self.link, self.primary)

    def critical_coefficient(
        self, frequency: Values, aerial: Aerial, tank: Tank, load_resistance: Values = np.inf
    ) -> Any:
        """Coefficient of coupling at which the tank's voltage is greatest, each circuit tuned without the other.

        With z1 and z2 the impedances round either circuit, the current in the second goes as X / (z1 z2 + X**2) for
        a mutual reactance X, which is greatest at X**2 = |z1 z2|; for equal circuits k = 1/Q. Closer than that, the
        response has two humps and the voltage between them falls.

        Args:
            frequency: to which both are tuned. Scalar or array [Hz].
            aerial: anything with `impedance(frequency)`.
            tank: the second circuit; its own capacitance is not used.
            load_resistance: across the whole tank; infinite for none. Scalar or array [ohm].

        Returns:
            Coefficient [-]; above one where no coupling is close enough.

        Raises:
            InputError: a value out of range; a coil without any loss in a circuit without load.

        Source: X**2 = R1 R2: F. E. Terman, Radio Engineers' Handbook (1943), section 3 (from memory).
        """
        angular_frequency = TWO_PI * require_positive("frequency", frequency)
        pair, _ = _tuned(frequency, aerial, self)
        first = pair.link.feed(angular_frequency, aerial_source(frequency, aerial), pair.primary)
        one = first.round_the_coil(pair.primary.susceptance(angular_frequency)).impedance
        coil = tank.coil_impedance(angular_frequency)
        conductance = loads.conductance("load_resistance", load_resistance)
        other = coil + 1.0 / (conductance - 1j * np.imag(1.0 / coil))
        reactance = angular_frequency * np.sqrt(values(pair.primary.inductance) * values(tank.inductance))
        return plain(np.sqrt(np.abs(one * other)) / reactance)


@dataclass(frozen=True)
class CapacitorPair(Link):
    """A first tuned circuit whose live end is joined to the tank's by a small capacitor; the coils are apart.

    Attributes:
        link: between the aerial and the first circuit.
        primary: the first circuit.
        capacitance: of the capacitor between the two. Scalar or array [F].
    """

    link: Link
    primary: Tank
    capacitance: Values

    def __post_init__(self) -> None:
        require_positive("capacitance", self.capacitance)

    def tuned(self, frequency: Values, aerial: Aerial) -> tuple[Link, Any]:
        """The pair with its first circuit tuned by itself."""
        return _tuned(frequency, aerial, self)

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The first circuit is the source of a link by a series capacitor."""
        loop, transfer, product, factor = self.link.feed(angular_frequency, source, self.primary).circuit
        loaded = loop + product * self.primary.susceptance(angular_frequency)
        first = Source(factor * transfer / loaded, product / loaded)
        return SeriesCapacitor(self.capacitance).feed(angular_frequency, first, tank)

    def primary_capacitance(self, frequency: Values, aerial: Aerial) -> Any:
        """Capacitance of the first circuit that makes the voltage across it greatest, the tank shorted [F].

        The coupling capacitor then lies across the first circuit and is part of what tunes it, as it is part of what
        tunes the tank.
        """
        total = tuned_capacitance(frequency, aerial, self.link, self.primary)
        return plain(total - values(self.capacitance))

    def critical_capacitance(
        self, frequency: Values, aerial: Aerial, tank: Tank, load_resistance: Values = np.inf
    ) -> Any:
        """Coupling capacitance at which the tank's voltage is greatest, both circuits being tuned to the frequency.

        With g1 and g2 the conductances of either tuned circuit, the voltage goes as wC / (g1 g2 + (wC)**2), which is
        greatest at wC = sqrt(g1 g2); for equal circuits C = (their capacitance)/Q.

        Args:
            frequency: to which both are tuned. Scalar or array [Hz].
            aerial: anything with `impedance(frequency)`.
            tank: the second circuit; its own capacitance is not used.
            load_resistance: across the whole tank; infinite for none. Scalar or array [ohm].

        Returns:
            Capacitance [F].

        Raises:
            InputError: a value out of range.

        Source: the dual of the rule for coupled coils, which see.
        """
        angular_frequency = TWO_PI * require_positive("frequency", frequency)
        pair, _ = _tuned(frequency, aerial, self)
        first = pair.link.feed(angular_frequency, aerial_source(frequency, aerial), pair.primary).circuit
        one = np.real(first.loop / first.product)
        other = np.real(1.0 / tank.coil_impedance(angular_frequency))
        other = other + loads.conductance("load_resistance", load_resistance)
        return plain(np.sqrt(one * other) / angular_frequency)


class Tuning(NamedTuple):
    """A set tuned to a frequency.

    Attributes:
        link: with its first tuned circuit tuned, if it has one.
        tank: with its capacitance.
        reached: whether capacitors can do it; where not, they stand at nothing.
    """

    link: Link
    tank: Tank
    reached: Any


def _tuned[P: InductivePair | CapacitorPair](frequency: Values, aerial: Aerial, pair: P) -> tuple[P, Any]:
    """A pair with its first circuit tuned, or that circuit's capacitor at nothing, and whether it is tuned."""
    link, reached = pair.link.tuned(frequency, aerial)
    pair = replace(pair, link=link)
    needed = pair.primary_capacitance(frequency, aerial)
    primary = replace(pair.primary, capacitance=np.maximum(needed, _NO_CAPACITOR))
    return replace(pair, primary=primary), (np.asarray(needed) >= 0.0) & reached


def tune(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values = np.inf,
    detector_tap: DetectorTap | None = None,
) -> Tuning:
    """All tuned circuits of a set tuned to a frequency, from the aerial on.

    A first circuit is tuned by itself, for the greatest voltage across it: with the tank's coil open where the coils
    are coupled, with the tank shorted where a capacitor couples. Then the tank is tuned for the greatest voltage at
    the detector's terminals (`tuned_capacitance`). With loose coupling this is the greatest of all; closer than
    critical it is the hollow between two humps. Where a capacitor couples these are even. Coupled coils have even
    humps when both are tuned apart, that is with a coefficient of zero, and then brought together.

    Args:
        frequency: scalar or array [Hz].
        aerial: anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank; the capacitance of a first circuit in it is not used.
        tank: the circuit with the detector; its own capacitance is not used.
        load_resistance: across the detector's terminals; infinite for none. Scalar or array [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Link and tank as tuned, their capacitances of the shape of all arguments together, and whether that was
        possible.

    Raises:
        InputError: as for `tuned_capacitance`.
    """
    there = AerialAt(frequency, aerial)
    ready, reached = link.tuned(frequency, there)
    capacitance = tuned_capacitance(frequency, there, ready, tank, load_resistance, detector_tap)
    reached = plain((np.asarray(capacitance) >= 0.0) & reached)
    return Tuning(ready, replace(tank, capacitance=plain(np.maximum(capacitance, 0.0))), reached)
