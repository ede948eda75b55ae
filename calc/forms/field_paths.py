"""The way from a station to a listener: over one kind of ground, or over several in turn."""

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from calc import ground_wave, units
from calc.forms.field_fields import FARTHEST, NEAREST
from calc.forms.parts import OWN
from calc.ground_wave import Ground, Section
from calc.units import Array, InputError

_POINTS = 90


class Path(NamedTuple):
    """The way to the listener.

    Attributes:
        distance: all of it [m].
        field: of the ground wave at its end [V/m].
        over, along: distances [m], and the ground wave there [V/m].
        name: what it is called in a sentence.
        edges: distances at which the ground changes [m].
    """

    distance: float
    field: float
    over: Array
    along: Array
    name: str
    edges: tuple[float, ...]


def path_of(values: Mapping[str, Any], power: float) -> Path:
    """The way that was chosen, and what a station of that e.m.r.p. [W] lays down along it."""
    return _several(values, power) if values["path"] == "several" else _one(values, power)


def _one(values: Mapping[str, Any], power: float) -> Path:
    """One kind of ground all the way."""
    if values["ground"] == OWN:
        ground = Ground(OWN, "ground of your own", values["conductivity"], values["permittivity"])
    else:
        ground = ground_wave.grounds()[values["ground"]]
    distance = float(values["distance"])
    over = np.append(np.geomspace(NEAREST, FARTHEST, _POINTS), distance)
    along = np.asarray(
        ground_wave.field_strength(power, over, values["frequency"], ground.conductivity, ground.permittivity)
    )
    name = _in_sentence(ground)
    return Path(distance, float(along[-1]), over[:-1], along[:-1], name, ())


def _in_sentence(ground: Ground) -> str:
    """The name of a ground without its finer points."""
    first = ground.name.split(",")[0]
    return first[0].lower() + first[1:]


def _several(values: Mapping[str, Any], power: float) -> Path:
    """Several kinds of ground in turn."""
    rows = values["sections"]
    grounds = [ground_wave.grounds()[row["ground"]] for row in rows]
    sections = [
        Section(row["length"], ground.conductivity, ground.permittivity)
        for row, ground in zip(rows, grounds, strict=True)
    ]
    ends = np.cumsum([section.length for section in sections])
    total = float(ends[-1])
    if not NEAREST <= total <= FARTHEST:
        raise InputError(
            "sections", f"must be {units.format(NEAREST, 'm')} to {units.format(FARTHEST, 'm')} long together"
        )
    over = np.geomspace(min(NEAREST, 0.2 * total), total, _POINTS)
    # a mark of the ground's change on both sides, so that the curve bends where the path does
    over = np.unique(np.concatenate([over[:-1], ends, ends[:-1] * 1.0001]))
    over = over[over <= total]
    along = ground_wave.field_along_path(power, float(values["frequency"]), sections, over)
    words = [_in_sentence(ground) for ground in grounds]
    # a path of a single section ends where its ground does
    edges = tuple(ends[:-1].tolist()) or (total,)
    return Path(total, float(along[-1]), over, along, ", ".join(dict.fromkeys(words)), edges)
