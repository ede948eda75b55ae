"""Answers as plain data: rows, tables, charts and their ticks."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import units
from calc.forms.results import NOTHING, Advice, Axis, Chart, Column, Mark, Result, Row, Rule, Series, Table
from calc.forms.shapes import Arc, Circle, Dots, Drawing, Line, Text
from calc.units import InputError


def test_a_row_has_value_and_text():
    row = Row("inductance", "Inductance", 2.4e-4, "H", how="current sheet", digits=3).as_json()
    assert row == {
        "key": "inductance",
        "label": "Inductance",
        "value": 2.4e-4,
        "unit": "H",
        "text": "240 µH",
        "how": "current sheet",
    }


def test_a_row_without_a_figure_says_so():
    row = Row("strays", "Strays", None, "F").as_json()
    assert (row["value"], row["text"]) == (None, NOTHING)
    assert Row("a", "A", 3.0, text="three").as_json()["text"] == "three"


def test_numbers_of_numpy_become_plain_ones():
    row = Row("a", "A", np.float64(3.0)).as_json()
    table = Table("t", "T", [Column("a", "A", "Hz")], [[np.float64(9e5)]]).as_json()
    assert type(row["value"]) is float
    assert type(table["rows"][0][0]["value"]) is float
    json.dumps([row, table], allow_nan=False)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_not_finite_never_becomes_text(value):
    with pytest.raises(InputError):
        Row("a", "A", value).as_json()
    with pytest.raises(InputError):
        Table("t", "T", [Column("a", "A", "Hz")], [[value]]).as_json()


def test_cells_of_a_table():
    table = Table(
        "t",
        "T",
        [Column("s", "Station"), Column("f", "Frequency", "Hz"), Column("l", "Level", "dB")],
        [["Ash", 9e5, None]],
    )
    assert table.as_json() == {
        "key": "t",
        "title": "T",
        "columns": [
            {"key": "s", "label": "Station", "unit": "text"},
            {"key": "f", "label": "Frequency", "unit": "Hz"},
            {"key": "l", "label": "Level", "unit": "dB"},
        ],
        "rows": [
            [{"value": "Ash", "text": "Ash"}, {"value": 9e5, "text": "900 kHz"}, {"value": None, "text": NOTHING}]
        ],
    }


def test_a_table_with_a_row_too_short_is_a_fault():
    with pytest.raises(ValueError, match="zip"):
        Table("t", "T", [Column("a", "A"), Column("b", "B")], [["one"]]).as_json()


# --- ticks --------------------------------------------------------------------------------------------------------


def value_of(text):
    return float(text.replace("−", "-"))


@given(
    st.floats(-1e4, 1e4).map(lambda v: 0.0 if abs(v) < 1e-3 else v),
    st.floats(0.02, 100.0),
    st.sampled_from(["Hz", "dB", "", "F", "m", "V/m", "%"]),
    st.integers(-9, 3),
)
def test_ticks_are_round_few_and_true_to_their_texts(start, reach, unit, power):
    least = start * 10.0**power
    most = least + reach * max(abs(start), 1.0) * 10.0**power
    axis = Axis("Quantity", unit, least, most).as_json()
    factor, name = units.scale(max(abs(least), abs(most)), unit)
    assert axis["label"] == (f"Quantity [{name}]" if name else "Quantity")
    values = [tick["value"] for tick in axis["ticks"]]
    assert 2 <= len(values) <= 8
    slack = 1e-6 * (most - least)
    assert least - slack <= min(values) <= max(values) <= most + slack
    steps = np.diff(values) / factor
    assert np.allclose(steps, steps[0], rtol=1e-6)
    head = float(f"{steps[0]:.6e}".split("e")[0])
    assert head in (1.0, 2.0, 2.5, 5.0)
    for tick in axis["ticks"]:
        assert value_of(tick["text"]) * factor == pytest.approx(tick["value"], rel=1e-9, abs=1e-9 * (most - least))


@given(st.floats(-12.0, 6.0), st.floats(0.3, 9.0))
def test_ticks_of_a_logarithmic_axis(start, decades):
    least, most = 10.0**start, 10.0 ** (start + decades)
    axis = Axis("Power", "W", least, most, log=True).as_json()
    values = [tick["value"] for tick in axis["ticks"]]
    assert 2 <= len(values) <= 14
    assert values == sorted(set(values))
    assert least * (1 - 1e-6) <= values[0] <= values[-1] <= most * (1 + 1e-6)
    if decades > 1.0:
        assert {f"{value:.3e}"[0] for value in values} <= {"1", "2", "5"}


def test_ticks_by_example():
    axis = Axis("Frequency", "Hz", 505e3, 1675e3).as_json()
    assert axis["label"] == "Frequency [kHz]"
    assert [tick["text"] for tick in axis["ticks"]] == ["600", "800", "1000", "1200", "1400", "1600"]
    below_zero = Axis("Level", "dB", -60.0, 3.0).as_json()
    assert [tick["text"] for tick in below_zero["ticks"]] == ["−60", "−40", "−20", "0"]
    assert [tick["value"] for tick in Axis("Dial", "", 0.0, 100.0).as_json()["ticks"]] == [
        0.0,
        20.0,
        40.0,
        60.0,
        80.0,
        100.0,
    ]
    powers = Axis("Power", "W", 1e-9, 1e-7, log=True).as_json()
    assert [tick["text"] for tick in powers["ticks"]] == ["1", "2", "5", "10", "20", "50", "100"]


def test_an_axis_of_one_point_has_ticks_all_the_same():
    assert len(Axis("Dial", "", 3.0, 3.0).as_json()["ticks"]) >= 1


# --- charts -------------------------------------------------------------------------------------------------------


def chart():
    return Chart(
        key="curve",
        title="A curve",
        summary="It rises.",
        x=Axis("Frequency", "Hz", 5e5, 1e6),
        y=Axis("Level", "dB", -20.0, 0.0),
        series=(Series("one", "One", np.array([5e5, 1e6]), [-20.0, 0.0]),),
        marks=(Mark("Ash", np.float64(7e5), -10.0, emphasis=True),),
        rules=(Rule("edge", "x", 6e5),),
    )


def test_a_chart_carries_the_text_of_every_point():
    data = chart().as_json()
    assert data["series"] == [
        {
            "key": "one",
            "label": "One",
            "x": [5e5, 1e6],
            "y": [-20.0, 0.0],
            "texts": ["500 kHz: −20.0 dB", "1000 kHz: 0.0 dB"],
        }
    ]
    assert data["marks"] == [{"label": "Ash", "x": 7e5, "y": -10.0, "emphasis": True}]
    assert data["rules"] == [{"label": "edge", "axis": "x", "value": 6e5}]
    assert (data["title"], data["summary"]) == ("A curve", "It rises.")


def test_a_series_of_unequal_lengths_is_a_fault():
    with pytest.raises(ValueError, match="zip"):
        Chart("c", "C", "", Axis("X", "", 0, 1), Axis("Y", "", 0, 1), [Series("s", "S", [0.0, 1.0], [0.0])]).as_json()


def test_dots_are_as_many_circles():
    one_by_one = [Circle(x, y, 1 / 3, "accent", filled=True) for x, y in ((0.0, 1 / 7), (2.0, -1.0))]
    together = Dots(((0.0, 1 / 7), (2.0, -1.0)), 1 / 3, "accent")
    drawings = [Drawing("d", "D", "", 0.0, 0.0, 1.0, 1.0, 1.0, shapes) for shapes in (one_by_one, [together])]
    assert drawings[0].as_json() == drawings[1].as_json()


def test_series_over_the_same_abscissas_are_as_those_over_others():
    over, other = np.array([1.0, 2.0]), np.array([1.0, 3.0])
    lines = [Series(key, key, x, [4.0, 5.0]) for key, x in zip("abcd", (over, over, other, over), strict=True)]
    data = Chart("c", "C", "", Axis("X", "Hz", 1, 3), Axis("Y", "", 0, 5), lines).as_json()["series"]
    assert [line["x"] for line in data] == [[1.0, 2.0], [1.0, 2.0], [1.0, 3.0], [1.0, 2.0]]
    assert [line["texts"][1] for line in data] == ["2 Hz: 5", "2 Hz: 5", "3 Hz: 5", "2 Hz: 5"]


def test_a_whole_result_is_plain_data():
    drawing = Drawing(
        "d", "Drawing", "In words.", 0.0, 0.0, 10.0, 5.0, 1.0,
        (
            Line(((0.0, 0.0), (1 / 3, 2.0)), "accent", dashed=True),
            Circle(1.0, 1.0, 0.5, filled=True),
            Arc(1.0, 1.0, 0.5, -90.0, 90.0),
            Text(1.0, 1.0, "coil", "start"),
        ),
    )  # fmt: skip
    result = Result(
        "All is well.", (Row("a", "A", 1.0),), (), (chart(),), (drawing,), (Advice("Mind the mast.", "caution"),)
    )
    data = result.as_json()
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert data["ok"] is True
    assert data["drawings"][0]["box"] == [0.0, 0.0, 10.0, 5.0]
    assert [shape["shape"] for shape in data["drawings"][0]["shapes"]] == ["line", "circle", "arc", "text"]
    assert data["drawings"][0]["shapes"][0]["points"][1] == [0.3333, 2.0]
    assert data["advice"] == [{"text": "Mind the mast.", "kind": "caution"}]
    assert set(data["order"]) == {name for name, part in data.items() if isinstance(part, list)} - {"order"}
