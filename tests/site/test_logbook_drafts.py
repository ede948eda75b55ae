"""What is typed into the logbook and not kept yet: nothing takes it away without a word."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.site.conftest import OpenPage
from tests.site.logbook_page import READING, exported, opened, said, titles
from tests.site.logbook_page import log as log

HERE_AGAIN = "What you had typed is here again."
LATER = "2031-01-31"
DAYS_PASS = """
globalThis.Date = class extends Date {
  constructor(...given) {
    super(...(given.length || !window.day ? given : [`${window.day}T12:00:00`]));
  }
};
"""
RETURNS = {
    "focus": "dispatchEvent(new Event('focus'))",
    "looked at": "document.dispatchEvent(new Event('visibilitychange'))",
}


def edited(page: Page, notes: str) -> Locator:
    """The editor of the entry “Dial”, with these notes typed into it."""
    page.get_by_role("button", name="Edit “Dial”").click()
    form = page.get_by_role("form", name="Edit “Dial”")
    form.get_by_label("Notes").fill(notes)
    return form


def wait_till(page: Page, day: str) -> None:
    page.evaluate("(day) => { window.day = day; }", day)


def writer(page: Page) -> Locator:
    """Where new readings are written, opened."""
    form = page.get_by_role("form", name="New readings")
    if not form.is_visible():
        page.get_by_text("Write down readings", exact=True).click()
    return form


def keeper(page: Page) -> Locator:
    """Where the design of a form is kept, opened."""
    page.get_by_role("button", name="Keep in logbook").click()
    part = page.get_by_role("group", name="Keep in the logbook")
    expect(part).to_be_visible()
    return part


# --- a page that is loaded again ----------------------------------------------------------------------------------


def test_a_changed_entry_is_typed_on_after_a_reload(log: Callable[..., Page]) -> None:
    page = log(READING)
    edited(page, "typed here").get_by_label("Title").fill("Dial, anew")
    other = page.context.new_page()
    other.goto(page.url)
    titles(opened(other), "Dial")  # what is typed in one tab is not in another
    edited(other, "typed there").get_by_role("button", name="Save").click()
    said(other, "“Dial” is changed.")
    page.reload()
    said(opened(page), HERE_AGAIN)
    form = page.get_by_role("form", name="Edit “Dial”")
    expect(form.get_by_label("Title")).to_have_value("Dial, anew")
    expect(form.get_by_label("Notes")).to_have_value("typed here")
    form.get_by_role("button", name="Save").click()
    said(page, "“Dial, anew” was changed in another tab meanwhile. Both are kept.")
    page.reload()
    titles(opened(page), "Dial", "Dial, anew")
    assert sorted(entry["notes"] for entry in exported(page)) == ["typed here", "typed there"]


def test_a_cancelled_entry_does_not_come_back(log: Callable[..., Page]) -> None:
    page = log(READING)
    edited(page, "typed here")
    page.reload()
    form = opened(page).get_by_role("form", name="Edit “Dial”")
    expect(form.get_by_label("Notes")).to_have_value("typed here")
    form.get_by_role("button", name="Cancel").click()
    page.reload()
    titles(opened(page), "Dial")
    expect(page.get_by_role("form", name="Edit “Dial”")).to_have_count(0)


def test_new_readings_are_there_again_after_another_page(log: Callable[..., Page]) -> None:
    page = log()
    address = page.url
    form = writer(page)
    form.get_by_label("Title").fill("An evening")
    form.get_by_label("Date").fill("2025-05-01")
    form.get_by_label("Readings").fill("31.7: 747 kHz\n45.4: 666 kHz")
    page.goto(address.replace("logbook/", "notices/"))
    page.goto(address)
    said(opened(page), HERE_AGAIN)
    expect(form.get_by_label("Date")).to_have_value("2025-05-01")
    expect(form.get_by_label("Readings")).to_have_value("31.7: 747 kHz\n45.4: 666 kHz")
    form.get_by_role("button", name="Keep these readings").click()
    said(page, "Kept as “An evening”.")
    page.reload()
    titles(opened(page), "An evening")
    expect(form).to_be_hidden()
    expect(writer(page).get_by_label("Readings")).to_have_value("")


def test_notes_below_a_form_are_there_again_after_a_reload(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?turns=83")
    keeper(page).get_by_label("Notes").fill("typed here")
    page.reload()
    part = keeper(page)
    expect(page.locator(".bp-tools .bp-said")).to_have_text(HERE_AGAIN)
    expect(part.get_by_label("Notes")).to_have_value("typed here")
    part.get_by_role("button", name="Cancel").click()
    page.reload()
    expect(keeper(page).get_by_label("Notes")).to_have_value("")
    part.get_by_label("Notes").fill("typed again")
    part.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("link", name="Open the logbook")).to_be_visible()
    page.reload()
    expect(keeper(page).get_by_label("Notes")).to_have_value("")


# --- Escape -------------------------------------------------------------------------------------------------------


def test_escape_asks_before_it_throws_away_what_was_typed(log: Callable[..., Page]) -> None:
    page = log(READING)
    form = edited(page, "typed here")
    asked = form.get_by_role("group", name="Throw away what you typed?")
    for answer in ("Enter", "Escape"):
        page.keyboard.press("Escape")
        expect(asked.get_by_role("button", name="No, keep it")).to_be_focused()
        page.keyboard.press(answer)
        expect(asked).to_be_hidden()
        expect(form.get_by_label("Notes")).to_be_focused()
        expect(form.get_by_label("Notes")).to_have_value("typed here")
    page.keyboard.press("Escape")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    edit = page.get_by_role("button", name="Edit “Dial”")
    expect(edit).to_be_focused()
    edit.press("Enter")
    expect(form.get_by_label("Notes")).to_have_value("dry soil")
    page.keyboard.press("Escape")  # nothing was typed, so nothing is asked
    expect(edit).to_be_focused()


COMPOSING = """(element) => element.dispatchEvent(
  new KeyboardEvent("keydown", { key: "Escape", isComposing: true, bubbles: true, cancelable: true }))"""


def test_a_key_that_is_for_an_input_method_closes_nothing(log: Callable[..., Page], open_page: OpenPage) -> None:
    page = log(READING)
    form = edited(page, "typed here")
    form.get_by_label("Notes").evaluate(COMPOSING)
    expect(form.get_by_label("Notes")).to_be_focused()
    page = open_page("forms/coil/")
    part = keeper(page)
    part.get_by_label("Notes").evaluate(COMPOSING)
    expect(part).to_be_visible()


UNKEPT = {
    "blocked": """Object.defineProperty(globalThis, "sessionStorage", {
      get() { throw new DOMException("The operation is insecure.", "SecurityError"); },
    });""",
    "full": """Storage.prototype.setItem = () => { throw new DOMException("Full.", "QuotaExceededError"); };""",
}


@pytest.mark.parametrize("script", UNKEPT.values(), ids=UNKEPT.keys())
def test_where_no_draft_can_be_kept_all_else_works(script: str, log: Callable[..., Page]) -> None:
    page = log(READING, script=script)
    form = edited(page, "typed here")
    page.keyboard.press("Escape")
    form.get_by_role("button", name="No, keep it").click()
    form.get_by_role("button", name="Save").click()
    said(page, "“Dial” is changed.")
    assert exported(page) == [{**READING, "notes": "typed here"}]


# --- a page that stands open for days -----------------------------------------------------------------------------


@pytest.mark.parametrize("back", RETURNS.values(), ids=RETURNS.keys())
def test_new_readings_have_the_day_of_their_beginning(back: str, log: Callable[..., Page]) -> None:
    page = log(script=DAYS_PASS)
    form = writer(page)
    date = form.get_by_label("Date")
    wait_till(page, LATER)
    page.evaluate(back)
    expect(date).to_have_value(LATER)
    form.get_by_label("Readings").fill("begun")
    wait_till(page, "2031-02-01")
    page.evaluate(back)
    expect(date).to_have_value(LATER)
    form.get_by_role("button", name="Keep these readings").click()
    said(page, "Kept as “Readings”.")
    page.evaluate(back)
    expect(date).to_have_value("2031-02-01")
    date.fill("2025-05-01")
    page.evaluate(back)
    expect(date).to_have_value("2025-05-01")


def test_the_day_is_new_when_the_part_is_opened(log: Callable[..., Page], open_page: OpenPage) -> None:
    page = log(script=DAYS_PASS)
    wait_till(page, LATER)
    expect(writer(page).get_by_label("Date")).to_have_value(LATER)
    page = open_page("forms/coil/", script=DAYS_PASS)
    part = keeper(page)
    part.get_by_label("Date").press("Escape")
    wait_till(page, LATER)
    expect(keeper(page).get_by_label("Date")).to_have_value(LATER)
    wait_till(page, "2031-02-01")
    page.evaluate(RETURNS["focus"])
    expect(part.get_by_label("Date")).to_have_value("2031-02-01")
