"""The stations as heard with the set entered and with the set found."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from calc.correction import Unknown
from calc.forms.correct_model.kept import KeptSet
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.outcome import outcome_of
from calc.forms.receiver.verdicts import told
from calc.receiver import separations
from calc.units import Array


class Heard(NamedTuple):
    """Each station, the set tuned to it, [stations] each; None off the dial.

    Attributes:
        dial: place on it, 0 to 100.
        level: of its sound [dB SPL].
        separation: over the next [dB]; None too where there is no other.
    """

    dial: list[float | None]
    level: list[float | None]
    separation: list[float | None]


def heard(chosen: ChosenSet) -> Heard:
    """What is heard with a set."""
    outcome = outcome_of(chosen, str(chosen.values["link"])).heard
    return _heard(chosen, outcome.own_capacitance, outcome.reachable, outcome.levels)


def heard_at(set_: KeptSet, unknowns: Sequence[Unknown], places: Array, found: ChosenSet) -> Heard:
    """What is heard with the set found, which is at those places of the unknowns or as near as a set can be."""
    by_places = set_.heard_over_places(unknowns, places)
    if by_places is None:
        return heard(found)
    own, level = by_places
    least, most = found.capacitor
    reached = (own >= least) & (own <= most)
    return _heard(found, own, reached, np.where(reached[:, None], told(level), -np.inf))


def _heard(chosen: ChosenSet, own: Array, reached: npt.NDArray[np.bool_], levels: Array) -> Heard:
    dial = np.asarray(chosen.dial_position(np.where(reached, own, chosen.capacitor[0])))
    columns = (dial, np.diagonal(levels), np.diagonal(separations(levels)))
    return Heard(*(_told(each, reached) for each in columns))


def _told(values: Array, reached: npt.NDArray[np.bool_]) -> list[float | None]:
    return [value if told else None for value, told in zip(values.tolist(), reached & np.isfinite(values), strict=True)]
