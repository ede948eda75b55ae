"""Bars, maps and sliders as plain data."""

import json

import numpy as np
import pytest

from calc.forms.bars import Bar, Bars
from calc.forms.fields import Field
from calc.forms.regions import RegionMap
from calc.forms.results import Axis, Mark, Rule


def test_bars_carry_their_texts_and_ranges():
    picture = Bars(
        "levels",
        "Levels",
        "One station.",
        Axis("Level", "dB", 0.0, 60.0),
        ("",),
        [Bar("Aldermoss", (42.31,), ((34.0, 50.0),), "in the clear"), Bar("Nowhere", (None,))],
        [Rule("the room", "x", 27.0)],
    ).as_json()
    assert json.loads(json.dumps(picture, allow_nan=False)) == picture
    first, second = picture["bars"]
    assert first["texts"] == ["42.3 dB, from 34.0 dB to 50.0 dB"]
    assert first["spans"] == [[34.0, 50.0]]
    assert second["texts"] == ["—"]
    assert second["spans"] == [None]
    assert picture["base"] == 0.0


@pytest.mark.parametrize(("least", "most", "base"), [(-20.0, 20.0, 0.0), (10.0, 60.0, 10.0), (-60.0, -10.0, -10.0)])
def test_bars_begin_at_zero_or_at_the_nearest_end(least, most, base):
    picture = Bars("k", "t", "s", Axis("Level", "dB", least, most), ("",), []).as_json()
    assert picture["base"] == base


def test_a_map_has_edges_half_way_between_its_cells():
    picture = RegionMap(
        "map",
        "Map",
        "Two stations.",
        Axis("Dial", "", 0.0, 100.0),
        Axis("Coupling", "F", 1e-12, 100e-12, log=True),
        [10.0, 50.0, 90.0],
        np.array([2e-12, 20e-12]),
        ["Aldermoss", "Brackwater"],
        np.array([[0, -1, 1], [0, 0, 1]]),
        "none in the clear",
        [Mark("now", 50.0, 10e-12)],
    ).as_json()
    assert json.loads(json.dumps(picture, allow_nan=False)) == picture
    assert picture["x_edges"] == [0.0, 30.0, 70.0, 100.0]
    assert picture["y_edges"] == pytest.approx([1e-12, np.sqrt(40.0) * 1e-12, 100e-12])
    assert picture["cells"] == [[0, -1, 1], [0, 0, 1]]
    assert picture["y_texts"] == ["2 pF", "20 pF"]


def test_a_slider_stands_at_the_nearest_stop():
    by_ratio = Field("c", "C", "F", stops=("1p", "10p", "100p"))
    assert [by_ratio.nearest_stop(value) for value in (0.5e-12, 3.0e-12, 3.3e-12, 1e-9)] == [0, 0, 1, 2]
    by_step = Field("dial", "Dial", stops=("0", "50", "100"))
    assert [by_step.nearest_stop(value) for value in (0.0, 24.0, 26.0, 300.0)] == [0, 0, 1, 2]
