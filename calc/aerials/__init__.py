"""Aerials: wires over ground, frames, rods and stand-ins, as a set sees them from its terminals."""

from calc.aerials.dummy import DummyAerial
from calc.aerials.loops import (
    FrameAerial,
    loop_effective_height,
    loop_pattern,
    loop_radiation_resistance,
)
from calc.aerials.rod import FerriteRod
from calc.aerials.series import SeriesAerial
from calc.aerials.wires import (
    BentWire,
    MeasuredAerial,
    ParallelWires,
    WireAerial,
    room_wire,
    sloping_wire,
)

__all__ = [
    "BentWire",
    "DummyAerial",
    "FerriteRod",
    "FrameAerial",
    "MeasuredAerial",
    "ParallelWires",
    "SeriesAerial",
    "WireAerial",
    "loop_effective_height",
    "loop_pattern",
    "loop_radiation_resistance",
    "room_wire",
    "sloping_wire",
]
