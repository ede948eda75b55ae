"""The published schemas of files: of a design, and of the logbook."""

from typing import Any

from calc.forms import FORMS
from calc.forms.form import Form

ADDRESS = "assets/design.schema.json"
LOGBOOK_ADDRESS = "assets/logbook.schema.json"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, dict[str, Any]]:
    """Each schema by its address in the site."""
    return {ADDRESS: design_schema(), LOGBOOK_ADDRESS: logbook_schema()}


def design_schema() -> dict[str, Any]:
    """JSON Schema of a saved design: its version, its form, and texts for fields that this form has."""
    return {
        "$schema": DIALECT,
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


def logbook_schema() -> dict[str, Any]:
    """JSON Schema of an exported logbook. The schema of a design has the fields of each form."""
    fields = {
        "type": "object",
        "propertyNames": {"pattern": "^[a-z][a-z0-9_]*$"},
        "additionalProperties": {"type": "string"},
    }
    kinds = [
        _entry("design", {"form": {"enum": list(FORMS)}, "fields": fields, "answer": _text(2000)}),
        _entry("reading", {"text": _text(100_000)}),
    ]
    return {
        "$schema": DIALECT,
        "title": "A logbook of Borrowed Power, version 1",
        "type": "object",
        "required": ["borrowed-power-logbook", "entries"],
        "properties": {
            "borrowed-power-logbook": {"const": 1},
            "entries": {"type": "array", "maxItems": 5000, "items": {"oneOf": kinds}},
        },
    }


def _entry(kind: str, parts: dict[str, Any]) -> dict[str, Any]:
    properties = {
        "id": _text(80) | {"minLength": 1},
        "kind": {"const": kind},
        "title": _text(200),
        "date": {"type": "string", "format": "date", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        "notes": _text(20_000),
    } | parts
    return {
        "type": "object",
        "required": list(properties),
        "properties": properties,
        "additionalProperties": False,
    }


def _text(longest: int) -> dict[str, Any]:
    return {"type": "string", "maxLength": longest}


def _of_form(form: Form) -> dict[str, Any]:
    fields = {
        field.name: {"type": "string", "title": field.label, "default": field.default, "description": field.help}
        for field in form.fields
    }
    return {
        "if": {"properties": {"form": {"const": form.id}}, "required": ["form"]},
        "then": {"properties": {"fields": {"properties": fields, "additionalProperties": False}}},
    }
