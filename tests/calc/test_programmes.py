"""Loops of programmes and rooms: their levels, their bands, their joins, and that they are told apart."""

from itertools import pairwise

import numpy as np
import pytest

from calc import earphones, listening
from calc.listening import PROGRAMMES, ROOM_SOUNDS, SAMPLE_RATE, programme_of
from calc.listening.loops import LENGTH, noise, place, scattered
from calc.listening.programmes import HIGHEST_PROGRAMME_NOTE, PROGRAMME_RMS
from calc.listening.rooms import LOWEST_ROOM_NOTE, ROOM_OCTAVE_RMS
from calc.units import Array, InputError

KEYS = [f"{key}{turn}" for key in PROGRAMMES for turn in ("", ":1", ":3")]
OCTAVES = 125.0 * 2.0 ** np.arange(7)


def lines() -> Array:
    return np.fft.rfftfreq(LENGTH, 1.0 / SAMPLE_RATE)


def power(wave: Array) -> Array:
    """Mean square by line of the spectrum."""
    return 2.0 * np.abs(np.fft.rfft(wave.astype(np.float64))) ** 2 / LENGTH**2


def octave(wave: Array, centre: float) -> float:
    """Mean square in the octave about a frequency."""
    inside = (lines() >= centre / np.sqrt(2.0)) & (lines() < centre * np.sqrt(2.0))
    return float(power(wave)[inside].sum())


@pytest.mark.parametrize("key", KEYS)
def test_programme_has_its_level_its_band_and_its_peaks(key: str) -> None:
    wave = listening.samples(key).astype(np.float64)
    assert wave.shape == (LENGTH,)
    assert 20.0 * np.log10(np.sqrt(np.mean(wave**2)) / PROGRAMME_RMS) == pytest.approx(0.0, abs=0.01)
    assert np.abs(wave).max() <= 1.0
    assert abs(np.mean(wave)) < 1e-6
    assert power(wave)[lines() > HIGHEST_PROGRAMME_NOTE].sum() < 1e-9 * PROGRAMME_RMS**2


@pytest.mark.parametrize("key", [*PROGRAMMES, *ROOM_SOUNDS])
def test_loop_goes_round_without_a_join(key: str) -> None:
    """The step from the last sample to the first is like the steps within."""
    wave = listening.samples(key).astype(np.float64)
    steps = np.abs(np.diff(np.append(wave, wave[0])))
    assert steps[-1] <= steps[:-1].max()
    around = np.concatenate([wave[-2000:], wave[:2000]])
    bend = np.abs(np.diff(around, 2))
    assert bend[1990:2008].max() <= np.abs(np.diff(wave, 2)).max()


def test_programmes_are_told_apart() -> None:
    """No two are alike in what they sound like over time and pitch: sixteen stretches by seven octaves."""
    prints = []
    for index in range(3 * len(PROGRAMMES)):
        programme, turn = programme_of(index)
        parts = programme.samples(turn).astype(np.float64).reshape(16, -1)
        frequency = np.fft.rfftfreq(parts.shape[1], 1.0 / SAMPLE_RATE)
        strength = np.abs(np.fft.rfft(parts)) ** 2
        edges = np.geomspace(90.0, 5000.0, 36)
        bands = [strength[:, (frequency >= a) & (frequency < b)].sum(axis=1) for a, b in pairwise(edges)]
        found = np.sqrt(np.array(bands).ravel())
        prints.append(found / np.linalg.norm(found))
    alike = np.array(prints) @ np.array(prints).T
    assert np.max(alike - np.eye(len(prints))) < 0.97


def test_stations_have_programmes_of_their_own() -> None:
    given = [(programme.key, programme.called(turn)) for programme, turn in map(programme_of, range(24))]
    assert len(set(given)) == 24
    assert len({key for key, _ in given[: len(PROGRAMMES)]}) == len(PROGRAMMES) >= 8


@pytest.mark.parametrize("key", ROOM_SOUNDS)
def test_room_has_its_level_in_the_octave_about_1_khz(key: str) -> None:
    wave = listening.samples(key)
    assert 10.0 * np.log10(octave(wave, 1000.0) / ROOM_OCTAVE_RMS**2) == pytest.approx(0.0, abs=0.01)
    assert power(wave)[lines() < LOWEST_ROOM_NOTE].sum() < 1e-9 * octave(wave, 1000.0)
    assert np.abs(wave).max() < 1.0


def test_still_night_has_the_spectrum_of_its_criterion() -> None:
    wave = listening.samples("still")
    for centre in OCTAVES[1:-1]:
        over = 10.0 * np.log10(octave(wave, float(centre)) / octave(wave, 1000.0))
        wanted = earphones.room_noise(15.0, float(centre)) - earphones.room_noise(15.0)
        assert over == pytest.approx(wanted, abs=1.0)


def test_room_over_its_octave_is_what_it_says() -> None:
    for room in ROOM_SOUNDS.values():
        wave = room.samples().astype(np.float64)
        assert room.over_octave == pytest.approx(10.0 * np.log10(np.mean(wave**2) / octave(wave, 1000.0)), abs=0.01)


def test_clock_ticks_and_traffic_passes() -> None:
    """Peaks that come and go: the clock's loudest twentieth of a second stands well over its quietest."""

    def swing(key: str, parts: int) -> float:
        wave = listening.samples(key).astype(np.float64)
        spectrum = np.fft.rfft(wave)
        spectrum[lines() < 700.0] = 0.0
        heard = np.fft.irfft(spectrum, LENGTH)
        by_part = np.mean(heard[: LENGTH // parts * parts].reshape(parts, -1) ** 2, axis=1)
        return float(10.0 * np.log10(by_part.max() / by_part.min()))

    assert swing("clock", 220) > 10.0
    assert swing("traffic", 20) > 5.0
    assert swing("still", 20) < 2.0


def test_samples_are_the_same_each_time_and_strangers_are_refused() -> None:
    assert np.array_equal(scattered(3, 50), scattered(3, 50))
    assert not np.array_equal(scattered(3, 50), scattered(4, 50))
    assert np.mean(scattered(5, 100_000)) == pytest.approx(0.5, abs=0.005)
    for key in ("organ", "still:1", "fiddle:x", ""):
        with pytest.raises(InputError):
            listening.samples(key)


def test_what_runs_over_the_end_goes_on_at_the_beginning() -> None:
    loop = np.zeros(LENGTH)
    place(loop, (LENGTH - 2) / SAMPLE_RATE, np.arange(1.0, 6.0))
    assert loop[-2:].tolist() == [1.0, 2.0]
    assert loop[:4].tolist() == [3.0, 4.0, 5.0, 0.0]


def test_noise_follows_its_density() -> None:
    wave = noise(1, lambda frequency: np.where(frequency < 1000.0, 2.0, 1.0))
    strength = power(wave)
    low, high = strength[(lines() > 0.0) & (lines() < 1000.0)], strength[(lines() > 1000.0) & (lines() < 11999.0)]
    assert np.mean(low) / np.mean(high) == pytest.approx(4.0, rel=1e-6)
    assert np.mean(wave**2) == pytest.approx(1.0)
