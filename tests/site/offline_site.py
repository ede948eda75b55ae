"""A reader's browser that keeps the site, a server that can go, and a copy of the site that can change."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from site_overrides.pages import offline
from tests.site.conftest import PROJECT, START_UP

DROP = """
async (path) => {
  const address = new URL(path, location.href);
  for (const name of await caches.keys()) await (await caches.open(name)).delete(address, { ignoreSearch: true });
}
"""
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


def next_version(site: Path, root: str, visit: Visit) -> tuple[Page, Locator]:
    """A page of a version that is kept, when the next one has come; and the button that takes that one."""
    visit(f"{root}notices/", kept="pages").close()
    change(site, "notices/index.html", "<h1", "<h1 data-edition='2'")
    page = visit(f"{root}notices/")
    button = page.get_by_role("button", name="New version: use it")
    expect(button).to_be_visible()
    return page, button
