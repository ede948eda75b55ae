"""The whole set: from the fields that stations lay down to what is heard in the earphones.

For each station by itself: its field times the aerial's effective height is an e.m.f., which aerial, link and tank
hand to the detector as a source. The detector loads that source, the more the stronger it is driven, and the source's
own resistance starves the detector: both are solved together, at the station's own level, at points all over its
modulation cycle. The audio part of the rectified voltage drives the earphone.

Left out here: what two carriers do to each other in the detector; the tank's effect on the highest audio notes; series
resistance and capacitance of the diode; a d.c. load that differs from the audio load.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc import earphones
from calc.constants import TWO_PI
from calc.coupling import Aerial, Link, Tank, thevenin, tuned_capacitance
from calc.detectors import Diode, rectify
from calc.drive_curve import drive_curve
from calc.earphones import Earphone
from calc.roots import rising_root
from calc.units import (
    Array,
    InputError,
    Values,
    require_between,
    require_finite,
    require_positive,
)

_CYCLE_POINTS = 8
"""Points of half a modulation cycle at which the detector is solved: exact for a rectified voltage that is a
polynomial of degree 14 in the envelope."""


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
        diode: the detector, across the whole tank.
        earphone: the detector's load, shunted for radio frequencies by a large capacitor.
        room_noise: in the octave about the audio frequency [dB SPL].
        audio_frequency: of the programme tone for which levels are compared [Hz].
    """

    aerial: Aerial
    effective_height: float
    link: Link
    tank: Tank
    diode: Diode
    earphone: Earphone
    room_noise: float = 27.0
    audio_frequency: float = earphones.REFERENCE_FREQUENCY

    def __post_init__(self) -> None:
        require_positive("effective_height", self.effective_height)
        require_finite("room_noise", self.room_noise)

    @property
    def floor(self) -> float:
        """The level that a programme must pass to be heard: the greater of hearing threshold and room noise [dB
        SPL]."""
        return max(float(earphones.threshold(self.audio_frequency)), float(self.room_noise))


class Source(NamedTuple):
    """What the tank offers to a detector: arrays of [..., tunings, stations] unless stated.

    Attributes:
        capacitance: to which the tank is set [F], [..., tunings].
        open_voltage: across the tank with the detector taken off [V rms].
        impedance: looking back into the tank [ohm], complex.
    """

    capacitance: Array
    open_voltage: Array
    impedance: npt.NDArray[np.complex128]


class Heard(NamedTuple):
    """What a detector and an earphone make of sources; arrays of [..., stations].

    Attributes:
        tank_voltage: across tank and detector [V rms].
        input_resistance: of the detector at the carrier [ohm].
        dc_current: through earphone and detector with the carrier unmodulated [A].
        audio_power: of the programme's tone in the earphone [W].
        sound_level: [dB SPL]; minus infinity where there is no power.
    """

    tank_voltage: Array
    input_resistance: Array
    dc_current: Array
    audio_power: Array
    sound_level: Array


def source(receiver: Receiver, frequency: Values, field_strength: Values, tuned_to: Values) -> Source:
    """What each station puts across the tank at each tuning, before the detector draws anything.

    Args:
        receiver: the set; values inside link and tank may be arrays of [..., tunings or 1, 1].
        frequency, field_strength: of the stations, [stations] each [Hz], [V/m].
        tuned_to: frequencies at which the tank is set to its peak, [tunings] [Hz].

    Raises:
        InputError: a value is out of its range, or the tank cannot be tuned to a frequency (argument "tuned_to").
    """
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    field = np.atleast_1d(require_positive("field_strength", field_strength))
    tunings = np.atleast_1d(require_positive("tuned_to", tuned_to))[:, None]
    capacitance = np.asarray(tuned_capacitance(tunings, receiver.aerial, receiver.link, receiver.tank))
    if np.any(capacitance <= 0.0):
        raise InputError("tuned_to", "lies above what coil and aerial reach with no tuning capacitance at all")
    tank = replace(receiver.tank, capacitance=capacitance)
    transfer, impedance = thevenin(carriers, receiver.aerial, receiver.link, tank)
    return Source(
        capacitance=capacitance[..., 0],
        open_voltage=np.abs(transfer) * field * receiver.effective_height,
        impedance=np.asarray(impedance),
    )


def detect(
    diode: Diode, earphone: Earphone, open_voltage: Array, impedance: npt.NDArray[np.complex128], modulation: Values
) -> Heard:
    """What a detector and an earphone make of sources, each by itself.

    Args:
        diode, earphone: the detector and its load.
        open_voltage: of the sources, unloaded, [..., stations] [V rms].
        impedance: of the sources, the same shape [ohm].
        modulation: depth, [stations] or a scalar [-].

    Raises:
        InputError: modulation lies outside 0 to 1.
    """
    depth = require_between("modulation", modulation, 0.0, 1.0)
    envelope, weights = _modulation_cycle(np.broadcast_to(depth, open_voltage.shape[-1:]))
    peak = np.sqrt(2.0) * open_voltage[..., None] * envelope
    share = _loaded_share(diode, earphone, peak, impedance[..., None])
    rectified = rectify(diode, peak * share, earphone.impedance)
    audio = np.sum(np.asarray(rectified.dc_voltage) * weights, axis=-1)
    power = audio**2 / (2.0 * earphone.impedance)
    return Heard(
        tank_voltage=open_voltage * share[..., 0],
        input_resistance=np.asarray(rectified.input_resistance)[..., 0],
        dc_current=np.asarray(rectified.dc_current)[..., 0],
        audio_power=power,
        sound_level=np.asarray(earphones.sound_level(earphone, power)),
    )


def _modulation_cycle(depth: Array) -> tuple[Array, Array]:
    """The envelope over the carrier at chosen points of a modulation cycle, and weights that give its fundamental.

    Point 0 is the bare carrier, of weight 0; the others are the nodes of Gauss and Chebyshev, whose weighted sum is the
    amplitude of the cosine at the modulating frequency.

    Returns:
        (envelope [stations, 1 + points], weights [1 + points]).
    """
    cosine = np.cos(0.5 * TWO_PI * (np.arange(_CYCLE_POINTS) + 0.5) / _CYCLE_POINTS)
    nodes = np.concatenate([[0.0], cosine])
    return 1.0 + depth[:, None] * nodes, 2.0 / _CYCLE_POINTS * nodes


def _loaded_share(diode: Diode, earphone: Earphone, open_peak: Array, impedance: npt.NDArray[np.complex128]) -> Array:
    """The part of the tank's open voltage that is left when the detector draws what it draws at that voltage.

    The root of ln(share) + ln|1 + Z/R(share x open)| = 0. The detector's resistance only falls or only rises with
    drive, so it lies between those for no drive and for the open voltage, which bounds the root.
    """
    curve = drive_curve(diode, earphone.impedance)
    tiny = np.finfo(np.float64).tiny
    log_open = np.log(np.maximum(open_peak, tiny))

    def excess(log_share: Array) -> Array:
        resistance = np.exp(curve.log_resistance(log_open + log_share))
        return np.asarray(log_share + np.log(np.abs(1.0 + impedance / resistance)))

    none = np.zeros(np.broadcast_shapes(open_peak.shape, impedance.shape))
    least = np.minimum(curve.log_resistance(log_open), curve.log_resistance(np.log(tiny) + none))
    return np.exp(rising_root(excess, -np.log1p(np.abs(impedance) / np.exp(least)) - 1e-9, none))


@dataclass(frozen=True)
class Reception:
    """What is heard of one station at one tuning.

    Attributes:
        station: which.
        capacitance: total capacitance to which the tank is set [F].
        tank_voltage: of its carrier across tank and detector [V rms].
        dc_current: through the earphone from its bare carrier [A].
        audio_power: of its programme's tone in the earphone [W].
        sound_level: [dB SPL].
        margin: sound level over the greater of hearing threshold and room noise [dB].
        separation: sound level over that of the loudest other station at this tuning [dB]; negative when drowned,
            infinite when there is no other.
    """

    station: Station
    capacitance: float
    tank_voltage: float
    dc_current: float
    audio_power: float
    sound_level: float
    margin: float
    separation: float


def listen(receiver: Receiver, stations: Sequence[Station], tuned_to: float) -> list[Reception]:
    """What is heard of each station with the set tuned to one frequency.

    Args:
        receiver: the set.
        stations: of the district.
        tuned_to: where the tank has its peak [Hz].

    Returns:
        One `Reception` a station, in their order.

    Raises:
        InputError: there is no station, or as for `source`.

    Accuracy: exact for the circuit and the exponential diode described at the head of this module; the audio follows
    the
        envelope without delay, true while the modulating frequency is well below half the tank's bandwidth.
    """
    if not stations:
        raise InputError("stations", "must name one station at least")
    offered = source(
        receiver,
        np.array([station.frequency for station in stations]),
        np.array([station.field_strength for station in stations]),
        float(require_positive("tuned_to", tuned_to)),
    )
    depth = np.array([station.modulation for station in stations])
    heard = detect(receiver.diode, receiver.earphone, offered.open_voltage, offered.impedance, depth)
    levels = heard.sound_level[0]
    over = separations(heard.sound_level)[0]
    return [
        Reception(
            station=station,
            capacitance=float(offered.capacitance[0]),
            tank_voltage=float(heard.tank_voltage[0, index]),
            dc_current=float(heard.dc_current[0, index]),
            audio_power=float(heard.audio_power[0, index]),
            sound_level=float(levels[index]),
            margin=float(levels[index] - receiver.floor),
            separation=float(over[index]),
        )
        for index, station in enumerate(stations)
    ]


def separations(sound_level: Array) -> Array:
    """Each station's level over the loudest other's [dB], infinite where there is no other; last axis: stations."""
    count = sound_level.shape[-1]
    others = np.where(np.eye(count, dtype=bool), -np.inf, sound_level[..., None, :]).max(axis=-1)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(np.isneginf(others), np.inf, sound_level - others))
