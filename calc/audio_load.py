"""What hangs on the detector: resistance to d.c., impedance to the audio, transformer, by-pass.

The detector's d.c. runs through whatever lies between its output and earth; so does the audio, but seldom against the
same resistance. An earphone of 4000 ohm to d.c. may be 12 kohm to speech; a transformer's primary of a few hundred ohm
passes the earphone on multiplied by its ratio squared. The two straight lines that this makes, one for the mean and one
for the swing about it, are the detector's load lines.

    detector ──┬── R ∥ C (the cure) ── primary resistance ──┐
               │                                            ├ primary inductance ∥ ratio² x earphone / efficiency
            by-pass                                         │
     earth ────┴────────────────────────────────────────────┘
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from calc import loads
from calc.constants import TWO_PI
from calc.detectors.loaded import LoadLine
from calc.earphones import EarphoneKind
from calc.units import InputError, Values, plain, require_finite, require_nonnegative, require_positive


@dataclass(frozen=True)
class Transformer:
    """A matching transformer between detector and earphone.

    Attributes:
        ratio: primary turns over secondary turns. Scalar or array [-].
        primary_resistance: of the primary to d.c., lost to the audio too. Scalar or array [ohm].
        efficiency: share of the audio power that gets past core and secondary, the primary's resistance counted
            apart. Scalar or array [-].
        primary_inductance: infinite where the lowest notes do not matter. Scalar or array [H].
    """

    ratio: Values
    primary_resistance: Values
    efficiency: Values = 1.0
    primary_inductance: Values = np.inf

    def __post_init__(self) -> None:
        require_positive("ratio", self.ratio)
        require_positive("primary_resistance", self.primary_resistance)
        if not np.all((require_finite("efficiency", self.efficiency) > 0.0) & (np.asarray(self.efficiency) <= 1.0)):
            raise InputError("efficiency", "must be above zero and not above one")
        _require_above("primary_inductance", self.primary_inductance)


@dataclass(frozen=True)
class AudioLoad:
    """An earphone as the detector meets it. Values are scalars or arrays that broadcast with [..., stations].

    Attributes:
        dc_resistance: of the earphone; infinite for a piezo element with no resistor across it [ohm].
        impedance: of the earphone to the audio, taken as a resistance; of a piezo element, that of its resistor [ohm].
        capacitance: of a piezo element, across it [F].
        transformer: between detector and earphone; None where there is none.
        bypass: capacitance from the detector's output to earth, which shorts the carrier and must spare the audio [F].
        cure_resistance: in series with the load, the usual cure where the load is much less to d.c. than to the
            audio [ohm].
        cure_capacitance: across that resistance, passes the audio by it; infinite for large enough [F].
        bias: e.m.f. of a cell in series with the load, positive where it helps the diode to conduct [V]. With it the
            set is no longer one without a battery.
    """

    dc_resistance: Values
    impedance: Values
    capacitance: Values = 0.0
    transformer: Transformer | None = None
    bypass: Values = 0.0
    cure_resistance: Values = 0.0
    cure_capacitance: Values = np.inf
    bias: Values = 0.0

    def __post_init__(self) -> None:
        loads.conductance("dc_resistance", self.dc_resistance)
        require_positive("impedance", self.impedance)
        for name in ("capacitance", "bypass", "cure_resistance"):
            require_nonnegative(name, getattr(self, name))
        _require_above("cure_capacitance", self.cure_capacitance)
        require_finite("bias", self.bias)

    @property
    def direct_resistance(self) -> Any:
        """From the detector's output to earth for d.c. [ohm]."""
        winding = self.dc_resistance if self.transformer is None else self.transformer.primary_resistance
        return plain(np.asarray(winding) + np.asarray(self.cure_resistance))

    @property
    def audio_resistance(self) -> Any:
        """From the detector's output to earth for audio of middle pitch, by-pass and cure left out [ohm]."""
        if self.transformer is None:
            return plain(np.asarray(self.impedance, dtype=np.float64))
        return plain(np.asarray(self.transformer.primary_resistance) + self._reflected)

    @property
    def efficiency(self) -> Any:
        """Share of the audio power in `audio_resistance` that reaches the earphone [-]."""
        if self.transformer is None:
            return 1.0
        return plain(np.asarray(self.transformer.efficiency) * self._reflected / np.asarray(self.audio_resistance))

    @property
    def line(self) -> LoadLine:
        """The load lines: to d.c., and to audio of middle pitch."""
        return LoadLine(
            loads.conductance("dc_resistance", self.direct_resistance),
            1.0 / np.asarray(self.audio_resistance),
            np.asarray(self.bias, dtype=np.float64),
        )

    @property
    def _reflected(self) -> Any:
        """The earphone as the primary shows it, core and secondary with it [ohm]."""
        if self.transformer is None:
            return np.asarray(self.impedance, dtype=np.float64)
        return np.asarray(self.transformer.ratio) ** 2 * self.impedance / np.asarray(self.transformer.efficiency)

    def _branches(self, frequency: Values) -> tuple[Any, Any, Any]:
        """Admittance of what the transformed earphone and the primary's inductance make together, impedance before it,
        and angular frequency."""
        angular = TWO_PI * require_positive("frequency", frequency)
        reflected = self._reflected
        shunt = (1.0 + 1j * angular * np.asarray(self.capacitance) * self.impedance) / reflected
        before = np.zeros(())
        if self.transformer is not None:
            shunt = shunt - 1j / (angular * np.asarray(self.transformer.primary_inductance))
            before = np.asarray(self.transformer.primary_resistance)
        cure = np.asarray(self.cure_resistance, dtype=np.float64)
        bridge = angular * np.asarray(self.cure_capacitance)
        # where the cure's capacitor is without limit the resistance is shorted, and so is an absent one
        wired = np.isfinite(bridge) & (cure > 0.0)
        bridge = np.where(wired, bridge, 0.0)
        return shunt, before + np.where(wired, cure / (1.0 + 1j * bridge * cure), 0.0), angular

    def admittance(self, frequency: Values) -> Any:
        """Of all that hangs on the detector, by-pass and all, at an audio frequency.

        Args:
            frequency: scalar or array [Hz].

        Returns:
            Complex admittance [S].
        """
        shunt, before, angular = self._branches(frequency)
        return plain(1.0 / (before + 1.0 / shunt) + 1j * angular * np.asarray(self.bypass))

    def power(self, voltage: Values, frequency: Values) -> Any:
        """Power in the earphone from audio on the detector's output.

        Args:
            voltage: amplitude of the audio across the whole load. Scalar or array [V].
            frequency: of the audio. Scalar or array [Hz].

        Returns:
            Power [W]; in the resistor that stands across a piezo element, where it is one.
        """
        shunt, before, _ = self._branches(frequency)
        across = np.abs(np.asarray(voltage) / (1.0 + before * shunt))
        gain = 1.0 if self.transformer is None else np.asarray(self.transformer.efficiency)
        return plain(gain * across**2 / (2.0 * self._reflected))


def load_of(kind: EarphoneKind, transformer: Transformer | None = None, bypass: Values = 0.0) -> AudioLoad:
    """A kind of earphone as a load, with or without a transformer.

    Args:
        kind: of the table.
        transformer: between detector and earphone.
        bypass: from the detector's output to earth [F].
    """
    return AudioLoad(
        kind.dc_resistance, kind.earphone.impedance, kind.capacitance, transformer=transformer, bypass=bypass
    )


def _require_above(argument: str, value: Values) -> npt.NDArray[np.float64]:
    """As `require_positive`, infinity allowed."""
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise InputError(argument, "must be a number") from None
    if not np.all(array > 0.0):
        raise InputError(argument, "must be greater than zero (infinite for as large as you like)")
    return array


def corner_frequency(source_resistance: Values, load_resistance: Values, bypass: Values) -> Any:
    """Where a by-pass takes 3 dB of the audio: 1 / (2 pi C R), R the source's and the load's resistance in parallel.

    Args:
        source_resistance: of the detector's output to the audio: what the output falls by for a small current drawn
            from it. Scalar or array [ohm].
        load_resistance: of the load to the audio. Scalar or array [ohm].
        bypass: scalar or array [F].

    Returns:
        Frequency [Hz].

    Raises:
        InputError: a value is not above zero.
    """
    source = require_positive("source_resistance", source_resistance)
    load = require_positive("load_resistance", load_resistance)
    capacitance = require_positive("bypass", bypass)
    return plain((1.0 / source + 1.0 / load) / (TWO_PI * capacitance))


def clipping_depth(dc_resistance: Values, audio_impedance: Values, source_resistance: Values = 0.0) -> Any:
    """The deepest modulation that a perfect rectifier passes unclipped into a load that differs for d.c. and audio.

    The rectifier follows the envelope behind a resistance S. At rest it gives E/(R + S) to the load's d.c. resistance
    R; the audio of an envelope m E swings the current by m E/(Z + S) and the output by m E Z/(Z + S). Where the load is
    less to the audio than to d.c. the current comes to nought in the troughs first, at m = (Z + S)/(R + S), which for a
    source without resistance is the well-known Z/R. Where it is more, the output does, at m = (R/Z) (Z + S)/(R + S).

    Args:
        dc_resistance: R, of the load. Scalar or array [ohm].
        audio_impedance: Z, of the load, a resistance. Scalar or array [ohm].
        source_resistance: S, of the rectifier's output: for a tank of resistance r at resonance, 2 r. Scalar or array
            [ohm].

    Returns:
        Depth of modulation, not above one [-].

    Raises:
        InputError: a resistance is not above zero (source_resistance: below zero).

    Accuracy: an exponential diode has no corner there; it bends softly over some nkT/q to either side.
    """
    direct = require_positive("dc_resistance", dc_resistance)
    audio = require_positive("audio_impedance", audio_impedance)
    source = require_nonnegative("source_resistance", source_resistance)
    by_current = (audio + source) / (direct + source)
    return plain(np.minimum(1.0, np.minimum(by_current, direct / audio * by_current)))


def cure_for(load: AudioLoad, lowest_frequency: Values) -> tuple[Any, Any]:
    """The resistor and capacitor in parallel that make a load alike to d.c. and to audio.

    Args:
        load: without a cure, less to d.c. than to the audio.
        lowest_frequency: of the audio that the capacitor must pass. Scalar or array [Hz].

    Returns:
        (resistance [ohm], the difference of the two; capacitance [F] whose reactance at that frequency is a tenth of
        the audio resistance).

    Raises:
        InputError: the load is not less to d.c. than to the audio; lowest_frequency is not above zero.
    """
    resistance = np.asarray(load.audio_resistance) - np.asarray(load.direct_resistance)
    if not np.all(resistance > 0.0):
        raise InputError("load", "must be of less resistance to d.c. than to the audio; otherwise no cure is wanted")
    angular = TWO_PI * require_positive("lowest_frequency", lowest_frequency)
    return plain(resistance), plain(10.0 / (angular * np.asarray(load.audio_resistance)))
