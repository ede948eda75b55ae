"""The resistance of an earth by three stakes: current from the earth to a far stake, voltage to a stake between them.

The earth is taken for a hemisphere in uniform soil, the current stake for a point: far from both that is what any
electrode comes to. With the current stake at a distance D and the potential stake at p on the line to it, the meter
reads

    R(p) = R + rho / (2 pi) (1/(D - p) - 1/p - 1/D),

a straight line over the bracket, whose height at nought is the resistance R to distant ground. The bracket is nought
where p is 0.618 D.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc import roots
from calc.constants import TWO_PI
from calc.fitting.estimate import Estimate, fit_linear
from calc.fitting.measured import Measured
from calc.fitting.shared import Shared, fit_shared
from calc.units import Array, InputError, Values, plain, require_finite, require_nonnegative, require_positive

TRUE_SHARE = (np.sqrt(5.0) - 1.0) / 2.0
"""Share of the way to the current stake at which a reading is the earth's resistance: 1/(1 - s) = 1 + 1/s."""

SLOPE_SHARES = (0.2, 0.4, 0.6)
"""Shares of the way at which the slope method takes its readings."""

_FURTHEST = 50.0
"""Middle of an earth before the start of the tape, over the distance of the current stake, that is still looked for."""


def nearness(potential_distance: Values, current_distance: Values) -> Array | float:
    """How much nearer the potential stake is to one end than to the other: 1/(D - p) - 1/p - 1/D.

    Args:
        potential_distance: p, from the earth, below the current stake's, any shape [m].
        current_distance: D, any shape [m].

    Returns:
        The bracket of the straight line [1/m].

    Raises:
        InputError: a distance not above zero, or the potential stake not between the others.

    Source: potentials of point sources on a uniform half space; IEEE Std 81-2012, Guide for Measuring Earth
    Resistivity, Ground Impedance, and Earth Surface Potentials (its text second hand).
    """
    near = require_positive("potential_distance", potential_distance)
    far = require_positive("current_distance", current_distance)
    if np.any(near >= far):
        raise InputError("potential_distance", "must be less than the distance of the current stake")
    return plain(_nearness(near, far))


def _nearness(near: Any, far: Any) -> Any:
    return 1.0 / (far - near) - 1.0 / near - 1.0 / far


def reading(
    resistance: Values, resistivity: Values, potential_distance: Values, current_distance: Values
) -> Array | float:
    """What the meter shows with the potential stake at a distance: R + rho / (2 pi) times `nearness` [ohm].

    Args:
        resistance: R of the earth to distant ground [ohm].
        resistivity: rho of the soil [ohm m].
        potential_distance, current_distance: as for `nearness` [m].
    """
    level = require_finite("resistance", resistance)
    slope = require_finite("resistivity", resistivity) / TWO_PI
    return plain(level + slope * nearness(potential_distance, current_distance))


class SlopeMethod(NamedTuple):
    """What three readings tell of an earth whose middle is not where the tape begins.

    Attributes:
        coefficient: mu, the later rise of the readings over the earlier [-].
        offset: of the middle of the earth before the start of the tape, over the current stake's distance [-].
        share: of the way to the current stake at which the reading is the earth's resistance [-].
    """

    coefficient: float
    offset: float
    share: float


def slope_method(near: float, middle: float, far: float) -> SlopeMethod:
    """Where the true reading lies, from the slopes between readings at 0.2, 0.4 and 0.6 of the way.

    With the earth's middle x before the start of the tape, readings run as 1/(1 - s) - 1/(s + x) over the share s of
    the way, and the true one stands at s + x = 0.618 (1 + x). mu = (R3 - R2)/(R2 - R1) gives x.

    Args:
        near, middle, far: R1, R2 and R3 [ohm].

    Raises:
        InputError: the readings do not rise, or rise so late that the current stake is too near.

    Accuracy: exact for a hemisphere and a point. Source: G. F. Tagg, Proc. IEE 117 (1970) 2185 (from memory); its
    printed table is met to a thousandth.
    """
    first, second = middle - near, far - middle
    if not (first > 0.0 and second > 0.0):
        raise InputError("far", "must rise from the near reading to the far one for the slopes to tell")
    coefficient = second / first
    most = float(_coefficient(np.array(_FURTHEST)))
    if coefficient >= most:
        raise InputError("far", "rises so steeply that the current stake is too near: set it further out")
    low, high = np.array(-SLOPE_SHARES[0] * (1.0 - 1e-9)), np.array(_FURTHEST)
    offset = float(roots.rising_root(lambda x: _coefficient(x) - coefficient, low, high))
    return SlopeMethod(coefficient, offset, float(TRUE_SHARE * (1.0 + offset) - offset))


def _coefficient(offset: Array) -> Array:
    """The slope coefficient for a middle so far before the start of the tape; it rises with that distance."""
    one, two, three = SLOPE_SHARES
    # differences of the fractions, each in one piece so that nothing cancels for a distant middle
    first = (two - one) / ((1.0 - one) * (1.0 - two)) + (two - one) / ((offset + one) * (offset + two))
    second = (three - two) / ((1.0 - two) * (1.0 - three)) + (three - two) / ((offset + two) * (offset + three))
    return np.asarray(second / first)


@dataclass(frozen=True)
class StakeBench:
    """How the readings with three stakes were taken.

    Attributes:
        current_distance: D, from the earth to the current stake [m].
        reading_uncertainty: of each reading by itself, standard, over the reading [-].
        floor: of each reading, standard, besides [ohm].
        tape_uncertainty: of each place of the potential stake, standard [m].
        current_distance_uncertainty: of D, standard [m].
        scale_uncertainty: of the meter's scale, the same in all readings, standard [-].
    """

    current_distance: float
    reading_uncertainty: float = 0.01
    floor: float = 0.0
    tape_uncertainty: float = 0.0
    current_distance_uncertainty: float = 0.0
    scale_uncertainty: float = 0.0

    def __post_init__(self) -> None:
        require_positive("current_distance", self.current_distance)
        require_positive("reading_uncertainty", self.reading_uncertainty)
        for name in ("floor", "tape_uncertainty", "current_distance_uncertainty", "scale_uncertainty"):
            require_nonnegative(name, getattr(self, name))


@dataclass(frozen=True)
class StakeFit:
    """What the readings tell of the earth.

    Attributes:
        estimate: the fit; unknowns "resistance" [ohm] and "resistivity" [ohm m], and the shared errors.
        distances: of the potential stake, rising [n] [m].
        readings: at each [n] [ohm].
        current_distance: D [m].
    """

    estimate: Estimate
    distances: Array
    readings: Array
    current_distance: float

    @property
    def resistance(self) -> Measured:
        """Of the earth to distant ground [ohm]."""
        return self.estimate["resistance"]

    @property
    def resistivity(self) -> Measured:
        """Of the soil over depths as great as the distances, if it is uniform [ohm m]."""
        return self.estimate["resistivity"]

    @property
    def residuals(self) -> Array:
        """Readings less the curve [ohm]."""
        return self.estimate.residuals[: self.readings.size]

    @property
    def standardised(self) -> Array:
        """The same over their own standard deviations [-]."""
        return self.estimate.standardised[: self.readings.size]

    def at(self, distance: Values) -> Array | float:
        """What the fitted earth would read with the potential stake there [ohm]."""
        return reading(self.resistance.value, self.resistivity.value, distance, self.current_distance)

    @cached_property
    def plateau(self) -> tuple[float, float]:
        """The fitted readings a tenth of the way before and behind the true place [ohm]: the flatter, the surer."""
        places = np.array([TRUE_SHARE - 0.1, TRUE_SHARE + 0.1]) * self.current_distance
        low, high = np.asarray(self.at(places)).tolist()
        return low, high

    @cached_property
    def slopes(self) -> SlopeMethod | None:
        """The slope method, from readings at 0.2, 0.4 and 0.6 of the way; None without them or where they tell nothing.

        A reading counts as at its place if it lies within a hundredth of the way.
        """
        found = []
        for share in SLOPE_SHARES:
            off = np.abs(self.distances / self.current_distance - share)
            nearest = int(np.argmin(off))
            if off[nearest] > 0.01:
                return None
            found.append(float(self.readings[nearest]))
        try:
            return slope_method(*found)
        except InputError:
            return None

    @cached_property
    def slope_resistance(self) -> float | None:
        """Resistance by the slope method, on straight lines between readings [ohm]; None where they do not reach."""
        if self.slopes is None:
            return None
        place = self.slopes.share * self.current_distance
        if not self.distances[0] <= place <= self.distances[-1]:
            return None
        return float(np.interp(place, self.distances, self.readings))


def fit_stakes(distance: npt.ArrayLike, resistance: npt.ArrayLike, bench: StakeBench) -> StakeFit:
    """The earth's resistance from readings with the potential stake at two or more places.

    Args:
        distance: p, of the potential stake from the earth, below the current stake's [n] [m].
        resistance: as read at each [n] [ohm].
        bench: how they were read.

    Raises:
        InputError: fewer than two places, a value out of range, or readings so far apart that the resistance would not
            be above zero.

    Accuracy: as `calc.fitting.shared.fit_shared`; for an earth much smaller than the distances, in uniform soil.
    """
    places = np.atleast_1d(require_positive("distance", distance))
    read = np.atleast_1d(require_positive("resistance", resistance))
    far = bench.current_distance
    if places.shape != read.shape:
        raise InputError("resistance", "must be as many as the distances")
    if np.unique(places).size < 2:
        raise InputError("distance", "must have two different values or more")
    if np.any(places >= far):
        raise InputError("distance", "must be less than the distance of the current stake")
    order = np.argsort(places, kind="stable")
    places, read = places[order], read[order]

    def model(unknowns: npt.NDArray[Any], shared: npt.NDArray[Any]) -> Any:
        return shared[1] * (unknowns[0] + unknowns[1] / TWO_PI * _nearness(places, shared[0]))

    def uncertainty(unknowns: Array, shared: Array) -> Array:
        fitted = model(unknowns, shared)
        steepness = unknowns[1] / TWO_PI * (1.0 / (far - places) ** 2 + 1.0 / places**2)
        parts = (fitted * bench.reading_uncertainty, bench.floor, steepness * bench.tape_uncertainty)
        # a curve that dives below zero near a stake must not make a reading there sure
        return np.sqrt(sum(np.square(part) for part in parts) + np.square(1e-6 * read.max()))

    shared = (
        Shared("current_distance", far, bench.current_distance_uncertainty),
        Shared("scale", 1.0, bench.scale_uncertainty),
    )
    line = np.stack([np.ones_like(places), _nearness(places, far) / TWO_PI], axis=1)
    start = fit_linear(line, read, read, stated=False).values
    found = fit_shared(model, start, read, uncertainty, shared, ("resistance", "resistivity"))
    if not found.values[0] > 0.0:
        raise InputError("resistance", "must rise from the earth outwards and level off: see that no lead is swapped")
    return StakeFit(found, places, read, far)
