"""Field strength of the ground wave over one kind of ground, or over several in turn."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp

import numpy as np

from calc import tables
from calc.constants import SPEED_OF_LIGHT, TWO_PI
from calc.ground_wave.curved_earth import attenuation
from calc.ground_wave.flat_earth import surface_impedance
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_nonnegative,
    require_positive,
)

EARTH_RADIUS = 6.370e6
"""Mean radius of the earth [m]."""

SURFACE_REFRACTIVITY = 315.0
"""Refractivity of air at the ground in the average atmosphere, parts in a million: Rec. ITU-R P.453 (from memory)."""

EFFECTIVE_RADIUS = EARTH_RADIUS / (1.0 - 0.04665 * exp(0.005577 * SURFACE_REFRACTIVITY))
"""Radius at which waves in air without refraction bend from the ground as they do in the real air [m]: 1.37
of the true one. Source: B. R. Bean and E. J. Dutton, Radio Meteorology, NBS Monograph 92 (1966) (from
memory)."""

_UNIT_FIELD = 300.0
"""Field times distance of 1 kW of effective monopole radiated power [V]: 300 mV/m at 1 km, Rec. ITU-R P.368."""


@dataclass(frozen=True)
class Ground:
    """A kind of ground.

    Attributes:
        key: short name.
        name: what it is called.
        conductivity: [S/m].
        permittivity: relative [1].
    """

    key: str
    name: str
    conductivity: float
    permittivity: float

    @property
    def resistivity(self) -> float:
        """What an earth stake meets in it [ohm m]."""
        return 1.0 / self.conductivity


@cache
def grounds() -> dict[str, Ground]:
    """The grounds for which the curves of Rec. ITU-R P.368 are drawn, and two more, by short name."""
    return {
        row["key"]: Ground(row["key"], row["name"], float(row["conductivity"]), float(row["permittivity"]))
        for row in tables.read("grounds")
    }


def unattenuated_field(radiated_power: Values, distance: Values) -> float | Array:
    """Field strength over a perfectly conducting plane: E = 300 V sqrt(P / 1 kW) / d.

    Args:
        radiated_power: effective monopole radiated power; scalar or array [W].
        distance: broadcast with the power [m].

    Returns:
        Field strength [V/m rms].

    Source: Rec. ITU-R P.368: a cymomotive force of 300 V for 1 kW from a short vertical monopole.
    """
    power = require_nonnegative("radiated_power", radiated_power)
    result: float | Array = plain(_UNIT_FIELD * np.sqrt(power / 1e3) / require_positive("distance", distance))
    return result


def field_strength(
    radiated_power: Values, distance: Values, frequency: Values, conductivity: Values, permittivity: Values
) -> float | Array:
    """Field strength of the ground wave at the ground, vertical polarisation, over smooth uniform ground.

    The field over a perfectly conducting plane, times the attenuation along a round earth: the
    Sommerfeld-Norton function with its corrections for curvature near the transmitter, the residue series
    beyond.

    Args:
        radiated_power: effective monopole radiated power (e.m.r.p.); all arguments scalar or array,
            broadcast [W].
        distance: along the ground, up to 10 000 km; near field left out, so meant for more than half a
            wavelength [m].
        frequency: 10 kHz to 30 MHz [Hz].
        conductivity: of the ground [S/m].
        permittivity: of the ground, relative, 1 to 200 [1].

    Returns:
        Field strength [V/m rms].

    Raises:
        InputError: a value outside these bounds.

    Accuracy: 0.03 dB of the exact integral for a smooth earth, and 0.01 dB of published check values for the grounds of
    Rec. ITU-R P.368 up to 200 km. Real ground, with its hills, towns and seasons, is known to some 3 dB at best.

    Source: K. A. Norton (1936), V. A. Fock (1945), J. R. Wait (1956): see `flat_earth` and `curved_earth`.
    """
    hertz = require_between("frequency", frequency, 1e4, 3e7, "Hz")
    metres = require_positive("distance", distance)
    if np.any(metres > 1e7):
        raise InputError("distance", "must not exceed 10000 km")
    direct = np.asarray(unattenuated_field(radiated_power, metres))
    wave_number = TWO_PI * hertz / SPEED_OF_LIGHT
    scale = np.cbrt(wave_number * EFFECTIVE_RADIUS / 2.0)
    b = np.asarray(scale * surface_impedance(hertz, conductivity, permittivity) * np.exp(1j * np.pi / 6.0))
    result: float | Array = plain(direct * np.abs(attenuation(np.asarray(scale * metres / EFFECTIVE_RADIUS), b)))
    return result


@dataclass(frozen=True)
class Section:
    """A stretch of one kind of ground on a path.

    Attributes:
        length: [m].
        conductivity: [S/m].
        permittivity: relative [1].
    """

    length: float
    conductivity: float
    permittivity: float

    def __post_init__(self) -> None:
        require_positive("length", self.length)
        require_nonnegative("conductivity", self.conductivity)
        require_between("permittivity", self.permittivity, 1.0, 200.0)


def mixed_path_field(radiated_power: Values, frequency: Values, sections: Sequence[Section]) -> float | Array:
    """Field strength at the end of a path over several kinds of ground, by Millington's method.

    Going out, the level at the end of the first section is that of its ground all the way; each further
    section takes away what its own ground would between its two ends. The same is done going back, and the
    two levels in dB are averaged, so that the path is the same both ways.

    Args:
        radiated_power: e.m.r.p. [W]; scalar or array.
        frequency: broadcast with the power [Hz].
        sections: from the transmitter to the receiver.

    Returns:
        Field strength [V/m rms].

    Raises:
        InputError: no section, or a value that cannot be.

    Source: G. Millington, Proc. IEE 96 III (1949) 53; Rec. ITU-R P.368 annex 2 (both from memory).
    """
    if not sections:
        raise InputError("sections", "must have at least one section")
    power = require_nonnegative("radiated_power", radiated_power)
    out, back = (_one_way(frequency, order) for order in (sections, sections[::-1]))
    result: float | Array = plain(np.sqrt(power / 1e3) * np.sqrt(out * back))
    return result


def _one_way(frequency: Values, sections: Sequence[Section]) -> Array:
    """Millington's product of fields of 1 kW in one direction [V/m]."""
    level: Array = np.ones(())
    reached = 0.0
    for section in sections:
        ground = (section.conductivity, section.permittivity)
        if reached > 0.0:
            level = level / field_strength(1e3, reached, frequency, *ground)
        reached += section.length
        level = level * field_strength(1e3, reached, frequency, *ground)
    return level


def field_along_path(radiated_power: float, frequency: float, sections: Sequence[Section], distance: Array) -> Array:
    """Field strength at many distances along a path over several kinds of ground, by Millington's method.

    At each distance the path is cut off there and walked out and back, as `mixed_path_field` does for its
    end. Each ground is asked once, for all the distances at which it is wanted.

    Args:
        radiated_power: e.m.r.p. [W].
        frequency: [Hz].
        sections: from the transmitter on.
        distance: above zero, up to the end of the last section [m], [n].

    Returns:
        Field strength [V/m rms], [n].

    Source: as `mixed_path_field`.
    """
    edges = np.concatenate([[0.0], np.cumsum([section.length for section in sections])])
    last = np.clip(np.searchsorted(edges, distance, side="left") - 1, 0, len(sections) - 1)
    out, back = np.ones_like(distance), np.ones_like(distance)
    for index, section in enumerate(sections):
        start, end = edges[index], edges[index + 1]
        within, beyond = last == index, last > index
        here, further = distance[within], distance[beyond]
        parts = (
            here,
            here - start,
            further - start,
            further - end,
            np.array([end]),
            np.array([start] if index else []),
        )
        fields = np.asarray(
            field_strength(1e3, np.concatenate(parts), frequency, section.conductivity, section.permittivity)
        )
        at_here, from_start, to_start, to_end, at_end, at_start = np.split(
            fields, np.cumsum([p.size for p in parts[:-1]])
        )
        entered = at_start[0] if index else 1.0
        out[within] *= at_here / entered
        out[beyond] *= at_end[0] / entered
        back[within] *= from_start
        back[beyond] *= to_start / to_end
    return np.asarray(np.sqrt(radiated_power / 1e3) * np.sqrt(out) * np.sqrt(back))
