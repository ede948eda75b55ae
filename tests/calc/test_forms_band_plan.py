"""The band-plan form: its figures by hand, and what it says of them."""

import math
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import bridge
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values

answer = partial(form_answer, "band-plan")

OWN = {
    "band": "own",
    "low": "500 kHz",
    "high": "1600 kHz",
    "capacitor": "own",
    "capacitor_least": "15p",
    "capacitor_most": "365p",
}


def table(found):
    (dial,) = found["tables"]
    keys = [column["key"] for column in dial["columns"]]
    return [dict(zip(keys, (cell["value"] for cell in row), strict=True)) for row in dial["rows"]]


def test_the_default_by_hand():
    """GE75 medium wave on 15 to 365 pF with 20 pF of strays: 35 to 385 pF in all."""
    found = values(answer())
    middle = math.sqrt(526.5e3 * 1606.5e3)
    coil = 1 / ((2 * math.pi * middle) ** 2 * math.sqrt(35e-12 * 385e-12))
    assert found["inductance"] == pytest.approx(coil, rel=1e-12)
    assert found["lowest"] == pytest.approx(1 / (2 * math.pi * math.sqrt(coil * 385e-12)), rel=1e-12)
    assert found["highest"] == pytest.approx(1 / (2 * math.pi * math.sqrt(coil * 35e-12)), rel=1e-12)
    assert found["ratio_reached"] == pytest.approx(math.sqrt(11.0), rel=1e-12)
    assert found["ratio_needed"] == pytest.approx(1606.5 / 526.5, rel=1e-12)
    ratio = (1606.5 / 526.5) ** 2
    assert (365e-12 + found["most_strays"]) / (15e-12 + found["most_strays"]) == pytest.approx(ratio, rel=1e-12)


def test_the_default_says_what_to_wind_and_that_the_whole_band_is_there():
    sentence = answer()["sentence"]
    assert "258 µH" in sentence
    assert "whole band" in sentence


def test_the_most_strays_just_cover_the_band():
    most = values(answer(**OWN))["most_strays"]
    just = answer(**OWN, strays=f"{most * 1e12 * 0.99999:.9g} pF")
    over = answer(**OWN, strays=f"{most * 1e12 * 1.01:.9g} pF")
    assert "whole band" in just["sentence"]
    assert "misses" in over["sentence"]
    assert "whole band" not in over["sentence"]


def test_a_capacitor_that_falls_short_by_itself_has_no_strays_to_spare():
    found = answer(**OWN | {"capacitor_most": "120p"})
    assert values(found)["most_strays"] is None
    assert "misses" in found["sentence"]
    assert any("two coils" in advice["text"] for advice in found["advice"])


def test_room_to_spare_is_said():
    assert any("room to spare" in advice["text"] for advice in answer(capacitor="2x365p", strays="10p")["advice"])
    assert not any("room to spare" in advice["text"] for advice in answer(strays="27p")["advice"])


def test_a_coil_that_is_there_already():
    found = answer(**OWN, inductance="200 µH")
    assert values(found)["inductance"] == pytest.approx(200e-6, rel=1e-15)
    assert found["sentence"].startswith("Your 200 µH coil tunes")
    assert "at the bottom" in found["sentence"]
    assert "at the top" not in found["sentence"]


def test_a_coil_far_from_the_band():
    rows = table(answer(**OWN, inductance="10 mH"))
    assert all(row["dial"] == "off the dial" for row in rows)
    assert any(row["own"] is None for row in rows)


@pytest.mark.parametrize("law", ["capacitance", "wavelength", "frequency"])
def test_the_dial_table_by_hand(law):
    found = answer(**OWN, law=law, strays="20p")
    coil = values(found)["inductance"]
    shape = {"capacitance": lambda c: c, "wavelength": np.sqrt, "frequency": lambda c: -1 / np.sqrt(c)}[law]
    rows = table(found)
    assert [rows[0]["frequency"], rows[-1]["frequency"]] == [500e3, 1600e3]
    assert np.all(np.diff([row["frequency"] for row in rows]) > 0)
    for row in rows:
        total = 1 / ((2 * math.pi * row["frequency"]) ** 2 * coil)
        assert row["total"] == pytest.approx(total, rel=1e-12)
        assert row["own"] == pytest.approx(total - 20e-12, rel=1e-9)
        position = (shape(row["own"]) - shape(15e-12)) / (shape(365e-12) - shape(15e-12))
        assert row["dial"] == pytest.approx(100 * min(max(position, 0.0), 1.0), abs=1e-7)


@settings(max_examples=50)
@given(st.floats(100.0, 5000.0), st.floats(1.3, 3.2))
def test_dial_tables_have_round_frequencies_between_the_edges(low, ratio):
    found = answer(**OWN | {"low": f"{low:.1f} kHz", "high": f"{low * ratio:.1f} kHz"})
    at = [row["frequency"] for row in table(found)]
    assert 5 <= len(at) <= 13
    assert len(set(np.round(np.diff(at[1:-1]), 3))) <= 1
    assert np.all(np.diff(at) > 0)


def test_the_chart_runs_over_the_whole_dial():
    (chart,) = answer()["charts"]
    (line,) = chart["series"]
    assert line["y"][0] == pytest.approx(100.0, abs=1e-6)
    assert line["y"][-1] == pytest.approx(0.0, abs=1e-6)
    assert np.all(np.diff(line["y"]) <= 0)
    assert chart["x"]["least"] <= min(line["x"]) <= max(line["x"]) <= chart["x"]["most"]
    assert [rule["value"] for rule in chart["rules"]] == [526.5e3, 1606.5e3]


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"low": "1600 kHz", "high": "500 kHz"}, "high"),
        ({"low": "20 kHz", "high": "1600 kHz"}, "high"),
        ({"capacitor_least": "365p"}, "capacitor_most"),
        ({"capacitor_least": "4.4e+02", "capacitor_most": "0n44"}, "capacitor_most"),  # apart by rounding alone
        ({"capacitor_least": "0"}, "capacitor_least"),
        ({"strays": "-3p"}, "strays"),
        ({"inductance": "a few turns"}, "inductance"),
        ({"law": "cosine"}, "law"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("band-plan", OWN | texts)
    assert list(found["errors"]) == [field]


def test_a_band_from_the_list_does_not_read_the_edges():
    assert answer(band="long-wave", low="rubbish")["rows"] == answer(band="long-wave")["rows"]
