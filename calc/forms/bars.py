"""Bars of an answer: one figure, or a few, for each of several things, along one axis. No HTML."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calc import units
from calc.forms.results import NOTHING, Axis, Rule


@dataclass(frozen=True)
class Bar:
    """One thing's bars, one for each of the picture's series.

    Attributes:
        label: what it is.
        values: a figure for each series, in the axis' unit; None where there is none.
        spans: (least, most) about each figure that is only known as a range; None for a figure without one.
        note: a few words at the end of the bar, such as a verdict.
        emphasis: True for the one that the answer speaks of.
    """

    label: str
    values: tuple[float | None, ...]
    spans: tuple[tuple[float, float] | None, ...] = ()
    note: str = ""
    emphasis: bool = False


@dataclass(frozen=True)
class Bars:
    """A picture of bars.

    Attributes:
        key, title: its name in the answer, and what the reader sees.
        summary: the picture in words that can stand for it.
        axis: along which the bars lie; they begin at zero, or at its least if zero lies outside.
        series: what each bar of a thing stands for; one empty name where there is but one.
        bars: the things, from top to bottom.
        rules: levels across all bars, on axis "x".
    """

    key: str
    title: str
    summary: str
    axis: Axis
    series: tuple[str, ...]
    bars: Sequence[Bar]
    rules: Sequence[Rule] = ()

    def as_json(self) -> dict[str, Any]:
        """The picture as plain data, its figures with their texts."""
        return {
            "key": self.key,
            "title": self.title,
            "summary": self.summary,
            "axis": self.axis.as_json(),
            "base": min(max(0.0, self.axis.least), self.axis.most),
            "series": list(self.series),
            "bars": [self._bar(bar) for bar in self.bars],
            "rules": [{"label": rule.label, "axis": rule.axis, "value": float(rule.value)} for rule in self.rules],
        }

    def _bar(self, bar: Bar) -> dict[str, Any]:
        spans = bar.spans or (None,) * len(bar.values)
        return {
            "label": bar.label,
            "note": bar.note,
            "emphasis": bar.emphasis,
            "values": [None if value is None else float(value) for value in bar.values],
            "texts": [self._text(value, span) for value, span in zip(bar.values, spans, strict=True)],
            "spans": [None if span is None else [float(span[0]), float(span[1])] for span in spans],
        }

    def _text(self, value: float | None, span: tuple[float, float] | None) -> str:
        if value is None:
            return NOTHING
        text = units.format(value, self.axis.unit, 3)
        if span is None:
            return text
        return f"{text}, from {units.format(span[0], self.axis.unit, 3)} to {units.format(span[1], self.axis.unit, 3)}"
