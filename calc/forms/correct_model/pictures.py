"""The readings and the stations, before and after."""

from typing import Any

import numpy as np

from calc import units
from calc.correction import Correction
from calc.forms.bars import Bar, Bars
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.outcome import Outcome, outcome_of
from calc.forms.results import Axis, Chart, Column, Rule, Series, Table
from calc.units import Array

_BEFORE, _AFTER = "as entered", "as found"
_QUIETEST, _LOUDEST = -10.0, 90.0
_MOST_OFF = 50.0


def dial_chart(correction: Correction, divisions: tuple[list[int], Array, Array]) -> Chart:
    """How far the dial of each reading lies from what the two sets say."""
    places, before, after = divisions
    order = np.array(places) + 1.0
    shown = [np.clip(off, -_MOST_OFF, _MOST_OFF) for off in (before, after)]
    top = max(1.0, float(np.ceil(max(np.abs(off).max() for off in shown))))
    worst = [float(np.abs(off).max()) for off in (before, after)]
    return Chart(
        key="dial",
        title="Dial read, less the dial as the set would have it",
        summary=f"Farthest off: {worst[0]:.1f} divisions as entered, {worst[1]:.1f} as found.",
        x=Axis("Row of the readings", "", 1.0, max(float(order[-1]), 2.0)),
        y=Axis("Divisions", "", -top, top),
        series=(Series("before", _BEFORE, order, shown[0]), Series("after", _AFTER, order, shown[1])),
        rules=(Rule("as read", "y", 0.0),),
    )


def _outcomes(entered: ChosenSet, found: ChosenSet) -> tuple[Outcome, Outcome]:
    kind = str(entered.values["link"])
    return outcome_of(entered, kind), outcome_of(found, kind)


def _own(outcome: Outcome) -> dict[str, Any]:
    """Dial, level and separation of each station, the set tuned to it; None off the dial."""
    _, _, separation = outcome.judged
    rows: dict[str, Any] = {"dial": [], "level": [], "separation": []}
    for index, reached in enumerate(outcome.reachable.tolist()):
        apart = float(separation[index])
        dial = float(outcome.chosen.dial_position(outcome.heard.own_capacitance[index])) if reached else None
        rows["dial"].append(dial)
        rows["level"].append(float(outcome.heard.levels[index, index]) if reached else None)
        rows["separation"].append(apart if reached and np.isfinite(apart) else None)
    return rows


def station_table(entered: ChosenSet, found: ChosenSet) -> Table:
    """Each station by the set entered and by the set found."""
    before, after = (_own(each) for each in _outcomes(entered, found))
    rows: list[list[float | str | None]] = []
    for index, name in enumerate(entered.names):
        pairs = [(before[key][index], after[key][index]) for key in ("dial", "level", "separation")]
        rows.append([name, *(value for pair in pairs for value in pair)])
    columns = (
        Column("station", "Station"),
        Column("dial_before", "Dial: entered", "", 3),
        Column("dial_after", "found", "", 3),
        Column("level_before", "Level: entered", "dB"),
        Column("level_after", "found", "dB"),
        Column("separation_before", "Over the next: entered", "dB"),
        Column("separation_after", "found", "dB"),
    )
    return Table("stations", "Each station, as entered and as found", columns, rows)


def station_bars(entered: ChosenSet, found: ChosenSet) -> Bars:
    """How loud each station is by the two sets."""
    before, after = (_own(each) for each in _outcomes(entered, found))
    bars = [
        Bar(
            f"{name}, {units.format(float(entered.frequencies[index]), 'Hz')}",
            (before["level"][index], after["level"][index]),
        )
        for index, name in enumerate(entered.names)
    ]
    told = "; ".join(
        f"{bar.label}: {' and '.join('nothing' if v is None else units.format(v, 'dB', 3) for v in bar.values)}"
        for bar in bars
    )
    levels = [value for bar in bars for value in bar.values if value is not None]
    most = max([_LOUDEST, *levels])
    return Bars(
        key="levels",
        title="Each station, the set tuned to it",
        summary=f"Sound level as entered and as found: {told}.",
        axis=Axis("Sound level", "dB", _QUIETEST, 10.0 * float(np.ceil(most / 10.0))),
        series=(_BEFORE, _AFTER),
        bars=bars,
    )
