"""The published schema of design files."""

from typing import Any

from calc.forms import FORMS
from calc.forms.form import Form

ADDRESS = "assets/design.schema.json"


def design_schema() -> dict[str, Any]:
    """JSON Schema of a saved design: its version, its form, and texts for fields that this form has."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A design of Borrowed Power, version 1",
        "type": "object",
        "required": ["borrowed-power", "form", "fields"],
        "properties": {
            "borrowed-power": {"const": 1},
            "form": {"enum": list(FORMS)},
            "fields": {"type": "object", "additionalProperties": {"type": "string"}},
        },
        "allOf": [_of_form(form) for form in FORMS.values()],
    }


def _of_form(form: Form) -> dict[str, Any]:
    fields = {
        field.name: {"type": "string", "title": field.label, "default": field.default, "description": field.help}
        for field in form.fields
    }
    return {
        "if": {"properties": {"form": {"const": form.id}}, "required": ["form"]},
        "then": {"properties": {"fields": {"properties": fields, "additionalProperties": False}}},
    }
