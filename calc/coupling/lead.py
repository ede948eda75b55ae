"""What may stand in the aerial's lead, in front of any link: tuning of the aerial, and traps for a strong local.

Each part turns one source into another. A part in series adds its impedance z; a part from the lead to earth divides
the voltage, and stands beside the source's own impedance Z:

    in series    E            Z + z
    across       E z/(Z + z)  Z z/(Z + z)

`AerialLead` goes through them one by one and is an aerial like any other for what follows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from calc.constants import TWO_PI
from calc.coupling.coil import ComplexArray, values
from calc.coupling.feeds import Source
from calc.coupling.links import Aerial
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive


class LeadPart(Protocol):
    """Something between the aerial and the rest of the set."""

    def after(self, angular_frequency: Array, source: Source) -> Source:
        """The source that a source has become behind this part, at an angular frequency [rad/s]."""
        ...


def _in_series(source: Source, impedance: Any) -> Source:
    return source._replace(impedance=source.impedance + impedance)


@dataclass(frozen=True)
class LeadCapacitor:
    """A capacitor in the aerial lead: it makes the aerial electrically shorter.

    Attributes:
        capacitance: scalar or array [F].
    """

    capacitance: Values

    def __post_init__(self) -> None:
        require_positive("capacitance", self.capacitance)

    def after(self, angular_frequency: Array, source: Source) -> Source:
        """Adds 1/jwC."""
        return _in_series(source, -1j / (angular_frequency * values(self.capacitance)))


@dataclass(frozen=True)
class LoadingCoil:
    """A coil in the aerial lead, away from the others: it makes the aerial electrically longer.

    Attributes:
        inductance: scalar or array [H].
        resistance: of the coil at high frequency, in series with it. Scalar or array [ohm].
    """

    inductance: Values
    resistance: Values

    def __post_init__(self) -> None:
        require_nonnegative("inductance", self.inductance)
        require_nonnegative("resistance", self.resistance)

    def after(self, angular_frequency: Array, source: Source) -> Source:
        """Adds r + jwL."""
        return _in_series(source, values(self.resistance) + 1j * angular_frequency * values(self.inductance))


@dataclass(frozen=True)
class Rejector:
    """A parallel trap in the aerial lead: coil and capacitor side by side, which stop one frequency.

    A loading coil with capacitance of its own is one too.

    Attributes:
        inductance: scalar or array [H].
        resistance: of the coil, in series with it. Scalar or array [ohm].
        capacitance: across both. Scalar or array [F].
    """

    inductance: Values
    resistance: Values
    capacitance: Values

    def __post_init__(self) -> None:
        require_nonnegative("inductance", self.inductance)
        require_nonnegative("resistance", self.resistance)
        require_nonnegative("capacitance", self.capacitance)

    def impedance(self, angular_frequency: Array) -> ComplexArray:
        """(r + jwL) / (1 - w**2 L C + jwCr) [ohm]; with Q = wL/r at the frequency it stops, Q**2 r (1 - j/Q).

        Raises:
            InputError: a trap without any loss, exactly at its frequency.
        """
        coil = values(self.resistance) + 1j * angular_frequency * values(self.inductance)
        divisor = 1.0 + 1j * angular_frequency * values(self.capacitance) * coil
        if not np.all(divisor):
            raise InputError("resistance", "of a trap must be above zero at the very frequency that it stops")
        return np.asarray(coil / divisor)

    def after(self, angular_frequency: Array, source: Source) -> Source:
        """Adds the trap's impedance."""
        return _in_series(source, self.impedance(angular_frequency))


@dataclass(frozen=True)
class Acceptor:
    """A series trap from the aerial lead to earth: coil and capacitor which lead off one frequency.

    Attributes:
        inductance: scalar or array [H].
        resistance: of the coil, in series with it. Scalar or array [ohm].
        capacitance: in series with both. Scalar or array [F].
    """

    inductance: Values
    resistance: Values
    capacitance: Values

    def __post_init__(self) -> None:
        require_nonnegative("inductance", self.inductance)
        require_nonnegative("resistance", self.resistance)
        require_positive("capacitance", self.capacitance)

    def impedance(self, angular_frequency: Array) -> ComplexArray:
        """r + j(wL - 1/wC) [ohm]; r alone at the frequency it leads off."""
        reactance = angular_frequency * values(self.inductance) - 1.0 / (angular_frequency * values(self.capacitance))
        return np.asarray(values(self.resistance) + 1j * reactance)

    def after(self, angular_frequency: Array, source: Source) -> Source:
        """Divides the voltage.

        Raises:
            InputError: source and trap together have neither resistance nor reactance.
        """
        trap = self.impedance(angular_frequency)
        total = source.impedance + trap
        if not np.all(total):
            raise InputError("resistance", "of aerial or trap must be above zero where the two resonate")
        return Source(source.factor * (trap / total), source.impedance * (trap / total))


@dataclass(frozen=True)
class AerialLead:
    """An aerial with parts in its lead: itself an aerial, for any link.

    Attributes:
        aerial: anything with `impedance(frequency)`.
        parts: in their order from the aerial to the set.
    """

    aerial: Aerial
    parts: Sequence[LeadPart]

    def source(self, frequency: Values) -> Source:
        """What is left of the aerial's e.m.f. at the end of the lead, and the impedance there.

        Args:
            frequency: scalar or array [Hz].

        Raises:
            InputError: the frequency is not above zero; a trap without any loss, at its own frequency.
        """
        angular_frequency = TWO_PI * require_positive("frequency", frequency)
        source = aerial_source(frequency, self.aerial)
        for part in self.parts:
            source = part.after(angular_frequency, source)
        return source

    def impedance(self, frequency: Values) -> Any:
        """Complex impedance at the end of the lead [ohm], at `frequency` [Hz]."""
        return plain(self.source(frequency).impedance)


class AerialAt:
    """An aerial, lead and all, at frequencies at which several circuits ask for it: it is worked out once for all."""

    def __init__(self, frequency: Values, aerial: Aerial) -> None:
        """
        Args:
            frequency: of all that will be asked. Scalar or array [Hz].
            aerial: anything with `impedance(frequency)`.

        Raises:
            InputError: as for `AerialLead.source`.
        """
        self._source = aerial_source(frequency, aerial)

    def source(self, _: Values) -> Source:
        """E.m.f. and impedance there."""
        return self._source

    def impedance(self, _: Values) -> Any:
        """Complex impedance there [ohm]."""
        return plain(self._source.impedance)


def aerial_source(frequency: Values, aerial: Aerial) -> Source:
    """An aerial as a source: its own e.m.f. and impedance, or what its lead has made of them, at `frequency` [Hz]."""
    if isinstance(aerial, AerialLead | AerialAt):
        return aerial.source(frequency)
    return Source(1.0, np.asarray(aerial.impedance(frequency), dtype=np.complex128))
