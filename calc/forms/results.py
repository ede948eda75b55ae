"""What a form answers: a sentence, rows, tables, charts, drawings and advice, as neutral data. No HTML."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from calc import units
from calc.forms.shapes import Drawing

NOTHING = "—"
"""The text of a figure that does not exist for these inputs."""


@dataclass(frozen=True)
class Row:
    """One figure of an answer.

    Attributes:
        key: its name in the JSON answer. Kept once published.
        label: what the reader sees.
        value: in `unit`; None where there is no such figure.
        unit: canonical unit.
        how: one clause: how it was found, and how far to trust it.
        text: as shown; made from value and unit when not given.
        digits: significant figures of the text.
        uncertainty: standard uncertainty of the value, in its unit; None where it has none to show.
        interval: least and most, which hold the truth with a chance of 95 %; None as well.
    """

    key: str
    label: str
    value: float | None
    unit: str = ""
    how: str = ""
    text: str = ""
    digits: int = 4
    uncertainty: float | None = None
    interval: tuple[float, float] | None = None

    def as_json(self) -> dict[str, Any]:
        """The row as plain data."""
        value = None if self.value is None else float(self.value)
        text = self.text or (NOTHING if value is None else units.format(value, self.unit, self.digits))
        sure: dict[str, Any] = {}
        if self.uncertainty is not None:
            sure["uncertainty"] = float(self.uncertainty)
        if self.interval is not None:
            sure["interval"] = [float(self.interval[0]), float(self.interval[1])]
        return sure | {
            "key": self.key,
            "label": self.label,
            "value": value,
            "unit": self.unit,
            "text": text,
            "how": self.how,
        }


@dataclass(frozen=True)
class Column:
    """A column of a result table: `unit` is that of its numbers, "text" for words."""

    key: str
    label: str
    unit: str = "text"
    digits: int = 4


@dataclass(frozen=True)
class Table:
    """A result table: a row of cells for each thing that the answer speaks of."""

    key: str
    title: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[float | str | None]]

    def as_json(self) -> dict[str, Any]:
        """The table as plain data; each cell has a value and a text."""
        return {
            "key": self.key,
            "title": self.title,
            "columns": [{"key": c.key, "label": c.label, "unit": c.unit} for c in self.columns],
            "rows": [[_cell(c, v) for c, v in zip(self.columns, row, strict=True)] for row in self.rows],
        }


def _cell(column: Column, value: float | str | None) -> dict[str, Any]:
    if isinstance(value, str):
        return {"value": value, "text": value}
    if value is None:
        return {"value": None, "text": NOTHING}
    return {"value": float(value), "text": units.format(value, column.unit, column.digits)}


@dataclass(frozen=True)
class Axis:
    """A chart's axis: canonical unit, linear or logarithmic, from least to most.

    With `each_unit` every tick carries its own prefix and unit, for an axis over many decades.
    """

    label: str
    unit: str
    least: float
    most: float
    log: bool = False
    each_unit: bool = False

    def as_json(self) -> dict[str, Any]:
        """The axis as plain data, its ticks with their texts already made."""
        factor, name = units.scale(max(abs(self.least), abs(self.most)), self.unit)
        ticks = (_log_ticks if self.log else _ticks)(self.least / factor, self.most / factor)
        return {
            "label": f"{self.label} [{name}]" if name and not self.each_unit else self.label,
            "least": self.least,
            "most": self.most,
            "log": self.log,
            "ticks": [{"value": tick * factor, "text": self._tick(tick, factor)} for tick in ticks],
        }

    def _tick(self, tick: float, factor: float) -> str:
        return units.format(tick * factor, self.unit) if self.each_unit else units.number(tick)


def _ticks(least: float, most: float) -> list[float]:
    """About six round values from least to most."""
    span = (most - least) or 1.0
    rough = span / 6.0
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= rough * (1.0 - 1e-9))
    first = math.ceil(least / step - 1e-9)
    last = math.floor(most / step + 1e-9)
    return [round(index * step, 12) + 0.0 for index in range(first, last + 1)]


def _log_ticks(least: float, most: float) -> list[float]:
    """1, 2 and 5 of each decade, or the decades alone where there are many; as on a plain axis within one decade."""
    if most < 10.0 * least:
        return _ticks(least, most)
    first, last = math.floor(math.log10(least)), math.ceil(math.log10(most))
    heads = (1.0, 2.0, 5.0) if last - first <= 3 else (1.0,)
    found = [head * 10.0**power for power in range(first, last + 1) for head in heads]
    return [value for value in found if least * (1.0 - 1e-9) <= value <= most * (1.0 + 1e-9)]


@dataclass(frozen=True)
class Series:
    """A line of a chart, its points in the axes' canonical units."""

    key: str
    label: str
    x: npt.ArrayLike
    y: npt.ArrayLike


@dataclass(frozen=True)
class Mark:
    """A labelled point of a chart. `emphasis` lifts the one that the answer speaks of."""

    label: str
    x: float
    y: float
    emphasis: bool = False


@dataclass(frozen=True)
class Rule:
    """A labelled straight line across a chart at one value of "x" or "y"."""

    label: str
    axis: str
    value: float


@dataclass(frozen=True)
class Chart:
    """A chart: lines, marks and rules over two axes, with a summary in words that can stand for it."""

    key: str
    title: str
    summary: str
    x: Axis
    y: Axis
    series: Sequence[Series]
    marks: Sequence[Mark] = ()
    rules: Sequence[Rule] = ()

    def as_json(self) -> dict[str, Any]:
        """The chart as plain data; each point carries the text of its read-out."""
        return {
            "key": self.key,
            "title": self.title,
            "summary": self.summary,
            "x": self.x.as_json(),
            "y": self.y.as_json(),
            "series": [self._series(s) for s in self.series],
            "marks": [{"label": m.label, "x": float(m.x), "y": float(m.y), "emphasis": m.emphasis} for m in self.marks],
            "rules": [{"label": r.label, "axis": r.axis, "value": float(r.value)} for r in self.rules],
        }

    def _series(self, series: Series) -> dict[str, Any]:
        x = np.asarray(series.x, dtype=np.float64)
        y = np.asarray(series.y, dtype=np.float64)
        across, up = x.tolist(), y.tolist()
        both = zip(_texts(tuple(across), self.x.unit, 4), _texts(tuple(up), self.y.unit, 3), strict=True)
        texts = [f"{x_text}: {y_text}" for x_text, y_text in both]
        return {"key": series.key, "label": series.label, "x": across, "y": up, "texts": texts}


@lru_cache(maxsize=64)  # from one answer to the next many lines stay as they are
def _texts(values: tuple[float, ...], unit: str, digits: int) -> list[str]:
    return units.formats(values, unit, digits)


@dataclass(frozen=True)
class Advice:
    """A sentence beside an answer. `kind`: "note" explains, "limit" says what is left out, "caution" warns of harm."""

    text: str
    kind: str = "note"


@dataclass(frozen=True)
class Onward:
    """A way on: another form, filled in with what this answer found.

    Attributes:
        key: its name in the answer.
        text: what the reader presses.
        form: id of the other form.
        changes: texts for its fields; each other field keeps what stands in the field of the same name here.
    """

    key: str
    text: str
    form: str
    changes: Mapping[str, str]

    def as_json(self) -> dict[str, Any]:
        """The way on as plain data; what is kept is added by the bridge, which knows what was typed."""
        return {"key": self.key, "text": self.text, "form": self.form, "texts": dict(self.changes)}


class Part(Protocol):
    """A part of an answer that has a name of its own and becomes plain data."""

    @property
    def key(self) -> str:
        """Its name in the answer."""
        ...

    def as_json(self) -> dict[str, Any]:
        """The part as plain data."""
        ...


@dataclass(frozen=True)
class Result:
    """The whole answer of a form.

    Attributes:
        sentence: the answer in one sentence.
        rows, tables, charts, bars, maps, sounds, drawings, onward, advice: its parts; bars as in `calc.forms.bars`,
            maps as in `calc.forms.regions`.
        order: the names of the parts in the order in which a page shows them.
    """

    sentence: str
    rows: Sequence[Row] = ()
    tables: Sequence[Table] = ()
    charts: Sequence[Chart] = ()
    drawings: Sequence[Drawing] = ()
    advice: Sequence[Advice] = ()
    order: Sequence[str] = ("sounds", "bars", "rows", "tables", "charts", "maps", "drawings", "onward", "advice")
    bars: Sequence[Part] = ()
    maps: Sequence[Part] = ()
    sounds: Sequence[Part] = ()
    onward: Sequence[Onward] = ()

    def as_json(self) -> dict[str, Any]:
        """The answer as plain data, ready for JSON."""
        return {
            "ok": True,
            "sentence": self.sentence,
            "rows": [row.as_json() for row in self.rows],
            "tables": [table.as_json() for table in self.tables],
            "charts": [chart.as_json() for chart in self.charts],
            "bars": [bars.as_json() for bars in self.bars],
            "maps": [map_.as_json() for map_ in self.maps],
            "sounds": [sound.as_json() for sound in self.sounds],
            "drawings": [drawing.as_json() for drawing in self.drawings],
            "onward": [onward.as_json() for onward in self.onward],
            "advice": [{"text": advice.text, "kind": advice.kind} for advice in self.advice],
            "order": list(self.order),
        }
