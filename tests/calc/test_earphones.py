"""Earphones, ear and room: behaviour and what is refused."""

import math
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


REFUSED = [
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
