"""Several carriers on one detector: what `calc.mixing` describes, worked out.

In units of the diode's own throughout: voltages in nVt, currents in Is, impedances in the zero-bias resistance. A row
is a tuning; the first two of its stations are the strongest at the detector, the pair of `calc.detectors.pair`; the
rest are taken by their squares.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.detectors import pair
from calc.detectors.diode import Diode
from calc.detectors.drive_curve import Drive, drive_curve
from calc.detectors.envelope import Sidebands, output_swing, slopes
from calc.detectors.loaded import LoadLine, settle
from calc.detectors.pair import CUT_OFF, PHASES, Beat, Circuit
from calc.detectors.rectifier import output
from calc.detectors.search import ComplexArray
from calc.units import Array

_ROUNDS = 4
"""Of pair and lesser stations in turn."""
_ROUGH = 1e-3
"""Of ln u: near enough for all rounds but the last."""
_MOST_STEPS = 60
_LOST = 0.1
"""Of a drive's logarithm, that is a decibel: farther from its source than that a search has lost its way."""


class Mixed(NamedTuple):
    """What the others do to each station.

    Attributes:
        strongest: which is strongest at the detector, [rows].
        kept: a shallow programme's amplitude over what it would be alone, [rows, stations].
        beat: amplitude of the beat with the strongest, on the load, [rows, stations] [V].
    """

    strongest: npt.NDArray[np.intp]
    kept: Array
    beat: Array


class Images(NamedTuple):
    """Impedance of the source as far on the other side of a station (the first axis of stations) as another (the
    second) is on its own, [rows, stations, stations] [ohm].

    Attributes:
        at: there.
        above: a note above that.
        below: a note below it.
    """

    at: ComplexArray
    above: ComplexArray
    below: ComplexArray


class _Rows(NamedTuple):
    """Sources and load; the pair's columns first.

    Attributes:
        aim: logarithms of the open voltages, [rows, stations].
        source: impedances, [rows, stations].
        image: impedances on the far side of the strongest, [rows, stations].
        circuit: of the pair.
        direct: admittance of the load to d.c., [rows, 1].
        near: size of its admittance to the pair's beat, [rows, 1].
        rest: its admittance to the others' beats with the strongest, [rows, stations - 2].
    """

    aim: Array
    source: ComplexArray
    image: ComplexArray
    circuit: Circuit
    direct: Array
    near: Array
    rest: ComplexArray


class _Rest(NamedTuple):
    """The lesser stations.

    Attributes:
        log_drive: ln u, [rows, stations - 2].
        flow: 1 + I/Is at each point with which they are reckoned, [rows, phases].
        part: how much of what each adds by its square comes into effect, [rows, phases, stations - 2].
        follow: output that follows each one's beat, over its u, the same shape.
        give: change of ln u by that of the open voltage, [rows, stations - 2].
        drive: u through the diode's curve.
    """

    log_drive: Array
    flow: Array
    part: Array
    follow: ComplexArray
    give: Array
    drive: Drive

    @property
    def added(self) -> Array:
        """What all of them add to ln I0, [rows, phases]."""
        return np.asarray(np.sum(self.part * self.drive.mean[:, None, :], axis=2))


def mix(
    diode: Diode,
    line: LoadLine,
    admittance: Callable[[Array], Any],
    open_peak: Array,
    impedance: ComplexArray,
    images: Images,
    bands: Sidebands,
    frequency: Array,
    note: float,
    slowest: float,
) -> Mixed:
    """What stations on one detector do to each other.

    Args:
        diode: the diode; its bulk is left out.
        line: of the load to d.c. and to slow audio.
        admittance: of the load at frequencies [Hz], [S].
        open_peak: of each station's source, two stations at least, [rows, stations] [V].
        impedance: of the source at each carrier, [rows, stations] [ohm].
        images: of the source.
        bands: the source at the sidebands of a note, [rows, stations].
        frequency: of the carriers, [stations] [Hz].
        note: its frequency [Hz].
        slowest: beat below which the load is taken as at it [Hz].
    """
    junction = replace(diode, series_resistance=0.0)
    thermal, zero_bias = float(junction.thermal_voltage), float(junction.zero_bias_resistance)
    settled = settle(junction, line, open_peak[..., None], impedance)
    peak = settled.peak_voltage[..., 0]
    order = np.argsort(-peak, axis=1, kind="stable")
    places = np.arange(order.shape[0])

    def sort(values: Any) -> Any:
        return np.take_along_axis(np.broadcast_to(values, order.shape), order, axis=1)

    def load_at(hertz: Array) -> ComplexArray:
        there = zero_bias * np.asarray(admittance(np.maximum(np.abs(hertz), slowest)), dtype=np.complex128)
        return np.where(hertz < 0.0, np.conj(there), there)

    def around(carriers: ComplexArray, mirrored: ComplexArray) -> ComplexArray:
        """Impedances at each of `pair.ORDERS`."""
        one, two = order[:, 0], order[:, 1]
        images_ = np.stack([mirrored[places, one, two], mirrored[places, two, one]], axis=1)
        both: ComplexArray = np.concatenate([sort(carriers)[:, :2], images_], axis=1)
        return np.divide(both, zero_bias)

    apart = frequency[order] - frequency[order[:, :1]]
    harmonics = np.fft.fftfreq(PHASES, 1.0 / PHASES)
    swings = load_at(apart[:, 1:2] * harmonics)
    swings[:, PHASES // 2] = np.real(swings[:, PHASES // 2])
    direct: Array = np.full((order.shape[0], 1), zero_bias * line.direct)
    swings[:, :1] = direct
    aim = sort(np.log(open_peak / thermal))
    rows = _Rows(
        aim=aim,
        source=sort(impedance) / zero_bias,
        image=sort(images.at[places, order[:, 0]]) / zero_bias,
        circuit=Circuit(
            aim=aim[:, :2],
            source=around(impedance, images.at),
            load=_circulant(swings).real,
            bias=direct * line.bias / thermal,
        ),
        direct=direct,
        near=np.abs(swings[:, 1:2]),
        rest=load_at(apart[:, 2:]),
    )
    beat, others = _settled(rows, sort(np.log(peak / thermal)))
    at = pair.balance(rows.circuit, beat, others.added)
    swing = pair.note_swing(
        beat,
        at,
        pair.Note(
            above=around(bands.upper_impedance, images.above),
            below=around(bands.lower_impedance, images.below),
            upper=sort(bands.upper_ratio)[:, :2],
            lower=sort(bands.lower_ratio)[:, :2],
            load=_circulant(load_at(apart[:, 1:2] * harmonics + note)),
        ),
    )
    lesser = _lesser_gains(rows, at, others, zero_bias * (line.audio - line.direct))
    by_note, slowly = (
        output_swing(slopes(junction, settled), peak, impedance, *what)
        for what in ((bands, admittance(np.array(note))), (Sidebands.like_carrier(impedance), line.audio))
    )
    alone = np.concatenate([np.abs(sort(by_note))[:, :2], np.abs(sort(slowly))[:, 2:]], axis=1)
    first = 2.0 * np.abs(np.mean(beat.x * pair.turning()[1], axis=1, keepdims=True))
    whistles = np.abs(np.mean(others.follow, axis=1)) * np.exp(others.log_drive)
    voltage = thermal * np.concatenate([np.zeros_like(first), first, whistles], axis=1)
    kept = thermal * np.concatenate([np.abs(swing), np.abs(lesser)], axis=1) / alone
    back = np.argsort(order, axis=1)
    return Mixed(order[:, 0], np.take_along_axis(kept, back, axis=1), np.take_along_axis(voltage, back, axis=1))


def _circulant(spectrum: ComplexArray) -> ComplexArray:
    """Current at each point of a beat per output at each, of admittances at its harmonics in the order of an fft."""
    points = np.arange(PHASES)
    return np.asarray(np.fft.ifft(spectrum, axis=1)[:, (points[:, None] - points) % PHASES])


def _settled(rows: _Rows, log_drive: Array) -> tuple[Beat, _Rest]:
    """The pair and the rest in turn, from the drives that each station would have alone."""
    standing, level, still = _standing(rows, log_drive)
    none = np.zeros((log_drive.shape[0], 2), dtype=np.complex128)
    length = pair.envelope(log_drive, none).drive.mean
    bias = rows.circuit.bias
    mean = np.mean(output(length, rows.direct, -bias)[0], axis=1, keepdims=True)
    x = output(length, rows.near, (rows.near - rows.direct) * mean - bias)[0]
    # Where the load is less to the beat than the detector's output the output rather stands still.
    stands = rows.near > 0.3 * np.exp(level)
    log_drive, x = np.where(stands, standing, log_drive), np.where(stands, still, x)
    beat = Beat(log_drive[:, :2], none, x)
    rest = _rest(rows, beat, log_drive[:, 2:])
    rounds = _ROUNDS if log_drive.shape[1] > 2 else 1
    for left in reversed(range(rounds)):
        beat = pair.settled(rows.circuit, beat, rest.added, _ROUGH if left else pair.NEAR)
        rest = _rest(rows, beat, rest.log_drive)
    wrong = pair.balance(rows.circuit, beat, rest.added).wrong
    lost = ~(np.max(np.abs(wrong), axis=1) < _LOST)[:, None]
    if np.any(lost):
        x = np.broadcast_to(still, x.shape)
        beat = Beat(*(np.where(lost, a, b) for a, b in zip((standing[:, :2], none, x), beat, strict=True)))
        rest = _rest(rows, beat, np.where(lost, standing[:, 2:], rest.log_drive))
    return beat, rest


def _standing(rows: _Rows, log_drive: Array) -> tuple[Array, Array, Array]:
    """ln u of all stations, ln(1 + I/Is) and x for an output that stands still over all beats, without images.

    The mean current is then exp(-x) times the product of all I0(u), and each carrier meets what it would meet alone at
    that mean current.
    """
    for _ in range(_MOST_STEPS):
        drive = drive_curve(log_drive)
        x, level = output(np.sum(drive.mean, axis=1, keepdims=True), rows.direct, -rows.circuit.bias)
        pull = rows.source * np.exp(level + drive.share)
        wrong = log_drive + np.log(np.abs(1.0 + pull)) - rows.aim
        weight = np.real(pull / (1.0 + pull))
        rates = (weight * rows.direct / (np.exp(level) + rows.direct))[..., None] * drive.mean_slope[:, None, :]
        rates += np.eye(log_drive.shape[1]) * (1.0 + weight * drive.share_slope)[..., None]
        step = np.clip(-np.linalg.solve(rates, wrong[..., None])[..., 0], -0.3, 0.3)
        log_drive = log_drive + step
        if np.all(np.abs(step) < 1e-6):
            break
    return log_drive, level, x


def _rest(rows: _Rows, beat: Beat, log_drive: Array) -> _Rest:
    """The lesser stations as the pair leaves them: how their beats are followed, their drives, what they add."""
    at = pair.envelope(beat.log_drive, beat.image)
    bend = (at.drive.mean_slope / at.length)[..., None]
    round_ = bend / at.length[..., None]
    flow = np.maximum(rows.circuit.line(beat.x), CUT_OFF)
    here = flow[..., None]
    follow = bend * here / (rows.rest[:, None, :] + here)
    # current at the station's own frequency and at its image's, by its voltage; the image's voltage over the station's
    same = np.mean(here * (1.0 - bend * follow), axis=1)
    crossed = np.mean(here * (1.0 - 2.0 * round_ - bend * follow), axis=1)
    beyond = np.conj(rows.image[:, 2:])
    image = -beyond * crossed / (1.0 + beyond * same)
    along, across = np.abs(1.0 + image[:, None, :]) ** 2, np.abs(1.0 - image[:, None, :]) ** 2
    part = round_ * across + (1.0 - round_ - 2.0 * bend * np.real(follow) + np.abs(follow) ** 2) * along
    seen = rows.source[:, 2:] * (same + crossed * image)
    for _ in range(_MOST_STEPS):
        drive = drive_curve(log_drive)
        pull = seen * np.exp(drive.share)
        wrong = log_drive + np.log(np.abs(1.0 + pull)) - rows.aim[:, 2:]
        give = 1.0 / (1.0 + np.real(pull / (1.0 + pull)) * drive.share_slope)
        step = np.clip(-wrong * give, -1.0, 1.0)
        log_drive = log_drive + step
        if np.all(np.abs(step) < 1e-9):
            break
    return _Rest(log_drive, flow, part, follow * (1.0 + image[:, None, :]), give, drive_curve(log_drive))


def _lesser_gains(rows: _Rows, at: pair.Balance, rest: _Rest, apart: Any) -> Array:
    """Change of the mean output by the logarithm of each lesser station's open voltage, slowly, [rows, stations - 2].

    Args:
        rows, at, rest: where the search came to rest.
        apart: how much more the load takes of slow audio than of d.c.
    """
    load = rows.circuit.load + apart / PHASES
    rates, follow = pair.reduced(at, load)
    gain = np.linalg.solve(np.swapaxes(rates, 1, 2), np.mean(follow, axis=1)[..., None])[..., 0]
    forward = np.exp(at.level)[..., None]
    more = rest.part * rest.drive.mean_slope[:, None, :]
    lift = np.linalg.solve(load + forward * np.eye(PHASES), forward * more)
    # what is added to ln I0 moves the pair's balance as outputs lower by as much would
    upset = at.by_output @ (lift - more)
    return np.asarray((np.mean(lift, axis=1) - np.einsum("rn,rnj->rj", gain, upset)) * rest.give)
