"""From the rows of the table of readings to readings in capacitance, decibels and amperes."""

from typing import Any

import numpy as np

from calc.correction import Reading, Skill
from calc.forms.fields import CellError
from calc.forms.receiver.build import ChosenSet

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


def readings_of(values: dict[str, Any], chosen: ChosenSet) -> list[Reading]:
    """The readings of the table, in its order."""
    return [_reading(index, row, values, chosen) for index, row in enumerate(values["readings"])]


def per_division(chosen: ChosenSet, dial: float) -> float:
    """Change of the variable capacitor with the dial there [F]."""
    low, high = max(dial - 0.5, 0.0), min(dial + 0.5, 100.0)
    return (chosen.capacitance_at(high) - chosen.capacitance_at(low)) / (high - low)


def station_of(chosen: ChosenSet, frequency: float) -> int | None:
    """The place in the district of the station with that frequency [Hz]; None where there is none."""
    apart = np.abs(np.log(chosen.frequencies / frequency))
    nearest = int(np.argmin(apart))
    return nearest if apart[nearest] <= _SAME else None


def _reading(index: int, row: dict[str, Any], values: dict[str, Any], chosen: ChosenSet) -> Reading:
    station = station_of(chosen, row["frequency"])
    fields = [each.field_strength for each in chosen.stations]
    dial, flanks = row["dial"], None
    middle = chosen.capacitance_at(dial)
    if row["width"] is not None:
        low, high = dial - 0.5 * row["width"], dial + 0.5 * row["width"]
        if low < 0.0 or high > 100.0:
            raise CellError("readings", f"Row {index + 1}: this width runs off the dial.", index, "width")
        flanks = (middle - chosen.capacitance_at(low), chosen.capacitance_at(high) - middle)
    return Reading(
        frequency=row["frequency"],
        joined=row["joined"],
        capacitance=middle,
        uncertainty=values["dial_reading"] * per_division(chosen, dial),
        field_strength=fields[station] if station is not None else float(np.exp(np.mean(np.log(fields)))),
        through=row["through"],
        flanks=flanks,
        loudness=None if row["steps"] is None else row["steps"] * values["step"],
        current=row["current"],
        station=station,
    )
