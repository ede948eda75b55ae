"""The law of a variable capacitor from a few readings: which shape of plates they follow, and its two ends.

Each law of `calc.tuning_capacitor` is laid through the readings by itself. How badly each one then fits, in terms of
the readings' own uncertainty, says which of them it is, or that it is none.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from calc.constants import TWO_PI
from calc.fitting.estimate import Estimate
from calc.fitting.measured import Measured
from calc.fitting.search import RANK
from calc.fitting.shared import Shared, fit_shared
from calc.tuning_capacitor import STRAIGHT_KINDS, StraightLaw, TableLaw, law, straightened, unstraightened
from calc.units import Array, InputError, require_between, require_nonnegative, require_positive

_ALIKE = 6
"""Decimals of a sum of squares that count when laws are put in order: what differs beyond fits alike."""
TELLING = 6.0
"""By so much must one law's sum of squares exceed another's for the readings to decide between them: odds of e**3, or
twenty to one."""

UNLIKELY = 0.01
"""Chance of a scatter as great, below which the best of the laws is not taken for the capacitor's."""


_MOST_PULL = 10.0
"""Standard uncertainties by which a coil or a standard may be off before a law that asks for it is dropped."""


@dataclass(frozen=True)
class LawBench:
    """How a capacitor's law was read.

    Attributes:
        turn_uncertainty: of each reading of the dial, standard, over the whole turn [-].
        reading_uncertainty: of each capacitance, or frequency, by itself, standard, over the reading [-].
        floor: of each capacitance, standard, besides; for capacitances read as such [F].
        scale_uncertainty: of the standard with which capacitances were compared, the same in all, standard [-].
        plate_strays: strays for which the plates were cut, as in `calc.tuning_capacitor` [F].
    """

    turn_uncertainty: float = 0.0
    reading_uncertainty: float = 0.0
    floor: float = 0.0
    scale_uncertainty: float = 0.0
    plate_strays: float = 0.0

    def __post_init__(self) -> None:
        for name in ("turn_uncertainty", "reading_uncertainty", "floor", "scale_uncertainty", "plate_strays"):
            require_nonnegative(name, getattr(self, name))


@dataclass(frozen=True)
class KnownCoil:
    """The coil with which a capacitor was tuned, so that frequencies tell of capacitance.

    Attributes:
        inductance: [H].
        strays: across it besides the capacitor, its own capacitance included [F].
        inductance_uncertainty: standard, over the inductance [-].
        strays_uncertainty: standard [F].
    """

    inductance: float
    strays: float
    inductance_uncertainty: float = 0.0
    strays_uncertainty: float = 0.0

    def __post_init__(self) -> None:
        require_positive("inductance", self.inductance)
        for name in ("strays", "inductance_uncertainty", "strays_uncertainty"):
            require_nonnegative(name, getattr(self, name))

    def capacitance(self, frequency: npt.ArrayLike) -> Array:
        """The capacitor's own capacitance where the circuit is in tune [F]."""
        angular = TWO_PI * require_positive("frequency", frequency)
        return np.asarray(1.0 / (angular**2 * self.inductance) - self.strays)


@dataclass(frozen=True)
class FittedLaw:
    """One law through the readings.

    Attributes:
        kind: of `calc.tuning_capacitor.STRAIGHT_KINDS`.
        estimate: the fit of the straight line in what the law makes straight; unknowns its heights "least" and
            "greatest" at either end, and the shared errors.
        squares: sum of the squares of residuals over their uncertainties [-].
        plate_strays: strays for which the plates were cut [F].
    """

    kind: str
    estimate: Estimate
    squares: float
    plate_strays: float

    @cached_property
    def least(self) -> Measured:
        """Own capacitance with plates out [F]."""
        return self._end(0)

    @cached_property
    def greatest(self) -> Measured:
        """Own capacitance with plates in [F]."""
        return self._end(1)

    def _end(self, place: int) -> Measured:
        return self.estimate.derived(lambda values: unstraightened(self.kind, values[place]) - self.plate_strays)

    @cached_property
    def law(self) -> StraightLaw:
        """The law with the ends found."""
        return StraightLaw(self.kind, self.least.value, self.greatest.value, self.plate_strays)

    @property
    def possible(self) -> bool:
        """Whether the ends found can be a capacitor's, and no shared error is far beyond what was stated of it."""
        low, high = self.estimate.values[:2].tolist()
        if not low < high or (self.kind == "wavelength" and low <= 0.0) or (self.kind == "frequency" and high >= 0.0):
            return False
        found = self.estimate
        assert found.uncertainty is not None, "the uncertainties are stated"
        shared = len(found.names) - 2
        pulls = (found.residuals / found.uncertainty)[found.readings.size - shared :]
        return bool(0.0 < self.least.value < self.greatest.value and np.all(np.abs(pulls) < _MOST_PULL))


@dataclass(frozen=True)
class LawChoice:
    """All laws through the readings, and what they tell.

    Attributes:
        turns: as read, 0 to 1, rising [n]; the fits have their readings in this order.
        capacitances: as read or worked out of frequencies [n] [F].
        fits: of the laws that can be, the best first; at least one.
    """

    turns: Array
    capacitances: Array
    fits: tuple[FittedLaw, ...]

    @property
    def best(self) -> FittedLaw:
        """The law that comes nearest to the readings."""
        return self.fits[0]

    @property
    def lead(self) -> float:
        """Sum of squares of the next law over that of the best; infinite where no other can be [-]."""
        return max(self.fits[1].squares - self.fits[0].squares, 0.0) if len(self.fits) > 1 else np.inf

    @property
    def decided(self) -> bool:
        """Whether the readings tell the best law from the next."""
        return self.lead >= TELLING

    @property
    def followed(self) -> bool | None:
        """Whether the readings lie about the best law as their uncertainties allow; None where they are too few."""
        chance = self.best.estimate.chance
        return None if chance is None else chance >= UNLIKELY

    @cached_property
    def table(self) -> TableLaw | None:
        """A smooth curve through the readings themselves; None where they are too few or do not rise all the way."""
        try:
            made = law("table", None, None, list(zip(self.turns.tolist(), self.capacitances.tolist(), strict=True)))
        except InputError:
            return None
        assert isinstance(made, TableLaw)
        return made


def fit_law(turn: npt.ArrayLike, reading: npt.ArrayLike, bench: LawBench, coil: KnownCoil | None = None) -> LawChoice:
    """The laws through readings of a dial.

    Args:
        turn: 0, plates out, to 1, plates in [n].
        reading: capacitance at each [F], or, with a coil, the frequency to which the circuit was tuned [Hz] [n].
        bench: how they were read.
        coil: with which frequencies were read; None for capacitances.

    Raises:
        InputError: fewer than two different turns, values out of range, frequencies that would leave nothing for the
            capacitor, uncertainties that are all nil, or readings that no law can follow.

    Accuracy: as `calc.fitting.shared.fit_shared`. Each law is laid as a straight line through what it makes straight,
        for which uncertainties must be small: a fifth of a capacitance at most.
    """
    turned = np.atleast_1d(require_between("turn", turn, 0.0, 1.0))
    read = np.atleast_1d(require_positive("reading", reading))
    if turned.shape != read.shape:
        raise InputError("reading", "must be as many as the turns")
    if np.unique(turned).size < 2:
        raise InputError("turn", "must have two different values or more")
    if bench.reading_uncertainty == 0.0 and (coil is not None or bench.floor == 0.0) and bench.turn_uncertainty == 0.0:
        raise InputError("reading_uncertainty", "must be greater than zero")
    order = np.lexsort((read if coil is None else -read, turned))
    turned, read = turned[order], read[order]
    own = read if coil is None else coil.capacitance(read)
    if np.any(own <= 0.0):
        raise InputError("strays", "would leave nothing for the capacitor at the highest frequency")
    fits = []
    for kind in STRAIGHT_KINDS:
        found = fit_kind(kind, turned, own, bench, coil)
        if found is not None:
            fits.append(found)
    if not fits:
        raise InputError(
            "reading", "must rise with the turn as a capacitor's capacitance does, and go with what else is stated"
        )
    return LawChoice(turned, own, tuple(sorted(fits, key=lambda each: round(each.squares, _ALIKE))))


def fit_kind(kind: str, turned: Array, own: Array, bench: LawBench, coil: KnownCoil | None) -> FittedLaw | None:
    """One law through the readings; None where what it finds cannot be a capacitor.

    Args:
        kind: of `calc.tuning_capacitor.STRAIGHT_KINDS`.
        turned: 0 to 1 [n].
        own: the capacitor's own capacitance at each [n] [F].
        bench, coil: as for `fit_law`.
    """
    strays, across = bench.plate_strays, 0.0 if coil is None else coil.strays
    height = straightened(kind, own + strays)
    first = np.asarray(np.linalg.lstsq(np.stack([1.0 - turned, turned], axis=1), height, rcond=RANK)[0], dtype=float)
    if not first[0] < first[1]:
        return None

    lowest, highest = _possible_heights(kind, height)

    def total(unknowns: Array) -> Array:
        """Capacitance on the line, plates' strays and all, kept where there can be one."""
        line = (1.0 - turned) * unknowns[0] + turned * unknowns[1]
        return unstraightened(kind, np.minimum(np.maximum(line, lowest), highest))

    shared = _shared(bench, coil)
    # by how much each shared error moves the height at which a reading stands, on the line and not at the reading,
    # whose own error must not come in twice
    near = total(first)
    steep = _steepness(kind, near)
    moves = [steep * (near - strays + across)] + ([steep] if coil is not None else [])

    def model(unknowns: npt.NDArray[Any], errors: npt.NDArray[Any]) -> Any:
        line = (1.0 - turned) * unknowns[0] + turned * unknowns[1]
        return line + sum(move * (errors[index] - shared[index].value) for index, move in enumerate(moves))

    def uncertainty(unknowns: Array, _: Array) -> Array:
        fitted = total(unknowns)
        steepness = _steepness(kind, fitted)
        relative, floor = (1.0, bench.floor) if coil is None else (2.0, 0.0)
        parts = (
            (unknowns[1] - unknowns[0]) * bench.turn_uncertainty,
            steepness * (fitted - strays + across) * relative * bench.reading_uncertainty,
            steepness * floor,
        )
        return np.sqrt(sum(np.square(part) for part in parts))

    found = fit_shared(model, first, height, uncertainty, shared, ("least", "greatest"), linear=True)
    assert found.uncertainty is not None, "the uncertainties are stated"
    squares = float(np.sum(((found.readings - found.fitted) / found.uncertainty) ** 2))
    made = FittedLaw(kind, found, squares, strays)
    return made if made.possible else None


def _shared(bench: LawBench, coil: KnownCoil | None) -> tuple[Shared, ...]:
    """Errors that all readings have in common, each as it moves the capacitance that is made of them."""
    if coil is None:
        return (Shared("scale", 0.0, bench.scale_uncertainty),)
    return Shared("inductance", 0.0, coil.inductance_uncertainty), Shared("strays", 0.0, coil.strays_uncertainty)


def _steepness(kind: str, total: Array) -> Array:
    """Rate at which `straightened` grows with the capacitance."""
    if kind == "semicircular":
        return np.ones_like(total)
    return np.asarray(0.5 * total**-0.5 if kind == "wavelength" else 0.5 * total**-1.5)


def _possible_heights(kind: str, height: Array) -> tuple[float, float]:
    """Heights between which a capacitance can be worked out, wide about those read."""
    if kind == "semicircular":
        return -np.inf, np.inf
    return (1e-3 * float(height.min()), np.inf) if kind == "wavelength" else (-np.inf, 1e-3 * float(height.max()))
