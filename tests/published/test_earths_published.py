"""Earth resistances against worked examples and Dwight's printed series."""

import csv
from pathlib import Path

import numpy as np
import pytest

from calc import earths
from tests.published.checks import agree

HERE = Path(__file__).parent


def rows(name):
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("earths_worked.csv"), ids=lambda row: row["source"])
def test_worked_examples(row):
    value = earths.stake_resistance(float(row["length"]), float(row["diameter"]), float(row["resistivity"]))
    agree("resistance of a stake", value, float(row["resistance"]), rel=float(row["tolerance"]), unit="ohm")


def test_many_stakes():
    # SOURCE: MIL-HDBK-419A vol. II 1.2.2.2: 26 such rods 20 ft apart; a chart for rods in a line gives 5.5 % of one
    foot = 0.3048
    places = [(20.0 * n * foot, 0.0) for n in range(26)]
    together = earths.stakes_resistance(places, 10.0 * foot, 0.75 * 0.0254, 100.0)
    agree("resistance of 26 stakes", together, 0.055 * 32.0, rel=0.03, unit="ohm")


@pytest.mark.parametrize("apart", [3.0, 5.0, 10.0])
def test_two_stakes_by_series(apart):
    # SOURCE: Dwight (1936), two rods further apart than long (from memory): his series to the fourth power
    length, radius, rho = 1.5, 0.008, 120.0
    distance = apart * length
    ratio = length / distance
    own = rho / (4.0 * np.pi * length) * (np.log(4.0 * length / radius) - 1.0)
    other = rho / (4.0 * np.pi * distance) * (1.0 - ratio**2 / 3.0 + 2.0 / 5.0 * ratio**4)
    pair = earths.stakes_resistance([(0.0, 0.0), (distance, 0.0)], length, 2.0 * radius, rho)
    agree("resistance of two stakes", pair, own + other, rel=3e-4, unit="ohm")


@pytest.mark.parametrize("row", rows("earths_stars.csv"), ids=lambda row: row["arms"])
@pytest.mark.parametrize("depth", [0.2, 0.5, 1.0])
def test_stars_by_series(row, depth):
    arms, arm, radius, rho = int(row["arms"]), 10.0, 0.001, 100.0
    s = 2.0 * depth
    terms = sum(float(row[f"k{power}"]) * (s / arm) ** power for power in (0, 1, 2, 4))
    series = rho / (2.0 * arms * np.pi * arm) * (np.log(2.0 * arm / radius) + np.log(2.0 * arm / s) + terms)
    agree(
        "resistance of a star of wires",
        earths.star_resistance(arms, arm, 2.0 * radius, depth, rho),
        series,
        rel=0.002,
        unit="ohm",
    )


def test_buried_wire_by_closed_form():
    # SOURCE: Sunde (1949), also BS 7430 in this form (seen second hand): rho/(pi l) (ln(2l/sqrt(d h)) - 1), l >> h
    length, thick, depth, rho = 100.0, 0.003, 0.4, 80.0
    closed = rho / (np.pi * length) * (np.log(2.0 * length / np.sqrt(thick * depth)) - 1.0)
    agree(
        "resistance of a buried wire",
        earths.buried_wire_resistance(length, thick, depth, rho),
        closed,
        rel=0.001,
        unit="ohm",
    )


def test_counterpoise_against_straight_wires():
    # INDEPENDENT: electrostatic solutions of level wires; the average potential is at most 1 % low
    for row in rows("aerials_straight_wires.csv"):
        if row["kind"] == "horizontal":
            ours = earths.counterpoise_capacitance(float(row["l_m"]), float(row["d_mm"]) / 1e3, float(row["h_or_h0_m"]))
            agree("capacitance of a counterpoise", ours * 1e12, float(row["C_howe_pF"]), rel=1e-3, unit="pF")
            assert 0.99 < ours * 1e12 / float(row["C_static_pF"]) < 1.0
