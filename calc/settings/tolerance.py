"""How far parts that vary carry the set with them: many draws at once, and the bands in which results fall."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.coupling import CapacitorPair, DetectorTap, InductivePair, Link, Tank, Tap
from calc.detection import CYCLE_POINTS
from calc.receiver import Receiver, Station
from calc.settings.knobs import closeness, closest_possible, with_closeness
from calc.settings.levels import Judged, judge
from calc.settings.stand_ins import varied
from calc.settings.tuned import Dial, District, for_rows, offer, wanted_rows
from calc.units import Array, InputError, require_nonnegative

_LEAST_FACTOR = 0.05
_MOST_SIGMAS = 3.0


@dataclass(frozen=True)
class Tolerance:
    """How far a value varies.

    Attributes:
        amount: half the range, or the standard deviation. A share of the value (0.1 for 10 %), or decibels, as is said
            where it is used.
        law: "uniform" over the range, or "normal", cut off at three standard deviations.
    """

    amount: float
    law: str = "uniform"

    def __post_init__(self) -> None:
        require_nonnegative("amount", self.amount)
        if self.law not in ("uniform", "normal"):
            raise InputError("law", "must be “uniform” or “normal”")

    def draw(self, generator: Random, shape: tuple[int, ...]) -> Array:
        """Departures from the value."""
        count = math.prod(shape)
        if self.law == "uniform":
            drawn = np.array([generator.uniform(-1.0, 1.0) for _ in range(count)])
        else:
            drawn = np.clip([generator.gauss() for _ in range(count)], -_MOST_SIGMAS, _MOST_SIGMAS)
        return np.asarray(self.amount * drawn.reshape(shape))

    def factors(self, generator: Random, shape: tuple[int, ...]) -> Array:
        """The value's share of itself."""
        return np.maximum(1.0 + self.draw(generator, shape), _LEAST_FACTOR)


_NONE = Tolerance(0.0)


@dataclass(frozen=True)
class Tolerances:
    """Of each part of a set; none unless given. Shares of the value unless stated.

    Attributes:
        capacitor: the variable capacitor, both ends of its range alike.
        strays: wiring, detector and coil.
        inductance: of each coil of a tuned circuit by itself.
        quality: Q of each such coil.
        aerial_capacitance, aerial_resistance, effective_height: of the aerial.
        coupling: closeness of the link's coupling.
        saturation_current: of the diode [dB, 20 to a factor of ten in current].
        earphone: its sensitivity [dB]; "spread" of the set's own where None is given, uniform.
        field: of each station by itself [dB].
    """

    capacitor: Tolerance = _NONE
    strays: Tolerance = _NONE
    inductance: Tolerance = _NONE
    quality: Tolerance = _NONE
    aerial_capacitance: Tolerance = _NONE
    aerial_resistance: Tolerance = _NONE
    effective_height: Tolerance = _NONE
    coupling: Tolerance = _NONE
    saturation_current: Tolerance = _NONE
    earphone: Tolerance | None = None
    field: Tolerance = _NONE


class Band(NamedTuple):
    """Where results fall: arrays of [wanted], NaN where no draw can be tuned there.

    Attributes:
        low, middle, high: below which lie a tenth, a half and nine tenths of the draws.
    """

    low: Array
    middle: Array
    high: Array


class Spread(NamedTuple):
    """What comes of the draws.

    Attributes:
        wanted: places of the wanted stations, [wanted].
        capacitance: across the tank [F].
        dial_capacitance: where the station comes on the scale of a capacitor that is exactly as marked [F]; the same
            as `capacitance` without a dial.
        level: [dB SPL].
        margin: over the floor [dB].
        separation: from the loudest other [dB]; infinite where there is none.
        reached: share of the draws in which the station is on the dial, [wanted].
        draws: every draw by itself, [draws, wanted].
    """

    wanted: npt.NDArray[np.intp]
    capacitance: Band
    dial_capacitance: Band
    level: Band
    margin: Band
    separation: Band
    reached: Array
    draws: Judged


def spread_of(
    receiver: Receiver,
    stations: Sequence[Station],
    tolerances: Tolerances,
    generator: Random,
    wanted: Sequence[int] | None = None,
    dial: Dial | None = None,
    draws: int = 200,
    cycle_points: int = CYCLE_POINTS,
) -> Spread:
    """The set with its parts drawn many times over, tuned to each wanted station each time.

    Args:
        receiver: the set as designed; values inside link and tank are scalars or arrays of [stations, 1].
        stations: of the district.
        tolerances: of the parts.
        generator: of random numbers; with one of the same seed the same draws come again.
        wanted: places of the wanted stations in the list; None for all.
        dial: the variable capacitor as marked, scalars inside; None for one that reaches all.
        draws: how many.
        cycle_points: as for `calc.detection.detect`; `FEW_CYCLE_POINTS` there says what fewer cost.

    Raises:
        InputError: draws is less than one, or as for `calc.settings.sweep.trade_off`.

    Accuracy: with 200 draws the ends of a normal spread's band are themselves uncertain by an eighth of its standard
    deviation.
    """
    if draws < 1:
        raise InputError("draws", "must be one at least")
    district = District.of(stations)
    rows = wanted_rows(wanted, len(stations))
    one, each = (draws, 1, 1), (draws, 1, len(stations))

    def factors(tolerance: Tolerance) -> Array:
        return tolerance.factors(generator, one)

    def decibels(tolerance: Tolerance, shape: tuple[int, ...]) -> Array:
        return np.power(10.0, tolerance.draw(generator, shape) / 20.0)

    capacitor, strays = factors(tolerances.capacitor), factors(tolerances.strays)
    set_ = _with_coils(for_rows(receiver, rows, len(stations)), tolerances, generator, one)
    aerial = varied(set_.aerial, factors(tolerances.aerial_resistance), factors(tolerances.aerial_capacitance))
    height = factors(tolerances.effective_height)
    phone = set_.earphone
    own = Tolerance(float(np.max(np.asarray(phone.spread)))) if tolerances.earphone is None else tolerances.earphone
    current = np.asarray(set_.diode.saturation_current) * decibels(tolerances.saturation_current, one)
    set_ = replace(
        set_,
        aerial=aerial,
        diode=replace(set_.diode, saturation_current=current),
        earphone=replace(phone, sensitivity=np.asarray(phone.sensitivity) + own.draw(generator, one)),
    )
    field = district.field_strength * height * decibels(tolerances.field, each)
    drawn = district._replace(field_strength=field)
    actual = dial and _drawn_dial(dial, capacitor[..., 0], strays[..., 0])
    offered = offer(set_, drawn, district.frequency[rows], actual)
    judged = judge(set_, offered, district.modulation, rows, cycle_points)
    marked = judged.capacitance if dial is None else _as_marked(dial, capacitor[..., 0], strays[..., 0], judged)
    tuned = judged.capacitance > 0.0
    return Spread(
        wanted=rows,
        capacitance=_band(judged.capacitance, tuned),
        dial_capacitance=_band(marked, tuned),
        level=_band(judged.level, tuned),
        margin=_band(judged.margin, tuned),
        separation=_band(judged.separation, tuned),
        reached=judged.reached.mean(axis=0),
        draws=judged,
    )


def _with_coils(receiver: Receiver, tolerances: Tolerances, generator: Random, shape: tuple[int, ...]) -> Receiver:
    """The set with its coils and its coupling drawn. A loss goes with its coil's inductance, and inversely as Q."""

    def coil(tank: Tank) -> tuple[Tank, Array]:
        factor = tolerances.inductance.factors(generator, shape)
        loss = factor / tolerances.quality.factors(generator, shape)
        drawn = replace(
            tank, inductance=np.asarray(tank.inductance) * factor, resistance=np.asarray(tank.resistance) * loss
        )
        return drawn, factor

    def link_on(link: Link, whole: Array) -> Link:
        if isinstance(link, InductivePair | CapacitorPair):
            primary, factor = coil(link.primary)
            return replace(link, primary=primary, link=link_on(link.link, factor))
        return _tap_on(link, whole) if isinstance(link, Tap) else link

    tank, whole = coil(receiver.tank)
    link = link_on(receiver.link, whole)
    own = closeness(link)
    factor = tolerances.coupling.factors(generator, shape)
    if own is not None:
        link = with_closeness(link, np.minimum(np.asarray(own) * factor, closest_possible(link)), tank)
    tap = receiver.detector_tap
    return replace(receiver, tank=tank, link=link, detector_tap=tap and _tap_on(tap, whole))


def _tap_on[T: (Tap, DetectorTap)](tap: T, factor: Array) -> T:
    """A tap on a coil whose inductance is so many times what it was."""
    return tap if tap.inductance is None else replace(tap, inductance=np.asarray(tap.inductance) * factor)


def _drawn_dial(dial: Dial, capacitor: Array, strays: Array) -> Dial:
    least, most = np.asarray(dial.least) * capacitor, np.asarray(dial.most) * capacitor
    return replace(dial, least=least, most=most, strays=np.asarray(dial.strays) * strays)


def _as_marked(dial: Dial, capacitor: Array, strays: Array, judged: Judged) -> Array:
    """What the scale says where the drawn capacitor has what is needed of it [F]."""
    return np.asarray((judged.capacitance - np.asarray(dial.strays) * strays) / capacitor)


def _band(values: Array, counted: npt.NDArray[np.bool_]) -> Band:
    """Tenth, half and nine tenths of the draws that count, station by station."""
    found = np.full((3, values.shape[1]), np.nan)
    for column in range(values.shape[1]):
        drawn = values[counted[:, column], column]
        if drawn.size:
            found[:, column] = _percentiles(drawn)
    return Band(*found)


def _percentiles(values: Array) -> Any:
    """The tenth, fiftieth and ninetieth, infinities allowed."""
    if np.all(np.isinf(values)):
        return np.full(3, values[0])
    return np.percentile(values, (10.0, 50.0, 90.0))
