"""The one door that the browser knocks on: raw text in, plain data out."""

import json
import math
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from calc import listening, progress
from calc.forms import FORMS
from calc.forms.correct_model import kept
from calc.forms.fields import CellError, arguments, cells
from calc.forms.form import Form
from calc.forms.results import Result
from calc.forms.sounds import Sound
from calc.units import InputError


def run(form_id: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """The answer of a form to what was typed, worked out by itself: no digit of it hangs on what was asked before.

    Args:
        form_id: which form.
        texts: what stands in its fields, by name; a field left out takes its default.

    Returns:
        ``{"ok": True, "sentence": ..., "order": [...], "stops": {field: index}}`` with a list for each part of a
        result, and the stops for fields with a slider; or ``{"ok": False, "errors": {field: message}, "cells":
        [{"field", "row", "column"}]}``. An error that belongs to no field has the name "". Every number is finite.

    Raises:
        KeyError: there is no such form.
    """
    forget()
    answer = _answer(form_id, texts)
    _require_finite_numbers(answer)
    return answer


def _answer(form_id: str, texts: Any) -> dict[str, Any]:
    """The answer, its numbers not looked at yet."""
    form = FORMS[form_id]
    values = _values(form, texts)
    if isinstance(values, Refused):
        return values.answer
    try:
        result = form.answer(**values)
        answer = result.as_json()
    except InputError as error:
        return _refusal(form, [error])
    _LAST.clear()
    _LAST[form_id] = (dict(texts), result)
    answer["onward"] = [_filled(onward, form, texts) for onward in answer["onward"]]
    return answer | {"stops": _stops(form, values)}


def _filled(onward: dict[str, Any], form: Form, texts: Mapping[str, str]) -> dict[str, Any]:
    """A way on with all that the two forms have in common, and only what differs from what stands there at first."""
    first = FORMS[onward["form"]].defaults()
    shared = {name: text for name, text in (form.defaults() | dict(texts)).items() if name in first}
    wanted = shared | onward["texts"]
    return onward | {"texts": {name: text for name, text in wanted.items() if text != first[name]}}


class Refused(NamedTuple):
    """An answer that says what is wrong with what was typed."""

    answer: dict[str, Any]


def _values(form: Form, texts: Any) -> dict[str, Any] | Refused:
    """The values of a form's fields by name, or what is wrong with them."""
    if not isinstance(texts, Mapping):
        message = "What was asked must be texts by the names of fields."
        return Refused({"ok": False, "errors": {"": message}, "cells": []})
    names = {field.name for field in form.fields}
    strangers = {name: f"This form has no field called “{name[:40]}”." for name in texts if name not in names}
    not_text = {name: "This must be text." for name, text in texts.items() if not isinstance(text, str)}
    if strangers or not_text:
        return Refused({"ok": False, "errors": strangers | not_text, "cells": []})
    values, errors = arguments(form.fields, texts)
    return Refused(_refusal(form, errors)) if errors else values


_LAST: dict[str, tuple[dict[str, str], Result]] = {}
"""The last answer by its form, and what was asked: its sounds are asked for after it, if at all, and need not be worked
out anew."""


def forget() -> None:
    """Puts aside all that answers have left of which a later one could know, be it by the last digits of a fit."""
    _LAST.clear()
    kept.forget()


def _is_last(form_id: str, texts: Any) -> bool:
    return form_id in _LAST and _LAST[form_id][0] == texts


def sound_json(form_id: str, texts: str, key: str) -> str:
    """How to play a sound of a form's answer, in JSON: ``{"ok": true, "recipe": {...}}`` or errors as for `run`.

    Raises:
        KeyError: there is no such form, or no such sound in its answer.
    """
    typed = _read(texts)
    answer = {"ok": True} if _is_last(form_id, typed) else run(form_id, typed)
    if not answer["ok"]:
        return json.dumps(answer, ensure_ascii=False)
    sounds = {sound.key: sound for sound in _LAST[form_id][1].sounds if isinstance(sound, Sound)}
    return json.dumps({"ok": True, "recipe": sounds[key].recipe()}, ensure_ascii=False, allow_nan=False)


def sheet_json(form_id: str, texts: str, key: str) -> str:
    """A sheet to print, in JSON: ``{"ok": true, "sheet": {...}}`` or errors as for `run`.

    Raises:
        KeyError: there is no such form, or it has no such sheet.
    """
    form = FORMS[form_id]
    wanted = form.sheet(key)
    found = _values(form, _read(texts))
    if isinstance(found, Refused):
        return json.dumps(found.answer, ensure_ascii=False)
    try:
        sheet = wanted.make(**found).as_json()
    except InputError as error:
        return json.dumps(_refusal(form, [error]), ensure_ascii=False)
    return json.dumps({"ok": True, "sheet": sheet}, ensure_ascii=False, allow_nan=False)


def samples(key: str) -> bytes:
    """The samples of a loop that recipes name: 32-bit floats, little-endian, at `calc.listening.SAMPLE_RATE`.

    Raises:
        InputError: there is no such loop.
    """
    return listening.samples(key).astype("<f4").tobytes()


def run_json(form_id: str, texts: str, tell: Callable[[float], object] | None = None) -> str:
    """`run` with JSON text both ways, so that nothing but strings crosses between Python and JavaScript.

    What answers before it left is used, so that it comes sooner; the last digits of a fit may hang on that.

    An answer that takes long tells `tell`, if there is one, how much of it is done, from 0 to 1.
    """
    with progress.heard(tell):
        return json.dumps(_answer(form_id, _read(texts)), ensure_ascii=False, allow_nan=False)


def _read(texts: str) -> Any:
    """What JSON text says, texts by field name if all is well; None where it is not JSON."""
    try:
        return json.loads(texts)
    except (ValueError, RecursionError):
        return None


def cells_json(form_id: str, field_name: str, text: str) -> str:
    """A table field's text as rows of cells, in JSON: ``{"ok": true, "rows": [["...", ...], ...]}`` or errors as for
    `run`."""
    form = FORMS[form_id]
    try:
        return json.dumps({"ok": True, "rows": cells(form.field(field_name), text)}, ensure_ascii=False)
    except InputError as error:
        return json.dumps(_refusal(form, [error]), ensure_ascii=False)


def _stops(form: Form, values: Mapping[str, Any]) -> dict[str, int]:
    """Where the sliders stand: the nearest stop of each field that has them and a value."""
    return {
        field.name: field.nearest_stop(values[field.name])
        for field in form.fields
        if field.stops and values[field.name] is not None
    }


def _refusal(form: Form, errors: list[InputError]) -> dict[str, Any]:
    """The errors, each beside the field that it belongs to."""
    names = {field.name: field.label for field in form.fields}
    found: dict[str, str] = {}
    at: list[dict[str, Any]] = []
    for error in errors:
        name = form.blame.get(error.argument, error.argument)
        message = error.reason
        if name in names and not message[:1].isupper():
            message = f"{names[name]} {message}."
        if name not in names:
            name, message = (
                "",
                f"These values do not go together: {error.argument.replace('_', ' ')} {error.reason}.",
            )
        found.setdefault(name, message)
        if isinstance(error, CellError):
            at.append({"field": name, "row": error.row, "column": error.column})
    return {"ok": False, "errors": found, "cells": at}


def _require_finite_numbers(answer: Any) -> None:
    """A fault of ours, never the reader's, if any number of an answer is not finite: stop before it reaches a page."""
    if isinstance(answer, dict):
        for part in answer.values():
            _require_finite_numbers(part)
    elif isinstance(answer, list):
        for part in answer:
            _require_finite_numbers(part)
    elif isinstance(answer, float) and not math.isfinite(answer):
        raise ArithmeticError("a result is not finite")
