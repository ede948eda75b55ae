"""A page to write readings on, the district's stations filled in."""

import math
from typing import Any

import numpy as np

from calc import units
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.outcome import outcome_of
from calc.forms.sheets import PAPERS, Grid, Sheet, Words

_ROW = 9.0
_REST = 58.0
"""Of the page, for all but the rows [mm]."""
_HEADS = (
    "Station",
    "kHz",
    "Dial, worked out",
    "Dial, found",
    "Date, time",
    "Heard",
    "Loudness step",
    "Aerial",
    "Remarks",
)
_WIDTHS = (28, 12, 14, 14, 22, 28, 16, 14, 32)
_LONGEST = 26
"""Letters of a name in two lines."""


def log_sheet(**v: Any) -> Sheet:
    """A ruled page: a row a station, and empty rows to the foot."""
    chosen = ChosenSet(v)
    outcome = outcome_of(chosen, str(v["link"]))
    rows = []
    for index in np.argsort(chosen.frequencies).tolist():
        place = ""
        if outcome.reachable[index]:
            place = f"{float(chosen.dial_position(outcome.heard.own_capacitance[index])):.1f}"
        khz = units.number(1e-3 * float(chosen.frequencies[index]), 5)
        rows.append((_short(chosen.names[index]), khz, place, *[""] * (len(_HEADS) - 3)))
    _, down = PAPERS[v["paper"]].room()
    empty = max(math.floor((down - _REST) / _ROW) - len(rows), 0)
    rows += [("",) * len(_HEADS)] * empty
    told = (
        "Loudness step: 0 for the first station heard, 1 for one twice as loud, −1 for half as loud. Aerial: “with”, "
        "or “without” where the set is heard with its aerial taken off."
    )
    return Sheet(
        "Log of readings",
        "What the built set does, to be laid beside what was worked out.",
        v["paper"],
        (Words((told,)), Grid("", _HEADS, rows, _WIDTHS, row_height=_ROW)),
    )


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1].rstrip()}…"
