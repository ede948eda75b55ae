"""The search for the operating points of `calc.detectors.loaded`: Newton's rule, with bounds where it needs them.

Everything is in units of the diode's own: voltages in nVt, currents in Is, impedances in the zero-bias resistance. A
row is a source: its bare carrier, then the points of its modulation cycle. A row that has come to rest is put by, so
that no row's result hangs on its neighbours.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.detectors.drive_curve import drive_curve
from calc.detectors.junction import Cycle, bulky_cycle, ideal_cycle
from calc.detectors.rectifier import output
from calc.units import Array

ComplexArray = npt.NDArray[np.complex128]

_MOST_STEPS = 100
_CLOSE = 0.03
"""Of ln u: from where Newton's rule needs no bounds."""
_NEAR = 1e-8
"""Of ln u, and of the outputs as a part of themselves: a step so small is the last, its square being rounding."""
_LONGEST_STEP, _LONGEST_MOVE, _LONGEST_JUMP = 0.5, 0.2, 3.0
"""With bulk: most by which ln u, the mean output (as a part of one and itself) and ln(1 + I/Is) change in a step."""
_CUT_OFF = 1e-6
"""1 + I/Is below which the balance of currents is no longer taken by logarithms."""


class Network(NamedTuple):
    """Sources and loads.

    Attributes:
        aim: logarithm of the open voltage, [rows, points].
        source: its impedance, [rows, 1].
        slope: of the load line, [rows, points].
        apart: how much steeper the load line is for audio than for d.c.; zero at the bare carrier, [rows, points].
        bias: current that the bias drives through the load's resistance to d.c., [rows, 1].
        bulk: resistance, [rows, 1].
    """

    aim: Array
    source: ComplexArray
    slope: Array
    apart: Array
    bias: Array
    bulk: Array

    def only(self, rows: npt.NDArray[np.intp]) -> "Network":
        """Some of the rows."""
        return Network(
            self.aim[rows], self.source[rows], self.slope[rows], self.apart[rows], self.bias[rows], self.bulk[rows]
        )

    @property
    def carrier(self) -> "Network":
        """The bare carriers by themselves."""
        return Network(self.aim[:, :1], self.source, self.slope[:, :1], self.apart[:, :1], self.bias, self.bulk)


class Found(NamedTuple):
    """Operating points: ln u and x, [rows, points], the mean x0 of x over the modulation, [rows, 1], and the cycles of
    the carrier there."""

    log_drive: Array
    x: Array
    mean: Array
    cycle: Cycle


class _Step(NamedTuple):
    """A step of Newton's rule: of ln u, of x, of x0."""

    drive: Array
    rise: Array
    move: Array

    def is_last(self, x: Array) -> npt.NDArray[np.bool_]:
        """Of which rows it is the last, [rows]."""
        level = _NEAR * np.max(np.abs(x), axis=1)
        outputs = np.maximum(np.max(np.abs(self.rise), axis=1), np.abs(self.move[:, 0]))
        return (np.max(np.abs(self.drive), axis=1) < _NEAR) & (outputs <= level)


def search(network: Network) -> Found:
    """The operating points of all rows."""
    found = _without_bulk(network)
    return _with_bulk(network, found) if np.any(network.bulk) else found


def _at_known_line(network: Network, shift: Array) -> Array:
    """ln u of diodes without bulk on load lines that are wholly known, j = slope x - shift, to within a few percent.

    What the source lacks, ln u + ln|1 + Z/R(u)| - aim, rises with the drive. It is not above zero where the detector
    takes the most that it takes anywhere between no drive and the open voltage, and not below at the open voltage.
    Newton's rule between those bounds, halving where it would leave them or creep.
    """
    shape = np.broadcast_shapes(network.aim.shape, shift.shape)
    aim, slope, shift = (np.broadcast_to(part, shape).ravel() for part in (network.aim, network.slope, shift))
    source: ComplexArray = np.broadcast_to(network.source, shape).ravel()
    at_rest = output(np.zeros(()), slope, shift)[1]
    drive = drive_curve(aim)
    open_uptake = output(drive.mean, slope, shift)[1] + drive.share
    low = aim - np.log1p(np.abs(source) * np.exp(np.maximum(at_rest, open_uptake))) - 1e-9
    result: Array = aim.copy()
    index: npt.NDArray[np.intp] = np.arange(aim.size)
    high, place, last = aim, aim, np.full(aim.shape, np.inf)
    for _ in range(_MOST_STEPS):
        drive = drive_curve(place)
        level = output(drive.mean, slope, shift)[1]
        pull = source * np.exp(level + drive.share)
        lack = place + np.log(np.abs(1.0 + pull)) - aim
        held = drive.mean_slope * slope / (np.exp(level) + slope)
        step = -lack / (1.0 + np.real(pull / (1.0 + pull)) * (held + drive.share_slope))
        low, high = np.where(lack < 0.0, place, low), np.where(lack > 0.0, place, high)
        inside = (place + step > low) & (place + step < high) & (np.abs(step) < 0.5 * last)
        step = np.where(inside | (np.abs(step) < _CLOSE), step, 0.5 * (low + high) - place)
        place, last = place + step, np.abs(step)
        result[index] = place
        going = last >= _CLOSE
        if not np.any(going):
            break
        aim, slope, shift, low, high, place, last = (
            part[going] for part in (aim, slope, shift, low, high, place, last)
        )
        source, index = source[going], index[going]
    return result.reshape(shape)


def _newton(network: Network, state: Found, line: Array, short: Array, most: float) -> _Step:
    """Newton's rule on all unknowns together; the mean output ties the points of a cycle, and is taken out by hand.

    Args:
        network, state: the equations, and where they are taken.
        line: 1 + j of the load line.
        short: by how much 1 + j of the diode is above it.
        most: by which x0 may change, as a part of one and itself.
    """
    cycle, swing = state.cycle, slice(1, None)
    pull = network.source * np.exp(cycle.uptake)
    off_source = state.log_drive + np.log(np.abs(1.0 + pull)) - network.aim
    weight = np.real(pull / (1.0 + pull))
    stiffness = 1.0 + weight * cycle.uptake_by_drive
    lift = cycle.level_by_drive / stiffness
    against = line * (cycle.level_by_output - lift * weight * cycle.uptake_by_output) - network.slope
    still, follow = (line * lift * off_source - short) / against, -1.0 / against
    move = np.zeros_like(state.mean)
    if np.any(network.apart):
        gain = 1.0 - np.mean((follow * network.apart)[:, swing], axis=1, keepdims=True)
        move = (np.mean((state.x + still)[:, swing], axis=1, keepdims=True) - state.mean) / gain
        bound = most * (1.0 + np.abs(state.mean))
        move = np.clip(move, -bound, bound)
    rise = still + follow * network.apart * move
    return _Step(-(off_source + weight * cycle.uptake_by_output * rise) / stiffness, rise, move)


def _without_bulk(network: Network) -> Found:
    """The points of a diode without bulk: x follows from ln u and x0 in closed form, so that only those are stepped."""
    mean = np.zeros((network.aim.shape[0], 1))
    if np.any(network.apart):
        carrier = network.carrier
        drive = drive_curve(_at_known_line(carrier, -carrier.bias))
        mean = output(drive.mean, carrier.slope, -carrier.bias)[0]
    log_drive = _at_known_line(network, network.apart * mean - network.bias)

    def at(some: Network, log_drive: Array, mean: Array) -> Found:
        drive = drive_curve(log_drive)
        x, level = output(drive.mean, some.slope, some.apart * mean - some.bias)
        return Found(log_drive, x, mean, ideal_cycle(drive, level))

    rows = np.arange(mean.size)
    for _ in range(_MOST_STEPS):
        some = network.only(rows)
        state = at(some, log_drive[rows], mean[rows])
        step = _newton(some, state, np.exp(state.cycle.level), np.zeros(()), np.inf)
        log_drive[rows] += step.drive
        mean[rows] += step.move
        rows = rows[~step.is_last(state.x)]
        if not rows.size:
            break
    return at(network, log_drive, mean)


def _with_bulk(network: Network, start: Found) -> Found:
    """The points of a diode with bulk, from those without.

    x runs along with u when the diode detects well, and the load line ends where the diode is cut off; steps are bent
    and shortened so that they respect both.
    """
    bulk = np.maximum(network.bulk, 1e-200)
    log_drive, x, mean = (part.copy() for part in start[:3])
    rows = np.arange(mean.size)
    for _ in range(_MOST_STEPS):
        some = network.only(rows)
        state = Found(log_drive[rows], x[rows], mean[rows], bulky_cycle(log_drive[rows], x[rows], bulk[rows]))
        level = state.cycle.level
        line = 1.0 + some.slope * state.x - (some.apart * state.mean - some.bias)
        short = np.exp(np.minimum(level, 0.0)) - line
        flowing = line > _CUT_OFF
        line = np.maximum(line, _CUT_OFF)
        short = np.where(flowing, line * (level - np.log(line)), short)
        step = _newton(some, state, line, short, _LONGEST_MOVE)
        jump = np.abs(state.cycle.level_by_drive * step.drive + state.cycle.level_by_output * step.rise)
        share = 1.0 / np.maximum(1.0, np.maximum(np.abs(step.drive) / _LONGEST_STEP, jump / _LONGEST_JUMP))
        ahead = share * step.drive
        rise = share * step.rise + np.exp(state.log_drive) * (np.expm1(ahead) - ahead)
        growth = (some.slope * rise - some.apart * step.move) / line
        bent = line * np.expm1(np.minimum(growth, 0.0)) + some.apart * step.move
        rise = np.where(growth < -0.5, bent / np.where(some.slope > 0.0, some.slope, 1.0), rise)
        log_drive[rows] += ahead
        x[rows] += rise
        mean[rows] += step.move
        rows = rows[~step.is_last(state.x)]
        if not rows.size:
            break
    return Found(log_drive, x, mean, bulky_cycle(log_drive, x, bulk))
