"""When parts vary: the same set built many times over."""

import math
from random import Random

import numpy as np
import numpy.typing as npt

from calc import units
from calc.detection import FEW_CYCLE_POINTS
from calc.forms.bars import Bar, Bars
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.ears import preset_of
from calc.forms.receiver.knobs import dial_of
from calc.forms.receiver.verdicts import CLEAR_SEPARATION, join
from calc.forms.results import Advice, Axis, Column, Result, Row, Rule, Table
from calc.settings.levels import Aim
from calc.settings.tolerance import Band, Spread, Tolerance, Tolerances, spread_of
from calc.units import Array

DRAWS = 200
_SEED = 1926
"""Of the random numbers: the same set gives the same answer."""
_MOST = 60.0
"""Separations beyond this are drawn as this [dB]."""


def answer(chosen: ChosenSet) -> Result:
    """Bands of dial position, loudness and separation over many specimens."""
    spread = spread_of(
        chosen.receiver(),
        chosen.stations,
        _tolerances(chosen),
        Random(_SEED),
        None,
        dial_of(chosen),
        DRAWS,
        FEW_CYCLE_POINTS,
    )
    clear = _clear(spread)
    return Result(
        sentence=_sentence(chosen, clear),
        rows=(
            Row("draws", "Sets drawn", float(DRAWS), digits=3, how="the same ones each time"),
            Row("all_clear", "All stations in the clear", float(clear.all(axis=1).mean()), "%", digits=3),
        ),
        tables=(_table(chosen, spread, clear),),
        bars=(
            _bars(
                chosen,
                "margin",
                "Loudness of each station, the set tuned to it",
                "Over the room",
                spread.margin,
                0.0,
                "the room",
            ),
            _bars(
                chosen,
                "separation",
                "Separation of each station from the next",
                "Over the next",
                spread.separation,
                CLEAR_SEPARATION,
                units.format(CLEAR_SEPARATION, "dB"),
            ),
        ),
        advice=[
            Advice(
                "Bars end at the middle of all sets drawn; the line across each goes from the tenth to the ninetieth "
                "of a hundred. Detector and earphones vary as their tables say."
            ),
            Advice("What ties parts to each other: each is drawn by itself, evenly over its range.", "limit"),
        ],
        order=("bars", "tables", "advice", "rows"),
    )


def _tolerances(chosen: ChosenSet) -> Tolerances:
    def share(name: str) -> Tolerance:
        return Tolerance(chosen.values[name])

    preset = preset_of(chosen.values)
    least, most = (1.0, 1.0) if preset is None else preset.saturation_current_range
    return Tolerances(
        capacitor=share("capacitor_tolerance"),
        strays=share("strays_tolerance"),
        inductance=share("coil_tolerance"),
        quality=share("quality_tolerance"),
        aerial_capacitance=share("aerial_tolerance"),
        aerial_resistance=share("earth_tolerance"),
        effective_height=share("aerial_tolerance"),
        coupling=share("link_tolerance"),
        saturation_current=Tolerance(10.0 * math.log10(most / least)),
        field=Tolerance(20.0 * math.log10(1.0 + chosen.values["field_tolerance"])),
    )


def _clear(spread: Spread) -> npt.NDArray[np.bool_]:
    """Which stations are in the clear in which draw, [draws, stations]."""
    return np.asarray(spread.draws.clearance(Aim(CLEAR_SEPARATION)) >= 0.0) & (spread.draws.margin >= 0.0)


def _sentence(chosen: ChosenSet, clear: npt.NDArray[np.bool_]) -> str:
    shares = [f"{100 * share:.0f}" for share in clear.mean(axis=0).tolist()]
    first, *rest = zip(shares, chosen.names, strict=True)
    told = [f"{first[0]} have {first[1]} in the clear", *(f"{share} {name}" for share, name in rest)]
    return f"Of 100 sets built to this plan, {join(told)}."


def _bars(chosen: ChosenSet, key: str, title: str, axis: str, band: Band, line: float, label: str) -> Bars:
    bars = []
    for name, low, middle, high in zip(
        chosen.names, band.low.tolist(), band.middle.tolist(), band.high.tolist(), strict=True
    ):
        known = math.isfinite(low) and math.isfinite(middle)
        top = min(high, _MOST) if math.isfinite(high) else _MOST
        bars.append(
            Bar(
                name,
                (min(middle, _MOST) if known else None,),
                ((min(low, _MOST), top) if known else None,),
                "" if known else "no other" if math.isfinite(low) or low > 0.0 else "off the dial",
            )
        )
    ends = [value for bar in bars for span in bar.spans if span for value in span]
    least = 10.0 * math.floor(min([0.0, *ends]) / 10.0)
    most = 10.0 * math.ceil(max([30.0, *ends]) / 10.0)
    told = "; ".join(f"{bar.label}: {_range(bar)}" for bar in bars)
    return Bars(
        key,
        title,
        f"{axis}, from the tenth to the ninetieth of 100 sets: {told}.",
        Axis(axis, "dB", least, most),
        ("",),
        bars,
        (Rule(label, "x", line),),
    )


def _range(bar: Bar) -> str:
    (span,) = bar.spans
    return "none" if span is None else f"{units.format(span[0], 'dB')} to {units.format(span[1], 'dB')}"


def _table(chosen: ChosenSet, spread: Spread, clear: npt.NDArray[np.bool_]) -> Table:
    rows: list[list[float | str | None]] = []
    low, high = (_dial(chosen, band) for band in (spread.dial_capacitance.low, spread.dial_capacitance.high))
    for index, name in enumerate(chosen.names):
        rows.append(
            [
                name,
                low[index],
                high[index],
                _known(spread.level.low[index]),
                _known(spread.level.high[index]),
                float(spread.reached[index]),
                float(clear[:, index].mean()),
            ]
        )
    return Table(
        "stations",
        "Where eight sets in ten lie",
        (
            Column("station", "Station"),
            Column("dial_low", "Dial from", "", 3),
            Column("dial_high", "to", "", 3),
            Column("level_low", "Level from", "dB"),
            Column("level_high", "to", "dB"),
            Column("reached", "On the dial", "%", 3),
            Column("clear", "In the clear", "%", 3),
        ),
        rows,
    )


def _known(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _dial(chosen: ChosenSet, capacitance: Array) -> list[float | None]:
    """Places on the dial; those beyond its ends as its ends."""
    least, most = chosen.capacitor
    return [
        float(chosen.dial_position(min(max(value, least), most))) if math.isfinite(value) else None
        for value in capacitance.tolist()
    ]
