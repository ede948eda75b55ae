"""The content policy: on every page, strict, the same as the header that is advised, and the site runs under it."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from calc.bridge import run
from site_overrides.pages.offline import kept_files
from tests.site.conftest import PROJECT, OpenPage, served
from tests.site.form_page import wait_for

META = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')
HEADER = re.compile(r"^ +Content-Security-Policy: (.*)$", re.MULTILINE)
OF_EACH_KIND = [
    "",
    "chapters/whole-set/",
    "examples/first-set/",
    "forms/receiver/",
    "logbook/",
    "tables/wire/",
    "trust/",
]
WATCH = """
  globalThis.violations = [];
  addEventListener("securitypolicyviolation", ({ violatedDirective, blockedURI, sourceFile }) => {
    violations.push([violatedDirective, blockedURI, sourceFile].join(" "));
  });
"""


def policies(site_folder: Path) -> dict[str, list[str]]:
    """The policies in each page."""
    return {
        path.relative_to(site_folder).as_posix(): META.findall(path.read_text(encoding="utf-8"))
        for path in site_folder.rglob("*.html")
    }


def violations(page: Page) -> list[str]:
    """What the page's policy has refused so far."""
    found: list[str] = page.evaluate("violations")
    return found


@pytest.fixture(params=["in the page", "and as a header"])
def origin(request: pytest.FixtureRequest, site: str, site_folder: Path) -> Iterator[str]:
    """The site as it is, and with the header that is advised."""
    if request.param == "in the page":
        yield site
        return
    found = HEADER.search((PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert found is not None
    with served(site_folder, {"Content-Security-Policy": found[1]}) as address:
        yield address


def test_every_page_has_one_policy_ahead_of_all_that_it_loads(site_folder: Path) -> None:
    found = policies(site_folder)
    assert len(found) > 15
    assert {len(own) for own in found.values()} == {1}
    assert len({own[0] for own in found.values()}) == 1
    for name in found:
        head = (site_folder / name).read_text(encoding="utf-8").partition("</head>")[0]
        assert not re.search(r"<(?:link|script)\b", META.split(head)[0]), name


def test_the_policy_is_strict_and_the_advised_header_is_the_same(site_folder: Path) -> None:
    policy = policies(site_folder)["index.html"][0].replace("&#39;", "'")
    parts = {name: sources for name, *sources in (part.split() for part in policy.split(";"))}
    assert parts["default-src"] == ["'none'"]
    assert parts["script-src"] == ["'self'", "'wasm-unsafe-eval'"]
    allowed = {source for sources in parts.values() for source in sources}
    assert allowed == {"'self'", "'none'", "'wasm-unsafe-eval'", "data:"}
    assert HEADER.findall((PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")) == [policy]


def test_no_page_is_refused_anything(origin: str, site: str, site_folder: Path, open_page: OpenPage) -> None:
    page = open_page("notices/", origin=origin, script=WATCH)
    pages = [address for address, path in kept_files(site_folder).items() if path.suffix == ".html"]
    for address in pages if origin == site else OF_EACH_KIND:  # as a header the policy is the same, see above
        page.goto(origin + address)
        assert violations(page) == [], address
    page.context.close()


def test_a_form_at_work_is_refused_nothing(origin: str, open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", origin=origin, script=WATCH, live=True)
    page.get_by_label("Earth resistance").fill("30")
    expect(page.locator(".bp-rows td").nth(1)).to_have_text(
        run("receiver", {"earth_resistance": "30"})["rows"][1]["text"]
    )
    with page.expect_download():
        page.get_by_role("button", name="Save design").click()
    page.get_by_role("button", name="Copy link").click()
    page.locator(".bp-palette label:visible").click()
    page.get_by_role("textbox", name="Search").press_sequentially("coil")
    expect(page.locator(".md-search-result__item").first).to_be_visible()
    assert violations(page) == []
    page.context.close()


INLINE_SCRIPT = "document.body.append(Object.assign(document.createElement('script'), { text: 'globalThis.ran = 1' }))"
INLINE_HANDLER = "document.body.setAttribute('onclick', 'globalThis.ran = 1'); document.body.click()"
INLINE_STYLE = (
    "document.body.append(Object.assign(document.createElement('style'), { textContent: 'a { color: red }' }))"
)


@pytest.mark.parametrize(
    ("act", "refused"),
    [
        (INLINE_SCRIPT, "script-src"),
        (INLINE_HANDLER, "script-src"),
        (INLINE_STYLE, "style-src"),
        ("fetch('https://elsewhere.invalid/').catch(() => {})", "connect-src"),
        ("new Image().src = 'https://elsewhere.invalid/mark.png'", "img-src"),
    ],
)
def test_what_has_no_business_here_is_refused(act: str, refused: str, browser: Browser, site: str) -> None:
    page = browser.new_page(service_workers="block")
    page.add_init_script(WATCH)
    page.goto(f"{site}notices/")
    page.evaluate(f"() => {{ {act} }}")
    wait_for(page, lambda: [entry for entry in violations(page) if entry.startswith(refused)], refused)
    assert page.evaluate("globalThis.ran") is None
    page.close()
