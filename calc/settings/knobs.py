"""What can be turned on a set: closeness of coupling first, then whatever else its link lets one choose.

An adjustment makes sets from a set and values of its knobs, many at once: the values are arrays of [..., tunings or 1,
1], and the functions here put them into the link as they are.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc.coupling import (
    CapacitorPair,
    DetectorTap,
    Direct,
    Inductive,
    InductivePair,
    Link,
    SeriesCapacitor,
    Tank,
    Tap,
    TunedAerial,
)
from calc.receiver import Receiver
from calc.units import Array, InputError, Values, require_positive


@dataclass(frozen=True)
class Knob:
    """Something that can be set between two ends.

    Attributes:
        name: what it sets.
        closest, loosest: its ends, above zero; of two that do not bear on the coupling, either way round.
        steps: the only values it can have; empty for all between the ends.
    """

    name: str
    closest: float
    loosest: float
    steps: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        require_positive("closest", self.closest)
        require_positive("loosest", self.loosest)
        if self.closest == self.loosest:
            raise InputError("loosest", "must not be the same as the closest")

    def spaced(self, count: int) -> Array:
        """Its steps, or `count` values in equal ratios from the closest to the loosest."""
        if self.steps:
            return np.sort(np.array(self.steps))[:: -1 if self.closest > self.loosest else 1]
        return np.geomspace(self.closest, self.loosest, count)


@dataclass(frozen=True)
class Adjustment:
    """A link of the set's, and its knobs.

    Attributes:
        name: of the link.
        knobs: closeness of coupling first; none for a link that cannot be adjusted.
        apply: makes a set from the set and a value for each knob, arrays of [..., tunings or 1, 1].
    """

    name: str
    knobs: tuple[Knob, ...]
    apply: Callable[..., Receiver]

    @property
    def coupling(self) -> Knob:
        """The knob for closeness of coupling.

        Raises:
            InputError: the link has none.
        """
        if not self.knobs:
            raise InputError("adjustment", "must have a coupling to vary")
        return self.knobs[0]


def closeness(link: Link) -> Values | None:
    """The value that says how close a link's coupling is: its capacitance [F], fraction or coefficient [-]; None for a
    direct one."""
    match link:
        case SeriesCapacitor(capacitance=value) | CapacitorPair(capacitance=value):
            return value
        case Tap(fraction=value):
            return value
        case Inductive(coefficient=value) | InductivePair(coefficient=value):
            return value
        case TunedAerial(winding=winding):
            return winding.coefficient
    return None


def with_closeness(link: Link, value: Values, tank: Tank) -> Link:
    """A link on a tank with another closeness of coupling, the rest as it was.

    Where the inductance below a tap is given, it goes by that power of the turns which it has against the whole coil.

    Raises:
        InputError: a direct link has none; or the value is out of range.
    """
    match link:
        case SeriesCapacitor() | CapacitorPair():
            return replace(link, capacitance=value)
        case Tap(fraction=old, inductance=None):
            return replace(link, fraction=value)
        case Tap(fraction=old, inductance=own):
            whole, turns = np.asarray(tank.inductance), np.asarray(old)
            inner = turns < 1.0
            power = np.where(inner, np.log(own / whole) / np.log(np.where(inner, turns, 0.5)), 2.0)
            return replace(link, fraction=value, inductance=whole * np.asarray(value) ** power)
        case Inductive() | InductivePair():
            return replace(link, coefficient=value)
        case TunedAerial(winding=winding):
            return replace(link, winding=replace(winding, coefficient=value))
    raise InputError("link", "must have a coupling to vary: a direct one has none")


def closest_possible(link: Link) -> float:
    """What no closeness of the link's can exceed: 1 for a fraction or a coefficient, infinity for a capacitance."""
    return 1.0 if isinstance(link, Tap | Inductive | InductivePair | TunedAerial) else np.inf


_ENDS: dict[type, tuple[float, float]] = {
    SeriesCapacitor: (1e-9, 2e-12),
    Tap: (1.0, 0.02),
    Inductive: (0.6, 0.004),
    TunedAerial: (0.6, 0.004),
    InductivePair: (0.3, 0.0005),
    CapacitorPair: (1e-10, 1e-13),
}
"""How close and how loose each link is made by custom."""


def coupling_of(
    link: Link,
    closest: float | None = None,
    loosest: float | None = None,
    tap: Callable[[Array], Tap] | None = None,
    name: str = "",
    steps: Sequence[float] = (),
) -> Adjustment:
    """A link adjusted by its closeness of coupling alone.

    Args:
        link: what is not varied is taken from it.
        closest, loosest: ends of the coupling: capacitance [F], fraction of turns or coefficient [-]; None for what is
            usual.
        tap: gives a tap on a fraction of the turns with its true coefficient and inductance, any shape; None keeps the
            coefficient of `link` (see `with_closeness`).
        name: of the link; its kind where none is given.
        steps: the only closenesses that can be had, such as taps at whole turns; empty for all.
    """
    name = name or type(link).__name__
    if isinstance(link, Direct):
        return Adjustment(name, (), lambda receiver: replace(receiver, link=link))
    ends = next(ends for kind, ends in _ENDS.items() if isinstance(link, kind))
    if len(steps):
        ends = max(steps), min(steps)
    knob = Knob("coupling", closest or ends[0], loosest or ends[1], tuple(float(step) for step in steps))

    def apply(receiver: Receiver, value: Array) -> Receiver:
        return replace(receiver, link=with_closeness(link, value, receiver.tank) if tap is None else tap(value))

    return Adjustment(name, (knob,), apply)


def winding_choice(
    winding: Callable[[Array], tuple[Values, Values]],
    turns: Sequence[float],
    closest: float = 0.6,
    loosest: float = 0.004,
    name: str = "Inductive",
) -> Adjustment:
    """A separate aerial winding: its coefficient of coupling, and which of some numbers of turns it has.

    Args:
        winding: gives inductance [H] and resistance [ohm] of so many turns, any shape.
        turns: which can be wound.
        closest, loosest: ends of the coefficient [-].
        name: of the link.
    """
    counts = tuple(float(count) for count in require_positive("turns", turns).ravel())
    if len(counts) < 2:
        raise InputError("turns", "must leave a choice of two numbers at least")
    knobs = (Knob("coupling", closest, loosest), Knob("turns", max(counts), min(counts), counts))

    def apply(receiver: Receiver, coefficient: Array, chosen: Array) -> Receiver:
        return replace(receiver, link=Inductive(*winding(chosen), coefficient))

    return Adjustment(name, knobs, apply)


def with_aerial_capacitor(link: Inductive, closest: tuple[float, float], name: str = "Inductive") -> Adjustment:
    """A separate winding with a variable capacitor in series, which tunes the aerial: coefficient and capacitance.

    Args:
        link: the winding.
        closest: least and most of that capacitor [F].
        name: of the link.
    """
    ends = _ENDS[Inductive]
    knobs = (Knob("coupling", *ends), Knob("aerial capacitor", max(closest), min(closest)))

    def apply(receiver: Receiver, coefficient: Array, capacitance: Array) -> Receiver:
        return replace(receiver, link=replace(link, coefficient=coefficient, capacitance=capacitance))

    return Adjustment(name, knobs, apply)


def with_detector_tap(
    adjustment: Adjustment, tap: Callable[[Array], DetectorTap], closest: float = 1.0, loosest: float = 0.1
) -> Adjustment:
    """A link with the detector on a tap of the coil as well, which may be moved.

    Args:
        adjustment: of the link, by one knob at least.
        tap: gives the detector's tap at a fraction of the turns, any shape.
        closest, loosest: ends of that fraction [-].
    """

    def apply(receiver: Receiver, *values: Array) -> Receiver:
        return replace(adjustment.apply(receiver, *values[:-1]), detector_tap=tap(values[-1]))

    knobs = (adjustment.coupling, *adjustment.knobs[1:], Knob("detector tap", closest, loosest))
    return Adjustment(adjustment.name, knobs, apply)


def with_first_link(
    adjustment: Adjustment, link: Link, closest: float | None = None, loosest: float | None = None
) -> Adjustment:
    """Two tuned circuits with the link between aerial and first one adjusted as well.

    Args:
        adjustment: of the pair, by one knob at least.
        link: between aerial and first circuit; what is not varied is taken from it.
        closest, loosest: ends of its closeness; None for what is usual.
    """
    inner = coupling_of(link, closest, loosest).coupling

    def apply(receiver: Receiver, *values: Array) -> Receiver:
        set_ = adjustment.apply(receiver, *values[:-1])
        if not isinstance(set_.link, InductivePair | CapacitorPair):
            raise InputError("adjustment", "must be of two tuned circuits")
        return replace(set_, link=replace(set_.link, link=with_closeness(link, values[-1], set_.link.primary)))

    knobs = (adjustment.coupling, *adjustment.knobs[1:], replace(inner, name="first link"))
    return Adjustment(adjustment.name, knobs, apply)
