"""An earphone by ear: powers and levels by hand, and intervals that keep their word."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from calc import earphones
from calc.fitting.earphone_level import (
    Known,
    Part,
    attenuated,
    by_comparison,
    by_threshold,
    critical_bandwidth,
    electrical_power,
    masked_threshold,
    noise_share,
    sensitivity,
)
from calc.units import InputError

KNOWN = Known(97.0, 32.0, 2.0)


def test_powers_and_levels_by_hand():
    assert electrical_power(1.0, 1000.0) == 1e-3
    assert attenuated(1.0, 20.0) == pytest.approx(0.1, rel=1e-15)
    assert sensitivity(100.0, 1e-3) == 100.0
    assert sensitivity(40.0, 1e-9) == pytest.approx(100.0)


@given(st.floats(60.0, 130.0), st.floats(1e-12, 1.0))
def test_the_sensitivity_gives_back_the_level(level, power):
    own = earphones.Earphone(1000.0, sensitivity(level, power))
    assert earphones.sound_level(own, power) == pytest.approx(level, abs=1e-9)


def test_critical_bands():
    """Zwicker's own table of 1961 has 160 Hz for the band about 1 kHz and 100 Hz for the lowest (from memory)."""
    assert critical_bandwidth(1000.0) == pytest.approx(160.0, rel=0.03)
    assert critical_bandwidth(50.0) == pytest.approx(100.0, rel=0.01)


def test_thresholds_in_quiet_and_in_noise():
    assert masked_threshold(1000.0, -60.0) == pytest.approx(earphones.threshold(1000.0), abs=1e-4)
    assert masked_threshold(1000.0, -60.0, 15.0) == pytest.approx(earphones.threshold(1000.0) + 15.0, abs=1e-4)
    # Hawkins and Stevens (1950): a tone of 1 kHz is heard 18 dB over the noise in one hertz, within 2 dB (from memory)
    octave = 60.0
    in_one_hertz = octave - 10.0 * math.log10(1000.0 * (math.sqrt(2.0) - math.sqrt(0.5)))
    assert masked_threshold(1000.0, octave) - in_one_hertz == pytest.approx(18.0, abs=2.0)


@given(st.floats(100.0, 8000.0), st.floats(-20.0, 70.0), st.floats(0.0, 40.0))
def test_the_share_of_the_noise_is_the_slope(frequency, noise, loss):
    rise = masked_threshold(frequency, noise + 1e-3, loss) - masked_threshold(frequency, noise - 1e-3, loss)
    assert noise_share(frequency, noise, loss) == pytest.approx(rise / 2e-3, abs=1e-5)


def test_comparison_without_noise():
    """20 mV on 32 ohm is 12.5 uW; 0.1 V on 12 kilohm is 0.833 uW, 11.76 dB less, so the other is so much better."""
    found = by_comparison([0.02, 0.04], [0.1, 0.2], KNOWN, 12e3, 1.0)
    assert found.sensitivity.value == pytest.approx(97.0 + 10.0 * math.log10(12.5 / (10.0 / 12.0)), abs=1e-9)
    assert found.powers == pytest.approx([1e-2 / 12e3, 4e-2 / 12e3])


def test_threshold_without_noise():
    power = earphones.REFERENCE_POWER * 10.0 ** ((2.4 - 108.0) / 10.0)
    found = by_threshold([math.sqrt(power * 12e3)], 12e3, 2.4, 2.0, ())
    assert found.sensitivity.value == pytest.approx(108.0, abs=1e-9)


@pytest.mark.parametrize("told", [1.5, None])
def test_intervals_of_the_comparison_hold_the_truth_as_often_as_they_say(told):
    """Balance told, or shown by the scatter of five trials; all else is shared by the trials of one bench."""
    rng = np.random.default_rng(2)
    held = 0
    for _ in range(1000):
        levels = 60.0 + 1.5 * rng.standard_normal(5)
        true_known = KNOWN.sensitivity + KNOWN.uncertainty * rng.standard_normal()
        seated = 2.0 * rng.standard_normal()
        impedances = np.array([32.0, 12e3]) * 10.0 ** (0.1 * 10 / math.log(10) * 0.05 * rng.standard_normal(2))
        scales = 10.0 ** (0.05 * 20 / math.log(10) * 0.02 * rng.standard_normal(2))
        volts = [
            np.sqrt(impedance * 1e-3 * 10.0 ** ((level - own) / 10.0)) * scale
            for impedance, own, scale, level in (
                (impedances[0], true_known, scales[0], 60.0),
                (impedances[1], 108.0 + seated, scales[1], levels),
            )
        ]
        found = by_comparison(np.full(5, volts[0]), volts[1], KNOWN, 12e3, told, 0.05, 0.02, 2.0)
        low, high = found.sensitivity.interval()
        held += low <= 108.0 <= high
    assert 930 <= held <= 970


def test_intervals_of_the_threshold_hold_the_truth_as_often_as_they_say():
    rng = np.random.default_rng(6)
    held = 0
    parts = (Part("hearing", 5.0), Part("noise", 2.0))
    for _ in range(1000):
        heard = 12.0 + 5.0 * rng.standard_normal() + 2.0 * rng.standard_normal() + 2.0 * rng.standard_normal(4)
        impedance = 12e3 * 10.0 ** (1.0 / math.log(10) * 0.1 * rng.standard_normal())
        volts = np.sqrt(impedance * 1e-3 * 10.0 ** ((heard - 108.0) / 10.0))
        found = by_threshold(volts, 12e3, 12.0, 2.0, parts, 0.1)
        low, high = found.sensitivity.interval()
        held += low <= 108.0 <= high
    assert 930 <= held <= 970


def test_parts_make_up_the_whole():
    found = by_comparison([0.02] * 4, [0.1] * 4, KNOWN, 12e3, 1.5, 0.05, 0.02, 2.0)
    parts = {part.name: part.uncertainty for part in found.parts}
    assert parts["balances by ear"] == pytest.approx(0.75)
    assert math.sqrt(sum(value**2 for value in parts.values())) == pytest.approx(found.sensitivity.uncertainty)
    assert len(parts) == 5


def test_one_trial_without_a_stated_balance_tells_no_uncertainty():
    found = by_comparison([0.02], [0.1], KNOWN, 12e3, None)
    assert found.sensitivity.uncertainty is None
    assert found.sensitivity.interval() is None


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: electrical_power(0.0, 32.0), "voltage"),
        (lambda: electrical_power(1.0, 0.0), "impedance"),
        (lambda: attenuated(1.0, math.nan), "attenuation"),
        (lambda: sensitivity(math.inf, 1.0), "level"),
        (lambda: sensitivity(90.0, 0.0), "power"),
        (lambda: critical_bandwidth(0.0), "frequency"),
        (lambda: masked_threshold(15e3, 20.0), "frequency"),
        (lambda: masked_threshold(1e3, math.nan), "octave_noise"),
        (lambda: noise_share(1e3, 20.0, math.inf), "hearing_loss"),
        (lambda: by_comparison([0.02, 0.03], [0.1], KNOWN, 12e3, 1.0), "voltage"),
        (lambda: by_comparison([0.02], [0.1], KNOWN, 12e3, 1.0, seating=-1.0), "uncertainty"),
        (lambda: by_threshold([0.1], 12e3, 2.4, 1.0, (), -0.1), "uncertainty"),
    ],
)
def test_what_cannot_be_is_refused(call, argument):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument


@pytest.mark.parametrize("each", [2.0, None])
def test_against_scipys_least_squares(each):
    """The balances of one pair of earphones, and what is known beforehand of all that they share, as one fit."""
    generator = np.random.default_rng(5)
    known_voltage = generator.uniform(0.01, 0.1, 7)
    voltage = known_voltage * 10.0 ** (generator.normal(-6.0, 2.0, 7) / 20.0)
    found = by_comparison(known_voltage, voltage, KNOWN, 1200.0, each, 0.05, 0.03, 1.5)
    told = KNOWN.sensitivity + 20.0 * np.log10(known_voltage / voltage) + 10.0 * math.log10(1200.0 / KNOWN.impedance)
    shared = math.sqrt(
        KNOWN.uncertainty**2
        + 2.0 * (10.0 / math.log(10.0) * 0.05) ** 2
        + 2.0 * (20.0 / math.log(10.0) * 0.03) ** 2
        + 1.5**2
    )
    spread = np.std(told, ddof=1) if each is None else each

    def wrong(x):
        return np.append((x[0] + x[1] - told) / spread, x[1] / shared)

    theirs = least_squares(wrong, [90.0, 0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert found.sensitivity.value == pytest.approx(theirs.x[0], rel=1e-6)
    covariance = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert found.sensitivity.uncertainty == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-6)
