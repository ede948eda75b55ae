"""The tuned circuit, and the four ways of joining an aerial to it.

Aerial and tank make one network with two loops. With the tank's capacitor taken away, the e.m.f. E of the
aerial drives a current I through the aerial loop, and whatever is put across the tank draws a current J from
it:

    E = loop I - transfer J          V = transfer I - coil J

`coil` is the impedance of the whole tank coil, `loop` that of the aerial loop with nothing across the tank,
and `transfer` the volts across the tank per ampere in the aerial loop. An admittance Y across the tank then
has the voltage

    V = E transfer / (loop + product Y),     product = loop coil - transfer**2

A link is the rule that gives these three figures (`Circuit`). Where the difference in `product` is between
nearly equal numbers, as on a shared coil, it is worked out by hand so that no digits are lost.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from calc.units import Array, InputError, Values, require_between, require_nonnegative, require_positive

ComplexArray = npt.NDArray[np.complex128]


class Aerial(Protocol):
    """Whatever has an impedance between the aerial and earth terminals at a frequency."""

    def impedance(self, frequency: Values) -> Any:
        """Complex impedance [ohm] at `frequency` [Hz]."""
        ...


@dataclass(frozen=True)
class Tank:
    """The tuned circuit: a coil, one end earthed, and all the capacitance across it.

    Attributes:
        inductance: of the whole coil. Scalar or array [H].
        resistance: of the coil at high frequency, in series with it. Scalar or array [ohm].
        capacitance: all of it: the variable capacitor, strays, the coil's own. Scalar or array [F].
    """

    inductance: Values
    resistance: Values
    capacitance: Values

    def __post_init__(self) -> None:
        require_positive("inductance", self.inductance)
        require_nonnegative("resistance", self.resistance)
        require_nonnegative("capacitance", self.capacitance)

    def coil_impedance(self, angular_frequency: Array) -> ComplexArray:
        """R + jwL of the coil [ohm] at an angular frequency [rad/s]."""
        return _values(self.resistance) + 1j * angular_frequency * _values(self.inductance)


class Circuit(NamedTuple):
    """A link at work: the aerial loop and the tank coil as a source that has lost only its capacitor.

    Attributes:
        loop: impedance round the aerial loop with nothing across the tank [ohm].
        transfer: volts across the tank per ampere in the aerial loop [ohm].
        product: loop x (impedance looking back into the tank's terminals) [ohm squared].
    """

    loop: ComplexArray
    transfer: ComplexArray
    product: ComplexArray


class Link(Protocol):
    """A way of joining the aerial to the tank."""

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """The three figures at an angular frequency [rad/s] with an aerial of that impedance [ohm]."""
        ...


def _values(values: Values) -> Array:
    return np.asarray(values, dtype=np.float64)


@dataclass(frozen=True)
class Direct:
    """The aerial straight on the live end of the tank."""

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """The aerial loop is closed by the whole coil."""
        coil = tank.coil_impedance(angular_frequency)
        return Circuit(aerial_impedance + coil, coil, aerial_impedance * coil)


@dataclass(frozen=True)
class SeriesCapacitor:
    """A capacitor between the aerial and the live end of the tank.

    Attributes:
        capacitance: of the series capacitor. Scalar or array [F].
    """

    capacitance: Values

    def __post_init__(self) -> None:
        require_positive("capacitance", self.capacitance)

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """A direct link to an aerial that has the capacitor in its lead."""
        series = aerial_impedance - 1j / (angular_frequency * _values(self.capacitance))
        return Direct().circuit(angular_frequency, series, tank)


@dataclass(frozen=True)
class Tap:
    """The aerial on a tap of the tank coil.

    The inductances of the two parts go as their turns squared. With the mutual inductance between them, which
    `coefficient` gives, they add up to the inductance of the tank. The coil's resistance is shared as the
    turns.

    Attributes:
        fraction: of the turns between earth and tap, above zero and up to one. Scalar or array [-].
        coefficient: of coupling between the two parts, 0 to 1. Scalar or array [-].
    """

    fraction: Values
    coefficient: Values = 1.0

    def __post_init__(self) -> None:
        fraction = require_positive("fraction", self.fraction)
        if not np.all(fraction <= 1.0):
            raise InputError("fraction", "must be above zero and not above one")
        require_between("coefficient", self.coefficient, 0.0, 1.0)

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """The aerial loop is closed by the lower part; the upper part steps its voltage up.

        For parts of impedance a (lower) and b (upper) with mutual impedance m, the coil has a b - m**2
        besides what the aerial adds; with f of the turns below and the whole winding's inductance l for
        perfect coupling between parts that is f (1 - f) [r**2 + jw r l - w**2 l**2 f (1 - f) (1 - k**2)].
        """
        below, coupling = _values(self.fraction), _values(self.coefficient)
        above = 1.0 - below
        share = below * above
        resistance = _values(tank.resistance)
        whole = angular_frequency * _values(tank.inductance) / (below**2 + above**2 + 2.0 * coupling * share)
        lower = below * resistance + 1j * whole * below**2
        transfer = lower + 1j * whole * coupling * share
        parts = share * (resistance * (resistance + 1j * whole) - whole**2 * share * (1.0 - coupling**2))
        return Circuit(
            aerial_impedance + lower,
            transfer,
            aerial_impedance * tank.coil_impedance(angular_frequency) + parts,
        )


@dataclass(frozen=True)
class Inductive:
    """A separate winding in the aerial lead, coupled to the tank coil by mutual inductance alone.

    Attributes:
        inductance: of the aerial winding. Scalar or array [H].
        resistance: of the aerial winding. Scalar or array [ohm].
        coefficient: of coupling between the winding and the tank coil, 0 to 1. Scalar or array [-].
        capacitance: of a capacitor in series with the winding, which tunes the aerial; None where there is
            none. Scalar or array [F].
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

    def circuit(self, angular_frequency: Array, aerial_impedance: ComplexArray, tank: Tank) -> Circuit:
        """The aerial winding closes the aerial loop; the mutual reactance carries its current to the tank."""
        coefficient = _values(self.coefficient)
        reactance = angular_frequency * _values(self.inductance)
        tank_reactance = angular_frequency * _values(tank.inductance)
        outside = aerial_impedance
        if self.capacitance is not None:
            outside = outside - 1j / (angular_frequency * _values(self.capacitance))
        loop = outside + _values(self.resistance) + 1j * reactance
        mutual = coefficient * np.sqrt(reactance * tank_reactance)
        return Circuit(
            loop,
            np.asarray(1j * mutual, dtype=np.complex128),
            loop * tank.coil_impedance(angular_frequency) + mutual**2,
        )
