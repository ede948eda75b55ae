"""What tests do with a form in a page: fill it in, and read what it shows."""

import time
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Error, Frame, Page, expect

FILL_AND_WAIT = """
([texts, formName]) => new Promise((resolve) => {
  const section = document.querySelector(`section.bp[data-name="${formName}"]`);
  section.addEventListener("bp:answer", (event) => resolve(event.detail), { once: true });
  for (const control of section.querySelectorAll("[name]")) {
    if (!(control.name in texts)) continue;
    if (control.type === "radio") control.checked = control.value === texts[control.name];
    else control.value = texts[control.name];
  }
  section.querySelector("form").dispatchEvent(new Event("input", { bubbles: true }));
})
"""

SHOWN = """
(formName) => {
  const section = document.querySelector(`section.bp[data-name="${formName}"]`);
  const all = (root, selector) => [...root.querySelectorAll(selector)];
  const own = (node) => [...node.childNodes].map((child) => (child.nodeType === 3 ? child.data : "")).join("");
  const picture = (figure) => {
    const drawing = all(figure, ".bp-svg").find((entry) => entry.clientWidth > 0);
    return {
      title: figure.querySelector(".bp-caption").textContent,
      summary: figure.querySelector(".bp-summary").textContent,
      legend: all(figure, ".bp-legend li").map((entry) => entry.textContent),
      words: all(drawing, "text").map((entry) => entry.textContent),
      bars: all(drawing, "[data-mark=bar] > rect").length,
      regions: all(drawing, "[data-region]").map((region) => Number(region.dataset.region)),
      lines: all(drawing, "g[data-mark='line'] path").length,
      dots: all(drawing, "g[data-mark='dot'] circle").length,
    };
  };
  return {
    sentence: section.querySelector(".bp-sentence").textContent,
    stale: !section.querySelector(".bp-stale").hidden,
    notice: section.querySelector(".bp-answer .bp-notice").textContent,
    errors: Object.fromEntries(all(section, ".bp-field").map((field) =>
      [field.dataset.field, field.querySelector(".bp-error").textContent]).filter(([, text]) => text)),
    rows: all(section, ".bp-rows tr").map((row) => ({
      key: row.dataset.key, label: own(row.cells[0]), how: row.querySelector(".bp-how")?.textContent ?? "",
      text: row.cells[1].textContent,
    })),
    tables: all(section, ".bp-scroll").map((table) => ({
      key: table.dataset.key, title: table.querySelector("caption").textContent,
      heads: all(table, "thead th").map((head) => head.textContent),
      rows: all(table, "tbody tr").map((row) => [...row.cells].map((cell) => cell.textContent)),
    })),
    charts: all(section, ".bp-chart").map(picture),
    bars: all(section, ".bp-bars").map(picture),
    maps: all(section, ".bp-map").map(picture),
    drawings: all(section, ".bp-drawing").map((drawing) => ({
      title: drawing.querySelector("title").textContent,
      description: drawing.querySelector("desc").textContent,
      words: all(drawing, "text").map((entry) => entry.textContent),
    })),
    advice: all(section, ".bp-advice li").map(own),
  };
}
"""


def fill(page: Page, form: str, texts: dict[str, str]) -> dict[str, Any]:
    """Puts texts into the fields as typing does, waits, and gives what the page asked and what came back."""
    detail: dict[str, Any] = page.evaluate(FILL_AND_WAIT, [texts, form])
    return detail


def typed_texts(page: Page) -> dict[str, str]:
    """What stands in the fields of the page's form."""
    texts: dict[str, str] = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('section.bp [name]')]
          .filter((control) => control.type !== "radio" || control.checked)
          .map((control) => [control.name, control.value]))"""
    )
    return texts


def settle(page: Page) -> None:
    """Waits until the page has answered, or refused, what was typed last."""
    for answer in page.locator(".bp-result").all():
        expect(answer).not_to_have_attribute("aria-busy", "true", timeout=60_000)


def shown(page: Page, form: str) -> dict[str, Any]:
    """All that the page shows of an answer."""
    found: dict[str, Any] = page.evaluate(SHOWN, form)
    return found


def as_shown(answer: dict[str, Any]) -> dict[str, Any]:
    """What a page must show of an answer, in the shape that `shown` gives; ticks and labels are checked apart."""
    return {
        "sentence": answer["sentence"],
        "rows": [{name: row[name] for name in ("key", "label", "how", "text")} for row in answer["rows"]],
        "tables": [
            {
                "key": table["key"],
                "title": table["title"],
                "heads": [column["label"] for column in table["columns"]],
                "rows": [[cell["text"] for cell in row] for row in table["rows"]],
            }
            for table in answer["tables"]
        ],
        "drawings": [
            {
                "title": drawing["title"],
                "description": drawing["description"],
                "words": [shape["text"] for shape in drawing["shapes"] if shape["shape"] == "text"],
            }
            for drawing in answer["drawings"]
        ],
        "advice": [advice["text"] for advice in answer["advice"]],
    }


def check_charts(drawn: list[dict[str, Any]], charts: list[dict[str, Any]]) -> None:
    """Each chart has all its words, of lines, axes, ticks, marks and rules, no others; and its lines and dots."""
    assert len(drawn) == len(charts)
    for got, chart in zip(drawn, charts, strict=True):
        assert got["title"] == chart["title"]
        assert got["summary"] == chart["summary"]
        assert got["legend"] == ([s["label"] for s in chart["series"]] if len(chart["series"]) > 1 else [])
        wanted = [chart["x"]["label"], chart["y"]["label"], *(m["label"] for m in chart["marks"] + chart["rules"])]
        for word in wanted:
            assert word in got["words"], f"{word} is not in the chart"
        ticks = {tick["text"] for axis in ("x", "y") for tick in chart[axis]["ticks"]}
        strange = [word for word in got["words"] if word not in ticks and word not in wanted]
        assert strange == []
        assert {tick["text"] for tick in chart["y"]["ticks"]} <= set(got["words"])
        assert got["lines"] == len(chart["series"])
        assert got["dots"] == len(chart["marks"])


def check_bars(drawn: list[dict[str, Any]], bars: list[dict[str, Any]]) -> None:
    """Each picture of bars has all its words, but ticks that there is no room for, and a bar for each figure."""
    assert len(drawn) == len(bars)
    for got, picture in zip(drawn, bars, strict=True):
        assert (got["title"], got["summary"]) == (picture["title"], picture["summary"])
        assert got["legend"] == (picture["series"] if len(picture["series"]) > 1 else [])
        wanted = [picture["axis"]["label"], *(rule["label"] for rule in picture["rules"])]
        wanted += [part for bar in picture["bars"] for part in (bar["label"], *bar["texts"], bar["note"]) if part]
        ticks = [tick["text"] for tick in picture["axis"]["ticks"]]
        assert sorted(word for word in got["words"] if word not in ticks) == sorted(w for w in wanted if w not in ticks)
        assert got["bars"] == sum(value is not None for bar in picture["bars"] for value in bar["values"])


def check_maps(drawn: list[dict[str, Any]], maps: list[dict[str, Any]]) -> None:
    """Each map has the regions that have a cell, each with its letter, and all regions in its legend."""
    assert len(drawn) == len(maps)
    for got, map_ in zip(drawn, maps, strict=True):
        assert (got["title"], got["summary"]) == (map_["title"], map_["summary"])
        present = sorted({cell for row in map_["cells"] for cell in row})
        assert got["regions"] == [region for region in present if region >= 0]
        letters = zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", map_["regions"], strict=False)
        legend = [f"{letter}: {region}" for letter, region in letters]
        assert got["legend"] == [*legend, *([map_["nowhere"]] if -1 in present else [])]
        for word in (map_["x"]["label"], map_["y"]["label"], *(mark["label"] for mark in map_["marks"])):
            assert word in got["words"]


def wait_until(page: Page | Frame, condition: str, argument: Any = None, seconds: float = 30) -> None:
    """Waits until a condition holds in the page.

    Playwright's own way of waiting runs text as a script within the page, which the page's policy refuses.
    """
    wait_for(page, lambda: _holds(page, condition, argument), condition, seconds)


def wait_for(page: Page | Frame, holds: Callable[[], object], told: str, seconds: float = 30) -> None:
    """Waits until something holds that is seen from outside the page, which goes on meanwhile."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, f"never came: {told}"
        page.wait_for_timeout(50)


def _holds(page: Page | Frame, condition: str, argument: Any) -> bool:
    """Whether the condition holds; of a page that is just being left nothing can be told."""
    try:
        return bool(page.evaluate(condition, argument))
    except Error as error:
        if "Execution context was destroyed" not in error.message:
            raise
        return False
