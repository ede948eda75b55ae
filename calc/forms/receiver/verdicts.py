"""Plain words for what is heard of a station."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calc.receiver import separations
from calc.units import Array

CLEAR_SEPARATION = 20.0
"""Decibels that all others must be down for a station to be in the clear: each ten halves loudness, so the next
station is a quarter as loud. A working line of this reference, between bare intelligibility at about 10 and a
broadcaster's 26 to 30."""

FAINT_MARGIN = 10.0
"""Decibels over the threshold or the room's noise below which a station that is in the clear is called faint."""

SILENCE = -60.0
"""Sound that would be fainter counts as this [dB SPL]: a millionth of the power that any ear hears, and long before
rounding tells in it."""

IN_THE_CLEAR = "in the clear"
CLEAR_BUT_FAINT = "clear but faint"
NOT_AUDIBLE = "not audible"
OFF_THE_DIAL = "off the dial"


def told(level: Array) -> Array:
    """Levels, silence as `SILENCE` [dB SPL]: that of a diode that is cut off by hundreds of nVt, too, of which no
    number can be told."""
    return np.where(level > SILENCE, level, SILENCE)


def verdicts(
    names: Sequence[str], levels: Array, reachable: npt.NDArray[np.bool_], floor: float
) -> tuple[list[str], Array, Array]:
    """The verdict on each station when the set is tuned to it.

    Args:
        names: of the stations.
        levels: of each station (column) with the set tuned to each (row) [dB SPL], [n, n].
        reachable: whether the dial reaches each station, [n].
        floor: the greater of hearing threshold and room noise [dB SPL].

    Returns:
        (words, margin [dB], separation [dB], infinite where there is no other), a station each.
    """
    own = np.diagonal(levels)
    others = np.where(np.eye(len(names), dtype=bool), -np.inf, levels)
    loudest = others.max(axis=1)
    separation = np.diagonal(separations(levels))
    words = []
    for index in range(len(names)):
        if not reachable[index]:
            words.append(OFF_THE_DIAL)
        elif own[index] < floor:
            words.append(NOT_AUDIBLE)
        elif separation[index] < CLEAR_SEPARATION and loudest[index] >= floor:
            words.append(f"mixed with {names[int(np.argmax(others[index]))]}")
        else:
            words.append(CLEAR_BUT_FAINT if own[index] - floor < FAINT_MARGIN else IN_THE_CLEAR)
    return words, own - floor, separation


def is_clear(verdict: str) -> bool:
    """Whether the verdict lets one follow the station, faint or not."""
    return verdict in (IN_THE_CLEAR, CLEAR_BUT_FAINT)


def join(words: Sequence[str]) -> str:
    """Several names or things, one at least, as a sentence lists them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
