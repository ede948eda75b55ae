"""The logbook's files: what went out comes in again, and nothing wrong does."""

import json
import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from site_overrides.pages.schema import LOGBOOK_ADDRESS
from tests.site.logbook_page import DESIGN, READING, book, exported, give, opened, said, titles
from tests.site.logbook_page import log as log
from tests.site.published_schema import valid


def test_an_export_is_imported_in_a_fresh_profile(log: Callable[..., Page], site_folder: Path) -> None:
    page = log(DESIGN, {**READING, "title": "<script>alert(1)</script> ✓"})
    entries = exported(page)
    assert valid(site_folder / LOGBOOK_ADDRESS, [json.loads(book(*entries))]) == [True]
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
    assert valid(site_folder / LOGBOOK_ADDRESS, books) == [False] * len(books)


def test_why_a_file_is_refused_stands_till_the_next_thing_is_done(log: Callable[..., Page]) -> None:
    page = log(READING)
    other = page.context.new_page()
    other.goto(page.url)
    give(page, book(READING, version=2))
    notice = page.locator(".bp-logbook > .bp-notice[role=alert]")
    expect(notice).to_contain_text("of version 2")
    give(opened(other), book(DESIGN))
    titles(page, "Loft", "Dial")  # read anew
    expect(notice).to_contain_text("of version 2")
    give(page, book(DESIGN))
    said(page, "1 the same as here.")
    expect(notice).to_be_hidden()


def test_a_full_logbook_takes_no_more(log: Callable[..., Page]) -> None:
    page = log(*({**READING, "id": str(index), "notes": "x" * 20_000} for index in range(245)))
    give(page, book(*({**READING, "id": f"big-{index}", "text": "y" * 99_000} for index in range(2))))
    expect(page.locator(".bp-logbook > .bp-notice[role=alert]")).to_contain_text("holds at most 5 MB")
    entries = exported(page)
    assert len(entries) == 245
    assert exported(log(*entries)) == entries
