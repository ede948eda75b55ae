"""Attenuation along a flat earth: the function of Sommerfeld and Norton.

Numerical distance p tells how many times the path is as long as the ground can be thought a good conductor.
At p well below 1 the field falls as distance; well above, as its square.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from calc.constants import SPEED_OF_LIGHT, TWO_PI, VACUUM_PERMITTIVITY
from calc.units import Array, Values, plain, require_between, require_nonnegative, require_positive

Complex = npt.NDArray[np.complex128]

_WEIDEMAN_TERMS = 40
_FAR = 60.0
_FAR_TERMS = 24


def surface_impedance(frequency: Values, conductivity: Values, permittivity: Values) -> complex | Complex:
    """Impedance of the ground to a wave grazing along it, over that of free space.

    Delta = sqrt(ec - 1) / ec, with ec = er - j s / (w e0) the complex relative permittivity.

    Args:
        frequency: scalar or array [Hz].
        conductivity: s, broadcast with the others [S/m].
        permittivity: er, relative, broadcast with the others [1].

    Returns:
        Complex; its angle is 0 for a dielectric and 45 degrees for a good conductor [1].

    Raises:
        InputError: a frequency or permittivity that cannot be, or a negative conductivity.

    Source: K. A. Norton, Proc. IRE 24 (1936) 1367 and 25 (1937) 1203 (from memory), vertical polarisation.
    """
    angular = TWO_PI * require_positive("frequency", frequency)
    epsilon = require_between("permittivity", permittivity, 1.0, 200.0)
    ground = epsilon - 1j * require_nonnegative("conductivity", conductivity) / (angular * VACUUM_PERMITTIVITY)
    result: complex | Complex = plain(np.sqrt(ground - 1.0) / ground)
    return result


def numerical_distance(
    distance: Values, frequency: Values, conductivity: Values, permittivity: Values
) -> complex | Complex:
    """Sommerfeld's numerical distance p = -j (k d / 2) Delta^2, with Delta the surface impedance and k = w / c.

    Args:
        distance: d, along the ground [m].
        frequency, conductivity, permittivity: as in `surface_impedance` [Hz], [S/m], [1]; all four broadcast.

    Returns:
        Complex, its angle from 0 (good conductor) to -90 degrees (dielectric) [1].
    """
    metres = require_positive("distance", distance)
    wave_number = TWO_PI * require_positive("frequency", frequency) / SPEED_OF_LIGHT
    square = np.asarray(surface_impedance(frequency, conductivity, permittivity)) ** 2
    result: complex | Complex = plain(-0.5j * wave_number * metres * square)
    return result


@cache
def _weideman() -> tuple[float, Array]:
    """Scale and coefficients of Weideman's expansion, highest power first."""
    count = 2 * _WEIDEMAN_TERMS
    scale = float(np.sqrt(_WEIDEMAN_TERMS / np.sqrt(2.0)))
    tangent = scale * np.tan(np.arange(1 - count, count) * np.pi / (2 * count))
    samples = np.concatenate([[0.0], np.exp(-(tangent**2)) * (scale**2 + tangent**2)])
    coefficients = np.real(np.fft.fft(np.fft.fftshift(samples))) / (2 * count)
    return scale, np.asarray(coefficients[1 : _WEIDEMAN_TERMS + 1][::-1])


def scaled_error_function(z: Complex) -> Complex:
    """w(z) = exp(-z^2) erfc(-jz) in the upper half plane, by a rational expansion of 40 terms.

    Source: J. A. C. Weideman, SIAM J. Numer. Anal. 31 (1994) 1497 (from memory). Within 1e-13.
    """
    scale, coefficients = _weideman()
    down = scale - 1j * z
    ratio = (scale + 1j * z) / down
    total = np.zeros_like(ratio)
    for coefficient in coefficients:
        total = total * ratio + coefficient
    return np.asarray(2.0 * total / down**2 + 1.0 / (np.sqrt(np.pi) * down))


def flat_attenuation(p: npt.ArrayLike) -> complex | Complex:
    """The field over what it would be on a perfectly conducting plane: F(p) = 1 - j sqrt(pi p) exp(-p) erfc(j sqrt p).

    Up to |p| = 60 from the error function; beyond, where 1 and the rest cancel, by
    -1/(2p) (1 + 3/(2p) + 3 5/(2p)^2 + ...), whose exp(-p) companion does not arise for ground.

    Args:
        p: numerical distance, angle from 0 to -90 degrees; scalar or array [1].

    Returns:
        Complex [1]. Within 1e-12.

    Source: K. A. Norton, Proc. IRE 24 (1936) 1367 (from memory).
    """
    number = np.asarray(p, dtype=np.complex128)
    root = np.sqrt(number)
    near = 1.0 - 1j * np.sqrt(np.pi) * root * scaled_error_function(-root)
    inverse = 1.0 / (2.0 * np.where(np.abs(number) > _FAR, number, _FAR))
    far = np.ones_like(inverse)
    for order in range(_FAR_TERMS, 1, -1):
        far = 1.0 + (2 * order - 1) * inverse * far
    result: complex | Complex = plain(np.where(np.abs(number) > _FAR, -inverse * far, near))
    return result
