"""What a form asks: its fields, and how the reader's text becomes arguments. No HTML, no physics."""

import bisect
import csv
import io
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from calc import units
from calc.units import InputError

MOST_TEXT = 20_000
"""Characters that one field may hold; a table of 200 stations needs about half."""


@dataclass(frozen=True)
class Choice:
    """One entry of a closed list: the word in addresses and files, and what the reader sees."""

    value: str
    label: str


@dataclass(frozen=True)
class ShownWhen:
    """A field is asked only while another field holds one of these values."""

    field: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Field:
    """One question of a form.

    A field with `columns` is a table whose text is one line a row; with `choices` a closed list; otherwise a quantity
    in `unit`, or whatever `read` makes of the text.

    Attributes:
        name: the name in addresses, files and the solve function's arguments. Kept once published.
        label: what the reader sees.
        unit: canonical unit of a quantity, as `calc.units` knows it.
        default: the text that stands there at first.
        least, most: bounds of a quantity in its canonical unit, both allowed.
        help: one sentence below the field.
        bare: the unit of a number typed without one ("mm"), shown beside the label.
        whole: the quantity must be a whole number.
        optional: empty text is allowed and means None.
        read: makes the argument from the text, raising InputError; for things that are not plain quantities.
        columns: fields of a table's columns.
        most_rows: rows that a table may have.
        shown_when: asked only then; otherwise the argument is None.
        group: legend of the field set that it stands in.
        place: "form"; "question" for a choice that decides what is answered, shown as buttons above form and answer;
            "answer" for a knob that stands beside the answer that it turns; or "sheet" for what only sheets to print
            depend on, asked with them.
        stops: texts through which a slider beside the field goes, from the least to the greatest, two at least; none
            for a field without one.
    """

    name: str
    label: str
    unit: str = ""
    default: str = ""
    least: float | None = None
    most: float | None = None
    help: str = ""
    bare: str | None = None
    whole: bool = False
    optional: bool = False
    read: Callable[[str], Any] | None = None
    choices: tuple[Choice, ...] = ()
    columns: tuple["Field", ...] = ()
    most_rows: int = 40
    shown_when: ShownWhen | None = None
    group: str = ""
    place: str = "form"
    stops: tuple[str, ...] = ()

    def is_asked(self, texts: Mapping[str, str]) -> bool:
        """Whether the field counts beside these texts of a form, by field name."""
        when = self.shown_when
        return when is None or texts[when.field].strip() in when.values

    @property
    def kind(self) -> str:
        """How the field is asked: "table", "choice" or "text"."""
        return "table" if self.columns else "choice" if self.choices else "text"

    def nearest_stop(self, value: float) -> int:
        """Index of the slider's stop that lies nearest a value, by ratio if all stops are above zero."""
        stops = self._stop_values
        after = min(max(bisect.bisect_left(stops, value), 1), len(stops) - 1)
        below, above = stops[after - 1], stops[after]
        is_above = value * value > below * above if below > 0.0 else value + value > below + above
        return after if is_above else after - 1

    @cached_property
    def _stop_values(self) -> list[float]:
        return [float(self._parse(text)) for text in self.stops]

    def parse(self, text: str) -> Any:
        """The argument for the solve function; InputError naming this field says what would be accepted."""
        if len(text) > MOST_TEXT:
            raise InputError(self.name, f"{self.label} is too long to read.")
        text = text.strip() if self.kind != "table" else text
        if not text.strip() and self.optional:
            return None
        try:
            return self._parse(text)
        except InputError as error:
            if isinstance(error, CellError):
                raise
            raise InputError(self.name, f"{self.label} {error.reason}.") from None

    def _parse(self, text: str) -> Any:
        if self.columns:
            return self._parse_table(text)
        if self.choices:
            if text not in {choice.value for choice in self.choices}:
                raise InputError(self.name, f"must be one of: {', '.join(choice.value for choice in self.choices)}")
            return text
        if self.read is not None:
            return self.read(text)
        value = units.parse(text, self.unit, self.bare)
        least, most = self.least, self.most
        if (least is not None and value < least) or (most is not None and value > most):
            raise InputError(self.name, f"must lie {self.bounds}")
        if self.whole and value != round(value):
            raise InputError(self.name, "must be a whole number")
        return int(value) if self.whole else value

    @property
    def bounds(self) -> str:
        """The bounds in words: "from 1 to 2000"; empty when there are none."""
        least = "" if self.least is None else units.format(self.least, self.unit)
        most = "" if self.most is None else units.format(self.most, self.unit)
        if least and most:
            return f"from {least} to {most}"
        return f"at {least} or more" if least else f"at {most} or less" if most else ""

    def _parse_table(self, text: str) -> list[dict[str, Any]]:
        rows = cells(self, text)
        if not rows:
            raise InputError(self.name, "needs at least one row")
        parsed = []
        for index, row in enumerate(rows):
            values = {}
            for column, cell in zip(self.columns, row, strict=True):
                try:
                    values[column.name] = column.parse(cell)
                except InputError as error:
                    raise CellError(self.name, f"Row {index + 1}: {error.reason}", index, column.name) from None
            parsed.append(values)
        return parsed


class CellError(InputError):
    """A bad cell of a table: also says which row, counted from 0, and which column."""

    def __init__(self, argument: str, reason: str, row: int, column: str) -> None:
        super().__init__(argument, reason)
        self.row = row
        self.column = column


def cells(field: Field, text: str) -> list[list[str]]:
    """The cells of a table's text, as typed: rows of one string a column.

    Each line is a row. A tab or semicolon parts the cells if the text has one, else a comma; in a table of one
    column a comma marks decimals. A first line that repeats the columns' labels or names is taken for a heading;
    empty lines are passed over. Short rows are filled with empty cells.

    Raises:
        InputError: the text is too long, there are more rows than the table may have, or a row has more cells than the
            table has columns.
    """
    if len(text) > MOST_TEXT:
        raise InputError(field.name, f"{field.label} is too long to read.")
    # in a table of one column a comma parts nothing: it marks decimals
    parted_by = next((sign for sign in "\t;" if sign in text), "," if len(field.columns) > 1 else ";")
    try:
        lines = [row for row in csv.reader(io.StringIO(text), delimiter=parted_by, skipinitialspace=True) if row]
    except csv.Error:
        raise InputError(field.name, "cannot be read as rows of cells") from None
    rows = [[cell.strip() for cell in line] for line in lines]
    rows = [row for row in rows if any(row)]
    heads = {column.name.lower() for column in field.columns} | {column.label.lower() for column in field.columns}
    if rows and rows[0][0].lower() in heads and all(cell.lower() in heads or not cell for cell in rows[0]):
        rows = rows[1:]
    if len(rows) > field.most_rows:
        raise InputError(field.name, f"may have {field.most_rows} rows at most, and this has {len(rows)}")
    width = len(field.columns)
    for index, row in enumerate(rows):
        if len(row) > width and any(row[width:]):
            raise InputError(field.name, f"has {len(row)} cells in row {index + 1}, where {width} are wanted")
    return [(row + [""] * width)[:width] for row in rows]


def arguments(fields: Iterable[Field], texts: Mapping[str, str]) -> tuple[dict[str, Any], list[InputError]]:
    """Arguments for the solve function, and every error found, from texts by field name.

    A field without a text takes its default. A field not shown is not read, and its argument is None.
    """
    fields = list(fields)
    given = {field.name: texts.get(field.name, field.default) for field in fields}
    values: dict[str, Any] = {}
    errors: list[InputError] = []
    for field in fields:
        if not field.is_asked(given):
            values[field.name] = None
            continue
        try:
            values[field.name] = field.parse(given[field.name])
        except InputError as error:
            errors.append(error)
    return values, errors
