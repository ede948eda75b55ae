"""Looks for figures in prose that a calculation gives, and that were typed in all the same.

    python -m tests.prose.typed_figures FILE...

For every form, chart or figure that a page asks for, and for every filled-in form that it leads to, the answer is
worked out. A quantity in the page's prose that lies within a hundredth of one of the answer's results, in the same
unit, and that is nothing which the form was given, was copied from it, or lies so near that a reader takes it for that.
It must come from a directive, so that it can never be out of date. Round figures of one digit say too little to be
copies.

A page whose figures agree with a result by chance says so in its front matter, with the reason:

    stated:
      - 24 dB: the planning standard's figure
"""

import re
import shlex
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import parse_qsl

import yaml

from calc import bridge
from calc.forms import FORMS
from site_overrides.pages.book import Book
from tests.prose.flatten import flattened

NEAR = 0.01
UNITS = {
    "pF": "F", "nF": "F", "µH": "H", "mH": "H", "Ω": "ohm", "kΩ": "ohm", "MΩ": "ohm",
    "Hz": "Hz", "kHz": "Hz", "MHz": "Hz", "mm": "m", "cm": "m", "m": "m", "km": "m",
    "V": "V", "mV": "V", "µV": "V", "nA": "A", "µA": "A", "mA": "A",
    "pW": "W", "nW": "W", "µW": "W", "mW": "W", "W": "W", "kW": "W",
    "dB": "dB", "%": "1", "mV/m": "V/m", "µV/m": "V/m",
}  # fmt: skip
_LONGEST_FIRST = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
_QUANTITY = re.compile(rf"(?<![\w.,/])(\d[\d,]*(?:\.\d+)?)[ \u00a0\u202f]?({_LONGEST_FIRST})(?![\w/])")
_DIRECTIVE = re.compile(r"\[\[([a-z]+ [^\[\]\n]+)\]\]")
_LINK = re.compile(r"\]\((?:[^)\s]*/)?forms/([a-z-]+)\.md\?([^)\s#]+)")


class Quantity(NamedTuple):
    """A figure as it stands in a text, and its value in the unit without a prefix."""

    text: str
    value: float
    unit: str


class Copied(NamedTuple):
    """A quantity in prose and the result that it agrees with."""

    line: int
    typed: Quantity
    result: Quantity
    form: str


def quantities(text: str) -> Iterator[Quantity]:
    """All quantities in a text that have two figures or more."""
    for found in _QUANTITY.finditer(text):
        figures = found[1].replace(",", "")
        if len(figures.replace(".", "").strip("0")) < 2 and "." not in figures:
            continue
        value = float(figures) * _factor(found[2])
        yield Quantity(f"{figures} {found[2]}", value, UNITS[found[2]])


def copied(markdown: str) -> list[Copied]:
    """What a page's prose copies from the answers that it speaks of."""
    stated = {_plain(text) for text in _stated(markdown)}
    asked = list(_asked(markdown))
    faults = []
    results: list[tuple[str, Quantity]] = []
    given: list[Quantity] = []
    for form_id, presets in asked:
        form = FORMS[form_id]
        texts = form.defaults() | presets
        given += [each for text in texts.values() for each in quantities(text)]
        answer = bridge.run(form_id, presets)
        results += [(form_id, each) for part in _results(answer) for each in quantities(part)]
    for number, line in enumerate(flattened(markdown).split("\n"), start=1):
        for typed in quantities(line):
            if _plain(typed.text) in stated or any(_near(typed, each) for each in given):
                continue
            same = next(((form_id, each) for form_id, each in results if _near(typed, each)), None)
            if same:
                faults.append(Copied(number, typed, same[1], same[0]))
    return faults


def _factor(unit: str) -> float:
    prefix = {"p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "c": 1e-2, "k": 1e3, "M": 1e6}
    return 1.0 if unit in ("m", "%", "dB") or unit[0] not in prefix else prefix[unit[0]]


def _near(one: Quantity, other: Quantity) -> bool:
    return one.unit == other.unit and abs(one.value - other.value) <= NEAR * abs(other.value)


def _plain(text: str) -> str:
    return re.sub(r"\s+", "", text)


def _stated(markdown: str) -> Iterable[str]:
    front = re.match(r"\A---\n(.*?)\n---\n", markdown, re.DOTALL)
    meta = yaml.safe_load(front[1]) if front else {}
    return [text for entry in (meta or {}).get("stated", []) for text in entry]


def _asked(markdown: str) -> Iterator[tuple[str, dict[str, str]]]:
    """Form and texts of everything that a page asks for or leads to."""
    front = re.match(r"\A---\n(.*?)\n---\n", markdown, re.DOTALL)
    book = Book()
    book.use_sets((yaml.safe_load(front[1]) or {}).get("sets") if front else None)
    for found in _DIRECTIVE.finditer(markdown):
        name, target, *options = shlex.split(found[1])
        form_id = target.split(".")[0]
        if form_id not in FORMS or name == "change":
            continue
        presets = book.presets([option for option in options if not option.startswith("say=")])
        yield form_id, presets
    for found in _LINK.finditer(markdown):
        if found[1] in FORMS:
            yield found[1], {name: text for name, text in parse_qsl(found[2].replace("&amp;", "&")) if name != "bare"}


def _results(answer: dict[str, Any]) -> Iterator[str]:
    """All texts of an answer's sentence, rows and tables."""
    if not answer["ok"]:
        return
    yield answer["sentence"]
    for row in answer["rows"]:
        yield row["text"]
    for table in answer["tables"]:
        for cells in table["rows"]:
            yield from (cell["text"] for cell in cells)


def main(pages: list[Path]) -> int:
    """Prints what it finds, and gives how many pages copy."""
    faults = 0
    for page in pages:
        for fault in copied(page.read_text(encoding="utf-8")):
            faults += 1
            print(
                f"{page}:{fault.line}: “{fault.typed.text}” is typed, and {FORMS[fault.form].title} gives "
                f"{fault.result.text}: use a directive, or say under `stated` where it is from"
            )
    print(f"{len(pages)} pages, {faults} calculated figures typed in")
    return faults


if __name__ == "__main__":
    sys.exit(1 if main([Path(name) for name in sys.argv[1:]]) else 0)
