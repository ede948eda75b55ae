"""Questions above a form, knobs and sliders beside its answer, and several forms of one page."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import OpenPage
from tests.site.form_page import settle, typed_texts, wait_until
from tests.site.trial import DIAL_STOPS, LINK_STOPS, TRIAL, trial


@pytest.fixture(autouse=True)
def trial_form(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets the form be asked natively too."""
    monkeypatch.setitem(FORMS, "trial", TRIAL)


class Tried:
    """The trial page, opened as a test wants it."""

    def __init__(self, open_page: OpenPage, site: str, folder: Path) -> None:
        self.open_page, self.site, self.folder = open_page, site, folder
        self.asked: list[Any] = []

    def page(self, *presets: dict[str, str], search: str = "", delay: float = 0.0, **options: Any) -> Page:
        page = self.open_page("notices/", **options)
        self.asked = trial(page, self.site, self.folder, *presets, search=search, delay=delay)
        if options.get("java_script_enabled", True):
            expect(page.locator("html")).to_have_attribute("data-calculations", "ready")
        return page


@pytest.fixture
def tried(open_page: OpenPage, site: str, site_folder: Path) -> Tried:
    """What opens the trial page."""
    return Tried(open_page, site, site_folder)


def sentence(**texts: str) -> str:
    """The answer's sentence for these texts."""
    found: str = run("trial", texts)["sentence"]
    return found


def slider(page: Page, name: str) -> Locator:
    return page.locator(f"#trial-{name}-slider")


# --- questions ----------------------------------------------------------------------------------------------------


def test_a_question_is_a_bar_of_buttons_above_form_and_answer(tried: Tried) -> None:
    page = tried.page()
    group = page.get_by_role("radiogroup", name="What do you want to know?")
    assert group.get_by_role("radio").count() == 3
    assert group.get_by_role("radio", name="What is heard?").is_checked()
    above = group.bounding_box()
    sheet = page.locator(".bp-sheet").bounding_box()
    assert above is not None
    assert sheet is not None
    assert above["y"] + above["height"] <= sheet["y"]
    group.get_by_label("Loudness against separation").check()
    expect(page.locator(".bp-sentence")).to_have_text(sentence(question="trade-off"))
    expect(page.locator(".bp-chart")).to_have_count(1)
    expect(page.locator(".bp-bars")).to_have_count(0)
    wait_until(page, "location.search === '?question=trade-off'")


def test_a_question_is_turned_by_arrow_keys(tried: Tried) -> None:
    page = tried.page()
    page.get_by_role("radio", name="What is heard?").focus()
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("radio", name="Where is which station in the clear?")).to_be_focused()
    expect(page.locator(".bp-map")).to_be_visible()
    assert tried.asked[-1]["texts"]["question"] == "map"


def test_a_link_opens_a_question_and_reset_takes_it_back(tried: Tried) -> None:
    page = tried.page(search="?question=map")
    expect(page.locator(".bp-map")).to_be_visible()
    assert page.get_by_role("radio", name="Where is which").is_checked()
    page.get_by_role("button", name="Reset to defaults").click()
    expect(page.locator(".bp-bars")).to_be_visible()
    assert page.get_by_role("radio", name="What is heard?").is_checked()


def test_a_question_that_is_none_is_shown_and_refused(tried: Tried) -> None:
    page = tried.page(search="?question=why")
    group = page.get_by_role("radiogroup")
    expect(group.locator(".bp-error")).to_have_text(run("trial", {"question": "why"})["errors"]["question"])
    assert group.get_attribute("aria-invalid") == "true"
    assert group.get_by_role("radio", name="why").is_checked()
    group.get_by_label("What is heard?").check()
    expect(group.locator(".bp-error")).to_be_hidden()
    assert group.get_attribute("aria-invalid") is None


def test_without_scripts_questions_and_knobs_are_fields_of_the_form(tried: Tried) -> None:
    page = tried.page({"question": "trade-off", "link": "20 pF"}, java_script_enabled=False)
    assert page.locator(".bp-slider").first.is_hidden()
    assert page.get_by_role("radio", name="Loudness against separation").is_checked()
    assert page.get_by_role("textbox", name="Link capacitor").input_value() == "20 pF"
    assert page.locator(".bp-sentence").inner_text() == sentence(question="trade-off", link="20 pF")
    forms = page.locator("section.bp [name]").evaluate_all("(controls) => controls.map((control) => control.form?.id)")
    assert set(forms) == {"trial-fields"}


# --- knobs and sliders --------------------------------------------------------------------------------------------


def test_knobs_stand_above_the_answer_and_go_where_they_do_not_count(tried: Tried) -> None:
    page = tried.page()
    knobs = page.get_by_role("region", name="Trial: the answer").get_by_role("group", name="At hand")
    assert knobs.get_by_role("textbox").count() == 2
    assert knobs.locator(".bp-slider:visible").count() == 2
    page.get_by_label("Loudness against separation").check()
    assert page.locator("#trial-dial").is_hidden()
    assert slider(page, "dial").is_hidden()
    assert page.locator("#trial-link").is_visible()


def test_a_slider_puts_its_stops_texts_into_the_field(tried: Tried) -> None:
    page = tried.page()
    dial = slider(page, "dial")
    dial.focus()
    at = DIAL_STOPS.index("42")
    for key, stop in (("ArrowRight", at + 1), ("ArrowLeft", at), ("End", 200), ("Home", 0), ("PageUp", 20)):
        page.keyboard.press(key)
        assert page.locator("#trial-dial").input_value() == DIAL_STOPS[stop]
        assert dial.get_attribute("aria-valuetext") == DIAL_STOPS[stop]
        expect(page.locator(".bp-sentence")).to_have_text(sentence(dial=DIAL_STOPS[stop]))
    wait_until(page, "location.search === '?dial=10'")
    assert typed_texts(page)["dial"] == "10"


def test_typing_moves_the_slider_to_the_nearest_stop(tried: Tried) -> None:
    page = tried.page()
    page.locator("#trial-link").fill("0.02n")
    settle(page)
    assert slider(page, "link").input_value() == str(LINK_STOPS.index("20 pF"))
    assert slider(page, "link").get_attribute("aria-valuetext") == "0.02n"
    assert page.locator("#trial-link").input_value() == "0.02n"


def test_a_page_opens_with_its_sliders_where_the_values_lie(tried: Tried) -> None:
    page = tried.page({"dial": "77"}, search="?link=4p")
    assert slider(page, "dial").input_value() == str(DIAL_STOPS.index("77"))
    expect(slider(page, "link")).to_have_js_property("value", "0")


def test_a_finger_on_a_slider_still_scrolls_the_page(tried: Tried) -> None:
    page = tried.page(viewport={"width": 390, "height": 800}, has_touch=True)
    dial = slider(page, "dial")
    assert dial.evaluate("(entry) => getComputedStyle(entry).touchAction") == "pan-y"
    box = dial.bounding_box()
    assert box is not None
    assert box["height"] >= 24
    page.touchscreen.tap(box["x"] + 0.9 * box["width"], box["y"] + box["height"] / 2)
    wait_until(page, "Number(document.querySelector('#trial-dial').value) > 80")


SWEEP = """
() => new Promise((resolve) => {
  const range = document.querySelector("#trial-dial-slider");
  const section = document.querySelector("section.bp");
  const place = document.querySelector(".bp-spoken");
  globalThis.spoken = [];
  new MutationObserver(() => place.textContent && spoken.push(place.textContent)).observe(place, { childList: true });
  globalThis.answered = [];
  section.addEventListener("bp:answer", ({ detail }) => answered.push(detail.texts.dial));
  let moves = 0;
  const move = (stop) => {
    moves += 1;
    range.value = String(stop);
    range.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const on = () => { // three at a time, of which one can only be passed over, till answers have come on the way
    for (const step of [1, 2, 3]) move(Math.min(Number(range.value) + step, 97));
    if (answered.length < 3) return setTimeout(on, 10);
    move(100);
    resolve(moves);
  };
  on();
})
"""


def test_while_a_slider_moves_answers_keep_coming_one_question_at_a_time(tried: Tried) -> None:
    page = tried.page(delay=0.05)
    moves = page.evaluate(SWEEP)
    settle(page)
    answered = page.evaluate("answered")
    assert 2 < len(answered) < moves, "some positions are passed over, and some are shown on the way"
    assert answered == sorted(answered, key=float)
    assert answered[-1] == DIAL_STOPS[100]
    assert page.locator(".bp-answer .bp-notice").is_hidden(), "a question went out while another was on its way"
    expect(page.locator(".bp-sentence")).to_have_text(sentence(dial=DIAL_STOPS[100]))
    assert slider(page, "dial").input_value() == "100"
    wait_until(page, "spoken.length > 0")
    assert page.evaluate("spoken") == [sentence(dial=DIAL_STOPS[100])]


TWO_MOVES = """
() => {
  const range = document.querySelector("#trial-dial-slider");
  const place = document.querySelector(".bp-spoken");
  globalThis.spoken = [];
  new MutationObserver(() => place.textContent && spoken.push(place.textContent)).observe(place, { childList: true });
  globalThis.answered = [];
  document.querySelector("section.bp").addEventListener("bp:answer", ({ detail }) => answered.push(detail.texts.dial));
  for (const stop of ["10", "20"]) {
    range.value = stop;
    range.dispatchEvent(new Event("input", { bubbles: true }));
  }
}
"""


def test_what_is_shown_while_a_later_question_is_on_its_way_is_not_spoken(tried: Tried) -> None:
    """However long the later one takes."""
    page = tried.page(delay=1.2)
    slider(page, "dial").fill("5")  # so that nothing else is on its way
    settle(page)
    page.evaluate(TWO_MOVES)
    expect(page.locator(".bp-sentence")).to_have_text(sentence(dial=DIAL_STOPS[20]))
    wait_until(page, "spoken.length > 0")
    assert page.evaluate("answered") == [DIAL_STOPS[10], DIAL_STOPS[20]]
    assert page.evaluate("spoken") == [sentence(dial=DIAL_STOPS[20])]


OFFERED = """
globalThis.offered = [];
new MutationObserver((changes) => {
  for (const { target } of changes) if (target.matches("button:not([hidden])")) offered.push(target.textContent);
}).observe(document, { subtree: true, attributeFilter: ["hidden"] });
"""


def test_a_question_that_waited_for_python_can_be_stopped(tried: Tried) -> None:
    page = tried.page(search="?dial=20", delay=2, script=OFFERED)
    expect(page.locator(".bp-sentence")).to_have_text(sentence(dial="20"))
    assert "Stop" in page.evaluate("offered")


# --- several forms of one page ------------------------------------------------------------------------------------


def test_in_an_address_the_second_forms_fields_have_its_name_before_them(tried: Tried) -> None:
    page = tried.page({}, {"question": "map"}, search="?dial=20&trial-2.dial=70&trial-2.colour=red&trial-3.dial=1")
    first, second = page.locator("section.bp").all()
    expect(first.locator(".bp-sentence")).to_have_text(sentence(dial="20"))
    expect(second.locator(".bp-sentence")).to_have_text(sentence(question="map", dial="70"))
    assert "“trial-2.colour”" in second.locator(".bp-answer .bp-notice").inner_text()
    assert "“trial-3.dial”" in first.locator(".bp-answer .bp-notice").inner_text()


def test_each_form_of_a_page_keeps_its_own_part_of_the_address(tried: Tried) -> None:
    page = tried.page({}, {"question": "map"})
    first, second = page.locator("section.bp").all()
    second.get_by_label("Dial", exact=True).fill("70")
    wait_until(page, "location.search === '?trial-2.dial=70'")
    first.get_by_label("Dial", exact=True).fill("20")
    wait_until(page, "location.search === '?dial=20&trial-2.dial=70'")
    second.get_by_role("button", name="Reset to defaults").click()
    wait_until(page, "location.search === '?dial=20'")
    second.get_by_label("What is heard?").check()
    assert first.get_by_role("radio", name="What is heard?").is_checked(), "the first form's choice is its own"
    expect(second.locator(".bp-bars")).to_be_visible()
