"""The diode-measuring form: its bench in and the diode out, and what it says of poor readings."""

import math
from functools import partial

import numpy as np
import pytest

from calc import bridge
from calc.detectors import Diode
from calc.fitting.diode_curve import forward_voltage
from tests.calc.form_answers import answer as form_answer

answer = partial(form_answer, "measure-diode")

CURRENTS = (2e-6, 6e-6, 2e-5, 6e-5, 2e-4, 6e-4)


def rows(found):
    return {row["key"]: row for row in found["rows"]}


def notes(found, kind="note"):
    return " ".join(each["text"] for each in found["advice"] if each["kind"] == kind)


def bench(saturation_current, ideality, bulk, celsius=20.0, voltmeter=math.inf):
    """Exact readings, as typed."""
    volts = forward_voltage(np.array(CURRENTS), saturation_current, ideality, celsius + 273.15, bulk)
    return "\n".join(f"{i + v / voltmeter:.12g} A; {v:.12g} V" for i, v in zip(CURRENTS, volts.tolist(), strict=True))


@pytest.mark.parametrize("truth", [(8e-7, 1.25, 12.0), (3e-6, 1.06, 25.0), (2e-8, 1.1, 0.0)])
def test_exact_readings_give_the_diode_back(truth):
    found = rows(answer(readings=bench(*truth, voltmeter=10e6), temperature="20 °C"))
    assert found["saturation_current"]["value"] == pytest.approx(truth[0], rel=1e-7)
    assert found["ideality"]["value"] == pytest.approx(truth[1], rel=1e-8)
    assert found["series_resistance"]["value"] == pytest.approx(truth[2], abs=1e-5)
    own = Diode(truth[0], truth[1], 293.15).zero_bias_resistance
    assert found["zero_bias_resistance"]["value"] == pytest.approx(own, rel=1e-7)
    for row in found.values():
        low, high = row["interval"]
        assert low < row["value"] < high
        assert row["uncertainty"] > 0.0


def test_the_bench_of_the_page_holds_its_own_truth():
    """The default readings were made up from 0.8 µA, 1.25 and 12 ohm at 21 °C, with noise as stated."""
    found = rows(answer())
    for key, true in (
        ("saturation_current", 0.8e-6),
        ("ideality", 1.25),
        ("series_resistance", 12.0),
        ("zero_bias_resistance", Diode(0.8e-6, 1.25, 294.15).zero_bias_resistance),
    ):
        low, high = found[key]["interval"]
        assert low < true < high


def test_the_voltmeters_place_matters():
    readings = bench(2e-8, 1.1, 0.0, voltmeter=1e6)
    right, wrong = (rows(answer(readings=readings, voltmeter=text, temperature="20")) for text in ("1M", ""))
    assert right["saturation_current"]["value"] == pytest.approx(2e-8, rel=1e-6)
    assert abs(wrong["saturation_current"]["value"] / 2e-8 - 1.0) > 0.05


def test_two_readings_with_the_bulk_known():
    two = "\n".join(bench(8e-7, 1.25, 12.0).splitlines()[::4])
    found = answer(readings=two, bulk="given", series_resistance="12 ohm", voltmeter="", temperature="20")
    assert rows(found)["saturation_current"]["value"] == pytest.approx(8e-7, rel=1e-7)
    assert rows(found)["series_resistance"]["how"] == "as you gave it"
    refused = bridge.run("measure-diode", {"readings": two})
    assert "three different currents" in refused["errors"]["readings"]


def test_a_wide_interval_is_shown_by_its_ends():
    found = rows(answer(readings="2 uA; 45 mV\n3 uA; 56 mV\n4 uA; 64 mV", voltage_uncertainty="1 mV"))
    assert " to " in found["saturation_current"]["text"]
    low, high = found["saturation_current"]["interval"]
    value = found["saturation_current"]["value"]
    assert value / low == pytest.approx(high / value, rel=1e-9)


def test_an_ideality_that_no_junction_has_is_remarked():
    assert "ideality from 1 to 2" in notes(answer(readings=bench(1e-6, 3.5, 0.0), voltmeter="", temperature="20"))
    assert "ideality from 1 to 2" not in notes(answer())


def test_a_bulk_that_is_not_seen_is_remarked():
    assert "no bulk resistance for certain" in notes(answer(readings=bench(1e-6, 1.2, 0.0), voltmeter=""))
    assert "no bulk" not in notes(answer())


def test_a_bad_reading_is_named():
    lines = bench(8e-7, 1.25, 12.0).splitlines()
    lines[2] = "2e-5 A; 150 mV"
    assert "reading 3" in notes(answer(readings="\n".join(lines), voltmeter=""))


def test_what_is_left_out_is_said():
    told = notes(answer(), "limit")
    for words in ("another temperature", "warms the junction", "backwards", "capacitance"):
        assert words in told


@pytest.mark.parametrize(
    ("texts", "field", "words"),
    [
        ({"readings": "1 uA; 150 mV\n10 uA; 100 mV\n100 uA; 50 mV"}, "readings", "bend as a diode"),
        ({"readings": "1 uA; 150 mV\n1 uA; 100 mV"}, "readings", "three different"),
        (
            {"readings": "1 uA; 150 mV\n10 uA; 200 mV\n99 uA; 250 mV", "voltmeter": "10k"},
            "voltmeter",
            "all the current",
        ),
        ({"temperature": "300"}, "temperature", "from −60 °C to 150 °C"),
    ],
)
def test_refusals_stand_beside_their_field(texts, field, words):
    found = bridge.run("measure-diode", texts)
    assert not found["ok"]
    assert words in found["errors"][field]
