"""The logbook in two tabs, in two versions, and in a browser that does not keep."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from site_overrides.pages.offline import kept_files
from tests.site.conftest import PROJECT, OpenPage
from tests.site.logbook_page import BLOCKED, DESIGN, FULL, NEWER, READING, book, exported, give, opened, said, titles
from tests.site.logbook_page import log as log


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


CONNECTION_KNOWN = """
const { transaction } = IDBDatabase.prototype;
IDBDatabase.prototype.transaction = function (...given) {
  window.connection = this;
  return transaction.apply(this, given);
};
"""
DROPS = {
    "closed": "window.connection.close()",
    "unknown, once": """
      const { transaction } = IDBDatabase.prototype;
      IDBDatabase.prototype.transaction = function () {
        IDBDatabase.prototype.transaction = transaction;
        throw new DOMException("Connection lost.", "UnknownError");
      };
    """,
}


@pytest.mark.parametrize("drop", DROPS.values(), ids=DROPS.keys())
def test_a_connection_that_the_browser_dropped_is_made_again(drop: str, log: Callable[..., Page]) -> None:
    page = log(READING, script=CONNECTION_KNOWN)
    page.get_by_role("button", name="Edit “Dial”").click()
    page.get_by_label("Notes").last.fill("typed here")
    page.evaluate(f"() => {{ {drop} }}")
    page.get_by_role("button", name="Save").click()
    said(page, "“Dial” is changed.")
    assert exported(page) == [{**READING, "notes": "typed here"}]


def test_a_connection_that_cannot_be_made_again_is_not_laid_to_a_newer_version(log: Callable[..., Page]) -> None:
    page = log(READING)
    page.evaluate("""() => {
      IDBDatabase.prototype.transaction = () => { throw new DOMException("Closing.", "InvalidStateError"); };
    }""")
    give(page, book(DESIGN))
    notice = page.locator(".bp-logbook > .bp-notice[role=alert]")
    expect(notice).to_have_text("The browser could not do it (InvalidStateError).")


OTHER_HOLDS = """
() => new Promise((resolve) => {
  const asked = indexedDB.open("borrowed-power-logbook");
  asked.onsuccess = () => { window.held = asked.result; resolve(); };
})
"""


def later_version(route: Route) -> None:
    """A page's modules, with the store as of a next version of the site."""
    name = route.request.url.rsplit("/", 1)[-1]
    text = (PROJECT / "site_overrides" / "assets" / name).read_text(encoding="utf-8")
    if name == "logbook_store.js":
        assert text.count("const VERSION = 1;") == 1
        text = text.replace("const VERSION = 1;", "const VERSION = 2;")
    route.fulfill(body=text, content_type="text/javascript")


def test_a_next_version_takes_the_logbook_over_from_pages_that_are_open(log: Callable[..., Page]) -> None:
    page = log(READING)
    holder = page.context.new_page()
    holder.goto(page.url.replace("logbook/", "notices/"))
    holder.evaluate(OTHER_HOLDS)
    later = page.context.new_page()
    later.route(re.compile(r"/assets/[a-z_]+\.js$"), later_version)
    later.goto(page.url)
    notice = ".bp-logbook > .bp-notice[role=alert]"
    expect(page.locator(notice)).to_contain_text("a newer version of this site wants it")
    expect(later.locator(notice)).to_contain_text("Another tab holds the logbook open in an older version")
    holder.evaluate("window.held.close()")
    titles(opened(later), "Dial")
    expect(later.locator(notice)).to_be_hidden()


def test_it_is_kept_for_use_without_a_connection(site_folder: Path) -> None:
    kept = kept_files(site_folder)
    for address in ("logbook/", "assets/vendor/idb.js", "assets/page.js"):
        assert address in kept
