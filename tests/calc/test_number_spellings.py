"""Numbers as people write them elsewhere: each form's defaults with commas, or in other units, give the same answer."""

import re
from typing import Any

import pytest

from calc import units
from calc.bridge import run
from calc.forms import FORMS
from calc.forms.fields import Field, cells

NUMBER = re.compile(r"([−-]?\d+)(?:\.(\d+))?")
OTHER = {
    "m": ("in", 0.0254), "F": ("nF", 1e-9), "H": ("mH", 1e-3), "Hz": ("MHz", 1e6), "ohm": ("kΩ", 1e3),
    "W": ("mW", 1e-3), "V/m": ("uV/m", 1e-6), "S/m": ("S/m", 1.0), "V": ("uV", 1e-6), "A": ("mA", 1e-3),
    "g": ("kg", 1e3), "": ("%", 0.01), "ohm m": ("kΩm", 1e3),
}  # fmt: skip
"""Another unit for each quantity, and its size in the canonical one. Degrees, decibels and per cent have one each."""
FEET = ("ft", 0.3048)
"""International foot and inch, 1959: 0.3048 m and 25.4 mm."""


def with_comma(text: str) -> str:
    """The same number with a comma and a decimal more or two: three decimals could also be thousands."""

    number = NUMBER.match(text)
    if number is None:
        return text
    decimals = number[2] or "0"
    return f"{number[1]},{decimals}{'0' if len(decimals) == 3 else ''}{text[number.end() :]}"


def in_other_units(field: Field, text: str) -> str:
    """The same value in another unit, to all its digits; as it is where there is none."""
    if field.unit not in OTHER or field.whole:
        return text
    value = units.parse(text, field.unit, field.bare)
    name, size = FEET if field.unit == "m" and value > 1.0 else OTHER[field.unit]
    return f"{value / size!r} {name}"


def respelt(field: Field, text: str, unit: bool) -> str:
    """A field's text with every number in it written otherwise."""
    if field.columns:
        rows = (
            [respelt(column, cell, unit) for column, cell in zip(field.columns, row, strict=True)]
            for row in cells(field, text)
        )
        return "\n".join("; ".join(row) for row in rows)
    if field.choices or field.read or not text.strip():
        return with_comma(text) if re.fullmatch(r"[\d.]+ mm", text) and not unit else text  # a wire by its size
    return in_other_units(field, text) if unit else with_comma(text)


def numbers(value: Any) -> Any:
    """What a field makes of its text, for comparison to the last digits but one."""
    if isinstance(value, list):
        return [{name: numbers(cell) for name, cell in row.items()} for row in value]
    return pytest.approx(value, rel=1e-14, abs=1e-30) if isinstance(value, float) else value


def asked(form_id: str) -> list[Field]:
    """The fields of a form at whose start a text stands."""
    return [field for field in FORMS[form_id].fields if field.default.strip() and not field.choices]


@pytest.mark.parametrize("form_id", FORMS)
def test_every_number_of_a_form_may_have_a_comma(form_id: str) -> None:
    spelt = {field.name: respelt(field, field.default, unit=False) for field in asked(form_id)}
    for field in asked(form_id):
        if not field.read:
            assert "," in spelt[field.name], f"{field.name}: {spelt[field.name]} has no comma"
        assert field.parse(spelt[field.name]) == field.parse(field.default), field.name
    plain, answer = run(form_id, {}), run(form_id, spelt)
    for part in ("ok", "sentence", "rows", "tables", "charts"):
        assert answer[part] == plain[part]


@pytest.mark.parametrize("form_id", FORMS)
def test_every_number_of_a_form_may_have_another_unit(form_id: str) -> None:
    spelt = {field.name: respelt(field, field.default, unit=True) for field in asked(form_id)}
    for field in asked(form_id):
        assert field.parse(spelt[field.name]) == numbers(field.parse(field.default)), field.name
    plain, answer = run(form_id, {}), run(form_id, spelt)
    assert answer["sentence"] == plain["sentence"]
    # values, not texts: the last digit of a double may tip the rounding of a text
    for row, other in zip(plain["rows"], answer["rows"], strict=True):
        if row["value"] is None:
            assert other["text"] == row["text"]
        else:
            assert other["value"] == pytest.approx(row["value"], rel=1e-9, abs=1e-30), row["label"]


def test_a_comma_in_a_table_of_one_column_marks_decimals() -> None:
    volts = FORMS["measure-earphone"].field("threshold_volts")
    assert cells(volts, "25,5 µV\n18 µV") == [["25,5 µV"], ["18 µV"]]
    assert volts.parse("25,5 µV\n18 µV") == volts.parse("25.5 µV\n18 µV")
