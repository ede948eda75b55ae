"""Attenuation along a smooth round earth: the residue series, and its continuation towards the transmitter.

With x = v d / a and q = -j v Delta, v = (k a / 2)^(1/3), a the effective radius of the earth and Delta the
surface impedance, one function W(x, q) holds for every frequency, distance and ground. Its modes are the
roots of Ai'(z) = b Ai(z), b = q exp(2 pi j / 3) = v Delta exp(j pi / 6), with Ai the Airy function.
"""

from functools import cache
from math import gamma
from typing import Any

import numpy as np
import numpy.typing as npt

from calc.ground_wave.flat_earth import flat_attenuation
from calc.units import Array

Complex = npt.NDArray[np.complex128]

_MODES = 64
_FIRST_TURN = -1.0187929716474711
"""First zero of Ai': NIST Digital Library of Mathematical Functions, table 9.9.2."""
_TAYLOR_TERMS = 44
"""Enough for half a wave, from one zero to the next."""
_MODE_TERMS = 30
"""Enough for the quarter wave, and the slant into the complex plane, between a zero and its mode."""
_NEWTON_STEPS = 40
_POWER_TERMS = 72
JOIN = 0.4
"""The x from which the residue series is used. Its 64 modes then leave out less than 1e-5 of the field."""
_GOOD_GROUND = 4.0
"""The |q| below which the power series is used near the transmitter."""


@cache
def _airy_turns() -> tuple[Array, Array]:
    """Zeros a' of Ai', and the Taylor coefficients around each of Ai over its value there, one row a zero.

    y'' = (a' + h) y gives the coefficients; from one zero the next is found by Newton's method half a wave
    further on.
    """
    turns, tables = [_FIRST_TURN], []
    for _ in range(_MODES):
        turn = turns[-1]
        table = np.zeros(_TAYLOR_TERMS)
        table[0], table[2] = 1.0, turn / 2.0
        for n in range(1, _TAYLOR_TERMS - 2):
            table[n + 2] = (turn * table[n] + table[n - 1]) / ((n + 1) * (n + 2))
        tables.append(table)
        # half a wave at the wave number that the function has half way to the next zero
        step = -np.pi / np.sqrt(-turn + np.pi / (2.0 * np.sqrt(-turn)))
        for _ in range(_NEWTON_STEPS):
            value, slope = _taylor(table, step)
            change = slope / ((turn + step) * value)
            step -= change
            if abs(change) <= 4e-16 * abs(step):
                break
        turns.append(turn + float(step))
    return np.array(turns[:-1]), np.array(tables)


def _taylor(table: Array, step: Any) -> tuple[Any, Any]:
    """Value and slope of the Taylor series whose coefficients are the last axis of `table`."""
    value = table[..., -1] + 0.0 * step
    slope = 0.0 * step
    for n in range(table.shape[-1] - 2, -1, -1):
        slope = slope * step + value
        value = value * step + table[..., n]
    return value, slope


def modes(b: Complex) -> Complex:
    """The 64 first roots z of Ai'(z) = b Ai(z), along a new last axis.

    Around a zero a' of Ai' the function is nearly a cosine of wave number k = sqrt(-a'), whose root
    -arctan(b/k)/k starts Newton's method on the Taylor series; it is carried on to rounding.
    """
    turns, tables = _airy_turns()
    tables = tables[:, :_MODE_TERMS]
    target = np.asarray(b)[..., None]
    wave = np.sqrt(-turns)
    step = -np.arctan(target / wave) / wave
    for _ in range(_NEWTON_STEPS):
        value, slope = _taylor(tables, step)
        change = (slope - target * value) / ((turns + step) * value - target * slope)
        step = step - change
        if np.all(np.abs(change) <= 1e-15 * (0.1 + np.abs(step))):
            break
    return np.asarray(turns + step)


def residue_series(x: Array, b: Complex, z: Complex) -> Complex:
    """W far from the transmitter, x >= 0.4: the sum of the modes.

    W = sqrt(pi x) exp(-j 11 pi / 12) sum of exp(x z exp(j pi / 6)) / (z - b^2).

    Args:
        x, b: as in `attenuation`, of one shape.
        z: modes of b, along a last axis.

    Source: V. A. Fock, J. Phys. USSR 9 (1945) 255; J. R. Wait, NBS J. Res. 56 (1956) 237 (both from memory).
    """
    terms = np.exp(x[..., None] * z * np.exp(1j * np.pi / 6.0)) / (z - b[..., None] ** 2)
    return np.asarray(np.sqrt(np.pi * x) * np.exp(-11j * np.pi / 12.0) * terms.sum(axis=-1))


@cache
def _riccati() -> tuple[float, ...]:
    """Coefficients r of Ai'(z)/Ai(z) = -sqrt(z) sum r_n z^(-3n/2), from the equation y' = z - y^2 of that ratio."""
    r = [1.0]
    for n in range(1, _POWER_TERMS // 3 + 1):
        inner = sum(r[j] * r[n - j] for j in range(1, n))
        r.append((0.5 * r[n - 1] - 1.5 * (n - 1) * r[n - 1] - inner) / 2.0)
    return tuple(r)


def power_series(x: Array, b: Complex) -> Complex:
    """W near the transmitter, good ground: powers of the square root of x.

    1/(b - Ai'/Ai) is expanded in powers of 1/sqrt(z); each, transformed back, is a power of x over a gamma
    function, so that the series converges. Used for |q| < 4, where 72 terms hold 1e-9 up to the join.

    Source: H. Bremmer, IRE Trans. AP-6 (1958) 267 (from memory) gives the first few terms; here they come by
    recursion.
    """
    r = _riccati()
    coefficients = [np.ones_like(b)]
    for n in range(1, _POWER_TERMS):
        coefficients.append(
            -(b * coefficients[n - 1] + sum(r[k] * coefficients[n - 3 * k] for k in range(1, n // 3 + 1)))
        )
    root = np.sqrt(x * np.exp(1j * np.pi / 6.0))
    total = np.zeros(np.broadcast(x, b).shape, dtype=np.complex128)
    for n in range(_POWER_TERMS - 1, -1, -1):
        total = total * root + coefficients[n] / gamma((n + 1) / 2.0)
    return np.asarray(np.sqrt(np.pi) * total)


def bent_flat_attenuation(x: Array, b: Complex) -> Complex:
    """W near the transmitter, poor ground: the flat-earth function F(p) with the first two corrections for curvature.

    W = F + (e/2) (1 - j sqrt(pi p) - (1 + 2p) F)
          + e^2 (1 - j sqrt(pi p) (1 - p) - 2p + 5 p^2/6 + (p^2/2 - 1) F),  p = j x q^2,  e = 1 / (2 q^3).

    Source: J. R. Wait, NBS J. Res. 56 (1956) 237; D. A. Hill and J. R. Wait, Radio Sci. 15 (1980) 637 (from
    memory, the sign of e by comparison with the contour integral). At the join it is within 0.03 dB of that
    integral.
    """
    p = -x * np.exp(1j * np.pi / 6.0) * b**2
    e = 1.0 / (2.0 * b**3)
    flat = np.asarray(flat_attenuation(p))
    root = 1j * np.sqrt(np.pi * p)
    first = 1.0 - root - (1.0 + 2.0 * p) * flat
    second = 1.0 - root * (1.0 - p) - 2.0 * p + 5.0 / 6.0 * p**2 + (p**2 / 2.0 - 1.0) * flat
    return np.asarray(flat + e / 2.0 * first + e**2 * second)


def attenuation(x: Array, b: Complex) -> Complex:
    """W(x, q), b = q exp(2 pi j / 3): the field over what it would be on a perfectly conducting plane.

    Args:
        x: distance over the earth's radius times v; broadcasts with b [1].
        b: v Delta exp(j pi / 6) [1].
    """
    far, good = x >= JOIN, np.abs(b) < _GOOD_GROUND
    wide_x, wide_b, far, good = np.broadcast_arrays(x, b, far, good)
    result = np.zeros(wide_x.shape, dtype=np.complex128)
    if np.any(far):
        # the modes hang on ground and frequency alone: they are sought before distance multiplies the points
        z = modes(b)
        z = np.broadcast_to(z, (*wide_x.shape, z.shape[-1]))
        result[far] = residue_series(wide_x[far], wide_b[far], z[far])
    for where, series in ((~far & good, power_series), (~far & ~good, bent_flat_attenuation)):
        result[where] = series(wide_x[where], wide_b[where])
    return result
