"""With the server gone for real: every page, search and forms; and storage that is metered, broken or full."""

import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, expect

from calc.bridge import run
from site_overrides.pages import offline
from tests.site.conftest import START_UP
from tests.site.form_page import wait_for, wait_until
from tests.site.offline_site import Visit, drop, in_keeper, kept_names, server
from tests.site.offline_site import context as context
from tests.site.offline_site import published as published
from tests.site.offline_site import visit as visit

METERED = "Object.defineProperty(Navigator.prototype, 'connection', { get: () => ({ type: 'cellular' }) })"


def test_with_the_server_gone_every_page_search_and_form_works(
    published: Path, context: BrowserContext, visit: Visit
) -> None:
    link = "forms/coil/?turns=83&former=70+mm"
    with server(published.parent.parent) as origin:
        root = f"{origin}club/power/"
        first = visit(root + link, kept="whole")
        native = run("coil", {"turns": "83", "former": "70 mm"})
        expect(first.locator(".bp-sentence")).to_have_text(native["sentence"])
        first.close()
    errors: list[str] = []
    context.on("console", lambda message: message.type == "error" and errors.append(message.text))
    context.on("requestfailed", lambda request: errors.append(request.url))
    pages = {address: path for address, path in offline.kept_files(published).items() if path.suffix == ".html"}
    assert len(pages) > 15
    for address, path in pages.items():
        page = visit(root + address)
        heading = re.search(r"<h1[^>]*>([^<]+)", path.read_text(encoding="utf-8"))
        assert heading is not None
        assert page.locator("h1").first.inner_text() == heading[1].replace("&amp;", "&")
        assert page.evaluate("getComputedStyle(document.body).getPropertyValue('--bp-paper')")
        page.close()
    page = visit(f"{root}notices")  # without its slash, as people type it
    assert page.url == f"{root}notices/"
    page.get_by_role("textbox", name="Search").press_sequentially("band plan")
    expect(page.locator(".md-search-result__list")).to_contain_text("Band plan")
    again = visit(root + link)
    expect(again.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
    expect(again.locator(".bp-sentence")).to_have_text(native["sentence"])
    again.locator("[name=turns]").fill("91")
    expect(again.locator(".bp-sentence")).to_have_text(run("coil", {"turns": "91", "former": "70 mm"})["sentence"])
    assert errors == []


def test_pages_are_kept_by_themselves_and_the_forms_when_asked(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}notices/", kept="pages")
        assert not [name for name in kept_names(page) if "/runtime/" in name]
        control = page.locator(".bp-offline")
        assert re.search(r"\d+ MB", control.inner_text())
        control.get_by_role("button", name="Keep for offline use").click()
        expect(control).to_have_attribute("data-kept", "whole", timeout=START_UP)
        expect(control.get_by_role("button")).to_be_hidden()
        assert len([name for name in kept_names(page) if "/runtime/" in name]) == len(
            [name for name in offline.kept_files(published) if name.startswith("runtime/")]
        )
    page = visit(f"{root}forms/wire/")
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)


def test_a_form_that_is_used_joins_what_is_kept(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}forms/wire/", kept="whole")
        expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)


def test_on_a_metered_line_nothing_is_kept_unasked(published: Path, context: BrowserContext, visit: Visit) -> None:
    context.add_init_script(METERED)
    with server(published) as root:
        page = visit(f"{root}notices/")
        button = page.get_by_role("button", name="Keep for offline use")
        expect(button).to_be_visible()
        page.wait_for_timeout(1000)
        assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0
        assert kept_names(page) == []
        button.click()
        expect(page.locator(".bp-offline")).to_have_attribute("data-kept", "whole", timeout=START_UP)


def test_with_the_browsers_storage_broken_pages_come_from_the_server(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}notices/", kept="pages")
        in_keeper(
            page, "CacheStorage.prototype.open = async () => { throw new DOMException('broken', 'UnknownError'); }"
        )
        page.goto(f"{root}forms/wire/")
        expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)


def test_with_the_disk_full_a_page_that_was_dropped_comes_and_the_others_stay(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}notices/", kept="pages")
        drop(page, "/sources/")
        kept = kept_names(page)
        in_keeper(page, "Cache.prototype.put = async () => { throw new DOMException('full', 'QuotaExceededError'); }")
        page.goto(f"{root}sources/")
        expect(page.locator("h1")).to_be_visible()
        assert kept_names(page) == kept


def test_a_server_that_is_busy_is_not_one_with_another_version(published: Path, visit: Visit) -> None:
    busy = """{
        const plain = fetch;
        self.fetch = async (asked, how) => {
            const address = asked.url ?? asked;
            return address.endsWith("/sources/") ? new Response("busy", { status: 503 }) : plain(asked, how);
        };
    }"""
    with server(published) as root:
        page = visit(f"{root}notices/", kept="pages")
        drop(page, "/sources/")
        kept = kept_names(page)
        in_keeper(page, busy)
        answer = page.goto(f"{root}sources/")
        assert answer is not None
        assert answer.status == 503
        assert kept_names(page) == kept
        drop(page, "/forms/wire/")
        wire = published / "forms" / "wire" / "index.html"
        wire.unlink()
        shutil.copyfile(published / "notices" / "index.html", wire)
        page.goto(f"{root}forms/wire/")
        expect(page.locator("h1")).to_have_text("Notices")
        wait_for(page, lambda: kept_names(page) == [], "an empty place")


REFUSED = """
for (const name of ["register", "getRegistration"]) {
  ServiceWorkerContainer.prototype[name] = async () => {
    globalThis.refused = true;
    throw new DOMException("blocked", "SecurityError");
  };
}
"""
BROKEN_OFF = """
const plain = ServiceWorkerContainer.prototype.register;
ServiceWorkerContainer.prototype.register = async function (...all) {
  const registration = await plain.apply(this, all);
  const first = registration.installing;
  first.addEventListener("statechange", () => { globalThis.refused = first.state === "redundant"; });
  return registration;
};
"""


@pytest.mark.parametrize("script", [REFUSED, BROKEN_OFF], ids=["refused", "broken off"])
def test_what_cannot_be_kept_is_no_news_until_it_is_asked_for(
    script: str, published: Path, context: BrowserContext, visit: Visit
) -> None:
    context.add_init_script(script)
    (published / "sources" / "index.html").unlink()  # so not all can be fetched
    with server(published) as root:
        page = visit(f"{root}notices/")
        control = page.locator(".bp-offline")
        wait_until(page, "globalThis.refused")
        assert "can be kept on this device" in control.inner_text()
        control.get_by_role("button").click()
        expect(control).to_contain_text("Not all could be fetched and kept")


def test_the_focus_stays_in_the_footer_when_its_button_goes(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}notices/", kept="pages")
        control = page.locator(".bp-offline")
        control.get_by_role("button", name="Keep for offline use").press("Enter")
        expect(control).to_have_attribute("data-kept", "whole", timeout=START_UP)
        expect(control.get_by_role("status")).to_be_focused()


def test_a_frame_keeps_nothing(published: Path, visit: Visit) -> None:
    with server(published) as root:
        page = visit(f"{root}forms/wire/?bare=1")
        page.wait_for_timeout(1000)
        assert kept_names(page) == []


def test_it_installs(site: str, context: BrowserContext, visit: Visit) -> None:
    page = visit(site)
    client = context.new_cdp_session(page)
    manifest = client.send("Page.getAppManifest")
    assert manifest["errors"] == []
    assert manifest["url"] == f"{site}assets/site.webmanifest"
    assert [error["errorId"] for error in client.send("Page.getInstallabilityErrors")["installabilityErrors"]] in (
        [],
        ["in-incognito"],
    )
