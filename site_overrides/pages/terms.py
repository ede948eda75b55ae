"""The first use of each word of the glossary in a chapter: a link to it, and its meaning shown beside the link.

An `abbr` would show its title to a mouse only. A link answers to the keyboard, to touch and to a screen reader, and
prints as a word.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from itertools import chain

from site_overrides.pages.markup import escape

_ENTRY = re.compile(r"^(?P<name>\S.*?) \{ #(?P<id>[a-z-]+) \}\n:   (?P<text>(?:.+\n?)+)", re.MULTILINE)
_LINK = re.compile(r"\s*\[[^\]]*\]\([^)]*\)")

_WITHIN = ("p", "li")
"""Where words are sought."""

_NOT_WITHIN = ("a", "code", "em", "strong", "math", "summary", "figure", "table", "button", "svg")
"""What is left as it is, wherever it stands."""

_VOID = ("br", "hr", "img", "input", "wbr", "source", "col", "meta", "link")


@dataclass(frozen=True)
class Term:
    """An entry of the glossary: its name, the address of its place there, and its meaning."""

    name: str
    id: str
    meaning: str


def glossary_terms(markdown: str) -> list[Term]:
    """The entries of the glossary page."""
    return [
        Term(entry["name"], entry["id"], " ".join(_LINK.sub("", entry["text"]).split()))
        for entry in _ENTRY.finditer(markdown)
    ]


def with_terms(html: str, terms: list[Term], glossary: str) -> str:
    """The page's HTML with the first use of each word linked.

    Args:
        html: of a page's text.
        terms: the glossary's.
        glossary: the way from the page to the glossary.
    """
    if not terms:
        return html
    marker = _Marker(terms, glossary)
    marker.feed(html)
    marker.close()
    return "".join(marker.parts)


class _Marker(HTMLParser):
    """Gives back what it reads, letter for letter, but for the words that it links."""

    def __init__(self, terms: list[Term], glossary: str) -> None:
        super().__init__(convert_charrefs=False)
        self.glossary = glossary
        self.parts: list[str] = []
        self._open: list[str] = []
        self._left = {term.name.lower(): term for term in terms}
        names = sorted(chain(self._left, (f"{name}s" for name in self._left)), key=len, reverse=True)
        self._words = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, names))})(?![\w-])", re.IGNORECASE)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.parts.append(self.get_starttag_text() or "")
        if tag not in _VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.parts.append(self.get_starttag_text() or "")

    def handle_endtag(self, tag: str) -> None:
        self.parts.append(f"</{tag}>")
        if tag in self._open:
            while self._open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        sought = any(tag in _WITHIN for tag in self._open) and not any(tag in _NOT_WITHIN for tag in self._open)
        self.parts.extend(self._linked(data) if sought else (data,))

    def handle_entityref(self, name: str) -> None:
        self.parts.append(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self.parts.append(f"&#{name};")

    def handle_comment(self, data: str) -> None:
        self.parts.append(f"<!--{data}-->")

    def _linked(self, text: str) -> Iterator[str]:
        done = 0
        for found in self._words.finditer(text):
            word = found[0].lower()
            term = self._left.pop(word, None) or self._left.pop(word.removesuffix("s"), None)
            if term is None:
                continue
            yield text[done : found.start()]
            yield self._link(found[0], term)
            done = found.end()
        yield text[done:]

    def _link(self, word: str, term: Term) -> str:
        tip = f"bp-term-{term.id}"
        return (
            f'<span class="bp-term"><a href="{self.glossary}#{term.id}" aria-describedby="{tip}">{escape(word)}</a>'
            f'<span class="bp-term__tip" role="tooltip" id="{tip}" data-search-exclude>{escape(term.meaning)}</span>'
            "</span>"
        )
