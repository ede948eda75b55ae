"""Earphones, the ear, and the room: from watts at the earphone to what can be heard.

A published sensitivity is a level for one milliwatt at one frequency, mostly 1 kHz; real earphones peak and fall by ten
decibels and more about it, and old magnetic ones have seldom been measured at all. Levels here are those of the audio
tone, or of a programme that has the tone's power, at that frequency.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from calc import tables
from calc.interpolation import Curve
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_finite,
    require_nonnegative,
    require_positive,
)

REFERENCE_POWER = 1e-3
"""Power to which earphone sensitivities refer [W]."""

REFERENCE_FREQUENCY = 1000.0
"""Frequency at which levels and thresholds are compared unless told otherwise [Hz]."""

LOWEST_NOTE, HIGHEST_NOTE = 20.0, 12500.0
"""Ends of the table of hearing thresholds [Hz]."""


@dataclass(frozen=True)
class Earphone:
    """An earphone, or the pair that is worn.

    Attributes:
        impedance: at the audio frequency, taken as a resistance, and as the d.c. load of the detector [ohm].
        sensitivity: sound pressure level for one milliwatt into it [dB SPL].
        spread: half the range about it within which specimens lie [dB].
    """

    impedance: Values
    sensitivity: Values
    spread: Values = 0.0

    def __post_init__(self) -> None:
        require_positive("impedance", self.impedance)
        require_finite("sensitivity", self.sensitivity)
        require_nonnegative("spread", self.spread)


def sound_level(earphone: Earphone, power: Values) -> Array | float:
    """Sound pressure level that a power makes in an earphone, sensitivity + 10 log10(P / 1 mW) [dB SPL].

    Args:
        earphone: see `Earphone`.
        power: audio power into it [W], any shape. Zero gives minus infinity.

    Raises:
        InputError: power is negative or not finite.
    """
    watts = require_nonnegative("power", power)
    with np.errstate(divide="ignore"):
        return plain(np.asarray(earphone.sensitivity) + 10.0 * np.log10(watts / REFERENCE_POWER))


@cache
def _threshold_curve() -> Curve:
    rows = tables.read("hearing_threshold_iso226_2023")
    return Curve(np.log([float(row["frequency"]) for row in rows]), np.array([float(row["level"]) for row in rows]))


def threshold(frequency: Values) -> Array | float:
    """The faintest tone that young ears hear with no other sound about [dB SPL].

    A smooth curve through the printed points over the logarithm of frequency. Older ears, and one ear alone, need more.

    Args:
        frequency: 20 Hz to 12.5 kHz [Hz], any shape.

    Raises:
        InputError: frequency outside the table.

    Source: ISO 226:2023 table 1 (free field, frontal, both ears), by open copies that agree.
    """
    wanted = require_between("frequency", frequency, LOWEST_NOTE, HIGHEST_NOTE, "Hz")
    return plain(_threshold_curve()(np.log(wanted)))


@cache
def _noise_table() -> tuple[Array, Array, Array]:
    rows = tables.read("noise_criteria")
    bands = [name for name in rows[0] if name != "curve"]
    curves = np.array([float(row["curve"]) for row in rows])
    return (
        curves,
        np.log([float(band) for band in bands]),
        np.array([[float(row[b]) for b in bands] for row in rows]),
    )


def room_noise(criterion: float, frequency: float = REFERENCE_FREQUENCY) -> float:
    """Level of a room's noise in the octave about a frequency [dB SPL].

    Straight lines between the curves, and over the logarithm of frequency between their octaves.

    Args:
        criterion: number of the noise-criterion curve that the room meets, 15 (a still night) to 40 (a busy office).
        frequency: 63 Hz to 8 kHz [Hz].

    Raises:
        InputError: a value lies outside the table.

    Source: NC curves after L. L. Beranek (1957), values by a secondary table; see calc/data/noise_criteria.csv.
    """
    curves, bands, levels = _noise_table()
    number = float(require_between("criterion", criterion, float(curves[0]), float(curves[-1])))
    octave = np.log(require_between("frequency", frequency, 63.0, 8000.0, "Hz"))
    by_band = [np.interp(number, curves, levels[:, index]) for index in range(bands.size)]
    return float(np.interp(octave, bands, by_band))


def shunted_piezo(level_per_volt: Values, shunt_resistance: Values) -> Array | float:
    """Sensitivity of a piezo earphone with a resistor across it: level for one milliwatt in the resistor [dB SPL].

    The element follows the voltage, and a milliwatt in R is the square root of R / 1000 ohm in volts.

    Args:
        level_per_volt: sound pressure level for one volt, any shape [dB SPL].
        shunt_resistance: R, any shape [ohm].

    Raises:
        InputError: level_per_volt is not finite, or shunt_resistance not above zero.
    """
    level = require_finite("level_per_volt", level_per_volt)
    return plain(level + 10.0 * np.log10(REFERENCE_POWER * require_positive("shunt_resistance", shunt_resistance)))


def reshunted(earphone: Earphone, shunt_resistance: Values) -> Earphone:
    """A piezo earphone with another resistor across it: the element still follows the voltage.

    Args:
        earphone: with the resistor that it had, which is its impedance.
        shunt_resistance: any shape [ohm].

    Raises:
        InputError: shunt_resistance is not above zero.
    """
    per_volt = np.asarray(earphone.sensitivity) - shunted_piezo(0.0, earphone.impedance)
    return Earphone(plain(shunt_resistance), plain(shunted_piezo(per_volt, shunt_resistance)), earphone.spread)


def amplified(earphone: Earphone, input_resistance: Values, voltage_gain: Values) -> Earphone:
    """An amplifier and the earphone that it drives, taken as one earphone.

    For comparison with sets that have no battery. A milliwatt in the input is far more than it could pass on; the
    figure only serves to scale small powers.

    Args:
        earphone: which it drives.
        input_resistance: any shape [ohm].
        voltage_gain: from its input to the earphone, any shape [-].

    Raises:
        InputError: a value is not above zero.
    """
    resistance = require_positive("input_resistance", input_resistance)
    gain = require_positive("voltage_gain", voltage_gain)
    more = 10.0 * np.log10(gain**2 * resistance / np.asarray(earphone.impedance))
    return Earphone(plain(resistance), plain(np.asarray(earphone.sensitivity) + more), earphone.spread)


@dataclass(frozen=True)
class EarphoneKind:
    """A kind of earphone as it is found in drawers, with how far its figures can be trusted.

    Attributes:
        key, name: what it is called.
        earphone: its figures at 1 kHz.
        dc_resistance: what the detector's d.c. meets [ohm].
        capacitance: of a piezo element [F].
        spread: half the range of sensitivity within which specimens lie [dB].
        has_battery: True for an amplifier, which stands here for comparison only.
        note: for the reader.
    """

    key: str
    name: str
    earphone: Earphone
    dc_resistance: float
    capacitance: float
    spread: float
    has_battery: bool
    note: str


@cache
def earphone_kinds() -> dict[str, EarphoneKind]:
    """Kinds of earphone by key. Source and certainty of each stand in calc/data/earphones.csv."""
    kinds: dict[str, EarphoneKind] = {}
    for row in tables.read("earphones"):
        impedance = float(row["impedance"])
        if row["gain"]:
            earphone = amplified(kinds[row["drives"]].earphone, impedance, float(row["gain"]))
        else:
            earphone = Earphone(impedance, float(row["sensitivity"]), float(row["spread"]))
        kinds[row["key"]] = EarphoneKind(
            key=row["key"],
            name=row["name"],
            earphone=earphone,
            dc_resistance=float(row["dc_resistance"]),
            capacitance=float(row["capacitance"] or 0.0),
            spread=float(np.asarray(earphone.spread)),
            has_battery=bool(row["gain"]),
            note=row["note"],
        )
    return kinds


def earphone_kind(key: str) -> EarphoneKind:
    """The kind of earphone of that key; InputError naming the known ones otherwise."""
    kinds = earphone_kinds()
    if key not in kinds:
        raise InputError("earphone", f"must be one of {', '.join(kinds)}")
    return kinds[key]
