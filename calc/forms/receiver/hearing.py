"""What is heard at one setting of the dial, as a sound that can be played."""

from collections.abc import Sequence

import numpy as np

from calc.forms.sounds import Shaping, Sound, Voice, Whistle
from calc.listening import ROOM_SOUNDS
from calc.listening.shaping import NOTES, Depths, curves, kernels
from calc.receiver import Mixture, Receiver, Station, listen, listen_together, programme_curve, response, source


def sound_of(
    receiver: Receiver,
    stations: Sequence[Station],
    tuned_to: float,
    *,
    room: str = "",
    mixture: Mixture | None = None,
    loudest: float = -np.inf,
) -> Sound:
    """The mixture at a setting of the dial.

    Args:
        receiver: the set, its values without axes.
        stations: of the district.
        tuned_to: where all tuned circuits have their peak [Hz].
        room: key of the room's sound; "" for none.
        mixture: what is heard there, if it has been worked out already. Without it, all stations go through the
            detector at once if the set has a load, and each by itself if not.
        loudest: level that any station reaches anywhere on the dial, so that the loudness of one setting of the dial
            can be told from that of another [dB SPL].

    Raises:
        InputError: as for `calc.receiver.listen_together`.
    """
    if mixture is None:
        mixture = (
            Mixture(listen(receiver, stations, tuned_to), [])
            if receiver.load is None
            else listen_together(receiver, stations, tuned_to)
        )
    heard = mixture.receptions
    return Sound(
        key="mixture",
        title="Listen",
        summary=_summary(mixture, room),
        voices=[Voice(one.station.name, one.sound_level, one.margin) for one in heard],
        whistles=[Whistle(f"with {beat.station.name}", beat.frequency, beat.sound_level) for beat in mixture.beats],
        room=room,
        room_level=receiver.room_noise,
        floor=receiver.floor,
        shaping=lambda: shaping_of(receiver, stations, tuned_to),
        loudest=loudest,
    )


def shaping_of(receiver: Receiver, stations: Sequence[Station], tuned_to: float) -> Shaping:
    """What the set does to each programme: the detector's curve, and the notes that circuits and by-pass leave."""
    frequency = np.array([station.frequency for station in stations])
    field = np.array([station.field_strength for station in stations])
    depths = Depths.of(np.array([station.modulation for station in stations]))
    offered = source(receiver, frequency, field, tuned_to)
    notes = np.append(NOTES, receiver.audio_frequency)
    passed = response(receiver, frequency, field, tuned_to, notes)[0]
    return Shaping(
        curves=curves(depths, programme_curve(receiver, offered, depths.tone, depths.swings)[0]),
        kernels=kernels(passed[:, :-1] - passed[:, -1:]),
    )


def _summary(mixture: Mixture, room: str) -> str:
    """Who stands out, in a sentence or two; the level of each stands in the list."""
    loudest = max(mixture.receptions, key=lambda one: one.sound_level)
    heard = [one for one in mixture.receptions if one.margin >= 0.0]
    if not heard:
        said = "No station rises above hearing and the room"
    elif len(heard) == 1:
        said = f"Only {loudest.station.name} rises above hearing and the room"
    else:
        said = f"{loudest.station.name} is loudest of {len(heard)} that rise above hearing and the room"
    place = (
        f"; in {ROOM_SOUNDS[room].name}" if room == "still" else f"; beside {ROOM_SOUNDS[room].name}" if room else ""
    )
    return (
        f"{said}{place}. Each station plays an invented programme that has the power of a tone at the stated depth of "
        f"modulation, as the detector bends it and the circuits leave its notes, at its predicted level."
    )
