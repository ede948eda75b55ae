"""A map of an answer: a grid over two settings, each cell belonging to one of a few regions. No HTML."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from calc import units
from calc.forms.results import Axis, Mark


@dataclass(frozen=True)
class RegionMap:
    """A map of regions, readable without colour: each region has its own hatching and its letter.

    Attributes:
        key, title: its name in the answer, and what the reader sees.
        summary: the map in words that can stand for it.
        x, y: the axes.
        x_values, y_values: middles of the cells in the axes' units, rising, [columns] and [rows].
        regions: names of the regions.
        cells: index of each cell's region, -1 for none, [rows, columns].
        nowhere: what a cell of no region means.
        marks: labelled points, such as the present setting.
    """

    key: str
    title: str
    summary: str
    x: Axis
    y: Axis
    x_values: npt.ArrayLike
    y_values: npt.ArrayLike
    regions: Sequence[str]
    cells: npt.ArrayLike
    nowhere: str
    marks: Sequence[Mark] = ()

    def as_json(self) -> dict[str, Any]:
        """The map as plain data; columns and rows carry the texts of their read-outs."""
        x, y = np.asarray(self.x_values, dtype=np.float64), np.asarray(self.y_values, dtype=np.float64)
        cells = np.asarray(self.cells, dtype=np.int64)
        return {
            "key": self.key,
            "title": self.title,
            "summary": self.summary,
            "x": self.x.as_json(),
            "y": self.y.as_json(),
            "x_edges": _edges(x, self.x),
            "y_edges": _edges(y, self.y),
            "x_texts": units.formats(x.tolist(), self.x.unit),
            "y_texts": units.formats(y.tolist(), self.y.unit),
            "regions": list(self.regions),
            "nowhere": self.nowhere,
            "cells": cells.tolist(),
            "marks": [{"label": m.label, "x": float(m.x), "y": float(m.y), "emphasis": m.emphasis} for m in self.marks],
        }


def _edges(middles: npt.NDArray[np.float64], axis: Axis) -> list[float]:
    """Where cells meet: half way between their middles as the axis runs, its ends at either end."""
    places = np.log(middles) if axis.log else middles
    between = 0.5 * (places[1:] + places[:-1])
    return [axis.least, *(np.exp(between) if axis.log else between).tolist(), axis.most]
