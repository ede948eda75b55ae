"""The earphone-measuring form: four ways to the same earphone, and what it says of ears, rooms and loudness."""

import math
from functools import partial

import pytest

from calc import bridge, earphones
from calc.fitting.earphone_level import masked_threshold
from tests.calc.form_answers import answer as form_answer

answer = partial(form_answer, "measure-earphone")

WAYS = ("balance-volts", "balance-attenuator", "threshold-attenuator", "threshold-volts")


def rows(found):
    return {row["key"]: row for row in found["rows"]}


def parts(found):
    return {row[0]["text"]: row[1]["value"] for row in next(t for t in found["tables"] if t["key"] == "parts")["rows"]}


def volts(sensitivity, impedance, level):
    """Across an earphone that makes a level."""
    return math.sqrt(1e-3 * 10.0 ** ((level - sensitivity) / 10.0) * impedance)


def test_by_voltages():
    known, this = volts(95.0, 40.0, 65.0), volts(110.0, 10e3, 65.0)
    found = answer(
        balance_volts=f"{known:.12g} V; {this:.12g} V",
        impedance="10k",
        known_sensitivity="95 dB",
        known_impedance="40",
    )
    assert rows(found)["sensitivity"]["value"] == pytest.approx(110.0, abs=1e-8)
    assert rows(found)["level"]["value"] == pytest.approx(65.0, abs=1e-8)


def test_by_an_attenuator():
    known, this = (-20.0 * math.log10(volts(s, z, 65.0) / 2.0) for s, z in ((97.0, 32.0), (110.0, 12e3)))
    found = answer(way="balance-attenuator", source="2 V", balance_attenuator=f"{known:.12g}; {this:.12g}")
    assert rows(found)["sensitivity"]["value"] == pytest.approx(110.0, abs=1e-8)


@pytest.mark.parametrize("way", WAYS[2:])
def test_at_the_threshold(way):
    level = float(masked_threshold(500.0, earphones.room_noise(25.0, 500.0) - 12.0, 10.0 + 3.0))
    heard = volts(104.0, 8e3, level)
    text = f"{heard:.12g} V" if way == "threshold-volts" else f"{-20.0 * math.log10(heard / 1.0):.12g} dB"
    found = answer(
        way=way,
        impedance="8k",
        frequency="500 Hz",
        ears="one",
        hearing_loss="10 dB",
        room="quiet",
        shut_out="12 dB",
        **{way.replace("-", "_"): text},
    )
    assert rows(found)["level"]["value"] == pytest.approx(level, abs=1e-9)
    assert rows(found)["sensitivity"]["value"] == pytest.approx(104.0, abs=1e-8)


def test_the_margin_comes_right_for_ones_own_ears():
    """Ears 10 dB worse than the table, and not known to be: the earphone comes out 10 dB too poor, so that what it
    makes at this listener's threshold is put at the table's."""
    own = earphones.threshold(1000.0) + 10.0
    heard = volts(108.0, 12e3, own)
    found = answer(
        way="threshold-volts", threshold_volts=f"{heard:.12g} V", room="own", room_noise="-10", shut_out="40"
    )
    told = earphones.Earphone(12e3, rows(found)["sensitivity"]["value"])
    assert earphones.sound_level(told, heard**2 / 12e3) == pytest.approx(earphones.threshold(1000.0), abs=0.01)


def test_the_benches_of_the_page_hold_their_truth():
    """All four were made up for an earphone of 108 dB."""
    for way in WAYS:
        low, high = rows(answer(way=way))["sensitivity"]["interval"]
        assert low < 108.0 < high


def test_the_parts_make_up_the_whole():
    for way in WAYS:
        found = answer(way=way)
        told = parts(found)
        whole = told.pop("All together")
        assert math.sqrt(sum(value**2 for value in told.values())) == pytest.approx(whole, rel=1e-12)
        assert rows(found)["sensitivity"]["uncertainty"] == pytest.approx(whole, rel=1e-5)


def test_the_threshold_is_honestly_wide():
    by_ear, compared = (rows(answer(way=way))["sensitivity"]["uncertainty"] for way in ("threshold-volts", WAYS[0]))
    assert by_ear > compared
    assert by_ear > 4.0


def test_noise_counts_in_a_noisy_room_and_hearing_in_a_still_one():
    still, noisy = (
        parts(answer(way="threshold-volts", room=room, shut_out=out))
        for room, out in (("still", "25"), ("living", "0"))
    )
    assert still["Your hearing"] > 4.5 > 1.0 > still["The noise at the ear"]
    assert noisy["The noise at the ear"] > 4.5 > 1.0 > noisy["Your hearing"]


def test_the_scatter_can_tell():
    found = rows(answer(judgement=""))
    low, high = found["sensitivity"]["interval"]
    assert low < 108.0 < high
    alone = answer(judgement="", balance_volts="20 mV; 100 mV")
    assert "interval" not in rows(alone)["sensitivity"]
    assert "as many readings as unknowns" in " ".join(each["text"] for each in alone["advice"])


def test_more_readings_help_little():
    few, many = answer(), answer(balance_volts="\n".join(["20 mV; 100 mV"] * 40))
    assert parts(many)["Balances by ear"] < 0.4 * parts(few)["Balances by ear"]
    assert rows(many)["sensitivity"]["uncertainty"] > 0.9 * rows(few)["sensitivity"]["uncertainty"]


@pytest.mark.parametrize("way", WAYS)
def test_whoever_listens_is_warned(way):
    told = " ".join(each["text"] for each in answer(way=way)["advice"] if each["kind"] == "caution")
    for words in ("at its weakest", "Take them off", "battery", "high-tension"):
        assert words in told


def test_a_power_that_hurts_is_refused():
    found = bridge.run("measure-earphone", {"way": "threshold-volts", "threshold_volts": "50 V"})
    assert "not to be worn" in found["errors"]["threshold_volts"]
