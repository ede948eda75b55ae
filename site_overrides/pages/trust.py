"""The page on trust: what the published checks compared when they were run, and what calc says it does not know."""

import csv
import io
import json
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from calc.bridge import run
from calc.forms import FORMS
from calc.units import format, number
from site_overrides.pages.markup import element, escape
from site_overrides.pages.sources import CERTAINTIES, Module, read, statements

RECORD = Path(".build/trust.json")

CSV = "trust/checks.csv"
"""Address of every comparison, as CSV."""
FOLDED = 40
"""Tables of more values are not on the page, which would be a megabyte, but in the CSV alone."""


class TrustMissing(RuntimeError):
    """The record of the published checks has not been made."""


class Trust:
    """What the page shows, from the record and from the text of the tests."""

    def __init__(self, project: Path) -> None:
        self.project = project
        try:
            record = json.loads((project / RECORD).read_text(encoding="utf-8"))
        except OSError:
            raise TrustMissing(f"{RECORD} is not there: run `make trust` first.") from None
        self.outcomes: dict[str, str] = record["tests"]
        self.comparisons: list[dict[str, Any]] = record["comparisons"]

    @property
    def failed(self) -> list[str]:
        """The tests that did not pass."""
        return sorted(test for test, outcome in self.outcomes.items() if outcome != "passed")

    def csv(self) -> str:
        """Every comparison, a line each."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(
            ["test", "compared", "published", "ours", "difference", "tolerance, relative", "absolute", "unit", "agrees"]
        )
        keys = ("test", "what", "published", "ours", "difference", "rel", "abs", "unit")
        for entry in self.comparisons:
            writer.writerow([*(entry[key] for key in keys), "yes" if entry["agrees"] else "no"])
        return out.getvalue()

    def part(self, name: str) -> str:
        """The HTML of a part of the page.

        Raises:
            LookupError: there is no such part.
        """
        parts = {
            "standing": self._standing,
            "checks": self._checks,
            "tools": self._tools,
            "memory": lambda: self._statements("from memory"),
            "assumptions": lambda: self._statements("assumption"),
            "practice": lambda: self._statements("common practice"),
            "limits": self._limits,
        }
        if name not in parts:
            raise LookupError(f"there is no part called {name}; there are {', '.join(parts)}")
        return parts[name]()

    def _standing(self) -> str:
        text = f"{len(self.comparisons)} values compared, in {len(self.outcomes)} tests."
        if not self.failed:
            link = element("a", {"href": "checks.csv", "download": "checks.csv"}, "Download every value as CSV")
            return element("p", {}, f"{text} All agree within their tolerances. {link}.")
        failed = "".join(element("li", {}, escape(test)) for test in self.failed)
        return element("p", {}, f"{text} These fail, so do not trust what rests on them:") + element("ul", {}, failed)

    def _checks(self) -> str:
        """A section a module of tests, in it a part a test, with a row a comparison that the test makes."""
        modules: dict[str, dict[str, list[dict[str, Any]]]] = defaultdict(lambda: defaultdict(list))
        for test in self.outcomes:
            path, name = _test(test)
            modules[path][name]
        for comparison in self.comparisons:
            path, name = _test(comparison["test"])
            modules[path][name].append(comparison)
        return "".join(self._module(path, tests) for path, tests in sorted(modules.items()))

    def _module(self, path: str, tests: dict[str, list[dict[str, Any]]]) -> str:
        module = read(self.project / path)
        key = module.path.stem.removeprefix("test_").removesuffix("_published").replace("_", "-")
        compared = "".join(self._part(module, name, made) for name, made in tests.items() if made)
        other = "".join(
            element("li", {}, escape(f"{_words(name)}. {module.remarks(name)}".strip()))
            for name, made in tests.items()
            if not made
        )
        more = element("p", {}, "Held too, by ranges, counts or order:") + element("ul", {}, other) if other else ""
        title = element("h3", {"id": f"trust-{key}"}, escape(key.replace("-", " ").capitalize()))
        return title + element("p", {}, escape(module.title)) + compared + more

    def _part(self, module: Module, name: str, made: Sequence[dict[str, Any]]) -> str:
        alike: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for comparison in made:
            alike[comparison["what"]].append(comparison)
        heads = ("Compared", "Values", "Published", "Ours", "Difference", "Tolerance", "Agrees")
        rows = [[what, number(len(group)), *_single(_worst(group))] for what, group in alike.items()]
        every = [_single(entry) for group in alike.values() for entry in group]
        words = _words(name)
        remarks, heads_of_files = module.remarks(name), module.heads(name)
        source = element("p", {"class": "bp-cited"}, escape(remarks)) if remarks else ""
        if heads_of_files:
            source += _fold(f"Source: {words}", element("p", {"class": "bp-cited"}, escape(heads_of_files)))
        summary = table(f"{words}: the worst of each", heads, rows)
        singles = table(f"{words}: every value", heads[2:], every)
        folded = _fold(f"All {len(made)} values: {words}", singles)
        return summary + source + (folded if len(rows) < len(made) <= FOLDED else "")

    def _tools(self) -> str:
        rows = []
        for path in sorted((self.project / "tests").rglob("test_*.py")):
            module = read(path)
            if "site" not in path.parts and (tools := module.tools()):
                shown = [number(value, 2) for value in module.tolerances()]
                span = " to ".join(dict.fromkeys((shown[0], shown[-1]))) if shown else "stated in absolute terms"
                rows.append([module.title, ", ".join(tools), span, path.relative_to(self.project).as_posix()])
        heads = ("What is compared", "With", "Tolerances, over the value", "Tests")
        return table("Comparisons with simulators and general libraries", heads, rows)

    def _statements(self, certainty: str) -> str:
        rows = [list(found) for found in statements(self.project / "calc", CERTAINTIES[certainty])]
        return table(f"What is {_AS[certainty]}", ("Where in calc", "What it says"), rows)

    def _limits(self) -> str:
        rows = []
        for form in FORMS.values():
            advice = run(form.id, {}).get("advice", [])
            rows += [[form.title, entry["text"]] for entry in advice if entry["kind"] == "limit"]
        return table("What the forms leave out", ("Form", "Left out"), rows)


_AS = {"from memory": "from memory", "assumption": "assumed", "common practice": "common practice"}


def table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table of words and figures, as the answers' tables are dressed."""
    if not rows:
        return element("p", {}, "Nothing.")
    top = "".join(
        element("th", {"role": "columnheader", "scope": "col", "class": "bp-words"}, escape(head)) for head in heads
    )
    body = "".join(
        element(
            "tr",
            {"role": "row"},
            *(
                element("td", {"role": "cell", "data-label": head, "class": "bp-words"}, escape(cell))
                for head, cell in zip(heads, row, strict=True)
            ),
        )
        for row in rows
    )
    made = element(
        "table",
        {"class": "bp-table", "role": "table"},
        element("caption", {}, escape(caption)),
        element("thead", {"role": "rowgroup"}, element("tr", {"role": "row"}, top)),
        element("tbody", {"role": "rowgroup"}, body),
    )
    return element("div", {"class": "bp-scroll"}, made)


def _fold(summary: str, folded: str) -> str:
    return element("details", {"class": "bp-fold"}, element("summary", {}, escape(summary)), folded)


def _test(nodeid: str) -> tuple[str, str]:
    """Path of the module and name of the test in pytest's name for one of its runs."""
    path, _, name = nodeid.partition("::")
    return path, name.partition("[")[0]


def _words(name: str) -> str:
    return name.removeprefix("test_").replace("_", " ").capitalize()


def _worst(group: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """The comparison that uses most of its tolerance; one that does not agree comes before all."""

    def used(entry: dict[str, Any]) -> tuple[bool, float]:
        allowed = max(entry["rel"] * abs(entry["published"]), entry["abs"])
        return not entry["agrees"], entry["difference"] / allowed if allowed else 0.0

    return max(group, key=used)


def _single(entry: dict[str, Any]) -> list[str]:
    unit = entry["unit"]
    return [
        _figure(entry["published"], unit, 7),
        _figure(entry["ours"], unit, 7),
        _figure(entry["difference"], unit, 2),
        _tolerance(entry),
        "yes" if entry["agrees"] else "NO",
    ]


def _tolerance(entry: dict[str, Any]) -> str:
    parts = [f"{_plain(100.0 * entry['rel'], 2)} %"] if entry["rel"] else []
    parts += [_figure(entry["abs"], entry["unit"], 2)] if entry["abs"] else []
    return " or ".join(parts) or "none: equal"


def _figure(value: float, unit: str, digits: int) -> str:
    """A quantity as elsewhere in the reference; one far below its smallest prefix by a power of ten."""
    if unit not in _PREFIXED or (value != 0.0 and abs(value) < 1e-12):
        return f"{_plain(value, digits)} {unit}".strip()
    return format(value, unit, digits)


_PREFIXED = {"F", "H", "ohm", "Hz", "m", "V", "W"}


def _plain(value: float, digits: int) -> str:
    """A number, by a power of ten where it is very small or large."""
    if value == 0.0 or 1e-4 <= abs(value) < 1e7:
        return number(value, digits)
    mantissa, power = f"{value:.{digits - 1}e}".split("e")
    return f"{number(float(mantissa), digits)} × 10{str(int(power)).translate(_RAISED)}"


_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
