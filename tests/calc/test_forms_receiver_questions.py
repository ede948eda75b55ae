"""What the whole-set form answers to each of its questions."""

import math

import pytest

from calc import bridge, units
from calc.forms import FORMS
from calc.forms.fields import arguments
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import LINK_NAMES
from calc.forms.receiver.knobs import adjustment_of, dial_of, present_coupling
from calc.forms.receiver.verdicts import SILENCE
from calc.receiver import listen, listen_together
from calc.settings.best import best_settings

QUESTIONS = [choice.value for choice in FORMS["receiver"].field("question").choices]
LONE = {"stations": "Only One; 700 kHz; ; ; 5 mV/m"}


def heard(**texts):
    found = bridge.run("receiver", texts)
    assert found["ok"], found
    return found


def chosen(**texts):
    values, errors = arguments(FORMS["receiver"].fields, texts)
    assert not errors
    return ChosenSet(values)


def rows(found):
    return {row["key"]: row["value"] for row in found["rows"]}


def table(found, key):
    (one,) = (table for table in found["tables"] if table["key"] == key)
    names = [column["key"] for column in one["columns"]]
    return [dict(zip(names, (cell["value"] for cell in row), strict=True)) for row in one["rows"]]


def bars(found, key):
    (one,) = (bars for bars in found["bars"] if bars["key"] == key)
    return {bar["label"].split(",")[0]: bar["values"] for bar in one["bars"]}


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize(
    "texts", [{}, LONE, {"link": "winding", "earphone": "crystal"}], ids=["demo", "lone", "winding"]
)
def test_every_question_has_an_answer_in_a_sentence(question, texts):
    found = heard(question=question, **texts)
    assert found["sentence"].endswith(".")
    assert found["rows"]
    for name in found["order"]:
        assert isinstance(found[name], list)


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("link", LINK_NAMES)
def test_every_link_has_an_answer(question, link):
    found = bridge.run("receiver", {"question": question, "link": link})
    if (question, link) == ("map", "direct"):
        assert list(found["errors"]) == ["link"]
    else:
        assert found["ok"], found


# --- the dial -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("link", LINK_NAMES)
def test_the_dial_turned_to_a_station_gives_what_the_table_says_of_it(link):
    for station in table(heard(link=link), "stations"):
        if station["dial"] is None:
            continue
        found = heard(link=link, question="dial", dial=repr(station["dial"]))
        assert rows(found)["tuned"] == pytest.approx(station["frequency"], rel=2e-6)
        assert bars(found, "levels")[station["station"]][0] == pytest.approx(station["level"], abs=0.02)


def test_the_picture_of_the_dial_has_the_range_of_the_earphones():
    (picture,) = heard(question="dial")["bars"]
    for bar in picture["bars"]:
        ((low, high),) = bar["spans"]
        assert bar["values"][0] - low == pytest.approx(8.0)
        assert high - bar["values"][0] == pytest.approx(8.0)
    assert {rule["label"] for rule in picture["rules"]} == {"hearing", "the room"}


def test_listening_is_listening_together():
    found = heard(question="listen", dial="52")
    set_ = chosen(question="listen", dial="52")
    tuned = rows(found)["tuned"]
    mixture = listen_together(set_.receiver(at=tuned), set_.stations, tuned)
    alone = listen(set_.receiver(at=tuned), set_.stations, tuned)
    for row, together, one in zip(table(found, "together"), mixture.receptions, alone, strict=True):
        assert row["together"] == pytest.approx(together.sound_level, abs=0.02)
        assert row["alone"] == pytest.approx(one.sound_level, abs=0.02)
    assert len(found["sounds"]) == 1


# --- trade-off and best setting -----------------------------------------------------------------------------------


def test_where_all_are_clear_the_table_of_stations_agrees():
    found = heard(question="trade-off")
    coupling, margin = rows(found)["clear_coupling"], rows(found)["clear_margin"]
    there = heard(link_capacitor=units.format(coupling, "F", 9))
    assert rows(there)["least_margin"] == pytest.approx(margin, abs=0.01)
    assert rows(there)["least_separation"] == pytest.approx(20.0, abs=0.05)
    assert rows(there)["clear"] == 3.0


def test_the_best_setting_is_what_the_table_of_stations_finds_there():
    for row in table(heard(question="best"), "links"):
        if row["link"] == "small series capacitor":
            there = heard(link_capacitor=row["setting"])
            assert rows(there)["least_margin"] == pytest.approx(row["margin"], abs=0.2)


def test_the_best_setting_says_why_there_is_none():
    close = "Left; 700 kHz; ; ; 5 mV/m\nRight; 700.1 kHz; ; ; 5 mV/m"
    told = heard(question="best", stations=close)["sentence"]
    assert told.startswith("No setting does it.")
    assert "Left" in told
    assert "Right" in told
    faint = "Faint; 700 kHz; ; ; 1 µV/m\nOther; 1000 kHz; ; ; 1 µV/m"
    assert "under the room's noise" in heard(question="best", stations=faint)["sentence"]
    high = {"stations": "High; 2500 kHz; ; ; 5 mV/m", "capacitor": "own", "capacitor_least": "200p"}
    assert any("above the dial" in advice["text"] for advice in heard(question="best", **high)["advice"])


def test_a_station_too_weak_beside_one_far_off_wants_a_trap_not_a_sharper_coil():
    asked = {"question": "best", "apart": "60 dB", "stations": "Near; 1000 kHz; ; ; 5 V/m\nFar; 700 kHz; ; ; 1 mV/m"}
    found = heard(**asked)
    assert "Far is too weak beside Near" in found["sentence"]
    assert "a trap for Near in the lead would do more" in found["sentence"]
    near = table(found, "stations")[0]
    assert near["separation"] == pytest.approx(near["level"] - SILENCE), "what is silent is told no further down"

    def parted(**change):
        return rows(heard(**asked, **change))["least_separation"]

    sharper = {"coil": "measured", "coil_inductance": "240 µH"}
    trapped = parted(trap="rejector", trap_frequency="1000 kHz")
    assert trapped > parted(**sharper, coil_quality="600") + 6.0
    assert trapped > parted() + 6.0
    assert "a trap" not in heard(**asked, trap="rejector", trap_frequency="900 kHz")["sentence"]


def test_wanted_stations_alone_count():
    every = rows(heard(question="best"))["least_margin"]
    near = rows(heard(question="best", wanted="aldermoss"))["least_margin"]
    assert near > every + 5.0
    refused = bridge.run("receiver", {"question": "best", "wanted": "Atlantis"})
    assert list(refused["errors"]) == ["wanted"]
    assert "Atlantis" in refused["errors"]["wanted"]


def test_the_form_hands_the_solver_its_own_links():
    set_ = chosen(question="best")
    found = best_settings(
        set_.receiver(), set_.stations, [adjustment_of(set_, "tap")], set_.wanted, dial_of(set_), 20.0
    )
    (row,) = (row for row in table(heard(question="best"), "links") if row["link"] == "tap on the coil")
    assert row["margin"] == pytest.approx(found[0].least_margin, abs=1e-9)
    assert present_coupling(chosen(link="tap", tap_turns="12")) == pytest.approx(0.2)


# --- changes ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "texts"),
    [
        ("3 m higher", {"aerial": "own", "height": "10 m", "span": "15 m"}),
        ("10 m more wire", {"aerial": "own", "height": "7 m", "span": "25 m"}),
        ("Earth of a third the resistance", {"earth_resistance": "20"}),
        ("Detector on the middle of the coil", {"detector_turns": "30"}),
        ("Coupling looser by three tenths", {"link_capacitor": "23.1p"}),
        ("A room 10 dB quieter", {"room": "own", "room_noise": "17 dB"}),
    ],
)
def test_a_change_brings_what_the_form_says_of_the_changed_set(label, texts):
    before, after = rows(heard()), rows(heard(**texts))
    (row,) = (row for row in table(heard(question="changes"), "changes") if row["change"] == label)
    assert row["loudness"] == pytest.approx(after["least_margin"] - before["least_margin"], abs=1e-6)
    assert row["separation"] == pytest.approx(after["least_separation"] - before["least_separation"], abs=1e-6)


def test_changes_are_ranked_by_loudness_and_each_kind_comes_once():
    found = table(heard(question="changes"), "changes")
    loudness = [row["loudness"] for row in found]
    assert loudness == sorted(loudness, reverse=True)
    assert sum(row["change"].startswith("Detector ") and "middle" not in row["change"] for row in found) == 1


# --- tolerance and map --------------------------------------------------------------------------------------------

EXACT = {
    f"{name}_tolerance": "0" for name in ("coil", "quality", "capacitor", "strays", "aerial", "earth", "link", "field")
}


def test_without_tolerance_every_set_is_the_plan():
    own = {"detector": "own", "earphone": "own", **EXACT}
    plan = table(heard(detector="own", earphone="own"), "stations")
    for row, station in zip(table(heard(question="tolerance", **own), "stations"), plan, strict=True):
        assert row["dial_low"] == pytest.approx(station["dial"], rel=1e-9)
        assert row["dial_high"] == pytest.approx(station["dial"], rel=1e-9)
        # the draws take few points of the modulation's cycle: FEW_CYCLE_POINTS of calc.detection says what that costs
        assert row["level_low"] == pytest.approx(station["level"], abs=2e-3)
        assert row["reached"] == 1.0


def test_the_same_set_gives_the_same_draws_and_wider_tolerances_wider_bands():
    first, again = heard(question="tolerance"), heard(question="tolerance")
    assert first == again
    wide = heard(question="tolerance", coil_tolerance="10 %")
    for narrow, broad in zip(table(first, "stations"), table(wide, "stations"), strict=True):
        assert broad["dial_high"] - broad["dial_low"] > narrow["dial_high"] - narrow["dial_low"]


@pytest.mark.parametrize("link", ["capacitor", "winding", "tap"])
def test_the_map_agrees_with_the_stations_where_the_set_stands(link):
    found = heard(question="map", link=link)
    (picture,) = found["maps"]
    stations = table(heard(link=link), "stations")
    (mark, *_) = picture["marks"]
    row = next(i for i, edge in enumerate(picture["y_edges"][1:]) if mark["y"] <= edge)
    for index, station in enumerate(stations):
        column = next(i for i, edge in enumerate(picture["x_edges"][1:]) if station["frequency"] <= edge)
        near = {picture["cells"][row][column + step] for step in (-1, 0, 1)}
        if station["separation"] > 24.0 and station["margin"] > 1.0:
            assert index in near
        if station["separation"] < 14.0:
            assert picture["cells"][row][column] != index
    assert math.isclose(rows(found)["clear"], len({cell for line in picture["cells"] for cell in line if cell >= 0}))
