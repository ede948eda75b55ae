"""A form: data plus one function."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from calc.forms.fields import Field
from calc.forms.results import Result
from calc.forms.sheets import Sheet


@dataclass(frozen=True)
class SheetToPrint:
    """A sheet that can be printed of a form's answer.

    Attributes:
        key: its name in addresses and questions. Kept once published.
        title: what the reader sees.
        make: takes the fields' values by name and gives the sheet; raises InputError where there can be none.
    """

    key: str
    title: str
    make: Callable[..., Sheet]


@dataclass(frozen=True)
class Form:
    """A form of the site.

    Attributes:
        id: its name in addresses. Kept once published.
        title: what the reader sees.
        chapter: the chapter page that explains it (file name without ending).
        summary: one sentence for lists and page descriptions.
        fields: what it asks, in order.
        solve: takes the fields' values by name and gives the answer; raises InputError for a combination that cannot
            be.
        blame: argument names of physics, each with the field beside which its error belongs.
        sheets: what can be printed of it. None is made before it is asked for.
    """

    id: str
    title: str
    chapter: str
    summary: str
    fields: tuple[Field, ...]
    solve: Callable[..., Result]
    blame: Mapping[str, str] = field(default_factory=dict)
    sheets: tuple[SheetToPrint, ...] = ()

    def field(self, name: str) -> Field:
        """The field of that name; KeyError if there is none."""
        return {field.name: field for field in self.fields}[name]

    def defaults(self) -> dict[str, str]:
        """The text that stands in each field at first."""
        return {field.name: field.default for field in self.fields}

    def sheet(self, key: str) -> SheetToPrint:
        """The sheet of that key; KeyError if there is none."""
        return {sheet.key: sheet for sheet in self.sheets}[key]

    def answer(self, **values: Any) -> Result:
        """The answer for parsed values."""
        return self.solve(**values)
