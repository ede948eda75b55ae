"""What readings do not tell, and which further one would tell most."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from calc.correction.correct import Correction, expanded
from calc.correction.expansion import Expanded
from calc.correction.readings import Kind, Reading

_ABOUT = 1e-6
"""Doubt in what a further reading would be, of what a place moved by one unit would change."""
_MORE = 1e-2
"""By so much more a reading must tell to be named in place of one before it."""
_UNSEEN = 1e-3
"""Of what was entered: what tells less than this says nothing."""


@dataclass(frozen=True)
class Blind:
    """A change of the unknowns together that the readings do not see.

    Attributes:
        shares: how far each unknown goes on its scale, by name, the greatest being 1.
        telling: uncertainty of what was entered, along this change, over that of the readings alone: below 1 the
            readings say less than what was entered; 0 where they say nothing.
        unseen: how many such changes, each by itself, the readings say nothing of; of more, `shares` has the
            part of each unknown in all of them.
    """

    shares: dict[str, float]
    telling: float
    unseen: int = 0


def least_told(correction: Correction) -> Blind:
    """The change that the readings tell least of, against what was entered."""
    loose = np.array([each.looseness for each in correction.unknowns])
    strength, direction = np.linalg.eigh(correction.information * np.outer(loose, loose))
    telling, unseen = _telling(float(strength[0])), int(np.count_nonzero(strength < _UNSEEN**2))
    # of several changes that are not seen none is the least: each unknown by its part in all of them
    moved = direction[:, 0] if unseen < 2 else np.sqrt(np.sum(direction[:, :unseen] ** 2, axis=1))
    moved = moved * loose
    moved = np.round(moved / moved[int(np.argmax(np.abs(moved)))], 6)
    names = [each.name for each in correction.unknowns]
    return Blind(dict(zip(names, moved.tolist(), strict=True)), telling, unseen)


def _telling(strength: float) -> float:
    found = math.sqrt(max(strength, 0.0))
    return found if found >= _UNSEEN else 0.0


class Further(NamedTuple):
    """A reading that was not taken, and what it would do.

    Attributes:
        reading: as it would be.
        kind: of it, dial or width.
        gain: what it would tell beside what is known: by how much it would bring down the logarithm of the volume in
            which the unknowns may lie [-].
    """

    reading: Reading
    kind: Kind
    gain: float


def further_reading(
    correction: Correction, candidates: Sequence[Reading], known: Expanded | None = None
) -> Further | None:
    """Of some readings that might be taken, the one that would tell most beside what is known; None if there is none.

    Args:
        correction: what is known so far.
        candidates: readings with their uncertainties; what they hold for a capacitance does not count. Of one with
            flanks the width counts, of one without the dial.
        known: by `expanded`, of a model with these readings; None to begin anew.
    """
    if not candidates:
        return None
    model = replace(correction.model, readings=candidates)

    if known is None:
        known = expanded(model, correction.unknowns)
    known.begin()
    count, at = len(model.kinds), correction.places
    local = known.about(at, _ABOUT)
    figures, rates = local.value_at(at)[:count], local.rates_at(at)[:count]
    # one more figure, of rates r and uncertainty s, brings the logarithm of the volume down by half of
    # ln(1 + r.(1 + I)^-1.r/s^2), each unknown measured by how loosely it was entered
    loose = np.array([each.looseness for each in correction.unknowns])
    already = np.eye(loose.size) + correction.information * np.outer(loose, loose)
    sharp = math.hypot(model.skill.fall_uncertainty, 1.0)
    sigma = np.array([candidates[place].uncertainty if kind is Kind.DIAL else sharp for kind, place in model.kinds])
    scaled = rates * loose / sigma[:, None]
    gains = 0.5 * np.log1p(np.sum(scaled * np.linalg.solve(already, scaled.T).T, axis=1))
    best: Further | None = None
    for (kind, place), figure, gain in zip(model.kinds, figures.tolist(), gains.tolist(), strict=True):
        candidate = candidates[place]
        if kind is (Kind.DIAL if candidate.has(Kind.WIDTH) else Kind.WIDTH) or not math.isfinite(gain):
            continue
        if best is None or gain > best.gain * (1.0 + _MORE):
            own = replace(candidate, capacitance=figure) if kind is Kind.DIAL else candidate
            best = Further(own, kind, gain)
    return best
