"""Markdown: ``$...$`` and ``$$...$$`` become MathML at build time; no script is needed to read them."""

import xml.etree.ElementTree as etree
from re import Match

from latex2mathml.converter import convert
from markdown import Markdown
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor

from site_overrides.pages.markup import element, escape

DISPLAYED = r"\$\$\s*(\S(?:[^$]*\S)?)\s*\$\$"
IN_LINE = r"(?<![\\\w$])\$(?=[^\s$])([^$\n]*[^\s$])\$(?![\w$])"


class Maths(Extension):
    """The Markdown extension that sets formulas."""

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802 - the name is Markdown's
        """Registers both patterns ahead of escapes and emphasis, after code."""
        md.inlinePatterns.register(_Formula(DISPLAYED, md, "block"), "bp_displayed_maths", 186)
        md.inlinePatterns.register(_Formula(IN_LINE, md, "inline"), "bp_maths", 185)


class _Formula(InlineProcessor):
    def __init__(self, pattern: str, md: Markdown, display: str) -> None:
        super().__init__(pattern, md)
        self.display = display

    def handleMatch(  # type: ignore[override]  # noqa: N802 - the name is Markdown's
        self, m: Match[str], data: str
    ) -> tuple[etree.Element | str, int, int]:
        """The formula as MathML, kept out of Markdown's hands."""
        mathml = formula(m[1], self.display)
        if self.display == "block":
            mathml = element("div", {"class": "bp-formula"}, mathml)
        return self.md.htmlStash.store(mathml), m.start(0), m.end(0)


def formula(latex: str, display: str = "inline") -> str:
    """`latex` as MathML. What it was made from stays with it, for those who copy it.

    Raises:
        ValueError: it names a command that is not known.
    """
    mathml = convert(latex, display=display)
    if "<mi>\\" in mathml:
        raise ValueError(f"${latex}$ has a command that cannot be set")
    return mathml.replace("<math ", f'<math data-latex="{escape(latex)}" ', 1)
