"""The snapshot of a started Python: the answers of a plain start, and a plain start whenever it cannot be used."""

import gzip
import hashlib
import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from calc.forms import FORMS
from tests.site.conftest import PROJECT, START_UP
from tests.strategies import generated_inputs

GENERATED = 10

# Starts a worker of the site as its pages do; gives how it started, and the JSON text of each answer.
ASK = """async (questions) => {
    const { siteUrls } = await import(new URL("assets/urls.js", document.baseURI).href);
    const urls = siteUrls();
    const worker = new Worker(urls.worker, { type: "module" });
    const answers = [];
    try {
        return await new Promise((resolve, reject) => {
            worker.onmessage = ({ data }) => {
                if (data.kind === "failed") reject(new Error(data.message));
                if (data.kind === "ready") answers.push(data.start);
                if (data.kind === "result") answers.push(data.json);
                if (data.kind === "progress" || data.kind === "answering") return;
                if (answers.length > questions.length) return resolve(answers);
                const [form, texts] = questions[answers.length - 1];
                worker.postMessage({ kind: "run", id: answers.length, form, texts });
            };
            worker.postMessage({ kind: "start", urls });
        });
    } finally {
        worker.terminate();
    }
}"""

KEEP = """async () => {
    const { keepSnapshot } = await import(new URL("assets/snapshot.js", document.baseURI).href);
    const { siteUrls } = await import(new URL("assets/urls.js", document.baseURI).href);
    await keepSnapshot(siteUrls());
}"""

KEPT = """async () => {
    const cache = await caches.open("python-snapshot");
    return (await cache.keys()).map((request) => request.url);
}"""

# Puts something else in the place of each kept snapshot; its length is told as before, or not at all.
REPLACE = """async ([change, told]) => {
    const cache = await caches.open("python-snapshot");
    for (const request of await cache.keys()) {
        const bytes = new Uint8Array(await (await cache.match(request)).arrayBuffer());
        const headers = told ? { "content-length": String(bytes.length) } : {};
        if (change === "one bit") bytes[bytes.length >> 1] ^= 1;
        const put = change === "cut short" ? bytes.slice(0, bytes.length >> 1) : bytes;
        await cache.put(request, new Response(put, { headers }));
    }
}"""

COIL = [["coil", {}]]


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A visitor, with storage of its own."""
    made = browser.new_context(service_workers="block")
    made.set_default_timeout(START_UP)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext, site: str) -> Page:
    """A page of the site that starts no Python by itself, and is the base of the addresses above."""
    page = context.new_page()
    page.goto(site)
    return page


def manifest() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((PROJECT / "site/runtime/manifest.json").read_text(encoding="utf-8"))
    return found


def test_the_snapshot_is_the_one_that_the_manifest_names(site: str) -> None:
    named = manifest()["snapshot"]
    content = (PROJECT / "site/runtime" / named["file"]).read_bytes()
    assert len(content) == named["bytes"]
    assert hashlib.sha256(gzip.decompress(content)).hexdigest() == named["sha256"]


def test_both_starts_give_the_same_answers_to_the_byte(page: Page) -> None:
    questions = [
        [form.id, texts] for form in FORMS.values() for texts in ({}, *generated_inputs(form, GENERATED, seed=31))
    ]
    plain = page.evaluate(ASK, questions)
    page.evaluate(KEEP)
    snapshot = page.evaluate(ASK, questions)
    assert (plain[0], snapshot[0]) == ("plain", "snapshot")
    assert len(plain) == len(questions) + 1
    assert sum(json.loads(answer)["ok"] for answer in plain[1:]) > len(questions) // 2
    for question, one, other in zip(questions, plain[1:], snapshot[1:], strict=True):
        assert one == other, question


def test_a_page_left_alone_keeps_the_snapshot_and_the_next_visit_starts_from_it(page: Page, site: str) -> None:
    page.goto(site + "forms/coil/")
    until = time.monotonic() + START_UP / 1000
    while not page.evaluate(KEPT) and time.monotonic() < until:
        page.wait_for_timeout(200)
    named = manifest()["snapshot"]
    assert page.evaluate(KEPT) == [f"{site}runtime/{named['file']}?sha256={named['sha256']}"]
    page.goto(site)
    assert page.evaluate(ASK, COIL)[0] == "snapshot"


def test_starting_from_the_snapshot_fetches_neither_wheels_nor_the_library(page: Page) -> None:
    page.evaluate(KEEP)
    fetched: list[str] = []
    page.context.on("request", lambda request: fetched.append(request.url))
    assert page.evaluate(ASK, COIL)[0] == "snapshot"
    assert any(url.endswith(".wasm") for url in fetched)
    assert not [url for url in fetched if url.endswith((".whl", ".zip", ".snapshot"))]


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize("change", ["nothing", "one bit", "cut short"])
def test_a_spoilt_snapshot_is_thrown_away_and_python_starts_plainly(page: Page, change: str, told: bool) -> None:
    page.evaluate(KEEP)
    page.evaluate(REPLACE, [change, told])
    sound = change == "nothing"
    assert page.evaluate(ASK, COIL)[0] == ("snapshot" if sound else "plain")
    assert bool(page.evaluate(KEPT)) == sound


def changed_manifest(change: Callable[[dict[str, Any]], None]) -> str:
    found = manifest()
    change(found)
    return json.dumps(found)


def test_a_snapshot_of_another_build_is_not_used_and_gives_way(page: Page, site: str) -> None:
    page.evaluate(KEEP)
    old = page.evaluate(KEPT)
    other = changed_manifest(lambda found: found["snapshot"].update(sha256="0" * 64))
    page.context.route("**/manifest.json", lambda route: route.fulfill(body=other))
    assert page.evaluate(ASK, COIL)[0] == "plain"
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == [], old  # what is fetched is not what this manifest names


def test_a_site_without_a_snapshot_starts_plainly(page: Page) -> None:
    page.evaluate(KEEP)
    none = changed_manifest(lambda found: found.pop("snapshot"))
    page.context.route("**/manifest.json", lambda route: route.fulfill(body=none))
    assert page.evaluate(ASK, COIL)[0] == "plain"


def test_without_a_manifest_python_starts_plainly(page: Page) -> None:
    page.evaluate(KEEP)
    page.context.route("**/manifest.json", lambda route: route.abort())
    assert page.evaluate(ASK, COIL)[0] == "plain"


def test_a_snapshot_that_is_not_to_be_had_harms_nothing(page: Page) -> None:
    page.context.route("**/*.snapshot", lambda route: route.fulfill(status=404, body="not here"))
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == []
    assert page.evaluate(ASK, COIL)[0] == "plain"


def test_a_half_fetched_snapshot_is_not_kept(page: Page) -> None:
    content = (PROJECT / "site/runtime" / manifest()["snapshot"]["file"]).read_bytes()
    page.context.route("**/*.snapshot", lambda route: route.fulfill(body=content[: len(content) // 2]))
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == []


@pytest.mark.parametrize(
    "blocked",
    [
        'caches.open = caches.has = () => Promise.reject(new DOMException("blocked", "SecurityError"))',
        'Object.defineProperty(self, "caches", { value: undefined })',
        "self.DecompressionStream = undefined",
    ],
)
def test_with_storage_blocked_nothing_is_kept_and_nothing_breaks(page: Page, blocked: str) -> None:
    # In the worker too: what it imports first blocks it there.
    def blocking(route: Any) -> None:
        source = (PROJECT / "site/assets" / Path(route.request.url).name).read_text(encoding="utf-8")
        route.fulfill(body=f"{blocked};\n{source}", content_type="text/javascript")

    page.evaluate(KEEP)
    page.context.route("**/assets/snapshot.js", blocking)
    page.reload()
    assert page.evaluate(ASK, COIL)[0] == "plain"
    page.evaluate(KEEP)


@pytest.mark.parametrize(
    "connection", [{"saveData": True}, {"type": "cellular"}, {"effectiveType": "2g"}, {"effectiveType": "slow-2g"}]
)
def test_nothing_is_fetched_unasked_where_it_costs(page: Page, connection: dict[str, Any]) -> None:
    page.evaluate("(connection) => Object.defineProperty(navigator, 'connection', { value: connection })", connection)
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == []
