"""Edits to measure with: one field of a form changed at a time, the same ones natively and in the page."""

from calc import units
from calc.bridge import run
from calc.forms import FORMS
from calc.forms.form import Form
from tests.strategies import Texts, is_asked

STEP = 0.003
"""By how much of its value an edit moves a quantity: little enough to stay within every bound."""

TWELVE_STATIONS = "\n".join(
    f"Station {letter}; {frequency} kHz; {power} kW; {distance} km;"
    for letter, frequency, power, distance in zip(
        "ABCDEFGHIJKL",
        (540, 603, 648, 711, 774, 855, 909, 981, 1053, 1134, 1260, 1404),
        (1, 5, 1, 2, 10, 1, 5, 0.5, 20, 1, 2, 1),
        (14, 32, 33, 21, 60, 12, 45, 8, 90, 18, 27, 16),
        strict=True,
    )
)
"""A district of twelve stations for the whole-set form; invented."""


def start_texts() -> dict[str, tuple[str, Texts]]:
    """What is measured, by name: form and the texts from which edits start."""
    found = {form.id: (form.id, form.defaults()) for form in FORMS.values()}
    receiver = FORMS["receiver"].defaults()
    return found | {"receiver, 12 stations": ("receiver", receiver | {"stations": TWELVE_STATIONS})}


def edits(form: Form, start: Texts, count: int) -> list[Texts]:
    """`count` sets of texts, each the one before with one asked quantity a little larger; fields take turns."""
    texts, found = dict(start), []
    fields = [
        field
        for field in form.fields
        if field.kind == "text"
        and field.read is None
        and not field.whole
        and texts[field.name]
        and is_asked(form, field, texts)
    ]
    for turn in range(count):
        field = fields[turn % len(fields)]
        value = units.parse(texts[field.name], field.unit, field.bare) * (1.0 + STEP)
        texts = texts | {field.name: units.format(value, field.unit, 9)}
        if not run(form.id, texts)["ok"]:
            raise ValueError(f"an edit of {field.name} in the form {form.id} is refused")
        found.append(texts)
    return found
