"""The winding gauge: ticks where the turns come, pieces that join, words that keep clear of each other."""

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.forms.shapes import Line, Text
from calc.forms.sheets import PAPERS
from calc.forms.sheets.gauge import MOST_PIECES, OVERLAP, Gauge
from calc.forms.sheets.printer_check import TYPE, printer_check
from calc.units import InputError

LETTER = 0.5
"""Width of a letter over the height of the type, as the page takes it."""
EDGE = 17.0


def gauges():
    """Windings of all sizes that have a strip, with taps."""
    return st.builds(
        lambda turns, pitch, shares: Gauge("g", "Coil", turns, pitch, tuple(sorted({turns * s for s in shares}))),
        st.integers(1, 600).map(float) | st.floats(1.0, 600.0),
        st.floats(0.06e-3, 4e-3),
        st.lists(st.floats(0.02, 0.98), max_size=6),
    ).filter(lambda gauge: gauge.length < 2000.0)


def upright(drawing):
    """Places of the strokes that stand on the edge, and how tall they are."""
    for shape in drawing.shapes:
        if isinstance(shape, Line) and not shape.dashed and len(shape.points) == 2:
            (x, y), (other, top) = shape.points
            if x == other and y == EDGE:
                yield x, y - top


def box(text):
    size = TYPE * text.size
    long = LETTER * size * len(text.text)
    left = text.x - {"start": 0.0, "middle": long / 2, "end": long}[text.anchor]
    return left, text.y - 0.35 * size, left + long, text.y + 0.35 * size


def meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@given(gauges())
def test_strokes_stand_where_the_turns_come_and_nowhere_else(gauge):
    pitch = 1e3 * gauge.pitch
    named = [0.0, *gauge.taps, gauge.turns]
    seen = set()
    for (low, high), picture in zip(gauge.pieces(), gauge.pictures(), strict=True):
        for x, tall in upright(picture.drawing):
            turns = (x + low) / pitch
            whole = round(turns / gauge.step) * gauge.step
            on_tick = abs(x + low - whole * pitch) < 1e-6
            on_name = any(abs(x + low - at * pitch) < 1e-6 for at in named)
            assert on_tick or on_name
            assert on_name or tall < 5.0
            assert -1e-9 <= x <= high - low + 1e-9
            seen.add(whole if on_tick else turns)
    wanted = {gauge.step * index for index in range(math.floor(gauge.turns / gauge.step + 1e-9) + 1)}
    assert wanted <= seen


@given(gauges())
def test_ticks_can_be_told_apart_and_numbers_are_true(gauge):
    assert gauge.place(gauge.step) >= 0.7 * (1.0 - 1e-9)
    assert gauge.numbered % gauge.step == 0
    for (low, _), picture in zip(gauge.pieces(), gauge.pictures(), strict=True):
        for shape in picture.drawing.shapes:
            if isinstance(shape, Text) and shape.text.isdecimal():
                assert shape.x + low == pytest.approx(gauge.place(float(shape.text)), abs=1e-6)


@given(gauges())
def test_pieces_join_at_the_same_places_and_go_on_every_paper(gauge):
    pieces = gauge.pieces()
    assert pieces[0][0] == 0.0
    assert pieces[-1][1] == pytest.approx(gauge.length)
    for (_, end), (start, _) in pairwise(pieces):
        assert end - start == pytest.approx(min(OVERLAP, gauge.length - start))
    marks = {}
    for (low, _), picture in zip(pieces, gauge.pictures(), strict=True):
        assert all(picture.size[0] <= paper.room()[0] + 1e-9 for paper in PAPERS.values())
        letters = [
            s for s in picture.drawing.shapes if isinstance(s, Text) and s.text[:1].isupper() and s.text[1:] in "12"
        ]
        for text in letters:
            marks.setdefault(text.text, []).append(text.x + low)
    assert len(marks) == 2 * (len(pieces) - 1)
    for places in marks.values():
        assert len(places) == 2
        assert places[0] == pytest.approx(places[1], abs=1e-9)


@given(gauges())
def test_words_keep_clear_of_each_other_and_of_strokes(gauge):
    for picture in gauge.pictures():
        drawing = picture.drawing
        texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
        for one, other in combinations(texts, 2):
            assert not meet(box(one), box(other)), (one.text, other.text)
        for text in texts:
            left, top, right, bottom = box(text)
            assert drawing.left <= left
            assert right <= drawing.left + drawing.width
            assert drawing.top <= top
            assert bottom <= drawing.top + drawing.height
            for (join, high), (_, low) in (s.points for s in drawing.shapes if isinstance(s, Line) and s.dashed):
                assert not (left < join < right and top < low and high < bottom), (text.text, join)
            for x, tall in upright(drawing):
                assert not (left < x < right and EDGE - tall < bottom), (text.text, x)


def test_a_strip_by_example():
    gauge = Gauge("gauge", "Coil", 60.0, 0.8e-3, (10.0,))
    assert (gauge.step, gauge.numbered, gauge.length) == (1, 10, pytest.approx(48.0))
    assert [text.text for text in gauge.pictures()[0].drawing.shapes if isinstance(text, Text)] == [
        "20", "30", "40", "50", "start", "tap 10", "end 60",
    ]  # fmt: skip
    assert gauge.said() == "A tick for every turn, a number for every 10"
    fine = Gauge("gauge", "Coil", 500.0, 0.28e-3)
    assert (fine.step, fine.numbered, len(fine.pictures())) == (5, 50, 1)
    long = Gauge("gauge", "Coil", 500.0, 1e-3)
    assert [picture.drawing.key for picture in long.pictures()] == ["gauge-1", "gauge-2", "gauge-3", "gauge-4"]


def test_a_strip_that_nobody_would_paste_is_refused():
    with pytest.raises(InputError, match=r"would be 50 m long"):
        Gauge("gauge", "Coil", 1000.0, 50e-3).pictures()
    most = Gauge("gauge", "Coil", 2200.0, 1e-3)
    assert len(most.pieces()) == MOST_PIECES


def test_bars_are_as_long_as_they_say():
    _, bars = printer_check()
    lines = [shape.points for shape in bars.drawing.shapes if isinstance(shape, Line) and shape.points[0][0] == 0.0]
    level = [(a, b) for (a, y), (b, other) in lines if y == other]
    assert level == [(0.0, 100.0), (0.0, pytest.approx(4 * 25.4))]
    assert bars.width is None
