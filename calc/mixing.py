"""Several stations at once in one detector: what each programme loses by the others, and the beats they make.

Two carriers in the tank are one whose length swings at their difference. A detector whose output follows that beat
rectifies its length: the mean of |1 + b e^(jt)| is 1 + b**2/4, and a weak station's programme, which alone would come
out as b, comes out as b**2/2: it is suppressed by the stronger. One that is by-passed so well that its output stands
still over the beat adds the two up, ln I0(u1) + ln I0(u2), and suppresses nothing; nor does one that is too weakly
driven to know more than squares. Every real set lies between, by its drive and by what its load is to the beat.

Here the two strongest carriers are gone through point by point over their beat: at each point the exponential diode's
mean current, and the load at the beat's harmonics, fix the output; each carrier, and the image that the detector makes
of either on the far side of the other, meets the source at its own frequency and the current in the detector that goes
round with it. A programme's note is followed as a small change of all that, with its sidebands. Every other station is
taken by what its square adds at each point of that beat, with the output following its own beat as the load lets it,
and with its own image.

Left out: what the diode's pulses of current do to the tank's sine and to the by-pass within a cycle of the carrier. It
makes a heavily loaded detector seem to have capacitance, and what little it leaves of a station 40 dB down may be 4 dB
out. Left out too: tank voltages at further combination frequencies; the beats of the lesser stations with each other;
the diode's bulk, which counts in the programmes alone but not in what they lose.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc import earphones
from calc.audio_load import AudioLoad
from calc.detection import Heard, detect
from calc.detectors import Diode
from calc.detectors.beat import Images, mix
from calc.detectors.envelope import Sidebands
from calc.detectors.search import ComplexArray
from calc.earphones import Earphone
from calc.units import Array, Values, require_positive

_SLOWEST_BEAT = 1.0
"""A slower beat meets the load as this one does [Hz]."""


class Together(NamedTuple):
    """Stations heard at once; arrays of [..., stations].

    Attributes:
        alone: what each would be by itself.
        audio_voltage: amplitude of each programme's tone across the load among all the others [V].
        audio_power: of it in the earphone [W].
        sound_level: [dB SPL].
        kept: the part of the programme's amplitude that the others leave it [-]; may be above one.
        strongest: index of the station that is strongest at the detector, [...].
        beat_frequency: of each station's beat with the strongest [Hz]; zero for the strongest itself.
        beat_voltage: its amplitude across the load [V].
        beat_level: [dB SPL], by the earphone's sensitivity at its reference frequency.
    """

    alone: Heard
    audio_voltage: Array
    audio_power: Array
    sound_level: Array
    kept: Array
    strongest: npt.NDArray[np.intp]
    beat_frequency: Array
    beat_voltage: Array
    beat_level: Array


def heard_together(
    diode: Diode,
    earphone: Earphone,
    load: AudioLoad,
    open_voltage: Array,
    impedance: ComplexArray,
    modulation: Values,
    frequency: Values,
    sidebands: Sidebands | None = None,
    images: Images | None = None,
    audio_frequency: float = earphones.REFERENCE_FREQUENCY,
) -> Together:
    """What a detector makes of all stations at each tuning, each programme among all the others.

    Args:
        diode, earphone, load: the detector (values without axes) and what hangs on it. The load's by-pass decides
            whether the output follows a beat.
        open_voltage: of the tank, the detector taken off, [..., stations] [V rms].
        impedance: behind it at each carrier, the same shape [ohm].
        modulation: depth, [stations] or a scalar [-].
        frequency: of the carriers, [stations] [Hz].
        sidebands: of the sources, as for `calc.detection.detect`.
        images: impedance of the source at 2 f - g, with f the carrier of the first and g that of the second of two axes
            of stations, and at the audio frequency to either side, [..., stations, stations] [ohm]; None where it is
            taken as nothing.
        audio_frequency: of each programme's tone [Hz].

    Raises:
        InputError: a value is out of its range.

    Accuracy: within 1 dB of transient simulation for two stations (tests/published/test_chain_ngspice.py), but for what
    a strong station off tune leaves of a weak one in a heavily loaded tank, see the head of this module.

    Source: the limits: S. Butterworth, Note on the apparent demodulation of a weak station by a stronger one,
    Experimental Wireless 6 (1929) 619-621 (from memory).
    """
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    alone = detect(diode, earphone, open_voltage, impedance, modulation, load, sidebands, audio_frequency)
    shape, count = open_voltage.shape, open_voltage.shape[-1]
    bands = sidebands if sidebands is not None else Sidebands.like_carrier(impedance)
    if count == 1:
        kept, beat = np.ones(shape), np.zeros(shape)
        strongest = np.zeros(shape[:-1], dtype=np.intp)
    else:
        mixed = mix(
            diode,
            load.line,
            load.admittance,
            np.sqrt(2.0) * open_voltage.reshape(-1, count),
            np.broadcast_to(impedance, shape).reshape(-1, count),
            _images(images, shape),
            Sidebands(*(np.broadcast_to(part, shape).reshape(-1, count) for part in bands)),
            carriers,
            audio_frequency,
            _SLOWEST_BEAT,
        )
        kept, beat = mixed.kept.reshape(shape), mixed.beat.reshape(shape)
        strongest = mixed.strongest.reshape(shape[:-1])
    apart = np.abs(carriers - carriers[strongest][..., None])
    voltage = alone.audio_voltage * kept
    power = np.asarray(load.power(voltage, audio_frequency))
    beat_power = np.asarray(load.power(beat, np.maximum(apart, _SLOWEST_BEAT)))
    return Together(
        alone=alone,
        audio_voltage=voltage,
        audio_power=power,
        sound_level=np.asarray(earphones.sound_level(earphone, power)),
        kept=kept,
        strongest=strongest,
        beat_frequency=apart,
        beat_voltage=beat,
        beat_level=np.asarray(earphones.sound_level(earphone, beat_power)),
    )


def _images(images: Images | None, shape: tuple[int, ...]) -> Images:
    """The images with all rows in one axis."""
    count = shape[-1]
    if images is None:
        nothing = np.zeros((int(np.prod(shape[:-1])), count, count), dtype=np.complex128)
        return Images(nothing, nothing, nothing)
    return Images(*(np.broadcast_to(part, (*shape, count)).reshape(-1, count, count) for part in images))
