"""The sound of an answer: rendered by the page's own graph offline and measured here, and the player's manners."""

import base64
import json
from collections.abc import Iterator, Mapping
from html import escape
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from calc import bridge, coupling, earphones, listening
from calc.aerials import SeriesAerial
from calc.audio_load import load_of
from calc.coupling import Tank
from calc.detectors import Diode
from calc.forms.receiver.hearing import sound_of
from calc.forms.sounds import Sound
from calc.listening import SAMPLE_RATE
from calc.listening.loops import LENGTH
from calc.listening.programmes import PROGRAMME_RMS
from calc.receiver import Receiver, Station, hear, listen_together, response, source
from calc.units import Array
from site_overrides.pages.node import draw
from tests.site.conftest import OpenPage
from tests.site.form_page import fill, wait_until

LEAD = 2 * SAMPLE_RATE
"""Samples left out at the beginning, while the player fades in."""

RENDER = """
async ([recipe, loops, settings, length]) => {
  const { MixtureGraph } = await import("/modules/sound_graph.js");
  const context = new OfflineAudioContext({ numberOfChannels: 1, length, sampleRate: recipe.sample_rate });
  window.loops ??= {};
  const buffers = Object.fromEntries(Object.entries(loops).map(([key, coded]) => {
    if (coded === null) return [key, window.loops[key]];
    const samples = new Float32Array(Uint8Array.from(atob(coded), (sign) => sign.charCodeAt(0)).buffer);
    const buffer = new AudioBuffer({ length: samples.length, numberOfChannels: 1, sampleRate: recipe.sample_rate });
    buffer.copyToChannel(samples, 0);
    return [key, buffer];
  }));
  if (settings.keep) Object.assign(window.loops, buffers);
  new MixtureGraph(context, recipe, (key) => buffers[key], { ...settings, shut: new Set(settings.shut) });
  const bytes = new Uint8Array((await context.startRendering()).getChannelData(0).buffer);
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}
"""

STATIONS = [
    Station("Near", 700e3, 30e-3, 0.3),
    Station("Next", 709e3, 12e-3, 0.3),
    Station("Far", 900e3, 15e-3, 0.5),
]
TUNED = 700e3


def small_set() -> Receiver:
    """A set with a transformer-less high-resistance earphone and a by-pass that takes some of the highest notes."""
    kind = earphones.earphone_kind("magnetic")
    return Receiver(
        aerial=SeriesAerial(60.0, 15e-6, 200e-12),
        effective_height=6.0,
        link=coupling.SeriesCapacitor(33e-12),
        tank=Tank(240e-6, 8.0, 1e-10),
        diode=Diode(200e-9, 1.3),
        earphone=kind.earphone,
        room_noise=27.0,
        load=load_of(kind, bypass=2e-9),
    )


@pytest.fixture(scope="module")
def sound() -> Sound:
    return sound_of(small_set(), STATIONS, TUNED, room="clock")


@pytest.fixture(scope="module")
def page(open_shared_page: OpenPage) -> Page:
    return open_shared_page("forms/receiver/")


def render(
    page: Page,
    recipe: dict[str, Any],
    *,
    loops: Mapping[str, Array] | None = None,
    only: str | None = None,
    calibrated: int | None = None,
    volume: int = 5,
    left_out: int = LEAD,
) -> Array:
    """What the page's graph makes of a recipe, all or one of its sounds, after it has faded in."""
    every = [*(voice["key"] for voice in recipe["voices"]), "whistles", "room"]
    names = {*(voice["loop"] for voice in recipe["voices"]), recipe["room"]["loop"]}
    had = set(page.evaluate("() => Object.keys(window.loops ?? {})"))
    coded = {name: None if name in had else encoded(listening.samples(name)) for name in names}
    if loops is not None:
        coded |= {name: encoded(wave) for name, wave in loops.items()}
    shut = [] if only is None else [key for key in every if key != only]
    settings = {"volume": volume, "calibrated": calibrated, "shut": shut, "keep": loops is None}
    heard = page.evaluate(RENDER, [json.loads(json.dumps(recipe)), coded, settings, LEAD + LENGTH])
    return np.frombuffer(base64.b64decode(heard), dtype="<f4").astype(np.float64)[left_out:]


def encoded(wave: Array) -> str:
    return base64.b64encode(wave.astype("<f4").tobytes()).decode()


def spectrum(wave: Array) -> tuple[Array, Array]:
    """Frequencies [Hz], and mean square by line; of a whole loop, so that lines fall on lines."""
    power = 2.0 * np.abs(np.fft.rfft(wave)) ** 2 / wave.size**2
    return np.fft.rfftfreq(wave.size, 1.0 / SAMPLE_RATE), power


def octave_levels(wave: Array, centres: Array) -> Array:
    frequency, power = spectrum(wave)
    edges = np.sqrt(2.0)
    return np.array([10 * np.log10(power[(frequency >= c / edges) & (frequency < c * edges)].sum()) for c in centres])


def tone(note: float) -> Array:
    """A loop of one tone, of a programme's power; a whole number of turns nearest to the note."""
    turns = round(note * LENGTH / SAMPLE_RATE)
    return np.sqrt(2.0) * PROGRAMME_RMS * np.sin(2.0 * np.pi * turns * np.arange(LENGTH) / LENGTH)


def tone_level(wave: Array, note: float) -> float:
    """Of a tone in what was rendered, by the amplitude for which one is full scale [dB]."""
    turns = round(note * LENGTH / SAMPLE_RATE)
    _, power = spectrum(wave)
    return float(10.0 * np.log10(2.0 * power[turns - 2 : turns + 3].sum()))


def below_full_scale(recipe: dict[str, Any], level: float, volume: int = 5) -> float:
    return level - recipe["full_scale"] + 20.0 * np.log10(recipe["volumes"][volume])


def test_mixture_of_tones_has_the_predicted_levels(page: Page, sound: Sound) -> None:
    """Every station's programme taken as a tone near 1 kHz: all at once, each at the level that the chain predicts."""
    recipe, notes = sound.recipe(), (980.0, 1000.0, 1020.0)
    loops = {voice["loop"]: tone(note) for voice, note in zip(recipe["voices"], notes, strict=True)}
    heard = render(page, recipe, loops=loops)
    predicted = listen_together(small_set(), STATIONS, TUNED).receptions
    for reception, note in zip(predicted, notes, strict=True):
        if reception.sound_level > 20.0:  # below, the clock's ticks stand over it
            assert tone_level(heard, note) == pytest.approx(below_full_scale(recipe, reception.sound_level), abs=0.5)


@pytest.mark.parametrize("index", range(len(STATIONS)))
@pytest.mark.parametrize("note", [200.0, 1000.0, 3000.0])
def test_notes_of_a_station_alone_are_left_as_the_circuits_leave_them(
    note: float, index: int, page: Page, sound: Sound
) -> None:
    recipe = sound.recipe()
    voice = recipe["voices"][index]
    heard = render(page, recipe, loops={voice["loop"]: tone(note)}, only=voice["key"])
    predicted = listen_together(small_set(), STATIONS, TUNED).receptions[index].sound_level
    fields = np.array([station.field_strength for station in STATIONS])
    carriers = np.array([station.frequency for station in STATIONS])
    passed = response(small_set(), carriers, fields, TUNED, [note, 1000.0])[0, index]
    expected = below_full_scale(recipe, predicted + passed[0] - passed[1])
    assert tone_level(heard, note) == pytest.approx(expected, abs=0.5)


def test_harmonics_of_a_tone_are_the_detectors(page: Page, sound: Sound) -> None:
    recipe, note = sound.recipe(), 400.0
    set_ = small_set()
    carriers = np.array([station.frequency for station in STATIONS])
    fields = np.array([station.field_strength for station in STATIONS])
    # as deep as a programme's tone goes: one whose greatest peaks are held to all of the carrier
    depths = np.minimum([station.modulation for station in STATIONS], np.sqrt(2.0) * PROGRAMME_RMS)
    alone = hear(set_, source(set_, carriers, fields, TUNED), depths)
    for index, voice in enumerate(recipe["voices"]):
        heard = render(page, recipe, loops={voice["loop"]: tone(note)}, only=voice["key"])
        multiples = note * np.arange(1, 6)
        passed = response(set_, carriers, fields, TUNED, multiples)[0, index]
        parts = np.array([tone_level(heard, n) for n in multiples]) - passed
        power = 10.0 ** (parts / 10.0)
        distortion = float(np.sqrt(power[1:].sum() / power[0]))
        # half a decibel, down to a fifth of a percent
        assert distortion == pytest.approx(float(alone.distortion[0, index]), rel=0.059, abs=0.002)


@pytest.mark.parametrize("index", range(len(STATIONS)))
def test_spectrum_of_each_programme_alone(index: int, page: Page, sound: Sound) -> None:
    """Octave by octave, against the programme bent and filtered by numpy and set to the predicted level."""
    recipe = sound.recipe()
    voice = recipe["voices"][index]
    heard = render(page, recipe, only=voice["key"])
    bent = np.interp(listening.samples(voice["loop"]), np.linspace(-1.0, 1.0, len(voice["curve"])), voice["curve"])
    carriers = np.array([station.frequency for station in STATIONS])
    fields = np.array([station.field_strength for station in STATIONS])
    lines = np.fft.rfftfreq(LENGTH, 1.0 / SAMPLE_RATE)
    notes = np.geomspace(30.0, 11900.0, 400)
    passed = response(small_set(), carriers, fields, TUNED, np.append(notes, 1000.0))[0, index]
    level = np.interp(lines, notes, passed[:-1] - passed[-1])
    filtered = np.fft.irfft(np.fft.rfft(bent) * 10.0 ** (level / 20.0), LENGTH)
    predicted = listen_together(small_set(), STATIONS, TUNED).receptions[index].sound_level
    tone_rms = 10.0 ** (below_full_scale(recipe, predicted) / 20.0) / np.sqrt(2.0)
    centres = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])
    expected = octave_levels(filtered / PROGRAMME_RMS * tone_rms, centres)
    loud = expected > expected.max() - 40.0
    np.testing.assert_allclose(octave_levels(heard, centres)[loud], expected[loud], atol=0.5)


def test_room_has_the_predicted_level(page: Page, sound: Sound) -> None:
    recipe = sound.recipe()
    heard = octave_levels(render(page, recipe, only="room"), np.array([1000.0]))[0]
    assert heard + 10.0 * np.log10(2.0) == pytest.approx(below_full_scale(recipe, 27.0), abs=0.5)


def test_whistle_has_the_predicted_level(page: Page, sound: Sound) -> None:
    recipe = sound.recipe()
    heard = render(page, recipe, only="whistles")
    beats = listen_together(small_set(), STATIONS, TUNED).beats
    beat = next(beat for beat in beats if beat.frequency == 9e3)
    assert tone_level(heard, 9e3) == pytest.approx(below_full_scale(recipe, beat.sound_level), abs=0.5)


def test_all_together_is_the_sum_of_the_parts(page: Page, sound: Sound) -> None:
    """The limiter leaves a mixture alone that it need not limit."""
    recipe = sound.recipe()
    whole = render(page, recipe)
    keys = [*(voice["key"] for voice in recipe["voices"]), "whistles", "room"]
    parts = sum(render(page, recipe, only=key) for key in keys)
    assert 10.0 * np.log10(np.mean((whole - parts) ** 2) / np.mean(whole**2)) < -60.0


def test_begins_quiet_and_fades_in(page: Page, sound: Sound) -> None:
    recipe, first = sound.recipe(), sound.as_json()["volumes"]["first"]
    heard = render(page, recipe, volume=first, left_out=0)
    assert np.abs(heard).max() < 10.0 ** (-12.0 / 20.0)
    assert np.abs(heard[: SAMPLE_RATE // 20]).max() < 0.1 * np.abs(heard[LEAD:]).max()
    assert recipe["volumes"][first] == min(recipe["volumes"], key=lambda gain: abs(gain - 10.0 ** (-36.0 / 20.0)))


def test_limiter_and_ceiling_hold(page: Page, sound: Sound) -> None:
    """Whatever comes, no sample is above the ceiling; and with a calibration that allows less, above that."""
    recipe = sound.recipe()
    for voice in recipe["voices"]:
        voice["gain"] *= 1e4
    ceiling = recipe["guard"]["ceiling"][1]
    assert np.abs(render(page, recipe, volume=8)).max() <= ceiling * (1.0 + 1e-6)
    assert np.abs(render(page, recipe, calibrated=0)).max() <= ceiling * recipe["calibrated"][0]["cap"] * (1.0 + 1e-6)


def test_calibrated_mixture_is_as_far_above_the_tone_as_the_chain_says(page: Page, sound: Sound) -> None:
    """The tone that is just heard stands for the floor: a station stands above it by its margin."""
    recipe, step = sound.recipe(), 4
    voice = recipe["voices"][0]
    heard = render(page, recipe, loops={voice["loop"]: tone(1000.0)}, only=voice["key"], calibrated=step)
    told = 20.0 * np.log10(sound.as_json()["calibration"]["tone"]["gains"][step])
    margin = listen_together(small_set(), STATIONS, TUNED).receptions[0].margin
    assert recipe["calibrated"][step]["text"] == "Plays as loud as in life."
    assert tone_level(heard, 1000.0) - told == pytest.approx(margin, abs=0.5)


# The player.

COUNTED = """
window.contexts = [];
const Plain = window.AudioContext;
window.AudioContext = class extends Plain {
  constructor(...all) { super(...all); window.contexts.push(this); }
};
"""
MADE = "() => window.contexts.map(({ state }) => state)"
CLOSED = "() => window.contexts.every(({ state }) => state === 'closed')"
ASKED = "?question=listen"
PLAY, STOP = "Play the mixture", "Stop"


@pytest.fixture(scope="module")
def live_page(open_shared_page: OpenPage) -> Page:
    return open_shared_page(f"forms/receiver/{ASKED}", live=True, script=COUNTED)


@pytest.fixture
def player(live_page: Page) -> Iterator[Page]:
    """A page that can calculate, in which nothing has played yet."""
    live_page.evaluate("() => { window.contexts = []; }")
    yield live_page
    if playing(live_page).count():
        button(live_page, STOP).click()
    wait_until(live_page, CLOSED)


def button(page: Page, name: str) -> Any:
    return page.locator(".bp-sound").get_by_role("button", name=name, exact=True)


def playing(page: Page) -> Any:
    return page.locator(".bp-sound[data-playing]")


def test_never_starts_by_itself(player: Page) -> None:
    page = player
    fill(page, "receiver", {"link": "direct"})
    page.locator(".bp-sound").scroll_into_view_if_needed()
    page.mouse.click(5, 5)
    assert page.evaluate(MADE) == []
    expect(button(page, PLAY)).to_be_visible()


def test_plays_on_a_press_and_follows_the_answers_without_a_new_start(player: Page) -> None:
    page = player
    expect(page.locator(".bp-sound-warning")).to_have_text("Lower the volume of your device first.")
    button(page, PLAY).click()
    expect(playing(page)).to_be_visible()
    expect(page.locator(".bp-sound .bp-said").first).to_contain_text("Playing")
    assert page.evaluate(MADE) == ["running"]
    figure = page.locator(".bp-sound").element_handle()
    for changed in ({"dial": "20"}, {"dial": "22.5"}, {"link": "tap"}, {"link": "capacitor", "dial": "50"}):
        answer = fill(page, "receiver", changed)["answer"]
        texts = page.locator(".bp-sound-list li").all_inner_texts()
        for voice, text in zip(answer["sounds"][0]["voices"], texts, strict=False):
            assert voice["text"] in text
    expect(playing(page)).to_be_visible()
    assert page.evaluate(MADE) == ["running"]
    assert page.evaluate("(figure) => figure.isConnected", figure)
    button(page, STOP).click()
    wait_until(page, CLOSED)
    expect(playing(page)).to_have_count(0)


def test_stops_when_the_page_is_hidden(player: Page) -> None:
    page = player
    button(page, PLAY).click()
    expect(playing(page)).to_be_visible()
    page.evaluate(
        "() => { Object.defineProperty(document, 'hidden', { value: true, configurable: true }); "
        "document.dispatchEvent(new Event('visibilitychange')); delete document.hidden; }"
    )
    wait_until(page, CLOSED)
    expect(button(page, PLAY)).to_be_visible()


def test_keyboard_plays_lets_in_and_sets_the_volume(player: Page) -> None:
    page = player
    button(page, PLAY).focus()
    page.keyboard.press("Enter")
    expect(playing(page)).to_be_visible()
    expect(button(page, STOP)).to_be_focused()
    page.keyboard.press("Tab")
    volume = page.get_by_role("slider", name="Volume")
    expect(volume).to_be_focused()
    before = volume.get_attribute("aria-valuetext")
    page.keyboard.press("ArrowRight")
    assert volume.get_attribute("aria-valuetext") != before
    box = page.locator(".bp-sound-list").get_by_role("checkbox").first
    box.focus()
    page.keyboard.press("Space")
    expect(box).not_to_be_checked()
    alone = page.get_by_role("button", name="Brackwater alone")
    alone.focus()
    page.keyboard.press("Enter")
    expect(alone).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".bp-sound-list input:checked")).to_have_count(1)
    page.keyboard.press("Enter")
    expect(page.locator(".bp-sound-list input:not(:checked)")).to_have_count(0)
    button(page, STOP).focus()
    page.keyboard.press("Space")
    expect(playing(page)).to_have_count(0)


def test_calibration_marks_a_tone_and_can_be_forgotten(player: Page) -> None:
    page = player
    page.get_by_text("Make it true to your ears").click()
    button(page, "Play the tone").click()
    wait_until(page, "() => window.contexts.length === 1 && window.contexts[0].state === 'running'")
    page.get_by_role("slider", name="Tone").press("ArrowRight")
    button(page, "I can just hear this tone").click()
    wait_until(page, "() => window.contexts[0].state === 'closed'")
    expect(page.get_by_role("slider", name="Volume")).to_be_hidden()
    button(page, PLAY).click()
    expect(page.locator(".bp-sound .bp-said").first).to_contain_text("in life")
    button(page, "Forget it").click()
    expect(page.get_by_role("slider", name="Volume")).to_be_visible()


def test_samples_from_the_worker_are_the_native_ones(live_page: Page) -> None:
    page = live_page
    for key in ("march", "talker:1", "kettle"):
        coded = page.evaluate(
            """async (key) => {
              const { Engine } = await import("/modules/engine.js");
              const { siteUrls } = await import("/modules/urls.js");
              window.engine ??= new Engine(siteUrls());
              const bytes = new Uint8Array(await window.engine.samples(key, {}));
              let text = "";
              for (let at = 0; at < bytes.length; at += 32768) {
                text += String.fromCharCode(...bytes.subarray(at, at + 32768));
              }
              return btoa(text);
            }""",
            key,
        )
        got = np.frombuffer(base64.b64decode(coded), dtype="<f4")
        np.testing.assert_allclose(got, listening.samples(key), atol=2e-6)


def test_page_without_scripts_says_who_plays_what() -> None:
    answer = bridge.run("receiver", {"question": "listen"})
    (html,) = draw([{"kind": "answer", "answer": answer}])
    sound = answer["sounds"][0]
    for words in (sound["title"], sound["summary"], "Nothing can be played without scripts."):
        assert escape(words, quote=False) in html
    for voice in sound["voices"]:
        assert voice["label"] in html
        assert voice["plays"] in html
        assert voice["text"] in html
    assert "<button" not in html[html.index("bp-sound") : html.index("</figure>", html.index("bp-sound"))]
