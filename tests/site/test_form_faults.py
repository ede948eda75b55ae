"""When Python cannot start or breaks off: one plain sentence, the default answer still there, and nothing lost."""

import re

import pytest
from playwright.sync_api import Page, Route, expect

from calc.bridge import run
from tests.site.conftest import MODULES, PROJECT, START_UP, OpenPage, served
from tests.site.form_page import settle, shown, wait_for

STRICT = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data:"
SHORT_LIMIT = "new MutationObserver((_, watch) => { if (!document.documentElement) return; watch.disconnect(); "
SHORT_LIMIT += "document.documentElement.dataset.startLimit = '5'; }).observe(document, { childList: true });"


def check_failed(page: Page, reason: str) -> None:
    """The page says why in one sentence, keeps the default answer, takes typing, and offers another try."""
    expect(page.locator("html")).to_have_attribute("data-calculations", "failed", timeout=40_000)
    sentence = page.locator(".bp-state p").inner_text()
    assert reason in sentence
    assert len(re.findall(r"[.!?](?:\s|$)", sentence)) == 1, f"not one sentence: {sentence}"
    native = run("coil", {})
    found = shown(page, "coil")
    assert found["sentence"] == native["sentence"]
    assert [row["text"] for row in found["rows"]] == [row["text"] for row in native["rows"]]
    turns = page.locator("[name=turns]")
    turns.fill("75")
    settle(page)
    assert turns.input_value() == "75"
    assert shown(page, "coil")["stale"]
    assert page.get_by_role("button", name="Try again").is_visible()


def test_no_webassembly(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", script="delete globalThis.WebAssembly")
    check_failed(page, "this browser has no WebAssembly")


def test_no_workers(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", script="delete globalThis.Worker")
    check_failed(page, "this browser has no workers")


@pytest.mark.parametrize(
    ("missing", "reason"),
    [
        ("**/runtime/pyodide.mjs", "the file pyodide.mjs, could not be fetched"),
        ("**/runtime/pyodide.asm.mjs", "Python did not start"),
        ("**/runtime/pyodide.asm.wasm", "the file pyodide.asm.wasm, could not be fetched"),
        ("**/runtime/python_stdlib.zip", "the file python_stdlib.zip, could not be fetched"),
        ("**/runtime/pyodide-lock.json", "the file pyodide-lock.json, could not be fetched"),
        ("**/runtime/numpy*.whl", "could not be fetched"),
        ("**/runtime/calc*.whl", "could not be fetched"),
        ("**/assets/worker.js", "the worker that runs Python could not be fetched"),
    ],
)
def test_a_file_is_missing(missing: str, reason: str, open_page: OpenPage) -> None:
    page = open_page("notices/", errors_expected=True)
    page.context.route(missing, lambda route: route.fulfill(status=404, body="not here"))
    page.goto(page.url.replace("notices/", "forms/coil/"))
    check_failed(page, reason)


def test_another_try_after_the_file_is_back_answers_what_was_typed(open_page: OpenPage) -> None:
    page = open_page("notices/", errors_expected=True)
    page.context.route("**/runtime/pyodide.asm.wasm", lambda route: route.fulfill(status=404, body="not here"))
    page.goto(page.url.replace("notices/", "forms/coil/"))
    check_failed(page, "the file pyodide.asm.wasm, could not be fetched")
    page.context.unroute("**/runtime/pyodide.asm.wasm")
    page.get_by_role("button", name="Try again").click()
    native = run("coil", {"turns": "75"})
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"], timeout=60_000)
    assert not shown(page, "coil")["stale"]


def test_a_policy_that_forbids_webassembly(site_folder, open_page: OpenPage) -> None:
    with served(site_folder, {"Content-Security-Policy": STRICT.replace(" 'wasm-unsafe-eval'", "")}) as origin:
        page = open_page("forms/coil/", origin=origin, errors_expected=True)
        check_failed(page, "a security policy")
        page.context.close()


def test_a_policy_that_forbids_workers(site_folder, open_page: OpenPage) -> None:
    with served(site_folder, {"Content-Security-Policy": STRICT + "; worker-src 'none'"}) as origin:
        page = open_page("forms/coil/", origin=origin, errors_expected=True)
        check_failed(page, "the worker that runs Python could not be fetched")
        page.context.close()


def test_the_site_works_under_a_strict_policy(site_folder, open_page: OpenPage) -> None:
    with served(site_folder, {"Content-Security-Policy": STRICT}) as origin:
        page = open_page("forms/receiver/", origin=origin, live=True)
        page.get_by_label("Earth resistance").fill("30")
        native = run("receiver", {"earth_resistance": "30"})
        expect(page.locator(".bp-rows td").nth(1)).to_have_text(native["rows"][1]["text"])
        page.context.close()


def test_python_takes_too_long(open_page: OpenPage) -> None:
    held: list[Route] = []
    page = open_page("notices/", script=SHORT_LIMIT, errors_expected=True)
    page.context.route("**/runtime/pyodide.asm.wasm", lambda route: held.append(route))
    page.goto(page.url.replace("notices/", "forms/coil/"))
    check_failed(page, "Python took too long to start")
    assert held
    for route in held:
        route.abort()


SLEPT = """
async () => {
  const { Engine } = await import("/modules/engine.js");
  globalThis.Worker = class extends EventTarget { postMessage() {} terminate() {} };
  const engine = new Engine({}, { fetching: 0.2, starting: 0.2, answering: 0.2 });
  const now = performance.now.bind(performance);
  let slept = 0;
  performance.now = () => now() + slept;
  engine.start();
  slept = 3_600_000;
  const states = [];
  for (let looks = 0; looks < 2; looks += 1) {
    await new Promise((resolve) => setTimeout(resolve, 300 + 200 * looks));
    states.push(engine.status.state);
  }
  return states;
}
"""


def test_a_page_that_slept_gives_its_worker_time_to_wake(open_page: OpenPage) -> None:
    """When it wakes its clock has run on, and the worker has slept as well."""
    assert open_page("notices/").evaluate(SLEPT) == ["starting", "failed"]


def test_the_page_says_what_is_on_its_way(open_page: OpenPage) -> None:
    held: list[Route] = []
    page = open_page("notices/")
    page.context.route("**/runtime/calc*.whl", lambda route: held.append(route))
    page.goto(page.url.replace("notices/", "forms/coil/"))
    expect(page.locator(".bp-state p")).to_have_text("Fetching numpy and the calculations…", timeout=40_000)
    assert page.get_by_role("progressbar", name="Python on its way").is_visible()
    wait_for(page, lambda: held, "the question for the calculations")
    held[0].continue_()
    expect(page.locator(".bp-state p")).to_have_text("Live: the answer follows what you type.", timeout=60_000)


def test_a_long_answer_can_be_stopped(open_page: OpenPage) -> None:
    """The worker is kept busy by a file it asks for; to the page that looks like a long calculation."""
    page = open_page("forms/coil/", live=True)
    page.evaluate(
        """() => {
          const post = Worker.prototype.postMessage;
          Worker.prototype.postMessage = function (message) { if (message.kind !== "run") post.call(this, message); };
          window.letThrough = () => { Worker.prototype.postMessage = post; };
        }"""
    )
    page.locator("[name=turns]").fill("90")
    expect(page.locator(".bp-state p")).to_have_text("Working…")
    stop = page.get_by_role("button", name="Stop")
    expect(stop).to_be_visible()
    page.evaluate("letThrough()")
    stop.click()
    expect(page.locator(".bp-answer .bp-notice")).to_have_text("Stopped. Change a value to calculate again.")
    expect(page.locator(".bp-state p")).to_be_focused()
    assert shown(page, "coil")["stale"]
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=60_000)
    page.locator("[name=turns]").fill("95")
    native = run("coil", {"turns": "95"})
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"], timeout=30_000)


def test_an_answer_that_takes_long_shows_how_far_it_is(open_page: OpenPage, site: str) -> None:
    def impatient(route: Route) -> None:
        """The worker, for which every answer takes long."""
        source = (PROJECT / "site_overrides/assets/worker.js").read_text(encoding="utf-8")
        assert "[LONG, BETWEEN] = [400, 50]" in source
        changed = source.replace("= [400, 50]", "= [0, 0]").replace('from "./', f'from "{MODULES}')
        route.fulfill(body=changed, content_type="text/javascript")

    page = open_page("notices/")
    page.context.route("**/assets/worker.js", impatient)
    page.goto(f"{site}forms/receiver/?question=changes")
    expect(page.locator(".bp-sentence")).to_have_text(
        run("receiver", {"question": "changes"})["sentence"], timeout=START_UP
    )
    page.evaluate(
        """() => {
          const bar = document.querySelector(".bp-state progress");
          window.seen = [];
          new MutationObserver(() => {
            const words = bar.parentElement.querySelector("p").textContent;
            if (!bar.hidden) window.seen.push([bar.value, bar.ariaLabel, words]);
          }).observe(bar, { attributes: true });
        }"""
    )
    change = {"question": "changes", "strays": "21p"}
    page.locator("[name=strays]").fill(change["strays"])
    expect(page.locator(".bp-sentence")).to_have_text(run("receiver", change)["sentence"])
    expect(page.locator(".bp-state p")).to_have_text("Live: the answer follows what you type.")
    expect(page.locator(".bp-state progress")).to_be_hidden()
    seen = page.evaluate("seen")
    assert {(name, words) for _, name, words in seen} == {("The answer on its way", "Working…")}
    shares = [share for share, _, _ in seen]
    assert len(shares) > 3
    assert shares == sorted(shares)
    assert 0.5 < shares[-1] < 1.0


def test_only_the_latest_of_many_quick_edits_is_shown(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True)
    answers = page.evaluate(
        """async () => {
          const turns = document.querySelector("[name=turns]");
          const seen = [];
          const section = document.querySelector("section.bp");
          section.addEventListener("bp:answer", (event) => seen.push(event.detail.texts.turns));
          for (let count = 20; count < 60; count += 1) {
            turns.value = String(count);
            turns.dispatchEvent(new Event("input", { bubbles: true }));
            if (count % 3 === 0) await new Promise((resolve) => setTimeout(resolve, 4));
          }
          while (seen.at(-1) !== "59") await new Promise((resolve) => setTimeout(resolve, 50));
          await new Promise((resolve) => setTimeout(resolve, 500)); // nothing comes after it
          return seen;
        }"""
    )
    assert answers[-1] == "59"
    assert answers == sorted(answers)
    assert shown(page, "coil")["sentence"] == run("coil", {"turns": "59"})["sentence"]
