"""A printed page read back: its strokes in millimetres from the upper left, its text, and its ink as a picture."""

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2 as pdfium
from pypdfium2 import raw

POINT = 25.4 / 72.0
"""Millimetres in a point."""
DOTS = 150
"""Dots an inch of a page as a picture."""

Place = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """A straight part of a path."""

    start: Place
    end: Place

    @property
    def length(self) -> float:
        """[mm]."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))

    @property
    def is_level(self) -> bool:
        """Whether it lies."""
        return abs(self.end[1] - self.start[1]) < 1e-3

    @property
    def is_upright(self) -> bool:
        """Whether it stands."""
        return abs(self.end[0] - self.start[0]) < 1e-3


class PrintedPage:
    """One page of a printed document."""

    def __init__(self, page: Any) -> None:
        self._page = page
        self.width, self.height = (POINT * side for side in page.get_size())

    def strokes(self) -> list[Stroke]:
        """All straight parts of its paths, wherever they are nested."""
        return [stroke for shape in self._page.get_objects([raw.FPDF_PAGEOBJ_PATH]) for stroke in self._of_path(shape)]

    def _of_path(self, shape: Any) -> Iterator[Stroke]:
        matrix = shape.get_matrix()
        places: list[Place] = []
        for index in range(raw.FPDFPath_CountSegments(shape)):
            segment = raw.FPDFPath_GetPathSegment(shape, index)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            across, up = matrix.on_point(x.value, y.value)
            place = (POINT * across, self.height - POINT * up)
            kind = raw.FPDFPathSegment_GetType(segment)
            if kind == raw.FPDF_SEGMENT_MOVETO:
                places = []
            if kind == raw.FPDF_SEGMENT_LINETO and places:
                yield Stroke(places[-1], place)
            places.append(place)

    def text(self) -> str:
        """All of its text."""
        return str(self._page.get_textpage().get_text_range())

    def ink(self) -> Any:
        """Whether there is ink at each dot, [rows, columns]."""
        picture = self._page.render(scale=DOTS / 72.0, grayscale=True).to_numpy()
        return np.asarray(picture).reshape(picture.shape[0], picture.shape[1]) < 200

    def ink_within(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all ink [mm]."""
        ink = self.ink()
        rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
        dot = 25.4 / DOTS
        return dot * columns[0], dot * rows[0], dot * (columns[-1] + 1), dot * (rows[-1] + 1)


def printed(pdf: bytes) -> list[PrintedPage]:
    """The pages of a document."""
    document = pdfium.PdfDocument(pdf)
    return [PrintedPage(page) for page in document]
