"""What the form answers: the set that would have given the readings, beside the one that was entered."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from calc import units
from calc.correction import Correction, Kind, Reading, Unknown, least_told
from calc.forms.correct_model import words
from calc.forms.correct_model.bench_set import UNKNOWNS
from calc.forms.correct_model.fields import FIND
from calc.forms.correct_model.hearing import heard, heard_at
from calc.forms.correct_model.kept import KeptSet, kept_set
from calc.forms.correct_model.pictures import dial_chart, station_bars, station_table
from calc.forms.correct_model.table import Dials, dials_of, readings_of, skill_of
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.fields import FIELDS as RECEIVER_FIELDS
from calc.forms.results import Column, Onward, Result, Row, Table
from calc.units import Array, InputError

_DIGITS = 6
"""Of a figure that goes on as a design."""
_ASIDE: dict[str, Any] = {field.name: field.parse(field.default) for field in RECEIVER_FIELDS}
"""All fields of the whole-set form, as they stand there at first."""


@dataclass(frozen=True)
class Bench:
    """A set and its readings, put together.

    Attributes:
        values: of the form's fields.
    """

    values: dict[str, Any]

    @cached_property
    def set_(self) -> KeptSet:
        """The set by its figures."""
        return kept_set({name: self.values.get(name, aside) for name, aside in _ASIDE.items()})

    @property
    def entered(self) -> ChosenSet:
        """The set as entered."""
        return self.set_.entered

    @cached_property
    def dials(self) -> Dials:
        """The variable capacitor at each row of the table."""
        return dials_of(self.values, self.entered)

    @cached_property
    def readings(self) -> list[Reading]:
        """Of the table."""
        return readings_of(self.values, self.entered, self.dials)

    @cached_property
    def unknowns(self) -> list[Unknown]:
        """What is to be found."""
        asked = [self.set_.unknown(name) for name in UNKNOWNS if self.values[f"find_{name}"] == FIND]
        found = [each for each in asked if each is not None]
        if not found:
            raise InputError("find_strays", "Choose one thing at least to be found.")
        return found

    @cached_property
    def correction(self) -> Correction:
        """What the readings make of the set."""
        model = self.set_.model([each.name for each in self.unknowns], self.readings, skill_of(self.values))
        guided, leave_out = self.values["guide"] == "counts", self.values["misfits"] == "leave"
        return self.set_.corrected(self.unknowns, model, guided, leave_out)

    @cached_property
    def found(self) -> ChosenSet:
        """The set as found, what cannot be below nothing held at nothing."""
        names = [each.name for each in self.unknowns]
        return self.set_.chosen(names, self.correction.values, possible=True)


def solve(**values: Any) -> Result:
    """The answer for what was typed."""
    bench = Bench(values)
    correction, blind = bench.correction, least_told(bench.correction)
    entered = heard(bench.entered)
    found = heard_at(bench.set_, correction.unknowns, correction.places, bench.found)
    return Result(
        sentence=words.sentence(correction, blind, bench.set_),
        rows=_rows(correction, blind.telling),
        tables=(_unknowns(bench), _figures(bench), station_table(bench.entered, entered, found)),
        charts=(dial_chart(correction, _divisions(bench)),),
        bars=(station_bars(bench.entered, entered, found),),
        onward=(_onward(bench),),
        advice=words.advice(bench.entered, correction, blind, bench.set_),
        order=("tables", "onward", "advice", "charts", "bars", "rows"),
    )


def _rows(correction: Correction, telling: float) -> list[Row]:
    counted = correction.figures.size - len(correction.left_out)
    return [
        Row("figures", "Figures that count", float(counted), how="each dial, width, loudness and current is one"),
        Row(
            "left_out", "Figures left out", float(len(correction.left_out)), how="more than 3.5 standard deviations off"
        ),
        Row(
            "scatter",
            "Scatter against what was stated",
            correction.estimate.scatter,
            digits=3,
            how="1: as stated. Where it is more than chance would make it, every ± is widened by it",
        ),
        Row(
            "telling",
            "Least that the readings tell",
            telling,
            digits=3,
            how="of the change they see worst, against what was entered; below 1 they say less than that",
        ),
    ]


def _text(bench: Bench, name: str, value: float, digits: int = 3) -> str:
    return _together(words.figure(bench.set_, name, value, digits))


def _together(text: str) -> str:
    """A figure and its unit on one line, however narrow the cell."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def _unknowns(bench: Bench) -> Table:
    rows: list[list[float | str | None]] = []
    correction = bench.correction
    for index, unknown in enumerate(correction.unknowns):
        value, interval = correction.values[index], correction.interval(index)
        spread = correction.spread(index) * abs(unknown.rate(float(correction.places[index])))
        rows.append(
            [
                words.name_of(bench.set_, unknown.name),
                _text(bench, unknown.name, unknown.entered),
                _text(bench, unknown.name, value),
                None if interval is None else _together(words.spread(bench.set_, unknown.name, spread, value)),
                None if interval is None else _text(bench, unknown.name, interval[0]),
                None if interval is None else _text(bench, unknown.name, interval[1]),
                words.verdict(correction, index),
            ]
        )
    columns = (
        Column("unknown", "Of the set"),
        Column("entered", "Entered"),
        Column("found", "Found"),
        Column("uncertainty", "±"),
        Column("least", "95 %: from"),
        Column("most", "to"),
        Column("verdict", "The readings"),
    )
    return Table("unknowns", "What the readings say of the set", columns, rows)


def _divisions(bench: Bench) -> tuple[list[int], Array, Array]:
    """For each reading's dial: its row, and how many divisions the set entered and found put it too low."""
    correction = bench.correction
    told = [(index, place) for index, (kind, place) in enumerate(correction.model.kinds) if kind is Kind.DIAL]
    figures, places = (list(each) for each in zip(*told, strict=True))
    before, after = (
        (correction.figures[figures] - own[figures]) / bench.dials.per_division[places]
        for own in (correction.before, correction.after)
    )
    return places, before, after


def _figures(bench: Bench) -> Table:
    """Each figure that was read, and what the two sets make of it."""
    correction = bench.correction
    rows: list[list[float | str | None]] = []
    offsets = correction.offsets @ correction.estimate.values[len(correction.unknowns) :]
    for index, (kind, place) in enumerate(correction.model.kinds):
        row = bench.values["readings"][place]
        read, before, after = words.as_read(
            kind,
            row,
            correction.figures[index],
            correction.before[index],
            correction.after[index] + offsets[index],
            float(bench.dials.per_division[place]),
        )
        rows.append(
            [
                f"{place + 1}: {words.occasion(bench.entered, bench.readings[place])}",
                words.KINDS[kind],
                *map(_together, (read, before, after)),
                float(correction.off[index]),
                "does not fit: left out" if index in correction.left_out else "",
            ]
        )
    columns = (
        Column("reading", "Reading"),
        Column("kind", "What"),
        Column("read", "Read"),
        Column("entered", "As entered"),
        Column("found", "As found"),
        Column("off", "Off, in ±", "", 2),
        Column("note", "Note"),
    )
    return Table("figures", "Each figure, and what the two sets make of it", columns, rows)


def _onward(bench: Bench) -> Onward:
    """The set found as a design of the whole-set form."""
    wire = bench.entered.aerial.wire is not None
    names = ["coil", "coil_inductance", "coil_quality", "coil_turns", "coil_former", "coil_pitch", "strays"]
    names += ["aerial", "aerial_capacitance", "aerial_inductance", "earth_resistance", "effective_height"]
    names += [field for each in bench.unknowns if (field := bench.set_.field(each.name)) is not None]
    fields = {field.name: field for field in RECEIVER_FIELDS}
    values = bench.found.values
    changes = {
        name: values[name] if isinstance(values[name], str) else units.format(values[name], fields[name].unit, _DIGITS)
        for name in dict.fromkeys(names)
        if wire or not name.startswith("aerial_inductance")
    }
    return Onward("design", "Open the set found as a design", "receiver", changes)
