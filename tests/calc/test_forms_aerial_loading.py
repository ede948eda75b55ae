"""The aerial-loading form: what its tables and its chart say is what the circuit does."""

import math
from functools import partial

import numpy as np
import pytest

from calc import bands, bridge
from calc.aerials import SeriesAerial, WireAerial
from calc.coupling import Direct, SeriesCapacitor, Tank, tuned_capacitance
from calc.forms import FORMS
from tests.calc.form_answers import answer as form_answer
from tests.strategies import bad_inputs, generated_inputs, is_asked

answer = partial(form_answer, "aerial-loading")

FORM = FORMS["aerial-loading"]
LINKS = ["direct", "capacitor", "tap", "winding"]
OWN_CAPACITOR = {"aerial": "own", "aerial_inductance": "0", "aerial_resistance": "0.1", "quality": "2000"}


def table(found, key):
    """Rows of a table by what stands in their first cell, each as values by column."""
    (shown,) = [each for each in found["tables"] if each["key"] == key]
    columns = [column["key"] for column in shown["columns"]]
    lines = [dict(zip(columns, (cell["value"] for cell in row), strict=True)) for row in shown["rows"]]
    return {line["link"]: line for line in lines}


def test_the_garden_wire_straight_on_the_coil_costs_half_the_band():
    found = table(answer(), "dial")
    bare, direct = found["no aerial"], found["aerial straight on the coil"]
    assert (bare["lost_bottom"], bare["lost_top"]) == ("none", "none")
    assert direct["lost_bottom"] == "none"
    assert direct["lost_top"] == pytest.approx(1606.5e3 - direct["highest"])
    assert direct["lost_top"] > 0.6 * (1606.5e3 - 526.5e3)
    for words in ("tap on the coil", "separate winding"):
        assert found[words]["lost_top"] == "none"


def test_the_ends_are_tuned_by_the_capacitor_s_own():
    found = table(answer(earth_resistance="45"), "dial")
    wire = WireAerial(7.0, 15.0, 1.5e-3, 45.0)
    for words, link in (("aerial straight on the coil", Direct()), ("small series capacitor", SeriesCapacitor(33e-12))):
        for key, own in (("lowest", 365e-12), ("highest", 15e-12)):
            frequency = found[words][key]
            tank = Tank(240e-6, 2.0 * math.pi * frequency * 240e-6 / 200.0, 0.0)
            # the form takes the wire from 64 frequencies, with a smooth curve between
            assert tuned_capacitance(frequency, wire, link, tank) == pytest.approx(own + 20e-12, rel=2e-4)


def test_a_plain_capacitor_for_an_aerial_by_hand():
    """With no inductance and next to no loss every link has a closed form."""
    found = answer(aerial_capacitance="100p", **OWN_CAPACITOR)
    added = table(found, "added")
    assert added["aerial straight on the coil"]["capacitance_top"] == pytest.approx(100e-12, rel=1e-6)
    assert added["small series capacitor"]["capacitance_top"] == pytest.approx(100e-12 * 33.0 / 133.0, rel=1e-6)
    top = table(found, "dial")["aerial straight on the coil"]["highest"]
    assert top == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(240e-6 * 135e-12)), rel=1e-6)


def test_a_tap_of_a_coil_that_holds_together_counts_as_its_square():
    """Coupling of one: the aerial's capacitance times the square of the share of the turns."""
    found = answer(aerial_capacitance="100p", tap="25 %", tap_coefficient="100 %", **OWN_CAPACITOR)
    assert table(found, "added")["tap on the coil"]["capacitance_top"] == pytest.approx(100e-12 / 16.0, rel=1e-5)


def test_q_that_is_left():
    found = answer()
    rows = {row["key"]: row["value"] for row in found["rows"]}
    line = table(found, "added")["aerial straight on the coil"]
    top = table(found, "dial")["aerial straight on the coil"]["highest"]
    alone = 2.0 * math.pi * top * 240e-6 * 200.0
    both = 1.0 / (1.0 / alone + 1.0 / line["load_top"])
    assert line["quality_top"] == pytest.approx(both / (2.0 * math.pi * top * 240e-6), rel=1e-9)
    assert rows["coil_top"] == pytest.approx(2.0 * math.pi * rows["bare_highest"] * 240e-6 * 200.0, rel=1e-9)


def test_the_whole_coil_as_a_tap_is_no_tap():
    found = answer(tap="100 %")
    assert table(found, "added")["tap on the coil"]["capacitance_top"] == pytest.approx(
        table(found, "added")["aerial straight on the coil"]["capacitance_top"], rel=1e-9
    )


def test_every_link_has_its_line_and_the_band_its_edges():
    (chart,) = answer()["charts"]
    assert [series["key"] for series in chart["series"]] == ["none", *LINKS]
    plan = bands.channel_plans()["medium-wave-9"]
    assert [(rule["axis"], rule["value"]) for rule in chart["rules"]] == [("y", plan.low), ("y", plan.high)]
    for series in chart["series"]:
        dial, frequency = np.array(series["x"]), np.array(series["y"])
        assert dial[0] == pytest.approx(100.0, abs=1e-4)
        assert dial[-1] == pytest.approx(0.0, abs=1e-4)
        assert np.all(np.diff(dial) < 0.0)
        assert np.all(np.diff(frequency) > 0.0)
    assert found_words(chart)


def found_words(chart):
    return all(word in chart["summary"] for word in ("no aerial", "straight on the coil", "separate winding"))


def test_with_no_aerial_the_dial_is_thomson_s():
    (chart,) = answer(law="wavelength")["charts"]
    line = next(series for series in chart["series"] if series["key"] == "none")
    for dial, frequency in zip(line["x"][1:-1], line["y"][1:-1], strict=True):
        total = 1.0 / ((2.0 * math.pi * frequency) ** 2 * 240e-6 * (1.0 + 200.0**-2))
        expected = bands.dial_position(total - 20e-12, 15e-12, 365e-12, "wavelength")
        # a line of the chart is given to a millionth of its axis
        assert dial == pytest.approx(100.0 * expected, abs=1e-4)


def test_an_aerial_in_tune_on_the_dial_is_told():
    told = " ".join(advice["text"] for advice in answer(aerial="full")["advice"])
    assert "cuts the dial in two" in told
    assert "cuts the dial" not in " ".join(advice["text"] for advice in answer()["advice"])
    assert "itself is in tune" in told


def test_an_aerial_that_leaves_nothing_is_told():
    """A capacitor of a picofarad under an aerial of five thousand."""
    tiny = {"capacitor": "own", "capacitor_least": "0.5p", "capacitor_most": "1p", "strays": "0", "inductance": "50 mH"}
    found = answer(aerial="own", aerial_capacitance="5n", **tiny)
    assert "reaches nothing" in found["sentence"]
    assert table(found, "dial")["aerial straight on the coil"]["lowest"] is None
    assert table(found, "added")["aerial straight on the coil"]["quality_top"] is None
    assert "direct" not in [series["key"] for series in found["charts"][0]["series"]]


def test_hundreds_of_good_inputs():
    answered = 0
    for texts in generated_inputs(FORM, 120, seed=51):
        found = bridge.run("aerial-loading", texts)
        answered += found["ok"]
        for name in found.get("errors", ()):
            assert is_asked(FORM, FORM.field(name), texts), (name, texts)
    assert answered > 70


def test_bad_inputs_are_named():
    for texts, name in bad_inputs(FORM, 100, seed=52):
        assert list(bridge.run("aerial-loading", texts)["errors"]) == [name]


@pytest.mark.parametrize(
    ("texts", "name"),
    [
        ({"inductance": "1 µH"}, "inductance"),
        ({"inductance": "50 mH"}, "inductance"),
        ({"capacitor": "own", "capacitor_least": "400p"}, "capacitor_most"),
    ],
)
def test_what_does_not_go_together_is_named_where_it_can_be_mended(texts, name):
    assert list(bridge.run("aerial-loading", texts)["errors"]) == [name]


def test_series_aerials_are_taken_exactly():
    found = table(answer(aerial="own", aerial_capacitance="150p"), "dial")["aerial straight on the coil"]
    aerial = SeriesAerial(60.0, 15e-6, 150e-12)
    tank = Tank(240e-6, 2.0 * math.pi * found["highest"] * 240e-6 / 200.0, 0.0)
    assert tuned_capacitance(found["highest"], aerial, Direct(), tank) == pytest.approx(35e-12, rel=1e-9)
