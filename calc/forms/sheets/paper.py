"""Paper, and the blocks of a sheet: words, tables and drawings. Lengths are millimetres of paper; no HTML."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calc.forms.shapes import Drawing

SIDE, HEAD = 15.0, 14.0
"""Margins at left and right, and at head and foot, of upright paper; turned paper has them turned with it. The style
sheet of the pages has the same."""


@dataclass(frozen=True)
class Paper:
    """A size of paper, upright.

    Attributes:
        name: what the reader sees.
        width, height: of the whole sheet.
    """

    name: str
    width: float
    height: float

    def room(self, turned: bool = False) -> tuple[float, float]:
        """Width and height within the margins, of upright or turned paper."""
        across, down = self.width - 2.0 * SIDE, self.height - 2.0 * HEAD
        return (down, across) if turned else (across, down)


PAPERS: Mapping[str, Paper] = {
    "a4": Paper("A4, 210 × 297 mm", 210.0, 297.0),
    "letter": Paper("Letter, 8½ × 11 in", 215.9, 279.4),
}
"""By the word of the address. Sources: ISO 216; ANSI/ASME Y14.1 size A."""


@dataclass(frozen=True)
class Words:
    """A heading, if any, and paragraphs below it. `kind` is "caution" for warnings of harm."""

    paragraphs: Sequence[str] = ()
    heading: str = ""
    kind: str = "note"

    def as_json(self) -> dict[str, Any]:
        """The block as plain data."""
        return {"block": "words", "heading": self.heading, "paragraphs": list(self.paragraphs), "kind": self.kind}


@dataclass(frozen=True)
class Grid:
    """A ruled table.

    Attributes:
        title: above it.
        heads: of its columns; none for a table of names and values.
        rows: texts; each row has a cell for each column.
        widths: of the columns, as shares of the whole.
        numbers: which columns hold numbers.
        row_height: of a row, where it is to be written in [mm]; zero for as high as its text.
    """

    title: str
    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    widths: Sequence[float]
    numbers: Sequence[int] = ()
    row_height: float = 0.0

    def as_json(self) -> dict[str, Any]:
        """The block as plain data."""
        whole = sum(self.widths)
        if any(len(row) != len(self.widths) for row in self.rows):
            raise ValueError("a row has not a cell for each column")
        return {
            "block": "grid",
            "title": self.title,
            "heads": list(self.heads),
            "rows": [list(row) for row in self.rows],
            "shares": [round(width / whole, 4) for width in self.widths],
            "numbers": list(self.numbers),
            "row_height": self.row_height,
        }


@dataclass(frozen=True)
class Picture:
    """A drawing on paper.

    Attributes:
        drawing: what is drawn.
        width: on the paper [mm]; None for a drawing whose lengths are millimetres of paper, which is at true size.
    """

    drawing: Drawing
    width: float | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on the paper [mm]."""
        across = self.drawing.width if self.width is None else self.width
        return across, across * self.drawing.height / self.drawing.width

    def as_json(self) -> dict[str, Any]:
        """The block as plain data."""
        across, down = self.size
        return {
            "block": "picture",
            "drawing": self.drawing.as_json(),
            "true_size": self.width is None,
            "width": round(across, 4),
            "height": round(down, 4),
        }


Block = Words | Grid | Picture


@dataclass(frozen=True)
class Sheet:
    """A sheet to print, of as many pages as it takes.

    Attributes:
        title: at its head.
        lead: below the title, what it is of.
        paper: word of its paper.
        blocks: in order. Each is kept on one page, but for tables, which are parted between rows.
        turned: with the paper's long side across.
    """

    title: str
    lead: str
    paper: str
    blocks: Sequence[Block] = field(default_factory=tuple)
    turned: bool = False

    def as_json(self) -> dict[str, Any]:
        """The sheet as plain data.

        Raises:
            ValueError: a picture is larger than a page, which is a fault of ours.
        """
        across, down = PAPERS[self.paper].room(self.turned)
        for block in self.blocks:
            if isinstance(block, Picture) and (block.size[0] > across or block.size[1] > down):
                raise ValueError(f"{block.drawing.key} does not go on the paper")
        return {
            "title": self.title,
            "lead": self.lead,
            "paper": self.paper,
            "turned": self.turned,
            "blocks": [block.as_json() for block in self.blocks],
        }
