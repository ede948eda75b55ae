"""The set: aerial, link, tank, detector and load together, and what they make of stations by the dozen.

For each station by itself: its field times the aerial's effective height is an e.m.f., which aerial, link and tank
hand to the detector as a source. The detector loads that source, the more the stronger it is driven, and the source's
own resistance starves the detector: both are solved together, at the station's own level, at points all over its
modulation cycle. The audio part of the rectified voltage drives the earphone.

The earphone by itself is a resistance, the same to d.c. and to the audio. Given an `AudioLoad`, d.c. and audio meet
what it has for them, and the loss of tank and by-pass at the audio frequency counts. What two carriers do to each other
in the detector is added by `hear_together`. `calc.receiver` has all of this, station by station.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from calc import earphones
from calc.audio_load import AudioLoad
from calc.coupling import Aerial, DetectorTap, Link, Tank, Tuning, thevenin, tune
from calc.detection import CYCLE_POINTS, Heard, heard, load_line, settle_cycle, swing_curve
from calc.detectors import Diode
from calc.detectors.beat import Images
from calc.detectors.envelope import Sidebands, note_response
from calc.detectors.junction import Cycle
from calc.detectors.loaded import Settled, settle
from calc.detectors.search import ComplexArray
from calc.earphones import Earphone
from calc.mixing import Together, heard_together
from calc.units import (
    Array,
    InputError,
    Values,
    require_between,
    require_finite,
    require_positive,
)

_LEAST_IMAGE = 0.01
"""Of the lowest carrier: nothing is asked of aerial and coil at lower frequencies."""


@dataclass(frozen=True)
class Station:
    """A station of the district.

    Attributes:
        name: what it is called.
        frequency: of its carrier [Hz].
        field_strength: of its carrier at the aerial [V/m rms].
        modulation: depth of modulation by its programme, 0 to 1; about 0.3 for speech and quiet music.
    """

    name: str
    frequency: float
    field_strength: float
    modulation: float = 0.3

    def __post_init__(self) -> None:
        require_positive("frequency", self.frequency)
        require_positive("field_strength", self.field_strength)
        require_between("modulation", self.modulation, 0.0, 1.0)


@dataclass(frozen=True)
class Receiver:
    """A set without a battery.

    Attributes:
        aerial: source impedance, anything with `impedance(frequency)`.
        effective_height: e.m.f. per field strength [m].
        link: how the aerial is joined to the tank.
        tank: the tuned circuit; its capacitance is set by tuning.
        diode: the detector, across the tank or below its tap; its capacitance is one of the tank's strays.
        earphone: the detector's load, shunted for radio frequencies by a large capacitor.
        room_noise: in the octave about the audio frequency [dB SPL].
        audio_frequency: of the programme tone for which levels are compared [Hz].
        load: how the earphone hangs on the detector; None for the earphone's impedance to d.c. and audio alike.
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.
    """

    aerial: Aerial
    effective_height: float
    link: Link
    tank: Tank
    diode: Diode
    earphone: Earphone
    room_noise: float = 27.0
    audio_frequency: float = earphones.REFERENCE_FREQUENCY
    load: AudioLoad | None = None
    detector_tap: DetectorTap | None = None

    def __post_init__(self) -> None:
        require_positive("effective_height", self.effective_height)
        require_finite("room_noise", self.room_noise)
        require_positive("audio_frequency", self.audio_frequency)

    @property
    def floor(self) -> float:
        """The level that a programme must pass to be heard: the greater of hearing threshold and room noise [dB
        SPL]."""
        return max(_hearing(float(self.audio_frequency)), float(self.room_noise))


@lru_cache(maxsize=8)
def _hearing(frequency: float) -> float:
    return float(earphones.threshold(frequency))


class Source(NamedTuple):
    """What the tank offers to a detector: arrays of [..., tunings, stations] unless stated.

    Attributes:
        capacitance: to which the tank is set [F], [..., tunings].
        open_voltage: across the detector's terminals with the detector taken off [V rms].
        impedance: looking back into them [ohm], complex.
        sidebands: the same at the sidebands of the audio frequency; None for a set whose load is a mere resistance.
    """

    capacitance: Array
    open_voltage: Array
    impedance: ComplexArray
    sidebands: Sidebands | None = None


def source(receiver: Receiver, frequency: Values, field_strength: Values, tuned_to: Values) -> Source:
    """What each station puts across the detector's terminals at each tuning, before the detector draws anything.

    Args:
        receiver: the set; values inside link and tank may be arrays of [..., tunings or 1, 1].
        frequency, field_strength: of the stations, [stations] each [Hz], [V/m].
        tuned_to: frequencies at which all tuned circuits are set to their peak, [tunings] [Hz].

    Raises:
        InputError: a value is out of its range, or the set cannot be tuned to a frequency (argument "tuned_to").
    """
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    field = np.atleast_1d(require_positive("field_strength", field_strength))
    tuned = _tuned(receiver, tuned_to)
    transfer, impedance, sidebands = at_carriers(receiver, tuned, carriers)
    return Source(
        capacitance=np.asarray(tuned.tank.capacitance)[..., 0],
        open_voltage=np.abs(transfer) * field * receiver.effective_height,
        impedance=impedance,
        sidebands=sidebands,
    )


def _tuned(receiver: Receiver, tuned_to: Values) -> Tuning:
    """The set with all its circuits tuned to each of some frequencies, [..., tunings, 1]."""
    tunings = np.atleast_1d(require_positive("tuned_to", tuned_to))[:, None]
    tuned = tune(tunings, receiver.aerial, receiver.link, receiver.tank, detector_tap=receiver.detector_tap)
    if np.any(np.asarray(tuned.tank.capacitance) <= 0.0) or not np.all(tuned.reached):
        raise InputError("tuned_to", "lies above what coil and aerial reach with no tuning capacitance at all")
    return tuned


def terminals(receiver: Receiver, tuned: Tuning, frequency: Array) -> tuple[ComplexArray, ComplexArray]:
    """Volts per volt of e.m.f. at the detector's terminals and impedance behind them; the loss in the diode's bulk by
    way of its capacitance is taken off, the capacitance itself being the tank's."""
    transfer, impedance = thevenin(frequency, receiver.aerial, tuned.link, tuned.tank, receiver.detector_tap)
    loss = np.real(receiver.diode.capacitive_admittance(frequency))
    damping = 1.0 + impedance * loss
    return np.asarray(transfer / damping), np.asarray(impedance / damping)


def at_carriers(
    receiver: Receiver, tuned: Tuning, carriers: Array
) -> tuple[ComplexArray, ComplexArray, Sidebands | None]:
    """`terminals` at carriers, and at the sidebands of the set's note; None for these without a load, which alone asks
    for them."""
    if receiver.load is None:
        return *terminals(receiver, tuned, carriers), None
    return with_sidebands(receiver, tuned, carriers, receiver.audio_frequency)


def with_sidebands(
    receiver: Receiver, tuned: Tuning, carriers: Array, note: Values
) -> tuple[ComplexArray, ComplexArray, Sidebands]:
    """`terminals` at carriers and at the sidebands of a note of each, [..., carriers], all asked for at once."""
    apart = np.asarray(note, dtype=np.float64)
    every = np.concatenate([carriers, carriers + apart, np.maximum(carriers - apart, 1.0)], axis=-1)
    transfer, impedance = terminals(receiver, tuned, every)
    count = carriers.shape[-1]
    carrier, upper, lower = (slice(n * count, (n + 1) * count) for n in range(3))
    passed = transfer[..., carrier]
    return (
        passed,
        impedance[..., carrier],
        Sidebands(
            transfer[..., upper] / passed,
            impedance[..., upper],
            transfer[..., lower] / passed,
            impedance[..., lower],
        ),
    )


def hear(receiver: Receiver, offered: Source, modulation: Values, cycle_points: int = CYCLE_POINTS) -> Heard:
    """What a set makes of what its tank offers: `detect` with the set's own diode, earphone and load."""
    return hear_at_rest(receiver, offered, at_rest(receiver, offered, modulation, cycle_points))


def at_rest(receiver: Receiver, offered: Source, modulation: Values, cycle_points: int = CYCLE_POINTS) -> Settled:
    """Where a set's detector comes to rest on what its tank offers. By-pass, sidebands and the earphone's sensitivity
    do not bear on it."""
    line = load_line(receiver.earphone, receiver.load)
    return settle_cycle(receiver.diode, line, offered.open_voltage, offered.impedance, modulation, cycle_points)


def hear_at_rest(receiver: Receiver, offered: Source, settled: Settled) -> Heard:
    """`hear`, the detector's rest being known by `at_rest`."""
    return heard(
        receiver.diode,
        receiver.earphone,
        settled,
        offered.impedance,
        receiver.load,
        offered.sidebands,
        receiver.audio_frequency,
    )


def programme_curve(receiver: Receiver, offered: Source, modulation: Values, swings: Values) -> Array:
    """What becomes of each swing of a programme: the output against that at no swing.

    Args:
        receiver, offered: as for `hear`.
        modulation: depth of the tone whose power the programme has, [stations] or a scalar; the load's mean voltage is
            that of this tone [-].
        swings: of the envelope about the carrier, -1 to 1 of the carrier, [swings] or [stations, swings] [-].

    Returns:
        Voltage across the load over that with no swing [V], [..., stations, swings].

    Raises:
        InputError: modulation lies outside 0 to 1, or swings outside -1 to 1.
    """
    return swing_curve(
        receiver.diode,
        load_line(receiver.earphone, receiver.load),
        offered.open_voltage,
        offered.impedance,
        modulation,
        swings,
    )


def hear_together(
    receiver: Receiver, offered: Source, modulation: Values, frequency: Values, tuned_to: Values
) -> Together:
    """What a set makes of all that its tank offers at once: `calc.mixing.heard_together` with the set's own parts.

    Args:
        receiver: the set; its diode has no axes, and it has a load.
        offered: by `source`, of these frequencies and tunings.
        modulation: depth, [stations] or a scalar [-].
        frequency, tuned_to: as for `source`.

    Raises:
        InputError: the set has no load, or a value is out of its range.
    """
    if receiver.load is None:
        raise InputError("load", "must be given: its by-pass decides what the detector makes of a beat")
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    return heard_together(
        receiver.diode,
        receiver.earphone,
        receiver.load,
        offered.open_voltage,
        offered.impedance,
        modulation,
        carriers,
        offered.sidebands,
        _images(receiver, carriers, tuned_to),
        receiver.audio_frequency,
    )


def response(receiver: Receiver, frequency: Values, field_strength: Values, tuned_to: Values, notes: Values) -> Array:
    """How much of each note of a programme tank and by-pass leave, against a slow note.

    Args:
        receiver, frequency, field_strength, tuned_to: as for `source`.
        notes: frequencies of the notes, [notes] [Hz].

    Returns:
        Level against that of a slow note [dB], [..., tunings, stations, notes], of the voltage across the whole load.

    Raises:
        InputError: as for `source`, or a note is not above zero.
    """
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    pitches = np.atleast_1d(require_positive("notes", notes))
    offered = source(replace(receiver, load=None), carriers, field_strength, tuned_to)
    line = load_line(receiver.earphone, receiver.load)
    tuned = _tuned(receiver, tuned_to)
    each = np.repeat(carriers, pitches.size)
    flat = with_sidebands(receiver, tuned, each, np.tile(pitches, carriers.size))[2]
    bands = Sidebands(*(part.reshape(*part.shape[:-1], carriers.size, pitches.size) for part in flat))
    settled = settle(receiver.diode, line, np.sqrt(2.0) * offered.open_voltage[..., None], offered.impedance)
    spread_out = Settled(
        settled.peak_voltage[..., None],
        settled.output_voltage[..., None],
        Cycle(*(x[..., None] for x in settled.cycle)),
    )
    admittance = line.audio if receiver.load is None else np.asarray(receiver.load.admittance(pitches))
    kept = note_response(receiver.diode, spread_out, offered.impedance[..., None], bands, line.audio, admittance)
    return np.asarray(20.0 * np.log10(kept))


def _images(receiver: Receiver, carriers: Array, tuned_to: Values) -> Images:
    """The terminals as far on the other side of each station as every other is on its own, [tunings, stations,
    stations]; nothing where that would be below nothing."""
    mirrored = 2.0 * carriers[:, None] - carriers
    note = receiver.audio_frequency
    every = np.stack([mirrored, mirrored + note, mirrored - note])
    flat = np.maximum(every.ravel(), _LEAST_IMAGE * carriers.min())
    impedance = terminals(receiver, _tuned(receiver, tuned_to), flat)[1]
    impedance = impedance.reshape(*impedance.shape[:-1], *every.shape)
    return Images(*np.moveaxis(np.where(every > 0.0, impedance, 0.0), -3, 0))
