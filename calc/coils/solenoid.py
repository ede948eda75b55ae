"""Single-layer coils on a round former: inductance from turns and turns from inductance."""

import math
from collections.abc import Callable

import numpy as np

from calc.coils.elliptic import nagaoka
from calc.constants import VACUUM_PERMEABILITY
from calc.units import Array, InputError, Values, plain, require_positive

_BARNES_SHIFT = 12
_BARNES_CONSTANT = -0.16542114370045092
"""zeta'(-1)."""

_BARNES_SERIES = (-1 / 240, 1 / 1008, -1 / 1440, 1 / 1056, -691 / 327600, 1 / 144)
"""B(2k+2)/(4k(k+1)), k = 1, 2, ..., of the Bernoulli numbers B."""

_STIRLING_SERIES = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360)
"""B(2k)/(2k(2k-1)), k = 1, 2, ..."""


def round_wire_self_correction(wire_over_pitch: Values) -> float | Array:
    """Rosa's A: what a turn of round wire lacks in self-inductance against its share of the sheet.

    A = 5/4 - ln(2 p/d), in units of mu0 times the coil's radius for every turn.

    Args:
        wire_over_pitch: bare wire diameter d over pitch p [1], above zero.

    Accuracy: exact for turns that do not curve and carry the current evenly over their section.
    Source: E. B. Rosa, Bull. Bureau of Standards 2 (1906) 161; F. W. Grover, Inductance Calculations (1946) ch. 16.
    """
    ratio = require_positive("wire_over_pitch", wire_over_pitch)
    result: float | Array = plain(1.25 + np.log(0.5 * ratio))
    return result


def round_wire_mutual_correction(turns: Values) -> float | Array:
    """Rosa's B: what all pairs of round turns lack in mutual inductance against their shares of the sheet.

    B = (1/N) sum over n = 1 .. N-1 of 2 (N - n) [ln n - ln G_n], G_n the geometric mean distance, in pitches, of two
    strips one pitch wide, n pitches apart. The sums of ln G_n telescope and those of ln n are Barnes' G function:

        B = (2/N) [ln G(N + 1) - (N^2/2) ln N + (3/4) N (N - 1)],

    which also serves when N is not whole. It rises from 0 for one turn to ln(2 pi) - 3/2 for very many.

    Args:
        turns: [1], one or more.

    Accuracy: 1e-13 of the sum.
    Source: E. B. Rosa, as for A; G by its asymptotic series, DLMF 5.17.5.
    """
    n = require_positive("turns", turns)
    if (n < 1.0).any():
        raise InputError("turns", "must be one or more for the round-wire correction")
    result: float | Array = plain(_mutual_correction(n))
    return result


def _mutual_correction(n: Array) -> Array:
    """B for checked turns: the series where it converges, Barnes' recurrence from further up where it does not."""
    few = n < _BARNES_SHIFT
    big = np.where(few, n + _BARNES_SHIFT, n)
    tail = sum(c / big ** (2 * k) for k, c in enumerate(_BARNES_SERIES, 1))
    many = math.log(2.0 * math.pi) - 1.5 + (2.0 / big) * (_BARNES_CONSTANT - np.log(big) / 12.0 + tail)
    if not few.any():
        return np.asarray(many)
    log_g = 0.5 * big * many + 0.5 * big**2 * np.log(big) - 0.75 * big * (big - 1.0)
    log_gamma = (
        (big - 0.5) * np.log(big)
        - big
        + 0.5 * math.log(2.0 * math.pi)
        + sum(c / big ** (2 * k - 1) for k, c in enumerate(_STIRLING_SERIES, 1))
    )
    step = np.arange(1, _BARNES_SHIFT)
    steps = np.log(n[..., None] + step) @ step
    log_g = log_g - _BARNES_SHIFT * log_gamma + steps
    exact = (2.0 / n) * (log_g - 0.5 * n**2 * np.log(n) + 0.75 * n * (n - 1.0))
    return np.where(few, exact, many)


def solenoid_inductance(
    turns: Values, diameter: Values, length: Values, wire_diameter: Values | None = None
) -> float | Array:
    """Inductance [H] of a single-layer coil: the exact current sheet, corrected for round wire when its size is given.

    L = mu0 pi (D/2)^2 N^2 K(D/l) / l, K being Nagaoka's coefficient; then less mu0 (D/2) N (A + B), Rosa's
    corrections.

    Args:
        turns: N [1], above zero; one or more with a wire.
        diameter: D, between wire centres [m].
        length: l, turns times pitch [m] (not from the first wire's edge to the last's).
        wire_diameter: of the bare wire [m], no more than the pitch; None for the sheet.

    Raises:
        InputError: a value not above zero; a wire thicker than the pitch or than half the coil's diameter.

    Accuracy: the sheet 1e-13. With a wire, against a sum over round turns that carry their current evenly: 0.005 %
    close wound; 0.2 % as long as the pitch is no more than an eighth of the diameter, since A and B take the turns as
    straight. At radio frequency the current keeps to the surface, and the coil has up to mu0 N D/16 (0.05 % to 0.5 %)
    less.
    Source: H. Nagaoka (1909); E. B. Rosa (1906); E. B. Rosa and F. W. Grover, Bureau of Standards Scientific Paper 169
    (1916).
    """
    n = require_positive("turns", turns)
    d = require_positive("diameter", diameter)
    span = require_positive("length", length)
    sheet = _sheet_inductance(n, d, span)
    if wire_diameter is None:
        result: float | Array = plain(sheet)
        return result
    result = plain(sheet - round_wire_deficit(n, d, span / n, wire_diameter))
    return result


def _sheet_inductance(n: Array, d: Array, span: Array) -> Array:
    return np.asarray(VACUUM_PERMEABILITY * (math.pi / 4.0) * d**2 * n**2 / span * nagaoka(d / span))


def round_wire_deficit(turns: Array, diameter: Array, pitch: Array, wire_diameter: Values) -> Array:
    """What round wire takes from a sheet's inductance [H]: mu0 (D/2) N (A + B), arguments as `solenoid_inductance`.

    Raises:
        InputError: fewer than one turn; a wire thicker than the pitch or than half the coil's diameter.
    """
    wire = require_positive("wire_diameter", wire_diameter)
    _check_wire(wire, diameter, pitch)
    return _deficit(turns, diameter, pitch, wire)


def _deficit(n: Array, d: Array, pitch: Array, wire: Array) -> Array:
    both = round_wire_self_correction(wire / pitch) + round_wire_mutual_correction(n)
    return np.asarray(VACUUM_PERMEABILITY * 0.5 * d * n * both)


def _check_wire(wire: Array, diameter: Array, pitch: Array) -> None:
    if (wire > pitch * (1.0 + 1e-9)).any():
        raise InputError("wire_diameter", "must be no more than the pitch of the turns")
    if (wire > 0.5 * diameter).any():
        raise InputError("wire_diameter", "must be no more than half the coil's diameter")


def turns_for_inductance(
    inductance: Values,
    diameter: Values,
    *,
    pitch: Values | None = None,
    length: Values | None = None,
    wire_diameter: Values | None = None,
) -> float | Array:
    """Turns [1], in general not whole, of a single-layer coil of given inductance: inverts `solenoid_inductance`.

    Args:
        inductance: wanted [H].
        diameter: between wire centres [m].
        pitch: between neighbouring turns [m]: the coil grows longer with its turns. Or
        length: of the winding [m]: the turns are spread over it. One of the two must be given.
        wire_diameter: of the bare wire [m], for the round-wire correction; None for the sheet.

    Raises:
        InputError: neither or both of pitch and length; a value not above zero; with a wire, an inductance that
            needs less than one turn, or so many that they do not fit the length.

    Accuracy: returns to the inductance within 1e-13; secant steps are taken until rounding stops them.
    """
    target = require_positive("inductance", inductance)
    d = require_positive("diameter", diameter)
    if pitch is not None and length is None:
        given = require_positive("pitch", pitch)
    elif length is not None and pitch is None:
        given = require_positive("length", length)
    else:
        raise InputError("pitch", "give either the pitch of the turns or the length of the winding")

    def pitch_at(n: Array) -> Array:
        return np.asarray(given / n if pitch is None else given)

    if wire_diameter is None:
        result: float | Array = plain(_solve_turns(lambda n: _sheet_inductance(n, d, n * pitch_at(n)), target))
        return result
    wire = require_positive("wire_diameter", wire_diameter)
    _check_wire(wire, d, given)

    def round_wire_coil(n: Array) -> Array:
        p = pitch_at(n)
        some = np.maximum(n, 1.0)  # on the way to the root there may be less than one turn, where B is not defined
        return _sheet_inductance(n, d, n * p) - _deficit(some, d, p, wire) * (n / some)

    n = _solve_turns(round_wire_coil, target)
    if np.any(n < 1.0):
        raise InputError("inductance", "needs less than one turn on this former")
    _check_wire(wire, d, pitch_at(n))
    result = plain(n)
    return result


def _solve_turns(inductance_of: Callable[[Array], Array], target: Array) -> Array:
    """Turns at which `inductance_of` gives `target`: secant steps in logarithms, where the curve is nearly straight."""
    logarithm = np.log(target)
    previous = np.zeros_like(inductance_of(np.ones_like(target)) + target)
    miss_previous = np.log(inductance_of(np.exp(previous))) - logarithm
    current = previous - miss_previous / 1.6
    for _ in range(60):
        miss = np.log(inductance_of(np.exp(current))) - logarithm
        change = miss - miss_previous
        still = change != 0.0
        slope = np.where(still, change / np.where(still, current - previous, 1.0), 1.6)
        step = np.where(still, -miss / np.clip(slope, 0.5, 4.0), 0.0)
        previous, miss_previous, current = current, miss, current + step
        if np.all(np.abs(step) < 2e-16 * np.maximum(1.0, np.abs(current))):
            break
    return np.asarray(np.exp(current))
