"""From a number of turns to a winding: what fits, what the last turn changes, where to tap, how much wire."""

import math
from typing import NamedTuple

import numpy as np

from calc.coils.losses import solenoid_wire_length
from calc.coils.solenoid import solenoid_inductance, turns_for_inductance
from calc.coils.turns import LayeredCoil
from calc.coils.windings import Solenoid
from calc.units import Array, InputError, Values, plain, require_between, require_positive


class WholeTurns(NamedTuple):
    """A coil of whole turns nearest a wanted inductance."""

    turns: int
    inductance: float
    """Of these turns [H]."""
    last_turn: float
    """What taking the last turn off takes away [H]."""


class Tap(NamedTuple):
    """A coil parted by a tap."""

    lower_inductance: float
    """From the earthed end to the tap [H]."""
    upper_inductance: float
    """From the tap to the far end [H]."""
    mutual: float
    """Between the two parts [H]."""
    coefficient: float
    """Coupling coefficient of the two parts [1]."""
    wire_length: float
    """Of wire from the earthed end to the tap [m], leads left out."""


def whole_turns(inductance: float, diameter: float, pitch: float, wire_diameter: float | None = None) -> WholeTurns:
    """The whole number of turns at a given pitch whose inductance is nearest to the one wanted.

    Args:
        inductance: wanted [H].
        diameter: between wire centres [m].
        pitch: of the turns [m].
        wire_diameter: bare [m], or None: as `turns_for_inductance`.

    Raises:
        InputError: as `turns_for_inductance`; less than one turn.
    """
    exact = float(turns_for_inductance(inductance, diameter, pitch=pitch, wire_diameter=wire_diameter))
    low = max(1, math.floor(exact))
    counts = np.array([low - 1, low, low + 1], dtype=np.float64)
    some = np.maximum(counts, 1.0)
    values = np.asarray(solenoid_inductance(some, diameter, some * pitch, wire_diameter))
    values = np.where(counts > 0.0, values, 0.0)
    best = 1 if abs(values[1] - inductance) <= abs(values[2] - inductance) else 2
    return WholeTurns(int(counts[best]), float(values[best]), float(values[best] - values[best - 1]))


def turns_that_fit(winding_length: Values, covered_diameter: Values, slack: Values = 0.05) -> float | Array:
    """Whole turns that go side by side in one layer.

    Args:
        winding_length: from the first wire's edge to the last's [m].
        covered_diameter: of the wire with its covering [m].
        slack: what winding by hand wastes, in wire diameters a turn [1], from 0 (perfect) to 1.

    Accuracy: that of the slack: 0.02 for a lathe and a guide, 0.05 to 0.1 by hand, by habit of the trade.
    """
    length = require_positive("winding_length", winding_length)
    covered = require_positive("covered_diameter", covered_diameter)
    room = 1.0 + require_between("slack", slack, 0.0, 1.0)
    result: float | Array = plain(np.floor(length / (covered * room) * (1.0 + 1e-12)))
    return result


def layers_that_hold(
    turns: int,
    former_diameter: float,
    winding_length: float,
    wire_diameter: float,
    covered_diameter: float,
    slack: float = 0.05,
    in_grooves: bool = False,
) -> LayeredCoil:
    """A coil of whole layers, the last as full as it need be, that holds so many turns on a bobbin.

    Args:
        turns: whole turns wanted.
        former_diameter: outer, of the bobbin's core [m].
        winding_length: between the cheeks [m].
        wire_diameter: bare [m].
        covered_diameter: with its covering [m].
        slack: as `turns_that_fit`.
        in_grooves: each layer lies in the grooves of the one below (0.87 of a wire deep, as wound with care in
            one direction) instead of on its ridges.

    Returns:
        The turns as rings: its inductance is `.inductance`, its outer diameter the last layer's and a covered wire.

    Raises:
        InputError: a value out of range, or not one turn fits.
    """
    count = float(require_positive("turns", turns))
    whole = int(count)
    if whole != count:
        raise InputError("turns", "must be whole")
    covered = float(require_positive("covered_diameter", covered_diameter))
    core = float(require_positive("former_diameter", former_diameter))
    bare = float(require_positive("wire_diameter", wire_diameter))
    if bare > covered:
        raise InputError("covered_diameter", "must be no less than the bare wire's")
    full = int(turns_that_fit(winding_length, covered, slack))
    if full < 1:
        raise InputError("winding_length", "must hold at least one turn of this wire")
    pitch = covered * (1.0 + slack)
    rise = covered * (math.sqrt(0.75) if in_grooves else 1.0)
    counts = [full] * (whole // full) + ([whole % full] if whole % full else [])
    sizes = tuple(core + covered + 2.0 * rise * layer for layer in range(len(counts)))
    offsets = tuple(layer % 2 if in_grooves else 0 for layer in range(len(counts)))
    return LayeredCoil(sizes, tuple(counts), pitch, bare, offsets)


def tapped_solenoid(coil: Solenoid, tap_turns: float) -> Tap:
    """A single-layer coil with a tap: its two parts, their coupling, and where along the wire the tap comes.

    The parts' inductances are those of two shorter coils, their mutual inductance half of what the whole has beyond.

    Args:
        coil: the whole.
        tap_turns: from the earthed end to the tap [1].

    Raises:
        InputError: a tap beyond the coil, or one that leaves less than a turn of a coil whose wire is given.

    Accuracy: as `solenoid_inductance`.
    """
    below = float(require_positive("tap_turns", tap_turns))
    if below >= coil.turns:
        raise InputError("tap_turns", "must be less than the turns of the coil")
    lower, upper = (
        Solenoid(part, coil.diameter, coil.length * part / coil.turns, coil.wire_diameter)
        for part in (below, coil.turns - below)
    )
    mutual = 0.5 * (coil.inductance - lower.inductance - upper.inductance)
    return Tap(
        lower.inductance,
        upper.inductance,
        mutual,
        mutual / math.sqrt(lower.inductance * upper.inductance),
        float(solenoid_wire_length(below, coil.diameter, lower.length)),
    )
