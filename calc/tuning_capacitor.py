"""The law of a variable capacitor: how its capacitance grows as the knob turns from plates out (0) to plates in (1).

The shape of the moving plates decides what rises in a straight line with the turn:

* "semicircular", half-round plates: the capacitance itself;
* "wavelength", square-law plates: the root of the capacitance, and so the wavelength of a circuit that it tunes;
* "frequency", plates cut yet further to a point: one over the root, and so the frequency.

The last two hold for all the capacitance in the circuit. A maker who cut plates for equal steps of wavelength did so
for certain strays beside them; with others the steps are equal no longer, while the capacitor's own capacitance at each
turn stays what it was. So a law here gives the capacitor's own capacitance, and `strays` are those for which its
plates were cut: zero where the law is taken for the capacitor by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calc import interpolation, roots
from calc.units import Array, InputError, Values, plain, require_between, require_nonnegative, require_positive

STRAIGHT_KINDS = ("semicircular", "wavelength", "frequency")
"""The laws in which something rises in a straight line."""

KINDS = (*STRAIGHT_KINDS, "table")
"""All laws that `law` knows."""

_ROUNDING = 1e-12
"""By this much, relative, a capacitance may lie outside the range and still be taken for its end."""


def straightened(kind: str, capacitance: Values) -> Array:
    """What rises in a straight line with the turn under a law: C, sqrt(C) or -1/sqrt(C).

    Args:
        kind: one of `STRAIGHT_KINDS`.
        capacitance: of all that the law speaks of, any shape [F].

    Raises:
        InputError: the kind is not known, or a capacitance whose root is wanted is not above zero.
    """
    if kind == "semicircular":
        return np.asarray(capacitance, dtype=np.float64)
    if kind == "wavelength":
        return np.asarray(np.sqrt(require_positive("capacitance", capacitance)))
    if kind == "frequency":
        return np.asarray(-1.0 / np.sqrt(require_positive("capacitance", capacitance)))
    raise InputError("kind", f"must be one of {', '.join(STRAIGHT_KINDS)}")


def unstraightened(kind: str, height: Array) -> Array:
    """The capacitance [F] whose `straightened` value under that law is `height`; its inverse.

    Raises:
        InputError: the kind is not known.
    """
    if kind == "semicircular":
        return height
    if kind == "wavelength":
        return np.asarray(height**2)
    if kind == "frequency":
        return np.asarray(height**-2.0)
    raise InputError("kind", f"must be one of {', '.join(STRAIGHT_KINDS)}")


@dataclass(frozen=True)
class StraightLaw:
    """A capacitor whose capacitance, its root, or one over its root goes in a straight line with the turn.

    Attributes:
        kind: one of `STRAIGHT_KINDS`.
        least, greatest: its own capacitance with plates out and in [F].
        strays: those for which its plates were cut [F]; they do not matter to half-round plates.
    """

    kind: str
    least: float
    greatest: float
    strays: float = 0.0

    def __post_init__(self) -> None:
        require_positive("least", self.least)
        require_positive("greatest", self.greatest)
        require_nonnegative("strays", self.strays)
        if self.greatest <= self.least:
            raise InputError("greatest", "must be above the least capacitance")
        straightened(self.kind, self.least)

    @cached_property
    def _ends(self) -> tuple[float, float]:
        low, high = straightened(self.kind, np.array([self.least, self.greatest]) + self.strays).tolist()
        return low, high

    def capacitance(self, rotation: Values) -> Array | float:
        """The capacitor's own capacitance [F] at a turn from 0, plates out, to 1, plates in; any shape.

        Raises:
            InputError: rotation outside 0 to 1.
        """
        turned = require_between("rotation", rotation, 0.0, 1.0)
        low, high = self._ends
        own = unstraightened(self.kind, low + turned * (high - low)) - self.strays
        return plain(np.clip(own, self.least, self.greatest))

    def rotation(self, capacitance: Values) -> Array | float:
        """The turn, 0 to 1, at which the capacitor has a capacitance of its own [F]; any shape.

        Raises:
            InputError: capacitance outside least to greatest.
        """
        own = _within(capacitance, self.least, self.greatest)
        low, high = self._ends
        return plain(np.clip((straightened(self.kind, own + self.strays) - low) / (high - low), 0.0, 1.0))


@dataclass(frozen=True)
class TableLaw:
    """A capacitor by what was measured of it: a smooth curve through the points that rises all the way.

    Attributes:
        turns: rising, within 0 to 1; at least three of them.
        capacitances: its own at those turns, rising [F].
    """

    turns: tuple[float, ...]
    capacitances: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.turns) < 3 or len(self.turns) != len(self.capacitances):
            raise InputError("table", "needs three points or more, each a turn and its capacitance")
        require_between("table", self.turns, 0.0, 1.0)
        require_positive("table", self.capacitances)
        if min(np.diff(self.turns)) <= 0.0:
            raise InputError("table", "must have its turns in rising order, each once")
        if min(np.diff(self.capacitances)) <= 0.0:
            raise InputError("table", "must have its capacitance rise with the turn")

    @property
    def least(self) -> float:
        """Its capacitance at the first turn of the table [F]."""
        return self.capacitances[0]

    @property
    def greatest(self) -> float:
        """Its capacitance at the last turn of the table [F]."""
        return self.capacitances[-1]

    @cached_property
    def _curve(self) -> interpolation.Curve:
        return interpolation.Curve(np.array(self.turns), np.array(self.capacitances))

    def capacitance(self, rotation: Values) -> Array | float:
        """The capacitor's own capacitance [F] at a turn; any shape.

        Raises:
            InputError: rotation outside what was measured.
        """
        return plain(self._curve(require_between("rotation", rotation, self.turns[0], self.turns[-1])))

    def rotation(self, capacitance: Values) -> Array | float:
        """The turn at which the capacitor has a capacitance of its own [F]; any shape.

        Raises:
            InputError: capacitance outside what was measured.
        """
        own = _within(capacitance, self.least, self.greatest)
        place = np.clip(np.searchsorted(self.capacitances, own, side="right") - 1, 0, len(self.turns) - 2)
        turns = np.array(self.turns)
        return plain(roots.rising_root(lambda turned: self._curve(turned) - own, turns[place], turns[place + 1]))


def law(
    kind: str,
    least: float | None,
    greatest: float | None,
    table: Sequence[tuple[float, float]] | None = None,
    strays: float = 0.0,
) -> StraightLaw | TableLaw:
    """A capacitor's law, of whichever kind.

    Args:
        kind: one of `KINDS`.
        least, greatest: the capacitor's own capacitance with plates out and in [F]. For a table they stand at its ends,
            turns 0 and 1, where the table does not reach them; None leaves it as far as it was measured.
        table: pairs of turn (0 to 1, any order) and capacitance [F], for "table" only.
        strays: those for which the plates were cut, for the straight-line laws [F].

    Returns:
        An object with `capacitance(rotation)` and `rotation(capacitance)`, each the other's inverse over arrays.

    Raises:
        InputError: the kind is not known, a value cannot be, or the table does not rise.
    """
    if kind == "table":
        points = sorted((float(turn), float(value)) for turn, value in table or ())
        if points and least is not None and points[0][0] > 0.0:
            points.insert(0, (0.0, least))
        if points and greatest is not None and points[-1][0] < 1.0:
            points.append((1.0, greatest))
        turns, values = ([pair[index] for pair in points] for index in (0, 1))
        return TableLaw(tuple(turns), tuple(values))
    if kind not in STRAIGHT_KINDS:
        raise InputError("kind", f"must be one of {', '.join(KINDS)}")
    if least is None or greatest is None:
        raise InputError("least" if least is None else "greatest", "must be given for this law")
    return StraightLaw(kind, least, greatest, strays)


def _within(capacitance: Values, least: float, greatest: float) -> Array:
    """A capacitance within a range, one that rounding alone put outside brought back to the end."""
    own = require_between("capacitance", capacitance, least * (1.0 - _ROUNDING), greatest * (1.0 + _ROUNDING), "F")
    return np.asarray(np.clip(own, least, greatest))
