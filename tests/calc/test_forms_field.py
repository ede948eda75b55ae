"""The field form: published ground-wave values through the page, Millington's method, noise and night."""

import csv
import math
from functools import partial
from pathlib import Path
from random import Random

import numpy as np
import pytest

from calc import bridge, ground_wave, radio_noise
from calc.forms import FORMS
from calc.ground_wave import Section
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values
from tests.strategies import bad_inputs, generated_inputs, is_asked

answer = partial(form_answer, "field")

FORM = FORMS["field"]
PUBLISHED = Path(__file__).parent.parent / "published" / "ground_wave_field.csv"


def published():
    lines = PUBLISHED.read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return rows[::5]


def sections(*parts):
    grounds = ground_wave.grounds()
    return [Section(1e3 * km, grounds[key].conductivity, grounds[key].permittivity) for km, key in parts]


def test_published_field_strengths_through_the_page():
    """Every fifth of the NTIA's validation set, printed to 0.01 dB: see the head of the file."""
    rows = published()
    assert len(rows) >= 30
    for row in rows:
        found = values(
            answer(
                frequency=f"{row['f_MHz']} MHz",
                distance=f"{row['d_km']} km",
                ground="own",
                conductivity=f"{row['sigma']} S/m",
                permittivity=row["eps_r"],
            )
        )
        assert found["level"] == pytest.approx(float(row["E_ntia"]), abs=0.05)


def test_a_kilowatt_makes_300_millivolts_at_a_kilometre():
    found = values(answer(distance="1 km", ground="sea", frequency="150 kHz"))
    assert found["unattenuated"] == pytest.approx(0.3, rel=1e-12)
    assert found["field"] == pytest.approx(0.3, rel=0.01)


def test_a_transmitter_s_power_and_its_aerial():
    found = values(answer(given="transmitter", power="2 kW", gain="3 dB"))
    assert found["radiated_power"] == pytest.approx(2e3 * 10.0**0.3, rel=1e-12)
    assert found["field"] == pytest.approx(values(answer())["field"] * math.sqrt(2.0 * 10.0**0.3), rel=1e-9)


def test_rows_say_how_and_the_curve_passes_through_the_listener():
    found = answer(distance="40 km")
    assert all(row["how"] for row in found["rows"])
    (chart,) = found["charts"]
    (mark,) = chart["marks"]
    assert (mark["x"], mark["y"]) == pytest.approx((4e4, values(found)["field"]))
    line = chart["series"][0]
    at = math.exp(np.interp(math.log(4e4), np.log(line["x"]), np.log(line["y"])))
    assert at == pytest.approx(mark["y"], rel=0.01)
    assert chart["x"]["log"]
    assert chart["y"]["log"]
    assert (line["x"][0], line["x"][-1]) == pytest.approx((1e3, 1e6))
    assert np.all(np.diff(line["y"]) < 0.0)
    # over so many decades each tick has its own prefix
    assert chart["y"]["label"] == "Field strength"
    assert "1 mV/m" in [tick["text"] for tick in chart["y"]["ticks"]]
    assert chart["x"]["label"] == "Distance [km]"


# --- several kinds of ground --------------------------------------------------------------------------------------

PATH = "20 km; medium-dry\n16 km; sea\n6 km; land"
PARTS = ((20.0, "medium-dry"), (16.0, "sea"), (6.0, "land"))


def test_the_end_of_the_path_is_millington_s():
    found = values(answer(path="several", sections=PATH))
    assert found["field"] == pytest.approx(ground_wave.mixed_path_field(1e3, 612e3, sections(*PARTS)), rel=1e-12)


def test_any_point_of_the_path_is_the_end_of_a_shorter_one():
    distance = np.array([3e3, 2e4, 2.0002e4, 3e4, 3.6e4, 4.1e4])
    along = ground_wave.field_along_path(1e3, 612e3, sections(*PARTS), distance)
    cut = [((3.0, "medium-dry"),), PARTS[:1], (PARTS[0], (0.002, "sea")), (PARTS[0], (10.0, "sea")), PARTS[:2],
           (*PARTS[:2], (5.0, "land"))]  # fmt: skip
    for field, parts in zip(along, cut, strict=True):
        assert field == pytest.approx(ground_wave.mixed_path_field(1e3, 612e3, sections(*parts)), rel=1e-9)


def test_turned_end_for_end_it_is_the_same():
    back = "\n".join(reversed(PATH.splitlines()))
    there, here = (values(answer(path="several", sections=text))["field"] for text in (PATH, back))
    assert there == pytest.approx(here, rel=1e-9)


def test_one_ground_in_pieces_is_that_ground():
    pieces = values(answer(path="several", sections="5; land\n7; land\n2; land"))["field"]
    whole = values(answer(path="several", sections="14; land"))["field"]
    assert whole == pytest.approx(values(answer())["field"], rel=1e-12)
    # Millington's mean of out and back is exact for one ground
    assert pieces == pytest.approx(whole, rel=1e-9)


def test_off_the_coast_the_field_recovers():
    """The effect that the method was made for: past the shore of poor land the field rises for a while."""
    (chart,) = answer(path="several", sections=PATH, frequency="1200 kHz")["charts"]
    x, y = (np.array(chart["series"][0][axis]) for axis in "xy")
    shore = y[np.argmin(np.abs(x - 2e4))]
    assert y[(x > 2.1e4) & (x < 3e4)].max() > 1.2 * shore


def test_the_table_of_sections_ends_where_the_path_does():
    found = answer(path="several", sections=PATH)
    (table,) = found["tables"]
    assert [row[2]["value"] for row in table["rows"]] == pytest.approx([2e4, 3.6e4, 4.2e4])
    assert table["rows"][-1][3]["value"] == pytest.approx(values(found)["field"], rel=1e-9)
    assert table["rows"][0][3]["value"] == pytest.approx(
        ground_wave.mixed_path_field(1e3, 612e3, sections(PARTS[0])), rel=1e-9
    )


def test_paths_of_many_kinds():
    source, keys = Random(7), list(ground_wave.grounds())
    for _ in range(40):
        rows = [f"{source.uniform(0.2, 150):.3f} km; {source.choice(keys)}" for _ in range(source.randint(1, 6))]
        frequency = f"{source.uniform(150, 1700):.0f} kHz"
        found = bridge.run("field", {"path": "several", "sections": "\n".join(rows), "frequency": frequency})
        assert found["ok"] or list(found["errors"]) == ["sections"]


@pytest.mark.parametrize("text", ["0.2 km; sea", "900 km; sea\n200 km; land", "5 km; moon", "5 km", "; sea", "a; b; c"])
def test_paths_that_cannot_be_are_named(text):
    assert list(bridge.run("field", {"path": "several", "sections": text})["errors"]) == ["sections"]


# --- noise and night ----------------------------------------------------------------------------------------------


def test_noise_rules_are_the_recommendation_s():
    found = answer(frequency="1 MHz")
    # Rec. ITU-R P.372: Fa = c at 1 MHz, E = Fa + 20 log f + 10 log b - 95.5 dB over 1 uV/m
    for key, c in (("city", 76.8), ("residential", 72.5), ("rural", 67.2)):
        level = c + 10.0 * math.log10(9e3) - 95.5
        assert 20.0 * math.log10(values(found)[f"noise_{key}"] / 1e-6) == pytest.approx(level, abs=0.1)
    rules = [rule for rule in found["charts"][0]["rules"] if rule["axis"] == "y"]
    assert [rule["value"] for rule in rules] == pytest.approx(
        [radio_noise.man_made_noise_field(key, 1e6) for key in ("city", "residential", "rural")]
    )


def test_below_the_recommendation_no_noise_is_told():
    found = answer(frequency="200 kHz")
    assert values(found)["noise_city"] is None
    assert values(found)["over_noise"] is None
    assert found["charts"][0]["rules"] == []


def test_the_sky_wave_comes_where_its_curve_does():
    assert values(answer(distance="99 km"))["sky_wave"] is None
    assert values(answer(distance="300 km", frequency="200 kHz"))["sky_wave"] is None
    night = values(answer(distance="300 km"))["sky_wave"]
    # 47 CFR 73.190, formula 1, by hand for 52 degrees: 1 kW e.m.r.p. makes 300 mV/m at 1 km
    slant = math.hypot(200.0, 300.0)
    loss = 2.0 * math.pi + 4.95 * math.tan(math.radians(52.0)) ** 2
    level = 97.5 - 20.0 * math.log10(slant) - loss * math.sqrt(slant / 1e3) + 20.0 * math.log10(3.0)
    assert 20.0 * math.log10(night / 1e-6) == pytest.approx(level, abs=1e-6)


def test_where_sky_and_ground_wave_are_even():
    even = values(answer(ground="sea"))["even"]
    there = values(answer(ground="sea", distance=f"{even} m"))
    assert there["sky_wave"] == pytest.approx(there["field"], rel=0.01)
    row = next(row for row in answer(ground="very-dry")["rows"] if row["key"] == "even")
    assert row["value"] is None
    assert row["text"] == "under 100 km"


def test_after_dark_is_told():
    told = " ".join(advice["text"] for advice in answer(distance="400 km")["advice"])
    assert "After dark the sky wave is the stronger" in told
    assert any("By day" in advice["text"] for advice in answer()["advice"])
    assert [drawing["key"] for drawing in answer(distance="400 km")["drawings"]] == ["way"]
    assert answer()["drawings"] == []


# --- whatever is typed --------------------------------------------------------------------------------------------


def test_hundreds_of_good_inputs():
    answered = 0
    for texts in generated_inputs(FORM, 150, seed=71):
        found = bridge.run("field", texts)
        answered += found["ok"]
        for name in found.get("errors", ()):
            assert is_asked(FORM, FORM.field(name), texts), (name, texts)
    assert answered > 120


def test_bad_inputs_are_named():
    for texts, name in bad_inputs(FORM, 120, seed=72):
        assert list(bridge.run("field", texts)["errors"]) == [name]


@pytest.mark.parametrize(
    "texts",
    [
        {"power": "1 mW", "distance": "1000 km", "ground": "cold-ice", "frequency": "3 MHz"},
        {"power": "5 MW", "distance": "1 km", "ground": "sea", "frequency": "100 kHz"},
        {"distance": "1000 km", "latitude": "-90"},
        {"path": "several", "sections": "1000 km; very-dry"},
    ],
)
def test_the_ends_of_what_may_be_typed(texts):
    assert values(answer(**texts))["field"] > 0.0
