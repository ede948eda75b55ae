"""Aerials that take the magnetic field: the frame, wound in the air, and the ferrite rod.

Both are the coil of the tuned circuit itself and need no earth. Their voltage is that of a wire of small
effective height, multiplied by the Q of the circuit; it fades as the cosine of the angle between the plane
of the turns and the way to the station.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc.constants import (
    COPPER_RESISTIVITY,
    SPEED_OF_LIGHT,
    TWO_PI,
    VACUUM_PERMEABILITY,
    WAVE_IMPEDANCE,
)
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_finite,
    require_nonnegative,
    require_positive,
)
from calc.wire import resistance_ratio


def loop_effective_height(turns_area: Values, frequency: Values) -> float | Array:
    """Effective height of a small loop in the plane of the station: h = 2 pi N A / wavelength.

    Args:
        turns_area: turns times the area of one; for a rod, times its effective permeability [m2].
        frequency: broadcast with it [Hz].

    Returns:
        Open-circuit voltage round the loop over field strength [m].

    Source: any handbook; from the law of induction, E = c B. Exact for loops small beside the wavelength.
    """
    area = require_nonnegative("turns_area", turns_area)
    result: float | Array = plain(TWO_PI * area * require_positive("frequency", frequency) / SPEED_OF_LIGHT)
    return result


def loop_radiation_resistance(turns_area: Values, frequency: Values) -> float | Array:
    """Radiation resistance of a small loop: R = (Z0 / 6 pi) k^4 (N A)^2, k = 2 pi / wavelength.

    Args:
        turns_area: as for `loop_effective_height` [m2].
        frequency: [Hz].

    Returns:
        Resistance [ohm]; for broadcast bands far below that of the wire.

    Source: J. A. Stratton, Electromagnetic Theory (1941) 8.8 (from memory).
    """
    wave_number = TWO_PI * require_positive("frequency", frequency) / SPEED_OF_LIGHT
    area = require_nonnegative("turns_area", turns_area)
    result: float | Array = plain(WAVE_IMPEDANCE / (3.0 * TWO_PI) * wave_number**4 * area**2)
    return result


def loop_pattern(angle: Values, upright_part: complex = 0.0) -> float | Array:
    """What a loop takes from a station at an angle to its plane, over what it takes in its plane: |cos a + u|.

    Alone it has two nulls, broadside. Against earth the frame is also a small upright aerial: the part u of
    that voltage in step shifts both nulls to one side, the part out of step (imaginary) fills them.

    Args:
        angle: scalar or array [degrees].
        upright_part: voltage of the upright effect over that of the loop in its plane, complex [1].
    """
    bearing = np.radians(require_finite("angle", angle))
    require_finite("upright_part", [complex(upright_part).real, complex(upright_part).imag])
    result: float | Array = plain(np.abs(np.cos(bearing) + upright_part))
    return result


def parallel_sides_mutual(length: float, distance: Array) -> Array:
    """Mutual inductance of two parallel wires of one length, side by side [H].

    M = (mu0 / 2 pi) (l asinh(l / d) - sqrt(l^2 + d^2) + d).

    Source: F. Neumann's integral; E. B. Rosa, Bull. Bur. Standards 4 (1908) 301 (from memory).
    """
    reach = np.hypot(length, distance)
    return np.asarray(
        VACUUM_PERMEABILITY / TWO_PI * (length * np.arcsinh(length / distance) - length**2 / (reach + distance))
    )


@dataclass(frozen=True)
class FrameAerial:
    """A rectangular frame wound with turns side by side on its rim, the turns spread evenly over its depth.

    Attributes:
        width, height: of a turn, between wire centres [m].
        turns: whole number.
        depth: of the winding, from the first to the last turn's centre; 0 for a single turn [m].
        wire_diameter: bare [m].

    Accuracy: inductance that of thin filaments, within 0.1 % for round wire; resistance that of the wire alone, without
    the crowding of current between close turns, which adds to it as in a coil.
    """

    width: float
    height: float
    turns: int
    depth: float
    wire_diameter: float

    def __post_init__(self) -> None:
        require_positive("width", self.width)
        require_positive("height", self.height)
        require_positive("wire_diameter", self.wire_diameter)
        require_nonnegative("depth", self.depth)
        if self.turns not in range(1, 501):
            raise InputError("turns", "must be a whole number from 1 to 500")
        if self.turns > 1 and self.depth < (self.turns - 1) * self.wire_diameter:
            raise InputError("depth", "must have room for the turns side by side")
        if min(self.width, self.height) < 10.0 * self.wire_diameter:
            raise InputError("wire_diameter", "must be below a tenth of width and height")

    @property
    def area(self) -> float:
        """Area of a turn [m2]."""
        return self.width * self.height

    @property
    def wire_length(self) -> float:
        """Wire of all turns [m]."""
        return 2.0 * self.turns * (self.width + self.height)

    @cached_property
    def inductance(self) -> float:
        """Inductance: the sum of Neumann's integral over all pairs of sides that run alike or opposite [H].

        A turn's own radius stands for the distance of a wire from itself, its current taken at the surface.
        """
        count = self.turns
        step = np.arange(count, dtype=np.float64)
        apart: Array = np.where(step == 0.0, self.wire_diameter / 2.0, step * (self.depth / max(count - 1, 1)))
        pairs = np.where(step == 0.0, count, 2.0 * (count - step))
        total = np.zeros(())
        for side, across in ((self.width, self.height), (self.height, self.width)):
            near = parallel_sides_mutual(side, apart)
            far = parallel_sides_mutual(side, np.asarray(np.hypot(apart, across)))
            total = total + np.sum(pairs * 2.0 * (near - far))
        return float(total)

    def effective_height(self, frequency: Values) -> float | Array:
        """Effective height towards a station in the plane of the turns, at a frequency [Hz]; [m]."""
        return loop_effective_height(self.turns * self.area, frequency)

    def wire_resistance(self, frequency: Values) -> Any:
        """Resistance of the copper at a frequency [Hz], skin effect in, crowding between turns out; [ohm]."""
        section = np.pi * self.wire_diameter**2 / 4.0
        ratio = np.asarray(resistance_ratio(self.wire_diameter, frequency))
        return plain(COPPER_RESISTIVITY * self.wire_length / section * ratio)

    def radiation_resistance(self, frequency: Values) -> float | Array:
        """Radiation resistance at a frequency [Hz]; [ohm]."""
        return loop_radiation_resistance(self.turns * self.area, frequency)
