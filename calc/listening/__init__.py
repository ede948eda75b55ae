"""From levels to something that can be played: invented programmes, the noise of rooms, and what to do to each.

Everything that a page plays is worked out here: the samples, the gains, the curves and the filters. The page only
joins them up.
"""

from calc.listening.loops import SAMPLE_RATE, Loop
from calc.listening.programmes import PROGRAMMES, Programme, programme_of
from calc.listening.rooms import ROOM_SOUNDS, RoomSound
from calc.units import InputError

__all__ = ["PROGRAMMES", "ROOM_SOUNDS", "SAMPLE_RATE", "Loop", "Programme", "RoomSound", "programme_of", "samples"]


def samples(key: str) -> Loop:
    """The loop of a programme or a room, by its key.

    Raises:
        InputError: there is no such loop.
    """
    kind, _, turn = key.partition(":")
    if kind in ROOM_SOUNDS and not turn:
        return ROOM_SOUNDS[kind].samples()
    if kind in PROGRAMMES and (not turn or turn.isdecimal()):
        return PROGRAMMES[kind].samples(int(turn or 0))
    raise InputError("key", "must be that of a programme or a room")
