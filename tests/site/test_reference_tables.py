"""The tables of reference: the file holds what the page shows, and the page on trust all that was compared."""

import csv
import json
import re
from html import unescape
from pathlib import Path

import pytest

from site_overrides.pages.reference import references
from site_overrides.pages.trust import Trust

PROJECT = Path(__file__).resolve().parents[2]
SITE = PROJECT / "site"
TABLES = references()


def shown(key):
    """The cells of the table on its page of the built site, row by row, heads first."""
    page = next(
        text for path in SITE.glob("tables/*/index.html") if f'id="table-{key}"' in (text := path.read_text("utf-8"))
    )
    table = page[page.index(f'<div class="bp-reference" id="table-{key}"') :].partition("</table>")[0]
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", table, re.DOTALL)
    return [[unescape(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)] for row in rows]


@pytest.mark.parametrize("key", TABLES)
def test_file_holds_what_the_page_shows(key):
    lines = (SITE / "tables" / f"{key}.csv").read_text("utf-8").splitlines()
    assert lines[0].startswith("# ")
    filed = list(csv.reader(lines[1:]))
    assert [[cell or "–" for cell in row] for row in filed] == [
        [cell.replace("−", "-") if re.fullmatch(r"−[\d.]+", cell) else cell for cell in row] for row in shown(key)
    ]
    assert len(filed) == len(TABLES[key].rows) + 1


def test_files_are_kept_for_offline_use():
    worker = (SITE / "service_worker.js").read_text("utf-8")
    for name in (*(table.address for table in TABLES.values()), "trust/checks.csv"):
        assert f'"{name}"' in worker


def test_every_module_of_checks_is_on_the_page():
    page = (SITE / "trust" / "index.html").read_text("utf-8")
    for path in (PROJECT / "tests" / "published").glob("test_*.py"):
        subject = path.stem.removeprefix("test_").removesuffix("_published").replace("_", "-")
        assert f'id="trust-{subject}"' in page or f"tests/published/{path.name}" in page


def test_a_false_check_is_told_of(tmp_path):
    """A check whose published value is bent makes the page say so."""
    (tmp_path / ".build").mkdir()
    tests = tmp_path / "tests" / "published"
    tests.mkdir(parents=True)
    (tests / "test_false.py").write_text(
        '"""False."""\n\n\ndef test_off():\n    agree("one", 1.0, 2.0, rel=0.1)\n', "utf-8"
    )
    name = "tests/published/test_false.py::test_off"
    entry = {"test": name, "what": "one", "ours": 1.0, "published": 2.0, "difference": 1.0, "rel": 0.1, "abs": 0.0}
    entry |= {"unit": "", "agrees": False}
    record = {"tests": {name: "failed"}, "comparisons": [entry]}
    (tmp_path / ".build" / "trust.json").write_text(json.dumps(record), "utf-8")
    trust = Trust(tmp_path)
    assert trust.failed == [name]
    assert "do not trust" in trust.part("standing")
    assert ">NO<" in trust.part("checks")


@pytest.mark.parametrize("address", ["tables/wire/", "tables/detectors/", "trust/"])
def test_sources_and_files_are_seen(address, open_page):
    page = open_page(address)
    for cited in page.locator(".bp-cited:not(details *)").all():
        assert cited.is_visible(), cited.text_content()
    links = page.locator("a[download]")
    assert links.count() > 0
    assert all(link.is_visible() for link in links.all())
