"""The logbook in a real browser: what is kept stays, what is taken out can be had back, and nothing wrong comes in."""

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from calc.bridge import run
from calc.forms import FORMS
from site_overrides.pages.offline import kept_files
from site_overrides.pages.schema import LOGBOOK_ADDRESS
from tests.site.conftest import PROJECT, OpenPage
from tests.site.printed import printed
from tests.site.test_pages import violations

READING = {
    "id": "r", "kind": "reading", "title": "Dial", "date": "2024-02-29", "notes": "dry soil", "text": "31.7: 747 kHz",
}  # fmt: skip
DESIGN = {
    "id": "d", "kind": "design", "title": "Loft", "date": "2026-01-31", "notes": "", "form": "coil",
    "fields": {**FORMS["coil"].defaults(), "turns": "83"}, "answer": "A coil.",
}  # fmt: skip

BLOCKED = "IDBFactory.prototype.open = () => { throw new DOMException('', 'SecurityError'); };"
FULL = """
addEventListener("bp:full", () => {
  IDBObjectStore.prototype.put = () => { throw new DOMException("", "QuotaExceededError"); };
});
"""
NEWER = """
(version) => new Promise((resolve, reject) => {
  const asked = indexedDB.open("borrowed-power-logbook", version);
  asked.onsuccess = () => { asked.result.close(); resolve(true); };
  asked.onerror = () => reject(asked.error);
})
"""


def book(*entries: Any, version: Any = 1) -> str:
    return json.dumps({"borrowed-power-logbook": version, "entries": list(entries)})


def opened(page: Page) -> Page:
    """The logbook's page, once it has read what is kept."""
    expect(page.locator(".bp-logbook")).to_have_attribute("data-state", "open")
    return page


def give(page: Page, text: str, name: str = "club.json") -> None:
    """Imports a file of this text."""
    page.locator(".bp-logbook input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/json", "buffer": text.encode()}
    )


def said(page: Page, sentence: str) -> None:
    expect(page.locator(".bp-log-bar .bp-said")).to_contain_text(sentence)


def titles(page: Page, *wanted: str) -> None:
    expect(page.locator(".bp-log-entry h3")).to_have_text(list(wanted))


def exported(page: Page) -> list[dict[str, Any]]:
    with page.expect_download() as saved:
        page.get_by_role("button", name="Export all").click()
    found: list[dict[str, Any]] = json.loads(saved.value.path().read_text(encoding="utf-8"))["entries"]
    return found


@pytest.fixture
def log(open_page: OpenPage) -> Callable[..., Page]:
    """Opens the logbook's page in a fresh profile, with these entries in it."""

    def open_it(*entries: Any, **options: Any) -> Page:
        page = opened(open_page("logbook/", **options))
        if entries:
            give(page, book(*entries))
            said(page, f"club.json: {len(entries)} new.")
        return page

    return open_it


# --- keeping ------------------------------------------------------------------------------------------------------


def test_a_design_is_kept_from_its_form_and_gives_the_same_answer_again(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/?dial=40", live=True)
    page.locator("[name=earth_resistance]").fill("31")
    native = run("receiver", {"dial": "40", "earth_resistance": "31"})
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"])
    expect(page.locator(".bp-answer")).not_to_have_attribute("aria-busy", "true")
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


# --- files --------------------------------------------------------------------------------------------------------

CHECK = """
import { Validator } from "@cfworker/json-schema";
const { schema, books } = JSON.parse(await new Response(process.stdin).text());
const validator = new Validator(schema, "2020-12");
console.log(JSON.stringify(books.map((book) => validator.validate(book).valid)));
"""


def valid(site_folder: Path, books: list[Any]) -> list[bool]:
    """Whether each agrees with the published schema, by a general validator."""
    schema = json.loads((site_folder / LOGBOOK_ADDRESS).read_text(encoding="utf-8"))
    found = subprocess.run(
        ["node", "--input-type=module", "--eval", CHECK],
        cwd=PROJECT / "site_overrides",
        input=json.dumps({"schema": schema, "books": books}),
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    checked: list[bool] = json.loads(found.stdout)
    return checked


def test_an_export_is_imported_in_a_fresh_profile(log: Callable[..., Page], site_folder: Path) -> None:
    page = log(DESIGN, {**READING, "title": "<script>alert(1)</script> ✓"})
    entries = exported(page)
    assert valid(site_folder, [json.loads(book(*entries))]) == [True]
    other = log(*entries)
    assert exported(other) == entries
    titles(other, "Loft", "<script>alert(1)</script> ✓")
    give(other, book(*entries))
    said(other, "club.json: 0 new, 2 the same as here.")
    give(other, book(DESIGN, {**READING, "text": "other"}))
    said(other, "club.json: 0 new, 1 the same as here, 1 differed from the one here and was kept beside it.")
    kept = exported(other)
    assert len(kept) == 3
    assert [entry for entry in kept if entry["id"] in ("d", "r")] == entries


def test_a_saved_design_becomes_an_entry(log: Callable[..., Page]) -> None:
    page = log(READING)
    give(page, json.dumps({"borrowed-power": 1, "form": "coil", "fields": {"turns": "61"}}), "coil-design.json")
    said(page, "coil-design.json: 1 new.")
    entry = next(entry for entry in exported(page) if entry["kind"] == "design")
    assert (entry["title"], entry["form"], entry["fields"]) == ("Coil", "coil", {"turns": "61"})
    link = page.get_by_role("article", name="Coil").get_by_role("link").get_attribute("href")
    assert link is not None
    assert link.endswith("/forms/coil/?turns=61")


HOSTILE = {
    "cut off": book(READING)[:-9],
    "nested deep": "[" * 200_000,
    "huge": " " * 5_000_001,
    "no book": "null",
    "newer": book(READING, version=2),
    "version as text": book(READING, version="1"),
    "version nested deep": '{"borrowed-power-logbook": ' + "[" * 200_000 + "]" * 200_000 + "}",
    "no list": '{"borrowed-power-logbook": 1, "entries": {"length": 1}}',
    "too many": book(*[READING] * 5001),
    "same id": book(READING, READING),
    "prototype": book(READING)[:-3] + ', "__proto__": {"id": "c"}}]}',
    "prototype in fields": book({**DESIGN, "fields": {"__proto__": "x"}}),
    "number for a text": book({**DESIGN, "fields": {"turns": 83}}),
    "list for a title": book({**READING, "title": ["<b>"]}),
    "no such form": book({**DESIGN, "form": "../../evil"}),
    "no date": book({**READING, "date": "NaN"}),
    "no such day": book({**READING, "date": "2026-02-30"}),
    "one bad among good": book(READING, {**DESIGN, "kind": "constructor"}),
    "other design": json.dumps({"borrowed-power": 7, "form": "coil", "fields": {}}),
}


def test_wrong_files_are_refused_and_what_was_there_stays(log: Callable[..., Page], site_folder: Path) -> None:
    page = log(READING)
    for name, text in HOSTILE.items():
        give(page, book(READING))
        said(page, "club.json: 0 new, 1 the same as here.")
        give(page, text)
        notice = page.locator(".bp-logbook > .bp-notice[role=alert]")
        expect(notice, name).to_be_visible()
        assert re.fullmatch(r"[A-Z“].{10,150}\.", notice.inner_text()), name
        expect(page.locator(".bp-log-bar .bp-said")).to_be_empty()
    assert exported(page) == [READING]
    # the general validator does not follow the days of a month, knows no doubled ids, and reads no text that is no JSON
    beyond = {"cut off", "nested deep", "version nested deep", "huge", "same id"}
    books = [json.loads(text) for name, text in HOSTILE.items() if name not in beyond]
    assert valid(site_folder, books) == [False] * len(books)


def test_a_full_logbook_takes_no_more(log: Callable[..., Page]) -> None:
    page = log(*({**READING, "id": str(index), "notes": "x" * 20_000} for index in range(245)))
    give(page, book(*({**READING, "id": f"big-{index}", "text": "y" * 99_000} for index in range(2))))
    expect(page.locator(".bp-logbook > .bp-notice[role=alert]")).to_contain_text("holds at most 5 MB")
    entries = exported(page)
    assert len(entries) == 245
    assert exported(log(*entries)) == entries


# --- two tabs, and a browser that does not keep -------------------------------------------------------------------


def test_another_tab_shows_what_is_kept_and_nothing_typed_is_lost(log: Callable[..., Page]) -> None:
    page = log(READING)
    other = page.context.new_page()
    other.goto(page.url)
    titles(opened(other), "Dial")
    other.get_by_role("button", name="Edit “Dial”").click()
    other.get_by_label("Notes").last.fill("typed here")
    give(page, book(DESIGN))
    titles(page, "Loft", "Dial")
    titles(other, "Loft")  # the other is being changed
    other.get_by_text("What was entered").click()
    give(page, book({**READING, "id": "more", "title": "More"}))
    titles(other, "Loft", "More")
    expect(other.get_by_text("Turns", exact=True)).to_be_visible()  # what was opened stays open
    expect(other.get_by_text("What was entered")).to_be_focused()
    page.get_by_role("button", name="Delete “More”").click()
    page.get_by_role("button", name="Edit “Dial”").click()
    page.get_by_label("Notes").last.fill("typed there")
    page.get_by_role("button", name="Save").click()
    titles(other, "Loft")
    expect(other.get_by_label("Notes").last).to_have_value("typed here")
    other.get_by_role("button", name="Save").click()
    said(other, "“Dial” was changed in another tab meanwhile. Both are kept.")
    assert sorted(entry["notes"] for entry in exported(page)) == ["", "typed here", "typed there"]


def test_what_is_changed_here_outlives_its_deletion_in_another_tab(log: Callable[..., Page]) -> None:
    page = log(READING)
    other = page.context.new_page()
    other.goto(page.url)
    opened(other).get_by_role("button", name="Edit “Dial”").click()
    other.get_by_label("Notes").last.fill("typed here")
    page.get_by_role("button", name="Delete “Dial”").click()
    said(page, "is deleted")
    expect(other.locator(".bp-log-count")).to_contain_text("Nothing is kept yet")
    expect(other.get_by_label("Notes").last).to_have_value("typed here")
    other.get_by_role("button", name="Save").click()
    said(other, "is changed")
    titles(page, "Dial")


def test_where_storage_is_blocked_it_says_so(open_page: OpenPage) -> None:
    page = open_page("logbook/", script=BLOCKED)
    expect(page.get_by_role("alert").first).to_contain_text("does not let the page keep anything")
    page.get_by_text("Write down readings", exact=True).click()
    form = page.get_by_role("form", name="New readings")
    form.get_by_label("Readings").fill("31.7")
    form.get_by_role("button", name="Keep these readings").click()
    expect(form.get_by_role("alert")).to_contain_text("does not let the page keep anything")
    expect(form.get_by_label("Readings")).to_have_value("31.7")
    page = open_page("forms/coil/", script=BLOCKED)
    page.get_by_role("button", name="Keep in logbook").click()
    page.get_by_label("Notes").fill("dry")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator(".bp-tools .bp-said")).to_contain_text("save designs as files instead")
    expect(page.get_by_label("Notes")).to_have_value("dry")


def test_where_there_is_no_room_nothing_is_changed(log: Callable[..., Page]) -> None:
    page = log(READING, script=FULL)
    page.evaluate("dispatchEvent(new Event('bp:full'))")
    give(page, book(DESIGN))
    notice = page.locator(".bp-logbook > .bp-notice[role=alert]")
    expect(notice).to_have_text("The browser has no more room for this site. Nothing was changed.")
    page.get_by_role("button", name="Edit “Dial”").click()
    form = page.get_by_role("form", name="Edit “Dial”")
    form.get_by_label("Notes").fill("typed here")
    form.get_by_role("button", name="Save").click()
    expect(form.get_by_role("alert")).to_contain_text("no more room")
    expect(form.get_by_label("Notes")).to_have_value("typed here")
    assert exported(page) == [READING]


def test_a_newer_version_of_the_database_is_told_of(log: Callable[..., Page]) -> None:
    page = log(READING)
    assert page.evaluate(NEWER, 2) is True  # not blocked: this page has let go
    notice = page.locator(".bp-logbook > .bp-notice[role=alert]")
    expect(notice).to_contain_text("a newer version of this site wants it")
    give(page, book(DESIGN))
    expect(notice).to_contain_text("a newer version of this site wants it")
    page.reload()
    expect(notice).to_contain_text("written by a newer version of this site")


OTHER_HOLDS = """
() => new Promise((resolve) => {
  const asked = indexedDB.open("borrowed-power-logbook");
  asked.onsuccess = () => { window.held = asked.result; resolve(); };
})
"""


def later_version(route: Route) -> None:
    """The store as of a next version of the site."""
    text = (PROJECT / "site_overrides" / "assets" / "logbook_store.js").read_text(encoding="utf-8")
    assert text.count("const VERSION = 1;") == 1
    route.fulfill(body=text.replace("const VERSION = 1;", "const VERSION = 2;"), content_type="text/javascript")


def test_a_next_version_takes_the_logbook_over_from_pages_that_are_open(log: Callable[..., Page]) -> None:
    page = log(READING)
    holder = page.context.new_page()
    holder.goto(page.url.replace("logbook/", "notices/"))
    holder.evaluate(OTHER_HOLDS)
    later = page.context.new_page()
    later.route("**/logbook_store.js", later_version)
    later.goto(page.url)
    notice = ".bp-logbook > .bp-notice[role=alert]"
    expect(page.locator(notice)).to_contain_text("a newer version of this site wants it")
    expect(later.locator(notice)).to_contain_text("Another tab holds the logbook open in an older version")
    holder.evaluate("window.held.close()")
    titles(opened(later), "Dial")
    expect(later.locator(notice)).to_be_hidden()


def test_it_is_kept_for_use_without_a_connection(site_folder: Path) -> None:
    kept = kept_files(site_folder)
    scripts = ["page", "entry", "fields", "file", "store", "keep"]
    for address in ("logbook/", "assets/vendor/idb.js", *(f"assets/logbook_{name}.js" for name in scripts)):
        assert address in kept


# --- how it is read -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 1280), ("light", 320)])
def test_axe_finds_nothing_in_a_logbook_in_use(scheme: str, width: int, log: Callable[..., Page]) -> None:
    long = {**READING, "id": "l", "title": "w" * 200, "text": "9" * 300, "date": "2020-01-01"}
    page = log(DESIGN, READING, long, color_scheme=scheme, viewport={"width": width, "height": 900}, bypass_csp=True)
    page.get_by_text("Write down readings", exact=True).click()
    page.get_by_text("What was entered").click()
    page.get_by_role("button", name="Edit “Dial”").click()
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
