"""The coil form in all shapes: sums over rings by scipy's elliptic integrals, whole turns, scale."""

import math

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from tests.calc.coil_answers import SHAPES, SMALL, answer, values


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
