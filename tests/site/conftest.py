"""The built site, served on this machine, and a real browser to read it with."""

import fcntl
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from http.server import ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, expect, sync_playwright

from site_overrides.folder.make import make_edition
from site_overrides.setup.serve import SiteHandler
from site_overrides.setup.system import browser as find_browser

expect.set_options(timeout=30_000)  # tests say what comes, not how fast on a machine that does much else

PROJECT = Path(__file__).resolve().parent.parent.parent
BROWSER_FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-extensions", "--disable-default-apps",
    # pages here live for seconds: to make their code fast would take longer than it saves
    "--js-flags=--liftoff-only",
]  # fmt: skip
MODULES = "/modules/"
"""Where tests find the scripts' modules one by one; the site has them in one script a page."""
START_UP = 60_000
"""Milliseconds that Python may take to start on a busy machine; what is tested is that it does, not how fast."""


@pytest.fixture(scope="session")
def site_folder() -> Path:
    """The built site; made anew first if a file that it is made of has changed."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("MAKE", "MFLAGS"))}
    (PROJECT / ".build").mkdir(exist_ok=True)
    with (PROJECT / ".build" / "tests.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # several test processes may come here at once
        made = subprocess.run(
            ["make", "--silent", "site"],
            cwd=PROJECT,
            env=environment,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
    if made.returncode:
        pytest.fail(f"The site could not be made:\n{made.stdout}\n{made.stderr}", pytrace=False)
    return PROJECT / "site"


@contextmanager
def served(folder: Path, headers: Mapping[str, str] | None = None) -> Iterator[str]:
    """Serves a folder on a free port, each answer with these headers too; gives the address."""

    class Handler(SiteHandler):
        def translate_path(self, path: str) -> str:
            if path.startswith(MODULES):
                return str(PROJECT / "site_overrides" / "assets" / path.removeprefix(MODULES))
            return super().translate_path(path)

        def end_headers(self) -> None:
            for name, value in (headers or {}).items():
                self.send_header(name, value)
            super().end_headers()

    class Server(ThreadingHTTPServer):
        daemon_threads = True

        def handle_error(self, request: Any, client_address: Any) -> None:
            """A page that is left breaks off what it was fetching; that is no fault."""
            if not isinstance(sys.exception(), ConnectionError):
                super().handle_error(request, client_address)

    with Server(("127.0.0.1", 0), partial(Handler, directory=str(folder))) as server:
        thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture(scope="session")
def site(site_folder: Path) -> Iterator[str]:
    """The address of the served site, with a slash at its end."""
    with served(site_folder) as address:
        yield address


@pytest.fixture(scope="session")
def folder_edition(site_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The file address of the folder edition, made and packed as `make dist` does it, and unpacked."""
    place = tmp_path_factory.mktemp("a folder")  # with a space, as people's folders have
    make_edition(site_folder, place / "edition.zip")
    with zipfile.ZipFile(place / "edition.zip") as packed:
        packed.extractall(place)
    return f"{(place / 'borrowed-power').as_uri()}/"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The machine's Chromium."""
    path = find_browser()
    if path is None:
        pytest.fail("No Chromium was found: install the package chromium, or name one in CHROMIUM.", pytrace=False)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which(path), args=BROWSER_FLAGS)
        yield chromium
        chromium.close()


STILL = """
const Plain = Worker;
globalThis.Worker = class extends EventTarget {
  constructor(...given) {
    super();
    if (given[1]?.type !== "module") return new Plain(...given); // the search has a worker too
  }
  postMessage() {}
  terminate() {}
};
"""
"""A script for pages that are only looked at: no Python starts in them."""


class Watch:
    """What went wrong in a browser's pages: messages of error, and requests that left the site."""

    def __init__(self, origin: str) -> None:
        self.origin = origin
        self.errors: list[str] = []
        self.strangers: list[str] = []

    def over(self, context: BrowserContext) -> None:
        """Watches all pages of a context."""
        context.on("console", lambda message: message.type == "error" and self.errors.append(message.text))
        context.on("weberror", lambda error: self.errors.append(str(error.error)))
        context.on("request", self._request)

    def _request(self, request: Request) -> None:
        if not request.url.startswith((self.origin, "data:", "blob:" + self.origin, "blob:null/")):
            self.strangers.append(request.url)


OpenPage = Callable[..., Page]


@contextmanager
def opening(browser: Browser, site: str) -> Iterator[OpenPage]:
    """Gives what opens pages of the site, each in a context of its own: `open_page("forms/coil/", live=True)`.

    `live` waits until the page can calculate. At the end no page may have asked anything of another origin, nor have
    put an error on the console, unless `strangers_expected` or `errors_expected` was given.
    """
    contexts: list[tuple[BrowserContext, Watch, bool]] = []

    def open_page(
        path: str,
        *,
        live: bool = False,
        errors_expected: bool = False,
        strangers_expected: bool = False,
        origin: str = site,
        script: str = "",
        **options: Any,
    ) -> Page:
        context = browser.new_context(service_workers="block", **options)
        # no page here is visited twice: what is kept for a later visit would only take time
        context.route("**/runtime/python.snapshot", lambda route: route.fulfill(status=204))
        watch = Watch("" if strangers_expected else origin)
        watch.over(context)
        contexts.append((context, watch, errors_expected))
        if script:
            context.add_init_script(script)
        page = context.new_page()
        page.goto(origin + path)
        if live:
            expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
        return page

    yield open_page
    for context, watch, errors_expected in contexts:
        context.close()
        assert watch.strangers == []
        if not errors_expected:
            assert watch.errors == []


@pytest.fixture
def open_page(browser: Browser, site: str) -> Iterator[OpenPage]:
    """Opens pages for one test."""
    with opening(browser, site) as open_it:
        yield open_it


@pytest.fixture(scope="module")
def open_shared_page(browser: Browser, site: str) -> Iterator[OpenPage]:
    """Opens pages that several tests of a module may use, one after the other."""
    with opening(browser, site) as open_it:
        yield open_it


@pytest.fixture
def open_file(browser: Browser, folder_edition: str) -> Iterator[OpenPage]:
    """Opens pages of the folder edition by their files, with the network off."""
    with opening(browser, folder_edition) as open_it:
        yield partial(open_it, offline=True)
