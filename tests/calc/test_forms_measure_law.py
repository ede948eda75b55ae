"""The form for a variable capacitor's law: each law found again, by either way, and what is said of poor readings."""

import math
from functools import partial

import numpy as np
import pytest

from calc import bands, bridge, tuning_capacitor
from tests.calc.form_answers import answer as form_answer

answer = partial(form_answer, "measure-law")

MARKS = (0.0, 15.0, 40.0, 60.0, 85.0, 100.0)
WORDS = {"semicircular": "half-round", "wavelength": "square-law", "frequency": "equal steps of frequency"}


def rows(found):
    return {row["key"]: row for row in found["rows"]}


def notes(found):
    return " ".join(each["text"] for each in found["advice"] if each["kind"] == "note")


def table(found, key):
    return next(each for each in found["tables"] if each["key"] == key)["rows"]


def readings(kind, marks=MARKS, whole=100.0, reverse=False, strays=0.0):
    own = tuning_capacitor.law(kind, 14e-12, 372e-12, strays=strays).capacitance(np.array(marks) / whole)
    shown = [whole - mark if reverse else mark for mark in marks]
    return "\n".join(f"{mark:.12g}; {value:.12g} F" for mark, value in zip(shown, own.tolist(), strict=True))


@pytest.mark.parametrize("kind", WORDS)
@pytest.mark.parametrize("reverse", [False, True])
def test_each_law_is_found_again(kind, reverse):
    found = answer(capacitances=readings(kind, reverse=reverse))
    assert WORDS[kind] in found["sentence"]
    assert rows(found)["least"]["value"] == pytest.approx(14e-12, rel=1e-8)
    assert rows(found)["greatest"]["value"] == pytest.approx(372e-12, rel=1e-8)
    word = rows(found)["law"]["text"]
    assert word in bands.CAPACITOR_LAWS
    # the same words on the other forms give the same capacitor
    assert bands.capacitance_at(0.4, 14e-12, 372e-12, word) == pytest.approx(
        tuning_capacitor.law(kind, 14e-12, 372e-12).capacitance(0.4)
    )


def test_frequencies_with_a_coil():
    own = tuning_capacitor.law("frequency", 14e-12, 372e-12).capacitance(np.array(MARKS) / 100.0)
    heard = 1.0 / (2.0 * math.pi * np.sqrt(250e-6 * (own + 21e-12)))
    lines = "\n".join(f"{mark:g}; {value:.12g} Hz" for mark, value in zip(MARKS, heard.tolist(), strict=True))
    found = answer(way="frequency", frequencies=lines, inductance="250u", strays="21p")
    assert "equal steps of frequency" in found["sentence"]
    assert rows(found)["least"]["value"] == pytest.approx(14e-12, rel=1e-8)
    assert rows(found)["greatest"]["value"] == pytest.approx(372e-12, rel=1e-8)


def test_a_dial_to_180_and_one_of_the_readers_own():
    marks = (0.0, 30.0, 90.0, 120.0, 180.0)
    half = answer(capacitances=readings("wavelength", marks, 180.0), scale="180")
    assert rows(half)["least"]["value"] == pytest.approx(14e-12, rel=1e-8)
    own = "\n".join(
        f"{10 + 50 * float(line.split(';')[0]) / 180:.12g};{line.split(';')[1]}"
        for line in readings("wavelength", marks, 180.0).splitlines()
    )
    found = answer(capacitances=own, scale="own", lowest="60", highest="10")
    assert rows(found)["greatest"]["value"] == pytest.approx(372e-12, rel=1e-8)


def test_strays_for_which_the_plates_were_cut():
    cut = readings("frequency", strays=25e-12)
    assert rows(answer(capacitances=cut, plate_strays="25p"))["least"]["value"] == pytest.approx(14e-12, rel=1e-8)
    assert rows(answer(capacitances=cut, plate_strays="0"))["least"]["value"] != pytest.approx(14e-12, rel=1e-2)


def test_the_bench_of_the_page_holds_its_own_truth():
    """Both sets of readings were made up from a square-law capacitor of 14 to 372 pF, with noise as stated."""
    for way in ("capacitance", "frequency"):
        found = rows(answer(way=way))
        assert found["law"]["text"] == "wavelength"
        for key, true in (("least", 14e-12), ("greatest", 372e-12)):
            low, high = found[key]["interval"]
            assert low < true < high


def test_two_readings_do_not_decide():
    found = answer(capacitances="0; 14 pF\n100; 372 pF")
    assert "do not decide" in found["sentence"]
    assert "middle of the dial" in notes(found)
    assert rows(found)["chance"]["text"] == "—"


def test_a_capacitor_of_no_law_keeps_its_curve():
    odd = {0: 14, 20: 20, 40: 120, 60: 150, 80: 300, 100: 372}
    found = answer(capacitances="\n".join(f"{mark}; {value} pF" for mark, value in odd.items()))
    assert found["sentence"].startswith("No law fits")
    assert rows(found)["chance"]["text"] == "less than 0.01 %"
    over = {round(row[0]["value"], 6): row[2]["value"] for row in table(found, "dial")}
    for mark, value in odd.items():
        assert over[mark] == pytest.approx(value * 1e-12, rel=1e-9)
    assert "On the other forms" not in notes(found)
    wild = answer(capacitances="0; 14 pF\n20; 120 pF\n40; 60 pF\n60; 300 pF\n80; 150 pF\n100; 372 pF")
    assert "do not rise all the way" in notes(wild)
    assert all(row[2]["value"] is None for row in table(wild, "dial"))


def test_the_curve_does_not_reach_beyond_the_readings():
    found = answer(capacitances=readings("wavelength", (20.0, 50.0, 80.0)))
    assert [row[2]["value"] is None for row in table(found, "dial")] == [True] * 2 + [False] * 7 + [True] * 2
    assert "worked out beyond the readings" in notes(found)


def test_a_law_that_cannot_be_is_said_to_be_so():
    laws = table(answer(way="frequency"), "laws")
    assert "cannot be" in {row[1]["text"] for row in laws}
    assert len(laws) == 3


@pytest.mark.parametrize(
    ("texts", "field", "words"),
    [
        ({"capacitances": "0; 14p\n120; 300p"}, "capacitances", "from 0 to 100 alone"),
        ({"capacitances": "40; 14p\n40; 300p"}, "capacitances", "two different"),
        ({"scale": "own", "lowest": "5", "highest": "5"}, "highest", "differ"),
        ({"way": "frequency", "frequencies": "0; 30 MHz\n100; 500 kHz"}, "strays", "leave nothing"),
    ],
)
def test_refusals_stand_beside_their_field(texts, field, words):
    found = bridge.run("measure-law", texts)
    assert not found["ok"]
    assert words in found["errors"][field]
