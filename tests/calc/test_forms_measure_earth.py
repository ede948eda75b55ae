"""The earth-measuring form: hemispheres in and their resistance out, the slope check, and the warnings."""

from functools import partial

import numpy as np
import pytest

from calc import bridge
from calc.fitting.earth_stakes import reading
from tests.calc.form_answers import answer as form_answer

answer = partial(form_answer, "measure-earth")

SHARES = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7)


def rows(found):
    return {row["key"]: row for row in found["rows"]}


def notes(found, kind="note"):
    return " ".join(each["text"] for each in found["advice"] if each["kind"] == kind)


def bench(resistance, resistivity, far, shares=SHARES):
    places = np.array(shares) * far
    read = np.asarray(reading(resistance, resistivity, places, far))
    return "\n".join(f"{p:.12g} m; {r:.12g} ohm" for p, r in zip(places.tolist(), read.tolist(), strict=True))


@pytest.mark.parametrize("truth", [(62.0, 95.0), (8.0, 30.0), (900.0, 2000.0)])
def test_exact_readings_give_the_earth_back(truth):
    found = rows(answer(readings=bench(*truth, 40.0), current_distance="40 m"))
    assert found["resistance"]["value"] == pytest.approx(truth[0], rel=1e-8)
    assert found["resistivity"]["value"] == pytest.approx(truth[1], rel=1e-8)
    assert found["place"]["value"] == pytest.approx(24.72, abs=0.01)
    assert found["slope_coefficient"]["value"] == pytest.approx(0.5714, abs=1e-3)
    assert found["slope_resistance"]["value"] == pytest.approx(truth[0], rel=0.005)


def test_the_bench_of_the_page_holds_its_own_truth():
    """The default readings were made up from 62 ohm in soil of 95 ohm m, with noise as stated."""
    found = rows(answer())
    for key, true in (("resistance", 62.0), ("resistivity", 95.0)):
        low, high = found[key]["interval"]
        assert low < true < high


def test_a_current_stake_that_is_too_near_is_remarked():
    assert "do not level off" in notes(answer(readings=bench(62.0, 95.0, 6.0), current_distance="6 m"))
    assert "do not level off" not in notes(answer())


def test_an_earth_off_its_tape_is_remarked():
    shares = np.array(SHARES)
    read = 20.0 + 2.0 * (1.0 / (1.0 - shares) - 1.0 / (shares + 0.3) - 1.0 / 1.3)
    lines = "\n".join(f"{25 * s:.6g} m; {r:.6g} ohm" for s, r in zip(shares.tolist(), read.tolist(), strict=True))
    found = answer(readings=lines, reading_uncertainty="0.2 %", scale_uncertainty="0.1 %", far_uncertainty="0")
    assert "slope method does not agree" in notes(found)
    assert rows(found)["slope_resistance"]["value"] == pytest.approx(20.0, rel=0.02)


def test_without_its_readings_there_is_no_slope_check():
    found = rows(answer(readings=bench(62.0, 95.0, 25.0, (0.45, 0.55, 0.65))))
    assert found["slope_coefficient"]["value"] is None
    assert found["slope_resistance"]["text"] == "—"
    assert found["resistance"]["value"] == pytest.approx(62.0, rel=1e-8)


def test_readings_on_one_side_alone_are_remarked():
    assert "on either side" in notes(answer(readings=bench(62.0, 95.0, 25.0, (0.2, 0.3))))


def test_a_bad_reading_is_named():
    lines = bench(62.0, 95.0, 25.0).splitlines()
    lines[3] = "12.5 m; 75 ohm"
    assert "reading 4" in notes(answer(readings="\n".join(lines)))


def test_whoever_measures_is_warned():
    told = notes(answer(), "caution")
    for words in (
        "mains protective earth",
        "Local codes",
        "licensed electrician",
        "earths of power lines",
        "thunder",
        "before you drive a stake",
        "Never use the mains",
    ):
        assert words in told


@pytest.mark.parametrize(
    ("texts", "field", "words"),
    [
        ({"readings": "5 m; 60 ohm\n30 m; 61 ohm"}, "readings", "distance of the current stake"),
        ({"readings": "5 m; 60 ohm\n5 m; 61 ohm"}, "readings", "two different"),
        ({"readings": "16 m; 1 ohm\n24 m; 900 ohm"}, "readings", "no lead is swapped"),
        ({"far_uncertainty": "10 m"}, "far_uncertainty", "a fifth"),
    ],
)
def test_refusals_stand_beside_their_field(texts, field, words):
    found = bridge.run("measure-earth", texts)
    assert not found["ok"]
    assert words in found["errors"][field]
