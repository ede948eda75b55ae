"""What is spoken to those who hear a page: each answer once, when the reader has paused."""

from playwright.sync_api import Page, expect

from calc.bridge import run
from tests.site.conftest import OpenPage
from tests.site.form_page import typed_texts, wait_until

LISTEN = """
globalThis.spoken = [];
globalThis.stated = []; // by the line above the answer: that it is on its way, should it take long
const last = new WeakMap();
const live = "[aria-live], [role=alert], [role=status], output";
new MutationObserver((changes) => {
  for (const { target } of changes) {
    const region = (target.nodeType === 3 ? target.parentElement : target)?.closest?.(live);
    if (!region || !region.checkVisibility() || last.get(region) === region.textContent) continue;
    last.set(region, region.textContent);
    if (region.textContent.trim()) (region.closest(".bp-state") ? stated : spoken).push(region.textContent);
  }
}).observe(document, { subtree: true, childList: true, characterData: true, attributeFilter: ["hidden"] });
"""


def listened(page: Page) -> Page:
    """The page, with all that is spoken from now on written down."""
    page.wait_for_timeout(1200)  # a last word about the start, if there is one
    page.evaluate("spoken.length = stated.length = 0")
    return page


TYPE = """
async ([name, text]) => {
  const field = document.querySelector(`[name=${name}]`);
  for (const letter of text) {
    field.value += letter;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((resolve) => setTimeout(resolve, 60));
  }
}
"""
"""Types as a reader does; by the page's own clock, which is not kept waiting when a busy machine keeps this process."""
TURN = """
async (steps) => {
  const slider = document.querySelector("[data-field=dial] input[type=range]");
  for (let step = 0; step < steps; step += 1) {
    slider.stepUp();
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((resolve) => setTimeout(resolve, 40));
  }
}
"""


def check_spoken(page: Page, wanted: list[str]) -> None:
    """This is what has been spoken, and a while later still; the state of the calculations, only if it took long."""
    wait_until(page, "(count) => spoken.length >= count", len(wanted))
    page.wait_for_timeout(1500)
    assert page.evaluate("spoken") == wanted
    assert set(page.evaluate("stated")) <= {"Working…", "Live: the answer follows what you type."}
    page.evaluate("spoken.length = 0")


def test_an_answer_is_spoken_once_and_so_is_an_error(open_page: OpenPage) -> None:
    page = listened(open_page("forms/coil/", live=True, script=LISTEN))
    page.locator("[name=turns]").evaluate("(field) => (field.value = '')")
    page.evaluate(TYPE, ["turns", "112.5"])
    check_spoken(page, [run("coil", {"turns": "112.5"})["sentence"]])
    page.evaluate(TYPE, ["turns", "xy"])
    check_spoken(page, [run("coil", {"turns": "112.5xy"})["errors"]["turns"]])


def test_a_complaint_is_put_there_once(open_page: OpenPage) -> None:
    """An alert is spoken whenever it is put into the page, also by each answer that comes while it still holds."""
    page = open_page("forms/coil/?turns=83&colour=red")
    complaint = page.locator(".bp-answer .bp-notice p")
    expect(complaint).to_contain_text("colour")
    first = complaint.element_handle()
    expect(page.locator(".bp-sentence")).to_have_text(run("coil", {"turns": "83"})["sentence"], timeout=60_000)
    assert first.evaluate("(node) => node.isConnected")
    page.locator("[name=turns]").fill("84")
    expect(complaint).to_have_count(0)


def test_a_knob_that_is_turned_is_spoken_of_when_it_rests(open_page: OpenPage) -> None:
    page = listened(open_page("forms/receiver/", live=True, script=LISTEN))
    page.locator("input[type=radio][value=dial]").focus()
    page.keyboard.press("Space")
    check_spoken(page, [run("receiver", typed_texts(page))["sentence"]])
    page.evaluate(TURN, 5)
    check_spoken(page, [run("receiver", typed_texts(page))["sentence"]])
