"""A form's HTML, made from its declaration, with its default answer already in it. Complete without any script."""

import json
from collections.abc import Iterable
from itertools import groupby
from typing import Any

from calc.forms.fields import Field, cells
from calc.forms.form import Form
from site_overrides.pages.markup import data_block, element, escape

SHOWN_UNITS = {"ohm": "Ω", "ohm m": "Ω m", "degC": "°C", "deg": "°"}
LEAST_LINES, MOST_LINES = 3, 14
ROOT = "bp-root:/"
"""What Node puts for the way to the site's root."""
KNOBS = "At hand"
"""Legend of the knobs beside an answer, unless the form's declaration gives them one."""
SHEETS = "Sheets to print"
"""Name of the part in which they are asked for."""
LONG_CHOICE = 20
"""Letters of a choice beyond which its list stands below its label rather than beside it."""


def page(form: Form) -> str:
    """The Markdown of a form's page of its own."""
    return (
        f"---\ntitle: {json.dumps(form.title)}\ndescription: {json.dumps(form.summary)}\nform: {form.id}\n---\n\n"
        f"# {form.title}\n\n{form.summary} [The chapter](../chapters/{form.chapter}.md) explains it.\n"
        f"{{ .bp-lead }}\n\n[[form {form.id}]]\n"
    )


def index(forms: Iterable[Form]) -> str:
    """The Markdown of the list of forms."""
    entries = "\n".join(f"[{form.title}]({form.id}.md)\n:   {form.summary}\n" for form in forms)
    return (
        '---\ntitle: "All forms"\ndescription: "Every form of this reference, each on a page of its own."\n---\n\n'
        "# All forms\n\nEach form stands here on a page of its own. "
        "Its address keeps what you type, so that it can be sent on.\n\n"
        f"{entries}"
    )


def embedded(form: Form, presets: dict[str, str], answer: dict[str, Any], result: str, root: str, name: str) -> str:
    """The form and its answer, side by side where there is room.

    Args:
        form: what is asked.
        presets: texts that stand there in place of the form's own defaults.
        answer: to these texts, as data.
        result: the same as HTML.
        root: the way from the page to the site's root.
        name: the form's own on its page, before the names of its parts.
    """
    own = f"{root.rstrip('/')}/forms/{form.id}/"
    texts = form.defaults() | presets
    called = form.title if name == form.id else f"{form.title} {name.removeprefix(f'{form.id}-')}"
    stops = answer["stops"]

    def groups(place: str, otherwise: str) -> list[str]:
        placed = (field for field in form.fields if field.place == place)
        return [
            element(
                "fieldset",
                {"class": "bp-group", "hidden": not any(field.is_asked(texts) for field in fields)},
                element("legend", {}, escape(legend or otherwise)),
                *(field_html(field, texts, name, stops.get(field.name, 0)) for field in fields),
            )
            for legend, fields in ((legend, list(fields)) for legend, fields in groupby(placed, key=_group))
        ]

    questions = [question(field, texts, name) for field in form.fields if field.place == "question"]
    knobs = groups("answer", KNOBS)
    asked = element(
        "form",
        {
            "class": "bp-form", "id": f"{name}-fields", "action": own, "method": "get", "autocomplete": "off",
            "novalidate": True, "aria-label": f"{called}: what you have",
        },
        element(
            "p",
            {"class": "bp-notice bp-unscripted"},
            "Without scripts the form does not calculate; the answer is for the values that stand here.",
        ),
        *groups("form", form.title),
    )  # fmt: skip
    answered = element(
        "div",
        {"class": "bp-answer", "role": "region", "aria-label": f"{called}: the answer"},
        element("div", {"class": "bp-knobs"}, *knobs) if knobs else "",
        element("div", {"class": "bp-state"}),
        element("div", {"class": "bp-notice", "role": "alert", "hidden": True}),
        element("p", {"class": "bp-stale", "hidden": True}, "The answer below is for the last complete values."),
        element("p", {"class": "bp-sentence"}, escape(answer["sentence"])),
        element("output", {"class": "bp-spoken", "aria-live": "polite"}),
        element("div", {"class": "bp-result"}, result.replace(ROOT, f"{root.rstrip('/')}/")),
        _sheets(form, groups("sheet", SHEETS)) if form.sheets else "",
    )
    grids = {field.name: cells(field, texts[field.name]) for field in form.fields if field.kind == "table"}
    data = {
        "form": form.id,
        "title": form.title,
        "declared": form.defaults(),
        "defaults": texts,
        "cells": grids,
        "answer": answer,
    }
    source = element(
        "p",
        {"class": "bp-source"},
        "From ",
        element("a", {"href": own, "target": "_top"}, f"Borrowed Power: {escape(form.title)}"),
        ", a reference for receivers without a battery.",
    )
    return element(
        "section",
        {
            "class": "bp", "id": f"form-{name}", "data-form": form.id, "data-name": name, "data-search-exclude": True,
            "aria-label": f"{called}: form and answer",
        },
        *questions,
        element("div", {"class": "bp-sheet"}, asked, answered),
        source,
        data_block(data, **{"class": "bp-data"}),
    )  # fmt: skip


def _group(field: Field) -> str:
    return field.group


def _sheets(form: Form, groups: list[str]) -> str:
    """What can be printed of an answer, and what it asks beyond. It takes calculations: a script brings it out."""
    buttons = (
        element("button", {"type": "button", "class": "bp-button", "data-sheet": sheet.key}, escape(sheet.title))
        for sheet in form.sheets
    )
    return element(
        "details",
        {"class": "bp-prints", "hidden": True},
        element("summary", {}, SHEETS),
        *groups,
        element("div", {"class": "bp-buttons"}, *buttons),
        element("p", {"class": "bp-prints-said", "role": "status"}),
    )


def lone_chart(chart: dict[str, Any], html: str) -> str:
    """A chart by itself, with the data that its read-out needs."""
    return element("div", {"class": "bp-lone"}, html, data_block(chart, **{"class": "bp-chart-data"}))


def field_html(field: Field, texts: dict[str, str], form_name: str, stop: int = 0) -> str:
    """One thing asked: label, unit, control, slider if it has stops, help, and a place for its error."""
    own, text = f"{form_name}-{field.name}", texts[field.name]
    described = f"{own}-help" if _help(field) else None
    return element(
        "div",
        {"class": f"bp-field bp-field--{_layout(field)}", "data-field": field.name, **_shown_when(field, texts)},
        element("label", {"for": own, "id": f"{own}-label"}, escape(field.label), _unit(field)),
        control(field, text, own, described, form_name),
        _slider(field, text, own, stop) if field.stops else "",
        *_notes(field, own),
    )


def question(field: Field, texts: dict[str, str], form_name: str) -> str:
    """What decides what is answered: a bar of buttons of which one is pressed, above form and answer."""
    own, text = f"{form_name}-{field.name}", texts[field.name]
    buttons = (
        element(
            "label",
            {"for": f"{own}-{choice.value}"},
            element(
                "input",
                {
                    "type": "radio", "id": f"{own}-{choice.value}", "name": field.name, "value": choice.value,
                    "checked": choice.value == text, "form": f"{form_name}-fields",
                },
            ),
            element("span", {}, escape(choice.label)),
        )
        for choice in field.choices
    )  # fmt: skip
    return element(
        "fieldset",
        {
            "class": "bp-question bp-field", "id": own, "role": "radiogroup", "data-field": field.name,
            "aria-labelledby": f"{own}-label", "aria-describedby": f"{own}-help" if _help(field) else None,
            **_shown_when(field, texts),
        },
        element("legend", {"id": f"{own}-label"}, escape(field.label)),
        element("div", {"class": "bp-choices"}, *buttons),
        *_notes(field, own),
    )  # fmt: skip


def _shown_when(field: Field, texts: dict[str, str]) -> dict[str, str | bool | None]:
    when = field.shown_when
    if when is None:
        return {}
    return {
        "data-when-field": when.field,
        "data-when-values": json.dumps(when.values),
        "hidden": not field.is_asked(texts),
    }


def _notes(field: Field, own: str) -> tuple[str, str]:
    """The help below a field, and the place for its error."""
    text = _help(field)
    return (
        element("p", {"class": "bp-help", "id": f"{own}-help"}, escape(text)) if text else "",
        element("p", {"class": "bp-error", "id": f"{own}-error", "hidden": True}),
    )


def _slider(field: Field, text: str, own: str, stop: int) -> str:
    """A slider over the field's stops. It has no name: what is sent is the field's text."""
    return element(
        "input",
        {
            "type": "range", "class": "bp-slider", "id": f"{own}-slider", "min": "0", "max": str(len(field.stops) - 1),
            "step": "1", "value": str(stop), "autocomplete": "off", "data-turns": field.name,
            "data-stops": json.dumps(field.stops, ensure_ascii=False), "aria-label": f"{field.label}, slider",
            "aria-valuetext": text,
        },
    )  # fmt: skip


def _layout(field: Field) -> str:
    if field.stops:
        return "slide"
    return "long" if any(len(choice.label) > LONG_CHOICE for choice in field.choices) else field.kind


def control(field: Field, text: str, own: str, described: str | None, form_name: str) -> str:
    """The control that takes the text: a list, lines of text for a table, or a line of text."""
    common: dict[str, str | bool | None] = {
        "id": own, "name": field.name, "class": "bp-control", "aria-describedby": described,
        "form": f"{form_name}-fields" if field.place in ("answer", "sheet") else None,
    }  # fmt: skip
    if field.kind == "choice":
        options = (
            element("option", {"value": choice.value, "selected": choice.value == text}, escape(choice.label))
            for choice in field.choices
        )
        return element("select", common, *options)
    common["spellcheck"] = "false"
    if field.kind == "table":
        lines = min(max(text.count("\n") + 2, LEAST_LINES), MOST_LINES)
        columns = json.dumps([_column(column) for column in field.columns], ensure_ascii=False)
        table = {"rows": str(lines), "wrap": "off", "data-columns": columns, "data-most-rows": str(field.most_rows)}
        return element("textarea", common | table, escape(text))
    return element("input", common | {"type": "text", "value": text, "inputmode": _keypad(field)})


def _column(column: Field) -> dict[str, Any]:
    choices = [{"value": choice.value, "label": choice.label} for choice in column.choices]
    return {
        "name": column.name,
        "label": column.label,
        "unit": unit_text(column),
        "keypad": _keypad(column),
        "choices": choices,
    }


def _help(field: Field) -> str:
    if field.kind != "table":
        return field.help
    heads = "; ".join(
        f"{column.label} [{unit}]" if (unit := unit_text(column)) else column.label for column in field.columns
    )
    return f"{field.help} One line a row: {heads}.".strip()


def _keypad(field: Field) -> str:
    """The phone's keypad: the short one has no letters, and on some phones no minus."""
    only_digits = field.read is None and not field.choices and field.least is not None and field.least >= 0
    return "decimal" if only_digits else "text"


def unit_text(field: Field) -> str:
    unit = field.bare if field.bare is not None else field.unit
    return SHOWN_UNITS.get(unit, unit)


def _unit(field: Field) -> str:
    text = "" if field.columns or field.choices or (field.read is not None and not field.unit) else unit_text(field)
    return f' <span class="bp-unit">{escape(text)}</span>' if text else ""
