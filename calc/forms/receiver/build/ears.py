"""Detector and earphones with what joins them; the room."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc import detectors, earphones, units
from calc.audio_load import AudioLoad, Transformer
from calc.earphones import Earphone
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import ROOMS, slug
from calc.units import InputError

_MOST_CURE = 100.0
"""Of the load's resistance to the audio: beyond it a strong station's detector cannot be worked out reliably."""
_ICE = 273.15
"""Of the ice point [K]."""


@dataclass(frozen=True)
class Phones:
    """Earphones as chosen.

    Attributes:
        earphone: impedance and sensitivity, with its range.
        dc_resistance: [ohm].
        capacitance: of a piezo element [F].
        name: for the reader.
        has_battery: True for an amplifier.
    """

    earphone: Earphone
    dc_resistance: float
    capacitance: float
    name: str
    has_battery: bool = False


def preset_of(values: Mapping[str, Any]) -> detectors.Preset | None:
    """The diode's row in the table; None for the reader's own."""
    known = {slug(name): preset for name, preset in detectors.presets().items()}
    return known.get(values["detector"])


def diode_of(values: Mapping[str, Any]) -> detectors.Diode:
    """The detector at its temperature."""
    v, kelvin = values, values["temperature"] + _ICE
    preset = preset_of(v)
    if preset is not None:
        return preset.whole(kelvin)
    return detectors.Diode(
        v["saturation_current"], v["ideality"], kelvin, v["series_resistance"], v["junction_capacitance"]
    )


def phones_of(values: Mapping[str, Any], kind: str | None = None) -> Phones:
    """The earphones, or those of another kind of the table."""
    v, key = values, kind or values["earphone"]
    if key == OWN:
        own = Earphone(v["impedance"], v["sensitivity"], v["sensitivity_spread"])
        return Phones(own, v["dc_resistance"], 0.0, "your earphones")
    found = earphones.earphone_kind(key)
    earphone, direct = found.earphone, found.dc_resistance
    if key == "crystal" and v["shunt"] is not None:
        earphone = earphones.reshunted(earphone, v["shunt"])
        direct = v["shunt"]
    return Phones(earphone, direct, found.capacitance, found.name, found.has_battery)


def transformer_of(values: Mapping[str, Any]) -> Transformer | None:
    """The matching transformer; None where there is none."""
    v = values
    return Transformer(v["ratio"], v["primary_resistance"], v["efficiency"]) if v["transformer"] == "yes" else None


def load_of(values: Mapping[str, Any], phones: Phones, transformer: Transformer | None) -> AudioLoad:
    """Earphones, transformer, by-pass, cure and bias as the detector meets them."""
    v = values
    cured = v["cure"] == "yes"
    load = AudioLoad(
        phones.dc_resistance,
        phones.earphone.impedance,
        phones.capacitance,
        transformer,
        v["bypass"],
        v["cure_resistance"] if cured else 0.0,
        v["cure_capacitance"] if cured else np.inf,
        v["bias"] or 0.0,
    )
    if cured and v["cure_resistance"] > _MOST_CURE * load.audio_resistance:
        most = units.format(_MOST_CURE * load.audio_resistance, "ohm", 2)
        raise InputError(
            "cure_resistance", f"must be at most a hundred times what the load is to the audio, here {most}"
        )
    return load


def room_noise_of(values: Mapping[str, Any]) -> float:
    """Noise of the room in the octave about 1 kHz [dB SPL]."""
    v = values
    return float(v["room_noise"]) if v["room"] == OWN else ROOMS[v["room"]].noise
