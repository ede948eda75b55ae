"""Every page: complete without scripts, within its origin, and with its menu, search and colours at hand."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import PROJECT, OpenPage
from tests.site.form_page import wait_until

AXE = PROJECT / "site_overrides" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOUR = ["color-contrast", "link-in-text-block"]
"""Rules of axe that look at colours; no other can tell one scheme from another."""
BY_TAGS = {"runOnly": {"type": "tag", "values": TAGS}}
BY_COLOUR = {"runOnly": {"type": "rule", "values": OF_COLOUR}}
BUT_COLOUR = BY_TAGS | {"rules": {rule: {"enabled": False} for rule in OF_COLOUR}}
RUN_AXE = "(options) => axe.run(document, { ...options, resultTypes: ['violations'] })"
SCHEME = "document.body.getAttribute('data-md-color-scheme')"
FOREIGN = re.compile(r"""(?:src|href|action|poster|data|srcset)\s*=\s*["']?(?:https?:)?//""", re.IGNORECASE)


@pytest.fixture(scope="session")
def addresses(site_folder: Path) -> list[str]:
    """Each page's address within the site."""
    pages = [path.parent.relative_to(site_folder).as_posix() for path in site_folder.rglob("index.html")]
    return sorted("" if page == "." else f"{page}/" for page in pages)


DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"


def violations(page: Page, options: dict[str, Any] = BY_TAGS) -> list[str]:
    """What axe finds wrong with the page as it stands, once it has been drawn and its scripts have heard of that."""
    page.evaluate(DRAWN)
    if not page.evaluate("'axe' in globalThis"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(RUN_AXE, options)["violations"]
    return [f"{entry['id']}: {entry['help']}: {entry['nodes'][0]['html'][:200]}" for entry in found]


def test_every_form_has_a_page_and_a_chapter(addresses: list[str]) -> None:
    for form in FORMS.values():
        assert f"forms/{form.id}/" in addresses
        assert f"chapters/{form.chapter}/" in addresses


def test_pages_name_no_other_origin(site_folder: Path) -> None:
    for path in site_folder.rglob("*.html"):
        for line in path.read_text(encoding="utf-8").splitlines():
            found = FOREIGN.search(line)
            if found and "<a " not in line:
                pytest.fail(f"{path.relative_to(site_folder)}: {line.strip()[:200]}")


def test_no_script_stands_in_a_page(site_folder: Path) -> None:
    script = re.compile(r"<script\b([^>]*)>(.*?)</script>", re.DOTALL)
    for path in site_folder.rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        for attributes, content in script.findall(text):
            assert not content.strip() or 'type="application/json"' in attributes, f"{path}: {content[:100]}"
        assert not re.search(r"<[a-z][^>]*\son[a-z]+=", text), f"{path} has an inline handler"
        assert not re.search(r"<[a-z][^>]*\sstyle=", text), f"{path} has an inline style"
        assert "<style" not in text, f"{path} has a style block"


def test_the_data_in_a_page_is_the_default_answer(site_folder: Path) -> None:
    for form in FORMS.values():
        text = (site_folder / "forms" / form.id / "index.html").read_text(encoding="utf-8")
        block = re.search(r'<script type="application/json" class="bp-data">(.*?)</script>', text)
        assert block is not None
        data = json.loads(block[1])
        assert data["answer"] == run(form.id, {})
        assert data["declared"] == form.defaults()


@pytest.fixture
def without_scripts(open_page: OpenPage) -> Iterator[Page]:
    """The largest form's page, as read with scripts off."""
    return open_page("forms/receiver/", java_script_enabled=False, viewport={"width": 1280, "height": 900})


def test_without_scripts_a_form_page_is_a_worked_example(without_scripts: Page) -> None:
    page = without_scripts
    native = run("receiver", {})
    assert page.locator(".bp-sentence").inner_text() == native["sentence"]
    assert page.locator(".bp-summary").all_inner_texts() == [chart["summary"] for chart in native["charts"]]
    assert page.locator(".bp-svg:visible").count() == len(native["charts"])
    assert page.locator(".bp-picture:visible").count() == len(native["drawings"])
    assert page.locator("textarea[name=stations]").is_visible()
    assert page.locator("textarea[name=stations]").input_value() == FORMS["receiver"].defaults()["stations"]
    assert page.get_by_text("Without scripts the form does not calculate").is_visible()
    for field in FORMS["receiver"].fields:
        # a question has a button for each of its choices
        # what does not count beside the others is not asked, and sheets are made by calculations alone
        asked = field.is_asked(FORMS["receiver"].defaults()) and field.place != "sheet"
        assert page.locator(f"[name={field.name}]").first.is_visible() == asked
    assert page.get_by_role("button", name="Copy link").count() == 0


def test_without_scripts_a_narrow_chart_is_drawn_for_its_width(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", java_script_enabled=False, viewport={"width": 360, "height": 700})
    drawing = page.locator(".bp-svg:visible")
    assert drawing.count() == 1
    scale = drawing.evaluate("(svg) => svg.getBoundingClientRect().width / svg.viewBox.baseVal.width")
    assert 13 * scale >= 11


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_without_scripts_colours_are_those_that_the_system_prefers(scheme: Any, open_page: OpenPage) -> None:
    page = open_page("forms/coil/", java_script_enabled=False, color_scheme=scheme)
    background = "getComputedStyle(document.body).backgroundColor"
    found = page.evaluate(background)
    assert found == {"light": "rgb(252, 249, 243)", "dark": "rgb(23, 20, 16)"}[scheme]
    page.emulate_media(media="print")
    assert page.evaluate(background) == "rgb(252, 249, 243)", "paper is light"


def test_a_sample_of_code_folds_its_lines_on_a_narrow_screen(open_page: OpenPage) -> None:
    page = open_page("clubs/", java_script_enabled=False, viewport={"width": 320, "height": 640})
    samples = page.locator("pre > code")
    assert samples.count() > 1
    assert all(sample.evaluate("(code) => code.scrollWidth <= code.clientWidth") for sample in samples.all())


def test_bare_shows_the_form_alone_and_names_its_source(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?bare=1&turns=80", live=True)
    assert page.locator("header").is_hidden()
    assert page.locator(".bp-nav").is_hidden()
    assert page.locator(".bp-footer").is_hidden()
    assert page.locator("h1").evaluate("(head) => head.getBoundingClientRect().height") <= 1
    source = page.locator(".bp-source a")
    assert source.is_visible()
    assert "Borrowed Power" in source.inner_text()
    assert source.get_attribute("target") == "_top"
    wait_until(page, "document.querySelector('.bp-rows td').textContent === '80'")
    assert page.url.endswith("forms/coil/?bare=1&turns=80")
    assert violations(page) == []


def test_colours_are_chosen_by_keyboard_and_kept(open_page: OpenPage) -> None:
    page = open_page("", color_scheme="light")
    assert page.evaluate(SCHEME) == "paper"
    page.locator(".bp-palette label:visible").click()
    page.locator(".bp-palette label:visible").click()
    assert page.evaluate(SCHEME) == "night"
    page.reload()
    assert page.evaluate(SCHEME) == "night"


def test_colours_follow_the_system(open_page: OpenPage) -> None:
    page = open_page("", color_scheme="dark")
    assert page.evaluate(SCHEME) == "night"


def test_the_menu_opens_by_keyboard_on_a_narrow_screen(open_page: OpenPage) -> None:
    page = open_page("", viewport={"width": 390, "height": 800})
    page.get_by_role("button", name="Menu").focus()
    page.keyboard.press("Enter")
    page.get_by_role("link", name="All forms").click()
    assert page.locator("h1").inner_text() == "All forms"


def test_search_finds_a_form(open_page: OpenPage) -> None:
    page = open_page("", viewport={"width": 1280, "height": 800})
    page.get_by_role("textbox", name="Search").press_sequentially("band plan")
    expect(page.locator(".md-search-result__list")).to_contain_text("Band plan")


def test_no_worker_starts_on_a_page_without_a_form(open_page: OpenPage) -> None:
    page = open_page("notices/")
    page.wait_for_timeout(1500)
    assert [worker for worker in page.workers if "assets/worker.js" in worker.url] == []


def test_an_unknown_address_has_a_page(open_page: OpenPage) -> None:
    page = open_page("no/such/page/", errors_expected=True)
    assert "Nothing here" in page.locator("h1").inner_text()


def test_colours_follow_the_system_at_once_until_others_are_chosen(open_page: OpenPage) -> None:
    page = open_page("", color_scheme="light")
    page.emulate_media(color_scheme="dark")
    wait_until(page, f"{SCHEME} === 'night'")
    page.locator(".bp-palette input").first.focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate(SCHEME) == "paper"
    assert page.locator(".bp-palette label:visible").get_attribute("title") == "Light colours; change to dark"
    page.emulate_media(color_scheme="light")
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(SCHEME) == "paper"
