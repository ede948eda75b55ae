"""The logbook in a real browser: what is kept stays, what is taken out can be had back, and it can be read by all."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import OpenPage
from tests.site.logbook_page import DESIGN, READING, exported, opened, said, titles
from tests.site.logbook_page import log as log
from tests.site.printed import printed
from tests.site.test_pages import violations

# --- keeping ------------------------------------------------------------------------------------------------------


def test_a_design_is_kept_from_its_form_and_gives_the_same_answer_again(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/?dial=40", live=True)
    page.locator("[name=earth_resistance]").fill("31")
    native = run("receiver", {"dial": "40", "earth_resistance": "31"})
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"])
    expect(page.locator(".bp-result")).not_to_have_attribute("aria-busy", "true")
    tell = page.get_by_role("button", name="Keep in logbook")
    tell.press("Enter")
    part = page.get_by_role("group", name="Keep in the logbook")
    part.get_by_label("Title").fill("Loft set")
    part.get_by_label("Date").fill("2026-01-31")
    part.get_by_label("Notes").fill("Wet evening")
    part.get_by_label("Title").press("Enter")
    expect(tell).to_be_focused()
    page.get_by_role("link", name="Open the logbook").click()
    page.reload()
    entry = opened(page).get_by_role("article", name="Loft set")
    for text in ("2026-01-31 · Whole set", native["sentence"], "Wet evening"):
        expect(entry).to_contain_text(text)
    entry.get_by_role("link", name="Open in its form").click()
    expect(page).to_have_url(re.compile(r"forms/receiver/\?"))
    expect(page.locator("[name=earth_resistance]")).to_have_value("31")
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"], timeout=60_000)
    assert page.locator(".bp-answer .bp-notice").is_hidden()


def test_typing_what_is_kept_calculates_nothing_and_changes_no_address(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?turns=83")
    page.get_by_role("button", name="Keep in logbook").click()
    part = page.get_by_role("group", name="Keep in the logbook")
    asked = "() => { window.asked = 0; addEventListener('input', () => { window.asked += 1; }); }"
    page.evaluate(asked)
    part.get_by_label("Notes").press_sequentially("dry")
    assert page.evaluate("window.asked") == 0
    assert page.url.endswith("?turns=83")
    part.get_by_label("Notes").press("Escape")
    expect(part).to_be_hidden()


def test_an_answer_to_other_values_is_not_kept_with_them(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True)
    page.locator("[name=turns]").first.fill("many")
    expect(page.locator(".bp-stale").first).to_be_visible()
    page.get_by_role("button", name="Keep in logbook").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_role("link", name="Open the logbook").click()
    (entry,) = exported(opened(page))
    assert entry["answer"] == ""
    assert entry["fields"] == {**FORMS["coil"].defaults(), "turns": "many"}


def test_a_frame_on_another_page_offers_no_logbook(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?bare=1")
    expect(page.get_by_role("button", name="Copy link")).to_be_visible()
    expect(page.get_by_role("button", name="Keep in logbook")).to_have_count(0)


def test_readings_are_written_searched_and_sorted(log: Callable[..., Page]) -> None:
    page = log(DESIGN)
    page.get_by_text("Write down readings", exact=True).click()
    form = page.get_by_role("form", name="New readings")
    form.get_by_role("button", name="Keep these readings").click()
    expect(form.get_by_role("alert")).to_contain_text("Write the readings first")
    form.get_by_label("Title").fill("An evening")
    form.get_by_label("Date").fill("2025-05-01")
    form.get_by_label("Readings").fill("31.7: 747 kHz\n45.4: 666 kHz")
    form.get_by_label("Notes").fill("Städtchen, nass")
    form.get_by_role("button", name="Keep these readings").click()
    said(page, "Kept as “An evening”.")
    expect(form.get_by_label("Readings")).to_have_value("")
    titles(page, "Loft", "An evening")
    order, search = page.get_by_label("Order"), page.locator(".bp-logbook").get_by_label("Search")
    order.select_option("oldest first")
    titles(page, "An evening", "Loft")
    order.select_option("by title")
    titles(page, "An evening", "Loft")
    search.fill("kHz STÄDTCHEN")
    titles(page, "An evening")
    expect(page.locator(".bp-log-count")).to_have_text("1 of 2 entries have these words.")
    search.fill("turns 83")
    titles(page, "Loft")
    search.fill("nothing of the kind")
    titles(page)
    search.fill("")
    page.reload()
    titles(opened(page), "Loft", "An evening")


def test_an_entry_is_changed_and_a_wrong_date_keeps_what_was_typed(log: Callable[..., Page]) -> None:
    page = log(READING)
    page.get_by_role("button", name="Edit “Dial”").press("Enter")
    form = page.get_by_role("form", name="Edit “Dial”")
    expect(form.get_by_label("Title")).to_be_focused()
    form.get_by_label("Title").fill("Dial, corrected")
    form.get_by_label("Notes").fill("<img src=x onerror=alert(1)>")
    form.get_by_label("Date").fill("")
    form.get_by_role("button", name="Save").click()
    expect(form.get_by_role("alert")).to_contain_text("is no date")
    expect(form.get_by_label("Notes")).to_have_value("<img src=x onerror=alert(1)>")
    form.get_by_label("Date").fill("2024-03-01")
    form.get_by_label("Title").press("Enter")
    said(page, "“Dial, corrected” is changed.")
    expect(page.get_by_role("button", name="Edit “Dial, corrected”")).to_be_focused()
    changed = {**READING, "title": "Dial, corrected", "date": "2024-03-01", "notes": "<img src=x onerror=alert(1)>"}
    page.reload()
    assert exported(opened(page)) == [changed]
    page.get_by_role("button", name="Edit “Dial, corrected”").click()
    page.get_by_label("Notes").last.fill("not this")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Yes, throw it away").press("Enter")
    expect(page.get_by_role("button", name="Edit “Dial, corrected”")).to_be_focused()
    assert exported(page) == [changed]


# --- taking out ---------------------------------------------------------------------------------------------------


def test_deletions_are_undone_one_after_the_other(log: Callable[..., Page]) -> None:
    page = log(DESIGN, READING)
    page.get_by_role("button", name="Delete “Loft”").press("Enter")
    titles(page, "Dial")
    page.get_by_role("button", name="Delete “Dial”").press("Enter")
    titles(page)
    undo = page.locator(".bp-log-bar button")
    expect(undo).to_be_focused()
    expect(undo).to_have_text("Undo: have “Dial” back")
    page.keyboard.press("Enter")
    titles(page, "Dial")
    expect(undo).to_have_text("Undo: have “Loft” back")
    page.keyboard.press("Enter")
    titles(page, "Loft", "Dial")
    expect(undo).to_be_hidden()
    assert sorted(exported(page), key=lambda entry: entry["id"]) == [DESIGN, READING]


def test_clearing_is_asked_twice_and_undone(log: Callable[..., Page]) -> None:
    page = log(DESIGN, READING)
    clear = page.get_by_role("button", name="Clear the logbook")
    clear.press("Enter")
    expect(page.get_by_role("button", name="No, keep it")).to_be_focused()
    page.keyboard.press("Enter")
    expect(clear).to_be_focused()
    titles(page, "Loft", "Dial")
    clear.click()
    page.get_by_role("button", name="Yes, clear all of it").click()
    titles(page)
    said(page, "The whole logbook is cleared. Until this page closes it can be had back.")
    page.get_by_role("button", name="Undo").click()
    titles(page, "Loft", "Dial")
    page.reload()
    titles(opened(page), "Loft", "Dial")


# --- how it is read -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 1280), ("light", 320)])
def test_axe_finds_nothing_in_a_logbook_in_use(scheme: str, width: int, log: Callable[..., Page]) -> None:
    long = {**READING, "id": "l", "title": "w" * 200, "text": "9" * 300, "date": "2020-01-01"}
    page = log(DESIGN, READING, long, color_scheme=scheme, viewport={"width": width, "height": 900}, bypass_csp=True)
    page.get_by_text("Write down readings", exact=True).click()
    page.get_by_text("What was entered").click()
    page.get_by_role("button", name="Edit “Dial”").click()
    page.get_by_label("Notes").last.fill("typed here")
    page.keyboard.press("Escape")
    expect(page.get_by_role("group", name="Throw away what you typed?")).to_be_visible()
    page.get_by_role("button", name="Delete “Loft”").click()
    page.get_by_role("button", name="Clear the logbook").click()
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page = log(color_scheme=scheme, viewport={"width": width, "height": 900}, bypass_csp=True)
    assert violations(page) == []


def test_axe_finds_nothing_where_a_design_is_kept(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", bypass_csp=True, viewport={"width": 320, "height": 900})
    page.get_by_role("button", name="Keep in logbook").click()
    expect(page.get_by_role("group", name="Keep in the logbook")).to_be_visible()
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_it_prints_as_a_list(log: Callable[..., Page]) -> None:
    page = log(DESIGN, READING)
    text = "".join(sheet.text() for sheet in printed(page.pdf()))
    assert len(printed(page.pdf())) == 1
    for wanted in ("Logbook", "Loft", "2026-01-31", "A coil.", "83", "Dial", "31.7: 747 kHz", "dry soil"):
        assert wanted in text
    for control in ("Edit", "Delete", "Export", "Search", "Write down", "Undo", "Where it is kept"):
        assert control not in text


def test_without_scripts_it_says_what_it_would_do(open_page: OpenPage) -> None:
    page = open_page("logbook/", java_script_enabled=False)
    assert page.locator(".bp-logbook").inner_text().startswith("The logbook needs scripts.")


def test_in_the_folder_edition_pages_share_it(open_file: OpenPage) -> None:
    page = open_file("forms/coil/index.html?turns=83")
    page.get_by_role("button", name="Keep in logbook").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_role("link", name="Open the logbook").click()
    entry = opened(page).get_by_role("article", name="Coil")
    expect(entry).to_contain_text("83")
    entry.get_by_role("link", name="Open in its form").click()
    expect(page).to_have_url(re.compile(r"forms/coil/index\.html\?turns=83$"))
    expect(page.locator("[name=turns]").first).to_have_value("83")
