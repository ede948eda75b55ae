"""The folder edition: pages opened as files, with no server and no network."""

import json
import re
from pathlib import Path
from urllib.parse import quote_plus, unquote, urlsplit

from playwright.sync_api import expect

from calc import bridge
from site_overrides.folder.make import make_edition
from site_overrides.folder.pages import file_address
from tests.site.conftest import OpenPage

NO_BLOB_WORKERS = """
globalThis.Worker = class { constructor() { throw new DOMException("refused", "SecurityError"); } };
"""


def native(form: str, **texts: str) -> dict[str, str]:
    """The texts of a form's rows by key, worked out here."""
    answer = bridge.run(form, texts)
    assert answer["ok"]
    return {row["key"]: row["text"] for row in answer["rows"]}


def test_front_page_leads_to_a_chapter_and_says_what_it_is(open_file: OpenPage) -> None:
    page = open_file("index.html")
    expect(page.locator(".bp-folder")).to_have_text(
        re.compile(r"^Folder edition, version \d[\w.]*, build [0-9a-f]{8}\.$")
    )
    expect(page.get_by_role("button", name="Keep for offline use")).to_have_count(0)
    page.locator("main a[href*='chapters/coil/']").first.click()
    expect(page).to_have_url(re.compile(r"^file:.*/chapters/coil/index\.html"))
    expect(page.locator("h1")).to_be_visible()


def test_every_address_in_every_page_is_a_file(folder_edition: str) -> None:
    root = Path(unquote(urlsplit(folder_edition).path))
    pages = sorted(root.rglob("*.html"))
    assert len(pages) > 20
    missing = []
    for page in pages:
        for address in re.findall(r'<[a-z][^>]*?\s(?:href|src|action)="([^"#?]+)', page.read_text(encoding="utf-8")):
            if not re.match(r"[a-z]+:", address) and not (page.parent / address).is_file():
                missing.append((page.name, address))
    assert missing == []


def test_search_finds_a_chapter(open_file: OpenPage) -> None:
    page = open_file("index.html")
    page.locator("input[name=query]").press_sequentially("earphone")
    found = page.locator(".md-search-result__link[href*='chapters/earphone/index.html']").first
    expect(found).to_be_visible()
    found.click()
    expect(page).to_have_url(re.compile(r"/chapters/earphone/index\.html"))


def test_the_set_that_is_found_goes_on_to_the_whole_set(open_file: OpenPage) -> None:
    page = open_file("forms/correct-model/index.html", live=True)
    page.locator("[name=earth_resistance]").fill("50")
    texts = bridge.run("correct-model", {"earth_resistance": "50"})["onward"][0]["texts"]
    onward = page.locator(".bp-onward a")
    expect(onward).to_have_attribute("href", re.compile(re.escape(quote_plus(texts["aerial_capacitance"]))))
    onward.click()
    expect(page).to_have_url(re.compile(r"^file:.*/forms/receiver/index\.html\?"))
    for name, text in texts.items():
        expect(page.locator(f"[name={name}]")).to_have_value(text)


def test_a_link_and_then_typing_give_the_native_answers(open_file: OpenPage, tmp_path: Path) -> None:
    page = open_file("forms/coil/index.html?turns=80", live=True)
    row = page.locator('[data-key="inductance"]').first
    expect(row).to_contain_text(native("coil", turns="80")["inductance"])
    page.locator("[name=turns]").first.fill("93")
    expect(row).to_contain_text(native("coil", turns="93")["inductance"])
    expect(page).to_have_url(re.compile(r"index\.html\?turns=93$"))
    expect(page.get_by_role("button", name="QR code")).to_have_count(0)
    assert len([worker for worker in page.workers if worker.url.startswith("blob:")]) == 2  # the search's and Python's
    with page.expect_download() as kept:
        page.get_by_role("button", name="Save design").click()
    kept.value.save_as(tmp_path / "design.json")
    assert "93" in json.dumps(json.loads((tmp_path / "design.json").read_text(encoding="utf-8")))
    page.get_by_role("button", name="Reset to defaults").click()
    page.locator("input[type=file]").first.set_input_files(tmp_path / "design.json")
    expect(page.locator("[name=turns]").first).to_have_value("93")


def test_python_runs_in_the_page_where_workers_are_refused(open_file: OpenPage) -> None:
    page = open_file("forms/coil/index.html?turns=80", script=NO_BLOB_WORKERS, live=True, errors_expected=True)
    page.locator("[name=turns]").first.fill("93")
    expect(page.locator('[data-key="inductance"]').first).to_contain_text(native("coil", turns="93")["inductance"])


def test_the_same_site_gives_the_same_zip(site_folder: Path, folder_edition: str, tmp_path: Path) -> None:
    make_edition(site_folder, tmp_path / "again.zip")
    first = Path(unquote(urlsplit(folder_edition).path)).parent / "edition.zip"
    assert (tmp_path / "again.zip").read_bytes() == first.read_bytes()


def test_addresses_of_folders_become_addresses_of_files() -> None:
    assert file_address("../coil/?turns=60#top") == "../coil/index.html?turns=60#top"
    assert file_address("../..") == "../../index.html"
    assert file_address(".") == "./index.html"
    assert file_address("../assets/site.css") == "../assets/site.css"
    assert file_address("#top") == "#top"
    assert file_address("https://example.org/") == "https://example.org/"
