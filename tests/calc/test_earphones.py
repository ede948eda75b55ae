"""Earphones, ear and room: behaviour and what is refused."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import earphones
from calc.earphones import Earphone, room_noise, sound_level, threshold
from calc.units import InputError


@given(st.floats(1.0, 1e6), st.floats(40.0, 140.0), st.floats(1e-18, 10.0), st.floats(1.0, 1e6))
def test_ten_times_the_power_is_ten_decibels(impedance, sensitivity, power, more):
    earphone = Earphone(impedance, sensitivity)
    assert sound_level(earphone, 1e-3) == pytest.approx(sensitivity, abs=1e-12)
    louder = sound_level(earphone, power * more) - sound_level(earphone, power)
    assert louder == pytest.approx(10 * math.log10(more), abs=1e-9)


def test_no_power_makes_no_sound():
    assert sound_level(Earphone(2000.0, 108.0), 0.0) == -math.inf
    assert np.array_equal(sound_level(Earphone(2000.0, 108.0), [0.0, 1e-3]), [-math.inf, 108.0])


def test_the_ear_is_keenest_at_three_to_four_kilohertz():
    at = np.geomspace(20.0, 12500.0, 2000)
    assert 3000.0 < at[np.argmin(threshold(at))] < 4100.0
    assert type(threshold(1000.0)) is float


def test_threshold_never_leaves_the_range_of_its_neighbours():
    printed = [20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000]
    for low, high in pairwise(printed):
        between = threshold(np.geomspace(low, high, 30))
        ends = sorted((threshold(low), threshold(high)))
        assert np.all((between >= ends[0] - 1e-9) & (between <= ends[1] + 1e-9))


@given(st.floats(15.0, 40.0), st.floats(63.0, 8000.0))
def test_a_noisier_room_is_noisier_in_every_octave(criterion, frequency):
    assert room_noise(min(criterion + 1.0, 40.0), frequency) >= room_noise(criterion, frequency)
    assert room_noise(15.0, frequency) <= room_noise(criterion, frequency) <= room_noise(40.0, frequency)


def test_a_room_between_two_curves_and_two_octaves():
    assert room_noise(27.5) == pytest.approx(29.0)  # half way from 27 to 31 dB at 1 kHz
    assert room_noise(25.0, math.sqrt(1000.0 * 2000.0)) == pytest.approx(25.5)  # half way from 27 to 24 dB


def test_kinds_by_key():
    assert earphones.earphone_kind("magnetic") is earphones.earphone_kinds()["magnetic"]
    with pytest.raises(InputError) as caught:
        earphones.earphone_kind("gramophone")
    assert caught.value.argument == "earphone"
    assert "magnetic" in caught.value.reason


@pytest.mark.parametrize("key", sorted(earphones.earphone_kinds()))
def test_every_kind_has_a_range_and_says_what_it_is(key):
    kind = earphones.earphone_kind(key)
    assert kind.spread == kind.earphone.spread >= 0.0
    assert kind.dc_resistance > 0.0
    assert kind.note
    low, high = (replace(kind.earphone, sensitivity=kind.earphone.sensitivity + d) for d in (-kind.spread, kind.spread))
    assert sound_level(high, 1e-9) - sound_level(low, 1e-9) == pytest.approx(2.0 * kind.spread)


def test_only_amplifiers_have_a_battery_and_they_say_so():
    with_battery = [kind for kind in earphones.earphone_kinds().values() if kind.has_battery]
    assert with_battery
    assert all("amplif" in (kind.name + kind.note).lower() for kind in with_battery)


def test_an_amplified_earphone_has_the_voltage_gain():
    """A millivolt on 1 Mohm, a hundredfold on 32 ohm: 0.1 V there."""
    phones = Earphone(32.0, 100.0, 3.0)
    whole = earphones.amplified(phones, 1e6, 100.0)
    assert sound_level(whole, 1e-3**2 / 1e6) == pytest.approx(sound_level(phones, 0.1**2 / 32.0), abs=1e-9)
    assert whole.spread == 3.0


def test_a_shunted_piezo_follows_the_voltage():
    for shunt in (10e3, 100e3):
        phones = Earphone(shunt, earphones.shunted_piezo(100.0, shunt))
        assert sound_level(phones, 1.0 / shunt) == pytest.approx(100.0, abs=1e-9)  # one volt


REFUSED = [
    (lambda: Earphone(2000.0, 108.0, -1.0), "spread"),
    (lambda: earphones.amplified(Earphone(32.0, 100.0), 0.0, 1.0), "input_resistance"),
    (lambda: earphones.shunted_piezo(100.0, 0.0), "shunt_resistance"),
    (lambda: Earphone(0.0, 108.0), "impedance"),
    (lambda: Earphone(math.inf, 108.0), "impedance"),
    (lambda: Earphone(2000.0, math.nan), "sensitivity"),
    (lambda: sound_level(Earphone(2000.0, 108.0), -1e-9), "power"),
    (lambda: sound_level(Earphone(2000.0, 108.0), math.nan), "power"),
    (lambda: threshold(19.0), "frequency"),
    (lambda: threshold([1000.0, 13e3]), "frequency"),
    (lambda: room_noise(14.0), "criterion"),
    (lambda: room_noise(41.0), "criterion"),
    (lambda: room_noise(25.0, 31.5), "frequency"),
]


@pytest.mark.parametrize(("make", "argument"), REFUSED)
def test_what_cannot_be_is_named(make, argument):
    with pytest.raises(InputError) as caught:
        make()
    assert caught.value.argument == argument
