"""From the fields of the whole-set form to the physics: stations, aerial, coil, link, set."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc import coils, coupling, detectors, earphones, ground_wave, interpolation
from calc.aerials import SeriesAerial, WireAerial
from calc.constants import COPPER_RESISTIVITY, TWO_PI
from calc.coupling import Aerial, Direct, Inductive, Link, SeriesCapacitor, Tank, Tap
from calc.forms.parts import COVERING, OWN, capacitor_range
from calc.forms.receiver.catalogue import AERIAL_WIRE, AERIALS, COILS, ROOMS, slug
from calc.forms.receiver.district import district_stations
from calc.forms.receiver.fields import FIELDS, MEASURED
from calc.receiver import Receiver, Station
from calc.units import Array, InputError, Values

LINKS = ("direct", "capacitor", "tap", "winding")


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

    def part_inductance(self, turns: float) -> float:
        """Inductance of some of its turns by themselves [H], by the current sheet, in proportion for a measured
        coil."""
        sheet = coils.solenoid_inductance(turns, self.diameter, turns * self.pitch)
        whole = coils.solenoid_inductance(self.turns, self.diameter, self.length)
        return float(sheet) * self.inductance / float(whole)


class Remembered:
    """An aerial whose impedance is worked out once for each set of frequencies: all links ask for the same ones."""

    def __init__(self, aerial: Aerial) -> None:
        self._aerial = aerial
        self._known: dict[bytes, Any] = {}

    def impedance(self, frequency: Values) -> Any:
        """Impedance between aerial and earth terminals [ohm] at frequencies [Hz], any shape."""
        hertz = np.asarray(frequency, dtype=np.float64)
        key = hertz.tobytes()
        if key not in self._known:
            self._known[key] = np.asarray(self._aerial.impedance(hertz.ravel()))
        return self._known[key].reshape(hertz.shape)


@dataclass(frozen=True)
class ChosenSet:
    """A set and its district as chosen in the form."""

    values: dict[str, Any]

    @cached_property
    def stations(self) -> list[Station]:
        """The district's stations, fields worked out where they were not given."""
        v = self.values
        return district_stations(v["stations"], ground_wave.grounds()[v["ground"]], v["modulation"])

    @cached_property
    def frequencies(self) -> Array:
        """Carrier frequencies [Hz], [stations]."""
        return np.array([station.frequency for station in self.stations])

    @cached_property
    def coil_resistance(self) -> Array:
        """Series resistance of the coil at each station's frequency [ohm], [stations]."""
        return np.asarray(self.winding.resistance(self.frequencies))

    @cached_property
    def wire_aerial(self) -> WireAerial | None:
        """The aerial as a wire; None for a measured one."""
        v = self.values
        if v["aerial"] == MEASURED:
            return None
        if v["aerial"] == OWN:
            span = 0.0 if v["aerial_kind"] == "vertical" else v["span"]
            kind = "vertical" if span == 0.0 else v["aerial_kind"]
            return self._copper_aerial(v["height"], span, kind)
        part = AERIALS[v["aerial"]]
        return self._copper_aerial(part.height, part.span, "inverted L")

    def _copper_aerial(self, height: float, span: float, kind: str) -> WireAerial:
        return WireAerial(
            height,
            span,
            AERIAL_WIRE,
            earth_resistance=self.values["earth_resistance"],
            kind=kind,
            conductor_resistivity=COPPER_RESISTIVITY,
        )

    @cached_property
    def aerial(self) -> Aerial:
        """The aerial as a source impedance."""
        if self.wire_aerial is not None:
            return Remembered(self.wire_aerial)
        v = self.values
        return SeriesAerial(v["earth_resistance"], v["aerial_inductance"], v["aerial_capacitance"])

    def aerial_over(self, frequency: Array, exact_at: Array) -> Aerial:
        """The aerial for a curve of many frequencies [Hz]: exact at some of them, between those a smooth series
        circuit."""
        if self.wire_aerial is None:
            return self.aerial
        nodes = np.unique(np.concatenate([np.linspace(frequency.min(), frequency.max(), 7), exact_at]))
        known = self.wire_aerial.series(nodes)
        return SeriesAerial(
            interpolation.monotone(nodes, np.asarray(known.resistance), frequency),
            interpolation.monotone(nodes, np.asarray(known.inductance), frequency),
            interpolation.monotone(nodes, np.asarray(known.capacitance), frequency),
        )

    @property
    def effective_height(self) -> float:
        """Effective height of the aerial [m]."""
        return self.wire_aerial.effective_height if self.wire_aerial else float(self.values["effective_height"])

    @cached_property
    def winding(self) -> Winding:
        """The tank coil."""
        v = self.values
        if v["coil"] in COILS:
            part = COILS[v["coil"]]
            return Winding(part.turns, part.former + part.wire, part.pitch, part.wire)
        if v["coil"] == MEASURED:
            figures = (v["coil_inductance"], v["coil_quality"])
            return Winding(v["coil_turns"], v["coil_former"], v["coil_pitch"], None, figures)
        if v["coil_pitch"] < v["coil_wire"]:
            raise InputError("coil_pitch", "must be at least the wire's diameter")
        return Winding(v["coil_turns"], v["coil_former"] + v["coil_wire"], v["coil_pitch"], v["coil_wire"])

    @cached_property
    def capacitor(self) -> tuple[float, float]:
        """Least and most capacitance of the variable capacitor [F]."""
        return capacitor_range(self.values["capacitor"], self.values["capacitor_least"], self.values["capacitor_most"])

    @property
    def strays(self) -> float:
        """What stands across the variable capacitor besides the aerial: wiring, detector, coil [F]."""
        return float(self.values["strays"]) + self.winding.self_capacitance

    def link(self, kind: str, frequency: float) -> Link:
        """The link of a kind, its own loss taken at a frequency [Hz]."""
        v = {
            name: FIELD_DEFAULTS[name] if v is None else v for name, v in self.values.items() if name in FIELD_DEFAULTS
        }
        if kind == "direct":
            return Direct()
        if kind == "capacitor":
            return SeriesCapacitor(v["link_capacitor"])
        if kind == "tap":
            # The tap that is only compared with goes to a sixth of a coil that is too short for the usual one.
            asked = self.values["tap_turns"]
            return self._tap(asked if asked is not None else min(v["tap_turns"], self.winding.turns / 6.0))
        diameter = self.winding.diameter + v["winding_wire"]
        length = v["winding_turns"] * COVERING * v["winding_wire"]
        inductance = coils.solenoid_inductance(v["winding_turns"], diameter, length)
        resistance = coils.solenoid_resistance(v["winding_turns"], diameter, length, v["winding_wire"], frequency)
        return Inductive(float(inductance), float(resistance), v["coefficient"])

    def _tap(self, turns: float) -> Link:
        whole = self.winding
        if turns >= whole.turns:
            raise InputError("tap_turns", f"must be fewer than the coil's {whole.turns:g}")
        lower, upper = whole.part_inductance(turns), whole.part_inductance(whole.turns - turns)
        return Tap(turns / whole.turns, float(coupling.tap_coefficient(whole.inductance, lower, upper)))

    def receiver(self, link: Link) -> Receiver:
        """The set with a link, the coil's loss that at each station's frequency, [stations, 1]."""
        resistance: Any = self.coil_resistance[:, None]
        return Receiver(
            aerial=self.aerial,
            effective_height=self.effective_height,
            link=link,
            tank=Tank(self.winding.inductance, resistance, 1e-10),
            diode=self.diode,
            earphone=self.earphone,
            room_noise=self.room_noise,
        )

    @cached_property
    def diode(self) -> detectors.Diode:
        """The detector."""
        v = self.values
        if v["detector"] == OWN:
            return detectors.Diode(v["saturation_current"], v["ideality"])
        known = {slug(name): preset.diode for name, preset in detectors.presets().items()}
        return known[v["detector"]]

    @cached_property
    def earphone(self) -> earphones.Earphone:
        """The earphones."""
        v = self.values
        if v["earphone"] == OWN:
            return earphones.Earphone(v["impedance"], v["sensitivity"])
        return earphones.earphone_kind(v["earphone"]).earphone

    @property
    def room_noise(self) -> float:
        """Noise of the room in the octave about 1 kHz [dB SPL]."""
        v = self.values
        return float(v["room_noise"]) if v["room"] == OWN else ROOMS[v["room"]].noise


FIELD_DEFAULTS = {
    field.name: field.parse(field.default)
    for field in FIELDS
    if field.name in {"link_capacitor", "tap_turns", "winding_turns", "winding_wire", "coefficient"}
}
"""Values of the links that are not chosen, for the comparison of all links."""
