"""The coil of the tuned circuit."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from calc import coils
from calc.constants import TWO_PI
from calc.forms.receiver.catalogue import COILS, MEASURED
from calc.interpolation import Curve
from calc.units import Array, InputError, Values, plain

_TABLE = 64
"""Frequencies in a table of a coil's loss."""


@dataclass(frozen=True)
class Winding:
    """The tank coil: its shape, and either wire or measured figures.

    Attributes:
        turns, diameter, pitch: of the winding [1], [m], [m].
        wire: bare diameter [m]; None for a measured coil.
        measured: (inductance [H], Q) of a measured coil.
    """

    turns: float
    diameter: float
    pitch: float
    wire: float | None
    measured: tuple[float, float] | None = None

    @property
    def length(self) -> float:
        """Length of the winding [m]."""
        return self.turns * self.pitch

    @cached_property
    def inductance(self) -> float:
        """Inductance [H]."""
        if self.measured is not None:
            return self.measured[0]
        return float(coils.solenoid_inductance(self.turns, self.diameter, self.length, self.wire))

    def resistance(self, frequency: Any) -> Any:
        """Series resistance [ohm] at frequencies [Hz]."""
        if self.measured is not None:
            return TWO_PI * np.asarray(frequency) * self.measured[0] / self.measured[1]
        assert self.wire is not None, "a coil that was not measured has a wire"
        return coils.solenoid_resistance(self.turns, self.diameter, self.length, self.wire, frequency)

    @cached_property
    def self_capacitance(self) -> float:
        """Self-capacitance with one end earthed [F]."""
        return float(coils.self_capacitance(self.diameter, self.length))

    def part_inductance(self, turns: Values) -> Any:
        """Inductance of some of its turns by themselves [H], by the current sheet, in proportion for a measured coil;
        any shape."""
        count = np.asarray(turns, dtype=np.float64)
        sheet = coils.solenoid_inductance(count, self.diameter, count * self.pitch)
        whole = coils.solenoid_inductance(self.turns, self.diameter, self.length)
        return plain(np.asarray(sheet) * (self.inductance / float(whole)))


@lru_cache(maxsize=16)
def _winding(
    turns: float, diameter: float, pitch: float, wire: float | None, measured: tuple[float, float] | None = None
) -> Winding:
    return Winding(turns, diameter, pitch, wire, measured)


@lru_cache(maxsize=32)
def _resistances(winding: Winding, frequencies: bytes) -> Array:
    return np.asarray(winding.resistance(np.frombuffer(frequencies)))


def coil_resistance(winding: Winding, tunings: Array) -> Any:
    """`Winding.resistance` at tunings [Hz], remembered for the next time: of [tunings] a column [tunings, 1], of a
    single number a number."""
    found = _resistances(winding, np.asarray(tunings, dtype=np.float64).tobytes())
    return found[:, None] if np.ndim(tunings) else float(found[0])


@lru_cache(maxsize=8)
def _logarithm(winding: Winding, least: float, most: float) -> Curve:
    """Of the resistance, over that of frequency."""
    places = np.linspace(np.log(least), np.log(most), _TABLE)
    return Curve(places, np.log(np.asarray(winding.resistance(np.exp(places)))))


def smooth_resistance(winding: Winding, least: float, most: float, frequency: Values) -> Any:
    """`Winding.resistance` at frequencies between two others [Hz], any shape, from a table; within 0.01 %."""
    return plain(np.exp(_logarithm(winding, least, most)(np.log(frequency))))


def winding_of(values: Mapping[str, Any]) -> Winding:
    """The coil that was chosen."""
    v = values
    if v["coil"] in COILS:
        part = COILS[v["coil"]]
        return _winding(part.turns, part.former + part.wire, part.pitch, part.wire)
    if v["coil"] == MEASURED:
        figures = (v["coil_inductance"], v["coil_quality"])
        return _winding(v["coil_turns"], v["coil_former"], v["coil_pitch"], None, figures)
    if v["coil_pitch"] < v["coil_wire"]:
        raise InputError("coil_pitch", "must be at least the wire's diameter")
    return _winding(v["coil_turns"], v["coil_former"] + v["coil_wire"], v["coil_pitch"], v["coil_wire"])
