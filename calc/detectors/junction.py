"""A cycle of the carrier in the diode: mean current and fundamental, with and without the bulk's resistance.

Across diode and bulk in series stands A cos(wt) - V. In units of the diode's own, u = A/nVt for the drive, x = V/nVt
for the d.c. output and b = Rs Is/nVt for the bulk, the junction's share t of the voltage u cos(wt) - x at each moment
is the root of

    t + b (exp(t) - 1) = u cos(wt) - x

and the current is Is (exp(t) - 1). Without bulk the averages over a cycle are Bessel functions. With a bulk that keeps
but little of the voltage they are a short series of them. Otherwise they are taken at chosen points of the cycle, close
together where the current flows.
"""

from functools import cache
from math import factorial
from typing import NamedTuple

import numpy as np

from calc.constants import TWO_PI
from calc.detectors.drive_curve import Drive, drive_curve
from calc.units import Array

_POINTS = 12
"""Points of half a cycle."""
_TERMS = 8
"""Of the series for a bulk that keeps little."""
SLIGHT = 0.06
"""Voltage in the bulk at the crest of the cycle, in nVt, up to which that series is used."""
_FELT = 2
"""Terms of the series that small signals feel; all others have the square of the bulk in them."""
_LEAST = 1e-290
"""Of a mean of exp(t): a diode cut off by more hundreds of nVt than numbers can show."""


class Cycle(NamedTuple):
    """What flows on average of a cycle; arrays of one shape. Slopes are by ln u and by x.

    Attributes:
        level: ln(1 + I/Is) of the mean current I.
        level_by_drive, level_by_output: its slopes.
        uptake: ln(R0/R): R0 the zero-bias resistance, R the one that takes as much power from the sine.
        uptake_by_drive, uptake_by_output: its slopes.
    """

    level: Array
    level_by_drive: Array
    level_by_output: Array
    uptake: Array
    uptake_by_drive: Array
    uptake_by_output: Array

    def moved(self, drive: Array, output: Array) -> "Cycle":
        """The cycle a small step of ln u and x away: level and uptake to the second order, slopes as they are."""
        return self._replace(
            level=self.level + self.level_by_drive * drive + self.level_by_output * output,
            uptake=self.uptake + self.uptake_by_drive * drive + self.uptake_by_output * output,
        )


def ideal_cycle(drive: Drive, level: Array) -> Cycle:
    """The cycle of a diode without bulk: I/Is = exp(-x) I0(u) - 1, and twice exp(-x) I1(u) for the fundamental.

    Args:
        drive: u through the diode's curve, any shape.
        level: ln(1 + I/Is), which is ln I0(u) - x; the same shape.
    """
    against = np.broadcast_to(-1.0, level.shape)
    return Cycle(level, drive.mean_slope, against, level + drive.share, drive.mean_slope + drive.share_slope, against)


def slightly_bulky_cycle(log_drive: Array, output: Array, bulk: Array) -> Cycle:
    """The cycle of a diode whose bulk keeps little of the voltage, `SLIGHT` at most.

    With z = b exp(b + v), v the voltage across junction and bulk, exp(t) is exp(b + v) times the sum over n from 1 of
    (-n)^(n-1)/n! z^(n-1); and the mean of exp(n v) over a cycle is exp(-n x) I0(n u).

    Args:
        log_drive, output, bulk: as for `bulky_cycle`.

    Accuracy: 2e-7 where z at the crest of the cycle is 0.06, and with its eighth power below.

    Source: NIST Digital Library of Mathematical Functions, 4.13.5 (Lagrange's inversion of w exp(w) = z).
    """
    orders, log_orders, weights = _series(output.ndim)
    drive = drive_curve(log_drive + log_orders)
    log_scale = (orders - 1.0) * np.log(bulk) + orders * bulk
    exponent = drive.mean - orders * output
    parts = weights * np.exp(log_scale + exponent)
    by_order = orders * parts
    shares = by_order * np.exp(drive.share)
    total, power = parts.sum(axis=0), shares.sum(axis=0)
    # from a diode at rest, so that small signals keep their digits
    away = parts - (scale := weights * np.exp(log_scale))
    felt = exponent[:_FELT]
    away[:_FELT] = np.where(felt < 1.0, scale[:_FELT] * np.expm1(np.minimum(felt, 1.0)), away[:_FELT])
    excess = away.sum(axis=0)
    level = np.where(total < 0.5, np.log(np.maximum(total, _LEAST)), np.log1p(np.maximum(excess, -0.9)))
    return Cycle(
        level,
        (parts * drive.mean_slope).sum(axis=0) / total,
        -by_order.sum(axis=0) / total,
        np.log(power),
        (shares * (drive.mean_slope + drive.share_slope)).sum(axis=0) / power,
        -(orders * shares).sum(axis=0) / power,
    )


@cache
def _series(dimensions: int) -> tuple[Array, Array, Array]:
    """n, ln n and (-n)^(n-1)/n! of the series' terms, along an axis before so many others."""
    shape = (_TERMS, *[1] * dimensions)
    orders = np.arange(1.0, _TERMS + 1.0).reshape(shape)
    weights = [float(-n) ** (n - 1) / factorial(n) for n in range(1, _TERMS + 1)]
    return orders, np.log(orders), np.array(weights).reshape(shape)


def bulky_cycle(log_drive: Array, output: Array, bulk: Array) -> Cycle:
    """The cycle of a diode with bulk resistance.

    The points are those of equal steps in p with tan(wt/2) = h tan(p/2): h small draws them together about the
    crest, as narrow as the pulse of current is there.

    Args:
        log_drive: ln u, any shape.
        output: x, the same shape.
        bulk: b, above zero, broadcast with them.

    Accuracy: 1e-8 where the bulk drops less than one nVt at the crest of the cycle, 1e-5 up to 3 nVt, 0.05 % up to
        6 nVt, 0.5 % at any drive.
    """
    drive = np.exp(log_drive)
    crest = bulk + np.log(bulk) + drive - output
    narrow = np.sqrt(np.minimum(1.0, (2.4 + 0.5 * np.maximum(crest + 2.0, 0.0)) / np.maximum(drive, 1e-300)))
    tangent = _tangents()
    place = (narrow[..., None] * tangent) ** 2
    weight = narrow[..., None] * (1.0 + tangent**2) / (_POINTS * (1.0 + place))
    cosine, sine_squared = (1.0 - place) / (1.0 + place), 4.0 * place / (1.0 + place) ** 2
    bulk_at = np.broadcast_to(bulk, output.shape)[..., None]
    voltage = junction_voltage(drive[..., None] * cosine - output[..., None], bulk_at)
    forward = np.exp(voltage)
    passing = forward / (1.0 + bulk_at * forward)

    def mean(values: Array) -> Array:
        return np.einsum("...k,...k->...", weight, values)

    # Points drawn together leave out the far side of the cycle, where nothing flows but the -1 of the diode's law, so
    # that the mean of exp(t) is taken; only where they are spread evenly may faint currents be summed as they are.
    total = np.maximum(mean(forward), _LEAST)
    level = np.where(
        (narrow < 1.0) | (total < 0.5), np.log(total), np.log1p(np.maximum(mean(np.expm1(voltage)), -0.999))
    )
    # A small sine hardly bends the current: its fundamental is then found from the slope, which loses no digits.
    faint = drive < 0.5
    bend = passing / (1.0 + bulk_at * forward) ** 2
    fundamental = np.where(faint, mean(passing * sine_squared), mean(forward * cosine) / np.maximum(drive, 0.5))
    fundamental = np.maximum(fundamental, _LEAST)
    by_drive = np.where(faint, drive * mean(bend * cosine * sine_squared), mean(passing * cosine**2) - fundamental)
    by_output = -np.where(faint, mean(bend * sine_squared), mean(passing * cosine) / np.maximum(drive, 0.5))
    return Cycle(
        level,
        drive * mean(passing * cosine) / total,
        -mean(passing) / total,
        np.log(2.0 * fundamental),
        by_drive / fundamental,
        by_output / fundamental,
    )


@cache
def _tangents() -> Array:
    """tan(p/2) at the middles of equal steps of p from 0 to half a turn."""
    return np.tan(0.25 * TWO_PI * (np.arange(_POINTS) + 0.5) / _POINTS)


def junction_voltage(voltage: Array, bulk: Array) -> Array:
    """The root t of t + b (exp(t) - 1) = v: what the junction keeps of a voltage across junction and bulk, in nVt.

    With s = b exp(t) it is s + ln s = v + b + ln b. One step of fourth order from a guess within a tenth leaves
    1e-5 at most; a step of Newton's on t itself then keeps the digits of small voltages.

    Source: the fourth-order step: F. N. Fritsch, R. E. Shafer and W. P. Crowley, Algorithm 443: solution of the
    transcendental equation w e^w = x, Communications of the ACM 16 (1973) 123-124 (from memory).
    """
    sum_ = np.maximum(voltage + bulk + np.log(bulk), -600.0)
    high = np.maximum(sum_, 2.0)
    guess = np.where(sum_ < -1.5, np.exp(np.minimum(sum_, 0.0)), 1.0 + (sum_ - 1.0) * (0.5 + (sum_ - 1.0) / 16.0))
    guess = np.where(sum_ > 4.0, high - np.log(high) * (1.0 - 1.0 / high), guess)
    for _ in range(2):
        gap = sum_ - guess - np.log(guess)
        above = 1.0 + guess
        turn = above * (above + gap * (2.0 / 3.0))
        guess = guess * (1.0 + gap / above * (turn - 0.5 * gap) / (turn - gap))
    kept = voltage - guess + bulk
    current = np.expm1(kept)
    return np.asarray(kept - (kept + bulk * current - voltage) / (1.0 + bulk * (1.0 + current)))
