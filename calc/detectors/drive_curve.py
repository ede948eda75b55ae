"""What a cycle of a sine averages to in an exponential diode, tabulated once over the logarithm of the drive.

Solving detector and tank together asks for ln I0(u) and 2 I1(u)/(u I0(u)) tens of thousands of times. As functions of
ln u both are smooth, with slopes that are known exactly: a cubic through values and slopes in each of six thousand
steps follows them to 1e-12. Below the table they are u**2/4 and 1, above it u and 2/u to all digits that count there.
"""

from functools import cache
from typing import NamedTuple

import numpy as np

from calc.detectors.bessel import bessel_drive
from calc.units import Array

_LEAST, _MOST, _STEPS = np.log(1e-7), np.log(1e6), 6000
"""Drive over n kT/q, as logarithms."""


class Drive(NamedTuple):
    """A drive u seen through the diode's curve; arrays of one shape.

    Attributes:
        mean: ln I0(u), the logarithm by which a cycle of exp(u cos t) averages.
        mean_slope: its derivative by ln u, u I1/I0.
        share: ln(2 I1/(u I0)): the logarithm of the fundamental's share.
        share_slope: its derivative by ln u.
    """

    mean: Array
    mean_slope: Array
    share: Array
    share_slope: Array


@cache
def _cubics() -> Array:
    """Of ln ln I0 and of ln(2 I1/(u I0)): the cubic's coefficients, constant first, [4, 2, steps]."""
    drive = np.exp(np.linspace(_LEAST, _MOST, _STEPS + 1))
    mean, share = (np.asarray(part) for part in bessel_drive(drive))
    quotient = 0.5 * drive * share
    value = np.log([mean, share])
    slope = np.stack([drive * quotient / mean, drive * (1.0 / quotient - quotient) - 2.0])
    slope *= (_MOST - _LEAST) / _STEPS
    rise = np.diff(value)
    left, right = slope[:, :-1], slope[:, 1:]
    return np.array([value[:, :-1], left, 3.0 * rise - 2.0 * left - right, left + right - 2.0 * rise])


def drive_curve(log_drive: Array) -> Drive:
    """Mean and fundamental of a cycle at drives whose logarithms are given, any shape.

    Accuracy: 1e-12 of ln I0, 3e-12 of the share; slopes 1e-9.
    """
    scale = _STEPS / (_MOST - _LEAST)
    place = (log_drive - _LEAST) * scale
    inside = np.minimum(np.maximum(place, 0.0), _STEPS)
    step = np.minimum(inside.astype(np.intp), _STEPS - 1)
    along = inside - step
    constant, linear, square, cube = _cubics().take(step, axis=2)
    cube *= along
    slope = (3.0 * cube + 2.0 * square) * along + linear
    value = ((cube + square) * along + linear) * along + constant
    # the first and the last cubic go on as straight lines outside the table
    value += slope * (place - inside)
    slope *= scale
    mean = np.exp(value[0])
    return Drive(mean, mean * slope[0], value[1], slope[1])
