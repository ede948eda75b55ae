"""How a source feeds the tank coil, and what follows for the tank, for a detector on a tap, and for a next circuit.

Source and tank make one network with two loops. With the tank's capacitor taken away, the e.m.f. E of the source
drives a current I through the source's loop, and whatever is put across the tank draws a current J from it:

    E = loop I - transfer J          V = transfer I - coil J

`coil` is the impedance of the whole tank coil, `loop` that of the source's loop with nothing across the tank, and
`transfer` the volts across the tank per ampere in the loop. An admittance Y across the tank then has the voltage

    V = E transfer / (loop + product Y),     product = loop coil - transfer**2

Every link comes down to one of three feeds: the source sends its current into the live end of the coil (`TopFeed`) or
into a tap (`TapFeed`), or its loop shares flux with the coil (`FluxFeed`). Where the difference in `product` is between
nearly equal numbers, as on a shared coil, it is worked out by hand so that no digits are lost (see
`calc.coupling.coil`).
"""

from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from calc.coupling.coil import CoilAt, ComplexArray, Split
from calc.units import Array, InputError


class Source(NamedTuple):
    """Two terminals as an e.m.f. in series with an impedance.

    Attributes:
        factor: the e.m.f. per volt of e.m.f. in the aerial itself [-].
        impedance: [ohm].
    """

    factor: Any
    impedance: Any


class Circuit(NamedTuple):
    """A link at work: aerial and tank coil as a source that has lost only the tank's capacitor.

    Attributes:
        loop: impedance round the loop that feeds the tank, with nothing across the tank [ohm].
        transfer: volts across the tank per ampere in that loop [ohm].
        product: loop x (impedance looking back into the tank's terminals) [ohm squared].
        factor: e.m.f. in that loop per volt of the source that was given to the link: one, unless another tuned
            circuit stands between [-].
    """

    loop: ComplexArray
    transfer: ComplexArray
    product: ComplexArray
    factor: Any = 1.0


class Terminals(NamedTuple):
    """The detector's terminals, with an admittance Y across the whole tank and G across the terminals:

        V = E (open + open_slope Y) / (loop + loop_slope Y + G (back + back_slope Y))

    Attributes:
        open, open_slope: [ohm], [ohm squared].
        loop, loop_slope: [ohm], [ohm squared].
        back, back_slope: [ohm squared], [ohm cubed].
    """

    open: Any
    open_slope: Any
    loop: Any
    loop_slope: Any
    back: Any
    back_slope: Any


class Feed(Protocol):
    """A source at work on a tank's coil."""

    @property
    def circuit(self) -> Circuit:
        """The three figures of the network, and the factor of its source."""
        ...

    def terminals(self, detector: Split) -> Terminals:
        """A detector's terminals on a tap."""
        ...

    def round_the_coil(self, admittance: ComplexArray) -> Source:
        """The circuit as a source for another that shares its coil's flux: e.m.f. and impedance round the coil, with
        `admittance` [S] across it."""
        ...


@dataclass(frozen=True)
class TopFeed:
    """A source between earth and the live end of the coil.

    Attributes:
        source: with everything in its lead.
        coil: of the tank.
    """

    source: Source
    coil: CoilAt

    @property
    def circuit(self) -> Circuit:
        """The source's loop is closed by the whole coil."""
        series, whole = self.source.impedance, self.coil.whole
        return Circuit(series + whole, whole, series * whole, self.source.factor)

    def terminals(self, detector: Split) -> Terminals:
        """Source and tank's capacitor are across the same two points."""
        loop, _, product, factor = self.circuit
        series, far = self.source.impedance, self.coil.one(detector)
        open_ = factor * self.coil.to_top(detector)
        return Terminals(open_, 0.0, loop, product, series * far.mutual + far.minor, series * far.minor)

    def round_the_coil(self, admittance: ComplexArray) -> Source:
        """The source with `admittance` across it, in series with the coil."""
        loop, _, product, factor = self.circuit
        closed = 1.0 + admittance * self.source.impedance
        return Source(factor / closed, (loop + product * admittance) / closed)


@dataclass(frozen=True)
class TapFeed:
    """A source between earth and a tap of the coil.

    Attributes:
        source: with everything in its lead.
        tap: of the coil.
        coil: of the tank.
    """

    source: Source
    tap: Split
    coil: CoilAt

    @property
    def circuit(self) -> Circuit:
        """The source's loop is closed by the part of the coil below the tap."""
        series, own = self.source.impedance, self.coil.one(self.tap)
        return Circuit(
            series + own.mutual, self.coil.to_top(self.tap), series * self.coil.whole + own.minor, self.source.factor
        )

    def terminals(self, detector: Split) -> Terminals:
        """The determinants of three meshes: source, tank, detector.

        Raises:
            InputError: the two taps are on the same turn, but do not divide the coil alike.
        """
        _require_alike(self.tap, detector)
        loop, _, product, factor = self.circuit
        series = self.source.impedance
        own, both, far = self.coil.one(self.tap), self.coil.two(self.tap, detector), self.coil.one(detector)
        return Terminals(
            factor * both.mutual,
            factor * both.minor,
            loop,
            product,
            series * far.mutual + (own.mutual * far.mutual - both.mutual**2),
            series * far.minor + (own.minor * far.minor - both.minor**2) / self.coil.whole,
        )

    def round_the_coil(self, admittance: ComplexArray) -> Source:
        """An e.m.f. e round the coil acts with e s at the tap, s its share of the flux."""
        loop, _, product, factor = self.circuit
        turns, share = self.tap.turns, self.tap.share
        resistance = np.asarray(self.coil.tank.resistance)
        driven = share + admittance * resistance * (share - turns)
        closed = share**2 + admittance * (self.source.impedance + self.coil.one(self.tap).stray)
        return Source(factor * driven / closed, (loop + product * admittance) / closed)


@dataclass(frozen=True)
class FluxFeed:
    """A source whose loop shares flux with the coil and touches it nowhere.

    Attributes:
        source: round the loop, with its winding.
        reactance: of the mutual inductance [ohm].
        coil: of the tank.
    """

    source: Source
    reactance: Array
    coil: CoilAt

    @property
    def circuit(self) -> Circuit:
        """The mutual reactance carries the loop's current to the tank."""
        factor, loop = self.source
        transfer = np.asarray(1j * self.reactance, dtype=np.complex128)
        return Circuit(loop, transfer, loop * self.coil.whole + self.reactance**2, factor)

    def terminals(self, detector: Split) -> Terminals:
        """The tap has its share of the flux, and the loss that turns and share do not have in common."""
        loop, transfer, product, factor = self.circuit
        far, square = self.coil.one(detector), self.reactance**2
        excess = np.asarray(self.coil.tank.resistance) * (detector.share - detector.turns)
        return Terminals(
            factor * transfer * detector.share,
            factor * transfer * excess,
            loop,
            product,
            loop * far.mutual + square * detector.share**2,
            loop * far.minor + square * far.stray,
        )

    def round_the_coil(self, admittance: ComplexArray) -> Source:
        """The coil's current all goes through the admittance."""
        loop, transfer, product, factor = self.circuit
        closed = loop * admittance
        if not np.all(closed):
            raise InputError("capacitance", "of a first circuit must be above zero: its coil carries no current")
        return Source(-factor * transfer * admittance / closed, (loop + product * admittance) / closed)


def _require_alike(one: Split, other: Split) -> None:
    """InputError unless taps on the same turn are one and the same."""
    for figure, another in ((one.inductance, other.inductance), (one.share, other.share)):
        if np.any((one.turns == other.turns) & (np.abs(figure - another) > 1e-9 * figure)):
            raise InputError("detector_tap", "on the aerial's own tap must have the same coefficient and inductance")
