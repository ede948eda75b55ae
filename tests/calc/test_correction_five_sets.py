"""Five invented sets, differing in their link: eight readings of two per cent give back aerial and Q.

Expected values are the figures from which the readings were made; the noise is seeded.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from calc.correction import LINK, OFF, STRAIGHT, Correction, Kind, Model, Reading, Skill, Unknown, correct, least_told
from calc.forms.correct_model.bench_set import AERIAL, COUPLING, QUALITY, STRAYS, BenchSet
from calc.forms.fields import arguments
from calc.forms.receiver import FORM
from calc.forms.receiver.build import ChosenSet
from calc.settings.dial import tuned_frequency

NOISE = 0.02
TRIALS = 5
STATIONS = {"Ash": (612e3, 12e-3), "Beech": (747e3, 8e-3), "Cedar": (999e3, 5e-3), "Dock": (1350e3, 3e-3)}
DISTRICT = "\n".join(f"{name}; {f / 1e3:g} kHz; ; ; {1e3 * field:g} mV/m" for name, (f, field) in STATIONS.items())
NAMES = (STRAYS, AERIAL, QUALITY, COUPLING)
OFF_BY = (0.8, 0.25, -0.3, 0.2)
"""How far each true figure lies from the one entered, on its scale."""
SETS = {
    "direct": {"link": "direct", "aerial": "measured", "aerial_capacitance": "120p", "coil": "measured"},
    "capacitor": {"link": "capacitor", "link_capacitor": "33p", "aerial": "measured", "aerial_capacitance": "160p"},
    "tap": {"link": "tap", "tap_turns": "12", "aerial": "low"},
    "winding": {"link": "winding", "winding_turns": "12", "coefficient": "20 %", "coil": "bottle"},
    "tuned aerial": {"link": "tuned-winding", "winding_turns": "20", "coefficient": "8 %"},
}
PLAN = ((OFF, "Dock", True), (OFF, "Ash", True), (STRAIGHT, "Ash", False), (LINK, "Cedar", True), (LINK, "Ash", False))
"""Five dials and three widths: eight figures."""
SKILL = Skill(fall=10.0, fall_uncertainty=1e-6, width_uncertainty=NOISE)


class Bench:
    """A set with its true figures, and what is read of it."""

    def __init__(self, texts: dict[str, str]) -> None:
        values, errors = arguments(FORM.fields, {"stations": DISTRICT} | texts)
        assert not errors
        self.set_ = BenchSet(ChosenSet(values))
        asked = [self.set_.unknown(name) for name in NAMES]
        self.unknowns: list[Unknown] = [each for each in asked if each is not None]
        self.names = [each.name for each in self.unknowns]
        self.truth = [each.value(place) for each, place in zip(self.unknowns, OFF_BY, strict=False)]

    def build(self, found, frequency):
        return self.set_.built(self.names, found, frequency)

    def model(self, readings, skill=SKILL):
        return Model(self.build, readings, skill, 0.3)

    def reading(self, joined: str, station: str, wide: bool, through: float | None = None) -> Reading:
        """Without any noise; flanks where the sound has fallen by the skill's fall, sought by halving."""
        frequency, field = STATIONS[station]
        flanks = (1e-12, 1e-12) if wide else None
        bare = Reading(frequency, joined, 1e-10, 1e-12, field, through, flanks, station=list(STATIONS).index(station))
        peak = float(self.model([bare]).read([self.truth])[0, 0])
        if wide:
            low, high = math.log(1e-13), math.log(6e-11)
            for _ in range(45):
                middle = 0.5 * (low + high)
                bare = replace(bare, flanks=(math.exp(middle), math.exp(middle)))
                fall = float(self.model([bare]).read([self.truth])[0, 1])
                low, high = (middle, high) if fall < SKILL.fall else (low, middle)
        return replace(bare, capacitance=peak, uncertainty=NOISE * peak)

    def readings(self, plan=PLAN) -> list[Reading]:
        return [self.reading(joined, station, wide) for joined, station, wide in plan]


def widened(reading, factor):
    flanks = reading.flanks and tuple(side * factor for side in reading.flanks)
    return replace(reading, flanks=flanks)


def noisy(readings, random):
    shaken = [replace(each, capacitance=each.capacitance * (1 + NOISE * random.standard_normal())) for each in readings]
    return [widened(each, 1 + NOISE * random.standard_normal()) for each in shaken]


@pytest.fixture(scope="module", params=SETS)
def bench(request):
    made = Bench(SETS[request.param])
    if made.set_.field(COUPLING) is None:  # its link is already straight on the coil: a known capacitor is put in
        made.plan = [
            made.reading(OFF, "Dock", True),
            made.reading(OFF, "Ash", True),
            made.reading(LINK, "Cedar", True, 50e-12),
        ]
        made.plan += [made.reading(LINK, "Ash", False, 200e-12), made.reading(LINK, "Ash", False)]
        if min(each.capacitance for each in made.plan) <= 0.0:
            made.plan[-1] = made.reading(LINK, "Ash", False, 100e-12)
    else:
        made.plan = made.readings()
    return made


def test_readings_without_noise_give_the_truth(bench):
    found = correct(bench.model(bench.plan), bench.unknowns, guided=False)
    assert sum(1 for _ in found.model.kinds) == 8
    assert found.values == pytest.approx(bench.truth, rel=1e-7)


def test_noisy_readings_give_aerial_within_5_and_q_within_15_per_cent(bench):
    random, aerial, quality = np.random.default_rng(7), bench.names.index(AERIAL), bench.names.index(QUALITY)
    good = 0
    for _ in range(TRIALS):
        found = correct(bench.model(noisy(bench.plan, random)), bench.unknowns, leave_out=False)
        off = [abs(value / true - 1.0) for value, true in zip(found.values, bench.truth, strict=True)]
        good += off[aerial] < 0.05 and off[quality] < 0.15
    assert good >= TRIALS - 1


def test_the_dial_of_the_model_is_that_of_the_turned_set(bench):
    """The set turned to the capacitance that a reading has is tuned to that reading's station."""
    linked = bench.reading(LINK, "Ash", False)
    set_, strays = bench.build(bench.truth, np.asarray(linked.frequency))
    assert tuned_frequency(set_, linked.capacitance + strays) == pytest.approx(linked.frequency, rel=1e-8)


def test_the_fit_is_that_of_scipy():
    bench = Bench(SETS["capacitor"])
    readings = noisy(bench.readings(), np.random.default_rng(3))
    found: Correction = correct(bench.model(readings), bench.unknowns, leave_out=False)

    def wrong(places):
        values = [each.value(place) for each, place in zip(bench.unknowns, places, strict=True)]
        figures = bench.model(readings).read([values])[0]
        loose = [place / each.looseness for each, place in zip(bench.unknowns, places, strict=True)]
        return np.concatenate([(found.figures - figures) / found.uncertainty, loose])

    other = least_squares(wrong, np.zeros(4), method="lm", xtol=1e-12, ftol=1e-12, gtol=1e-12)
    assert found.places == pytest.approx(other.x, abs=1e-5)
    assert [found.spread(index) for index in range(4)] == pytest.approx(
        np.sqrt(np.diag(np.linalg.inv(other.jac.T @ other.jac))), rel=1e-3
    )


def test_without_the_aerial_off_or_straight_coupling_and_aerial_trade():
    bench = Bench(SETS["capacitor"])
    plan = [(LINK, name, True) for name in STATIONS if name != "Dock"]
    found = correct(bench.model(bench.readings(plan)), bench.unknowns)
    blind = least_told(found)
    assert blind.telling < 1.0
    assert abs(blind.shares[AERIAL]) > 0.5
    told = correct(bench.model(bench.readings()), bench.unknowns)
    assert least_told(told).telling > 2.0


def test_a_reading_that_is_wrong_is_named_and_left_out():
    bench = Bench(SETS["capacitor"])
    readings = [
        replace(each, uncertainty=1e-12)
        for each in bench.readings((*PLAN, (LINK, "Beech", False), (OFF, "Beech", False)))
    ]
    readings[5] = replace(readings[5], capacitance=readings[5].capacitance + 20e-12)
    found = correct(bench.model(readings), bench.unknowns)
    assert [found.model.kinds[index] for index in found.left_out] == [(Kind.DIAL, 5)]
    assert found.values == pytest.approx(bench.truth, rel=0.02)
    counted = correct(bench.model(readings), bench.unknowns, leave_out=False)
    assert counted.left_out == ()
