"""The search for the operating points of `calc.detectors.loaded`: Newton's rule, with bounds where it needs them.

Everything is in units of the diode's own: voltages in nVt, currents in Is, impedances in the zero-bias resistance. A
row is a source: its bare carrier, then the points of its modulation cycle. A row that has come to rest is put by, so
that no row's result hangs on its neighbours.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.detectors.drive_curve import drive_curve
from calc.detectors.junction import SLIGHT, Cycle, bulky_cycle, ideal_cycle, slightly_bulky_cycle
from calc.detectors.rectifier import output
from calc.roots import rising_root
from calc.units import Array

ComplexArray = npt.NDArray[np.complex128]

_MOST_STEPS = 200
_CLOSE = 0.03
"""Of ln u: from where Newton's rule needs no bounds."""
_NEXT = 0.5
"""Of a step, times how steeply the current rises: below, and where nothing cuts the diode off, the next step would be
as small as that."""
_NEAR = 2e-6
"""Of ln u, and of levels and outputs as a part of themselves, or of one where they are more: so small a step is the
last, the next being of the order of its square."""
_ROUGH = 0.3
"""The same for diodes without bulk that only stand in for those with it: the bulk moves them as far again."""
_FIRST = 1e-6
"""The same for the currents of guesses."""
_FAR = 1.0
"""Of the logarithms of envelope and drive, and of ln(1 + I/Is): so far a cycle's points are guessed from the
carrier's."""
_LONGEST, _PATIENCE = 3.0, 25
"""Of ln u: no step is longer; and after so many steps the mean output is searched for by itself."""
_LONG = 0.5
"""Of ln(1 + I/Is): a longer step is not trusted, and the load line is gone through anew."""
_FAINT = -30.0
"""Of ln(1 + I/Is): a diode that is cut off further is not left to a series."""
_BLOCK = 512
"""Rows with bulk that are worked out at a time: each point of each has a whole cycle of the carrier in memory."""
_LONGEST_STEP, _LONGEST_MOVE, _LONGEST_JUMP = 0.5, 0.2, 3.0
"""With bulk: most by which ln u, the mean output (as a part of one and itself) and ln(1 + I/Is) change in a step."""
_SETTLED_BY, _WIDE = 15, 0.01
"""With bulk: a row that still goes on after so many steps may be going in circles. From then on half a step is taken
where the mean output would change by more, as a part of one and itself."""
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

    def only(self, rows: npt.NDArray[np.intp] | npt.NDArray[np.bool_]) -> "Network":
        """Some of the rows."""
        return Network(
            self.aim[rows], self.source[rows], self.slope[rows], self.apart[rows], self.bias[rows], self.bulk[rows]
        )

    @property
    def carrier(self) -> "Network":
        """The bare carriers by themselves."""
        return Network(self.aim[:, :1], self.source, self.slope[:, :1], self.apart[:, :1], self.bias[:, :1], self.bulk)

    def about(self, mean: Array) -> "Network":
        """The same with the mean output of the cycle known, so that each point is by itself."""
        return self._replace(apart=np.zeros_like(self.apart), bias=self.bias - self.apart * mean)


class Found(NamedTuple):
    """Operating points: ln u and x, [rows, points], the mean x0 of x over the modulation, [rows, 1], and the cycles of
    the carrier there."""

    log_drive: Array
    x: Array
    mean: Array
    cycle: Cycle


class _Step(NamedTuple):
    """A step of Newton's rule: of ln u, of ln(1 + I/Is) or x, of x0."""

    drive: Array
    rise: Array
    move: Array

    def is_last(self, size: Array, x: Array, near: float = _NEAR) -> npt.NDArray[np.bool_]:
        """Of which rows it is the last, [rows]; `size` is what it changes by `rise`, `near` how small is small."""
        along = np.abs(self.drive).max(axis=1) < near
        up = np.abs(self.rise).max(axis=1) <= near * np.minimum(np.abs(size).max(axis=1), 1.0)
        over = np.abs(self.move[:, 0]) <= near * np.minimum(np.abs(x).max(axis=1), 1.0)
        return np.asarray(along & up & over)


def search(network: Network) -> Found:
    """The operating points of all rows."""
    if network.bulk.any():
        return _with_bulk(network, _without_bulk(network, _ROUGH))
    return _without_bulk(network)


def _at_known_line(network: Network, shift: Array) -> Array:
    """ln u of diodes without bulk on load lines that are wholly known, j = slope x - shift: to within a few percent,
    and closer where a bias all but cuts the diode off, so that its current rises steeply.

    What the source lacks, ln u + ln|1 + Z/R(u)| - aim, rises with the drive. It is not above zero where the detector
    takes the most that it takes anywhere between no drive and the open voltage, and not below at the open voltage.
    Newton's rule between those bounds, halving where it would leave them or creep.
    """
    shape = np.broadcast_shapes(network.aim.shape, shift.shape)
    aim, slope, shift = (np.broadcast_to(part, shape).ravel() for part in (network.aim, network.slope, shift))
    source: ComplexArray = np.broadcast_to(network.source, shape).ravel()
    at_rest = output(np.zeros(()), slope, shift, _FIRST)[1]
    result: Array = aim.copy()
    index: npt.NDArray[np.intp] = np.arange(aim.size)
    low, high, place, last = aim, aim, aim, np.full(aim.shape, np.inf)
    for steps in range(_MOST_STEPS):
        drive = drive_curve(place)
        level = output(drive.mean, slope, shift, _FIRST)[1]
        if steps == 0:
            most = np.maximum(at_rest, level + drive.share)
            low = aim - np.log1p(np.abs(source) * np.exp(most)) - _FIRST
        pull = source * np.exp(level + drive.share)
        lack = place + np.log(np.abs(1.0 + pull)) - aim
        held = drive.mean_slope * slope / (np.exp(level) + slope)
        growth = held + drive.share_slope
        if steps == 0:
            # at the open voltage uptake grows less than on the way down from there
            growth = np.maximum(growth, 1.0)
        step = -lack / (1.0 + np.real(pull / (1.0 + pull)) * growth)
        low, high = np.where(lack < 0.0, place, low), np.where(lack > 0.0, place, high)
        inside = (place + step > low) & (place + step < high) & (np.abs(step) < 0.5 * last)
        steepness = np.maximum(1.0, (_CLOSE / _LONG) * held)
        step = np.where(inside | (np.abs(step) * steepness < _CLOSE), step, 0.5 * (low + high) - place)
        place, last = place + step, np.abs(step)
        result[index] = place
        # a first step is no whole step of Newton's
        soon = (shift <= 0.0) & (last * np.maximum(1.0, held) < _NEXT) & (steps > 0)
        going = (last * steepness >= _CLOSE) & ~soon
        if not np.any(going):
            break
        aim, slope, shift, low, high, place, last = (
            part[going] for part in (aim, slope, shift, low, high, place, last)
        )
        source, index = source[going], index[going]
    return result.reshape(shape)


def _start(network: Network) -> tuple[Array, Array, Array]:
    """ln u, ln(1 + I/Is) and x0 of diodes without bulk, to begin with.

    The bare carriers come first. The points of a shallow cycle follow by their slopes along the load line to audio,
    which runs through the carrier's point if the mean output is the carrier's; those of a deep one are searched for.
    """
    carrier = network.carrier
    log_drive = _at_known_line(carrier, -carrier.bias)
    drive = drive_curve(log_drive)
    mean, level = output(drive.mean, carrier.slope, -carrier.bias, _FIRST)
    if network.aim.shape[1] == 1:
        return log_drive, level, mean
    pull = network.source * np.exp(level + drive.share)
    weight = np.real(pull / (1.0 + pull))
    wrong = log_drive + np.log(np.abs(1.0 + pull)) - carrier.aim
    rise = drive.mean_slope * network.slope / (np.exp(level) + network.slope)
    follow = 1.0 / (1.0 + weight * (rise + drive.share_slope))
    away = network.aim - carrier.aim
    ahead = follow * (away - wrong)
    points, levels = log_drive + ahead, level + rise * ahead
    far = np.flatnonzero(np.max(np.abs([away, ahead, levels - level]), axis=(0, 2)) > _FAR)
    if far.size:
        some = network.only(far)
        shift = some.apart * mean[far] - some.bias
        points[far] = _at_known_line(some, shift)
        levels[far] = output(drive_curve(points[far]).mean, some.slope, shift, _FIRST)[1]
    return points, levels, mean


def _without_bulk(network: Network, near: float = _NEAR) -> Found:
    """The points of a diode without bulk: Newton's rule on ln u, l = ln(1 + I/Is) and x0 together, until a step is as
    small as `near`.

    On the load line g l + exp(l) - 1 = g ln I0(u) - k, as in `calc.detectors.rectifier.output`.
    """
    log_drive, level, mean = _start(network)
    first, stray = mean.copy(), np.zeros(0, dtype=np.intp)
    rows: npt.NDArray[np.intp] = np.arange(log_drive.shape[0])
    coupled = bool(network.apart.any())
    some, u, flow, x0 = network, log_drive, level, mean
    for steps in range(_MOST_STEPS):
        drive = drive_curve(u)
        shift = some.apart * x0 - some.bias if coupled else -some.bias
        forward = np.exp(flow)
        pull = some.source * (forward * np.exp(drive.share))
        weight = np.real(pull / (1.0 + pull))
        off_source = u + np.log(np.abs(1.0 + pull)) - some.aim
        off_line = some.slope * (flow - drive.mean) + np.expm1(flow) + shift
        give = 1.0 / (1.0 + weight * (drive.mean_slope + drive.share_slope))
        held = forward * drive.mean_slope * give
        against = 1.0 / (some.slope + forward * give * (1.0 + weight * drive.share_slope))
        rise, move = (off_line - held * off_source) * against, np.zeros_like(x0)
        x = drive.mean - flow
        if coupled:
            follow = some.apart * against
            move = (_over_cycle(x + rise) - x0) / (1.0 - _over_cycle(follow))
            rise += follow * move
        ahead = np.minimum(np.maximum((weight * rise - off_source) * give, -_LONGEST), _LONGEST)
        step = _Step(ahead, drive.mean_slope * ahead - rise, move)
        going = ~step.is_last(flow, x, near)
        u, flow, x0 = u + step.drive, flow + step.rise, x0 + step.move
        long = np.abs(step.rise).max(axis=1) > _LONG
        if long.any():
            exact = output(drive_curve(u[long]).mean, some.slope[long], (some.apart * x0 - some.bias)[long])[1]
            flow[long] = exact
        log_drive[rows], level[rows], mean[rows] = u, flow, x0
        if not going.any():
            break
        if coupled and steps == _PATIENCE:
            stray = rows[going]
            break
        if not going.all():
            rows, some, u, flow, x0 = rows[going], some.only(going), u[going], flow[going], x0[going]
    if stray.size:
        found = _by_mean(network.only(stray), first[stray])
        log_drive[stray], level[stray], mean[stray] = found.log_drive, found.cycle.level, found.mean
    drive = drive_curve(log_drive)
    shift = network.apart * mean - network.bias
    x = np.where(network.slope < 1.0, drive.mean - level, (np.expm1(level) + shift) / np.maximum(network.slope, 1.0))
    return Found(log_drive, x, mean, ideal_cycle(drive, level))


def _by_mean(network: Network, mean: Array) -> Found:
    """The points by search for the mean output alone: what comes of a mean rises less than the mean, so that there is
    one root. For loads so unlike to d.c. and to audio that Newton's rule goes astray.

    Args:
        network: the rows.
        mean: x0 to begin with.
    """

    found = search(network.about(mean))

    def excess(x0: Array) -> Array:
        nonlocal found
        known = network.about(x0)
        found = _with_bulk(known, found) if network.bulk.any() else _without_bulk(known)
        return x0 - _over_cycle(found.x)

    low, high, reach = mean, mean, 1.0 + np.abs(mean)
    below = above = excess(mean)
    for _ in range(_MOST_STEPS):
        down, up = below > 0.0, above < 0.0
        if not (down | up).any():
            break
        out = np.where(down, low - reach, high + reach)
        there = excess(out)
        low, high, below, above = (
            np.where(down, out, np.where(up, high, low)),
            np.where(down, low, np.where(up, out, high)),
            np.where(down, there, np.where(up, above, below)),
            np.where(down, below, np.where(up, there, above)),
        )
        reach = 2.0 * reach
    root = rising_root(excess, low, high, (below, above))
    excess(root)
    return found._replace(mean=root)


def _with_bulk(network: Network, start: Found) -> Found:
    """The points of a diode with bulk, from those without: by series where the bulk keeps little, else point by point
    over the carrier's cycle."""
    bulk = np.maximum(network.bulk, 1e-200)
    crest = np.max(np.log(bulk) + bulk + np.exp(start.log_drive) - start.x, axis=1)
    empty = Cycle(*np.empty((6, *start.x.shape)))
    result = Found(start.log_drive.copy(), start.x.copy(), start.mean.copy(), empty)
    slight = (crest < np.log(SLIGHT)) & (start.cycle.level.min(axis=1) > _FAINT)
    blocks = [np.arange(first, min(first + _BLOCK, slight.size)) for first in range(0, slight.size, _BLOCK)]
    astray = [rows for block in blocks if (rows := _bulk_search(network, result, block, slight)).size]
    if astray and network.apart.any():
        stray = np.concatenate(astray)
        found = _by_mean(network.only(stray), start.mean[stray])
        for whole, part in zip((*result[:3], *result.cycle), (*found[:3], *found.cycle), strict=True):
            whole[stray] = part
    return result


def _cycle_at(log_drive: Array, output: Array, bulk: Array, slight: npt.NDArray[np.bool_]) -> Cycle:
    """The carrier's cycles of rows, by series in those where the bulk keeps little."""
    bulk = np.maximum(bulk, 1e-200)
    if slight.all():
        return slightly_bulky_cycle(log_drive, output, bulk)
    if not slight.any():
        return bulky_cycle(log_drive, output, bulk)
    found = Cycle(*np.empty((6, *output.shape)))
    for rows, cycle_at in ((slight, slightly_bulky_cycle), (~slight, bulky_cycle)):
        for whole, part in zip(found, cycle_at(log_drive[rows], output[rows], bulk[rows]), strict=True):
            whole[rows] = part
    return found


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # what comes of that is looked at after each step
def _bulk_search(
    network: Network, result: Found, rows: npt.NDArray[np.intp], slight: npt.NDArray[np.bool_]
) -> npt.NDArray[np.intp]:
    """Bring some rows of a result to rest; gives those that lead beyond all numbers.

    x runs along with u when the diode detects well, so steps are bent; and they are shortened where the current would
    change too much.
    """
    log_drive, x, mean = result[:3]
    some = network.only(rows)
    u, out, x0 = log_drive[rows], x[rows], mean[rows]
    lost: list[npt.NDArray[np.intp]] = []
    for steps in range(_MOST_STEPS):
        state = Found(u, out, x0, _cycle_at(u, out, some.bulk, slight[rows]))
        level = state.cycle.level
        current = some.slope * out - (some.apart * x0 - some.bias)
        line = 1.0 + current
        flowing = np.maximum(line, _CUT_OFF)
        short = flowing * (level - np.log1p(np.maximum(current, _CUT_OFF - 1.0)))
        if (line <= _CUT_OFF).any():
            short = np.where(line > _CUT_OFF, short, np.exp(np.minimum(level, 0.0)) - line)
        step = _newton(some, state, flowing, short)
        jump = np.abs(state.cycle.level_by_drive * step.drive + state.cycle.level_by_output * step.rise)
        share = 1.0 / np.maximum(1.0, np.maximum(np.abs(step.drive) / _LONGEST_STEP, jump / _LONGEST_JUMP))
        if steps >= _SETTLED_BY:
            half = np.where(np.abs(step.move) > _WIDE * (1.0 + np.abs(x0)), 0.5, 1.0)
            share, step = half * share, step._replace(move=half * step.move)
        ahead = share * step.drive
        rise = share * step.rise + np.exp(u) * (np.expm1(ahead) - ahead)
        going = ~(step.is_last(out, out) & (jump.max(axis=1) < _NEAR))
        u, out, x0 = u + ahead, out + rise, x0 + step.move
        there = (u, out, x0, *state.cycle.moved(ahead, rise))
        sound = np.isfinite((u + out).sum(axis=1))
        if not sound.all():
            lost.append(rows[~sound])  # as they were before this step
            rows, some, going, u, out, x0 = rows[sound], some.only(sound), going[sound], u[sound], out[sound], x0[sound]
            there = tuple(part[sound] for part in there)
        for whole, part in zip((log_drive, x, mean, *result.cycle), there, strict=True):
            whole[rows] = part
        if not going.any():
            break
        if not going.all():
            rows, some, u, out, x0 = rows[going], some.only(going), u[going], out[going], x0[going]
    return np.concatenate(lost) if lost else np.zeros(0, dtype=np.intp)


def _over_cycle(values: Array) -> Array:
    """Mean over the points of the modulation's cycle, [rows, 1]."""
    return np.asarray(values[:, 1:].sum(axis=1, keepdims=True) / (values.shape[1] - 1))


def _newton(network: Network, state: Found, line: Array, short: Array) -> _Step:
    """Newton's rule on all unknowns together; the mean output ties the points of a cycle, and is taken out by hand.

    Args:
        network, state: the equations, and where they are taken.
        line: 1 + j of the load line.
        short: by how much 1 + j of the diode is above it.
    """
    cycle = state.cycle
    pull = network.source * np.exp(cycle.uptake)
    off_source = state.log_drive + np.log(np.abs(1.0 + pull)) - network.aim
    weight = np.real(pull / (1.0 + pull))
    stiffness = 1.0 + weight * cycle.uptake_by_drive
    lift = cycle.level_by_drive / stiffness
    against = line * (cycle.level_by_output - lift * weight * cycle.uptake_by_output) - network.slope
    still, follow = (line * lift * off_source - short) / against, -1.0 / against
    move = np.zeros_like(state.mean)
    if network.apart.any():
        move = (_over_cycle(state.x + still) - state.mean) / (1.0 - _over_cycle(follow * network.apart))
        bound = _LONGEST_MOVE * (1.0 + np.abs(state.mean))
        move = np.minimum(np.maximum(move, -bound), bound)
    rise = still + follow * network.apart * move
    return _Step(-(off_source + weight * cycle.uptake_by_output * rise) / stiffness, rise, move)
