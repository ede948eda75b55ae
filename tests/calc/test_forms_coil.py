"""The coil form: its figures by hand with scipy's elliptic integrals, and what it says of them."""

import json
import math

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from calc import bridge


def answer(**texts):
    found = bridge.run("coil", texts)
    assert found["ok"], found
    return found


def values(found):
    return {row["key"]: row["value"] for row in found["rows"]}


def current_sheet(turns, diameter, length):
    """Lorenz's current sheet (1879) as Rosa and Grover print it: L = mu_0 N^2 pi d^2 / (4 l) x Nagaoka's factor [H]."""
    m = diameter**2 / (diameter**2 + length**2)
    k = math.sqrt(m)
    kk = math.sqrt(1 - m)
    nagaoka = 4 / (3 * math.pi * kk) * ((kk**2 / k**2) * (ellipk(m) - ellipe(m)) + ellipe(m) - k)
    return mu_0 * turns**2 * math.pi * diameter**2 / (4 * length) * nagaoka


def test_the_default_by_hand():
    """60 turns of 0.5 mm on 75 mm, a turn every 0.8 mm: 75.5 mm between wire centres, 48 mm long."""
    found = values(answer())
    sheet = current_sheet(60, 75.5e-3, 48e-3)
    # Round wire takes off Rosa's correction, mu_0 N d (A + B)/2 with A + B below 0.6: under a hundredth here.
    assert found["inductance"] == pytest.approx(sheet, rel=0.01)
    assert abs(sheet - found["inductance"]) < 0.5 * mu_0 * 60 * 75.5e-3 * 0.6
    assert found["length"] == pytest.approx(48e-3, rel=1e-12)
    assert found["wire_length"] == pytest.approx(math.hypot(60 * math.pi * 75.5e-3, 48e-3), rel=1e-12)
    # IEC 60028: annealed copper 1/58 ohm mm2/m at 20 degrees
    assert found["dc_resistance"] == pytest.approx(found["wire_length"] / 58 / (math.pi / 4 * 0.5**2), rel=1e-3)
    assert found["quality"] == pytest.approx(
        2 * math.pi * 1e6 * found["inductance"] / found["rf_resistance"], rel=1e-12
    )
    tuned = 1 / (2 * math.pi * math.sqrt(found["inductance"] * found["self_capacitance"]))
    assert found["self_resonance"] == pytest.approx(tuned, rel=1e-9)


@pytest.mark.parametrize("turns", [12, 60, 250])
@pytest.mark.parametrize(("former", "wire", "pitch"), [("75 mm", "0.5 mm", "0.8 mm"), ("2 in", "AWG 28", "")])
def test_turns_and_inductance_are_each_others_inverse(turns, former, wire, pitch):
    shape = {"former": former, "wire": wire, "pitch": pitch}
    made = values(answer(turns=str(turns), **shape))["inductance"]
    found = values(answer(find="turns", inductance=f"{made * 1e6:.12g} µH", **shape))
    assert found["turns"] == pytest.approx(turns, rel=1e-9)
    assert found["inductance"] == pytest.approx(made, rel=1e-9)


def test_whole_turns_have_their_own_inductance():
    found = answer(find="turns", inductance="240 µH")
    turns = values(found)["turns"]
    whole = round(turns)
    assert values(found)["whole_turns_inductance"] == pytest.approx(
        values(answer(turns=str(whole)))["inductance"], rel=1e-12
    )
    assert any(f"{whole} turns" in row["label"] for row in found["rows"])
    assert "whole_turns_inductance" not in values(answer())


def test_the_unseen_field_of_the_other_question_is_not_read():
    assert values(answer(turns="60", inductance="rubbish")) == values(answer())
    assert values(answer(find="turns", turns="rubbish")) == values(answer(find="turns"))


def test_an_empty_pitch_is_close_winding_in_enamelled_wire():
    """Common practice: enamelled wire is 5 to 12 % thicker than its bare diameter."""
    found = values(answer(pitch=""))
    assert 1.05 * 0.5e-3 <= found["length"] / 60 <= 1.12 * 0.5e-3


def test_close_turns_are_advised_against():
    assert any("lie close" in advice["text"] for advice in answer(pitch="")["advice"])
    assert not any("lie close" in advice["text"] for advice in answer()["advice"])


def test_more_space_between_turns_loses_less_wire_for_wire():
    """Neighbours crowd the current: resistance per metre of wire falls as turns move apart (Medhurst 1947)."""
    per_metre = []
    for pitch in ("0.55 mm", "0.8 mm", "1.2 mm"):
        found = values(answer(pitch=pitch))
        per_metre.append(found["rf_resistance"] / found["wire_length"])
    assert np.all(np.diff(per_metre) < 0)


def test_a_coil_too_short_for_the_table_of_self_capacitance_has_all_the_rest():
    found = values(answer(turns="5"))
    assert found["self_capacitance"] is None
    assert found["self_resonance"] is None
    assert found["inductance"] == pytest.approx(current_sheet(5, 75.5e-3, 4e-3), rel=0.05)


def test_the_chart_passes_through_the_figure_of_the_table():
    found = answer(frequency="900 kHz")
    chart = {chart["key"]: chart for chart in found["charts"]}["quality"]
    line = {line["key"]: line for line in chart["series"]}["quality"]
    middle = len(line["x"]) // 2
    assert line["x"][middle] == pytest.approx(900e3, rel=1e-12)
    assert line["y"][middle] == pytest.approx(values(found)["quality"], rel=1e-9)
    assert chart["y"]["least"] <= min(line["y"])
    assert max(line["y"]) <= chart["y"]["most"]


def test_the_sentence_has_the_figures():
    assert "60 turns" in answer()["sentence"]
    assert "245 µH" in answer()["sentence"]
    found = answer(find="turns", inductance="240 µH")
    assert "240 µH" in found["sentence"]


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"turns": "0.5"}, "turns"),
        ({"turns": "many"}, "turns"),
        ({"former": "0"}, "former"),
        ({"wire": "AWG 99"}, "wire"),
        ({"wire": "thick"}, "wire"),
        ({"pitch": "0.4 mm"}, "pitch"),
        ({"find": "turns", "inductance": "0.1 µH"}, "inductance"),
        ({"find": "turns", "inductance": ""}, "inductance"),
        ({"frequency": "10 Hz"}, "frequency"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field(texts, field):
    found = bridge.run("coil", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]


# --- all shapes -------------------------------------------------------------------------------------------------------

SHAPES = ("tube", "layers", "scramble", "spiral", "cone", "rod")
SMALL = {"layers": {"turns": "24"}, "scramble": {"turns": "40"}}


def sum_over_rings(radius, place, wire):
    """Inductance of rings in series, each pair by Maxwell's formula, each ring by Rayleigh's, current even [H]."""
    a, b = radius[:, None], radius
    m = 4.0 * a * b / ((a + b) ** 2 + (place[:, None] - place) ** 2)
    np.fill_diagonal(m, 0.5)
    k = np.sqrt(m)
    mutual = mu_0 * np.sqrt(a * b) * ((2.0 / k - k) * ellipk(m) - 2.0 / k * ellipe(m))
    np.fill_diagonal(mutual, mu_0 * radius * (np.log(16.0 * radius / wire) - 1.75))
    return np.sum(mutual)


def test_layers_are_the_sum_over_their_rings():
    """20 turns of 0.5 mm, 0.544 mm with enamel (IEC 60317-0-1) and 5 % slack: 8 a layer of 5 mm, from one end on."""
    found = values(answer(shape="layers", turns="20", core="12 mm", bobbin="5 mm"))
    pitch = 0.544e-3 * 1.05
    counts = [8, 8, 4]
    radius = np.repeat(0.006 + 0.544e-3 * (np.arange(3) + 0.5), counts)
    place = np.concatenate([pitch * np.arange(n) for n in counts])
    assert found["layers"] == 3
    assert found["inductance"] == pytest.approx(sum_over_rings(radius, place, 0.5e-3), rel=2e-4)
    assert found["wire_length"] == pytest.approx(2.0 * math.pi * np.sum(radius), rel=1e-9)
    assert found["outer_diameter"] == pytest.approx(0.012 + 6 * 0.544e-3, rel=1e-3)


def test_a_flat_spiral_is_the_sum_over_its_rings():
    found = values(answer(shape="spiral", turns="30", hub="40 mm", pitch="0.9 mm"))
    radius = 0.02 + 0.9e-3 * (np.arange(30) + 0.5)
    assert found["inductance"] == pytest.approx(sum_over_rings(radius, np.zeros(30), 0.5e-3), rel=2e-3)
    assert found["outer_diameter"] == pytest.approx(0.094, rel=1e-9)
    assert found["wire_length"] == pytest.approx(2.0 * math.pi * np.sum(radius), rel=1e-9)


def test_a_cone_is_the_sum_over_its_rings():
    found = values(answer(shape="cone", turns="40", narrow="50 mm", wide="80 mm", axial="40 mm"))
    share = (np.arange(40) + 0.5) / 40
    radius = 0.02525 + 0.015 * share
    assert found["inductance"] == pytest.approx(sum_over_rings(radius, 0.04 * share, 0.5e-3), rel=3e-3)


def test_a_scrambled_bobbin_is_near_a_square_grid_of_as_many_turns():
    """At 100 % every turn has the square of its covered diameter, 0.544 mm: 18 by 5 of them in 9.792 mm by 2.72 mm."""
    found = values(answer(shape="scramble", turns="90", core="20 mm", bobbin="9.792 mm", packing="100 %"))
    column, row = np.meshgrid(np.arange(18), np.arange(5))
    rings = sum_over_rings(0.01 + 0.544e-3 * (row.ravel() + 0.5), 0.544e-3 * column.ravel(), 0.5e-3)
    assert found["inductance"] == pytest.approx(rings, rel=3e-3)
    assert found["outer_diameter"] == pytest.approx(0.02 + 2 * 5 * 0.544e-3, rel=1e-3)
    looser = values(answer(shape="scramble", turns="90", core="20 mm", bobbin="9.792 mm", packing="50 %"))
    assert looser["outer_diameter"] - 0.02 == pytest.approx(2.0 * (found["outer_diameter"] - 0.02), rel=1e-6)


def test_a_rod_multiplies_what_the_coil_has_without_it():
    found = values(answer(shape="rod"))
    alone = values(answer(former="12 mm"))
    assert found["without_rod"] == pytest.approx(alone["inductance"], rel=1e-9)
    assert found["inductance"] == pytest.approx(found["without_rod"] * found["rod_gain"], rel=1e-9)
    assert 10 < found["rod_gain"] < found["apparent_permeability"] < 250
    aside = values(answer(shape="rod", offset="45 mm"))
    assert aside["inductance"] < 0.9 * found["inductance"]


def test_the_rods_loss_is_its_loss_factor_at_work():
    """Where most of the flux is the rod's, Q cannot pass 1/tan delta by more than the rod's open ends allow."""
    none = values(answer(shape="rod", loss_factor="0"))
    some = values(answer(shape="rod", loss_factor="40e-6"))
    more = values(answer(shape="rod", loss_factor="80e-6"))
    assert none["rod_resistance"] == 0.0
    assert more["rod_resistance"] == pytest.approx(2.0 * some["rod_resistance"], rel=1e-3)
    assert some["rf_resistance"] == pytest.approx(none["rf_resistance"] + some["rod_resistance"], rel=1e-6)
    reactance = 2.0 * math.pi * 1e6 * some["inductance"]
    assert some["rod_resistance"] < reactance * 40e-6 * 250


@pytest.mark.parametrize(("section", "sides"), [("square", 4), ("hexagon", 6), ("octagon", 8)])
def test_formers_with_corners(section, sides):
    """Wire follows the corners; inductance lies between those of the inscribed and the circumscribed round coil."""
    found = values(answer(former_shape=section))
    across = 75.5e-3
    side = across * math.tan(math.pi / sides)
    assert found["wire_length"] == pytest.approx(60 * math.hypot(sides * side, 0.8e-3), rel=1e-12)
    inner, outer = values(answer()), values(answer(former=f"{across / math.cos(math.pi / sides) * 1e3 - 0.5} mm"))
    assert inner["inductance"] < found["inductance"] < outer["inductance"]
    assert across < found["same_as"] < across / math.cos(math.pi / sides)
    assert found["rf_resistance"] / found["dc_resistance"] == pytest.approx(
        inner["rf_resistance"] / inner["dc_resistance"], rel=0.03
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_turns_invert_inductance_in_every_shape(shape):
    made = values(answer(shape=shape, **SMALL.get(shape, {})))
    found = values(answer(shape=shape, find="turns", inductance=f"{made['inductance'] * 1e6:.12g} µH"))
    assert found["turns"] == pytest.approx(made["turns"], rel=1e-9)
    assert found["whole_turns"] == round(made["turns"])


@pytest.mark.parametrize("shape", SHAPES)
def test_whole_turns_are_the_nearest_and_the_last_one_is_what_it_adds(shape):
    found = values(answer(shape=shape, find="turns", inductance="203 µH"))
    whole = int(found["whole_turns"])
    near = {n: values(answer(shape=shape, turns=str(n)))["inductance"] for n in (whole - 1, whole, whole + 1)}
    assert min(near, key=lambda n: abs(near[n] - 203e-6)) == whole
    assert found["whole_turns_inductance"] == pytest.approx(near[whole], rel=1e-12)
    assert found["last_turn"] == pytest.approx(near[whole] - near[whole - 1], rel=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
def test_all_lengths_scale_together(shape):
    """Every length doubled doubles the inductance, whatever the shape."""
    lengths = {
        "former": 60, "core": 20, "bobbin": 12, "hub": 40, "narrow": 50, "wide": 80, "axial": 50, "rod_length": 120,
        "rod_diameter": 8, "sleeve": 1, "offset": 5, "pitch": 1.0,
    }  # fmt: skip
    small, large = (
        values(
            answer(
                shape=shape,
                covering="bare",
                wire=f"{0.5 * scale} mm",
                **{name: f"{size * scale} mm" for name, size in lengths.items()},
            )
        )
        for scale in (1, 2)
    )
    assert large["inductance"] == pytest.approx(2.0 * small["inductance"], rel=1e-9)
    assert large["wire_length"] == pytest.approx(2.0 * small["wire_length"], rel=1e-9)
    assert large["dc_resistance"] == pytest.approx(0.5 * small["dc_resistance"], rel=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
def test_every_row_says_how_it_was_found(shape):
    for texts in ({}, {"find": "turns"}, {"leads": "200 mm", "loss_tangent": "0.01", "own_capacitance": "5 pF"}):
        for row in answer(shape=shape, **texts)["rows"]:
            assert row["how"], row


# --- wire, leads, warmth, what stands across --------------------------------------------------------------------------


def test_stranded_wire_by_hand():
    """40 strands of 0.05 mm, each 2 % longer than the wire that they make (IEC 60317-11)."""
    found = values(answer(wire_kind="stranded", strands="40", strand="0.05 mm"))
    area = 40 * math.pi / 4 * 0.05**2
    assert found["dc_resistance"] == pytest.approx(1.02 * found["wire_length"] / 58 / area, rel=1e-3)
    assert found["copper"] == pytest.approx(1.02 * found["wire_length"] * area * 8.89, rel=1e-3)
    assert found["quality"] > values(answer())["quality"]


def test_strands_thicker_than_the_skin_are_remarked_on():
    def remarked(**texts):
        return any("thicker than a skin depth" in a["text"] for a in answer(wire_kind="stranded", **texts)["advice"])

    assert remarked(strand="0.1 mm", strands="7")
    assert not remarked(strand="0.05 mm")
    assert not remarked(strand="0.1 mm", strands="7", frequency="200k")


def test_covering_decides_how_close_turns_lie():
    """IEC 60317-0-1: 0.5 mm wire is 0.544 mm at most in grade 1 and 0.566 mm in grade 2."""
    for covering, size in (("bare", 0.5e-3), ("enamel-1", 0.544e-3), ("enamel-2", 0.566e-3)):
        assert values(answer(pitch="", covering=covering))["length"] == pytest.approx(60 * size, rel=1e-9)


def test_leads_by_hand():
    """Rosa (1908): a straight wire has mu0 l/2 pi (ln(4 l/d) - 1), 0.3 m of 0.5 mm wire 0.41 microhenry."""
    found, bare = values(answer(leads="300 mm")), values(answer())
    by_hand = mu_0 * 0.3 / (2 * math.pi) * (math.log(4 * 0.3 / 0.5e-3) - 1)
    assert found["leads_inductance"] == pytest.approx(by_hand, rel=1e-9)
    assert found["inductance"] == pytest.approx(bare["inductance"] + by_hand, rel=1e-9)
    assert found["wire_length"] == pytest.approx(bare["wire_length"] + 0.3, rel=1e-12)
    wanted = values(answer(find="turns", inductance="240 µH", leads="300 mm"))
    assert wanted["inductance"] == pytest.approx(240e-6, rel=1e-9)


def test_copper_gains_resistance_with_warmth():
    """IEC 60028: 0.393 % a kelvin, from 20 degrees."""
    warm, cool = values(answer(temperature="45 °C")), values(answer())
    assert warm["dc_resistance"] == pytest.approx(cool["dc_resistance"] * (1 + 0.00393 * 25), rel=1e-9)
    assert (
        cool["rf_resistance"]
        < warm["rf_resistance"]
        < warm["dc_resistance"] / cool["dc_resistance"] * cool["rf_resistance"]
    )


def test_a_measured_capacitance_is_taken_in_any_shape():
    found = values(answer(shape="spiral", own_capacitance="12 pF"))
    own, across, omega = found["inductance"], 12e-12, 2 * math.pi * 1e6
    assert found["self_resonance"] == pytest.approx(1 / (2 * math.pi * math.sqrt(own * across)), rel=1e-9)
    seen = 1 / (1 / (found["rf_resistance"] + 1j * omega * own) + 1j * omega * across)
    assert found["effective_inductance"] == pytest.approx(seen.imag / omega, rel=1e-3)
    assert found["effective_quality"] == pytest.approx(seen.imag / seen.real, rel=1e-6)
    assert values(answer(shape="spiral"))["self_resonance"] is None


def test_loss_where_the_capacitance_lies_by_hand():
    """omega^3 L^2 C tan delta in series (Terman 1943)."""
    found = values(answer(loss_tangent="0.02"))
    clean = values(answer())
    lost = (2 * math.pi * 1e6) ** 3 * clean["inductance"] ** 2 * clean["self_capacitance"] * 0.02
    assert found["former_resistance"] == pytest.approx(lost, rel=1e-9)
    assert found["rf_resistance"] == pytest.approx(clean["rf_resistance"] + lost, rel=1e-9)


def test_above_a_third_of_self_resonance_the_reader_is_told():
    def told(frequency):
        return " ".join(a["text"] for a in answer(frequency=frequency)["advice"])

    resonance = values(answer())["self_resonance"]
    assert "third" not in told(f"{0.3 * resonance} Hz").replace("cost a third", "")
    assert "above a third" in told(f"{0.4 * resonance} Hz")
    assert "acts as a capacitor" in told(f"{1.1 * resonance} Hz")
    above = values(answer(frequency=f"{1.1 * resonance} Hz"))
    assert above["effective_inductance"] is None
    assert above["effective_quality"] is None


# --- what fits, taps, drawings ----------------------------------------------------------------------------------------


def test_what_fits_by_hand():
    """50 mm at 0.8 mm a turn take 62; a 120 mm card from 40 mm takes 50 at 0.8 mm; cheeks of 34 mm leave 4.5 mm."""
    found = values(answer(room="50 mm"))
    assert found["fits"] == 62
    assert found["fits_inductance"] == pytest.approx(values(answer(turns="62"))["inductance"], rel=1e-12)
    assert values(answer(shape="spiral", card="120 mm"))["fits"] == 50
    a_layer = math.floor(15 / (0.544 * 1.05))
    assert values(answer(shape="layers", cheeks="34 mm"))["fits"] == a_layer * math.floor(4.5 / 0.544)
    in_grooves = values(answer(shape="layers", cheeks="34 mm", bedding="grooves"))["fits"]
    assert in_grooves == a_layer * (1 + math.floor((4.5 - 0.544) / (0.544 * math.sqrt(0.75))))


def test_a_coil_that_does_not_fit_says_so():
    found = answer(room="40 mm")
    assert "Only 50 of them fit" in found["sentence"]
    assert any("does not fit" in a["text"] for a in found["advice"])
    assert "fit" not in answer(room="50 mm")["sentence"]
    for card, refused in (("135.9 mm", True), ("136.1 mm", False)):
        assert ("does not fit" in str(answer(shape="spiral", card=card)["advice"])) == refused


def test_taps_part_the_coil():
    """Below and above a tap are two shorter coils; with twice their mutual inductance they make the whole."""
    found = answer(taps="20, 7.5")
    (table,) = found["tables"]
    assert [row[0]["value"] for row in table["rows"]] == [7.5, 20.0]
    whole = values(found)["inductance"]
    for row in table["rows"]:
        turns, length, share, lower, upper, coefficient = (cell["value"] for cell in row)
        assert lower == pytest.approx(values(answer(turns=str(turns)))["inductance"], rel=1e-12)
        assert upper == pytest.approx(values(answer(turns=str(60 - turns)))["inductance"], rel=1e-12)
        assert lower + upper + 2 * coefficient * math.sqrt(lower * upper) == pytest.approx(whole, rel=1e-12)
        assert length == pytest.approx(values(found)["wire_length"] * turns / 60, rel=1e-9)
        assert share == pytest.approx(turns / 60, rel=1e-12)


def test_a_tap_of_a_spiral_is_counted_along_its_growing_turns():
    found = answer(shape="spiral", turns="30", hub="40 mm", pitch="1 mm", taps="10", leads="200 mm")
    (row,) = found["tables"][0]["rows"]
    by_hand = 2 * math.pi * (10 * 0.02 + 0.001 * 10**2 / 2)
    assert row[1]["value"] == pytest.approx(by_hand + 0.1, rel=1e-9)
    lower, upper, coefficient = (cell["value"] for cell in row[3:])
    whole = values(found)["inductance"] - values(found)["leads_inductance"]
    assert lower + upper + 2 * coefficient * math.sqrt(lower * upper) == pytest.approx(whole, rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_wire_to_the_last_turn_is_all_of_it(shape):
    found = answer(shape=shape, turns="40", taps="39.999999")
    along = found["tables"][0]["rows"][0][1]["value"]
    assert along == pytest.approx(values(found)["wire_length"], rel=1e-6)


def test_the_drawing_is_to_scale():
    (drawing,) = answer(turns="20", pitch="2 mm")["drawings"]
    circles = [shape for shape in drawing["shapes"] if shape["shape"] == "circle"]
    assert len(circles) == 40
    x = sorted({circle["x"] for circle in circles})
    assert x[-1] - x[0] == pytest.approx(19 * 2.0, abs=1e-3)
    assert {round(abs(circle["y"]), 3) for circle in circles} == {37.75}
    left, top, width, height = drawing["box"]
    for circle in circles:
        assert left <= circle["x"] <= left + width
        assert top <= circle["y"] <= top + height


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("turns", ["3", "40", "220"])
def test_every_shape_has_a_drawing_with_its_measures(shape, turns):
    texts = {"wire": "0.2 mm", "pitch": "0.4 mm"}
    found = answer(shape=shape, turns=turns, taps="2", **texts)
    (drawing,) = found["drawings"]
    assert len(json.dumps(drawing)) < 60_000
    words = [shape["text"] for shape in drawing["shapes"] if shape["shape"] == "text"]
    assert any("mm" in text for text in words)
    assert f"{turns} turns" in drawing["description"]


# --- limits -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"wire": "25 mm", "former": "100 mm", "pitch": "30 mm"}, "wire"),
        ({"wire": "6 mm", "former": "5 mm", "pitch": "7 mm"}, "former"),
        ({"wire": "3 mm", "pitch": ""}, "covering"),
        ({"former_shape": "square", "turns": "1000", "pitch": "1 mm"}, "turns"),
        ({"former_shape": "square", "turns": "1", "pitch": "0.6 mm"}, "turns"),
        ({"former_shape": "square", "find": "turns", "inductance": "100 mH"}, "inductance"),
        ({"shape": "layers", "turns": "60.5"}, "turns"),
        ({"shape": "layers", "bobbin": "0.5 mm"}, "bobbin"),
        ({"shape": "layers", "bobbin": "2 mm", "turns": "181"}, "turns"),
        ({"shape": "layers", "find": "turns", "inductance": "100 mH", "core": "5 mm"}, "inductance"),
        ({"shape": "layers", "find": "turns", "inductance": "0.1 µH", "core": "200 mm"}, "inductance"),
        ({"shape": "scramble", "bobbin": "0.55 mm"}, "bobbin"),
        ({"shape": "scramble", "bobbin": "0.7 mm", "turns": "61"}, "turns"),
        ({"shape": "spiral", "turns": "301"}, "turns"),
        ({"shape": "spiral", "pitch": "0.4 mm"}, "pitch"),
        ({"shape": "cone", "turns": "97"}, "turns"),
        ({"shape": "cone", "find": "turns", "inductance": "1 mH"}, "inductance"),
        ({"shape": "rod", "rod_length": "15 mm"}, "rod_length"),
        ({"shape": "rod", "turns": "188"}, "turns"),
        ({"shape": "rod", "offset": "74.9 mm"}, "offset"),
        ({"shape": "rod", "find": "turns", "inductance": "2 mH"}, "inductance"),
        ({"wire_kind": "stranded", "strand": "0.03 mm"}, "strand"),
        ({"wire_kind": "stranded", "bundle": "0.2 mm"}, "bundle"),
        ({"wire_kind": "stranded", "strands": "400"}, "pitch"),
        ({"taps": "60"}, "taps"),
        ({"taps": "0"}, "taps"),
        ({"taps": "ten"}, "taps"),
        ({"taps": ", ".join(str(n) for n in range(1, 14))}, "taps"),
        ({"find": "turns", "inductance": "0.5 µH", "leads": "2 m"}, "leads"),
    ],
)
def test_shapes_beyond_the_limits_are_refused_by_name(texts, field):
    found = bridge.run("coil", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]


@pytest.mark.parametrize(
    "texts",
    [
        {"wire": "20 mm", "former": "100 mm", "pitch": "30 mm", "covering": "bare"},
        {"wire": "2 mm", "pitch": ""},
        {"shape": "layers", "bobbin": "2 mm", "turns": "180"},
        {"shape": "spiral", "turns": "300"},
        {"shape": "cone", "turns": "95"},
        {"shape": "rod", "turns": "187"},
        {"shape": "rod", "offset": "50 mm"},
        {"taps": "59.99"},
        {"turns": "2000", "pitch": "0.6 mm"},
    ],
)
def test_shapes_at_the_limits_are_answered(texts):
    assert answer(**texts)["ok"]


@pytest.mark.parametrize(("turns", "known"), [("10", True), ("9", False)])
def test_self_capacitance_is_known_from_a_tenth_of_the_diameter_on(turns, known):
    """Medhurst's table begins at a length of 0.1 diameters: 9.44 turns of 0.8 mm here."""
    found = answer(turns=turns)
    assert (values(found)["self_capacitance"] is not None) == known
    how = {row["key"]: row["how"] for row in found["rows"]}["self_capacitance"]
    assert ("0.1 to 50" in how) != known


# --- its field --------------------------------------------------------------------------------------------------------


def test_lines_of_the_field_run_where_the_flux_is_the_same():
    """The flux through a circle is the sum of its mutual inductances with the turns (Maxwell)."""
    found = answer(turns="20", pitch="2 mm", field="yes")
    drawing = {drawing["key"]: drawing for drawing in found["drawings"]}["field"]
    lines = [shape["points"] for shape in drawing["shapes"] if shape["role"] == "accent" and shape["shape"] == "line"]
    place = 2e-3 * (np.arange(20) - 9.5)
    for line in lines:
        x, rho = 1e-3 * np.array(line)[:, 0], 1e-3 * np.abs(np.array(line)[:, 1])
        far = (np.abs(rho - 0.03775) > 4e-3) & (rho > 4e-3)
        m = 4.0 * rho[:, None] * 0.03775 / ((rho[:, None] + 0.03775) ** 2 + (x[:, None] - place) ** 2)
        k = np.sqrt(m)
        flux = np.sum(np.sqrt(rho[:, None] * 0.03775) * ((2.0 / k - k) * ellipk(m) - 2.0 / k * ellipe(m)), axis=1)
        assert np.ptp(flux[far]) < 0.02 * np.mean(flux[far])
    assert len(lines) >= 10
    assert {drawing["key"] for drawing in answer()["drawings"]} == {"section"}


@pytest.mark.parametrize("shape", SHAPES)
def test_the_field_is_drawn_for_every_shape_but_a_rod(shape):
    keys = [drawing["key"] for drawing in answer(shape=shape, field="yes", turns="150", wire="0.2 mm")["drawings"]]
    assert keys == (["section"] if shape == "rod" else ["section", "field"])
