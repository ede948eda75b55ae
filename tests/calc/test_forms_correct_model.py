"""The form that corrects a built set's model: what it answers, what it refuses, and the design that goes on."""

from functools import partial

import pytest

from calc import bridge
from calc.forms import FORMS
from tests.calc.form_answers import answer as form_answer

answer = partial(form_answer, "correct-model")

DIALS = "747 kHz; link; ; 31.7; ; ;\n666 kHz; link; ; 45.4; ; ;\n612 kHz; link; ; 57.2; ; ;"


def table(found, key):
    (wanted,) = (each for each in found["tables"] if each["key"] == key)
    keys = [column["key"] for column in wanted["columns"]]
    return [dict(zip(keys, row, strict=True)) for row in wanted["rows"]]


@pytest.fixture(scope="module")
def default():
    return answer()


def test_the_example_is_answered_with_what_it_was_made_of(default):
    """24 pF of strays, 163 pF of aerial, a Q of 205 and 38.5 pF in the link, read to a third of a division."""
    for row, true in zip(table(default, "unknowns"), (24.0, 163.0, 205.0, 38.5), strict=True):
        least, most = (float(row[key]["text"].split()[0]) for key in ("least", "most"))
        assert least < true < most
        assert row["verdict"]["text"] == "decide it"


def test_the_set_found_goes_on_as_a_design_of_the_whole_set_form(default):
    (onward,) = default["onward"]
    assert onward["form"] == "receiver"
    design = bridge.run("receiver", onward["texts"])
    assert design["ok"], design
    after = [row["dial_after"]["value"] for row in table(default, "stations")]
    assert [row["dial"]["value"] for row in table(design, "stations")] == pytest.approx(after, rel=1e-4)


def test_all_else_that_was_typed_is_kept_in_the_design():
    found = answer(temperature="25", earphone="crystal", capacitor="500p", readings=DIALS)
    texts = found["onward"][0]["texts"]
    assert (texts["temperature"], texts["earphone"], texts["capacitor"]) == ("25", "crystal", "500p")
    assert set(texts) <= {field.name for field in FORMS["receiver"].fields}
    assert bridge.run("receiver", texts)["ok"]


def test_dials_by_the_link_alone_do_not_decide():
    found = answer(readings=DIALS)
    assert "do not decide" in found["sentence"]
    advice = " ".join(each["text"] for each in found["advice"])
    assert "can't tell" in advice or "say little" in advice
    assert "would tell most" in advice


def test_a_misread_dial_is_named_and_left_out():
    good = FORMS["correct-model"].field("readings").default
    found = answer(readings=good.replace("45.4;", "55.4;"))
    notes = [row["note"]["text"] for row in table(found, "figures")]
    assert [index for index, note in enumerate(notes) if note] == [5]
    assert any(each["text"].startswith("Row 6, Brackwater, by the link: its dial") for each in found["advice"])
    counted = answer(readings=good.replace("45.4;", "55.4;"), misfits="count")
    assert not any(row["note"]["text"] for row in table(counted, "figures"))


def test_a_station_outside_the_district_counts_by_differences_alone():
    good = FORMS["correct-model"].field("readings").default
    loud = answer(readings=good + "\n800 kHz; link; ; 26; ; 20;")
    faint = answer(readings=good + "\n800 kHz; link; ; 26; ; 10;")
    for row, other in zip(table(loud, "unknowns"), table(faint, "unknowns"), strict=True):
        one, two = (float(each["found"]["text"].split()[0]) for each in (row, other))
        assert one == pytest.approx(two, rel=0.03)


def test_a_tap_beyond_the_coil_is_refused_beside_its_field():
    found = bridge.run("correct-model", {"link": "tap", "tap_turns": "60"})
    assert set(found["errors"]) == {"tap_turns"}


def test_steps_and_current_count():
    extra = "\n612 kHz; link; ; 57.2; ; 12; 20\n747 kHz; link; ; 31.7; ; 8; 2"
    found = answer(readings=FORMS["correct-model"].field("readings").default + extra)
    kinds = [row["kind"]["text"] for row in table(found, "figures")]
    assert kinds.count("loudness") == kinds.count("current") == 2


def test_a_width_that_runs_off_the_dial_is_refused_in_its_cell():
    found = bridge.run("correct-model", {"readings": "747 kHz; link; ; 1; 5; ;"})
    assert found["cells"] == [{"field": "readings", "row": 0, "column": "width"}]


def test_readings_that_no_set_fits_are_refused():
    readings = "\n".join(f"747 kHz; off; ; {dial}; ; ;" for dial in (5, 95, 10, 90, 40, 60))
    found = bridge.run("correct-model", {"readings": readings, "dial_reading": "0.01", "find_quality": "keep"})
    assert found["ok"] or set(found["errors"]) == {"readings"}


def test_something_must_be_found():
    texts = dict.fromkeys(("find_strays", "find_aerial", "find_quality", "find_coupling"), "keep")
    found = bridge.run("correct-model", texts)
    assert set(found["errors"]) == {"find_strays"}


def test_fewer_figures_than_unknowns_are_refused_without_a_guide():
    found = bridge.run("correct-model", {"readings": DIALS, "guide": "readings"})
    assert set(found["errors"]) == {"readings"}
