"""Markdown: ``[[form coil]]``, ``[[value coil.inductance turns=120]]`` and the like, anywhere outside code."""

import xml.etree.ElementTree as etree
from re import Match

from markdown import Markdown
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor

from site_overrides.pages.book import Book

PATTERN = r"\[\[([a-z]+ [^\[\]\n]+)\]\]"


class Directives(Extension):
    """The Markdown extension that hands directives to a book."""

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802 - the name is Markdown's
        """Registers the pattern ahead of links and emphasis, after code."""
        md.inlinePatterns.register(_Directive(PATTERN, md, self.book), "bp_directives", 187)


class _Directive(InlineProcessor):
    def __init__(self, pattern: str, md: Markdown, book: Book) -> None:
        super().__init__(pattern, md)
        self.book = book

    def handleMatch(  # type: ignore[override]  # noqa: N802 - the name is Markdown's
        self, m: Match[str], data: str
    ) -> tuple[etree.Element | str, int, int]:
        """The directive's HTML, kept out of Markdown's hands."""
        return self.md.htmlStash.store(self.book.directive(m[1])), m.start(0), m.end(0)
