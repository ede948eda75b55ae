"""Markdown's tables dressed as the answers' tables: they scroll by themselves, and become cards where it is narrow."""

import re
import xml.etree.ElementTree as etree

from markdown import Markdown
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor
from markdown.util import HTML_PLACEHOLDER_RE

ROLES = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tr": "row", "td": "cell"}


class Tables(Extension):
    """The Markdown extension that dresses tables."""

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802 - the name is Markdown's
        """Registers the dressing after inline Markdown has been read."""
        md.treeprocessors.register(_Dress(md), "bp_tables", 15)


class _Dress(Treeprocessor):
    def run(self, root: etree.Element) -> None:
        """Dresses every table under `root`, in place."""
        for parent in list(root.iter()):
            for index, child in enumerate(list(parent)):
                if child.tag == "table":
                    parent[index] = _dressed(child)


def _dressed(table: etree.Element) -> etree.Element:
    """The table in a box that scrolls. As rows may become cards, each part says its role, and each cell its head."""
    heads = [_plain(cell) for cell in table.iter("th")]
    for part in table.iter():
        if part.tag in ROLES:
            part.set("role", ROLES[part.tag])
    for cell in table.iter("th"):
        cell.set("role", "columnheader")
        cell.set("scope", "col")
        cell.set("class", "bp-words")
    for row in table.iter("tr"):
        for head, cell in zip(heads, row.findall("td"), strict=False):
            cell.set("data-label", head)
            cell.set("class", "bp-words")
            _as_one(cell)
    table.set("class", "bp-table")
    box = etree.Element("div", {"class": "bp-scroll"})
    box.tail, table.tail = table.tail, None
    box.append(table)
    return box


def _as_one(cell: etree.Element) -> None:
    """Puts all that a cell holds into one element: on a card it stands as one thing beside its head."""
    whole = etree.Element("span")
    whole.text, cell.text = cell.text, None
    whole.extend(list(cell))
    for child in list(cell):
        cell.remove(child)
    cell.append(whole)


def _plain(cell: etree.Element) -> str:
    """The cell's words, without the marks that stand for formulas and figures."""
    return re.sub(r"\s+", " ", HTML_PLACEHOLDER_RE.sub("", "".join(cell.itertext()))).strip()
