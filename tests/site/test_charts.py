"""Charts as drawn: what they say can be read, at any width, in any crowd."""

import math
from typing import Any

import pytest
from playwright.sync_api import Page

from calc.forms import FORMS
from calc.forms.results import Axis, Chart, Mark, Rule, Series
from tests.site.conftest import OpenPage

CROSSING = """
(drawing) => {
  const boxes = [...drawing.querySelectorAll("text")].map((word) => [word.textContent, word.getBoundingClientRect()]);
  const edge = drawing.getBoundingClientRect();
  const meet = (a, b) => a.left + 1 < b.right && b.left + 1 < a.right && a.top + 3 < b.bottom && b.top + 3 < a.bottom;
  const found = [];
  boxes.forEach(([word, box], index) => {
    if (box.left < edge.left - 8 || box.right > edge.right + 14) found.push(`${word} runs out`);
    for (const [other, next] of boxes.slice(index + 1)) if (meet(box, next)) found.push(`${word} meets ${other}`);
  });
  return found;
}
"""
DRAW = """
async ([chart, width]) => {
  const { chartFigure } = await import("/modules/charts.js");
  const figure = chartFigure(chart, { document, widths: () => [width] });
  document.querySelector("article").replaceChildren(figure);
}
"""


def crowded(log: bool) -> dict[str, Any]:
    """Four lines, a crowd of marks, and rules close together."""
    x = [500e3 * 1.0118**index for index in range(101)]
    lines = [
        Series(f"line-{k}", f"Line {k}", x, [-60 * (1 - math.exp(-((v / 1e6 - 0.9) ** 2) * 40 / (k + 1))) for v in x])
        for k in range(4)
    ]
    marks = [Mark(f"Station {n}", n * 9e3, -20.0 - n % 5, emphasis=n == 100) for n in range(97, 102)]
    marks.append(Mark("At the edge", 1.59e6, -58.0))
    rules = [Rule(f"edge {n}", "x", 510e3 + 15e3 * n) for n in range(3)] + [Rule("upper edge", "x", 1.6e6)]
    rules += [Rule("threshold of hearing", "y", -40.0), Rule("noise of the room", "y", -42.0)]
    frequency, level = Axis("Frequency", "Hz", 500e3, 1.62e6, log), Axis("Level", "dB", -60.0, 5.0)
    return Chart(
        "crowded", "A crowded chart", "All that a chart can hold.", frequency, level, lines, marks, rules
    ).as_json()


def drawn(page: Page) -> Any:
    """The drawing that is seen."""
    return page.locator(".bp-svg:visible").first


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("form_id", [form.id for form in FORMS.values()])
def test_words_in_default_charts_are_clear_of_each_other(form_id: str, width: int, open_page: OpenPage) -> None:
    page = open_page(f"forms/{form_id}/", viewport={"width": width, "height": 800})
    page.evaluate("document.fonts.ready.then(() => {})")
    assert drawn(page).evaluate(CROSSING) == []


@pytest.mark.parametrize("log", [False, True])
@pytest.mark.parametrize("width", [330, 500, 720])
def test_words_in_a_crowded_chart_are_clear_of_each_other(width: int, log: bool, open_page: OpenPage) -> None:
    chart = crowded(log)
    page = open_page("notices/", viewport={"width": 1280, "height": 800})
    page.evaluate(DRAW, [chart, width])
    assert drawn(page).evaluate(CROSSING) == []
    words = drawn(page).locator("text").all_text_contents()
    for entry in chart["marks"] + chart["rules"]:
        assert entry["label"] in words


def test_lines_differ_in_dashes_too(open_page: OpenPage) -> None:
    page = open_page("notices/")
    page.evaluate(DRAW, [crowded(False), 600])
    dashes_of = "(lines) => lines.map((line) => getComputedStyle(line).strokeDasharray)"
    dashes = page.locator("g[data-mark=line] path").evaluate_all(dashes_of)
    assert len(dashes) == 4
    assert len(set(dashes)) == 4
    assert page.locator(".bp-legend line").evaluate_all(dashes_of) == dashes


def test_charts_of_one_page_do_not_share_names(open_page: OpenPage) -> None:
    page = open_page("chapters/whole-set/")
    names = page.evaluate("() => [...document.querySelectorAll('[id]')].map((entry) => entry.id)")
    assert len(names) == len(set(names))


def test_up_and_down_change_the_line_that_is_read(open_page: OpenPage) -> None:
    chart = crowded(False)
    page = open_page("notices/")
    page.evaluate(DRAW, [chart, 600])
    page.evaluate(
        """async (chart) => {
          const { addReadout } = await import("/modules/chart_readout.js");
          addReadout(document.querySelector(".bp-chart"), chart);
        }""",
        chart,
    )
    page.locator(".bp-plot").focus()
    readout = page.locator(".bp-readout")
    for key, series, point in (
        ("Home", 0, 0),
        ("ArrowRight", 0, 1),
        ("ArrowDown", 1, 1),
        ("PageUp", 1, 11),
        ("ArrowUp", 0, 11),
    ):
        page.keyboard.press(key)
        entry = chart["series"][series]
        assert readout.inner_text() == f"{entry['label']}, {entry['texts'][point]}"
