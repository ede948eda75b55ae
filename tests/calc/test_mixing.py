"""Several stations in one detector: where nothing is suppressed, where half the ratio is left, and what must not
matter."""

from dataclasses import replace

import numpy as np
import pytest

from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad
from calc.coupling import Inductive, Tank
from calc.detection import detect
from calc.detectors import Diode
from calc.earphones import Earphone
from calc.mixing import heard_together
from calc.receiver import Receiver, Station, listen, listen_together, response
from calc.units import InputError

GERMANIUM = Diode(2e-7, 1.3, 298.15)
EARPHONE = Earphone(100e3, 108.0)
BARE = AudioLoad(100e3, 100e3, bypass=1e-13)  # follows every beat
DEEP = AudioLoad(100e3, 100e3, bypass=1e-6)  # follows none
CARRIERS = np.array([600e3, 609e3])
STIFF = np.full((1, 2), 1.0 + 0j)  # a source that no detector moves


def mixed(load, volts, impedance=STIFF, carriers=CARRIERS, audio_frequency=30.0):
    return heard_together(
        GERMANIUM, EARPHONE, load, np.atleast_2d(volts), impedance, 0.3, carriers, audio_frequency=audio_frequency
    )


def test_a_square_law_detector_suppresses_nothing():
    heard = mixed(BARE, [1e-5, 1e-4])
    np.testing.assert_allclose(heard.kept, 1.0, rtol=1e-4)


def test_the_beat_of_a_square_law_detector():
    """Output k (a + b cos)^2 on the mean: the beat is 2 k a b, and the audio of one alone 2 k m a^2."""
    heard = mixed(BARE, [2e-5, 1e-4])
    alone = heard.alone.audio_voltage[0]
    assert heard.beat_voltage[0, 0] == pytest.approx(np.sqrt(alone[0] * alone[1]) / 0.3, rel=1e-3)
    assert heard.beat_voltage[0, 1] == 0.0
    assert heard.strongest[0] == 1
    assert heard.beat_frequency[0].tolist() == [9e3, 0.0]


def test_a_detector_that_follows_the_envelope_leaves_half_the_ratio():
    """Mean of |1 + b exp jt| is 1 + b^2/4: a small change m of b gives m b^2/2, where b alone would give m b."""
    for ratio in (0.05, 0.1, 0.2):
        heard = mixed(BARE, [ratio * 20.0, 20.0])
        perfect = 0.3 * np.sqrt(2.0) * 20.0 * ratio**2 / 2.0
        assert heard.audio_voltage[0, 0] == pytest.approx(perfect, rel=0.02)
        assert heard.kept[0, 1] == pytest.approx(1.0, abs=ratio**2)
        assert heard.beat_voltage[0, 0] == pytest.approx(np.sqrt(2.0) * 20.0 * ratio, rel=0.02)


def test_an_output_that_stands_still_over_the_beat_suppresses_by_other_laws():
    """ln I0(u1) + ln I0(u2) is what such a detector makes: of two strong stations each moves the output by its all."""
    kept = mixed(DEEP, [2.0, 10.0], audio_frequency=1e-3).kept[0]
    np.testing.assert_allclose(kept, 1.0, rtol=0.05)


def test_one_station_is_what_it_is_alone():
    volts, source = np.array([[0.3]]), np.array([[30e3 + 10e3j]])
    heard = heard_together(GERMANIUM, EARPHONE, BARE, volts, source, 0.3, [600e3])
    alone = detect(GERMANIUM, EARPHONE, volts, source, 0.3, BARE)
    assert heard.kept.tolist() == [[1.0]]
    assert heard.audio_voltage[0, 0] == alone.audio_voltage[0, 0]
    assert heard.beat_voltage.tolist() == [[0.0]]


def test_a_station_that_is_hardly_there_changes_nothing():
    heard = mixed(BARE, [1e-7, 1.0], np.full((1, 2), 50e3 + 20e3j), audio_frequency=1e3)
    assert heard.kept[0, 1] == pytest.approx(1.0, abs=1e-6)


# --- the set ------------------------------------------------------------------------------------------------------

SET = Receiver(
    SeriesAerial(60.0, 40e-6, 200e-12),
    6.0,
    Inductive(15e-6, 0.5, 0.1),
    Tank(245e-6, 5.0, 1e-12),
    Diode(2e-7, 1.3, 298.15, 7.0, 0.5e-12),
    Earphone(12e3, 108.0, 5.0),
    load=AudioLoad(12e3, 12e3, bypass=2e-9),
)
DISTRICT = [
    Station("a", 612e3, 2e-3),
    Station("b", 702e3, 30e-3, 0.4),
    Station("c", 801e3, 5e-3),
    Station("d", 711e3, 5e-3),
    Station("e", 1134e3, 1e-2),
]


def test_the_order_of_stations_does_not_matter():
    forward = listen_together(SET, DISTRICT, 702e3)
    for shift in (1, 2, 3):
        turned = listen_together(SET, DISTRICT[shift:] + DISTRICT[:shift], 702e3)
        levels = {reception.station.name: reception.sound_level for reception in turned.receptions}
        for reception in forward.receptions:
            assert levels[reception.station.name] == pytest.approx(reception.sound_level, abs=1e-4)
        beats = {beat.station.name: beat for beat in turned.beats}
        assert set(beats) == {beat.station.name for beat in forward.beats}
        for beat in forward.beats:
            assert beats[beat.station.name].sound_level == pytest.approx(beat.sound_level, abs=1e-4)


def test_the_strongest_at_the_detector_suppresses_its_neighbour():
    alone = listen(SET, DISTRICT, 702e3)
    together = listen_together(SET, DISTRICT, 702e3)
    assert together.receptions[1].sound_level == pytest.approx(alone[1].sound_level, abs=0.2)
    assert together.receptions[3].sound_level < alone[3].sound_level - 6.0
    assert [beat.station.name for beat in together.beats] == ["a", "c", "d", "e"]
    near = next(beat for beat in together.beats if beat.station.name == "d")
    assert near.frequency == 9e3
    assert np.isfinite(near.margin)
    assert next(beat for beat in together.beats if beat.station.name == "e").margin == -np.inf


def test_the_earphones_range_is_the_receptions():
    reception = listen_together(SET, DISTRICT[:2], 702e3).receptions[1]
    assert reception.spread == 5.0
    assert reception.sound_level_range == (reception.sound_level - 5.0, reception.sound_level + 5.0)


def test_without_a_load_nothing_is_known_of_beats():
    with pytest.raises(InputError) as caught:
        listen_together(replace(SET, load=None), DISTRICT, 702e3)
    assert caught.value.argument == "load"


# --- notes --------------------------------------------------------------------------------------------------------


def test_the_response_to_notes_is_that_of_the_levels_heard():
    notes = np.array([300.0, 1e3, 4e3])
    fields = [station.field_strength for station in DISTRICT[:2]]
    found = response(SET, [612e3, 702e3], fields, [702e3], notes)
    assert found.shape == (1, 2, 3)
    levels = [listen(replace(SET, audio_frequency=note), DISTRICT[:2], 702e3) for note in notes]
    for index in range(2):
        heard = np.array([level[index].sound_level for level in levels])
        np.testing.assert_allclose(np.diff(found[0, index]), np.diff(heard), atol=1e-9)


def test_a_sharp_tank_takes_the_highest_notes_of_its_own_station_alone():
    sharp = replace(SET, link=Inductive(15e-6, 0.5, 0.02))
    own, beside = response(sharp, [702e3, 711e3], [1e-4, 1e-4], [702e3], [50.0, 4e3])[0]
    assert abs(own[0]) < 0.01
    assert own[1] < -1.0
    assert beside[1] > own[1]
