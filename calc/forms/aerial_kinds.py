"""From the fields of the aerial form to the physics, one way for each kind of aerial."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from calc import units
from calc.aerial_loading import first_resonance
from calc.aerials import (
    BentWire,
    DummyAerial,
    FerriteRod,
    FrameAerial,
    MeasuredAerial,
    ParallelWires,
    SeriesAerial,
    WireAerial,
    room_wire,
    sloping_wire,
)
from calc.constants import COPPER_RESISTIVITY, TWO_PI
from calc.units import Array, InputError, Values

RESISTIVITIES: Mapping[str, float] = {"copper": COPPER_RESISTIVITY, "aluminium": 2.83e-8, "stainless": 7.3e-7}
"""Of the metals that aerial wire is made of [ohm m]: hard-drawn aluminium by IEC 60889, stainless steel of the
austenitic kind, which is not magnetic (both from memory)."""

THINNEST, THICKEST = 0.1e-3, 5e-3
"""Bounds of aerial wire [m]."""

SWEEP_FROM = 30e3
_BROADCAST = 2e6
_PAST_RESONANCE = 1.3
_LEAST_SWEPT = 1.8e6

Wires = WireAerial | BentWire | ParallelWires


@contextmanager
def blaming(fields: Mapping[str, str]) -> Iterator[None]:
    """Lays an error of a physics argument at the field that the chosen kind asks."""
    try:
        yield
    except InputError as error:
        raise InputError(fields.get(error.argument, error.argument), error.reason) from None


def settled(values: Array, scale: float) -> Array:
    """Values for a line of a chart, to a millionth of `scale`.

    Where a line passes nought its last digits are rounding alone, and differ from one machine to the next.
    """
    grain = 1e-6 * scale
    return np.asarray(np.round(values / grain) * grain + 0.0)


class Part(NamedTuple):
    """A part of the resistance: key, what it is called, size [ohm], and how it was found."""

    key: str
    label: str
    resistance: float
    how: str


@dataclass(frozen=True)
class Picked:
    """An aerial as the answer needs it, looked at at one frequency.

    Attributes:
        aerial: anything with `impedance(frequency)`, its earth included.
        capacitance, inductance: well below resonance [F], [H].
        low_height: effective height well below resonance [m].
        height: effective height at the frequency [m].
        parts: of the resistance at the frequency.
        frequency: of the sweep, rising [Hz], [n].
        impedance: over the sweep [ohm], [n].
        resonance: where its reactance first passes nought [Hz]; None if that is beyond the sweep.
        how: how capacitance, inductance and height were found.
        shape: the wire; None where there is no shape to draw.
    """

    aerial: Any
    capacitance: float
    inductance: float
    low_height: float
    height: float
    parts: tuple[Part, ...]
    frequency: Array
    impedance: Array
    resonance: float | None
    how: str
    shape: Wires | None = None


class OverEarth:
    """A wire, solved without its earth, with an earth resistance in its lead."""

    def __init__(self, shape: Wires, earth_resistance: float) -> None:
        self._shape, self._earth = shape, earth_resistance

    def impedance(self, frequency: Values) -> Any:
        """Impedance between aerial and earth terminals [ohm] at frequencies [Hz]."""
        return np.asarray(self._shape.impedance(frequency)) + self._earth


@lru_cache(maxsize=16)
def known(shape: Wires) -> Wires:
    """The shape, or its like that was asked for before and is solved already."""
    return shape


def _sweep(upper: float) -> Array:
    """Frequencies of a sweep [Hz]: by ratio over the broadcast bands, by equal steps above them."""
    middle = min(_BROADCAST, upper)
    over = np.geomspace(SWEEP_FROM, middle, 34)
    return np.concatenate([over, np.linspace(middle, upper, 20)[1:]]) if upper > middle else over


@lru_cache(maxsize=16)
def _swept(shape: Wires, upper: float) -> tuple[Array, Array, float | None]:
    """Frequencies up to `upper` [Hz], the wire's impedance there without earth [ohm], and its first resonance [Hz]."""
    frequency = _sweep(upper)
    impedance = np.asarray(shape.impedance(frequency))
    return frequency, impedance, first_resonance(shape, frequency, impedance.imag)


@lru_cache(maxsize=32)
def _looked_at(shape: Wires, frequency: float) -> tuple[float, float, float]:
    """Resistance of wire and radiation together, that of radiation [ohm], and effective height [m] at a frequency."""
    resistance = float(np.asarray(shape.series(frequency).resistance))
    return resistance, float(shape.radiation_resistance(frequency)), float(shape.effective_height_at(frequency))


def pick(values: Mapping[str, Any]) -> Picked:
    """The wire, the measured or the dummy aerial that was chosen, at the frequency that is looked at."""
    frequency = float(values["frequency"])
    if values["kind"] == "dummy":
        dummy = DummyAerial()
        part = Part("network_resistance", "Resistance of the network", float(dummy.impedance(frequency).real), "exact")
        return _lumped(
            dummy,
            dummy.effective_height,
            (part,),
            dummy.inductance,
            frequency,
            "the network's parts; 4 m by convention",
        )
    if values["kind"] == "measured":
        aerial = MeasuredAerial(
            values["measured_capacitance"],
            values["measured_height"],
            values["measured_resistance"],
            values["measured_inductance"],
        )
        part = Part("measured_resistance", "Resistance, earth included", aerial.resistance, "as you gave it")
        return _lumped(
            aerial.series(1e6), aerial.effective_height, (part,), aerial.inductance, frequency, "as you gave it"
        )
    return _wire(values, frequency)


def _lumped(
    aerial: SeriesAerial | DummyAerial,
    height: float,
    parts: tuple[Part, ...],
    inductance: float,
    frequency: float,
    how: str,
) -> Picked:
    """An aerial made of a few parts."""
    capacitance = float(np.asarray(aerial.capacitance))
    upper = max(_upper(capacitance, inductance), 1.05 * frequency)
    sweep = _sweep(upper)
    impedance = np.asarray(aerial.impedance(sweep))
    resonance = first_resonance(aerial, sweep, impedance.imag)
    return Picked(aerial, capacitance, inductance, height, height, parts, sweep, impedance, resonance, how)


def _upper(capacitance: float, inductance: float) -> float:
    """Where a sweep ends [Hz]: past the resonance of capacitance and inductance, and past medium wave."""
    resonance = 1.0 / (TWO_PI * np.sqrt(capacitance * max(inductance, 1e-7)))
    return float(min(max(_PAST_RESONANCE * resonance, _LEAST_SWEPT), 12e6))


def _wire(values: Mapping[str, Any], frequency: float) -> Picked:
    """A wire over ground."""
    diameter, earth = values["wire"], values["earth_resistance"]
    if not THINNEST <= diameter <= THICKEST:
        raise InputError("wire", f"must be from {units.format(THINNEST, 'm')} to {units.format(THICKEST, 'm')}")
    shape = known(_SHAPES[values["kind"]](values, diameter, RESISTIVITIES[values["metal"]]))
    ceiling = 0.98 * shape.mesh.highest_frequency
    upper = min(max(_upper(shape.capacitance, shape.inductance), 1.05 * frequency), ceiling)
    if frequency > ceiling:
        raise InputError("frequency", f"must not exceed {units.format(ceiling, 'Hz', 3)} for this much wire")
    resistance, radiation, height = _looked_at(shape, frequency)
    sweep, impedance, resonance = _swept(shape, upper)
    return Picked(
        aerial=OverEarth(shape, earth),
        capacitance=shape.capacitance,
        inductance=shape.inductance,
        low_height=shape.effective_height,
        height=height,
        parts=(
            Part("earth_resistance", "Earth resistance", earth, "as you gave it"),
            Part(
                "radiation_resistance",
                "Radiation resistance",
                radiation,
                "the same solution; within 5 % of NEC-2 over perfect ground",
            ),
            Part(
                "wire_resistance",
                "Resistance of the wire",
                max(resistance - radiation, 0.0),
                "exact skin effect, weighted by the current along the wire",
            ),
        ),
        frequency=sweep,
        impedance=impedance + earth,
        resonance=resonance,
        how="charges on the wire and their image in the ground; 2 % in open country",
        shape=shape,
    )


def _topped(values: Mapping[str, Any], diameter: float, resistivity: float) -> Wires:
    kind = {"inverted-l": "inverted L", "t": "T", "vertical": "vertical"}[values["kind"]]
    span = 0.0 if kind == "vertical" else values["span"]
    return WireAerial(values["height"], span, diameter, 0.0, kind, resistivity)


def _low(values: Mapping[str, Any], diameter: float, resistivity: float) -> Wires:
    return WireAerial(values["low_height"], values["low_length"], diameter, 0.0, "inverted L", resistivity)


def _several(values: Mapping[str, Any], diameter: float, resistivity: float) -> Wires:
    kind = "T" if values["joined"] == "middle" else "inverted L"
    return ParallelWires(
        values["height"], values["span"], diameter, values["number"], values["spacing"], 0.0, kind, resistivity
    )


def _sloping(values: Mapping[str, Any], diameter: float, resistivity: float) -> Wires:
    drop = values["near_height"] - values["far_height"]
    if values["ground_distance"] < 0.1 * drop:
        raise InputError("ground_distance", "must be a tenth of the drop at least: the wire would run back on its lead")
    return sloping_wire(
        values["far_height"], values["ground_distance"], diameter, values["near_height"], 0.0, resistivity
    )


def _indoor(values: Mapping[str, Any], diameter: float, resistivity: float) -> Wires:
    with blaming({"wire_length": "room_wire"}):
        return room_wire(
            values["room_length"],
            values["room_width"],
            values["room_height"],
            values["room_wire"],
            diameter,
            0.0,
            resistivity,
        )


_SHAPES = {
    "inverted-l": _topped,
    "t": _topped,
    "vertical": _topped,
    "low": _low,
    "several": _several,
    "sloping": _sloping,
    "indoor": _indoor,
}


@dataclass(frozen=True)
class Loop:
    """A frame or a rod as the answer needs it.

    Attributes:
        source: the aerial itself.
        name: what it is called in a sentence.
        copper: resistance of the wire by itself at the frequency [ohm]; None where that is not worked out.
        how: how inductance and effective height were found.
    """

    source: FrameAerial | FerriteRod
    name: str
    copper: float | None
    how: str


def pick_loop(values: Mapping[str, Any]) -> Loop:
    """The frame or the rod that was chosen."""
    if values["kind"] == "frame":
        with blaming(
            {"width": "frame_width", "height": "frame_height", "depth": "frame_depth", "wire_diameter": "frame_wire"}
        ):
            frame = FrameAerial(
                values["frame_width"],
                values["frame_height"],
                values["frame_turns"],
                values["frame_depth"] if values["frame_turns"] > 1 else 0.0,
                values["frame_wire"],
            )
        copper = float(frame.wire_resistance(values["frequency"]))
        return Loop(frame, "frame", copper, "Neumann's integral over all sides; 0.1 % for round wire")
    with blaming(
        {
            "permeability": "rod_permeability",
            "turns": "rod_turns",
            "coil_length": "rod_coil_length",
            "coil_centre": "rod_coil_place",
        }
    ):
        rod = FerriteRod(
            values["rod_length"],
            values["rod_diameter"],
            values["rod_permeability"],
            values["rod_turns"],
            values["rod_coil_length"],
            values["rod_coil_place"],
        )
    return Loop(rod, "rod", None, "flux along the rod, poles on its surface; the material is known to 20 %")
