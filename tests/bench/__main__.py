"""Measures the built site and prints a table.

    python -m tests.bench

Times are those of this machine on this day. What the budgets of DEVELOPERS.md speak of are ratios within one run, and
weights. Nothing is asserted: whether a figure is good enough is for the reader to say.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import astuple
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from playwright.sync_api import Browser, sync_playwright

from calc.forms import FORMS
from site_overrides.setup.serve import serving
from site_overrides.setup.system import browser as find_browser
from tests.bench import native, page
from tests.bench.edits import edits, questions, start_texts, sweeps
from tests.bench.weights import file_of, weight
from tests.strategies import Texts

PROJECT = Path(__file__).resolve().parent.parent.parent
SITE = PROJECT / "site"
RUNTIME = "runtime/"
EDITS = 20
HEAVY_EDITS = 9
MOVES = 40
ROUNDS = 3
STARTED_FORM = "receiver"
BROWSER_FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


def say(*cells: str) -> None:
    """A line of the table: a name and its figures."""
    print(f"{cells[0]:<46}" + "".join(f"{cell:>14}" for cell in cells[1:]), flush=True)


def milliseconds(seconds: float) -> str:
    return f"{1e3 * seconds:.1f} ms"


def kilobytes(count: int) -> str:
    return f"{count / 1e3:.0f} kB"


def report_starts(browser: Browser, address: str) -> None:
    """Until a form's page is live, against Python by itself."""
    say(f"Start of forms/{STARTED_FORM}/, median of {ROUNDS}", "page", "its worker", "bare Python", "page/bare")
    for name, found in page.starts(browser, address, STARTED_FORM, ROUNDS).items():
        say(
            name,
            *(f"{time:.2f} s" for time in (found.live, found.worker, found.bare)),
            f"{found.live / found.bare:.2f}",
        )
    print()


def report_edits(browser: Browser, address: str) -> None:
    """Each form, each of its questions, and each slider."""
    report(
        f"One edit, median of {EDITS}",
        browser,
        address,
        {name: (form, edits(FORMS[form], texts, EDITS)) for name, (form, texts) in start_texts().items()},
    )
    asked = {name: (form, edits(FORMS[form], texts, HEAVY_EDITS)) for name, (form, texts) in questions().items()}
    report(f"One edit by question, median of {HEAVY_EDITS}", browser, address, asked)
    report(f"One move of a slider, median of {MOVES}", browser, address, sweeps(MOVES))


def report(title: str, browser: Browser, address: str, changes: dict[str, tuple[str, list[Texts]]]) -> None:
    """From a change to its answer, in the page and natively, turn and turn about so that both meet the same machine."""
    if not changes:
        return
    say(title, "shown", "calculated", "native", "calc./native")
    for name, (form_id, made) in changes.items():
        with page.editing(browser, address, form_id) as edit:
            times = [(*astuple(edit(texts)), native.answer_time(form_id, texts)) for texts in made]
        shown, asked, plain = map(median, zip(*times, strict=True))
        say(name, *map(milliseconds, (shown, asked, plain)), f"{asked / plain:.1f}")
    print()


def report_weights(browser: Browser, address: str) -> None:
    """What the first visit brings over the wire."""
    say("First visit, compressed by gzip", "before Python", "Python", "all told")
    for form_id in FORMS:
        paths = page.fetched(browser, address, form_id)
        python = total(path for path in paths if path.startswith(RUNTIME))
        rest = total(path for path in paths if not path.startswith(RUNTIME))
        say(f"forms/{form_id}/", *map(kilobytes, (rest, python, rest + python)))
    print()
    say("Files of the runtime", "compressed", "plain")
    for path in sorted((SITE / RUNTIME).iterdir(), key=weight, reverse=True):
        say(f"  {path.name[:42]}", kilobytes(weight(path)), kilobytes(path.stat().st_size))
    print()


def total(paths: Iterable[str]) -> int:
    return sum(weight(file_of(SITE, path)) for path in paths)


def report_build() -> None:
    """The site from what is already made: runtime, libraries."""
    environment = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    with TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict", "--site-dir", folder]
        started = perf_counter()
        subprocess.run(command, cwd=PROJECT, env=environment, check=True)
        say("Build of the site, runtime already made", f"{perf_counter() - started:.1f} s")


def main() -> None:
    """Prints everything."""
    path = find_browser()
    if path is None:
        sys.exit("No Chromium was found: install the package chromium, or name one in CHROMIUM.")
    if not (SITE / RUNTIME).is_dir():
        sys.exit("There is no built site: run `make site` first, or `make bench` for both.")
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}\n")
    with serving(SITE) as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which(path), args=BROWSER_FLAGS)
        report_starts(browser, address)
        report_edits(browser, address)
        report_weights(browser, address)
        browser.close()
    report_build()


if __name__ == "__main__":
    main()
