"""What may go wrong around a page: worker, files, storage, clock, a slow or a small machine. Nothing typed is lost."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import START_UP, OpenPage
from tests.site.form_page import settle, shown, wait_for, wait_until

AGAIN = "Try again"


def check_answered(page: Page, turns: str) -> None:
    """The coil's page holds this text and its answer."""
    expect(page.locator(".bp-sentence")).to_have_text(run("coil", {"turns": turns})["sentence"], timeout=START_UP)
    assert page.locator("[name=turns]").input_value() == turns
    assert not shown(page, "coil")["stale"]


def check_failed(page: Page, turns: str, reason: str = "") -> None:
    """The page says why, keeps what was typed, and offers another try."""
    expect(page.locator("html")).to_have_attribute("data-calculations", "failed", timeout=START_UP)
    expect(page.locator(".bp-state p")).to_contain_text(f"The form cannot calculate: {reason}")
    assert page.locator("[name=turns]").input_value() == turns
    assert shown(page, "coil")["stale"]
    expect(page.get_by_role("button", name=AGAIN)).to_be_visible()


# --- the worker ---------------------------------------------------------------------------------------------------

KEEP_WORKERS = """
globalThis.workers = [];
globalThis.Worker = class extends Worker {
  constructor(...all) { super(...all); if (String(all[0]).endsWith("/assets/worker.js")) workers.push(this); }
};
"""


def test_a_worker_that_breaks_off_is_told_and_started_again(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True, script=KEEP_WORKERS, errors_expected=True)
    page.evaluate("workers.at(-1).postMessage = () => {}")  # so the question is still open
    page.locator("[name=turns]").fill("81")
    page.evaluate("workers.at(-1).dispatchEvent(new ErrorEvent('error', { cancelable: true }))")
    check_failed(page, "81", "the worker that runs Python")
    page.get_by_role("button", name=AGAIN).click()
    check_answered(page, "81")


HURRY = """
const plainTimeout = setTimeout;
globalThis.setTimeout = (act, wait, ...all) => {
  return plainTimeout(act, globalThis.hurry && wait > 100_000 ? 1000 : wait, ...all);
};
"""


def test_a_worker_that_dies_without_a_word_is_given_up(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True, script=KEEP_WORKERS + HURRY)
    page.locator("[name=turns]").fill("81")
    check_answered(page, "81")  # so no question is open, for which it would wait as long as readers do
    page.evaluate("{ globalThis.hurry = true; workers.at(-1).terminate(); }")
    page.locator("[name=turns]").fill("82")
    check_failed(page, "82", "no answer came from Python")
    page.evaluate("globalThis.hurry = false")
    page.get_by_role("button", name=AGAIN).click()
    check_answered(page, "82")


def test_a_python_that_broke_off_is_not_asked_again(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True, script=KEEP_WORKERS)
    told = "{ data: { kind: 'failed', id: null, message: 'Python broke off' } }"
    page.evaluate(f"workers.at(-1).dispatchEvent(new MessageEvent('message', {told}))")
    page.locator("[name=turns]").fill("83")
    check_failed(page, "83", "Python broke off")
    page.get_by_role("button", name=AGAIN).click()
    check_answered(page, "83")


# --- files of another version, or cut short ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("pyodide.mjs", "cut short"),
        ("pyodide.asm.mjs", "cut short"),
        ("pyodide.asm.wasm", "cut short"),
        ("pyodide.asm.wasm", "another"),
        ("python_stdlib.zip", "cut short"),
        ("pyodide-lock.json", "cut short"),
        ("numpy", "cut short"),
        ("calc", "another"),
    ],
)
def test_a_half_finished_update(name: str, change: str, site_folder: Path, open_page: OpenPage) -> None:
    (file,) = [path for path in (site_folder / "runtime").iterdir() if path.name.startswith(name)]
    content = file.read_bytes()
    spoilt = content[: len(content) // 2] if change == "cut short" else b"<!doctype html><title>Being updated</title>"
    page = open_page("notices/", errors_expected=True)
    pattern = f"**/runtime/{file.name}"
    types = {".mjs": "text/javascript", ".wasm": "application/wasm"}
    kind = types.get(file.suffix, "application/octet-stream")
    page.context.route(pattern, lambda route: route.fulfill(body=spoilt, content_type=kind))
    page.goto(page.url.replace("notices/", "forms/coil/"))
    page.locator("[name=turns]").fill("84")
    check_failed(page, "84")
    page.context.unroute(pattern)
    page.get_by_role("button", name=AGAIN).click()
    check_answered(page, "84")


# --- storage ------------------------------------------------------------------------------------------------------

BLOCKED = """
const refuse = () => { throw new DOMException("The operation is insecure.", "SecurityError"); };
for (const name of ["localStorage", "sessionStorage", "caches", "indexedDB"]) {
  Object.defineProperty(globalThis, name, { get: refuse, configurable: true });
}
"""
FULL = """
const full = () => { throw new DOMException("Full.", "QuotaExceededError"); };
Storage.prototype.setItem = full;
Cache.prototype.put = async () => full();
CacheStorage.prototype.open = async () => full();
"""


@pytest.mark.parametrize("script", [BLOCKED, FULL], ids=["blocked", "full"])
def test_storage_is_not_to_be_had(script: str, open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True, script=script, errors_expected=True)
    page.locator("[name=turns]").fill("85")
    check_answered(page, "85")
    wait_until(page, "location.search === '?turns=85'")
    page.reload()
    check_answered(page, "85")


def test_storage_that_is_full_keeps_nothing_and_says_so(browser: Browser, site: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    client = context.new_cdp_session(page)
    client.send("Storage.overrideQuotaForOrigin", {"origin": site.rstrip("/"), "quotaSize": 100_000})
    page.goto(f"{site}forms/coil/")
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
    page.locator("[name=turns]").fill("86")
    check_answered(page, "86")
    button = page.get_by_role("button", name="Keep for offline use")
    expect(button).to_be_visible()
    button.click()
    expect(page.locator(".bp-offline")).to_contain_text("Not all could be fetched and kept", timeout=START_UP)
    assert page.locator("[name=turns]").input_value() == "86"
    context.close()


def test_what_was_kept_is_gone_between_visits(browser: Browser, site: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{site}forms/coil/?turns=87")
    expect(page.locator(".bp-offline")).to_have_attribute("data-kept", "whole", timeout=START_UP)
    page.evaluate("caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))))")
    page.reload()
    check_answered(page, "87")
    context.close()


# --- the clock, a slow machine, a small window --------------------------------------------------------------------

CLOCK = """
const RealDate = Date;
let shift = -40 * 365 * 864e5;
globalThis.jumpClock = () => { shift = 60 * 365 * 864e5; };
globalThis.Date = class extends RealDate {
  constructor(...all) { if (all.length) super(...all); else super(RealDate.now() + shift); }
  static now() { return RealDate.now() + shift; }
};
"""


def test_a_clock_that_is_years_off_and_jumps(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", live=True, script=CLOCK)
    page.locator("[name=earth_resistance]").fill("30")
    page.evaluate("jumpClock()")
    settle(page)
    assert shown(page, "receiver")["sentence"] == run("receiver", {"earth_resistance": "30"})["sentence"]


def test_a_slow_phone(open_page: OpenPage) -> None:
    page = open_page("notices/", viewport={"width": 390, "height": 844})
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 6})
    held: list[Route] = []
    page.context.route("**/runtime/calc*.whl", lambda route: held.append(route))
    page.goto(page.url.replace("notices/", "forms/receiver/"))
    expect(page.get_by_role("progressbar", name="Python on its way")).to_be_visible()
    field = page.locator("[name=earth_resistance]")
    field.fill("")
    field.press_sequentially("31")  # while Python is still on its way
    assert field.input_value() == "31"
    wait_for(page, lambda: held, "the question for the calculations", START_UP / 1000)
    page.context.unroute("**/runtime/calc*.whl")
    for route in held:
        route.continue_()
    native = run("receiver", {"earth_resistance": "31"})
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"], timeout=2 * START_UP)
    wait_until(page, "document.querySelector('.bp-stale').hidden", seconds=60)
    field.press_sequentially("5")
    assert field.input_value() == "315"
    settle(page)
    native = run("receiver", {"earth_resistance": "315"})
    assert shown(page, "receiver")["sentence"] == native["sentence"]


OVER = """() => {
  const beyond = [];
  const wide = document.scrollingElement.scrollWidth;
  if (wide > 320) beyond.push(`the page is ${wide} px wide`);
  for (const control of document.querySelectorAll("section.bp [name], section.bp button")) {
    if (!control.checkVisibility({ visibilityProperty: true }) || control.type === "range") continue;
    const shown = control.type === "radio" ? control.closest("label") : control;
    shown.scrollIntoView({ block: "center" });
    const box = shown.getBoundingClientRect();
    const name = control.name || control.textContent;
    if (control.closest(".bp-scroll, .bp-grid")) continue; // scrolls by itself
    const fits = box.width >= 16 && box.left >= -1 && box.right <= 321;
    if (!fits) beyond.push(`${name} lies from ${box.left} to ${box.right}`);
    const top = document.elementFromPoint(box.left + box.width / 2, Math.min(box.top + box.height / 2, 250));
    if (!top || !(shown.contains(top) || top.contains(shown))) beyond.push(`${name} is covered by ${top?.className}`);
  }
  return beyond;
}"""


@pytest.mark.parametrize("form_id", FORMS)
def test_at_four_times_the_size_every_form_can_be_used(form_id: str, open_page: OpenPage) -> None:
    page = open_page(f"forms/{form_id}/", viewport={"width": 320, "height": 256})
    expect(page.locator(".bp-tools")).to_be_attached()
    assert page.evaluate(OVER) == []


# --- more than one tab --------------------------------------------------------------------------------------------


def test_two_tabs_go_their_own_ways(open_page: OpenPage) -> None:
    one = open_page("forms/coil/?turns=88", live=True)
    two = one.context.new_page()
    two.goto(one.url.replace("88", "89"))
    expect(two.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
    one.locator("[name=turns]").fill("91")
    check_answered(two, "89")
    check_answered(one, "91")
    two.close()
    one.locator("[name=turns]").fill("92")
    check_answered(one, "92")


def test_a_page_of_one_version_with_calculations_of_another(open_page: OpenPage) -> None:
    """A tab that was open while the site was updated asks by names that the new calculations may not know."""

    def older(route: Route) -> None:
        body = route.fetch().text().replace('name="turns"', 'name="windings"')
        route.fulfill(body=body, content_type="text/html")

    page = open_page("notices/", errors_expected=True)
    page.context.route("**/forms/coil/", older)
    page.goto(page.url.replace("notices/", "forms/coil/"))
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
    page.locator("[name=windings]").fill("93")
    error = page.locator("#coil-turns-error")
    expect(error).to_have_text("This form has no field called “windings”.", timeout=START_UP)
    assert page.locator("[name=windings]").input_value() == "93"
    assert shown(page, "coil")["stale"]
