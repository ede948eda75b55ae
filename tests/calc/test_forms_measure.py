"""Bench forms: readings of known parts through the page, what they say of how sure they are, and what they refuse."""

import math

import numpy as np
import pytest

from calc import bridge, fitting
from calc.fitting import Measured
from calc.forms import FORMS
from calc.forms.measure.shared import from_to, half_width, how_sure, with_uncertainty
from tests.calc.form_answers import answer
from tests.strategies import bad_inputs, generated_inputs

TWO_PI = 2.0 * math.pi
IDS = ["measure-coil", "measure-capacitor", "measure-aerial", "measure-q", "measure-coupling"]
WAYS = [(form_id, choice.value) for form_id in IDS[1:] for choice in FORMS[form_id].field("way").choices]


def refusal(form_id, **texts):
    found = bridge.run(form_id, texts)
    assert not found["ok"]
    return found["errors"]


def rows(found):
    return {row["key"]: row for row in found["rows"]}


def table_of(*columns):
    return "\n".join("; ".join(f"{cell:.15g}" for cell in row) for row in zip(*columns, strict=True))


def words(found):
    return " ".join(advice["text"] for advice in found["advice"])


# --- all of them --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form_id", IDS)
def test_the_default_answers_with_a_picture_a_span_and_what_is_left_out(form_id):
    found = answer(form_id)
    assert found["charts"] or found["bars"]
    assert found["tables"]
    assert "19 times in 20" in found["sentence"]
    assert "±" in found["sentence"]
    assert all(row["how"] for row in found["rows"])
    assert any(advice["kind"] == "limit" for advice in found["advice"])
    first = found["rows"][0]
    least, most = first["interval"]
    assert least < first["value"] < most
    assert most - first["value"] == pytest.approx(1.96 * first["uncertainty"], rel=0.01)


@pytest.mark.parametrize(("form_id", "way"), WAYS)
def test_each_way_has_a_good_example(form_id, way):
    found = answer(form_id, way=way)
    assert "19 times in 20" in found["sentence"]
    assert not any("Not of a piece" in advice["text"] for advice in found["advice"])


@pytest.mark.parametrize("form_id", IDS)
def test_generated_readings_are_answered_or_refused_beside_a_field(form_id):
    good = 0
    for texts in generated_inputs(FORMS[form_id], 120, seed=4):
        found = bridge.run(form_id, texts)
        good += found["ok"]
        assert found["ok"] or "" not in found["errors"], (texts, found)
    assert good > 15


@pytest.mark.parametrize("form_id", IDS)
def test_bad_readings_are_refused_beside_their_field(form_id):
    for texts, name in bad_inputs(FORMS[form_id], 40, seed=5):
        assert name in refusal(form_id, **texts)


# --- words --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "uncertainty", "unit", "text"),
    [
        (239.16e-6, 1.15e-6, "H", "239.2 ± 2.3 µH"),
        (8.58e-12, 2.07e-12, "F", "8.6 ± 4.1 pF"),
        (0.0812, 0.0015, "%", "8.12 ± 0.29 %"),
        (1000e3, 82.0, "Hz", "1000.00 ± 0.16 kHz"),
        (-3e-12, 2e-12, "F", "−3.0 ± 3.9 pF"),
        (110.0, 31.0, "", "110 ± 61"),
        (240e-6, None, "H", "240 µH"),
        (240e-6, math.inf, "H", "240 µH"),
        (240e-6, 0.0, "H", "240 µH ± 0"),
    ],
)
def test_figures_with_their_uncertainty(value, uncertainty, unit, text):
    assert with_uncertainty(Measured(value, uncertainty), unit) == text


def test_words_for_how_sure():
    assert how_sure(Measured(1.0, None), "") == "nothing tells how sure that is"
    assert how_sure(Measured(1.0, math.inf), "") == "the readings do not decide it"
    assert how_sure(Measured(1.0, 0.6), "") == "by these readings it may be anything down to nought"
    assert how_sure(Measured(100e-12, 5e-12), "F") == "19 times in 20 the truth lies from 90.2 to 109.8 pF"
    assert from_to(-1e-12, 2e-12, "F") == "−1.0 to 2.0 pF"
    assert half_width(Measured(1.0, 1.0, 1)) == pytest.approx(12.706, abs=5e-4)


# --- known parts --------------------------------------------------------------------------------------------------


def test_a_known_coil():
    across = np.array([50.0, 120.0, 300.0, 480.0])
    frequency = np.asarray(fitting.resonance(200e-6, 15e-12, across * 1e-12)) / 1e3
    found = rows(answer("measure-coil", readings=table_of(across, frequency), strays="5p"))
    assert found["inductance"]["value"] == pytest.approx(200e-6, rel=1e-9)
    assert found["together"]["value"] == pytest.approx(15e-12, rel=1e-9)
    assert found["self_capacitance"]["value"] == pytest.approx(10e-12, rel=1e-9)
    own = math.hypot(found["together"]["uncertainty"], 2e-12)
    assert found["self_capacitance"]["uncertainty"] == pytest.approx(own, rel=1e-9)


def test_two_resonances_are_the_exact_formula():
    found = rows(answer("measure-coil", readings="100; 980 kHz\n400; 510 kHz"))
    inductance, own = fitting.coil_from_two_resonances(980e3, 100e-12, 510e3, 400e-12)
    assert found["inductance"]["value"] == pytest.approx(inductance, rel=1e-9)
    assert found["together"]["value"] == pytest.approx(own, rel=1e-9)


def test_two_resonances_with_nothing_stated_tell_nothing_of_their_uncertainty():
    found = answer(
        "measure-coil", readings="100; 980 kHz\n400; 510 kHz", frequency_uncertainty="", capacitance_uncertainty=""
    )
    assert "nothing tells how sure" in found["sentence"]
    assert "uncertainty" not in rows(found)["inductance"]
    assert "as many readings as unknowns" in words(found)


def test_a_spoilt_reading_is_named():
    readings = FORMS["measure-coil"].field("readings").default.replace("796 kHz", "776 kHz")
    found = answer("measure-coil", readings=readings)
    assert "reading 3" in words(found)
    assert [mark["label"] for mark in found["charts"][0]["marks"] if mark["emphasis"]] == ["3"]


def test_readings_that_scatter_more_than_stated_are_told():
    found = answer("measure-coil", frequency_uncertainty="0.02 %", capacitance_uncertainty="0.02 %")
    assert "times as far as you stated" in words(found)


def test_strays_beyond_what_lies_across_are_asked_after():
    found = answer("measure-coil", strays="40p")
    assert "below nought" in found["sentence"]
    assert "Are they less?" in words(found)


def test_a_known_capacitor_both_ways():
    across = answer("measure-capacitor", readings="400; 280\n300; 180", strays="2p")
    assert rows(across)["capacitance"]["value"] == pytest.approx(118e-12, rel=1e-9)
    assert rows(across)["capacitance"]["uncertainty"] == pytest.approx(0.6e-12, rel=1e-9)
    before = np.array([200.0, 300.0])
    series = answer("measure-capacitor", way="series", series_readings=table_of(before, before * 900 / (900 - before)))
    assert rows(series)["capacitance"]["value"] == pytest.approx(900e-12, rel=1e-9)
    assert rows(series)["enlarged"]["value"] == pytest.approx((900 / 250) ** 2, rel=1e-6)


def test_a_capacitor_that_may_be_charged_is_warned_of():
    assert any(advice["kind"] == "caution" for advice in answer("measure-capacitor")["advice"])


@pytest.mark.parametrize("sought", ["capacitance", "inductance"])
def test_a_known_aerial(sought):
    inductance = 15e-6 if sought == "inductance" else 0.0
    frequency = np.array([500e3, 700e3, 900e3])
    omega = TWO_PI * frequency
    seen = 1.0 / (50.0 + 1j * (omega * inductance - (1 / 200e-12 + 1 / 50e-12) / omega))
    setting = np.array([400e-12, 300e-12, 200e-12])
    width = np.array([5e3, 7e3, 9e3])
    readings = table_of(
        frequency / 1e3,
        setting * 1e12,
        (setting - seen.imag / omega) * 1e12,
        width / 1e3,
        (width + seen.real / (TWO_PI * (setting + 20e-12))) / 1e3,
    )
    found = rows(answer("measure-aerial", retuned=readings, series_capacitance="50p", strays="20p", sought=sought))
    assert found["capacitance"]["value"] == pytest.approx(200e-12, rel=1e-8)
    assert found["resistance"]["value"] == pytest.approx(50.0, rel=1e-8)
    if inductance:
        assert found["inductance"]["value"] == pytest.approx(inductance, rel=1e-8)
        assert found["resonance"]["value"] == pytest.approx(1 / (TWO_PI * math.sqrt(15e-6 * 200e-12)), rel=1e-8)


def test_whoever_measures_an_aerial_is_warned():
    told = " ".join(a["text"] for a in answer("measure-aerial")["advice"] if a["kind"] == "caution")
    for danger in ("thunder", "power lines", "local codes", "licensed practice"):
        assert danger in told


def test_an_inductance_wants_frequencies_apart():
    only = FORMS["measure-aerial"].field("retuned").default.splitlines()[0]
    assert "sought" in refusal("measure-aerial", retuned=only, sought="inductance")


def test_a_known_q_by_width():
    middle, quality = 900.0, 80.0
    level = np.array([70.7, 50.0])
    half = np.sqrt(1e4 / level**2 - 1.0) / (2.0 * quality)
    root = np.sqrt(1.0 + half**2)
    pairs = table_of(level, middle * (root - half), middle * (root + half))
    found = rows(answer("measure-q", pairs=pairs, meter_resistance="200k", capacitance="150p"))
    assert found["loaded"]["value"] == pytest.approx(80.0, rel=1e-9)
    own = 1.0 / (1.0 / 80.0 - 1.0 / (TWO_PI * 900e3 * 150e-12 * 200e3))
    assert found["unloaded"]["value"] == pytest.approx(own, rel=1e-9)
    assert found["width"]["value"] == pytest.approx(900e3 / 80.0, rel=1e-9)
    alone = answer("measure-q", pairs=pairs, meter_resistance="")
    assert "unloaded" not in rows(alone)


def test_a_meter_that_reads_power():
    by_voltage = rows(answer("measure-q", pairs="70.71067811865476; 995; 1005", meter_resistance=""))
    by_power = rows(answer("measure-q", pairs="50; 995; 1005", law="power", meter_resistance=""))
    assert by_power["loaded"]["value"] == pytest.approx(by_voltage["loaded"]["value"], rel=1e-9)


def test_a_known_q_by_step_up():
    """150 times, 0.5 ohm and 500 kohm, worked by hand."""
    found = rows(
        answer(
            "measure-q",
            way="ratio",
            voltages="10; 1.5\n20; 3",
            capacitance="100p",
            injection_resistance="0.5",
            meter_resistance="500k",
            self_capacitance="5p",
        )
    )
    reactance = 1.0 / (TWO_PI * 1e6 * 100e-12)
    loss = reactance / 150.0 - 0.5 - reactance**2 / 500e3
    assert found["loss"]["value"] == pytest.approx(loss, rel=1e-9)
    assert found["effective"]["value"] == pytest.approx(reactance / loss, rel=1e-9)
    assert found["own"]["value"] == pytest.approx(1.05 * reactance / loss, rel=1e-9)


def test_known_coupling_both_ways():
    found = rows(answer("measure-coupling", aiding="290u", opposing="210u", first="235u", second="15u"))
    assert found["mutual"]["value"] == pytest.approx(20e-6, rel=1e-9)
    assert found["coefficient"]["value"] == pytest.approx(20.0 / math.sqrt(235.0 * 15.0), rel=1e-9)
    short = 1.0 / math.sqrt(1.0 - 0.15**2)
    found = rows(
        answer("measure-coupling", way="short", resonances=f"600; {600 * short:.15g}\n900; {900 * short:.15g}")
    )
    assert found["coefficient"]["value"] == pytest.approx(0.15, rel=1e-9)
    least, most = found["coefficient"]["interval"]
    low, high = found["square"]["interval"]
    assert (least, most) == pytest.approx((math.sqrt(low), math.sqrt(high)))


def test_coupling_that_may_be_nought_says_so():
    found = answer("measure-coupling", way="short", resonances="600; 600.1")
    assert "may be nought" in found["sentence"]
    assert rows(found)["coefficient"]["interval"][0] == 0.0


@pytest.mark.parametrize(
    ("form_id", "texts", "field"),
    [
        ("measure-coil", {"readings": "100; 500 kHz\n400; 980 kHz"}, "readings"),
        ("measure-coil", {"readings": "100; 500 kHz"}, "readings"),
        ("measure-coil", {"readings": "100; 500 kHz\n100; 510 kHz"}, "readings"),
        ("measure-capacitor", {"readings": "100; 200"}, "readings"),
        ("measure-capacitor", {"way": "series", "series_readings": "200; 100"}, "series_readings"),
        ("measure-capacitor", {"strays": "300p"}, "strays"),
        ("measure-aerial", {"retuned": "600; 200; 210; 6; 7"}, "retuned"),
        ("measure-aerial", {"way": "shifted", "shifted": "600; 700; 200; 6; 7"}, "shifted"),
        ("measure-aerial", {"series_capacitance": "20p"}, "series_capacitance"),
        ("measure-q", {"pairs": "70; 1000; 990"}, "pairs"),
        ("measure-q", {"meter_resistance": "50k"}, "meter_resistance"),
        ("measure-q", {"way": "ratio", "voltages": "1 V; 1 V"}, "voltages"),
        ("measure-q", {"way": "ratio", "injection_resistance": "10"}, "injection_resistance"),
        ("measure-coupling", {"aiding": "200u", "opposing": "250u"}, "opposing"),
        ("measure-coupling", {"aiding": "900u"}, "aiding"),
        ("measure-coupling", {"way": "short", "resonances": "600; 590"}, "resonances"),
    ],
)
def test_readings_that_cannot_be_are_refused_beside_their_field(form_id, texts, field):
    assert list(refusal(form_id, **texts)) == [field]
