"""The parts of pages that calculations make: forms with their default answers, charts, drawings and figures in prose.

A page's Markdown asks for them by directives; each leaves a mark in the page's HTML. When all pages are read, one run
of Node draws everything that was asked for, and `fill` puts it in the place of the marks.
"""

import re
import shlex
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from calc import units
from calc.bridge import run
from calc.forms import FORMS
from calc.forms.form import Form
from site_overrides.pages import form_html, logbook_html, node
from site_overrides.pages.drawings import DRAWINGS
from site_overrides.pages.markup import escape
from site_overrides.pages.reference import Reference, references
from site_overrides.pages.trust import Trust

MARK = "bp\N{MIDDLE DOT}part\N{MIDDLE DOT}{}\N{MIDDLE DOT}"
_MARK = re.compile(MARK.format(r"(\d+)"))


_ROOT = "bp-link-root:"
"""Stands for the way to the site's root in links that directives make."""


class DirectiveError(ValueError):
    """A directive that asks for what is not there. It stops the build, so that no page loses content unseen."""


@dataclass
class Ask:
    """One thing that a page asked for, and how to make its HTML.

    Attributes:
        drawn: what Node is to draw: kind and data.
        finish: makes the HTML from what Node drew, the way from the page to the site's root, and a name that no other
            part of the page has.
        name: the name, unless an earlier part of the page has it.
    """

    drawn: dict[str, Any]
    finish: Callable[[str, str, str], str]
    name: str = ""
    html: str = ""


@dataclass
class Book:
    """All parts of the site that calculations make."""

    asks: list[Ask] = field(default_factory=list)
    answers: dict[str, dict[str, Any]] = field(default_factory=dict)
    sets: dict[str, dict[str, str]] = field(default_factory=dict)
    tables: dict[str, Reference] = field(default_factory=references)
    trust: Trust | None = None

    def use_sets(self, sets: Any) -> None:
        """Takes the named presets from a page's front matter, for the directives of that page.

        Args:
            sets: name -> {field: text}. The entry "like" names a set above it that this one begins with.

        Raises:
            DirectiveError: no such shape, or a set is like one that is not above it.
        """
        self.sets = {}
        for name, entries in (sets or {}).items():
            texts = [name, *entries, *entries.values()] if isinstance(entries, dict) else [None]
            if not all(isinstance(text, str) for text in texts):
                raise DirectiveError(f"set {name}: write field: text, with numbers, yes, no and null in quotes")
            own = dict(entries)
            try:
                first = self.presets([f"@{own.pop('like')}"]) if "like" in own else {}
            except LookupError as missing:
                raise DirectiveError(f"set {name}: {missing}") from None
            self.sets[name] = first | own

    def clear(self) -> None:
        """Forgets what pages asked for, ahead of another build in the same process."""
        self.asks.clear()
        self.answers.clear()

    def directive(self, text: str) -> str:
        """The HTML, or a mark that stands for it, of the inside of ``[[...]]``.

        Raises:
            DirectiveError: unknown directive, form, field or key, or values that the form refuses.
        """
        try:
            name, target, *options = shlex.split(text)
        except ValueError:
            raise DirectiveError(f"[[{text}]]: write [[name target field=value ...]]") from None
        make = {
            "form": self._form,
            "value": self._value,
            "cell": self._cell,
            "chart": self._chart,
            "drawing": self._drawing,
            "figure": self._figure,
            "link": self._link,
            "table": self._table,
            "trust": self._trust,
            "logbook": self._logbook,
        }.get(name)
        if make is None and name != "change":
            raise DirectiveError(f"[[{text}]]: there is no directive called {name}")
        try:
            return make(target, self.presets(options)) if make else self._change(target, options)
        except LookupError as missing:
            raise DirectiveError(f"[[{text}]]: {missing}") from None

    def presets(self, options: list[str]) -> dict[str, str]:
        """Texts by field: ``@name`` brings in a named set, ``field=value`` one text; what comes later wins."""
        presets: dict[str, str] = {}
        for option in options:
            if option.startswith("@"):
                if option[1:] not in self.sets:
                    raise LookupError(f"there is no set called {option[1:]}; there are {', '.join(self.sets)}")
                presets |= self.sets[option[1:]]
            elif "=" in option:
                name, value = option.replace("%0A", "\n").split("=", 1)
                presets[name] = value
            else:
                raise LookupError("write [[name target field=value ...]]")
        return presets

    def answer(self, form: Form, presets: dict[str, str]) -> dict[str, Any]:
        """The form's answer to its defaults with these presets."""
        key = repr((form.id, sorted(presets.items())))
        if key not in self.answers:
            answer = run(form.id, presets)
            if not answer["ok"]:
                raise LookupError("; ".join(f"{name}: {message}" for name, message in answer["errors"].items()))
            self.answers[key] = answer
        return self.answers[key]

    def draw(self) -> None:
        """Draws all that was asked for, in one run of Node."""
        drawn = node.draw([ask.drawn for ask in self.asks])
        for ask, html in zip(self.asks, drawn, strict=True):
            ask.html = html

    def fill(self, html: str, root: str) -> str:
        """The page's HTML with what its marks stand for; `root` leads from the page to the site's root."""
        times: Counter[str] = Counter()

        def part(mark: re.Match[str]) -> str:
            ask = self.asks[int(mark[1])]
            times[ask.name] += 1
            name = ask.name if times[ask.name] == 1 else f"{ask.name}-{times[ask.name]}"
            return ask.finish(ask.html, root, name)

        return _MARK.sub(part, html).replace(_ROOT, root)

    def form_pages(self) -> dict[str, str]:
        """The Markdown of each form's page of its own, and of the list of them, by file name."""
        pages = {f"forms/{form.id}.md": form_html.page(form) for form in FORMS.values()}
        return {"forms/index.md": form_html.index(FORMS.values())} | pages

    def _asked(self, drawn: dict[str, Any], finish: Callable[[str, str, str], str], name: str = "") -> str:
        self.asks.append(Ask(drawn, finish, name))
        return f'<div class="bp-part">{MARK.format(len(self.asks) - 1)}</div>'

    def _form(self, target: str, presets: dict[str, str]) -> str:
        form = _form(target)
        answer = self.answer(form, presets)
        return self._asked(
            {"kind": "answer", "answer": answer},
            lambda html, root, name: form_html.embedded(form, presets, answer, html, root, name),
            form.id,
        )

    def _link(self, target: str, presets: dict[str, str]) -> str:
        """A link that opens the form filled in. Its words are the option ``say``."""
        form = _form(target)
        words = presets.pop("say", f"Open it in the form “{form.title}”")
        self.answer(form, presets)
        address = f"{_ROOT}/forms/{form.id}/?{urlencode(presets)}"
        return f'<a href="{escape(address)}">{escape(words)}</a>'

    def _change(self, target: str, options: list[str]) -> str:
        """By how much a row is more, or less, with the presets after ``to`` than with those before it."""
        if options.count("to") != 1:
            raise LookupError("write the presets before, the word to, and the presets after")
        middle = options.index("to")
        after = self.presets(options[middle + 1 :])
        more, less = after.pop("more", "more"), after.pop("less", "less")
        form, key = _parts(target, 2)
        rows = [
            _by_key(self.answer(_form(form), presets)["rows"], key)
            for presets in (self.presets(options[:middle]), after)
        ]
        if any(row["value"] is None or row["text"] == "—" for row in rows):
            raise LookupError(f"{key} has no value in one of the two")
        difference = rows[1]["value"] - rows[0]["value"]
        text = units.format(abs(difference), rows[0]["unit"], digits=2)
        return f'<span class="bp-figure">{escape(text)}</span> {escape(more if difference >= 0 else less)}'

    def _value(self, target: str, presets: dict[str, str]) -> str:
        form, key = _parts(target, 2)
        row = _by_key(self.answer(_form(form), presets)["rows"], key)
        return f'<span class="bp-figure">{escape(row["text"])}</span>'

    def _cell(self, target: str, presets: dict[str, str]) -> str:
        form, key, number, column = _parts(target, 4)
        table = _by_key(self.answer(_form(form), presets)["tables"], key)
        keys = [entry["key"] for entry in table["columns"]]
        if column not in keys or not number.isdecimal() or not 1 <= int(number) <= len(table["rows"]):
            raise LookupError(f"rows 1 to {len(table['rows'])} and columns {', '.join(keys)} are there")
        cell = table["rows"][int(number) - 1][keys.index(column)]
        return f'<span class="bp-figure">{escape(cell["text"])}</span>'

    def _chart(self, target: str, presets: dict[str, str]) -> str:
        form, key = _parts(target, 2)
        chart = _by_key(self.answer(_form(form), presets)["charts"], key)
        return self._asked(
            {"kind": "chart", "chart": chart}, lambda html, _root, _name: form_html.lone_chart(chart, html)
        )

    def _logbook(self, target: str, _presets: dict[str, str]) -> str:
        if target != "entries":
            raise LookupError("write [[logbook entries]]")
        return logbook_html.entries(FORMS.values())

    def _drawing(self, target: str, presets: dict[str, str]) -> str:
        form, key = _parts(target, 2)
        drawing = _by_key(self.answer(_form(form), presets)["drawings"], key)
        return self._asked({"kind": "drawing", "drawing": drawing}, lambda html, _root, _name: html)

    def _figure(self, target: str, _presets: dict[str, str]) -> str:
        if target not in DRAWINGS:
            raise LookupError(f"there is no drawing called {target}; there are {', '.join(DRAWINGS)}")
        return self._asked({"kind": "drawing", "drawing": DRAWINGS[target].as_json()}, lambda html, _root, _name: html)

    def _table(self, target: str, presets: dict[str, str]) -> str:
        if presets:
            raise LookupError("a table of reference takes no values")
        if target not in self.tables:
            raise LookupError(f"there is no table called {target}; there are {', '.join(self.tables)}")
        return self.tables[target].html()

    def _trust(self, target: str, presets: dict[str, str]) -> str:
        if presets:
            raise LookupError("a part of the page on trust takes no values")
        if self.trust is None:
            raise LookupError("the record of the published checks was not read")
        return self.trust.part(target)


def _form(form_id: str) -> Form:
    if form_id not in FORMS:
        raise LookupError(f"there is no form called {form_id}; there are {', '.join(FORMS)}")
    return FORMS[form_id]


def _parts(target: str, count: int) -> list[str]:
    parts = target.split(".")
    if len(parts) != count:
        raise LookupError(f"{target} must have {count} parts with points between them")
    return parts


def _by_key(things: Iterable[dict[str, Any]], key: str) -> dict[str, Any]:
    found = {thing["key"]: thing for thing in things}
    if key not in found:
        raise LookupError(f"there is no {key} in the answer; there are {', '.join(found)}")
    return found[key]
