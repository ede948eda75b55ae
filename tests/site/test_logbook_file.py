"""The logbook's file: what is read back, what is refused with a sentence, what joins what is there."""

import json
import subprocess
from typing import Any

import pytest

from calc.forms import FORMS
from tests.site.conftest import PROJECT

MODULE = (PROJECT / "site_overrides" / "assets" / "logbook_file.js").as_uri()
DESIGN = {
    "id": "a", "kind": "design", "title": "<b>Loft</b>", "date": "2026-01-31", "notes": "",
    "form": "receiver", "fields": {"earth_resistance": "31"}, "answer": "Loud.",
}  # fmt: skip
READING = {"id": "b", "kind": "reading", "title": "Dial", "date": "2024-02-29", "notes": "dry", "text": "10 531"}


def told(call: str, given: Any) -> Any:
    """What the call gives, or the sentence of its error."""
    script = f"""
    import {{ logbookText, merge, readLogbook }} from {json.dumps(MODULE)};
    const given = JSON.parse(await new Response(process.stdin).text());
    const read = (text) => readLogbook(text, {json.dumps(list(FORMS))}, {{ id: "made", date: "2026-03-01" }});
    let said;
    try {{ said = {call}; }} catch (error) {{ said = error.message; }}
    console.log(JSON.stringify(said));
    """
    command = ["node", "--input-type=module", "--eval", script]
    done = subprocess.run(command, input=json.dumps(given), capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def book(*entries: Any, version: Any = 1) -> str:
    return json.dumps({"borrowed-power-logbook": version, "entries": list(entries)})


def test_what_is_written_is_read_back() -> None:
    assert told("read(logbookText(given))", [DESIGN, READING]) == [DESIGN, READING]


def test_a_single_design_becomes_an_entry() -> None:
    text = json.dumps({"borrowed-power": 1, "form": "receiver", "fields": {"earth_resistance": "31"}})
    assert told("read(given)", text) == [
        {**DESIGN, "id": "made", "title": "receiver", "date": "2026-03-01", "answer": ""}
    ]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (book(DESIGN)[:-9], "damaged"),
        ("[" * 100_000, "damaged"),
        ("[" * 2000 + "]" * 2000, "is not a logbook"),
        (" " * 5_000_001, "too large"),
        ("null", "is not a logbook"),
        (book(DESIGN, version=2), "version 1"),
        (book(DESIGN, version="1"), "version 1"),
        ('{"borrowed-power-logbook": 1, "entries": {}}', "no list"),
        (book(*[READING] * 5001), "at most 5000"),
        (book(READING, READING), "same id"),
        (book(None), "no record"),
        (book({**READING, "kind": "constructor"}), "neither"),
        (book({**READING, "__proto__": {"id": "c"}}), "__proto__"),
        (book({**DESIGN, "fields": {"__proto__": "x"}}), "names with texts"),
        (book({**DESIGN, "fields": {"earth_resistance": 31}}), "names with texts"),
        (book({**DESIGN, "form": "<script>"}), "no form"),
        (book({**READING, "title": ["deep"]}), "its title as text"),
        (book({**READING, "title": "x" * 201}), "longer than 200"),
        (book({**READING, "date": "NaN"}), "is no date"),
        (book({**READING, "date": "2026-02-30"}), "is no date"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_a_wrong_file_is_refused(text: str, sentence: str) -> None:
    said = told("read(given)", text)
    assert isinstance(said, str)
    assert sentence in said


def test_what_is_there_stays_and_nothing_is_doubled() -> None:
    other = {**READING, "notes": "wet"}
    fresh = {**READING, "id": "c", "title": "New"}
    merged = told('merge(given[0], given[1], () => "new")', [[DESIGN, READING], [DESIGN, other, fresh]])
    assert merged == {"fresh": [fresh], "same": [DESIGN], "second": [{**other, "id": "new"}]}
    again = told('merge(given[0], given[1], () => "x")', [[DESIGN, READING, *merged["second"]], [other]])
    assert again == {"fresh": [], "same": [other], "second": []}
