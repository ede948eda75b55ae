"""The parts of the whole-set form one by one: each changes the answer as listening with the same part by hand does."""

import math
from dataclasses import replace

import numpy as np
import pytest

from calc import bridge, coils, earphones, units
from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad, Transformer
from calc.coupling import (
    Acceptor,
    AerialLead,
    CapacitorPair,
    DetectorTap,
    Inductive,
    InductivePair,
    LeadCapacitor,
    LoadingCoil,
    Rejector,
    SeriesCapacitor,
    Tank,
    TunedAerial,
    tap_coefficient,
)
from calc.detectors import Diode, presets
from calc.earphones import Earphone
from calc.forms import FORMS
from calc.forms.fields import arguments
from calc.forms.receiver import verdicts
from calc.forms.receiver.build import ChosenSet
from calc.receiver import Receiver, Station, listen, separations

BASE = {
    "stations": "Ash; 612 kHz; ; ; 12 mV/m\nBirch; 700 kHz; ; ; 5 mV/m\nCedar; 801 kHz; ; ; 2 mV/m",
    "modulation": "30 %",
    "aerial": "measured",
    "aerial_capacitance": "200p",
    "aerial_inductance": "15 µH",
    "effective_height": "6 m",
    "earth_resistance": "60",
    "coil": "measured",
    "coil_inductance": "240 µH",
    "coil_quality": "180",
    "coil_turns": "60",
    "coil_former": "75 mm",
    "coil_pitch": "0.8 mm",
    "capacitor": "own",
    "capacitor_least": "5p",
    "capacitor_most": "500p",
    "link": "capacitor",
    "link_capacitor": "33p",
    "detector": "own",
    "saturation_current": "200 nA",
    "ideality": "1.3",
    "series_resistance": "7",
    "junction_capacitance": "0.5p",
    "temperature": "20",
    "earphone": "own",
    "impedance": "12k",
    "dc_resistance": "4k",
    "sensitivity": "108",
    "bypass": "1n",
    "room": "own",
    "room_noise": "27",
}
CARRIERS, FIELDS = (612e3, 700e3, 801e3), (12e-3, 5e-3, 2e-3)
STATIONS = [Station(str(f), f, e, 0.3) for f, e in zip(CARRIERS, FIELDS, strict=True)]
LOAD = AudioLoad(4e3, 12e3, bypass=1e-9)


def loss(inductance, quality, frequency):
    return 2.0 * math.pi * frequency * inductance / quality


def by_hand(tuned_to, **changes):
    """The base set, some of it changed, its coil's loss that at the tuning."""
    plain = Receiver(
        SeriesAerial(60.0, 15e-6, 200e-12),
        6.0,
        SeriesCapacitor(33e-12),
        Tank(240e-6, loss(240e-6, 180.0, tuned_to), 1e-12),
        Diode(200e-9, 1.3, 293.15, 7.0, 0.5e-12),
        Earphone(12e3, 108.0),
        27.0,
        load=LOAD,
    )
    return listen(replace(plain, **changes), STATIONS, tuned_to)


def answered(**texts):
    found = bridge.run("receiver", BASE | texts)
    assert found["ok"], found
    return found


def table(found, key="stations"):
    (wanted,) = (part for part in found["tables"] if part["key"] == key)
    keys = [column["key"] for column in wanted["columns"]]
    return [dict(zip(keys, (cell["value"] for cell in row), strict=True)) for row in wanted["rows"]]


def compare(texts, changes, tolerance=1e-9):
    """The form's table against listening by hand; `changes` makes the parts for a tuning. Returns the levels."""
    rows = table(answered(**texts))
    for index, (row, carrier) in enumerate(zip(rows, CARRIERS, strict=True)):
        levels = verdicts.told(np.array([one.sound_level for one in by_hand(carrier, **changes(carrier))]))
        assert row["level"] == pytest.approx(levels[index], abs=tolerance)
        assert row["separation"] == pytest.approx(separations(levels)[index], abs=tolerance)
    return np.array([row["level"] for row in rows])


@pytest.fixture(scope="module")
def plain():
    return compare({}, lambda _: {})


# --- the link -----------------------------------------------------------------------------------------------------


def winding(frequency):
    diameter, length = 75e-3 + 0.8e-3, 10 * 1.08 * 0.8e-3
    return Inductive(
        coils.solenoid_inductance(10, diameter, length),
        coils.solenoid_resistance(10, diameter, length, 0.8e-3, frequency),
        0.1,
    )


def test_tuning_the_aerial_of_a_loose_winding_makes_it_louder():
    texts = {"winding_turns": "10", "winding_wire": "0.8 mm", "coefficient": "10 %"}
    middle = math.sqrt(CARRIERS[0] * CARRIERS[-1])  # the form takes the winding's own small loss there
    tuned = compare(texts | {"link": "tuned-winding"}, lambda _: {"link": TunedAerial(winding(middle))})
    untuned = compare(texts | {"link": "winding"}, lambda _: {"link": winding(middle)})
    assert np.all(tuned > untuned)


@pytest.mark.parametrize(
    ("texts", "inductance", "quality"),
    [
        ({}, 240e-6, 180.0),
        ({"first_inductance": "200 µH"}, 200e-6, 180.0),
        ({"first_inductance": "200 µH", "first_quality": "90"}, 200e-6, 90.0),
    ],
)
@pytest.mark.parametrize("kind", ["pair", "pair-capacitor"])
def test_two_tuned_circuits_separate_better_than_one(kind, texts, inductance, quality):
    def changes(carrier):
        feed, first = SeriesCapacitor(22e-12), Tank(inductance, loss(inductance, quality, carrier), 1e-12)
        made = InductivePair(feed, first, 0.012) if kind == "pair" else CapacitorPair(feed, first, 2.2e-12)
        return {"link": made}

    chosen = {"link": kind, "first_capacitor": "22p", "pair_coefficient": "1.2 %", "pair_capacitor": "2.2p"}
    compare(texts | chosen, changes)
    pair = [row["separation"] for row in table(answered(**texts | chosen))]
    single = [row["separation"] for row in table(answered(link_capacitor="22p"))]
    assert np.all(np.array(pair) > np.array(single))


# --- in the lead --------------------------------------------------------------------------------------------------

AERIAL = SeriesAerial(60.0, 15e-6, 200e-12)


def test_a_capacitor_in_the_lead():
    part = LeadCapacitor(100e-12)
    compare({"lead": "capacitor", "lead_capacitor": "100p"}, lambda _: {"aerial": AerialLead(AERIAL, (part,))})


def test_a_loading_coil_in_the_lead_with_its_loss_at_a_megahertz():
    part = LoadingCoil(100e-6, loss(100e-6, 120.0, 1e6))
    texts = {"lead": "coil", "lead_inductance": "100 µH", "lead_quality": "120"}
    compare(texts, lambda _: {"aerial": AerialLead(AERIAL, (part,))})


@pytest.mark.parametrize(("kind", "part", "inductance"), [("rejector", Rejector, 100e-6), ("acceptor", Acceptor, 2e-3)])
def test_a_trap_takes_its_station_down_and_little_of_the_others(kind, part, inductance, plain):
    angular = 2.0 * math.pi * 612e3
    trap = part(inductance, angular * inductance / 150.0, 1.0 / (angular**2 * inductance))
    texts = {
        "trap": kind,
        "trap_frequency": "612 kHz",
        "trap_inductance": f"{inductance * 1e6:g} µH",
        "trap_quality": "150",
    }
    changes = {"aerial": AerialLead(AERIAL, (trap,))}
    trapped = compare(texts, lambda _: changes)
    at_birch, before = by_hand(700e3, **changes), by_hand(700e3)
    assert at_birch[0].sound_level < before[0].sound_level - 10.0
    assert trapped[0] < plain[0] - 10.0
    assert at_birch[1].separation > before[1].separation + 5.0


def test_a_trap_stands_before_the_rest_of_the_lead():
    angular = 2.0 * math.pi * 612e3
    trap = Acceptor(2e-3, angular * 2e-3 / 150.0, 1.0 / (angular**2 * 2e-3))
    texts = {"trap": "acceptor", "trap_frequency": "612 kHz", "trap_inductance": "2 mH", "trap_quality": "150"}
    parts = (trap, LeadCapacitor(100e-12))
    compare(texts | {"lead": "capacitor", "lead_capacitor": "100p"}, lambda _: {"aerial": AerialLead(AERIAL, parts)})


# --- the detector -------------------------------------------------------------------------------------------------


def test_a_tap_for_the_detector(plain):
    sheets = [coils.solenoid_inductance(n, 75e-3, n * 0.8e-3) for n in (60, 20, 40)]
    lower, upper = (240e-6 * part / sheets[0] for part in sheets[1:])
    tap = DetectorTap(1.0 / 3.0, float(tap_coefficient(240e-6, lower, upper)), lower)
    tapped = compare({"detector_turns": "20"}, lambda _: {"detector_tap": tap})
    assert np.all(np.abs(tapped - plain) > 0.1)
    assert compare({"detector_turns": "60"}, lambda _: {}) == pytest.approx(plain, abs=1e-12), "the whole coil"


def test_a_diode_of_the_readers_own_with_bulk_and_capacitance(plain):
    diode = Diode(200e-9, 1.3, 293.15, 5e3, 20e-12)
    bulky = compare({"series_resistance": "5k", "junction_capacitance": "20p"}, lambda _: {"diode": diode})
    assert np.all(bulky < plain)
    dials = [table(answered(junction_capacitance=c))[0]["dial"] for c in ("0", "20p")]
    assert dials[1] == pytest.approx(dials[0] - 100.0 * 20.0 / 495.0, abs=1e-9), "it is one of the strays"


@pytest.mark.parametrize("celsius", [-20.0, 45.0])
@pytest.mark.parametrize("name", ["1N34A type", "Galena", "Iron pyrites"])
def test_a_detector_of_the_list_at_its_temperature(name, celsius):
    texts = {"detector": name.lower().replace(" ", "-"), "temperature": f"{celsius:g}"}
    compare(texts, lambda _: {"diode": presets()[name].whole(celsius + 273.15)})


def test_a_bias_cell_wakes_a_sluggish_crystal_for_weak_stations():
    crystal = presets()["Carborundum"].whole(293.15)
    texts = {"detector": "carborundum"}
    asleep = compare(texts, lambda _: {"diode": crystal})
    woken = compare(texts | {"bias": "0.6"}, lambda _: {"diode": crystal, "load": replace(LOAD, bias=0.6)})
    compare(texts | {"bias": "-0.1"}, lambda _: {"diode": crystal, "load": replace(LOAD, bias=-0.1)})
    gain = woken - asleep
    assert np.all(np.diff(gain) > 0.0), "strong stations wake it by themselves, weak ones want the cell"
    assert gain[0] > 0.0
    assert gain[-1] > 10.0


# --- the load -----------------------------------------------------------------------------------------------------


def test_a_transformer_lets_low_resistance_earphones_be_heard():
    phones = Earphone(600.0, 108.0)
    texts = {"impedance": "600", "dc_resistance": "120"}
    bare = AudioLoad(120.0, 600.0, bypass=1e-9)
    without = compare(texts, lambda _: {"earphone": phones, "load": bare})
    load = replace(bare, transformer=Transformer(8.0, 700.0, 0.8))
    texts |= {"transformer": "yes", "ratio": "8", "primary_resistance": "700", "efficiency": "80 %"}
    with_it = compare(texts, lambda _: {"earphone": phones, "load": load})
    assert np.all(with_it > without + 3.0)


def test_the_cure_and_the_bypass():
    cured = replace(LOAD, cure_resistance=8e3, cure_capacitance=0.5e-6)
    texts = {"cure": "yes", "cure_resistance": "8k", "cure_capacitance": "0.5 µF"}
    compare(texts, lambda _: {"load": cured})
    none = compare({"bypass": "0"}, lambda _: {"load": replace(LOAD, bypass=0.0)})
    large = compare({"bypass": "47n"}, lambda _: {"load": replace(LOAD, bypass=47e-9)})
    assert np.all(large < none - 3.0), "it shorts a note of 1 kHz"


@pytest.mark.parametrize("shunt", [20e3, 470e3])
def test_the_resistor_across_a_crystal_earpiece(shunt):
    kind = earphones.earphone_kind("crystal")
    phones = earphones.reshunted(kind.earphone, shunt)
    load = AudioLoad(shunt, shunt, kind.capacitance, bypass=1e-9)
    found = compare({"earphone": "crystal", "shunt": f"{shunt:g}"}, lambda _: {"earphone": phones, "load": load})
    assert np.all(np.isfinite(found))


@pytest.mark.parametrize("key", earphones.earphone_kinds())
def test_the_earphones_of_the_list(key):
    kind = earphones.earphone_kind(key)
    load = AudioLoad(kind.dc_resistance, kind.earphone.impedance, kind.capacitance, bypass=1e-9)
    compare({"earphone": key}, lambda _: {"earphone": kind.earphone, "load": load})


# --- what the form says of them -----------------------------------------------------------------------------------


def told(**texts):
    return " ".join(advice["text"] for advice in answered(**texts)["advice"])


def test_a_set_with_a_battery_is_called_one():
    sentence = "no longer a set without a battery"
    assert sentence not in told()
    assert f"With a bias cell it is {sentence}" in told(bias="0.2")
    assert f"With an amplifier it is {sentence}" in told(earphone="amplifier")
    assert f"With a bias cell and an amplifier it is {sentence}" in told(bias="0.2", earphone="amplifier")


def test_the_transformer_that_is_advised_is_louder():
    texts = {"impedance": "600", "dc_resistance": "120"}
    words = told(**texts)
    assert "matching transformer of about " in words
    ratio = words.split("matching transformer of about ")[1].split()[0]
    before = [row["level"] for row in table(answered(**texts))]
    after = [row["level"] for row in table(answered(**texts, transformer="yes", ratio=ratio))]
    assert np.all(np.array(after) > np.array(before) + 3.0)
    assert "matching transformer" not in told(**texts, transformer="yes", ratio=ratio)
    assert "matching transformer" not in told()


STRONG = {"stations": "Ash; 612 kHz; ; ; 300 mV/m", "link_capacitor": "100p"}


def test_the_cure_that_is_advised_lets_deep_modulation_through():
    words = told(**STRONG)
    assert "clipped" in words
    resistance, capacitance = words.split("a resistor of ")[1].split(", before")[0].split(" with ")
    cured = {"cure": "yes", "cure_resistance": resistance, "cure_capacitance": capacitance.removesuffix(" across it")}
    assert "clipped" not in told(**STRONG, **cured)
    assert "clipped" not in told(), "weak signals are not clipped, they are bent"


def test_a_station_that_would_break_the_detector_down_is_named():
    local = {"stations": "Ash; 612 kHz; ; ; 2 V/m\nElm; 1200 kHz; ; ; 5 mV/m", "link_capacitor": "100p"}
    words = told(**local)
    assert "Ash alone makes " in words
    assert "do not trust the level of Ash." in words
    volts = units.parse(words.split("Ash alone makes ")[1].split(" behind")[0], "V")
    assert volts > 8.0 / 1.3
    assert "do not trust" not in told()


def test_a_bypass_that_dulls_is_named_and_one_that_would_not():
    assert "by-pass takes" not in told()
    words = told(bypass="10n")
    assert "by-pass takes" in words
    enough = words.split("kHz: ")[1].split(" would")[0]
    assert "by-pass takes" not in told(bypass=f"{0.97 * float(enough.split()[0]):.3g} {enough.split()[1]}")


def test_crystals_without_measurements_are_called_assumptions():
    for preset_name, preset in presets().items():
        words = told(detector=preset_name.lower().replace(" ", "-"))
        assert ("its figures are assumptions" in words) is preset.assumed


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({}, ["small capacitor stands between", "from its top to the earphones", "by-pass"]),
        ({"link": "pair"}, ["second tuned circuit"]),
        ({"link": "tuned-winding"}, ["variable loading coil between winding and earth"]),
        (
            {"link": "tuned-winding", "winding_turns": "120", "winding_wire": "0.3 mm"},
            ["variable capacitor between winding and earth"],
        ),
        ({"trap": "rejector", "lead": "coil"}, ["rejector", "loading coil"]),
        ({"detector_turns": "20", "cure": "yes"}, ["from a tap on the coil to a resistor with a capacitor across it"]),
        ({"transformer": "yes", "bias": "-0.2"}, ["matching transformer", "holds the diode back"]),
        ({"earphone": "crystal"}, ["crystal earpiece, which has a resistor across it"]),
        ({"earphone": "amplifier"}, ["an amplifier, which drives the earphones"]),
    ],
)
def test_the_circuit_is_that_of_the_parts(texts, words):
    """An aerial of 200 pF is capacitive with a winding of ten turns, and inductive with one of 120 thin ones."""
    (drawing,) = answered(**texts)["drawings"]
    assert drawing["key"] == f"circuit-{(BASE | texts)['link']}"
    for word in words:
        assert word in drawing["description"]
    assert "by-pass" in drawing["description"]
    assert "by-pass" not in answered(**texts, bypass="0")["drawings"][0]["description"]


# --- stations that are wanted -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("", [0, 1, 2]), (" , ", [0, 1, 2]), ("ash", [0]), ("Fir, upper , Ash", [0, 1]), ("fir,ash,,ASH", [0, 2])],
)
def test_wanted_stations_by_name_commas_and_all(text, wanted):
    form = FORMS["receiver"]
    stations = "Ash; 612 kHz; ; ; 1 mV/m\nFir, upper; 700 kHz; ; ; 1 mV/m\nFir; 801 kHz; ; ; 1 mV/m"
    values, errors = arguments(form.fields, BASE | {"question": "best", "stations": stations, "wanted": text})
    assert not errors
    assert ChosenSet(values).wanted == wanted


# --- sliders ------------------------------------------------------------------------------------------------------

SLIDERS = [(form.id, field) for form in FORMS.values() for field in form.fields if field.stops]


@pytest.mark.parametrize(("form_id", "field"), SLIDERS, ids=[f"{form_id} {field.name}" for form_id, field in SLIDERS])
def test_every_stop_of_a_slider_is_a_text_that_its_field_takes_in_rising_order(form_id, field):
    values = [field.parse(stop) for stop in field.stops]
    assert all(field.least <= value <= field.most for value in values)
    assert values == sorted(values)
    assert len(set(values)) == len(values)
    for index, value in enumerate(values):
        assert field.nearest_stop(value) == index
