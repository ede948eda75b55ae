"""From the rows of the table of readings to readings in capacitance, decibels and amperes."""

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from calc.correction import Reading, Skill
from calc.forms.fields import CellError
from calc.forms.receiver.build import ChosenSet
from calc.units import Array

_WHOLE_DIAL = 100.0
_SAME = 0.002
"""Two frequencies that differ by less than this part are the same station."""


def skill_of(values: dict[str, Any]) -> Skill:
    """How surely the builder reads."""
    return Skill(
        fall=values["fall"],
        fall_uncertainty=values["fall_reading"],
        width_uncertainty=values["width_reading"],
        by_meter=values["width_by"] == "meter",
        loudness_uncertainty=values["step"] * values["step_reading"],
        current_uncertainty=values["current_reading"],
    )


class Dials(NamedTuple):
    """The variable capacitor at each row of the table, [rows] each.

    Attributes:
        capacitance: with the dial as read [F].
        below, above: how much less and more it has at the flanks; nothing where these were not read [F].
        per_division: its change with the dial there [F].
    """

    capacitance: Array
    below: Array
    above: Array
    per_division: Array


def dials_of(values: dict[str, Any], chosen: ChosenSet) -> Dials:
    """The rows' dials in capacitance."""
    dial = np.array([row["dial"] for row in values["readings"]])
    half = np.array([0.5 * (row["width"] or 0.0) for row in values["readings"]])
    low, high = dial - half, dial + half
    for index in np.flatnonzero((low < 0.0) | (high > _WHOLE_DIAL)).tolist():
        raise CellError("readings", f"Row {index + 1}: this width runs off the dial.", index, "width")
    least, most = np.maximum(dial - 0.5, 0.0), np.minimum(dial + 0.5, _WHOLE_DIAL)
    middle, below, above, less, more = chosen.capacitances_at(np.stack([dial, low, high, least, most]))
    return Dials(middle, middle - below, above - middle, (more - less) / (most - least))


def readings_of(values: dict[str, Any], chosen: ChosenSet, dials: Dials) -> list[Reading]:
    """The readings of the table, in its order."""
    return [_reading(row, values, chosen, *dial) for row, dial in zip(values["readings"], _rows(dials), strict=True)]


def _rows(dials: Dials) -> Iterator[tuple[float, ...]]:
    return zip(*(each.tolist() for each in dials), strict=True)


def station_of(chosen: ChosenSet, frequency: float) -> int | None:
    """The place in the district of the station with that frequency [Hz]; None where there is none."""
    apart = np.abs(np.log(chosen.frequencies / frequency))
    nearest = int(np.argmin(apart))
    return nearest if apart[nearest] <= _SAME else None


def _reading(
    row: dict[str, Any],
    values: dict[str, Any],
    chosen: ChosenSet,
    capacitance: float,
    below: float,
    above: float,
    per_division: float,
) -> Reading:
    station = station_of(chosen, row["frequency"])
    fields = [each.field_strength for each in chosen.stations]
    return Reading(
        frequency=row["frequency"],
        joined=row["joined"],
        capacitance=capacitance,
        uncertainty=values["dial_reading"] * per_division,
        field_strength=fields[station] if station is not None else float(np.exp(np.mean(np.log(fields)))),
        through=row["through"],
        flanks=None if row["width"] is None else (below, above),
        loudness=None if row["steps"] is None else row["steps"] * values["step"],
        current=row["current"],
        station=station,
    )
