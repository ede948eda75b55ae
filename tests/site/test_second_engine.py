"""The main things again in a second engine, Firefox: pages, forms, search, colours, no server, and no server ever."""

import json
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from calc.bridge import run
from site_overrides.setup.system import second_browser
from tests.site.conftest import PROJECT
from tests.site.offline_site import server
from tests.site.test_snapshot import ASK, FORGET, KEEP

SENTENCE = "document.querySelector('.bp-sentence').textContent"
READY = "document.documentElement.dataset.calculations === 'ready'"


class Firefox:
    """A Firefox with one tab, driven by commands to `second_engine.mjs`."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process

    def do(self, *command: Any) -> Any:
        """Has one command done, and gives its value."""
        answer = self.told(*command)
        assert "fault" not in answer, f"{command}: {answer['fault']}"
        return answer["value"]

    def told(self, *command: Any) -> dict[str, Any]:
        """What the driver tells of one command: its value, or its fault."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(command) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        return answer

    def open(self, address: str, *, live: bool = False) -> None:
        """Opens an address; `live` waits until the page can calculate."""
        self.do("open", address)
        if live:
            self.until(READY)

    def see(self, expression: str) -> Any:
        """The value of an expression in the page."""
        return self.do("evaluate", expression)

    def until(self, condition: str, seconds: float = 60) -> None:
        """Waits until a condition holds in the page. Of a page that is just being left nothing can be told."""
        end = time.monotonic() + seconds
        while not (answer := self.told("evaluate", f"Boolean({condition})")).get("value"):
            assert time.monotonic() < end, f"never came: {condition}; {answer}; errors: {self.do('errors')}"
            time.sleep(0.05)


@pytest.fixture(scope="module")
def running() -> Iterator[Firefox]:
    """The machine's Firefox."""
    path = second_browser()
    if path is None:
        pytest.fail("No Firefox was found: install the package firefox-esr, or name one in FIREFOX.", pytrace=False)
    command = ["node", str(Path(__file__).with_name("second_engine.mjs")), path]
    with subprocess.Popen(
        command, cwd=PROJECT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8"
    ) as process:
        firefox = Firefox(process)
        firefox.do("size", 1280, 900)
        yield firefox
        assert process.stdin is not None
        process.stdin.close()  # the driver then ends its browser, and itself
        process.wait(60)


@pytest.fixture
def firefox(running: Firefox) -> Iterator[Firefox]:
    """The same; no page may have put an error on the console by the test's end."""
    running.do("errors")
    yield running
    assert running.do("errors") == []


def test_it_is_another_engine(firefox: Firefox) -> None:
    assert firefox.do("version").lower().startswith("firefox")


def test_front_page_leads_to_a_chapter_with_its_live_form(firefox: Firefox, site: str) -> None:
    firefox.open(site)
    assert firefox.see("document.querySelector('h1').offsetHeight") > 0
    firefox.do("click", "main a[href*='chapters/coil/']")
    firefox.until("location.pathname.endsWith('/chapters/coil/') && document.readyState === 'complete'")
    assert firefox.see("document.querySelectorAll('math').length") > 0
    assert firefox.see("document.querySelector('math').getBoundingClientRect().height") > 0
    firefox.see("document.querySelector('section.bp').scrollIntoView()")
    firefox.until(READY)
    assert firefox.see(SENTENCE) == run("coil", {})["sentence"]


def test_typing_gives_the_native_answer_and_a_link(firefox: Firefox, site: str) -> None:
    firefox.open(f"{site}forms/coil/", live=True)
    for turns in ("83", "91,5"):
        firefox.do("type", "section.bp [name=turns]", turns)
        native = run("coil", {"turns": turns})
        firefox.until(f"{SENTENCE} === {json.dumps(native['sentence'])}")
        rows = firefox.see("[...document.querySelectorAll('.bp-rows tr')].map((row) => row.cells[1].textContent)")
        assert rows == [row["text"] for row in native["rows"]]
    firefox.until("location.search === '?turns=91%2C5' || location.search === '?turns=91,5'")
    assert firefox.see("document.querySelectorAll('.bp-chart .bp-svg path').length") > 0


def test_a_later_visit_starts_from_the_kept_snapshot_and_answers_the_same(firefox: Firefox, site: str) -> None:
    firefox.open(f"{site}notices/")
    firefox.see(f"({FORGET})()")
    asked = f"({ASK})({json.dumps([['coil', {}], ['receiver', {}]])})"
    plain = firefox.see(asked)
    firefox.see(f"({KEEP})()")
    later = firefox.see(asked)
    assert (plain[0], later[0]) == ("plain", "snapshot")
    assert plain[1:] == later[1:]


def test_an_error_stands_beside_its_field(firefox: Firefox, site: str) -> None:
    firefox.open(f"{site}forms/coil/", live=True)
    firefox.do("type", "section.bp [name=turns]", "1.234,5")
    told = run("coil", {"turns": "1.234,5"})["errors"]["turns"]
    assert "comma and a point" in told
    firefox.until(f"document.querySelector('[data-field=turns] .bp-error').textContent === {json.dumps(told)}")
    assert firefox.see("document.querySelector('[name=turns]').value") == "1.234,5"
    assert firefox.see("document.querySelector('.bp-stale').hidden") is False


def test_a_station_is_changed_in_the_receivers_table(firefox: Firefox, site: str) -> None:
    firefox.open(f"{site}forms/receiver/", live=True)
    cell = "[data-field=stations] tbody tr:nth-child(2) td:nth-child(2) input"
    firefox.do("type", cell, "693 kHz")
    firefox.until("document.querySelector('textarea[name=stations]').value.includes('693 kHz')")
    stations = firefox.see("document.querySelector('textarea[name=stations]').value")
    native = run("receiver", {"stations": stations})
    assert native["ok"]
    firefox.until(f"{SENTENCE} === {json.dumps(native['sentence'])}")
    cells = firefox.see(
        "[...document.querySelector('.bp-scroll').querySelectorAll('tbody tr')]"
        ".map((row) => [...row.cells].map((cell) => cell.textContent))"
    )
    assert cells == [[cell["text"] for cell in row] for row in native["tables"][0]["rows"]]


def test_search_finds_a_form(firefox: Firefox, site: str) -> None:
    firefox.open(site)
    firefox.until("document.querySelector('input[name=query]')")
    firefox.do("type", "input[name=query]", "band plan")
    firefox.until("document.querySelector('.md-search-result__list').textContent.includes('Band plan')")


def test_colours_are_chosen_and_kept(firefox: Firefox, site: str) -> None:
    firefox.open(site)
    scheme = "document.body.getAttribute('data-md-color-scheme')"
    assert firefox.see(scheme) == "paper"
    light = firefox.see("getComputedStyle(document.body).backgroundColor")
    firefox.do("click", ".bp-palette label:not([hidden])")
    firefox.do("click", ".bp-palette label:not([hidden])")
    firefox.until(f"{scheme} === 'night'")
    assert firefox.see("getComputedStyle(document.body).backgroundColor") != light
    firefox.open(f"{site}sources/")
    assert firefox.see(scheme) == "night"
    firefox.see("localStorage.clear()")


def test_with_the_server_gone_a_page_search_and_a_form_work(firefox: Firefox, site_folder: Path) -> None:
    with server(site_folder) as origin:
        firefox.open(f"{origin}forms/coil/?turns=83", live=True)
        firefox.until("document.querySelector('.bp-offline').dataset.kept === 'whole'", seconds=120)
    firefox.open(f"{origin}sources/")  # no form there: Firefox reports as an error what a page left early was fetching
    assert firefox.see("document.querySelector('h1').textContent") != ""
    firefox.do("type", "input[name=query]", "band plan")
    firefox.until("document.querySelector('.md-search-result__list').textContent.includes('Band plan')")
    firefox.open(f"{origin}forms/coil/?turns=83", live=True)
    firefox.until(f"{SENTENCE} === {json.dumps(run('coil', {'turns': '83'})['sentence'])}")
    firefox.do("type", "section.bp [name=turns]", "67")
    firefox.until(f"{SENTENCE} === {json.dumps(run('coil', {'turns': '67'})['sentence'])}")


def test_the_folder_edition_calculates_from_its_files(firefox: Firefox, folder_edition: str) -> None:
    firefox.open(f"{folder_edition}forms/coil/index.html?turns=80", live=True)
    firefox.until(f"{SENTENCE} === {json.dumps(run('coil', {'turns': '80'})['sentence'])}")
    firefox.do("type", "section.bp [name=turns]", "67")
    firefox.until(f"{SENTENCE} === {json.dumps(run('coil', {'turns': '67'})['sentence'])}")
    firefox.do("type", "input[name=query]", "earphone")
    firefox.until("document.querySelector('.md-search-result__list').textContent.includes('arphone')")
