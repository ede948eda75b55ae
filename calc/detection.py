"""From the tank's terminals to the earphone: each station by itself through detector and load.

The detector is solved with its source at points all over a modulation cycle, on the load's lines to d.c. and to audio;
the swing of its output at the note is what the earphone gets.
"""

from typing import NamedTuple

import numpy as np

from calc import earphones
from calc.audio_load import AudioLoad
from calc.constants import TWO_PI
from calc.detectors import Diode
from calc.detectors.envelope import Sidebands, note_response, output_resistance, slopes
from calc.detectors.loaded import LoadLine, Settled, settle
from calc.detectors.search import ComplexArray
from calc.earphones import Earphone
from calc.units import Array, InputError, Values, require_between

CYCLE_POINTS = 8
"""Points of half a modulation cycle at which the detector is solved: exact for a rectified voltage that is a
polynomial of degree 14 in the envelope."""
FEW_CYCLE_POINTS = 4
"""The same where the detector is asked for by the thousand. Levels are within 0.002 dB of those with many points up to
a depth of 0.5, within 0.04 dB at full depth, and within 0.2 dB where the load clips."""
_HARMONICS = 5


class Heard(NamedTuple):
    """What a detector and an earphone make of sources; arrays of [..., stations].

    Attributes:
        tank_voltage: across the detector and what it is connected to [V rms].
        input_resistance: of the detector at the carrier [ohm].
        dc_current: through load and detector with the carrier unmodulated, a bias cell's share included [A].
        audio_voltage: amplitude of the programme's tone across the load [V].
        audio_power: of that tone in the earphone [W].
        sound_level: [dB SPL]; minus infinity where there is no power.
        distortion: the tone's second to fifth harmonics, made by the detector, over the tone itself [-].
        output_resistance: of the detector to slow audio [ohm].
        mean_voltage: behind the diode over the modulation, less a bias cell's [V].
    """

    tank_voltage: Array
    input_resistance: Array
    dc_current: Array
    audio_voltage: Array
    audio_power: Array
    sound_level: Array
    distortion: Array
    output_resistance: Array
    mean_voltage: Array


def detect(
    diode: Diode,
    earphone: Earphone,
    open_voltage: Array,
    impedance: ComplexArray,
    modulation: Values,
    load: AudioLoad | None = None,
    sidebands: Sidebands | None = None,
    audio_frequency: float = earphones.REFERENCE_FREQUENCY,
    cycle_points: int = CYCLE_POINTS,
) -> Heard:
    """What a detector and an earphone make of sources, each by itself.

    The output is found for slow audio at any depth of modulation, on the load's two lines; a load's by-pass and the
    tank's sidebands then count by what they leave of a shallow modulation at the audio frequency.

    Args:
        diode, earphone: the detector and its load. The diode's values broadcast with [..., stations].
        open_voltage: of the sources, unloaded, [..., stations] [V rms].
        impedance: of the sources, the same shape [ohm].
        modulation: depth, [stations] or a scalar [-].
        load: how the earphone hangs on the detector; None for its impedance to d.c. and audio alike.
        sidebands: of the sources; None where the tank answers them as it does the carrier.
        audio_frequency: of the tone; counts only with a load [Hz].
        cycle_points: of half a modulation cycle at which the detector is solved, two at least. Three cost half as much
            as eight and lose less than 0.05 dB up to a depth of 0.5; harmonics from that number upward are left out.

    Raises:
        InputError: modulation lies outside 0 to 1, or cycle_points is below two.
    """
    settled = settle_cycle(diode, load_line(earphone, load), open_voltage, impedance, modulation, cycle_points)
    return heard(diode, earphone, settled, impedance, load, sidebands, audio_frequency)


def heard(
    diode: Diode,
    earphone: Earphone,
    settled: Settled,
    impedance: ComplexArray,
    load: AudioLoad | None = None,
    sidebands: Sidebands | None = None,
    audio_frequency: float = earphones.REFERENCE_FREQUENCY,
) -> Heard:
    """What an earphone makes of sources that have come to rest on its detector.

    Args:
        settled: by `settle_cycle`, of this detector, these sources and the line of this load.
        diode, earphone, impedance, load, sidebands, audio_frequency: as for `detect`.
    """
    line = load_line(earphone, load)
    harmonics = _harmonics(settled.output_voltage[..., 1:])
    swing = harmonics[0]
    if load is None:
        power = swing**2 / (2.0 * np.asarray(earphone.impedance))
    else:
        bands = sidebands if sidebands is not None else Sidebands.like_carrier(impedance)
        admittance = np.asarray(load.admittance(audio_frequency))
        swing = swing * note_response(diode, settled, impedance, bands, line.audio, admittance)
        power = np.asarray(load.power(swing, audio_frequency))
    carrier = settled.cycle
    tone = np.maximum(np.abs(harmonics[0]), np.finfo(np.float64).tiny)
    return Heard(
        tank_voltage=settled.peak_voltage[..., 0] / np.sqrt(2.0),
        input_resistance=np.asarray(diode.zero_bias_resistance) * np.exp(-carrier.uptake[..., 0]),
        dc_current=np.asarray(diode.saturation_current) * np.expm1(carrier.level[..., 0]),
        audio_voltage=np.abs(swing),
        audio_power=power,
        sound_level=np.asarray(earphones.sound_level(earphone, power)),
        distortion=np.sqrt(np.sum(harmonics[1:] ** 2, axis=0)) / tone,
        output_resistance=output_resistance(slopes(diode, settled), impedance),
        mean_voltage=np.mean(settled.output_voltage[..., 1:], axis=-1),
    )


def load_line(earphone: Earphone, load: AudioLoad | None) -> LoadLine:
    """The load lines of an earphone on its load, or by itself."""
    if load is not None:
        return load.line
    conductance = 1.0 / np.asarray(earphone.impedance, dtype=np.float64)
    return LoadLine(conductance, conductance, np.zeros(()))


def settle_cycle(
    diode: Diode,
    line: LoadLine,
    open_voltage: Array,
    impedance: ComplexArray,
    modulation: Values,
    cycle_points: int = CYCLE_POINTS,
) -> Settled:
    """Sources on the detector, bare and at the points of a modulation cycle: the nodes of Gauss and Chebyshev.

    Args:
        diode, open_voltage, impedance, modulation, cycle_points: as for `detect`.
        line: of the load.

    Raises:
        InputError: as for `detect`.
    """
    if cycle_points < 2:
        raise InputError("cycle_points", "must be two at least")
    depth = require_between("modulation", modulation, 0.0, 1.0)
    depth = np.broadcast_to(depth, open_voltage.shape[-1:])
    envelope = 1.0 + depth[:, None] * np.concatenate([[0.0], np.cos(_cycle_angles(cycle_points))])
    return settle(diode, line, np.sqrt(2.0) * open_voltage[..., None] * envelope, impedance)


def swing_curve(
    diode: Diode, line: LoadLine, open_voltage: Array, impedance: ComplexArray, modulation: Values, swings: Values
) -> Array:
    """The output at swings of the envelope, over that at no swing [V], [..., stations, swings].

    Args:
        diode, line: the detector and the lines of its load.
        open_voltage, impedance: of the sources, as for `detect`.
        modulation: depth of a tone; the load's mean voltage is what it makes it [-].
        swings: of the envelope as a part of the carrier, -1 to 1, [swings] or [stations, swings] [-].

    Raises:
        InputError: modulation lies outside 0 to 1, or swings outside -1 to 1.
    """
    at = require_between("swings", swings, -1.0, 1.0)
    mean = np.mean(settle_cycle(diode, line, open_voltage, impedance, modulation).output_voltage[..., 1:], axis=-1)
    # with the mean known, the line to the audio is a plain one, moved by a bias
    audio, direct = np.asarray(line.audio), np.asarray(line.direct)
    moved = LoadLine(audio, audio, (mean * (direct - audio) + np.asarray(line.bias) * direct) / audio)
    envelope = np.concatenate([np.ones((*at.shape[:-1], 1)), 1.0 + at], axis=-1)
    output = settle(diode, moved, np.sqrt(2.0) * open_voltage[..., None] * envelope, impedance).output_voltage
    return np.asarray(output[..., 1:] - output[..., :1])


def _cycle_angles(points: int) -> Array:
    return np.asarray(0.5 * TWO_PI * (np.arange(points) + 0.5) / points)


def _harmonics(voltage: Array) -> Array:
    """Amplitudes of the tone and its second to fifth harmonics from the points of a cycle, [harmonics, ...,
    stations]."""
    points = voltage.shape[-1]
    count = min(_HARMONICS, points - 1)
    weights = 2.0 / points * np.cos(np.arange(1, count + 1)[:, None] * _cycle_angles(points))
    return np.asarray(np.tensordot(weights, voltage, axes=(1, -1)))
