"""The whole set: from the fields that stations lay down to what is heard in the earphones.

A station's field times the aerial's effective height is an e.m.f.; `calc.sets` takes it through aerial, link, tank,
detector and load. Here each station gets a `Reception`, by itself or among all the others.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from calc import earphones
from calc.detection import Heard, detect
from calc.mixing import Together
from calc.sets import Receiver, Source, Station, hear, hear_together, programme_curve, response, source
from calc.units import Array, InputError, require_positive

__all__ = [
    "Beat",
    "Heard",
    "Mixture",
    "Receiver",
    "Reception",
    "Source",
    "Station",
    "Together",
    "detect",
    "hear",
    "hear_together",
    "listen",
    "listen_together",
    "programme_curve",
    "response",
    "separations",
    "source",
]


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
        spread: half the range of the earphone's sensitivity; sound level and margin are that uncertain [dB].
    """

    station: Station
    capacitance: float
    tank_voltage: float
    dc_current: float
    audio_power: float
    sound_level: float
    margin: float
    separation: float
    spread: float = 0.0

    @property
    def sound_level_range(self) -> tuple[float, float]:
        """The levels between which specimens of the earphone put it [dB SPL]."""
        return self.sound_level - self.spread, self.sound_level + self.spread


def listen(receiver: Receiver, stations: Sequence[Station], tuned_to: float) -> list[Reception]:
    """What is heard of each station with the set tuned to one frequency.

    Each station goes through the detector by itself; `listen_together` lets them in at once.

    Args:
        receiver: the set.
        stations: of the district.
        tuned_to: where the tank has its peak [Hz].

    Returns:
        One `Reception` a station, in their order.

    Raises:
        InputError: there is no station, or as for `source`.

    Accuracy: exact for the circuit and the exponential diode described at the head of `calc.sets`. Without a load the
    audio follows the envelope without delay, true while the modulating frequency is well below half the tank's
    bandwidth; with one, what tank and by-pass take of it is exact for shallow modulation.
    """
    offered, depth = _offered(receiver, stations, tuned_to)
    heard = hear(receiver, offered, depth)
    return _receptions(receiver, stations, offered, heard, heard.audio_power[0], heard.sound_level[0])


class Beat(NamedTuple):
    """The whistle of a station's carrier with that of the strongest.

    Attributes:
        station: which.
        frequency: the difference of their carriers [Hz].
        sound_level: by the earphone's sensitivity at its reference frequency, which at 9 or 10 kHz flatters most [dB
            SPL].
        margin: over the threshold of hearing there; minus infinity beyond hearing [dB].
    """

    station: Station
    frequency: float
    sound_level: float
    margin: float


class Mixture(NamedTuple):
    """All stations at once: a `Reception` each, and the beats of all but the strongest with it."""

    receptions: list[Reception]
    beats: list[Beat]


def listen_together(receiver: Receiver, stations: Sequence[Station], tuned_to: float) -> Mixture:
    """What is heard with the set tuned to one frequency, all stations in the detector at once.

    Args:
        receiver: the set; it must have a load, whose by-pass decides how the detector takes beats.
        stations, tuned_to: as for `listen`.

    Raises:
        InputError: the set has no load, or as for `listen`.

    Accuracy: as for `calc.mixing.heard_together`.
    """
    offered, depth = _offered(receiver, stations, tuned_to)
    carriers = np.array([station.frequency for station in stations])
    mixed = hear_together(receiver, offered, depth, carriers, tuned_to)
    receptions = _receptions(receiver, stations, offered, mixed.alone, mixed.audio_power[0], mixed.sound_level[0])
    beats = []
    for index, station in enumerate(stations):
        if index != mixed.strongest[0]:
            frequency, level = float(mixed.beat_frequency[0, index]), float(mixed.beat_level[0, index])
            audible = earphones.LOWEST_NOTE <= frequency <= earphones.HIGHEST_NOTE
            margin = level - float(earphones.threshold(frequency)) if audible else -np.inf
            beats.append(Beat(station, frequency, level, margin))
    return Mixture(receptions, beats)


def _offered(receiver: Receiver, stations: Sequence[Station], tuned_to: float) -> tuple[Source, Array]:
    """What stations put across the detector's terminals at one tuning, and their depths of modulation."""
    if not stations:
        raise InputError("stations", "must name one station at least")
    offered = source(
        receiver,
        np.array([station.frequency for station in stations]),
        np.array([station.field_strength for station in stations]),
        float(require_positive("tuned_to", tuned_to)),
    )
    return offered, np.array([station.modulation for station in stations])


def _receptions(
    receiver: Receiver, stations: Sequence[Station], offered: Source, heard: Heard, power: Array, level: Array
) -> list[Reception]:
    over = separations(level)
    return [
        Reception(
            station=station,
            capacitance=float(offered.capacitance[0]),
            tank_voltage=float(heard.tank_voltage[0, index]),
            dc_current=float(heard.dc_current[0, index]),
            audio_power=float(power[index]),
            sound_level=float(level[index]),
            margin=float(level[index] - receiver.floor),
            separation=float(over[index]),
            spread=float(np.asarray(receiver.earphone.spread)),
        )
        for index, station in enumerate(stations)
    ]


def separations(sound_level: Array) -> Array:
    """Each station's level over the loudest other's [dB], infinite where there is no other; last axis: stations."""
    count = sound_level.shape[-1]
    others = np.where(np.eye(count, dtype=bool), -np.inf, sound_level[..., None, :]).max(axis=-1)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(np.isneginf(others), np.inf, sound_level - others))
