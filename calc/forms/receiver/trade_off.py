"""Sharpness against loudness: the coupling of each link swept from closest to loosest."""

from collections.abc import Mapping

import numpy as np

from calc import units
from calc.detection import FEW_CYCLE_POINTS
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import LINK_NAMES, ONE_CIRCUIT
from calc.forms.receiver.knobs import SCALES, adjustment_of, coupling_text, dial_of, present_coupling
from calc.forms.receiver.verdicts import join
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Rule, Series, Table
from calc.progress import steps
from calc.settings.sweep import Point, TradeOff, trade_off
from calc.units import Array

_SHOWN, _FAINTEST = 60.0, -20.0
"""Separations beyond the one and margins below the other are not drawn [dB]."""


def answer(chosen: ChosenSet) -> Result:
    """Loudness of the wanted stations against their separation, link by link."""
    kind, apart = str(chosen.values["link"]), float(chosen.values["apart"])
    kinds = dict.fromkeys((*(one for one in ONE_CIRCUIT if one != "direct"), *(() if kind == "direct" else (kind,))))
    swept = {
        one: trade_off(
            chosen.receiver(one),
            chosen.stations,
            adjustment_of(chosen, one),
            chosen.wanted,
            None,
            dial_of(chosen),
            apart,
            cycle_points=FEW_CYCLE_POINTS,
        )
        for one in steps(list(kinds))
    }
    return Result(
        sentence=_sentence(chosen, swept, kind, apart),
        rows=_rows(chosen, swept, kind, apart),
        tables=(_table(chosen, swept),),
        charts=(_chart(chosen, swept, kind, apart), *_course(chosen, swept, kind, apart)),
        advice=[
            Advice(
                "Along each curve the coupling goes from closest, at its left end, to loosest. Sharpness is bought "
                "cheaply while the aerial's loss rules the circuit; once the coil's own loss rules it, each further "
                "decibel of separation costs several of loudness."
            )
        ],
        order=("charts", "tables", "advice", "rows"),
    )


def worst(found: TradeOff) -> tuple[Array, Array]:
    """Margin of the faintest wanted station and separation of the poorest at each coupling [dB], NaN off the dial."""
    on_dial = found.judged.reached.all(axis=1)
    margin, separation = found.judged.margin.min(axis=1), found.judged.separation.min(axis=1)
    return np.where(on_dial, margin, np.nan), np.where(on_dial, separation, np.nan)


def _chart(chosen: ChosenSet, swept: Mapping[str, TradeOff], kind: str, apart: float) -> Chart:
    series, marks, levels = [], [], []
    for one, found in swept.items():
        margin, separation = worst(found)
        shown = np.isfinite(margin) & np.isfinite(separation) & (separation <= _SHOWN) & (margin >= _FAINTEST)
        if shown.sum() > 1:
            series.append(Series(one, LINK_NAMES[one], separation[shown], margin[shown]))
            levels.append(margin[shown])
    here = present_coupling(chosen)
    if here is not None:
        now = trade_off(
            chosen.receiver(kind),
            chosen.stations,
            adjustment_of(chosen, kind),
            chosen.wanted,
            [here],
            dial_of(chosen),
            apart,
        )
        margin, separation = worst(now)
        if np.isfinite(margin[0]) and np.isfinite(separation[0]) and separation[0] <= _SHOWN:
            marks.append(Mark("now", float(separation[0]), float(margin[0]), emphasis=True))
    for one, found in swept.items():
        for point, label in ((found.all_clear_from, "all clear"), (found.all_heard_to, "last heard")):
            if one == kind and point is not None and point.separation is not None and point.separation <= _SHOWN:
                marks.append(Mark(label, point.separation, point.margin))
    every = np.concatenate(levels) if levels else np.zeros(1)
    left = min([float(np.min(s.x)) for s in series] + [mark.x for mark in marks] + [0.0])
    who = "the faintest" if len(chosen.wanted) > 1 else chosen.names[chosen.wanted[0]]
    return Chart(
        key="trade-off",
        title="What each gain in sharpness costs in loudness",
        summary=" ".join(_told(chosen, one, found, apart) for one, found in swept.items()),
        x=Axis("Poorest separation", "dB", 5.0 * np.floor(left / 5.0), _SHOWN),
        y=Axis(
            f"Loudness of {who} over the room",
            "dB",
            5.0 * np.floor(min(every.min(), -5.0) / 5.0),
            5.0 * np.ceil((every.max() + 3.0) / 5.0),
        ),
        series=series,
        marks=marks,
        rules=(Rule(f"{units.format(apart, 'dB')} apart", "x", apart), Rule("the room", "y", 0.0)),
    )


def _course(chosen: ChosenSet, swept: Mapping[str, TradeOff], kind: str, apart: float) -> list[Chart]:
    """The chosen link's loudness and separation over its coupling."""
    if kind not in swept:
        return []
    found, scale = swept[kind], SCALES[kind]
    margin, separation = worst(found)
    shown = np.isfinite(margin)
    if shown.sum() < 2:
        return []
    x = found.couplings[shown] * scale.factor(chosen.winding.turns)
    apart_shown = np.minimum(np.where(np.isfinite(separation[shown]), separation[shown], _SHOWN), _SHOWN)
    y = np.concatenate([margin[shown], apart_shown])
    here = present_coupling(chosen)
    rules = [Rule("now", "x", here * scale.factor(chosen.winding.turns))] if here is not None else []
    return [
        Chart(
            key="course",
            title=f"{LINK_NAMES[kind].capitalize()}: loudness and separation over the coupling",
            summary=_told(chosen, kind, found, apart),
            x=Axis(scale.label, scale.unit, float(x.min()), float(x.max()), log=True, each_unit=scale.unit != ""),
            y=Axis(
                "Level",
                "dB",
                5.0 * np.floor(min(float(y.min()), 0.0) / 5.0),
                5.0 * np.ceil((float(y.max()) + 3.0) / 5.0),
            ),
            series=(
                Series("margin", "faintest over the room", x, margin[shown]),
                Series("separation", "poorest separation", x, apart_shown),
            ),
            rules=(Rule(f"{units.format(apart, 'dB')} apart", "y", apart), *rules),
        )
    ]


def _told(chosen: ChosenSet, kind: str, found: TradeOff, apart: float) -> str:
    name, point = LINK_NAMES[kind].capitalize(), found.all_clear_from
    if point is None:
        return f"{name}: at no coupling are all of them {units.format(apart, 'dB')} apart."
    text = coupling_text(chosen, kind, point.coupling)
    return f"{name}: all clear from {text}, the faintest {units.format(point.margin, 'dB')} over the room."


def _sentence(chosen: ChosenSet, swept: Mapping[str, TradeOff], kind: str, apart: float) -> str:
    found = {one: t.all_clear_from for one, t in swept.items()}
    heard = {one: point for one, point in found.items() if point is not None and point.margin >= 0.0}
    who = "they are all" if len(chosen.wanted) > 1 else f"{chosen.names[chosen.wanted[0]]} is"
    if not heard:
        names = join([chosen.names[index] for index in chosen.wanted])
        return f"With none of these links are {names} both {units.format(apart, 'dB')} apart and over the room."
    best = max(heard, key=lambda one: heard[one].margin)
    point = heard[best]
    begin = (
        f"Loudest with {units.format(apart, 'dB')} between stations: {LINK_NAMES[best]} at "
        f"{coupling_text(chosen, best, point.coupling)}, where {who} at least {units.format(point.margin, 'dB')} "
        "over the room"
    )
    own = heard.get(kind)
    if best == kind or own is None:
        return f"{begin}."
    at = coupling_text(chosen, kind, own.coupling)
    return f"{begin}; the chosen {LINK_NAMES[kind]} gives {units.format(own.margin, 'dB')} at {at}."


def _rows(chosen: ChosenSet, swept: Mapping[str, TradeOff], kind: str, apart: float) -> list[Row]:
    if kind not in swept:
        return []
    found = swept[kind]
    return [
        *_point_rows("clear", f"All {units.format(apart, 'dB')} apart from", chosen, kind, found.all_clear_from),
        *_point_rows("heard", "All over the room down to", chosen, kind, found.all_heard_to),
    ]


def _point_rows(key: str, label: str, chosen: ChosenSet, kind: str, point: Point | None) -> list[Row]:
    scale = SCALES[kind]
    value = None if point is None else point.coupling * scale.factor(chosen.winding.turns)
    how = "" if point is None else "end of the sweep" if point.at_end else LINK_NAMES[kind]
    return [
        Row(f"{key}_coupling", label, value, scale.unit, digits=3, how=how),
        Row(f"{key}_margin", "There the faintest over the room", None if point is None else point.margin, "dB"),
        Row(f"{key}_separation", "There the poorest separation", None if point is None else point.separation, "dB"),
    ]


def _table(chosen: ChosenSet, swept: Mapping[str, TradeOff]) -> Table:
    rows: list[list[float | str | None]] = []
    for kind, found in swept.items():
        clear, heard = found.all_clear_from, found.all_heard_to
        rows.append(
            [
                LINK_NAMES[kind],
                coupling_text(chosen, kind, clear.coupling) if clear else None,
                clear.margin if clear else None,
                coupling_text(chosen, kind, heard.coupling) if heard else None,
                heard.separation if heard else None,
            ]
        )
    return Table(
        "links",
        "Where each link comes to",
        (
            Column("link", "Link"),
            Column("clear", "All clear from"),
            Column("margin", "Faintest there", "dB"),
            Column("heard", "All heard down to"),
            Column("separation", "Poorest there", "dB"),
        ),
        rows,
    )
