"""Two carriers on one detector, point by point over their beat: the search behind `calc.detectors.beat`.

In units of the diode's own throughout: voltages in nVt, currents in Is, impedances in the zero-bias resistance. A row
is a tuning. With u1 and u2 the pair at the detector, p the phase of the beat, and w the images over u2 that the
detector makes of either on the far side of the other, the tank's complex envelope is

    a = u1 + u2 (exp(jp) + w1 exp(-jp) + w2 exp(2jp))

At each point the mean current exp(ln I0(|a|) - x) - 1 meets the load, which knows the outputs x at all points; and the
current that goes round with each of the four meets the source at its frequency.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.detectors.drive_curve import Drive, drive_curve
from calc.detectors.search import ComplexArray
from calc.units import Array

PHASES = 32
"""Points of a beat."""
ORDERS = np.array([0, 1, -1, 2])
"""Of the carriers and images: multiples of the beat from the first carrier."""
CUT_OFF = 1e-2
"""1 + I/Is below which the balance of currents is no longer taken by logarithms."""

_MOST_STEPS, _MOST_INNER_STEPS = 60, 40
NEAR = 1e-9
"""Of ln u, of w, and of outputs as a part of themselves: a step so small is the last."""
_LONGEST_STEP, _LONGEST_JUMP = 0.3, 3.0
"""Most by which ln u or w, and ln(1 + I/Is), change in a step."""
_FIRM = 1e-9 * np.eye(6)
"""Keeps a pair that hangs on nothing from being singular."""


class Circuit(NamedTuple):
    """Sources and load of a pair.

    Attributes:
        aim: logarithms of the open voltages, [rows, 2].
        source: impedance of the source at each, and at the images, [rows, 4].
        load: current at each point of the beat by the output at each, [rows, phases, phases].
        bias: current that the bias drives through the load's resistance to d.c., [rows, 1].
    """

    aim: Array
    source: ComplexArray
    load: Array
    bias: Array

    def only(self, rows: npt.NDArray[np.intp]) -> "Circuit":
        """Some of the rows."""
        return Circuit(self.aim[rows], self.source[rows], self.load[rows], self.bias[rows])

    def line(self, x: Array) -> Array:
        """1 + j that the load draws at each point of the beat."""
        return np.asarray(1.0 + np.einsum("rij,rj->ri", self.load, x) + self.bias)


class Beat(NamedTuple):
    """Where a pair stands.

    Attributes:
        log_drive: ln u1 and ln u2, [rows, 2].
        image: w1 and w2, [rows, 2].
        x: output at each point of the beat, [rows, phases].
    """

    log_drive: Array
    image: ComplexArray
    x: Array

    def only(self, rows: npt.NDArray[np.intp]) -> "Beat":
        """Some of the rows."""
        return Beat(self.log_drive[rows], self.image[rows], self.x[rows])


@cache
def angles() -> Array:
    """Phases of the beat at its points, none where two alike carriers would cancel."""
    return np.asarray(TWO_PI * (np.arange(PHASES) + 0.5) / PHASES)


@cache
def turning() -> ComplexArray:
    """exp(jnp) for each of `ORDERS`, [4, phases]."""
    return np.asarray(np.exp(1j * ORDERS[:, None] * angles()))


class Envelope(NamedTuple):
    """The tank's envelope over a beat.

    Attributes:
        value: a, [rows, phases].
        changes: of a by ln u1, ln u2, and the real and then the imaginary parts of w, [rows, phases, 6].
        length: |a|.
        lengthen: changes of ln |a|, [rows, phases, 6].
        drive: |a| through the diode's curve.
    """

    value: ComplexArray
    changes: ComplexArray
    length: Array
    lengthen: Array
    drive: Drive


def envelope(log_drive: Array, image: ComplexArray) -> Envelope:
    """The envelope of a pair, ln u [rows, 2] or more, with its images [rows, 2]."""
    u = np.exp(log_drive)
    steady, second, *far = turning()
    back = u[:, 1:2, None] * np.stack(far)
    first = u[:, :1] * steady
    follower = u[:, 1:2] * second + np.einsum("rn,rnp->rp", image, back)
    value = first + follower
    square = np.maximum(value.real**2 + value.imag**2, np.finfo(np.float64).tiny)
    images = np.swapaxes(back, 1, 2)
    changes = np.concatenate([np.stack([first, follower], axis=2), images, 1j * images], axis=2)
    lengthen = np.real(np.conj(value)[..., None] * changes) / square[..., None]
    return Envelope(value, changes, np.sqrt(square), lengthen, drive_curve(0.5 * np.log(square)))


class Balance(NamedTuple):
    """A pair at given drives and outputs. Its six unknowns are ln u1, ln u2, and the parts of w.

    Attributes:
        level: ln(1 + I/Is) at each point, [rows, phases].
        level_rates: its rates by the six, [rows, phases, 6].
        wrong: how far the two are from their sources, ln, and the images from what is made of them, [rows, 6].
        by_drive: rates of that by the six, [rows, 6, 6].
        by_output: by the output at each point, which is less those by ln I0 there, [rows, 6, phases].
        pull: impedance times current over voltage of each of the pair, over u2 of the images, [rows, 4].
    """

    level: Array
    level_rates: Array
    wrong: Array
    by_drive: Array
    by_output: Array
    pull: ComplexArray


def balance(circuit: Circuit, beat: Beat, added: Array) -> Balance:
    """Currents and sources of a pair.

    Args:
        circuit, beat: the pair.
        added: to ln I0 at each point by other stations, [rows, phases].
    """
    at = envelope(beat.log_drive, beat.image)
    level = np.clip(at.drive.mean + added - beat.x, -300.0, 300.0)
    level_rates = at.drive.mean_slope[..., None] * at.lengthen
    uptake = np.exp(level + at.drive.share) / PHASES
    current = uptake * at.value
    rates = current[..., None] * (level_rates + at.drive.share_slope[..., None] * at.lengthen)
    rates = rates + uptake[..., None] * at.changes
    u = np.exp(beat.log_drive)
    scale = u[:, [0, 1, 1, 1], None]
    rounds = np.conj(turning()) * (circuit.source[..., None] / scale)
    pull = np.einsum("rkp,rp->rk", rounds, current)
    by_drive = np.einsum("rkp,rpn->rkn", rounds, rates)
    by_drive[:, 0, 0] -= pull[:, 0]
    by_drive[:, 1:, 1] -= pull[:, 1:]
    by_output = -rounds * current[:, None, :]
    give = 1.0 / (1.0 + pull[:, :2, None])
    image = beat.image + pull[:, 2:]
    wrong = beat.log_drive + np.log(np.abs(1.0 + pull[:, :2])) - circuit.aim
    return Balance(
        level,
        level_rates,
        np.concatenate([wrong, image.real, image.imag], axis=1),
        _split(give * by_drive[:, :2], by_drive[:, 2:]) + np.eye(6),
        _split(give * by_output[:, :2], by_output[:, 2:]),
        pull,
    )


def _split(two: ComplexArray, images: ComplexArray) -> Array:
    """Real parts of the pair's equations, then real and imaginary parts of the images'."""
    return np.concatenate([two.real, images.real, images.imag], axis=1)


def outputs(circuit: Circuit, mean: Array, x: Array) -> Array:
    """x at each point of the beat for given drives: Newton's rule on the balance of currents, which has one root.

    Args:
        circuit: the pair.
        mean: ln I0 at each point, with what others add, [rows, phases].
        x: to begin with.
    """
    x = x.copy()
    going = np.arange(x.shape[0])
    for _ in range(_MOST_INNER_STEPS):
        some, level = circuit.only(going), np.clip(mean[going] - x[going], -300.0, 300.0)
        line = some.line(x[going])
        flowing = line > CUT_OFF
        safe = np.where(flowing, line, 1.0)
        weight = np.where(flowing, safe, np.exp(level))
        wrong = np.where(flowing, safe * (level - np.log(safe)), weight - line)
        step = np.linalg.solve(some.load + weight[:, :, None] * np.eye(PHASES), wrong[..., None])[..., 0]
        size = np.max(np.abs(step), axis=1, keepdims=True)
        x[going] = x[going] + step / np.maximum(1.0, size / _LONGEST_JUMP)
        going = going[size[:, 0] > NEAR * np.max(np.abs(x[going]), axis=1)]
        if not going.size:
            break
    return x


def reduced(at: Balance, load: Array) -> tuple[Array, Array]:
    """Rates of a pair's balance by its six unknowns, the outputs following on a load, [rows, 6, 6]; and how the
    outputs follow, [rows, phases, 6]."""
    forward = np.exp(at.level)[..., None]
    follow = np.linalg.solve(load + forward * np.eye(PHASES), forward * at.level_rates)
    return at.by_drive + at.by_output @ follow, np.asarray(follow)


def settled(circuit: Circuit, start: Beat, added: Array, near: float = NEAR) -> Beat:
    """A pair at rest: Newton's rule on the six, the outputs solved at each step; a step that makes matters worse is
    halved.

    Args:
        circuit, start: the pair, and where to begin.
        added: as for `balance`.
        near: a step so small is the last.
    """
    log_drive, image, x = start.log_drive.copy(), start.image.copy(), start.x.copy()
    x = outputs(circuit, envelope(log_drive, image).drive.mean + added, x)
    step, last = np.zeros((x.shape[0], 6)), np.full(x.shape[0], np.inf)
    turned_back = np.zeros(x.shape[0], dtype=np.bool_)
    going = np.arange(x.shape[0])
    for _ in range(_MOST_STEPS):
        some, here = circuit.only(going), Beat(log_drive[going], image[going], x[going])
        at = balance(some, here, added[going])
        rates, follow = reduced(at, some.load)
        size = np.max(np.abs(at.wrong), axis=1)
        worse = size > last[going]
        newton = -np.linalg.solve(rates + _FIRM, at.wrong[..., None])[..., 0]
        retreat = np.where(turned_back[going, None], 0.5, -0.5) * step[going]
        step[going] = np.where(worse[:, None], retreat, np.clip(newton, -_LONGEST_STEP, _LONGEST_STEP))
        last[going], turned_back[going] = np.where(worse, last[going], size), worse
        change = step[going]
        log_drive[going] += change[:, :2]
        image[going] += change[:, 2:4] + 1j * change[:, 4:]
        mean = envelope(log_drive[going], image[going]).drive.mean
        before = envelope(here.log_drive, here.image).drive.mean
        straight = np.einsum("rpn,rn->rp", at.level_rates - follow, change)
        x[going] = outputs(some, mean + added[going], here.x + mean - before - straight)
        going = going[np.max(np.abs(change), axis=1) > near]
        if not going.size:
            break
    return Beat(log_drive, image, x)


class Note(NamedTuple):
    """What a pair meets at the sidebands of a note.

    Attributes:
        above: impedance of the source at each of `ORDERS`, the note above it, [rows, 4].
        below: the same, the note below it.
        upper: open voltage at the upper sideband of each of the pair over that at its carrier, [rows, 2].
        lower: at the lower one.
        load: as in `Circuit`, of the outputs' swings at the note and its distances from the beat's harmonics, complex.
    """

    above: ComplexArray
    below: ComplexArray
    upper: ComplexArray
    lower: ComplexArray
    load: ComplexArray


def note_swing(beat: Beat, at: Balance, note: Note) -> ComplexArray:
    """Swing of the mean output at a note's frequency by each programme of the pair, per depth, [rows, 2].

    Every small change at the note is a swing X at each point of the output and two sets of sidebands of the envelope,
    P exp(jWt) + conj(Q) exp(-jWt), with parts at each of `ORDERS`; they meet load and sources as the beat itself does.
    """
    here = envelope(beat.log_drive, beat.image)
    forward, turn = np.exp(at.level), turning()
    bend = here.drive.mean_slope / here.length
    conduct = np.exp(at.level + here.drive.share)
    stiff = (here.drive.mean_slope + here.drive.share_slope) / here.length
    toward = here.value / here.length
    # half the length's swing by P and by Q at each order, and what the mean current and the carrier's make of it
    lengthen = np.concatenate(
        [0.5 * np.conj(toward)[:, None] * turn, 0.5 * toward[:, None] * np.conj(turn)], axis=1
    ).swapaxes(1, 2)
    count, orders = PHASES, ORDERS.size
    matrix = np.zeros((here.length.shape[0], count + 2 * orders, count + 2 * orders), dtype=np.complex128)
    matrix[:, :count, :count] = note.load + forward[..., None] * np.eye(count)
    matrix[:, :count, count:] = -(forward * bend)[..., None] * lengthen
    for first, value, impedance, own, other in (
        (count, here.value, note.above, turn, np.conj(turn)),
        (count + orders, np.conj(here.value), np.conj(note.below), np.conj(turn), turn),
    ):
        rows = slice(first, first + orders)
        around = impedance[..., None] * other / count
        pulse = conduct * value
        matrix[:, rows, :count] = -around * pulse[:, None]
        matrix[:, rows, count:] = np.einsum("rkp,rpn->rkn", around * (pulse * stiff)[:, None], lengthen)
        matrix[:, rows, rows] += np.einsum("rkp,np->rkn", around * conduct[:, None], own) + np.eye(orders)
    open_half = 0.5 * np.exp(beat.log_drive) * (1.0 + at.pull[:, :2])
    given = np.zeros((here.length.shape[0], count + 2 * orders, 2), dtype=np.complex128)
    for one in range(2):
        given[:, count + one, one] = (note.upper * open_half)[:, one]
        given[:, count + orders + one, one] = np.conj(note.lower * open_half)[:, one]
    return np.asarray(2.0 * np.mean(np.linalg.solve(matrix, given)[:, :count], axis=1))
