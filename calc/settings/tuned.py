"""A set tuned to each of some frequencies at many settings at once, whether its capacitors can do it or not.

Values inside aerial, link, tank and diode are scalars or arrays of [..., rows, 1]: a row for each frequency tuned to,
or one for all; settings to be compared go in axes in front.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from calc.coupling import CapacitorPair, InductivePair, Tuning, tune
from calc.sets import Receiver, Source, Station, at_carriers
from calc.units import Array, InputError, Values, require_nonnegative, require_positive

Booleans = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Dial:
    """The variable capacitor and what stands across it. Values broadcast with [..., tunings].

    Attributes:
        least, most: of the variable capacitor [F].
        strays: wiring, detector and coil [F]; the aerial's part comes of itself.
        first: the dial of the first of two tuned circuits; None where its capacitor is taken to reach all.
    """

    least: Values
    most: Values
    strays: Values = 0.0
    first: "Dial | None" = None

    def __post_init__(self) -> None:
        require_nonnegative("least", self.least)
        require_nonnegative("strays", self.strays)
        if not np.all(require_positive("most", self.most) > np.asarray(self.least)):
            raise InputError("most", "must be more than the least capacitance")

    def own(self, total: Values) -> Array:
        """What the variable capacitor itself must have where `total` is to stand across the coil [F]."""
        return np.asarray(np.asarray(total) - np.asarray(self.strays), dtype=np.float64)

    def reaches(self, total: Values) -> Booleans:
        """Whether it has that."""
        own = self.own(total)
        return np.asarray((own >= np.asarray(self.least)) & (own <= np.asarray(self.most)))


class District(NamedTuple):
    """Stations as arrays, [..., stations]: carriers [Hz], fields [V/m], depths of modulation."""

    frequency: Array
    field_strength: Array
    modulation: Array

    @classmethod
    def of(cls, stations: Sequence[Station]) -> "District":
        """From stations, of which there must be one at least."""
        if not stations:
            raise InputError("stations", "must name one station at least")
        figures = [(s.frequency, s.field_strength, s.modulation) for s in stations]
        return cls(*(np.array(column) for column in zip(*figures, strict=True)))


def wanted_rows(wanted: Sequence[int] | None, count: int) -> npt.NDArray[np.intp]:
    """The stations that are wanted, by their places in the list; all of them where none is named."""
    rows = np.arange(count) if wanted is None else np.asarray(wanted, dtype=np.intp).ravel()
    if rows.size == 0 or np.any((rows < 0) | (rows >= count)):
        raise InputError("wanted", f"must be places of stations, from 0 to {count - 1}")
    return rows


class Offer(NamedTuple):
    """What the tank offers at each tuning.

    Attributes:
        source: as for `calc.receiver.source`; where a tuning cannot be had, with the capacitor at nothing.
        reached: whether the tuning can be had, [..., tunings].
    """

    source: Source
    reached: Booleans


def offer(receiver: Receiver, district: District, tuned_to: Values, dial: Dial | None = None) -> Offer:
    """What the tank offers with the set tuned to each of some frequencies.

    Args:
        receiver: the set.
        district: the stations.
        tuned_to: [tunings] [Hz].
        dial: that of the tank; None for a capacitor from nothing to anything.
    """
    tunings = np.atleast_1d(require_positive("tuned_to", tuned_to))[:, None]
    tuning = tune(tunings, receiver.aerial, receiver.link, receiver.tank, detector_tap=receiver.detector_tap)
    return offered(receiver, district, tuning, dial)


def offered(receiver: Receiver, district: District, tuning: Tuning, dial: Dial | None = None) -> Offer:
    """What the tank offers with the set tuned as it is."""
    transfer, impedance, sidebands = at_carriers(receiver, tuning, district.frequency)
    total = np.asarray(tuning.tank.capacitance, dtype=np.float64)
    total = np.broadcast_to(total, (*transfer.shape[:-1], 1))[..., 0] if total.ndim else total
    source = Source(
        capacitance=total,
        open_voltage=np.abs(transfer) * district.field_strength * receiver.effective_height,
        impedance=impedance,
        sidebands=sidebands,
    )
    reached = _last_axis_off(tuning.reached) & (total > 0.0)
    for each, needed in _dials(tuning, dial):
        reached = reached & each.reaches(needed)
    return Offer(source, np.broadcast_to(reached, transfer.shape[:-1]))


def lies_above(receiver: Receiver, tuned_to: Values, dial: Dial | None) -> Booleans:
    """Of frequencies that are off the dial whether that is above it, [..., tunings]: the first dial that does not reach
    one has too much even at its least, or no capacitor would do.

    Args:
        receiver, tuned_to, dial: as for `offer`.
    """
    tunings = np.atleast_1d(require_positive("tuned_to", tuned_to))[:, None]
    tuning = tune(tunings, receiver.aerial, receiver.link, receiver.tank, detector_tap=receiver.detector_tap)
    above: Booleans = np.ones(tunings.size, dtype=np.bool_)
    for each, needed in reversed(_dials(tuning, dial)):
        above = np.where(each.reaches(needed), above, each.own(needed) < np.asarray(each.least))
    return above


def _dials(tuning: Tuning, dial: Dial | None) -> list[tuple[Dial, Array]]:
    """Each dial of a set, with the capacitance that is to stand across its coil [F], [..., tunings]."""
    if dial is None:
        return []
    found = [(dial, _last_axis_off(tuning.tank.capacitance))]
    if dial.first is not None and isinstance(tuning.link, InductivePair | CapacitorPair):
        found.append((dial.first, _last_axis_off(tuning.link.primary.capacitance)))
    return found


def _last_axis_off(values: Any) -> Any:
    array = np.asarray(values)
    return array[..., 0] if array.ndim else array


def changed_values[P](part: P, change: Callable[[Array], Any]) -> P:
    """A part of a set, and all parts in it, with every array among its values changed; numbers stay."""
    if not is_dataclass(part) or isinstance(part, type):
        return part
    new: dict[str, Any] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if isinstance(value, np.ndarray) and value.ndim:
            new[field.name] = change(value)
        elif is_dataclass(value):
            new[field.name] = changed_values(value, change)
    return replace(part, **new) if new else part


def for_rows(receiver: Receiver, rows: npt.NDArray[np.intp], count: int) -> Receiver:
    """The set tuned to some of the stations alone: those rows of values that have a row for each of `count`."""

    def rows_of(values: Array) -> Array:
        return values[..., rows, :] if values.ndim > 1 and values.shape[-2] == count else values

    if np.array_equal(rows, np.arange(count)):
        return receiver
    return replace(
        receiver,
        link=changed_values(receiver.link, rows_of),
        tank=changed_values(receiver.tank, rows_of),
        detector_tap=changed_values(receiver.detector_tap, rows_of),
    )
