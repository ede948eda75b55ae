"""What every coil of the coil forms can say of itself, and how many turns of it give an inductance."""

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Self

import numpy as np

from calc import coils, units
from calc.coils.shielding import TurnRows
from calc.forms.coil.conductor import Conductor
from calc.units import Array, InputError, Values

MOST_TURNS = 2000
MOST_ROWS = 60
"""Layers that a winding may have: enough for any bobbin, few enough to answer at once."""
MOST_SEPARATE = 300
"""Turns of a spiral or a cone, each a row of its own."""
_FIRST_TRY, _USUAL_POWER = 50, 1.8
"""Turns, and the power of them that inductance goes by, to begin with."""
_MOST_TRIES = 60
_CLOSE = 1e-13
"""What one more secant step would change turns by when rounding is reached, with room."""


@dataclass(frozen=True)
class Wound(ABC):
    """A coil as wound. Lengths are in metres.

    Attributes:
        turns: [1].
        conductor: what it is wound with.
    """

    turns: float
    conductor: Conductor

    @property
    @abstractmethod
    def inductance(self) -> float:
        """Inductance without leads [H]."""

    @property
    @abstractmethod
    def wire_length(self) -> float:
        """Length of wire without leads [m]."""

    @property
    @abstractmethod
    def length(self) -> float:
        """Length of the winding along its axis [m]."""

    @property
    @abstractmethod
    def outer_diameter(self) -> float:
        """Greatest diameter [m]: between wire centres for one layer, else over all."""

    @property
    @abstractmethod
    def rows(self) -> TurnRows:
        """Its turns as rings."""

    def resistance_ratio(self, frequency: Values, temperature: float) -> Array:
        """Resistance at a frequency [Hz] over that to steady current [1], from the shielded field of all turns."""
        wire = self.conductor
        return self.rows.resistance_ratio(wire.strand, wire.strands, frequency, temperature)

    def rewound(self, turns: float) -> Self:
        """The same coil with another number of turns."""
        return replace(self, turns=turns)

    def least_turns(self) -> float:
        """Fewest turns that can be worked out [1]."""
        return 1.0

    def most_turns(self) -> float:
        """Most turns that can be wound or worked out [1]."""
        return MOST_TURNS

    def wire_to(self, turns: float) -> float:
        """Length of wire in the first so many turns [m]."""
        radius, _ = self.rows.places
        rings = np.concatenate([[0.0], np.cumsum(2.0 * math.pi * radius)])
        share = np.interp(turns * radius.size / self.turns, np.arange(rings.size), rings) / rings[-1]
        return float(share) * self.wire_length


def single_layer_ratio(
    wire: Conductor, turns: float, diameter: float, length: float, frequency: Values, temperature: float
) -> Array:
    """Resistance of a single-layer coil at a frequency [Hz] over that to steady current [1].

    `coils.solenoid_resistance` or, for stranded wire, `coils.litz_resistance`; the shape as there.
    """
    if wire.is_stranded:
        strands = (wire.strands, wire.strand, wire.bundle)
        total = coils.litz_resistance(turns, diameter, length, *strands, frequency, temperature, wire.take_up)
    else:
        total = coils.solenoid_resistance(turns, diameter, length, wire.strand, frequency, temperature)
    run = float(coils.solenoid_wire_length(turns, diameter, length))
    return np.asarray(total) / wire.steady_resistance(run, temperature)


def exact_turns(coil: Wound, wanted: float) -> float:
    """Turns with which a coil has an inductance [H], in general not whole: secant steps in logarithms.

    Raises:
        InputError: the inductance takes less than one turn, or more than there can be.
    """
    least, most = _bounds(coil)
    low, high = math.log(least), math.log(most)
    here = min(max(math.log(_FIRST_TRY), low), high)
    miss, slope = math.log(coil.rewound(math.exp(here)).inductance / wanted), _USUAL_POWER
    for _ in range(_MOST_TRIES):
        there = min(max(here - miss / slope, low), high)
        step = there - here
        if step == 0.0 and abs(miss) > _CLOSE:
            raise _out_of_reach(coil, wanted, least, most)
        if abs(step) < _CLOSE:
            here = there
            break
        left = math.log(coil.rewound(min(max(math.exp(there), least), most)).inductance / wanted)
        slope = min(max((left - miss) / step, 0.3), 4.0)
        here, miss = there, left
    return min(max(math.exp(here), least), most)


def nearest_whole(coil: Wound, wanted: float) -> Wound:
    """The coil with the whole number of turns whose inductance comes nearest to one wanted [H].

    Raises:
        InputError: as `exact_turns`.
    """
    least, most = (int(bound) for bound in _bounds(coil))
    known = _inductances(coil)

    def made(turns: int) -> float:
        if turns not in known:
            known[turns] = _whole(coil, turns).inductance
        return known[turns]

    here, power = min(_FIRST_TRY, most), _USUAL_POWER
    if known:
        here = min(known, key=lambda turns: abs(math.log(known[turns] / wanted)))
    for _ in range(_MOST_TRIES):
        there = min(max(round(here * (wanted / made(here)) ** (1.0 / power)), least), most)
        if there == here:
            break
        power = min(max(math.log(made(there) / made(here)) / math.log(there / here), 0.5), 4.0)
        here = there
    while made(here) < wanted and here < most:
        here += 1
    while made(here) > wanted and here > least:
        here -= 1
    if (made(here) < wanted * (1.0 - _CLOSE) and here == most) or made(here) > wanted * (1.0 + _CLOSE):
        raise _out_of_reach(coil, wanted, least, most)
    if here < most and wanted - made(here) > made(here + 1) - wanted:
        here += 1
    return _whole(coil, here)


@lru_cache(maxsize=32)  # another inductance is often had with the same turns, and else with nearly as many
def _whole(coil: Wound, turns: int) -> Wound:
    """The same coil with so many whole turns."""
    return coil.rewound(float(turns))


@lru_cache(maxsize=32)
def _inductances(coil: Wound) -> dict[int, float]:
    """Inductances [H] of a coil by its whole turns, as far as they have been asked for."""
    return {}


def _bounds(coil: Wound) -> tuple[float, float]:
    least, most = coil.least_turns(), coil.most_turns()
    if most < least:
        raise InputError("turns", "do not go on this former, not even one")
    return least, most


def _out_of_reach(coil: Wound, wanted: float, least: float, most: float) -> InputError:
    highest = coil.rewound(most).inductance
    if wanted > highest:
        many = units.format(highest, "H", 3)
        return InputError("inductance", f"is too much: {units.number(most)} turns, the most there can be, make {many}")
    few = units.format(coil.rewound(least).inductance, "H", 3)
    return InputError("inductance", f"needs fewer turns than can be: {units.number(least, 3)} make {few}")


def whole_coil(coil: Wound, wanted: float, exact: float) -> Wound:
    """The coil with the whole number of turns nearest to an inductance [H], from the turns that give just that."""
    most = math.floor(coil.most_turns() * (1.0 + 1e-12))
    near = {min(max(count, math.ceil(coil.least_turns())), most) for count in (math.floor(exact), math.ceil(exact))}
    return min((coil.rewound(float(count)) for count in sorted(near)), key=lambda one: abs(one.inductance - wanted))


def last_turn(coil: Wound) -> float:
    """What the last turn of a coil adds to its inductance [H]."""
    if coil.turns - 1.0 < coil.least_turns():
        return coil.inductance
    return coil.inductance - coil.rewound(coil.turns - 1.0).inductance
