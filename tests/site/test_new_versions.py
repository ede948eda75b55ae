"""New versions: they come whole or not at all, and a page never gets another version's Python."""

import os
from pathlib import Path

from playwright.sync_api import Page, expect

from site_overrides.pages import offline
from tests.site.conftest import START_UP
from tests.site.form_page import wait_for, wait_until
from tests.site.offline_site import (
    Visit,
    change,
    change_calculations,
    drop,
    empty_cache,
    kept_names,
    next_version,
    server,
)
from tests.site.offline_site import context as context
from tests.site.offline_site import published as published
from tests.site.offline_site import visit as visit
from tests.site.test_snapshot import FORGET


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
        page, button = next_version(published, root, visit)
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
        page.evaluate(FORGET)
        change_calculations(published)
        check_refuses_other_calculations(visit(f"{root}forms/wire/"))


def test_nor_with_an_interpreter_of_a_new_version(published: Path, visit: Visit) -> None:
    with server(published) as root:
        visit(f"{root}notices/", kept="pages").close()
        with (published / "runtime" / "pyodide.asm.mjs").open(encoding="utf-8") as file:
            begin = file.read(20)
        change(published, "runtime/pyodide.asm.mjs", begin, f"/* another */{begin}")
        check_refuses_other_calculations(visit(f"{root}forms/wire/"))


def test_a_version_that_comes_while_another_is_taken_is_kept_whole(
    published: Path, tmp_path: Path, visit: Visit
) -> None:
    with server(published) as root:
        page, button = next_version(published, root, visit)
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
