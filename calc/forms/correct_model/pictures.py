"""The readings and the stations, before and after."""

import numpy as np

from calc import units
from calc.correction import Correction
from calc.forms.bars import Bar, Bars
from calc.forms.correct_model.hearing import Heard
from calc.forms.receiver.build import ChosenSet
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


def station_table(chosen: ChosenSet, before: Heard, after: Heard) -> Table:
    """Each station by the set entered and by the set found."""
    pairs = [column for pair in zip(before, after, strict=True) for column in pair]
    rows: list[list[float | str | None]] = [list(row) for row in zip(chosen.names, *pairs, strict=True)]
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


def station_bars(chosen: ChosenSet, before: Heard, after: Heard) -> Bars:
    """How loud each station is by the two sets."""
    bars = [
        Bar(f"{name}, {units.format(float(frequency), 'Hz')}", levels)
        for name, frequency, levels in zip(
            chosen.names, chosen.frequencies, zip(before.level, after.level, strict=True), strict=True
        )
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
