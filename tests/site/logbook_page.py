"""The logbook's page in a test: what is put into it, read from it, and done to its storage."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.forms import FORMS
from tests.site.conftest import OpenPage

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
