"""The dial scale: places by the inverse of the capacitor's law, words clear of each other, paper that it goes on."""

import json
import math
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, minimize

from calc import bridge, coupling, tuning_capacitor
from calc.forms import FORMS
from calc.forms.fields import arguments
from calc.forms.receiver.build import ChosenSet
from calc.forms.shapes import Line, Text
from calc.forms.sheets import PAPERS
from calc.forms.sheets.dial_scale import DialScale, Marked, spread, turned_or_not
from calc.forms.sheets.printer_check import TYPE
from calc.units import InputError

LETTER = 0.5
TABLE = "0; 15 pF\n25; 75 pF\n50; 165 pF\n75; 262 pF\n100; 365 pF"
KINDS = {"capacitance": "semicircular", "wavelength": "wavelength", "frequency": "frequency", "table": "table"}
A4 = PAPERS["a4"].room()


def asked(texts):
    found = json.loads(bridge.sheet_json("receiver", json.dumps(texts), "dial"))
    assert found["ok"], found
    return found["sheet"]


def dial_of(sheet):
    return next(block["drawing"] for block in sheet["blocks"] if block.get("drawing", {}).get("key") == "dial")


def turn_of(x, y, sweep, clockwise=True):
    """The turn, 0 to 1, at which a point of the scale lies, half of the sweep on each side of upright."""
    from_top = math.degrees(math.atan2(x, -y))
    return 0.5 + (from_top if clockwise else -from_top) / sweep


def chosen_set(texts):
    values, errors = arguments(FORMS["receiver"].fields, texts)
    assert errors == []
    return ChosenSet(values)


def law_of(kind):
    readings = [
        (float(a) / 100.0, float(b) * 1e-12) for a, b in (row.split(" pF")[0].split("; ") for row in TABLE.split("\n"))
    ]
    return tuning_capacitor.law(KINDS[kind], 15e-12, 365e-12, readings if kind == "table" else None)


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("kind", KINDS)
def test_stations_and_kilohertz_stand_where_the_law_puts_their_capacitance(kind, clockwise):
    sweep, radius = 200.0, 25.0
    texts = {
        "law": kind, "law_table": TABLE, "dial_turn": f"{sweep}", "knob_radius": f"{radius} mm", "coil": "bottle",
        "dial_sense": "clockwise" if clockwise else "anticlockwise",
        "stations": "Ash; 612 kHz; 1 kW; 14 km;\nBrent; 900 kHz; 5 kW; 32 km;\nCald; 1100 kHz; 1 kW; 33 km;",
    }  # fmt: skip
    drawing, chosen, law = dial_of(asked(texts)), chosen_set(texts), law_of(kind)
    set_ = chosen.receiver(at=np.array([612e3, 900e3, 1100e3]))

    def wanted(khz):
        total = coupling.tuned_capacitance(1e3 * khz, set_.aerial, set_.link, set_.tank)
        return float(np.asarray(total).ravel()[0]) - chosen.strays

    bent = [s["points"] for s in drawing["shapes"] if s["shape"] == "line" and len(s["points"]) == 3]
    turns = sorted(turn_of(*points[0], sweep, clockwise) for points in bent)
    for turn, khz in zip(turns, (1100.0, 900.0, 612.0), strict=True):
        assert float(law.capacitance(turn)) == pytest.approx(wanted(khz), rel=2e-4)
    ticks = {}
    for s in drawing["shapes"]:
        if s["shape"] == "line" and len(s["points"]) == 2:
            (x, y), (to_x, to_y) = s["points"]
            if math.hypot(to_x, to_y) == pytest.approx(radius + 19.0, abs=1e-3):
                ticks[turn_of(to_x, to_y, sweep, clockwise)] = math.hypot(x, y)
    named = [
        s
        for s in drawing["shapes"]
        if s["shape"] == "text" and math.hypot(s["x"], s["y"]) == pytest.approx(radius + 13.4, abs=1e-3)
    ]
    assert len(named) >= 4
    for text in named:
        place = turn_of(text["x"], text["y"], sweep, clockwise)
        assert min(abs(place - tick) for tick in ticks) < 1e-5
        assert float(law.capacitance(place)) == pytest.approx(wanted(float(text["text"])), rel=1e-3)


def test_numbers_of_the_scale_are_the_answers_dial():
    table = bridge.run("receiver", {})["tables"][0]
    keys = [column["key"] for column in table["columns"]]
    dial = {row[0]["text"]: row[keys.index("dial")]["value"] for row in table["rows"]}
    sheet = asked({})
    rows = next(block["rows"] for block in sheet["blocks"] if block["block"] == "grid")
    assert {row[0]: float(row[2]) for row in rows} == pytest.approx(dial, abs=0.051)
    drawing = dial_of(sheet)
    bent = [s["points"] for s in drawing["shapes"] if s["shape"] == "line" and len(s["points"]) == 3]
    assert sorted(100.0 * turn_of(*points[0], 180.0) for points in bent) == pytest.approx(
        sorted(dial.values()), abs=0.01
    )


def test_a_station_off_the_dial_is_said_to_be():
    sheet = asked({"stations": "Far; 150 kHz; 1 kW; 10 km;\nNear; 700 kHz; 1 kW; 10 km;"})
    rows = next(block["rows"] for block in sheet["blocks"] if block["block"] == "grid")
    assert [row[2] for row in rows][1] == "off the dial"
    assert len([s for s in dial_of(sheet)["shapes"] if s["shape"] == "line" and len(s["points"]) == 3]) == 1


# --- words --------------------------------------------------------------------------------------------------------


def corners(text):
    """The four corners of a text's box, turned as it is."""
    size = TYPE * text.size
    long = LETTER * size * len(text.text)
    begin = {"start": 0.0, "middle": -0.5 * long, "end": -long}[text.anchor]
    sine, cosine = math.sin(math.radians(text.turn)), math.cos(math.radians(text.turn))
    half = 0.35 * size
    return [
        (text.x + a * cosine - b * sine, text.y + a * sine + b * cosine)
        for a, b in ((begin, -half), (begin + long, -half), (begin + long, half), (begin, half))
    ]


def meet(one, other):
    """Whether two convex outlines overlap: no side of either parts them."""
    for outline in (one, other):
        for (x, y), (to_x, to_y) in pairwise([*outline, outline[0]]):
            nx, ny = to_y - y, x - to_x
            if nx == ny == 0.0:
                continue
            a, b = ([px * nx + py * ny for px, py in part] for part in (one, other))
            if max(a) <= min(b) + 1e-9 or max(b) <= min(a) + 1e-9:
                return False
    return True


def scales():
    """Scales of all sizes with up to 24 stations anywhere."""
    names = st.text("abcdefghij ", min_size=1, max_size=40).map(str.strip).filter(bool)
    marked = st.lists(st.builds(Marked, names, st.floats(0.0, 1.0)), max_size=24)
    khz = np.arange(500.0, 1701.0, 10.0)
    return st.builds(
        lambda radius, sweep, clockwise, power, stations: DialScale(
            radius, sweep, clockwise, khz, ((1700.0 - khz) / 1200.0) ** power, stations
        ),
        st.floats(5.0, 45.0), st.floats(60.0, 340.0), st.booleans(), st.floats(0.5, 3.0), marked,
    )  # fmt: skip


@given(scales())
def test_words_of_a_dial_keep_clear_of_each_other_and_on_the_paper(scale):
    drawing = scale.drawing(A4)
    texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
    boxes = [corners(text) for text in texts]
    for (one, a), (other, b) in combinations(list(zip(texts, boxes, strict=True)), 2):
        assert not meet(a, b), (one.text, other.text)
    for shape in drawing.shapes:
        if isinstance(shape, Line) and len(shape.points) == 3:
            for segment in pairwise(shape.points):
                for text, outline in zip(texts, boxes, strict=True):
                    assert not meet(list(segment), outline), (text.text, segment)
    for outline in boxes:
        for x, y in outline:
            assert drawing.left <= x <= drawing.left + drawing.width
            assert drawing.top <= y <= drawing.top + drawing.height
    assert drawing.width <= A4[0]


@pytest.mark.parametrize("sweep", [60.0, 180.0, 270.0, 340.0])
def test_long_names_are_cut_short_where_they_would_leave_the_paper(sweep):
    none = np.zeros(0)
    stations = [Marked("The very long name of a station up north", turn) for turn in np.linspace(0.0, 1.0, 13)]
    scale = DialScale(44.0, sweep, True, none, none, stations)
    drawing = scale.drawing(A4)
    assert drawing.width <= A4[0]
    assert drawing.height <= A4[1] - 30.0
    names = [shape.text for shape in drawing.shapes if isinstance(shape, Text) and shape.text.startswith("The")]
    assert len(names) == 13
    assert any(name.endswith("…") for name in names) == (sweep > 90.0)


@given(scales())
def test_ticks_of_a_dial_can_be_told_apart(scale):
    turns = sorted(turn for turn, _, _ in scale.kilohertz())
    along = math.radians(scale.sweep) * (scale.radius + 19.0)
    assert all((b - a) * along >= 0.75 - 1e-9 for a, b in pairwise(turns))
    assert scale.numerals() % scale.number_ticks() == 0


@given(
    st.lists(st.floats(0.0, 100.0), min_size=1, max_size=7).map(sorted),
    st.floats(0.1, 8.0),
)
def test_names_move_no_further_than_they_must(places, apart):
    """Against a general solver of the same least squares."""
    wanted = np.array(places)
    found = spread(wanted, apart, -10.0, 110.0)
    assert np.all(np.diff(found) >= apart - 1e-9)
    assert found[0] >= -10.0
    assert found[-1] <= 110.0
    if len(places) > 1:
        best = minimize(
            lambda at: np.sum((at - wanted) ** 2), found, jac=lambda at: 2.0 * (at - wanted), method="SLSQP",
            constraints=LinearConstraint(np.diff(np.eye(len(places)), axis=0), lb=apart),
            bounds=[(-10.0, 110.0)] * len(places),
            options={"ftol": 1e-14, "maxiter": 500},
        )  # fmt: skip
        assert np.sum((found - wanted) ** 2) <= best.fun + 1e-6 * (1.0 + best.fun)


def test_too_many_names_share_the_room():
    found = spread(np.zeros(11), 5.0, 0.0, 20.0)
    np.testing.assert_allclose(found, np.linspace(0.0, 20.0, 11), atol=1e-9)


# --- paper --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_a_dial_goes_on_the_paper_or_is_refused_with_its_greatest_radius(paper):
    for radius in ("5 mm", "30 mm", "42 mm"):
        for sweep in ("60°", "180°", "340°"):
            found = json.loads(
                bridge.sheet_json(
                    "receiver", json.dumps({"paper": paper, "knob_radius": radius, "dial_turn": sweep}), "dial"
                )
            )
            assert found["ok"], (radius, sweep, found)
    found = json.loads(bridge.sheet_json("receiver", json.dumps({"paper": paper, "knob_radius": "90 mm"}), "dial"))
    assert "mm at most" in found["errors"]["knob_radius"]


def test_paper_is_turned_where_that_helps():
    rooms = (PAPERS["a4"].room(), PAPERS["a4"].room(turned=True))
    assert rooms == ((180.0, 269.0), (269.0, 180.0))
    assert turned_or_not(30.0, 180.0, rooms) is False
    assert turned_or_not(60.0, 180.0, rooms) is True
    with pytest.raises(InputError, match="mm at most"):
        turned_or_not(100.0, 180.0, rooms)


# --- a measured law in the form -----------------------------------------------------------------------------------


def test_a_measured_straight_line_is_as_good_as_half_round_plates():
    straight = "0; 15 pF\n40; 155 pF\n100; 365 pF"
    for question in ("stations", "dial"):
        plain = bridge.run("receiver", {"question": question})
        measured = bridge.run("receiver", {"question": question, "law": "table", "law_table": straight})
        assert measured["ok"], measured
        for one, other in zip(plain["rows"], measured["rows"], strict=True):
            assert other["value"] == pytest.approx(one["value"], rel=1e-9), one["key"]
    table, same = (
        bridge.run("receiver", t)["tables"][0]["rows"] for t in ({}, {"law": "table", "law_table": straight})
    )
    assert [[cell["text"] for cell in row] for row in table] == [[cell["text"] for cell in row] for row in same]


def test_a_measured_table_gives_the_range_too():
    wide = bridge.run(
        "receiver",
        {"law": "table", "law_table": "0; 10 pF\n50; 200 pF\n100; 900 pF", "question": "dial", "dial": "100"},
    )
    assert {row["key"]: row["value"] for row in wide["rows"]}["capacitance"] == pytest.approx(900e-12)


def test_a_table_that_does_not_rise_is_refused_beside_it():
    found = bridge.run("receiver", {"law": "table", "law_table": "0; 100 pF\n50; 50 pF\n100; 365 pF"})
    assert list(found["errors"]) == ["law_table"]
