"""From a set's predictions to the recipe of a sound: levels, limits, curves, filters."""

import json
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import bridge, coupling, earphones
from calc.aerials import SeriesAerial
from calc.audio_load import load_of
from calc.coupling import Tank
from calc.detectors import Diode
from calc.forms import FORMS
from calc.forms.receiver.hearing import sound_of
from calc.forms.results import Result
from calc.forms.sounds import Shaping, Sound, Voice, Whistle
from calc.listening import ROOM_SOUNDS, SAMPLE_RATE, levels
from calc.listening.programmes import PROGRAMME_RMS
from calc.listening.rooms import ROOM_OCTAVE_RMS
from calc.listening.shaping import CURVE_POINTS, NOTES, SWINGS, TAPS, Depths, curves, kernels
from calc.receiver import Receiver, Station, hear, listen_together, programme_curve, response, source

STATIONS = [Station("A", 700e3, 30e-3, 0.3), Station("B", 709e3, 12e-3, 0.3), Station("C", 900e3, 15e-3, 0.5)]
FIELDS = np.array([station.field_strength for station in STATIONS])
CARRIERS = np.array([station.frequency for station in STATIONS])
DEPTHS = np.array([station.modulation for station in STATIONS])


def small_set(**changes: Any) -> Receiver:
    kind = earphones.earphone_kind("magnetic")
    made = Receiver(
        SeriesAerial(60.0, 15e-6, 200e-12), 6.0, coupling.SeriesCapacitor(33e-12), Tank(240e-6, 8.0, 1e-10),
        Diode(200e-9, 1.3), kind.earphone, 27.0, load=load_of(kind, bypass=2e-9),
    )  # fmt: skip
    return replace(made, **changes)


def decibels(ratio: float) -> float:
    return float(20.0 * np.log10(ratio))


def some_sound(voice_levels: list[float], room_level: float = 27.0, floor: float = 27.0) -> Sound:
    count = len(voice_levels)
    shaping = Shaping(np.tile(SWINGS, (count, 1)), np.zeros((count, TAPS)))
    voices = [Voice(f"S{index}", level, level - floor) for index, level in enumerate(voice_levels)]
    return Sound("some", "Some", "Some.", voices, [], "still", room_level, floor, lambda: shaping)


def test_gains_are_the_predicted_levels() -> None:
    """A programme's root mean square through its gain is that of a tone of the predicted level."""
    sound = sound_of(small_set(), STATIONS, 700e3, room="traffic")
    recipe = sound.recipe()
    mixture = listen_together(small_set(), STATIONS, 700e3)
    for voice, reception in zip(recipe["voices"], mixture.receptions, strict=True):
        rms = voice["gain"] * PROGRAMME_RMS
        assert decibels(rms * np.sqrt(2.0)) + recipe["full_scale"] == pytest.approx(reception.sound_level, abs=0.1)
    by_frequency = {beat.frequency: beat.sound_level for beat in mixture.beats}
    assert [whistle["frequency"] for whistle in recipe["whistles"]] == [9e3]  # the other is beyond hearing
    for whistle in recipe["whistles"]:
        level = decibels(whistle["gain"]) + recipe["full_scale"]
        assert level == pytest.approx(by_frequency[whistle["frequency"]], abs=0.1)
    room = decibels(recipe["room"]["gain"] * ROOM_OCTAVE_RMS * np.sqrt(2.0)) + recipe["full_scale"]
    assert room == pytest.approx(27.0, abs=0.1)


def test_curve_of_a_tone_has_the_detectors_harmonics() -> None:
    set_ = small_set()
    offered = source(set_, CARRIERS, FIELDS, 700e3)
    angles = np.pi * (np.arange(8) + 0.5) / 8
    output = programme_curve(set_, offered, DEPTHS, DEPTHS[:, None] * np.cos(angles))[0]
    parts = np.array([np.mean(output * np.cos(n * angles), axis=-1) for n in range(1, 6)])
    distortion = np.sqrt(np.sum(parts[1:] ** 2, axis=0)) / parts[0]
    np.testing.assert_allclose(distortion, hear(set_, offered, DEPTHS).distortion[0], rtol=1e-9)


def test_curve_is_square_for_a_faint_station_and_rises_throughout() -> None:
    faint = source(small_set(load=None), CARRIERS, 1e-4 * FIELDS, 700e3)
    swings = np.linspace(-1.0, 1.0, 21)
    output = programme_curve(small_set(load=None), faint, DEPTHS, swings)[0]
    square = (1.0 + swings) ** 2 - 1.0
    np.testing.assert_allclose(output / output[:, -1:], np.tile(square / square[-1], (3, 1)), atol=1e-3)
    loud = programme_curve(small_set(), source(small_set(), CARRIERS, 10.0 * FIELDS, 700e3), DEPTHS, swings)
    assert np.all(np.diff(loud, axis=-1) >= -1e-12)
    assert np.all(loud[..., 10] == 0.0)


def test_curves_leave_a_tone_of_the_stated_depth_its_size() -> None:
    recipe = sound_of(small_set(), STATIONS, 700e3).recipe()
    depths = Depths.of(DEPTHS)
    assert depths.peak.tolist() == pytest.approx([0.8485, 0.8485, 1.0], abs=1e-4)
    cycle = np.cos(2.0 * np.pi * (np.arange(64) + 0.5) / 64)
    for voice, share in zip(recipe["voices"], depths.tone / depths.peak, strict=True):
        out = np.interp(share * cycle, SWINGS, voice["curve"])
        assert decibels(2.0 * np.mean(out * cycle) / share) == pytest.approx(0.0, abs=0.01)
        assert voice["curve"][CURVE_POINTS // 2] == 0.0


def test_curves_of_silence_are_straight() -> None:
    none = curves(Depths.of(np.array([0.0, 0.3])), np.zeros((2, CURVE_POINTS)))
    np.testing.assert_array_equal(none, np.tile(SWINGS, (2, 1)))


def test_filters_follow_the_response() -> None:
    recipe = sound_of(small_set(), STATIONS, 700e3).recipe()
    notes = np.array([150.0, 400.0, 1000.0, 2000.0, 3000.0, 4500.0])
    passed = response(small_set(), CARRIERS, FIELDS, 700e3, np.append(notes, 1000.0))[0]
    for voice, wanted in zip(recipe["voices"], passed[:, :-1] - passed[:, -1:], strict=True):
        kernel = np.array(voice["kernel"])
        assert kernel.shape == (TAPS,)
        np.testing.assert_allclose(kernel, kernel[::-1], atol=2e-7)
        turns = np.exp(-2j * np.pi * notes[:, None] / SAMPLE_RATE * np.arange(TAPS))
        np.testing.assert_allclose(20.0 * np.log10(np.abs(turns @ kernel)), wanted, atol=0.1)


def test_filter_of_a_flat_response_is_a_delay() -> None:
    kernel = kernels(np.zeros((2, NOTES.size)))
    expected = np.zeros(TAPS)
    expected[TAPS // 2] = 1.0
    np.testing.assert_allclose(kernel, np.tile(expected, (2, 1)), atol=1e-12)


@given(
    st.lists(st.floats(-40.0, 120.0) | st.just(-np.inf), min_size=1, max_size=12),
    st.floats(0.0, 60.0),
    st.floats(5.0, 60.0),
)
def test_nothing_is_louder_than_is_safe(voice_levels: list[float], room_level: float, floor: float) -> None:
    sound = some_sound(voice_levels, room_level, floor)
    recipe = sound.recipe()
    json.dumps(recipe, allow_nan=False)
    room = np.sqrt(10.0 ** ((room_level + ROOM_SOUNDS["still"].over_octave) / 10.0))
    total = np.sqrt(sum(10.0 ** (level / 10.0) for level in voice_levels) + room**2)
    below = decibels(total) - recipe["full_scale"]
    assert below <= -levels.HEADROOM + 1e-9
    assert max(recipe["volumes"]) <= 10.0 ** (-12.0 / 20.0) + 1e-12
    gains = recipe["calibrated"]
    assert all(a["gain"] <= b["gain"] * (1.0 + 1e-12) for a, b in pairwise(gains))
    for tone, step in zip(levels.TONES, gains, strict=True):
        assert below + decibels(step["gain"]) <= -12.0 - levels.HEADROOM + 1e-9
        true_scale = floor - tone
        assert below + decibels(step["gain"]) + true_scale <= levels.LOUDEST + 1e-6
        ceiling = decibels(recipe["guard"]["ceiling"][1] * step["cap"]) + true_scale
        assert ceiling <= max(levels.LOUDEST + levels.HEADROOM, 0.0) + 1e-6
        assert step["cap"] * step["uncap"] == pytest.approx(1.0)


def test_calibrated_levels_are_true_where_they_are_safe() -> None:
    """A station 20 dB over the floor stands 20 dB over the tone that is just heard."""
    recipe = some_sound([47.0], floor=27.0).recipe()
    for tone, step in zip(levels.TONES, recipe["calibrated"], strict=True):
        over = decibels(recipe["voices"][0]["gain"] * PROGRAMME_RMS * np.sqrt(2.0) * step["gain"]) - tone
        if step["text"] == "Plays as loud as in life.":
            assert over == pytest.approx(20.0, abs=0.1)
        else:
            assert over < 20.0
    assert recipe["calibrated"][5]["text"] == "Plays as loud as in life."


def test_full_scale_stays_while_the_dial_is_turned() -> None:
    near, far = (
        sound_of(small_set(), STATIONS, tuned, loudest=90.0).recipe()["full_scale"] for tuned in (700e3, 900e3)
    )
    assert near == far


def test_set_without_a_load_is_heard_station_by_station() -> None:
    sound = sound_of(small_set(load=None), STATIONS, 700e3)
    assert sound.whistles == []
    assert sound.recipe()["room"] is None
    assert len(sound.as_json()["voices"]) == 3


def test_who_is_heard_is_told_in_texts() -> None:
    sound = replace(some_sound([47.0, -np.inf]), whistles=[Whistle("with B", 9e3, 12.0), Whistle("with C", 14e3, 30.0)])
    told = sound.as_json()
    json.dumps(told, allow_nan=False)
    assert told["warning"] == "Lower the volume of your device first."
    assert told["voices"][0]["text"] == "47.0 dB, 20.0 dB over the room"
    assert told["voices"][1]["text"] == "not heard"
    assert told["whistles"]["text"] == "with B, 9 kHz: 12.0 dB"
    assert levels.VOLUMES[told["volumes"]["first"]] == -36.0


def test_bridge_gives_the_recipe_of_a_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    form, asked = FORMS["wire"], []

    def solve(**values: Any) -> Result:
        asked.append(values)
        return Result("Some.", sounds=[some_sound([40.0])])

    monkeypatch.setitem(FORMS, "wire", replace(form, solve=solve))
    texts = json.dumps(form.defaults())
    assert bridge.run("wire", form.defaults())["sounds"][0]["key"] == "some"
    found = json.loads(bridge.sound_json("wire", texts, "some"))
    assert found["ok"]
    assert found["recipe"]["voices"][0]["loop"] == "fiddle"
    assert len(asked) == 1  # the answer was still at hand
    bridge.run("coil", {})
    assert json.loads(bridge.sound_json("wire", texts, "some")) == found
    assert len(asked) == 2
    with pytest.raises(KeyError):
        bridge.sound_json("wire", texts, "none")
    wrong = json.dumps({form.fields[0].name: "\u0000 no"})
    assert json.loads(bridge.sound_json("wire", wrong, "some"))["ok"] is False


def test_bridge_gives_samples_as_bytes() -> None:
    wave = np.frombuffer(bridge.samples("pips"), dtype="<f4")
    assert np.sqrt(np.mean(wave.astype(np.float64) ** 2)) == pytest.approx(PROGRAMME_RMS, rel=1e-5)
