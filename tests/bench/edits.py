"""Edits to measure with: one field of a form changed at a time, the same ones natively and in the page."""

from collections.abc import Container

from calc import units
from calc.forms import FORMS
from calc.forms.fields import Field
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


STATIONS_OF_A_MAP = 6
"""Stations on the map of settings; other questions have all twelve."""


def start_texts() -> dict[str, tuple[str, Texts]]:
    """What is measured, by name: form and the texts from which edits start."""
    found = {form.id: (form.id, form.defaults()) for form in FORMS.values()}
    receiver = FORMS["receiver"].defaults()
    return found | {"receiver, 12 stations": ("receiver", receiver | {"stations": TWELVE_STATIONS})}


def questions() -> dict[str, tuple[str, Texts]]:
    """Each question of each form that has several, by name; with many stations where stations are asked for."""
    found = {}
    for form in FORMS.values():
        for field in form.fields:
            for choice in field.choices if field.place == "question" else ():
                texts = form.defaults() | district(form, choice.value) | {field.name: choice.value}
                found[f"{form.id}, {choice.value}"] = (form.id, texts)
                if choice.value == "trade-off":
                    first = TWELVE_STATIONS.split(";")[0]
                    found[f"{form.id}, {choice.value}, one wanted"] = (form.id, texts | {"wanted": first})
    return found


def district(form: Form, question: str) -> Texts:
    """Stations enough for a hard case."""
    lines = TWELVE_STATIONS.splitlines()[: STATIONS_OF_A_MAP if question == "map" else None]
    return {"stations": "\n".join(lines)} if any(field.name == "stations" for field in form.fields) else {}


def growing() -> dict[str, tuple[str, Texts]]:
    """Forms with more and more to work out, by name: stations doubled, turns doubled."""
    receiver, coil = FORMS["receiver"].defaults(), FORMS["coil"].defaults()
    lines = TWELVE_STATIONS.splitlines()
    return {
        f"receiver, {question}, {count} stations": (
            "receiver",
            receiver | {"question": question, "stations": "\n".join(lines[:count])},
        )
        for question in ("stations", "trade-off", "tolerance")
        for count in (3, 6, 12)
    } | {
        f"coil, {turns} turns in layers": ("coil", coil | {"shape": "layers", "turns": str(turns)})
        for turns in (75, 150, 300)
    }


def sweeps(count: int) -> dict[str, tuple[str, list[Texts]]]:
    """For each slider, by name: its form, and texts as it goes through `count` stops about its middle in turn."""
    found = {}
    for form in FORMS.values():
        for field in form.fields:
            if not field.stops:
                continue
            when = field.shown_when
            texts = form.defaults() | turning(form) | ({when.field: when.values[0]} if when else {})
            first = max((len(field.stops) - count) // 2, 0)
            moves = [texts | {field.name: stop} for stop in field.stops[first : first + count]]
            found[f"{form.id}, {field.name}"] = (form.id, moves)
    return found


def turning(form: Form) -> Texts:
    """The question that is there for turning knobs: the first that a knob beside the answer is shown for."""
    questions = {field.name for field in form.fields if field.place == "question"}
    knobs = (field.shown_when for field in form.fields if field.place == "answer")
    return next(({when.field: when.values[0]} for when in knobs if when and when.field in questions), {})


def edits(form: Form, start: Texts, count: int, kept: Container[str] = ()) -> list[Texts]:
    """`count` sets of texts, each the one before with one asked quantity a little larger; fields take turns, except
    those that are kept as they are.

    They are not tried here: what has been answered once may be kept, and would then be answered too fast when measured.
    """
    texts, found = dict(start), []

    def quantity(field: Field) -> float:
        return units.parse(texts[field.name], field.unit, field.bare)

    fields = [
        field
        for field in form.fields
        if field.kind == "text"
        and field.read is None
        and not field.whole
        and field.name not in kept
        and texts[field.name]
        and is_asked(form, field, texts)
        and quantity(field) != 0.0
    ]
    for turn in range(count):
        field = fields[turn % len(fields)]
        value = quantity(field) * (1.0 + STEP)
        # decibels are shown with one decimal, which would leave most of them as they were
        text = f"{value:.9g} dB" if field.unit == "dB" else units.format(value, field.unit, 9)
        texts = texts | {field.name: text}
        found.append(texts)
    return found
