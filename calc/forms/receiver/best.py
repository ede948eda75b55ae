"""The best setting of each link: all wanted stations apart, and the faintest as loud as can be."""

import math

import numpy as np

from calc import units
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import LINK_NAMES
from calc.forms.receiver.knobs import SCALES, adjustment_of, coupling_text, dial_of
from calc.forms.receiver.verdicts import join, told
from calc.forms.results import Advice, Column, Result, Row, Table
from calc.settings.best import Best, Obstacle, best_settings
from calc.settings.levels import Judged
from calc.units import Array

_FAR_APART = 10.0
"""Bandwidths of the bare coil between two carriers from which on a sharper one is no cure: there a single circuit has
26 dB already."""


def answer(chosen: ChosenSet) -> Result:
    """The best coupling of every link, the best link first."""
    apart = float(chosen.values["apart"])
    found = best_settings(
        chosen.receiver(),
        chosen.stations,
        [adjustment_of(chosen, kind) for kind in LINK_NAMES],
        chosen.wanted,
        dial_of(chosen),
        apart,
        floor_counts=False,
    )
    return Result(
        sentence=_sentence(chosen, found[0], apart),
        rows=_rows(chosen, found[0]),
        tables=(_stations(chosen, found[0]), _links(chosen, found)),
        advice=_advice(chosen, found, apart),
        order=("tables", "advice", "rows"),
    )


def _setting(chosen: ChosenSet, best: Best) -> str:
    """The coupling in words; empty for a link that has none."""
    kind = best.adjustment.name
    coupling = best.values.get("coupling")
    return "" if coupling is None else coupling_text(chosen, kind, coupling)


def _sentence(chosen: ChosenSet, best: Best, apart: float) -> str:
    name, at = LINK_NAMES[best.adjustment.name], _setting(chosen, best)
    where = f"{name} at {at}" if at else name
    if best.obstacle is None and best.is_clear:
        over = f"{units.format(best.least_margin, 'dB')} over the room"
        who = (
            f"all wanted stations are in the clear, the faintest {over}"
            if len(chosen.wanted) > 1
            else f"{chosen.names[chosen.wanted[0]]} is in the clear, {over}"
        )
        return f"{where[0].upper()}{where[1:]}: {who}."
    assert best.obstacle is not None, "what is not in the clear has an obstacle"
    return f"No setting does it. {_why(chosen, best, best.obstacle, apart)}"


def _why(chosen: ChosenSet, best: Best, obstacle: Obstacle, apart: float) -> str:
    station = chosen.names[obstacle.station]
    name = LINK_NAMES[best.adjustment.name]
    if obstacle.kind == "above the dial":
        return f"{station} lies above the dial at every coupling of the {name}: take turns off the coil."
    if obstacle.kind == "below the dial":
        return f"{station} lies below the dial at every coupling of the {name}: add turns, or a larger capacitor."
    if obstacle.kind == "too faint" or obstacle.rival < 0 or obstacle.separation is None or obstacle.spacing is None:
        below = "" if obstacle.margin is None else f", {units.format(-obstacle.margin, 'dB')} below it"
        return f"{station} falls under the room's noise before it is free of the others{below}."
    rival = chosen.names[obstacle.rival]
    so_far = (
        f"{station} and {rival}, {units.format(obstacle.spacing, 'Hz')} apart, come to "
        f"{units.format(obstacle.separation, 'dB')} at most where {units.format(apart, 'dB')} are wanted:"
    )
    if obstacle.spacing * obstacle.quality < _FAR_APART * float(chosen.frequencies[obstacle.station]):
        return f"{so_far} a coil with a Q of {units.format(obstacle.quality, '', 3)} is not sharp enough for the pair."
    trap = f"; a trap for {rival} in the lead would do more" if chosen.values["trap"] == "none" else ""
    return f"{so_far} {station} is too weak beside {rival}. A sharper coil would hardly part them{trap}."


def _rows(chosen: ChosenSet, best: Best) -> list[Row]:
    kind, coupling = best.adjustment.name, best.values.get("coupling")
    scale = SCALES[kind]
    value = None if coupling is None else coupling * scale.factor(chosen.winding.turns)
    known = math.isfinite(best.least_margin)
    return [
        Row("coupling", f"{scale.label}, {LINK_NAMES[kind]}", value, scale.unit, digits=3),
        Row("least_margin", "Faintest over the room", best.least_margin if known else None, "dB"),
        Row("least_separation", "Poorest separation", _finite(float(_apart(best.judged).min())), "dB"),
    ]


def _apart(judged: Judged) -> Array:
    """Separations [dB], [wanted], from levels as the table of stations tells them; infinite for a station alone."""
    level, found = judged.level, judged.separation.copy()
    known = np.isfinite(level) & np.isfinite(found)
    found[known] = told(level[known]) - told(level[known] - found[known])
    return found


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _stations(chosen: ChosenSet, best: Best) -> Table:
    dial, apart = dial_of(chosen), _apart(best.judged)
    rows: list[list[float | str | None]] = []
    for place, index in enumerate(chosen.wanted):
        reached = bool(best.judged.reached[place])
        own = float(dial.own(best.judged.capacitance[place]))
        rows.append(
            [
                chosen.names[index],
                float(chosen.frequencies[index]),
                float(chosen.dial_position(own)) if reached else None,
                _finite(float(best.judged.level[place])) if reached else None,
                _finite(float(best.judged.margin[place])) if reached else None,
                _finite(float(apart[place])) if reached else None,
            ]
        )
    return Table(
        "stations",
        f"At the best setting of the {LINK_NAMES[best.adjustment.name]}",
        (
            Column("station", "Station"),
            Column("frequency", "Frequency", "Hz"),
            Column("dial", "Dial", "", 3),
            Column("level", "Level, SPL", "dB"),
            Column("margin", "Over the room", "dB"),
            Column("separation", "Over the next", "dB"),
        ),
        rows,
    )


def _links(chosen: ChosenSet, found: list[Best]) -> Table:
    rows: list[list[float | str | None]] = [
        [
            LINK_NAMES[best.adjustment.name],
            _setting(chosen, best) or None,
            _finite(best.least_margin) if best.judged.reached.all() else None,
            _finite(float(_apart(best.judged).min())) if best.judged.reached.all() else None,
            "yes" if best.obstacle is None and best.is_clear else "no",
        ]
        for best in found
    ]
    return Table(
        "links",
        "The best that each link can do",
        (
            Column("link", "Link"),
            Column("setting", "Setting"),
            Column("margin", "Faintest over the room", "dB"),
            Column("separation", "Poorest separation", "dB"),
            Column("clear", "All in the clear"),
        ),
        rows,
    )


def _advice(chosen: ChosenSet, found: list[Best], apart: float) -> list[Advice]:
    failed = [best for best in found if best.obstacle is not None]
    why = [
        Advice(f"With the {LINK_NAMES[best.adjustment.name]}: {_why(chosen, best, best.obstacle, apart)}")
        for best in failed
        if best.obstacle is not None and best.adjustment.name == str(chosen.values["link"])
    ]
    names = join([chosen.names[index] for index in chosen.wanted])
    return [
        *why,
        Advice(
            f"For {names}. Only the coupling is sought, with the coil, windings and first circuits as they stand in "
            "the form; the dial is set to each station in turn."
        ),
    ]
