"""The detector's input resistance over its drive, tabulated once for a diode and load.

Solving detector and tank together asks for that resistance tens of thousands of times for one diode and one load. It
is a smooth function of the logarithm of the drive: a cubic through its values and slopes in each of six thousand
steps follows it to 2e-9.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.detectors import Diode, rectify
from calc.units import Array

_LEAST, _MOST, _STEPS = np.log(1e-5), np.log(1e6), 6000
"""Drive over n kT/q, as logarithms: below, the detector is a resistance; above, its resistance no longer changes."""


@dataclass(frozen=True)
class DriveCurve:
    """Logarithm of input resistance as cubics in the logarithm of peak drive.

    Attributes:
        scale: n kT/q of the diode [V].
        coefficients: of the cubics in each step, constant first, [4, steps].
    """

    scale: float
    coefficients: Array

    def log_resistance(self, log_drive: Array) -> Array:
        """Logarithm of the input resistance [ln ohm] at logarithms of the peak drive [ln V], any shape."""
        place = (log_drive - np.log(self.scale) - _LEAST) * (_STEPS / (_MOST - _LEAST))
        place = np.clip(place, 0.0, _STEPS)
        step = np.minimum(place.astype(np.int64), _STEPS - 1)
        along = place - step
        constant, linear, square, cube = self.coefficients[:, step]
        return np.asarray(((cube * along + square) * along + linear) * along + constant)


@lru_cache(maxsize=16)
def drive_curve(diode: Diode, load_resistance: float) -> DriveCurve:
    """The curve of a diode (scalar values) and a d.c. load [ohm]."""
    scale = float(diode.thermal_voltage)
    width = (_MOST - _LEAST) / _STEPS
    # two steps more at each end, so that the slopes inside can all be taken from both sides
    log_drive = _LEAST + width * np.arange(-2, _STEPS + 3)
    value = np.log(np.asarray(rectify(diode, scale * np.exp(log_drive), load_resistance).input_resistance))
    slope = (8.0 * (value[3:-1] - value[1:-3]) - (value[4:] - value[:-4])) / 12.0
    inner = value[2:-2]
    rise = np.diff(inner)
    left, right = slope[:-1], slope[1:]
    return DriveCurve(scale, np.stack([inner[:-1], left, 3.0 * rise - 2.0 * left - right, left + right - 2.0 * rise]))
