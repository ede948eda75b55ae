"""The place of the logbook's entries in its page. They are in the reader's browser, so a script fills it."""

from collections.abc import Iterable
from typing import Any

from calc.forms.fields import Field
from calc.forms.form import Form
from site_overrides.pages.form_html import unit_text
from site_overrides.pages.markup import data_block, element

UNSCRIPTED = (
    "The logbook needs scripts. With them, this page lists the designs and readings that you keep in this browser, "
    "and lets you search, change, export and import them."
)


def entries(forms: Iterable[Form]) -> str:
    """The section that a script fills, and what it needs to know of the forms to name what was asked."""
    known = {form.id: {"title": form.title, "fields": {f.name: _field(f) for f in form.fields}} for form in forms}
    return element(
        "section",
        {"class": "bp-logbook", "aria-label": "Logbook", "data-search-exclude": True},
        element("p", {"class": "bp-notice bp-unscripted"}, UNSCRIPTED),
        data_block(known, **{"class": "bp-logbook-forms"}),
    )


def _field(field: Field) -> dict[str, Any]:
    unit = "" if field.columns or field.choices else unit_text(field)
    return {
        "label": f"{field.label} [{unit}]" if unit else field.label,
        "usual": field.default,
        "choices": {choice.value: choice.label for choice in field.choices},
    }
