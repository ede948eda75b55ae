"""A built set put right by what was read from it: unknowns of its model from dial, width, loudness and current.

`unknowns` says what may be wrong, `readings` what was read, `model` what a set would have had read, `correct` brings
the two together, `telling` says what the readings cannot tell apart and which further one would, and `district` what
the set found would have heard.
"""

from calc.correction.correct import Correction, correct, expanded
from calc.correction.district import HeardBy, heard_by
from calc.correction.expansion import Expanded
from calc.correction.model import Built, Model
from calc.correction.readings import JOINED, LINK, OFF, STRAIGHT, Kind, Reading, Skill
from calc.correction.telling import Blind, Further, further_reading, least_told
from calc.correction.unknowns import Unknown, values_at

__all__ = [
    "JOINED",
    "LINK",
    "OFF",
    "STRAIGHT",
    "Blind",
    "Built",
    "Correction",
    "Expanded",
    "Further",
    "HeardBy",
    "Kind",
    "Model",
    "Reading",
    "Skill",
    "Unknown",
    "correct",
    "expanded",
    "further_reading",
    "heard_by",
    "least_told",
    "values_at",
]
