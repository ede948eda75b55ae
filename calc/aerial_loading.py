"""What an aerial does to the tuned circuit: the capacitance and the loss it adds through its link, and the dial
that is left.

The tuned circuit feels the aerial as one more admittance across its terminals. Its imaginary part acts as a
capacitor in parallel with the variable one and moves every station on the dial; its real part acts as a
resistor and makes the tuning broad. Neither is the same from one end of the band to the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from calc import interpolation
from calc.aerials import SeriesAerial
from calc.constants import TWO_PI
from calc.coupling import Aerial, Link, Tank, tuned_capacitances
from calc.roots import rising_root, smooth_root
from calc.units import Array, InputError, Values, plain, require_nonnegative, require_positive

_GRID = 360
_BELOW, _ABOVE = 8.0, 4.0
"""How far beyond the bare circuit's own range frequencies are searched, as ratios."""
_STARTS_ABOVE = 1.5
"""How far above it, as a ratio, a stretch of the dial may begin to be of any concern."""
_EACH_SIDE = 3
"""Frequencies on each side of a resonance from which it is first guessed, if the reactance rises over all of them."""


class Loading(NamedTuple):
    """What an aerial adds across a tank.

    Attributes:
        capacitance: in parallel with the tank's; below zero where the aerial acts as a coil [F].
        conductance: in parallel with the tank; above zero but for rounding wherever the aerial has a loss of
            any size [S].
    """

    capacitance: Any
    conductance: Any


def loading(frequency: Values, aerial: Aerial, link: Link, tank: Tank) -> Loading:
    """The admittance that aerial and link add across the tank's terminals, as a capacitance and a conductance.

    With the three figures of a link (see `calc.coupling.links`) the terminals without a capacitor show
    loop/product, and the coil alone 1/coil. As product = loop coil - transfer^2, the difference is

        Y = transfer^2 / (product coil)

    without a difference of nearly equal numbers.

    Args:
        frequency: scalar or array, broadcast with the rest [Hz].
        aerial: anything with `impedance(frequency)`.
        link: how it is joined to the tank.
        tank: its capacitance is not used.

    Returns:
        Capacitance Im Y / w [F] and conductance Re Y [S].

    Raises:
        InputError: the frequency is not above zero; aerial and link short the tank.
    """
    capacitances, conductances = loadings(frequency, aerial, [link], tank)
    return Loading(plain(capacitances[0]), plain(conductances[0]))


def loadings(frequency: Values, aerial: Aerial, links: Sequence[Link], tank: Tank) -> Loading:
    """`loading` for each of some links, the aerial being asked once for all.

    Args:
        frequency, aerial, tank: as there.
        links: what they have in them must be of a shape that the frequency has already.

    Returns:
        As there, with a first axis for the links before those of the frequency.

    Raises:
        InputError: as there.
    """
    angular = TWO_PI * require_positive("frequency", frequency)
    impedance = np.asarray(aerial.impedance(frequency), dtype=np.complex128)
    circuits = [link.circuit(angular, impedance, tank) for link in links]
    product = np.array([each.product for each in circuits])
    if not product.all():
        raise InputError("aerial", "must have some impedance: this one shorts the tank")
    transfer = np.array([each.transfer for each in circuits])
    admittance = transfer**2 / (product * tank.coil_impedance(angular))
    return Loading(admittance.imag / angular, admittance.real)


class SampledAerial:
    """An aerial whose series elements were worked out at some frequencies, with a smooth curve between these.

    Accuracy: with some twelve frequencies an octave, 1e-4 of the elements but at their turning points.
    """

    def __init__(self, frequency: Array, elements: SeriesAerial) -> None:
        """Takes rising frequencies [Hz], [n], and the elements at each of them."""
        each = (elements.resistance, elements.inductance, elements.capacitance)
        values = np.stack([np.broadcast_to(np.asarray(value), frequency.shape) for value in each])
        self._elements = interpolation.Curve(np.log(frequency), values.T)

    def impedance(self, frequency: Values) -> Any:
        """Impedance [ohm] at frequencies [Hz], any shape; beyond those sampled the elements stay as at the last."""
        hertz = require_positive("frequency", frequency)
        each = self._elements(np.log(hertz))
        return SeriesAerial(each[..., 0], each[..., 1], each[..., 2]).impedance(hertz)


def first_resonance(aerial: Aerial, frequency: Array, reactance: Array) -> float | None:
    """The lowest frequency at which an aerial's reactance passes from capacitive to inductive [Hz].

    For a wire it is the quarter-wave resonance. Above it the aerial is a coil to the set, no longer a capacitor.

    Args:
        aerial: anything with `impedance(frequency)`.
        frequency: rising, among which the passage is looked for [Hz], [n].
        reactance: of the aerial at these [ohm], [n].

    Returns:
        Frequency, followed to rounding [Hz]; None if there is no such passage among those given.
    """
    passed = np.flatnonzero((reactance[:-1] < 0.0) & (reactance[1:] >= 0.0))
    if passed.size == 0:
        return None
    about = slice(max(passed[0] - _EACH_SIDE + 1, 0), passed[0] + _EACH_SIDE + 1)
    if not np.all(np.diff(reactance[about]) > 0.0):
        about = slice(passed[0], passed[0] + 2)
    return smooth_root(lambda at: np.asarray(aerial.impedance(at)).imag, frequency[about], reactance[about])


class Reach(NamedTuple):
    """Frequencies that a dial reaches without a gap.

    Attributes:
        lowest, highest: ends, each with the plates fully in or out, or where the aerial's own resonance stops
            it [Hz].
    """

    lowest: float
    highest: float


@dataclass(frozen=True)
class Dial:
    """A coil and a variable capacitor, to which an aerial may be joined.

    Attributes:
        inductance: of the coil [H].
        quality: reactance over resistance of the coil, the same all over the dial [1].
        least, most: of the variable capacitor [F].
        strays: wiring, detector and the coil's own capacitance across it [F].
    """

    inductance: float
    quality: float
    least: float
    most: float
    strays: float = 0.0

    def __post_init__(self) -> None:
        for name in ("inductance", "quality", "least", "most"):
            require_positive(name, getattr(self, name))
        require_nonnegative("strays", self.strays)
        if self.most <= self.least:
            raise InputError("most", "must be above the least capacitance")

    def tank(self, frequency: Values) -> Tank:
        """The coil at a frequency, its resistance that of its Q there; no capacitance [Hz]."""
        reactance = TWO_PI * require_positive("frequency", frequency) * self.inductance
        return Tank(self.inductance, reactance / self.quality, 0.0)

    def bare_range(self) -> Reach:
        """Lowest and highest frequency with no aerial at all [Hz].

        From w C = X / (R^2 + X^2) with R = X / Q: the loss lowers both ends by 1 part in 2 Q^2.
        """
        share = 1.0 / (1.0 + self.quality**-2)
        ends = [
            float(np.sqrt(share / (self.inductance * (own + self.strays))) / TWO_PI) for own in (self.most, self.least)
        ]
        return Reach(ends[0], ends[1])

    def own_capacitance(self, frequency: Values, aerial: Aerial, link: Link) -> Any:
        """What the variable capacitor itself must have to tune to a frequency; any value, also one it has not [F].

        Args:
            frequency: scalar or array [Hz].
            aerial: anything with `impedance(frequency)`.
            link: how it is joined.
        """
        return plain(self.own_capacitances(frequency, aerial, [link])[0])

    def own_capacitances(self, frequency: Values, aerial: Aerial, links: Sequence[Link]) -> Array:
        """`own_capacitance` for each of some links, the aerial being asked once for all [F].

        Returns:
            A first axis for the links before those of the frequency.
        """
        return tuned_capacitances(frequency, aerial, links, self.tank(frequency)) - self.strays

    def reaches(self, aerial: Aerial, links: Sequence[Link]) -> list[list[Reach]]:
        """Every stretch of frequencies that the dial reaches with the aerial on, for each of some links.

        Below the aerial's own resonance its capacitance lowers the whole range. Past it the aerial is a coil
        beside the tank's, and the same dial may reach a second stretch higher up; a link winding that
        resonates with the aerial below the band may make a narrow one lower down. The stretch that shares
        most with the bare range comes first, or the longest where none shares any. Stretches on which more
        capacitance tunes higher are left out: they lie within the aerial's resonance, damped beyond use.

        Args:
            aerial: anything with `impedance(frequency)`.
            links: how it may be joined.

        Returns:
            For each link its stretches, with ends followed to rounding; none if the dial reaches nothing from
            an eighth of its bare lowest frequency on. Those that begin more than half as high again as its bare
            highest are left out.
        """
        bare = self.bare_range()
        grid = np.geomspace(bare.lowest / _BELOW, bare.highest * _ABOVE, _GRID)
        brackets: list[_Bracket] = []
        for index, own in enumerate(self.own_capacitances(grid, aerial, links)):
            state = (own <= self.most).astype(np.int8) + (own < self.least)
            near = [stretch for stretch in _stretches(state) if grid[stretch[0]] < _STARTS_ABOVE * bare.highest]
            found_here = [self._bracket(index, own, *stretch) for stretch in near]
            brackets += [bracket for bracket in found_here if bracket.levels != (self.least, self.most)]
        if not brackets:
            return [[] for _ in links]
        ends = self._ends(grid, brackets, aerial, links)

        def rank(reach: Reach) -> tuple[float, float]:
            shared = np.log(min(reach.highest, bare.highest) / max(reach.lowest, bare.lowest))
            return max(float(shared), 0.0), float(np.log(reach.highest / reach.lowest))

        found: list[list[Reach]] = [[] for _ in links]
        for bracket, (lowest, highest) in zip(brackets, ends.tolist(), strict=True):
            found[bracket.link].append(Reach(lowest, highest))
        return [sorted(each, key=rank, reverse=True) for each in found]

    def _bracket(self, link: int, own: Array, start: int, stop: int) -> "_Bracket":
        """The ends of a stretch: where they lie on the grid, and what is passed there in which direction."""
        levels = [self.most if own[outside] > self.most else self.least for outside in (start, stop)]
        near = [own[place : place + 2].tolist() for place in (start, stop - 1)]
        return _Bracket(link, (start, stop - 1), (levels[0], levels[1]), near)

    def _ends(self, grid: Array, brackets: Sequence["_Bracket"], aerial: Aerial, links: Sequence[Link]) -> Array:
        """Ends of all stretches [Hz], [n, 2], sought together so that the aerial is asked once a step."""
        places = np.array([bracket.places for bracket in brackets])
        levels = np.array([bracket.levels for bracket in brackets])
        below, above = np.moveaxis(np.array([bracket.near for bracket in brackets]), -1, 0)
        falls = np.where(above > below, -1.0, 1.0)
        its, row = [bracket.link for bracket in brackets], range(len(brackets))

        def missing(inverse_square: Array) -> Array:
            own = self.own_capacitances(1.0 / np.sqrt(inverse_square), aerial, links)
            return np.asarray(falls * (own[its, row] - levels))

        # over the inverse square of the frequency the capacitance runs nearly straight
        ends = (falls * (above - levels), falls * (below - levels))
        return np.asarray(1.0 / np.sqrt(rising_root(missing, grid[places + 1] ** -2.0, grid[places] ** -2.0, ends)))


class _Bracket(NamedTuple):
    """A stretch of the dial on a grid: of which link (its number), and for both ends the grid point below, the own
    capacitance passed, and those at that point and the next [F]."""

    link: int
    places: tuple[int, int]
    levels: tuple[float, float]
    near: list[list[float]]


def _stretches(state: Any) -> list[tuple[int, int]]:
    """Runs of a grid that lie on the dial, as indices of the points off the dial on either side.

    `state` is 0 where more capacitance is needed than there is, 1 on the dial, 2 where less. A dial narrower than a
    step of the grid shows as a step from 0 to 2. Runs that touch an end of the grid are left out.
    """
    inside = np.concatenate([[0], (state == 1).astype(np.int8), [0]])
    starts, stops = np.flatnonzero(np.diff(inside) == 1) - 1, np.flatnonzero(np.diff(inside) == -1)
    runs = [
        (int(start), int(stop)) for start, stop in zip(starts, stops, strict=True) if start >= 0 and stop < state.size
    ]
    skipped = np.flatnonzero((state[:-1] == 0) & (state[1:] == 2))
    return runs + [(int(index), int(index) + 1) for index in skipped]
