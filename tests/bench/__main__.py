"""Measures the built site and prints a table.

    python -m tests.bench [--page docs/speed.md]

Times are those of this machine on this day. What the budgets speak of are ratios within one run, and weights. Nothing
is asserted: whether a figure is good enough is for the reader to say.
"""

import argparse
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import astuple
from functools import partial
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from playwright.sync_api import Browser, sync_playwright

from calc.forms import FORMS
from site_overrides.setup.serve import serving
from site_overrides.setup.system import browser as find_browser
from tests.bench import native, page
from tests.bench.edits import edits, growing, questions, start_texts, sweeps
from tests.bench.report import Report, kilobytes, milliseconds
from tests.bench.speed_page import speed_page
from tests.bench.weights import file_of, weight
from tests.strategies import Texts

PROJECT = Path(__file__).resolve().parent.parent.parent
SITE = PROJECT / "site"
RUNTIME = "runtime/"
EDITS, TWICE = 20, 2
HEAVY_EDITS = 9
MOVES = 40
ROUNDS = 5
STARTED_FORM = "receiver"
BROWSER_FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


def report_starts(report: Report, launch: page.Launch, address: str) -> None:
    """Until a form's page is live, against Python by itself."""
    title = f"Start of the form {STARTED_FORM}, median of {ROUNDS}"
    report.table(title, "page", "its worker", "bare Python", "page/bare", "bare, compiled")
    for name, found in page.starts(launch, address, STARTED_FORM, ROUNDS).items():
        live, worker, bare, compiled = (f"{time:.2f} s" for time in astuple(found))
        report.line(name, live, worker, bare, f"{found.live / found.bare:.2f}", compiled)


def report_edits(report: Report, browser: Browser, address: str) -> None:
    """Each form, each of its questions, and each slider; then the same with more to work out."""
    whole = {name: (form, series(form, texts, EDITS, TWICE)) for name, (form, texts) in start_texts().items()}
    measure(report, f"One edit, median of {TWICE} times {EDITS}", browser, address, whole)
    asked = {name: (form, edits(FORMS[form], texts, HEAVY_EDITS)) for name, (form, texts) in questions().items()}
    asked["correct-model, the set itself"] = ("correct-model", edits_of_the_set(HEAVY_EDITS))
    measure(report, f"One edit by question, median of {HEAVY_EDITS}", browser, address, asked)
    measure(report, f"One move of a slider, median of {MOVES}", browser, address, sweeps(MOVES))
    grown = growing().items()
    more = {name: (form, edits(FORMS[form], texts, HEAVY_EDITS, kept=("turns",))) for name, (form, texts) in grown}
    measure(report, f"How an edit grows, median of {HEAVY_EDITS}", browser, address, more)


def series(form_id: str, start: Texts, count: int, times: int) -> list[Texts]:
    """Edits of a form, so many times as many, each time beginning with its first quantity."""
    found: list[Texts] = []
    for _ in range(times):
        found += edits(FORMS[form_id], found[-1] if found else start, count)
    return found


def edits_of_the_set(count: int) -> list[Texts]:
    """Edits that a correction has to begin anew for: of the set, not of how surely it was read."""
    form = FORMS["correct-model"]
    of_readings = [field.name for field in form.fields if field.group == form.field("fall").group]
    return edits(form, form.defaults(), count, kept=of_readings)


def measure(
    report: Report, title: str, browser: Browser, address: str, made: dict[str, tuple[str, list[Texts]]]
) -> None:
    """From a change to its answer, in the page and natively, turn and turn about so that both meet the same machine."""
    if not made:
        return
    report.table(title, "shown", "calculated", "native", "calc./native")
    for name, (form_id, changes) in made.items():
        with page.editing(browser, address, form_id) as edit:
            times = [(*astuple(edit(texts)), native.answer_time(form_id, texts)) for texts in changes]
        shown, asked, plain = map(median, zip(*times, strict=True))
        report.line(name, *map(milliseconds, (shown, asked, plain)), f"{asked / plain:.1f}")


def report_weights(report: Report, browser: Browser, address: str) -> None:
    """What the first visit brings over the wire."""
    report.table("First visit, compressed by gzip", "before Python", "Python", "all told")
    for form_id in FORMS:
        paths = page.fetched(browser, address, form_id)
        python = total(path for path in paths if path.startswith(RUNTIME))
        rest = total(path for path in paths if not path.startswith(RUNTIME))
        report.line(form_id, *map(kilobytes, (rest, python, rest + python)))
    report.table("Files of the runtime", "compressed", "plain")
    for path in sorted((SITE / RUNTIME).iterdir(), key=weight, reverse=True):
        report.line(path.name[:42], kilobytes(weight(path)), kilobytes(path.stat().st_size))


def total(paths: Iterable[str]) -> int:
    return sum(weight(file_of(SITE, path)) for path in paths)


def report_build(report: Report) -> None:
    """The site from what is already made: runtime, libraries."""
    environment = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    report.table("Making the site", "time")
    with TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict", "--site-dir", folder]
        started = perf_counter()
        subprocess.run(command, cwd=PROJECT, env=environment, check=True)
        report.line("Runtime already made", f"{perf_counter() - started:.1f} s")


def main() -> None:
    """Prints everything, and writes the page if one is asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench")
    parser.add_argument("--page", type=Path, help="a page of the reference to write as well")
    page_asked = parser.parse_args().page
    path = find_browser()
    if path is None:
        sys.exit("No Chromium was found: install the package chromium, or name one in CHROMIUM.")
    if not (SITE / RUNTIME).is_dir():
        sys.exit("There is no built site: run `make site` first, or `make bench` for both.")
    report, load = Report(), os.getloadavg()[0]
    print(f"{os.cpu_count()} processors, load {load:.1f}\n")
    with serving(SITE) as address, sync_playwright() as playwright:
        options: dict[str, Any] = {"executable_path": shutil.which(path), "args": BROWSER_FLAGS}
        browser = playwright.chromium.launch(**options)
        version = browser.version
        report_starts(report, partial(playwright.chromium.launch_persistent_context, **options), address)
        report_edits(report, browser, address)
        report_weights(report, browser, address)
        browser.close()
    report_build(report)
    if page_asked:
        page_asked.write_text(speed_page(report, version, load), encoding="utf-8")


if __name__ == "__main__":
    main()
