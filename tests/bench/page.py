"""What starting and answering take in a page of the built site, in a real browser."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

from tests.site.form_page import wait_until
from tests.strategies import Texts

Launch = Callable[..., BrowserContext]
"""Starts a browser with the profile in a folder, which is the first argument; others are those of a context."""

TIME_LIMIT = 120_000
"""Milliseconds after which a page that does not come to life is given up."""

# Notes when the page's worker is made, when it says that it is ready, and when each question goes and its answer comes.
WATCH_WORKER = """
const noted = (globalThis.benchNotes = { ready: 0, answers: [] });
const Plain = Worker;
globalThis.Worker = class extends Plain {
  constructor(...given) {
    super(...given);
    if (given[1]?.type !== "module") return; // the search has a worker too
    noted.made = performance.now();
    this.addEventListener("message", ({ data }) => {
      if (data.kind === "ready") noted.ready = performance.now();
      if (data.kind === "result") noted.answers.push([data.id, performance.now()]);
    });
  }
  postMessage(message, ...rest) {
    if (message.kind === "run") noted.asked = performance.now();
    super.postMessage(message, ...rest);
  }
};
"""

# Python alone, in a worker of its own as on the site's pages: no packages, nothing run.
BARE_START = """
(python) => new Promise((resolve, reject) => {
  const source = `import { loadPyodide } from "${python}"; loadPyodide().then(() => postMessage("up"));`;
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const started = performance.now();
  const worker = new Worker(address, { type: "module" });
  worker.onmessage = () => { resolve((performance.now() - started) / 1000); worker.terminate(); };
  worker.onerror = (event) => reject(new Error(event.message));
})
"""

EDIT = """
(texts) => new Promise((resolve) => {
  const section = document.querySelector("section.bp");
  section.addEventListener("bp:answer", ({ detail }) => resolve({
    shown: (performance.now() - started) / 1000,
    asked: (benchNotes.answers.at(-1)[1] - benchNotes.asked) / 1000,
    ok: detail.answer.ok,
  }), { once: true });
  for (const control of section.querySelectorAll("[name]")) {
    if (!(control.name in texts)) continue;
    if (control.type === "radio") control.checked = control.value === texts[control.name];
    else control.value = texts[control.name];
  }
  const started = performance.now();
  section.querySelector("form").dispatchEvent(new Event("input", { bubbles: true }));
})
"""


@dataclass(frozen=True)
class Start:
    """Times from opening a form's page [s].

    Attributes:
        live: until the first answer is there.
        worker: of that, from the making of the worker on.
        bare: that Python by itself takes to start, with the same files cached or not, by a visitor of its own.
        compiled: the same by the visitor of the page, whose browser has by then kept what it compiled.
    """

    live: float
    worker: float
    bare: float
    compiled: float


def starts(launch: Launch, address: str, form_id: str, rounds: int) -> dict[str, Start]:
    """Medians over `rounds` for a first visit, nothing cached, and for one after a visit that kept the snapshot.

    Visitors have profiles on disk, as readers have: a private window reads what it keeps through another process.
    """
    cold: list[tuple[float, float, float, float]] = []
    warm: list[tuple[float, float, float, float]] = []
    for _ in range(rounds):
        with ExitStack() as visitors:
            bare = visitors.enter_context(visitor(launch, bypass_csp=True))
            reader = visitors.enter_context(visitor(launch, bypass_csp=True))
            for found in (cold, warm):
                alone = bare_start(bare, address)
                live, worker = page_start(reader, address, form_id)
                found.append((live, worker, alone, bare_start(reader, address)))
                if found is cold:
                    bare_start(bare, address)
                    wait_for_snapshot(reader, address, form_id)
    return {
        name: Start(*(median(column) for column in zip(*found, strict=True)))
        for name, found in (("first visit", cold), ("second visit", warm))
    }


@contextmanager
def visitor(launch: Launch, **options: Any) -> Iterator[BrowserContext]:
    """A browser with a new profile. The worker of a bare start is one that the pages' policy forbids."""
    with TemporaryDirectory() as profile:
        context = launch(profile, service_workers="block", **options)
        context.set_default_timeout(TIME_LIMIT)
        yield context
        context.close()


def context_of(browser: Browser) -> BrowserContext:
    """A browser context with a cache of its own."""
    context = browser.new_context(service_workers="block")
    context.set_default_timeout(TIME_LIMIT)
    return context


def bare_start(context: BrowserContext, address: str) -> float:
    """Time that a bare `loadPyodide()` takes in a worker of a page without a form [s]."""
    page = context.new_page()
    page.goto(f"{address}notices/")
    taken: float = page.evaluate(BARE_START, f"{address}runtime/pyodide.mjs")
    page.close()
    return taken


def page_start(context: BrowserContext, address: str, form_id: str) -> tuple[float, float]:
    """Times from opening a form's page, and from making its worker, to the first answer [s]."""
    page = context.new_page()
    notes = live(page, address, form_id)
    page.close()
    first: float = notes["answers"][0][1]
    return first / 1000, (first - notes["made"]) / 1000


KEPT = """async () => {
  try {
    const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("python-snapshot");
    for await (const [name, file] of folder.entries()) {
      if (!name.endsWith(".crswap") && (await file.getFile()).size > 0) return true;
    }
  } catch {}
  return false;
}"""


def wait_for_snapshot(context: BrowserContext, address: str, form_id: str) -> None:
    """Leaves a form's page open until it has kept its snapshot of Python for the next visit."""
    page = context.new_page()
    live(page, address, form_id)
    for _ in range(TIME_LIMIT // 200):
        if page.evaluate(KEPT):
            break
        page.wait_for_timeout(200)
    page.close()


def live(page: Page, address: str, form_id: str) -> dict[str, Any]:
    """Opens a form's page, waits for its first answer, and gives what was noted meanwhile."""
    page.add_init_script(WATCH_WORKER)
    page.goto(f"{address}forms/{form_id}/")
    wait_until(page, "benchNotes.answers.length > 0", seconds=TIME_LIMIT / 1000)
    notes: dict[str, Any] = page.evaluate("benchNotes")
    return notes


@dataclass(frozen=True)
class Edit:
    """Times of one edit in a page [s].

    Attributes:
        shown: from the event of typing until the new answer stands on the page.
        asked: of that, from the question to the worker until its answer.
    """

    shown: float
    asked: float


@contextmanager
def editing(browser: Browser, address: str, form_id: str) -> Iterator[Callable[[Texts], Edit]]:
    """Opens a form's page and gives a function that makes an edit there."""
    context = context_of(browser)
    page = context.new_page()
    live(page, address, form_id)

    def edit(texts: Texts) -> Edit:
        found = page.evaluate(EDIT, texts)
        if not found["ok"]:
            raise ValueError(f"an edit of the form {form_id} is refused in the page")
        return Edit(found["shown"], found["asked"])

    yield edit
    context.close()


def fetched(browser: Browser, address: str, form_id: str) -> list[str]:
    """Paths of the files that a first visit to a form's page fetches, in order, until its first answer."""
    context = context_of(browser)
    page = context.new_page()
    paths: list[str] = []
    context.on("request", lambda request: paths.append(request.url.removeprefix(address).partition("?")[0]))
    live(page, address, form_id)
    context.close()
    return [path for path in dict.fromkeys(paths) if not path.startswith(("blob:", "data:"))]
