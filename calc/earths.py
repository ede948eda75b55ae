"""Earths: the resistance between what is driven or buried in the soil and the ground at large.

The soil is uniform and the electrode's surface at one potential. Both are idealisations: the same stake may
have twice the resistance in a dry summer, so that a figure here says which of two earths is the better
rather than what a bridge will read. Never use a gas pipe, nor the mains earth, as a receiver's earth.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc import tables
from calc.constants import TWO_PI, VACUUM_PERMEABILITY, VACUUM_PERMITTIVITY
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_finite,
    require_positive,
)


@dataclass(frozen=True)
class Soil:
    """A kind of soil.

    Attributes:
        key: short name.
        name: what it is called.
        resistivity: usual [ohm m].
        low, high: between which it is found [ohm m].
    """

    key: str
    name: str
    resistivity: float
    low: float
    high: float


@cache
def soils() -> dict[str, Soil]:
    """Kinds of soil by short name."""
    return {
        row["key"]: Soil(row["key"], row["name"], float(row["resistivity"]), float(row["low"]), float(row["high"]))
        for row in tables.read("soils")
    }


def _line_mean(length: Array, distance: Array) -> Array:
    """Mean along a line of the potential of another alongside it, times 4 pi l / 2 rho for unit current in it [1].

    asinh(l/s) - sqrt(1 + (s/l)^2) + s/l; tends to ln(2l/s) - 1 where the lines are close.
    """
    ratio = distance / length
    return np.asarray(np.arcsinh(1.0 / ratio) - 1.0 / (np.hypot(1.0, ratio) + ratio))


def stake_resistance(length: Values, diameter: Values, resistivity: Values) -> float | Array:
    """Resistance of one stake driven in flush with the surface: R = rho / (2 pi l) (ln(4 l / a) - 1), a the radius.

    Args:
        length: in the soil; scalar or array, broadcast [m].
        diameter: less than the length [m].
        resistivity: of the soil [ohm m].

    Returns:
        Resistance to distant ground [ohm].

    Raises:
        InputError: a value not above zero, or a stake as thick as long.

    Accuracy: mean potential of an even leakage; within 2 % of the exact value for slender stakes in even
    soil. Source: H. B. Dwight, Trans. AIEE 55 (1936) 1319; E. D. Sunde, Earth Conduction Effects in
    Transmission Systems
        (1949) chapter 3 (both from memory).
    """
    span = require_positive("length", length)
    radius = require_positive("diameter", diameter) / 2.0
    if np.any(2.0 * radius >= span):
        raise InputError("diameter", "must be less than the length")
    result: float | Array = plain(
        require_positive("resistivity", resistivity) / (TWO_PI * span) * (np.log(4.0 * span / radius) - 1.0)
    )
    return result


def stakes_resistance(
    places: Sequence[tuple[float, float]], length: float, diameter: float, resistivity: float
) -> float:
    """Resistance of several like stakes joined by a wire that does not touch the soil.

    Each raises the potential of the others: rho / (2 pi l) (asinh(2l/s) - sqrt(1 + (s/2l)^2) + s/2l) for the
    distance s. The currents share so that all stakes stand at one potential.

    Args:
        places: of the stakes on the surface (x, y) [m].
        length: of each in the soil [m].
        diameter: of each [m].
        resistivity: of the soil [ohm m].

    Returns:
        Resistance of all together to distant ground [ohm].

    Raises:
        InputError: no stake, or two closer than ten diameters.

    Source: H. B. Dwight (1936) for two stakes, in closed form instead of his series; more by superposition.
    """
    points = require_finite("places", places)
    if points.ndim != 2 or points.shape[0] < 1 or points.shape[1] != 2:
        raise InputError("places", "must be a list of one or more (x, y)")
    apart = np.sqrt(np.sum((points[:, None, :] - points) ** 2, axis=-1))
    own = np.eye(len(points), dtype=bool)
    if np.any(apart[~own] < 10.0 * diameter):
        raise InputError("places", "must be ten stake diameters apart at least")
    alone = float(stake_resistance(length, diameter, resistivity))
    mutual = resistivity / (TWO_PI * length) * _line_mean(np.asarray(2.0 * length), np.where(own, 1.0, apart))
    shares = np.linalg.solve(np.where(own, alone, mutual), np.ones(len(points)))
    return float(1.0 / shares.sum())


def buried_wire_resistance(length: Values, wire_diameter: Values, depth: Values, resistivity: Values) -> float | Array:
    """Resistance of a straight bare wire buried level: close to rho / (pi l) (ln(2 l / sqrt(2 a h)) - 1), a
    the radius, h the depth.

    The mean potential of the wire and of its image above the surface, each in closed form, so that a wire
    may also be short or deep; for l much greater than h it is the formula above.

    Args:
        length: scalar or array, broadcast [m].
        wire_diameter: [m].
        depth: from the surface to the wire's middle, at least its diameter [m].
        resistivity: of the soil [ohm m].

    Returns:
        Resistance to distant ground at low frequency [ohm]. At radio frequencies the far part of a long wire
        no longer counts: see `useful_buried_length`.

    Raises:
        InputError: a value that cannot be.

    Source: E. D. Sunde (1949) chapter 3; H. B. Dwight (1936) (both from memory).
    """
    span = require_positive("length", length)
    thick = require_positive("wire_diameter", wire_diameter)
    down = require_positive("depth", depth)
    if np.any(thick >= span):
        raise InputError("wire_diameter", "must be less than the length")
    if np.any(down < thick):
        raise InputError("depth", "must be at least the wire's diameter")
    potential = _line_mean(span, thick / 2.0) + _line_mean(span, 2.0 * down)
    result: float | Array = plain(require_positive("resistivity", resistivity) / (TWO_PI * span) * potential)
    return result


@cache
def _gauss() -> tuple[Array, Array]:
    """Places from -1 to 1 and weights of the integration along an arm, found once."""
    places, weights = np.polynomial.legendre.leggauss(40)
    return places, weights


def star_resistance(arms: int, arm_length: float, wire_diameter: float, depth: float, resistivity: float) -> float:
    """Resistance of buried wires that run out like spokes from under the lead.

    Mean potentials of evenly leaking arms, each pair of arms by numerical integration, with their images.

    Args:
        arms: 2 to 24.
        arm_length: [m].
        wire_diameter: [m].
        depth: [m].
        resistivity: of the soil [ohm m].

    Returns:
        Resistance to distant ground at low frequency [ohm].

    Raises:
        InputError: a value that cannot be.

    Source: H. B. Dwight (1936) gives the stars of 3, 4, 6 and 8 arms as series of the same mean potentials
    (from memory).
    """
    if arms not in range(2, 25):
        raise InputError("arms", "must be a whole number from 2 to 24")
    one = float(buried_wire_resistance(arm_length, wire_diameter, depth, resistivity))
    places, weights = _gauss()
    along = (places + 1.0) / 2.0 * arm_length
    angles = TWO_PI * np.arange(1, arms) / arms
    total = 0.0
    for lift in (wire_diameter / 2.0, 2.0 * depth):
        # potential at each place on one arm of an even line along another, in closed form
        forward = along[:, None] * np.cos(angles)
        aside = np.hypot(along[:, None] * np.sin(angles), lift)
        line = np.arcsinh((arm_length - forward) / aside) + np.arcsinh(forward / aside)
        total += float(weights @ line.sum(axis=1)) / 2.0
    mutual = resistivity / (2.0 * TWO_PI * arm_length) * total
    return (one + mutual) / arms


def useful_buried_length(resistivity: Values, frequency: Values) -> float | Array:
    """Skin depth of the soil, sqrt(2 rho / (w mu0)): about the length beyond which more buried wire is wasted.

    Args:
        resistivity: of the soil; scalar or array, broadcast [ohm m].
        frequency: [Hz].

    Returns:
        Length [m].

    Accuracy: a rule for good ground, where conduction outweighs displacement; shorter still in dry ground.
    """
    angular = TWO_PI * require_positive("frequency", frequency)
    result: float | Array = plain(
        np.sqrt(2.0 * require_positive("resistivity", resistivity) / (angular * VACUUM_PERMEABILITY))
    )
    return result


def counterpoise_capacitance(
    length: Values, wire_diameter: Values, height: Values, number: int = 1, spacing: float = 1.0
) -> float | Array:
    """Capacitance to ground of level wires side by side over it, used instead of an earth.

    By the average potential of an even charge (Howe): each wire, its neighbours and all their images.

    Args:
        length: of each wire; scalar or array, broadcast [m].
        wire_diameter: [m].
        height: over ground, more than the wire's diameter [m].
        number: of wires, 1 to 12.
        spacing: between neighbours [m].

    Returns:
        Capacitance [F]. It stands in series with the aerial's own.

    Raises:
        InputError: a value that cannot be.

    Accuracy: 1 % low for one wire; 5 % low for several, whose outer wires in truth take more charge.
    Source: G. W. O. Howe, Electrician 73 (1914) 829 (from memory).
    """
    span = require_positive("length", length)
    radius = require_positive("wire_diameter", wire_diameter) / 2.0
    up = require_positive("height", height)
    if number not in range(1, 13):
        raise InputError("number", "must be a whole number from 1 to 12")
    require_between("spacing", spacing, 0.001, 100.0, "m")
    if np.any(up <= 2.0 * radius):
        raise InputError("height", "must be more than the wire's diameter")
    total: Array = np.zeros(())
    for offset in range(int(number)):
        pairs = number if offset == 0 else 2 * (number - offset)
        beside = np.maximum(offset * spacing, radius)
        image = np.hypot(offset * spacing, 2.0 * up)
        total = total + pairs * (_line_mean(span, beside) - _line_mean(span, image))
    result: float | Array = plain(TWO_PI * VACUUM_PERMITTIVITY * span * number**2 / total)
    return result
