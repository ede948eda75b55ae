"""The whole-set form: what it hands to the physics, and what it says of the answer."""

import math

import numpy as np
import pytest

from calc import bridge, coils, ground_wave
from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad
from calc.coupling import Direct, Inductive, SeriesCapacitor, Tank, Tap, tuned_capacitance
from calc.detectors import Diode
from calc.earphones import Earphone
from calc.forms.receiver.verdicts import verdicts
from calc.receiver import Receiver, Station, listen
from tests.calc.form_answers import values

MEASURED = {
    "stations": "Ash; 612 kHz; ; ; 12 mV/m\nBirch; 700 kHz; ; ; 5 mV/m\nCedar; 801 kHz; ; ; 2 mV/m",
    "aerial": "measured",
    "aerial_capacitance": "90p",
    "aerial_inductance": "15 µH",
    "effective_height": "6 m",
    "earth_resistance": "60",
    "coil": "measured",
    "coil_inductance": "240 µH",
    "coil_quality": "180",
    "capacitor": "own",
    "capacitor_least": "15p",
    "capacitor_most": "500p",
    "strays": "15p",
    "detector": "own",
    "saturation_current": "200 nA",
    "ideality": "1.3",
    "series_resistance": "7 Ω",
    "junction_capacitance": "0.5p",
    "temperature": "20",
    "earphone": "own",
    "impedance": "12 kΩ",
    "dc_resistance": "4 kΩ",
    "bypass": "1 nF",
    "sensitivity": "108",
    "room": "own",
    "room_noise": "27 dB",
}
JUNCTION = 0.5e-12
"""Capacitance of the detector [F]."""
LINKS = {
    "direct": ({"link": "direct"}, lambda: Direct()),
    "capacitor": ({"link": "capacitor", "link_capacitor": "33p"}, lambda: SeriesCapacitor(33e-12)),
    "winding": ({"link": "winding", "winding_turns": "10", "winding_wire": "0.8 mm", "coefficient": "20 %"}, None),
}


def heard(**texts):
    found = bridge.run("receiver", MEASURED | texts)
    assert found["ok"], found
    return found


def rows(found, key="stations"):
    (table,) = (table for table in found["tables"] if table["key"] == key)
    keys = [column["key"] for column in table["columns"]]
    return [dict(zip(keys, (cell["value"] for cell in row), strict=True)) for row in table["rows"]]


def by_hand(link, tuned_to):
    """The same set given to the physics directly, its coil's loss taken at the tuned frequency."""
    frequencies, fields = (612e3, 700e3, 801e3), (12e-3, 5e-3, 2e-3)
    set_ = Receiver(
        SeriesAerial(60.0, 15e-6, 90e-12),
        6.0,
        link,
        Tank(240e-6, 2 * math.pi * tuned_to * 240e-6 / 180, 1e-12),
        Diode(200e-9, 1.3, 293.15, 7.0, JUNCTION),
        Earphone(12e3, 108.0),
        27.0,
        load=AudioLoad(4e3, 12e3, bypass=1e-9),
    )
    stations = [Station(str(f), f, e, 0.3) for f, e in zip(frequencies, fields, strict=True)]
    return listen(set_, stations, tuned_to)


def winding_by_hand():
    diameter, length = 75e-3 + 0.8e-3, 10 * 1.08 * 0.8e-3  # close wound in enamelled wire, on the coil's own former
    middle = math.sqrt(612e3 * 801e3)
    return Inductive(
        coils.solenoid_inductance(10, diameter, length),
        coils.solenoid_resistance(10, diameter, length, 0.8e-3, middle),
        0.2,
    )


@pytest.mark.parametrize("kind", LINKS)
def test_the_table_is_what_listening_at_each_station_gives(kind):
    texts, make = LINKS[kind]
    link = make() if make else winding_by_hand()
    found = rows(heard(**texts, coil_former="75 mm"))
    for index, (row, frequency) in enumerate(zip(found, (612e3, 700e3, 801e3), strict=True)):
        reception = by_hand(link, frequency)[index]
        # The coupling winding's own resistance is rounded off by the choice of one frequency for it.
        assert row["level"] == pytest.approx(reception.sound_level, abs=1e-9 if make else 1e-6)
        assert row["margin"] == pytest.approx(reception.margin, abs=1e-9 if make else 1e-6)
        assert row["separation"] == pytest.approx(reception.separation, abs=1e-9 if make else 1e-6)


def test_a_tap_is_placed_by_turns_and_by_the_shape_of_the_coil():
    """Parts of the coil coupled as their current sheets are: the whole is both and their mutual twice over."""
    texts = {"coil_turns": "60", "coil_former": "75 mm", "coil_pitch": "0.8 mm", "link": "tap", "tap_turns": "15"}
    sheets = [coils.solenoid_inductance(n, 75e-3, n * 0.8e-3) for n in (60, 15, 45)]
    whole, lower, upper = sheets
    coefficient = (whole - lower - upper) / (2 * math.sqrt(lower * upper))
    assert 0.0 < coefficient < 1.0
    below = 240e-6 * lower / whole  # of the measured coil, the part below the tap by itself has this share
    reception = by_hand(Tap(0.25, coefficient, below), 612e3)[0]
    assert rows(heard(**texts))[0]["level"] == pytest.approx(reception.sound_level, abs=1e-9)


@pytest.mark.parametrize(
    ("law", "shape"),
    [("capacitance", lambda c: c), ("wavelength", np.sqrt), ("frequency", lambda c: -1 / np.sqrt(c))],
)
def test_the_dial_by_hand(law, shape):
    texts, make = LINKS["capacitor"]
    found = rows(heard(**texts, law=law, coil_turns="60", coil_former="75 mm", coil_pitch="0.8 mm"))
    own = coils.self_capacitance(75e-3, 48e-3) + 15e-12 + JUNCTION
    for row, frequency in zip(found, (612e3, 700e3, 801e3), strict=True):
        tank = Tank(240e-6, 2 * math.pi * frequency * 240e-6 / 180, 1e-12)
        total = tuned_capacitance(frequency, SeriesAerial(60.0, 15e-6, 90e-12), make(), tank)
        turned = (shape(total - own) - shape(15e-12)) / (shape(500e-12) - shape(15e-12))
        assert row["dial"] == pytest.approx(100 * turned, abs=1e-7)


def test_fields_from_power_and_distance_are_those_of_the_ground_wave():
    stations = "Ash; 612 kHz; 1 kW; 14 km;\nBirch; 700 kHz; 5 kW; 30 km; 7 mV/m"
    for ground, conductivity, permittivity in (("land", 3e-3, 22.0), ("sea", 5.0, 70.0)):
        ash, birch = rows(heard(stations=stations, ground=ground))
        expected = ground_wave.field_strength(1e3, 14e3, 612e3, conductivity, permittivity)
        assert ash["field"] == pytest.approx(expected, rel=1e-12)
        assert birch["field"] == pytest.approx(7e-3, rel=1e-12), "a field that is given stands"


def test_a_pasted_table_is_the_typed_one():
    pasted = "Station,Frequency,Radiated power,Distance,Or field strength\nAsh,612,,,12\nBirch,700,,,5\nCedar,801,,,2\n"
    assert heard(stations=pasted) == heard(stations=MEASURED["stations"])
    assert heard(stations=MEASURED["stations"].replace("; ", "\t")) == heard(stations=MEASURED["stations"])


def test_the_curve_is_drawn_where_it_is_told_or_at_the_hardest_station():
    found = heard()
    (chart,) = found["charts"]
    hardest = min(rows(found), key=lambda row: row["separation"])
    (lifted,) = [mark for mark in chart["marks"] if mark["emphasis"]]
    assert lifted["label"] == hardest["station"]
    assert lifted["y"] == pytest.approx(0.0, abs=1e-9)
    assert [mark["label"] for mark in chart["marks"]] == ["Ash", "Birch", "Cedar"]
    (told,) = heard(tuned_to="801 kHz")["charts"]
    assert [mark["emphasis"] for mark in told["marks"]] == [False, False, True]
    (between,) = heard(tuned_to="750 kHz")["charts"]
    assert not any(mark["emphasis"] for mark in between["marks"])
    for chart in (told, between):
        (line,) = chart["series"]
        assert chart["x"]["least"] == line["x"][0] < 612e3
        assert chart["x"]["most"] == line["x"][-1] > 801e3
        assert np.all(np.diff(line["x"]) > 0)
        assert max(line["y"]) <= chart["y"]["most"]
        assert chart["y"]["least"] <= min(line["y"])


def test_the_marks_lie_on_the_curve():
    (chart,) = heard(tuned_to="700 kHz")["charts"]
    (line,) = chart["series"]
    for mark in chart["marks"]:
        assert np.interp(mark["x"], line["x"], line["y"]) == pytest.approx(mark["y"], abs=1.5)


def test_the_circuit_of_the_link_is_drawn():
    for link in ("direct", "capacitor", "tap", "winding"):
        (drawing,) = heard(link=link)["drawings"]
        assert drawing["key"] == f"circuit-{link}"


# --- stations that cannot be heard --------------------------------------------------------------------------------


def test_a_station_beyond_the_dial():
    found = heard(stations=MEASURED["stations"] + "\nDun; 1602 kHz; ; ; 5 mV/m", link="direct")
    dun = rows(found)[-1]
    assert dun["verdict"] == "off the dial"
    assert (dun["dial"], dun["level"], dun["margin"], dun["separation"]) == (None, None, None, None)
    assert any("above the dial" in advice["text"] for advice in found["advice"])
    low = heard(stations="Elm; 200 kHz; ; ; 5 mV/m\nAsh; 612 kHz; ; ; 5 mV/m")
    assert rows(low)[0]["verdict"] == "off the dial"
    assert any("below the dial" in advice["text"] for advice in low["advice"])


@pytest.mark.parametrize("frequency", ["110 kHz", "2990 kHz"])
def test_a_district_wholly_off_the_dial_is_answered(frequency):
    found = heard(stations=f"Elm; {frequency}; ; ; 5 mV/m", link="direct")
    assert rows(found)[0]["verdict"] == "off the dial"
    assert values(found)["clear"] == 0


def test_a_dial_set_where_the_circuit_cannot_go_is_answered():
    assert rows(heard(tuned_to="2.9 MHz", link="direct")) == rows(heard(link="direct"))


def test_a_station_below_the_noise():
    found = heard(stations="Ash; 612 kHz; ; ; 12 mV/m\nFar; 801 kHz; ; ; 1 µV/m")
    assert rows(found)[1]["verdict"] == "not audible"
    assert rows(found)[1]["margin"] < 0.0
    assert any("below the room's noise" in advice["text"] for advice in found["advice"])


def test_one_station_alone():
    found = heard(stations="Ash; 612 kHz; ; ; 12 mV/m")
    (row,) = rows(found)
    assert row["separation"] is None
    assert row["verdict"] == "in the clear"
    assert found["sentence"] == "Ash is in the clear."
    assert values(found)["least_separation"] is None


def test_two_stations_on_one_frequency_drown_each_other():
    found = heard(stations="Ash; 612 kHz; ; ; 12 mV/m\nBirch; 612 kHz; ; ; 12 mV/m")
    assert [row["verdict"] for row in rows(found)] == ["mixed with Birch", "mixed with Ash"]
    assert [row["separation"] for row in rows(found)] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_as_many_stations_as_the_table_takes():
    lines = "\n".join(f"S{n}; {600 + 9 * n} kHz; 1 kW; {10 + n} km;" for n in range(24))
    assert len(rows(heard(stations=lines))) == 24


# --- verdicts -----------------------------------------------------------------------------------------------------

NAMES = ["Ash", "Birch"]
ON = np.array([True, True])


@pytest.mark.parametrize(
    ("levels", "reachable", "words"),
    [
        ([[60.0, 39.9], [39.9, 60.0]], ON, ["in the clear", "in the clear"]),
        ([[60.0, 40.1], [39.9, 60.0]], ON, ["mixed with Birch", "in the clear"]),
        ([[36.0, 16.0], [10.0, 37.1]], ON, ["clear but faint", "in the clear"]),
        ([[26.9, 0.0], [0.0, 27.1]], ON, ["not audible", "clear but faint"]),
        # Another that is under the noise does not mix, however near in level
        ([[30.0, 26.0], [26.0, 30.0]], ON, ["clear but faint", "clear but faint"]),
        ([[30.0, 45.0], [26.0, 30.0]], ON, ["mixed with Birch", "clear but faint"]),
        ([[60.0, 10.0], [-np.inf, -np.inf]], np.array([True, False]), ["in the clear", "off the dial"]),
    ],
)
def test_verdicts(levels, reachable, words):
    assert verdicts(NAMES, np.array(levels), reachable, 27.0)[0] == words


# --- what cannot be -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"stations": ""}, "stations"),
        ({"stations": "Ash; 612 kHz; 1 kW; ;"}, "stations"),
        ({"stations": "Ash; 612 kHz; ; 14 km;"}, "stations"),
        ({"stations": "Ash; 612 kHz; ; ; 1 mV/m\nAsh; 700 kHz; ; ; 1 mV/m"}, "stations"),
        ({"stations": "; 612 kHz; ; ; 1 mV/m"}, "stations"),
        ({"modulation": "0"}, "modulation"),
        ({"modulation": "101 %"}, "modulation"),
        ({"effective_height": "0"}, "effective_height"),
        ({"coil_quality": "-3"}, "coil_quality"),
        ({"link": "tap", "tap_turns": "60"}, "tap_turns"),
        ({"link": "winding", "coefficient": "120 %"}, "coefficient"),
        ({"coil": "own", "coil_pitch": "0.3 mm"}, "coil_pitch"),
        ({"capacitor_least": "500p"}, "capacitor_most"),
        ({"capacitor_least": "4.4e+02", "capacitor_most": "0n44"}, "capacitor_most"),  # apart by rounding alone
        ({"saturation_current": "0"}, "saturation_current"),
        ({"impedance": "-1"}, "impedance"),
        ({"aerial": "own", "height": "0"}, "height"),
        ({"aerial": "own", "span": "10 mm"}, "span"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("receiver", MEASURED | texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]


@pytest.mark.parametrize("link", ["direct", "capacitor", "winding"])
def test_a_coil_of_few_turns_can_still_be_compared_with_a_tap(link):
    """The tap that is only compared with must not be refused: its field is not on the page."""
    found = heard(coil="own", coil_turns="9", coil_former="60 mm", coil_pitch="1 mm", coil_wire="0.5 mm", link=link)
    assert len(rows(found, "links")) == 4
