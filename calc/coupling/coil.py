"""The tuned circuit, and its coil as it is seen from a tap.

A tap at a share p of the turns from the earthed end divides the coil in two parts. Three figures say all that can be
said of them: the lower part's own inductance; its share s of the whole coil's flux, by which a voltage across the
untapped coil is stepped down; and the leakage, what is left of the lower part's inductance when the whole coil is
shorted. Any two points p and q, with v(p) and v(q) their voltages to earth, then have

    z(p, q) = r min(p, q) + jw (L s(p) s(q) + leakage(p, q))

as their mutual impedance; for the live end s = 1 and there is no leakage. The coil's resistance r is shared as the
turns. The determinants that circuits call for would be differences of nearly equal numbers on a closely coupled coil;
worked out by hand they are sums.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.units import Array, InputError, Values, require_between, require_nonnegative, require_positive

ComplexArray = npt.NDArray[np.complex128]


def values(numbers: Values) -> Array:
    """Numbers that were checked before, as an array."""
    return np.asarray(numbers, dtype=np.float64)


def as_complex(numbers: npt.ArrayLike) -> ComplexArray:
    """Numbers as an array of complex ones."""
    return np.asarray(numbers, dtype=np.complex128)


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
        return as_complex(values(self.resistance) + 1j * angular_frequency * values(self.inductance))

    def susceptance(self, angular_frequency: Array) -> ComplexArray:
        """jwC of the capacitance [S] at an angular frequency [rad/s]."""
        return as_complex(1j * angular_frequency * values(self.capacitance))


class Split(NamedTuple):
    """A coil as seen from a tap.

    Attributes:
        turns: share of the turns between earth and tap [-].
        inductance: of that part by itself [H].
        share: of the whole coil's flux that this part has: (own + mutual) / whole [-].
        leakage: inductance at the tap with the whole coil shorted [H].
    """

    turns: Array
    inductance: Array
    share: Array
    leakage: Array


@dataclass(frozen=True)
class CoilTap:
    """A tap of the tank coil.

    With the mutual inductance between them, which `coefficient` gives, the inductances of the two parts add up to
    that of the tank. The coil's resistance is shared as the turns, and flux that another winding sends through the
    coil as the coil's own flux.

    Attributes:
        fraction: of the turns between earth and tap, above zero and up to one. Scalar or array [-].
        coefficient: of coupling between the two parts, 0 to 1. Scalar or array [-].
        inductance: of the part between earth and tap by itself; the other part's follows. None where the parts'
            inductances go as their turns squared. Scalar or array [H].

    Accuracy: exact where the inductance is given. By turns squared the parts of a single-layer coil are right at the
    middle alone: at a fifth of the turns of a coil as long as wide, with the true coefficient, the lower part's
    inductance comes out 45 % low and the share of the whole coil's flux 34 % (exact sums).
    """

    fraction: Values
    coefficient: Values = 1.0
    inductance: Values | None = None

    def __post_init__(self) -> None:
        fraction = require_positive("fraction", self.fraction)
        if not np.all(fraction <= 1.0):
            raise InputError("fraction", "must be above zero and not above one")
        require_between("coefficient", self.coefficient, 0.0, 1.0)
        if self.inductance is not None:
            require_positive("inductance", self.inductance)

    def split(self, tank: Tank) -> Split:
        """The two parts of a tank's coil.

        For turns f below and g above, with coefficient k, the whole is l (f**2 + g**2 + 2 k f g); where the lower
        inductance a is given, the upper b follows from a + b + 2 k sqrt(a b) = whole.

        Raises:
            InputError: the lower part has more inductance than the whole.
        """
        below, coefficient, whole = values(self.fraction), values(self.coefficient), values(tank.inductance)
        if self.inductance is None:
            above = 1.0 - below
            scale = np.sqrt(whole / (below**2 + above**2 + 2.0 * coefficient * below * above))
            lower, upper = below * scale, above * scale
        else:
            own = values(self.inductance)
            if np.any(own > whole):
                raise InputError("inductance", "of the part below the tap must not be more than the whole coil's")
            lower = np.sqrt(own)
            root = np.sqrt(whole - (1.0 - coefficient) * (1.0 + coefficient) * own)
            upper = np.maximum(root - coefficient * lower, 0.0)
        return Split(
            below,
            lower**2,
            lower * (lower + coefficient * upper) / whole,
            (lower * upper) ** 2 * ((1.0 - coefficient) * (1.0 + coefficient)) / whole,
        )


@dataclass(frozen=True)
class DetectorTap(CoilTap):
    """The detector, and with it the load, between a tap of the tank coil and earth.

    Where the aerial has a tap of its own on the same coil, one more figure is needed: how much of their leakages the
    two taps have in common. The coefficient between them is set to the fourth root of p (1 - q) / (q (1 - p)) for the
    lower tap p and the upper q: one where they coincide, falling to zero as one nears an end of the coil.

    Accuracy: the mutual inductance of the stretches from earth to either tap, `inductance` being given, is within 8 %
    of exact sums for single-layer coils of 1 to 4 times their length in diameter, within 17 % at half of their length;
    exact with a coefficient of one, or with the aerial elsewhere.
    """


class Points(NamedTuple):
    """Mutual impedances of two points of a coil; both may be the same point.

    Attributes:
        mutual: volts to earth at one per ampere into the other [ohm].
        stray: the same with flux of the whole coil taken out: z(p,q) - s(p) z(q) - s(q) z(p) + s(p) s(q) z [ohm].
        minor: z(p,q) z - z(p) z(q), z(p) being that of point and live end, z the whole coil's [ohm squared].
    """

    mutual: ComplexArray
    stray: ComplexArray
    minor: ComplexArray


@dataclass(frozen=True)
class CoilAt:
    """A tank's coil at an angular frequency [rad/s]."""

    tank: Tank
    angular_frequency: Array

    @property
    def whole(self) -> ComplexArray:
        """Impedance of the whole coil [ohm]."""
        return self.tank.coil_impedance(self.angular_frequency)

    def to_top(self, point: Split) -> ComplexArray:
        """Volts across the whole coil per ampere into a point [ohm]."""
        reactance = self.angular_frequency * values(self.tank.inductance)
        return values(self.tank.resistance) * point.turns + 1j * reactance * point.share

    def one(self, point: Split) -> Points:
        """A point with itself."""
        return self._points(point, point, point.turns, point.turns, point.leakage)

    def two(self, one: Split, other: Split) -> Points:
        """Two points."""
        low, high = np.minimum(one.turns, other.turns), np.maximum(one.turns, other.turns)
        odds = np.divide(low * (1.0 - high), high * (1.0 - low), out=np.zeros(np.shape(low)), where=low < 1.0)
        return self._points(one, other, low, high, np.sqrt(one.leakage * other.leakage * np.sqrt(odds)))

    def _points(self, one: Split, other: Split, low: Array, high: Array, leakage: Array) -> Points:
        resistance = values(self.tank.resistance)
        reactance = self.angular_frequency * values(self.tank.inductance)
        stray_reactance = self.angular_frequency * leakage
        turns = low * (1.0 - high)
        loss = turns + (one.share - one.turns) * (other.share - other.turns)
        return Points(
            resistance * low + 1j * (reactance * (one.share * other.share) + stray_reactance),
            resistance * loss + 1j * stray_reactance,
            as_complex(
                resistance * (resistance * turns + 1j * (reactance * loss + stray_reactance))
                - reactance * stray_reactance
            ),
        )
