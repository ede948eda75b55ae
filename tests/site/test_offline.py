"""With the server gone for real: every page, search and forms; and new versions, which come whole or not at all."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from calc.bridge import run
from site_overrides.pages import offline
from tests.site.conftest import PROJECT, START_UP
from tests.site.form_page import wait_for, wait_until

METERED = "Object.defineProperty(Navigator.prototype, 'connection', { get: () => ({ type: 'cellular' }) })"
DROP = """
async (path) => {
  const address = new URL(path, location.href);
  for (const name of await caches.keys()) await (await caches.open(name)).delete(address, { ignoreSearch: true });
}
"""
FORGET_SNAPSHOT = """async () => {
  const root = await navigator.storage.getDirectory();
  await root.removeEntry("python-snapshot", { recursive: true }).catch(() => {}); // there may be none
}"""
KEPT_NAMES = """
async () => {
  const names = [];
  const ours = (await caches.keys()).filter((name) => name.startsWith("borrowed-power"));
  for (const name of ours) names.push(...(await (await caches.open(name)).keys()).map(({ url }) => url));
  return names.map((url) => new URL(url).pathname).sort();
}
"""

Visit = Callable[..., Page]


@contextmanager
def server(folder: Path, port: str = "0") -> Iterator[str]:
    """Serves a folder from a process of its own, so that at the end it is gone, open connections and all."""
    command = [sys.executable, "-m", "site_overrides.setup.serve", str(folder), port]
    with subprocess.Popen(command, cwd=PROJECT, stdout=subprocess.PIPE, encoding="utf-8") as process:
        assert process.stdout is not None
        found = re.search(r"http://\S+", process.stdout.readline())
        assert found is not None
        try:
            yield found[0]
        finally:
            process.kill()


@pytest.fixture
def published(site_folder: Path, tmp_path: Path) -> Path:
    """A copy of the site that a test may change, within a folder that is served: so the site has a path of its own."""
    return shutil.copytree(site_folder, tmp_path / "served" / "club" / "power", copy_function=os.link)


def change(site: Path, name: str, old: str, new: str) -> None:
    """Changes a file of the copy alone, and lists all files anew, as a build does."""
    text = (site / name).read_text(encoding="utf-8")
    assert old in text
    (site / name).unlink()
    (site / name).write_text(text.replace(old, new), encoding="utf-8")
    (site / offline.WORKER_NAME).unlink()
    offline.finish(site)


def change_calculations(site: Path) -> None:
    """Gives the copy other calculations: a wheel of another name, and a lock that asks for it."""
    (wheel,) = (site / "runtime").glob("calc-*.whl")
    other = wheel.with_name(re.sub(r"_[0-9a-f]+-", "_0-", wheel.name))
    wheel.rename(other)
    change(site, "runtime/pyodide-lock.json", wheel.name, other.name)


def empty_cache(page: Page) -> None:
    """Empties the browser's own cache, of files as they were fetched."""
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")


def drop(page: Page, path: str) -> None:
    """Takes a file out of what is kept, as a browser may that is short of room, and out of the browser's own cache."""
    page.evaluate(DROP, path)
    empty_cache(page)


def in_keeper(page: Page, script: str) -> None:
    """Changes something about the service worker that answers for this page."""
    (keeper,) = page.context.service_workers
    keeper.evaluate(f"() => {{ {script} }}")


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A reader's browser, service workers and all."""
    made = browser.new_context(viewport={"width": 1280, "height": 800})
    yield made
    made.close()


@pytest.fixture
def visit(context: BrowserContext) -> Visit:
    """Opens an address in a tab of its own, and waits until so much is kept: "pages" or "whole"."""

    def open_it(address: str, kept: str = "") -> Page:
        page = context.new_page()
        page.goto(address)
        if kept:
            expect(page.locator(".bp-offline")).to_have_attribute("data-kept", kept, timeout=START_UP)
        return page

    return open_it


def kept_names(page: Page) -> list[str]:
    """The paths that the browser keeps."""
    names: list[str] = page.evaluate(KEPT_NAMES)
    return names


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


def test_a_new_version_is_offered_and_taken_as_a_whole(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        change(published, "notices/index.html", "<h1", "<h1 data-edition='2'")
        change(published, "assets/site.css", "--bp-day, #fcf9f3", "--bp-day, #fcf9f4")
        look = """() => [document.querySelector('h1').dataset.edition,
            getComputedStyle(document.body).getPropertyValue('--bp-paper').trim()]"""
        page = visit(f"{root}notices/")
        button = page.get_by_role("button", name="New version: use it")
        expect(button).to_be_visible()
        assert page.evaluate(look) == [None, "#fcf9f3"]
        page.reload()
        assert page.evaluate(look) == [None, "#fcf9f3"]
        other = visit(f"{root}forms/wire/?wire=AWG+20")
        button.click()
        expect(page.locator("h1")).to_have_attribute("data-edition", "2", timeout=START_UP)
        assert page.evaluate(look) == ["2", "#fcf9f4"]
        expect(button).to_be_hidden()
        paper = "document.body && getComputedStyle(document.body).getPropertyValue('--bp-paper').trim()"
        wait_until(other, f"({paper}) === '#fcf9f4'")
        expect(other.locator("[name=wire]")).to_have_value("AWG 20")
        names = kept_names(page)
        assert len(names) == len(set(names)), "files of the old version are still kept"


def test_a_new_version_comes_though_another_tab_keeps_asking_the_old_one(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        change(published, "notices/index.html", "<h1", "<h1 data-edition='2'")
        page = visit(f"{root}notices/")
        button = page.get_by_role("button", name="New version: use it")
        expect(button).to_be_visible()
        other = visit(f"{root}sources/")
        # as a page that starts does: a question now and then, for some time
        other.evaluate("""() => {
            const timer = setInterval(() => fetch(location.href), 15);
            setTimeout(() => clearInterval(timer), 2000);
        }""")
        button.click()
        # woken again while it ends, the old version would stay for half a minute
        expect(page.locator("h1")).to_have_attribute("data-edition", "2", timeout=20_000)


def test_a_new_version_does_not_wait_for_what_the_old_one_still_fetches(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        change(published, "notices/index.html", "<h1", "<h1 data-edition='2'")
        stuck = published / "runtime" / "pyodide.asm.wasm"
        stuck.unlink()
        os.mkfifo(stuck)  # nobody writes into it: the server never answers
        page = visit(f"{root}notices/")
        button = page.get_by_role("button", name="New version: use it")
        expect(button).to_be_visible()
        other = visit(f"{root}sources/")
        other.get_by_role("button", name="Keep for offline use").click()
        expect(other.locator(".bp-offline")).to_have_attribute("data-kept", "progress")
        button.click()
        # left to itself, Chromium waits for half a minute
        expect(page.locator("h1")).to_have_attribute("data-edition", "2", timeout=20_000)


def test_a_half_finished_update_leaves_the_old_version_whole(published: Path, visit: Visit) -> None:
    with server(published) as root:
        port = root.rstrip("/").rpartition(":")[2]
        visit(f"{root}forms/wire/", kept="whole").close()
        change(published, "notices/index.html", "<h1", "<h1 data-edition='2'")
        change(published, "sources/index.html", "<h1", "<h1 data-edition='2'")
        whole = (published / "sources" / "index.html").read_bytes()
        (published / "sources" / "index.html").write_bytes(whole[: len(whole) // 2])
        page = visit(f"{root}notices/")
        page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update()).catch(() => {})")
        settled = "(one) => !one.installing && !one.waiting && Boolean(one.active)"
        wait_until(page, f"navigator.serviceWorker.getRegistration().then({settled})")
        assert page.locator(".bp-new").count() == 0
        page.close()
    for address in ("notices/", "sources/"):
        page = visit(root + address)
        assert page.locator("h1").get_attribute("data-edition") is None
        page.close()
    page = visit(f"{root}forms/wire/")
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
    (published / "sources" / "index.html").write_bytes(whole)
    with server(published, port) as again:
        assert again == root
        page = visit(f"{root}sources/")
        page.get_by_role("button", name="New version: use it").click()
        expect(page.locator("h1")).to_have_attribute("data-edition", "2")


def check_refuses_other_calculations(page: Page) -> None:
    """An old page has a new version's Python to fetch: it says so, and works when the new version is taken."""
    expect(page.locator("html")).to_have_attribute("data-calculations", "failed", timeout=START_UP)
    expect(page.locator(".bp-state p")).to_contain_text(
        "this page and the Python on the server are of different versions"
    )
    page.get_by_role("button", name="New version: use it").click()
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)


def test_an_old_page_does_not_calculate_with_the_python_of_a_new_version(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        change_calculations(published)
        check_refuses_other_calculations(visit(f"{root}forms/wire/"))


def test_nor_does_one_whose_own_python_was_kept_in_part(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}forms/wire/", kept="whole").close()
        page = visit(f"{root}notices/", kept="whole")
        (wheel,) = [name for name in kept_names(page) if "/calc-" in name]
        drop(page, wheel)
        page.evaluate(FORGET_SNAPSHOT)
        change_calculations(published)
        check_refuses_other_calculations(visit(f"{root}forms/wire/"))


def test_nor_with_an_interpreter_of_a_new_version(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        with (published / "runtime" / "pyodide.asm.mjs").open(encoding="utf-8") as file:
            begin = file.read(20)
        change(published, "runtime/pyodide.asm.mjs", begin, f"/* another */{begin}")
        check_refuses_other_calculations(visit(f"{root}forms/wire/"))


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


def test_a_version_that_comes_while_another_is_taken_is_kept_whole(
    published: Path, tmp_path: Path, visit: Visit
) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        change(published, "notices/index.html", "<h1", "<h1 data-edition='2'")
        page = visit(f"{root}notices/")
        button = page.get_by_role("button", name="New version: use it")
        expect(button).to_be_visible()
        change(published, "sources/index.html", "<h1", "<h1 data-edition='3'")
        change(published, "notices/index.html", "data-edition='2'", "data-edition='3'")
        change(published, "assets/site.css", "--bp-day, #fcf9f3", "--bp-day, #fcf9f4")
        slow = published / "assets" / "site.css"
        slow.rename(tmp_path / "slow")
        os.mkfifo(tmp_path / "stuck")
        os.link(tmp_path / "stuck", slow)  # nobody writes into it yet: the server does not answer
        empty_cache(page)
        page.evaluate("{ navigator.serviceWorker.getRegistration().then((one) => one.update()); }")
        wait_for(page, lambda: kept_names(page).count("/sources/") == 2, "the third edition's other page")
        button.click()
        expect(page.locator("h1")).to_have_attribute("data-edition", "2", timeout=START_UP)
        (tmp_path / "slow").replace(slow)
        os.close(os.open(tmp_path / "stuck", os.O_WRONLY | os.O_NONBLOCK))  # an empty answer: it is asked for anew
        button.click()
        expect(page.locator("h1")).to_have_attribute("data-edition", "3", timeout=START_UP)
        pages = [f"/{name}" for name in offline.kept_files(published) if not name.startswith(offline.RUNTIME)]
        assert kept_names(page) == sorted(pages)


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
