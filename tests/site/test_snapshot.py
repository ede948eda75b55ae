"""The snapshot of a started Python: the answers of a plain start, and a plain start whenever it cannot be used."""

import gzip
import hashlib
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Route

from calc.forms import FORMS
from tests.site.conftest import MODULES, PROJECT, START_UP
from tests.site.form_page import wait_for
from tests.strategies import generated_inputs

GENERATED = 10

# Starts a worker of the site as its pages do; gives how it started, and the JSON text of each answer.
ASK = """async (questions) => {
    const { siteUrls } = await import("/modules/urls.js");
    const worker = new Worker("/assets/worker.js", { type: "module" });
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
            worker.postMessage({ kind: "start", urls: siteUrls() });
        });
    } finally {
        worker.terminate();
    }
}"""

KEEP = """async () => {
    const { siteUrls } = await import("/modules/urls.js");
    const { keepSnapshot } = await import("/modules/snapshot_store.js");
    await keepSnapshot(siteUrls());
}"""

FORGET = """async () => {
    const root = await navigator.storage.getDirectory();
    await root.removeEntry("python-snapshot", { recursive: true }).catch(() => {}); // there may be none
}"""

LOOK = """async () => {
    const { siteUrls } = await import("/modules/urls.js");
    const { lookForDamage } = await import("/modules/snapshot_store.js");
    await lookForDamage(siteUrls());
}"""

KEPT = """async () => {
    const names = [];
    try {
        const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("python-snapshot");
        for await (const file of folder.values()) {
            const written = !file.name.endsWith(".crswap");
            if (written) names.push([file.name, (await file.getFile()).size]);
        }
    } catch (error) {
        if (error.name !== "NotFoundError") throw error;
    }
    return names;
}"""

# Puts something else in the place of the kept snapshot.
REPLACE = """async (change) => {
    const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("python-snapshot");
    for await (const handle of folder.values()) {
        const bytes = new Uint8Array(await (await handle.getFile()).arrayBuffer());
        const { length } = bytes;
        if (change === "one bit of memory") bytes[length >> 1] ^= 1;
        if (change === "one bit of code") bytes[length - 1000] ^= 1;
        if (change === "another head") bytes.fill(0x20, 4, 1000);
        const ends = { "cut in its head": 100, "cut short": length >> 1, "cut in its code": length - 1000, empty: 0 };
        const writable = await handle.createWritable();
        await writable.write(bytes.subarray(0, ends[change] ?? length));
        await writable.close();
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


def kept_name() -> str:
    found = manifest()
    return f"{found['snapshot']['sha256']}.{found['files']['pyodide.asm.wasm']['sha256']}"


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
    wait_for(page, lambda: sum(size for _, size in page.evaluate(KEPT)), "a snapshot", START_UP / 1000)
    assert [name for name, _ in page.evaluate(KEPT)] == [kept_name()]
    page.goto(site)
    assert page.evaluate(ASK, COIL)[0] == "snapshot"


def test_starting_from_the_snapshot_fetches_neither_wheels_nor_library_nor_code(page: Page) -> None:
    page.evaluate(KEEP)
    fetched: list[str] = []
    page.context.on("request", lambda request: fetched.append(request.url))
    assert page.evaluate(ASK, COIL)[0] == "snapshot"
    assert any(url.endswith("pyodide.asm.mjs") for url in fetched)
    assert not [url for url in fetched if url.endswith((".wasm", ".whl", ".zip", ".snapshot"))]


@pytest.mark.parametrize("change", ["another head", "cut in its head", "cut short", "cut in its code", "empty"])
def test_a_snapshot_that_cannot_be_read_gives_way_to_a_plain_start_and_is_kept_anew(page: Page, change: str) -> None:
    page.evaluate(KEEP)
    whole = page.evaluate(KEPT)
    page.evaluate(REPLACE, change)
    assert page.evaluate(ASK, COIL)[0] == "plain"
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == whole
    assert page.evaluate(ASK, COIL)[0] == "snapshot"


@pytest.mark.parametrize("change", ["nothing", "one bit of memory", "one bit of code"])
def test_damage_is_found_when_the_page_is_idle_and_what_is_damaged_thrown_away(page: Page, change: str) -> None:
    page.evaluate(KEEP)
    page.evaluate(REPLACE, change)
    page.evaluate(LOOK)
    assert [name for name, _ in page.evaluate(KEPT)] == ([kept_name()] if change == "nothing" else [])


def test_a_page_that_started_from_a_damaged_snapshot_throws_it_away_by_itself(page: Page, site: str) -> None:
    page.evaluate(KEEP)
    page.evaluate(REPLACE, "one bit of code")  # in code that no form calls
    page.goto(site + "forms/coil/")
    wait_for(page, lambda: page.evaluate(KEPT) == [], "an empty place", START_UP / 1000)


def test_several_pages_may_start_from_it_at_once(page: Page, site: str) -> None:
    page.evaluate(KEEP)
    answers = page.evaluate(f"(questions) => Promise.all([1, 2, 3].map(() => ({ASK})(questions)))", COIL)
    assert [answer[0] for answer in answers] == ["snapshot"] * 3
    assert len({answer[1] for answer in answers}) == 1


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


@pytest.mark.parametrize("answer", ["none", "busy", "a page"])
def test_without_a_manifest_python_starts_plainly_and_what_is_kept_stays(page: Page, answer: str) -> None:
    def other(route: Route) -> None:
        if answer == "none":
            route.abort()
        else:
            route.fulfill(status=503 if answer == "busy" else 200, body="<!doctype html><title>Please sign in</title>")

    page.evaluate(KEEP)
    whole = page.evaluate(KEPT)
    page.context.route("**/manifest.json", other)
    assert page.evaluate(ASK, COIL)[0] == "plain"
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == whole
    page.context.unroute("**/manifest.json")
    assert page.evaluate(ASK, COIL)[0] == "snapshot"


@pytest.mark.parametrize("name", ["pyodide.mjs", "pyodide.asm.mjs", "pyodide-lock.json"])
def test_a_start_that_could_not_fetch_its_files_leaves_what_is_kept(page: Page, name: str) -> None:
    page.evaluate(KEEP)
    whole = page.evaluate(KEPT)
    page.context.route(f"**/{name}", lambda route: route.abort())
    with pytest.raises(Error):
        page.evaluate(ASK, COIL)
    assert page.evaluate(KEPT) == whole


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
        'navigator.storage.getDirectory = () => Promise.reject(new DOMException("blocked", "SecurityError"))',
        'Object.defineProperty(navigator, "storage", { value: undefined })',
        "for (const name of ['createSyncAccessHandle', 'createWritable']) delete FileSystemFileHandle.prototype[name]",
    ],
)
def test_with_storage_blocked_nothing_is_kept_and_nothing_breaks(page: Page, blocked: str) -> None:
    def blocking(route: Any) -> None:
        address = urlsplit(route.request.url).path
        folder = "site_overrides/assets" if address.startswith(MODULES) else "site/assets"
        source = (PROJECT / folder / Path(address).name).read_text(encoding="utf-8")
        route.fulfill(body=f"{blocked};\n{source}", content_type="text/javascript")

    page.evaluate(KEEP)
    page.context.route(re.compile(r"/assets/worker\.js|/modules/snapshot_store\.js"), blocking)
    page.reload()
    assert page.evaluate(ASK, COIL)[0] == "plain"
    page.evaluate(KEEP)


@pytest.mark.parametrize(
    "script",
    [
        "delete FileSystemFileHandle.prototype.createWritable",
        'navigator.storage.getDirectory = () => Promise.reject(new DOMException("blocked", "SecurityError"))',
        "navigator.storage.estimate = async () => ({ quota: 30e6, usage: 1e6 })",
    ],
)
def test_what_could_never_be_kept_is_not_fetched(page: Page, script: str) -> None:
    fetched: list[str] = []
    page.context.on("request", lambda request: fetched.append(request.url))
    page.evaluate(f"() => {{ {script}; }}")
    page.evaluate(KEEP)
    assert not [url for url in fetched if url.endswith((".snapshot", ".wasm"))]


def test_with_storage_full_nothing_is_kept_and_nothing_breaks(page: Page) -> None:
    full = '() => Promise.reject(new DOMException("full", "QuotaExceededError"))'
    page.evaluate(f"() => {{ FileSystemWritableFileStream.prototype.write = {full}; }}")
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == []
    assert page.evaluate(ASK, COIL)[0] == "plain"


@pytest.mark.parametrize(
    "connection", [{"saveData": True}, {"type": "cellular"}, {"effectiveType": "2g"}, {"effectiveType": "slow-2g"}]
)
def test_nothing_is_fetched_unasked_where_it_costs(page: Page, connection: dict[str, Any]) -> None:
    page.evaluate("(connection) => Object.defineProperty(navigator, 'connection', { value: connection })", connection)
    page.evaluate(KEEP)
    assert page.evaluate(KEPT) == []
