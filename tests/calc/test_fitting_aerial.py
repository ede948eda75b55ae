"""An aerial by what it does to a tuned circuit, against circuit theory, and within its own intervals."""

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import fitting
from calc.aerials import SeriesAerial
from calc.fitting import Measured
from calc.units import InputError

TRIALS = 1000
TWO_PI = 2.0 * math.pi
COIL, QUALITY, STRAYS = 100e-6, 100.0, 25e-12
FREQUENCIES = np.array([450e3, 550e3, 650e3, 750e3])


def admittance(frequency, aerial, ahead):
    """Of the aerial behind a capacitor [S], by the aerial's own module."""
    impedance = np.asarray(aerial.impedance(frequency))
    if ahead is not None:
        impedance = impedance + 1.0 / (2j * math.pi * frequency * ahead)
    return 1.0 / impedance


def retuned(aerial, ahead):
    """Readings without error: frequency, settings without and with, widths without and with."""
    omega = TWO_PI * FREQUENCIES
    whole = 1.0 / (omega**2 * COIL)
    added = admittance(FREQUENCIES, aerial, ahead)
    width = FREQUENCIES / QUALITY
    return (
        FREQUENCIES,
        whole - STRAYS,
        whole - STRAYS - added.imag / omega,
        width,
        width + added.real / (TWO_PI * whole),
    )


def shifted(aerial, ahead):
    """Readings without error: frequencies without and with, setting, widths without and with."""
    whole = 1.0 / ((TWO_PI * FREQUENCIES) ** 2 * COIL)

    def off(frequency, own):
        across = own + admittance(frequency, aerial, ahead).imag / (TWO_PI * frequency)
        return (TWO_PI * frequency) ** 2 * COIL * across - 1.0

    after = np.array(
        [
            scipy.optimize.brentq(off, 0.3 * before, before, (own,), xtol=1e-9, rtol=1e-15)
            for before, own in zip(FREQUENCIES, whole, strict=True)
        ]
    )
    joined = 1.0 / ((TWO_PI * after) ** 2 * COIL)
    loss = 1.0 / (TWO_PI * after * COIL * QUALITY) + admittance(after, aerial, ahead).real
    return FREQUENCIES, after, whole - STRAYS, FREQUENCIES / QUALITY, loss / (TWO_PI * joined)


AERIAL = SeriesAerial(38.0, 14e-6, 190e-12)


@pytest.mark.parametrize("ahead", [None, 33e-12, 100e-12])
@pytest.mark.parametrize("way", ["retuned", "shifted"])
def test_readings_without_noise_give_the_aerial(way, ahead):
    if way == "retuned":
        added = fitting.added_when_retuned(*retuned(AERIAL, ahead), 0.3e-12, 0.03)
    else:
        added = fitting.added_when_shifted(*shifted(AERIAL, ahead), 0.0005, 0.03)
    series = None if ahead is None else Measured(ahead, 0.3e-12)
    found = fitting.fit_aerial(added, Measured(STRAYS, 2e-12), series, with_inductance=True)
    names = ("resistance", "capacitance", "inductance")
    assert [found[name].value for name in names] == pytest.approx([38.0, 190e-12, 14e-6], rel=1e-9)
    resistance, capacitance = fitting.apparent(added, STRAYS, ahead)
    assert resistance == pytest.approx([38.0] * 4, rel=1e-9)
    reactance = np.asarray(AERIAL.impedance(added.frequency)).imag
    assert capacitance == pytest.approx(-1.0 / (TWO_PI * added.frequency * reactance), rel=1e-9)


@settings(max_examples=30)
@given(st.floats(5.0, 200.0), st.floats(60e-12, 400e-12), st.sampled_from([None, 20e-12, 50e-12]))
def test_any_aerial_without_inductance(resistance, capacitance, ahead):
    aerial = SeriesAerial(resistance, 0.0, capacitance)
    added = fitting.added_when_retuned(*retuned(aerial, ahead), 0.3e-12, 0.03)
    found = fitting.fit_aerial(added, Measured(STRAYS, 0.0), None if ahead is None else Measured(ahead, 0.0))
    assert [found[name].value for name in ("resistance", "capacitance")] == pytest.approx(
        [resistance, capacitance], rel=1e-8
    )


@pytest.mark.parametrize("way", ["retuned", "shifted"])
def test_intervals_of_an_aerial(way):
    source = np.random.default_rng(20)
    ahead = 68e-12
    counts = np.zeros(2)
    aerial = SeriesAerial(60.0, 0.0, 190e-12)
    exact = retuned(aerial, ahead) if way == "retuned" else shifted(aerial, ahead)
    for _ in range(TRIALS):
        noise = source.standard_normal((4, 4))
        if way == "retuned":
            at, before, after, narrow, wide = exact
            added = fitting.added_when_retuned(
                at,
                before + 0.3e-12 * noise[0],
                after + 0.3e-12 * noise[1],
                narrow * (1.0 + 0.02 * noise[2]),
                wide * (1.0 + 0.02 * noise[3]),
                0.3e-12,
                0.02,
            )
        else:
            first, second, setting, narrow, wide = exact
            added = fitting.added_when_shifted(
                first * (1.0 + 0.0005 * noise[0]),
                second * (1.0 + 0.0005 * noise[1]),
                setting,
                narrow * (1.0 + 0.02 * noise[2]),
                wide * (1.0 + 0.02 * noise[3]),
                0.0005,
                0.02,
            )
        strays = Measured(STRAYS + 1e-12 * source.standard_normal(), 1e-12)
        found = fitting.fit_aerial(added, strays, Measured(ahead + 0.3e-12 * source.standard_normal(), 0.3e-12))
        for place, (name, truth) in enumerate((("resistance", 60.0), ("capacitance", 190e-12))):
            least, most = found[name].interval()
            counts[place] += least <= truth <= most
    assert np.all((counts >= 0.93 * TRIALS) & (counts <= 0.97 * TRIALS)), counts


def test_against_scipy():
    source = np.random.default_rng(21)
    at, before, after, narrow, wide = retuned(AERIAL, 100e-12)
    after = after + 0.3e-12 * source.standard_normal(4)
    wide = wide * (1.0 + 0.01 * source.standard_normal(4))
    added = fitting.added_when_retuned(at, before, after, narrow, wide, 0.3e-12, 0.01)
    found = fitting.fit_aerial(added, Measured(STRAYS, 2e-12), Measured(100e-12, 0.3e-12), with_inductance=True)

    def wrong(v):
        aerial = SeriesAerial(v[0], v[1] * 1e-6, v[2] * 1e-12)
        seen = admittance(at, aerial, v[4] * 1e-12)
        capacitance = seen.imag / (TWO_PI * at)
        width = seen.real / (TWO_PI * (before + v[3] * 1e-12))
        return np.concatenate(
            [
                (before - after - capacitance) / (math.sqrt(2.0) * 0.3e-12),
                (wide - narrow - width) / (0.01 * np.hypot(narrow, wide)),
                [(25.0 - v[3]) / 2.0, (100.0 - v[4]) / 0.3],
            ]
        )

    start, nought = [30.0, 10.0, 200.0, 25.0, 100.0], [0.0, 0.0, 1.0, 1.0, 1.0]
    whole = scipy.optimize.least_squares(
        wrong, start, "3-point", (nought, np.inf), xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=start
    )
    names = ("resistance", "inductance", "capacitance", "strays", "series_capacitance")
    values = np.array([found[name].value for name in names]) / [1.0, 1e-6, 1e-12, 1e-12, 1e-12]
    assert values == pytest.approx(whole.x, rel=1e-6)


def test_one_reading_tells_resistance_and_capacitance():
    row = [each[1:2] for each in retuned(AERIAL, None)]
    added = fitting.added_when_retuned(*row, 0.3e-12, 0.03)
    found = fitting.fit_aerial(added, Measured(STRAYS, 2e-12))
    assert found["resistance"].value == pytest.approx(38.0, rel=1e-9)
    assert found["resistance"].decided


def test_inductance_is_not_told_from_one_frequency():
    rows = [np.repeat(each[1:2], 3) for each in retuned(AERIAL, None)]
    found = fitting.fit_aerial(
        fitting.added_when_retuned(*rows, 0.3e-12, 0.03), Measured(STRAYS, 2e-12), with_inductance=True
    )
    assert not found["inductance"].decided
    assert not found["capacitance"].decided
    assert found["resistance"].decided
    assert {name for name, share in found.lost[0].shares.items() if share} == {"inductance", "capacitance"}


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"frequency": [1e6]}, "capacitor_without"),
        ({"width_with": [-1.0, 1e4, 1e4, 1e4]}, "width_with"),
        ({"capacitor_uncertainty": 0.0}, "capacitor_uncertainty"),
        ({"width_uncertainty": math.nan}, "width_uncertainty"),
    ],
)
def test_bad_readings_are_named(change, argument):
    names = ("frequency", "capacitor_without", "capacitor_with", "width_without", "width_with")
    good = dict(zip(names, retuned(AERIAL, None), strict=True))
    with pytest.raises(InputError) as caught:
        fitting.added_when_retuned(**(good | {"capacitor_uncertainty": 1e-12, "width_uncertainty": 0.03} | change))
    assert caught.value.argument == argument


def test_an_aerial_that_adds_nothing_is_refused():
    at, before, _, narrow, wide = retuned(AERIAL, None)
    added = fitting.added_when_retuned(at, before, before + 1e-12, narrow, wide, 0.3e-12, 0.03)
    with pytest.raises(InputError) as caught:
        fitting.fit_aerial(added, Measured(STRAYS, 0.0))
    assert caught.value.argument == "capacitor_with"


def test_more_than_the_capacitor_in_the_lead_is_refused():
    added = fitting.added_when_retuned(*retuned(AERIAL, None), 0.3e-12, 0.03)
    with pytest.raises(InputError) as caught:
        fitting.fit_aerial(added, Measured(STRAYS, 0.0), Measured(33e-12, 0.0))
    assert caught.value.argument == "series_capacitance"
