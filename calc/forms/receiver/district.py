"""From the rows of the station table to stations with their fields."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from calc import ground_wave
from calc.forms.fields import CellError
from calc.receiver import Station
from calc.units import Array, InputError

STEP_OF_EAR = 10.0 ** (5.0 / 20.0)
"""Ratio of fields for one step by ear. Twice as loud is 10 dB of sound; a detector in its square-law range makes them
of 5 dB of field. With strong signals a step is nearer 10 dB of field, so that a judgement by ear errs towards equal
stations."""


def district_stations(rows: Sequence[dict[str, Any]], ground: ground_wave.Ground, modulation: float) -> list[Station]:
    """Stations of the table's rows.

    Each row gives its field [V/m], or power [W] and distance [m] over the ground, or steps by ear from the first
    station whose field is known by one of the other ways.

    Raises:
        InputError: a row gives none of these, two share a name, or steps by ear have nothing to start from.
    """
    names = [row["name"] for row in rows]
    if len(set(names)) < len(names):
        raise InputError("stations", "Two stations have the same name: tell them apart.")
    fields = _known_fields(rows, ground)
    known = np.flatnonzero(~np.isnan(fields))
    for index, row in enumerate(rows):
        if not np.isnan(fields[index]):
            continue
        if row["ear"] is None:
            wanted = "wants power and distance, a field strength, or steps by ear"
            raise CellError("stations", f"Row {index + 1}: {row['name']} {wanted}.", index, "power")
        if not known.size:
            message = f"Row {index + 1}: steps by ear want one station whose field is known."
            raise CellError("stations", message, index, "ear")
        fields[index] = fields[known[0]] * STEP_OF_EAR ** row["ear"]
    return [
        Station(row["name"], row["frequency"], field, modulation)
        for row, field in zip(rows, fields.tolist(), strict=True)
    ]


def _known_fields(rows: Sequence[dict[str, Any]], ground: ground_wave.Ground) -> Array:
    """Fields as typed, or from power and distance [V/m]; NaN where a row gives neither."""
    fields = np.array([np.nan if row["field"] is None else row["field"] for row in rows], dtype=np.float64)
    hops = {
        index: (row["power"], row["distance"], row["frequency"])
        for index, row in enumerate(rows)
        if row["field"] is None and row["power"] is not None and row["distance"] is not None
    }
    if hops:
        fields[list(hops)] = _over_ground(tuple(hops.values()), ground)
    return fields


@lru_cache(maxsize=8)  # most of what is typed leaves them as they are
def _over_ground(hops: tuple[tuple[float, float, float], ...], ground: ground_wave.Ground) -> Array:
    """Fields [V/m] of powers [W] over distances [m] at frequencies [Hz]."""
    power, distance, frequency = np.array(hops).T
    return np.asarray(ground_wave.field_strength(power, distance, frequency, ground.conductivity, ground.permittivity))
