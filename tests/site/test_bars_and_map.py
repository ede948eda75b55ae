"""Bars and maps as drawn: true to their figures, readable without colour, at any width, by pointer and by keys."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import OpenPage
from tests.site.form_page import settle
from tests.site.test_charts import CROSSING
from tests.site.test_pages import violations
from tests.site.trial import TRIAL, trial

DRAW = """
async ([module, make, data, width]) => {
  const found = await import(`/modules/${module}.js`);
  const figure = found[make](data, { document, widths: () => [width] });
  document.querySelector("article").replaceChildren(figure);
}
"""


@pytest.fixture(autouse=True)
def trial_form(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets the form be asked natively too."""
    monkeypatch.setitem(FORMS, "trial", TRIAL)


def bars_of(**texts: str) -> dict[str, Any]:
    found: dict[str, Any] = run("trial", texts)["bars"][0]
    return found


def map_of(**texts: str) -> dict[str, Any]:
    found: dict[str, Any] = run("trial", {"question": "map"} | texts)["maps"][0]
    return found


def draw_bars(page: Page, bars: dict[str, Any], width: int) -> Locator:
    page.evaluate(DRAW, ["bars", "barsFigure", bars, width])
    return page.locator(".bp-svg")


def draw_map(page: Page, map_: dict[str, Any], width: int) -> Locator:
    page.evaluate(DRAW, ["map", "mapFigure", map_, width])
    return page.locator(".bp-svg")


# --- bars ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [330, 500, 720])
def test_bars_say_all_that_they_stand_for_and_nothing_runs_into_another(width: int, open_page: OpenPage) -> None:
    page = open_page("notices/", viewport={"width": 1280, "height": 1400})
    bars = bars_of(stations="12")
    drawing = draw_bars(page, bars, width)
    words = drawing.locator("text").all_text_contents()
    wanted = [bars["axis"]["label"], *(rule["label"] for rule in bars["rules"])]
    wanted += [part for bar in bars["bars"] for part in (bar["label"], *bar["texts"], bar["note"]) if part]
    ticks = [tick["text"] for tick in bars["axis"]["ticks"]]
    assert sorted(word for word in words if word not in ticks) == sorted(wanted)
    assert drawing.evaluate(CROSSING) == []
    name = drawing.get_attribute("aria-label") or ""
    assert drawing.get_attribute("role") == "img"
    for bar in bars["bars"]:
        assert f"{bar['label']}: loudness {bar['texts'][0]}, separation {bar['texts'][1]}" in name


@pytest.mark.parametrize("width", [330, 720])
def test_bars_are_as_long_as_their_figures(width: int, open_page: OpenPage) -> None:
    page = open_page("notices/", viewport={"width": 1280, "height": 1400})
    bars = bars_of()
    drawing = draw_bars(page, bars, width)
    left, _, right, _ = (float(edge) for edge in (drawing.get_attribute("data-frame") or "").split())
    scale = (right - left) / (bars["axis"]["most"] - bars["axis"]["least"])
    rects = drawing.locator("[data-mark=bar] > rect").evaluate_all(
        "(all) => all.map((rect) => [rect.x.baseVal.value, rect.width.baseVal.value])"
    )
    values = [value for bar in bars["bars"] for value in bar["values"]]
    for (start, length), value in zip(rects, values, strict=True):
        least, most = sorted((0.0, value))
        assert start == pytest.approx(left + (least - bars["axis"]["least"]) * scale, abs=0.15)
        assert length == pytest.approx((most - least) * scale, abs=0.7)
    spans = [span for bar in bars["bars"] for span in bar["spans"] if span]
    boxes = drawing.locator("[data-mark=span]").evaluate_all("(all) => all.map((g) => g.getBBox().width)")
    assert len(boxes) == len(spans) == 2
    for box, span in zip(boxes, spans, strict=True):
        assert box == pytest.approx((span[1] - span[0]) * scale, abs=0.3)


def test_series_differ_in_hatching_and_the_one_in_the_clear_stands_out(open_page: OpenPage) -> None:
    page = open_page("notices/", viewport={"width": 1280, "height": 1400})
    bars = bars_of(dial="42")
    clear = [bar["emphasis"] for bar in bars["bars"]].index(True)
    drawing = draw_bars(page, bars, 640)
    groups = drawing.locator("[data-mark=bar]")
    fills = groups.nth(0).locator("> rect").evaluate_all("(all) => all.map((rect) => getComputedStyle(rect).fill)")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert fills[0] != paper
    assert fills[1] == paper
    assert groups.nth(0).locator("> path").count() == 1, "the second bar alone is hatched"
    lifted = [group.get_attribute("data-emphasis") is not None for group in groups.all()]
    assert lifted == [index == clear for index in range(len(lifted))]
    name = drawing.locator("text", has_text=bars["bars"][clear]["label"])
    assert name.evaluate("(entry) => getComputedStyle(entry).fontWeight") == "700"


def test_a_figure_that_does_not_exist_has_its_sign_and_no_bar(open_page: OpenPage) -> None:
    bars = bars_of()
    bars["bars"] = [bars["bars"][1] | {"values": [None, -3.0], "texts": ["—", "−3.00 dB"], "spans": [None, None]}]
    drawing = draw_bars(open_page("notices/"), bars, 640)
    assert drawing.locator("[data-mark=bar] > rect").count() == 1
    assert drawing.locator("text", has_text="—").count() == 1


# --- maps ---------------------------------------------------------------------------------------------------------

OWNERS = """
(drawing, [xs, ys]) => {
  const point = drawing.createSVGPoint();
  const regions = [...drawing.querySelectorAll("[data-region]")];
  return ys.map((y) => xs.map((x) => {
    [point.x, point.y] = [x, y];
    return regions.filter((region) => region.isPointInFill(point)).map((region) => Number(region.dataset.region));
  }));
}
"""


def middles(edges: list[float], log: bool, least: float, most: float, start: float, end: float) -> list[float]:
    """Middles of cells on the sheet."""
    places = np.log(edges) if log else np.asarray(edges)
    low, high = (np.log((least, most)) if log else (least, most))[:2]
    lie = start + (places - low) / (high - low) * (end - start)
    return [float(place) for place in (lie[1:] + lie[:-1]) / 2.0]


def cell_middles(drawing: Locator, map_: dict[str, Any]) -> tuple[list[float], list[float]]:
    left, top, right, bottom = (float(edge) for edge in (drawing.get_attribute("data-frame") or "").split())
    x, y = map_["x"], map_["y"]
    return (
        middles(map_["x_edges"], x["log"], x["least"], x["most"], left, right),
        middles(map_["y_edges"], y["log"], y["least"], y["most"], bottom, top),
    )


@pytest.mark.parametrize("width", [330, 720])
def test_every_cell_belongs_to_its_region_alone(width: int, open_page: OpenPage) -> None:
    map_ = map_of()
    drawing = draw_map(open_page("notices/"), map_, width)
    owners = drawing.evaluate(OWNERS, list(cell_middles(drawing, map_)))
    assert owners == [[[] if cell < 0 else [cell] for cell in row] for row in map_["cells"]]
    assert drawing.locator("[data-mark=regions] > path").count() == len(map_["regions"])
    assert drawing.evaluate(CROSSING) == []


def test_a_letter_lies_within_its_region_and_in_the_legend(open_page: OpenPage) -> None:
    map_ = map_of(stations="12")
    page = open_page("notices/")
    drawing = draw_map(page, map_, 640)
    found = drawing.locator("[data-mark=letter]").evaluate_all(
        """(all) => all.map((entry) => {
          const disc = entry.querySelector("circle");
          return [entry.textContent, disc.cx.baseVal.value, disc.cy.baseVal.value];
        })"""
    )
    assert [letter for letter, _, _ in found] == list("ABCDEFGHIJKL")
    owners = drawing.evaluate(OWNERS, [[x for _, x, _ in found], [y for _, _, y in found]])
    assert [owners[index][index] for index in range(12)] == [[index] for index in range(12)]
    legend = page.locator(".bp-map .bp-legend li").all_text_contents()
    letters = zip("ABCDEFGHIJKL", map_["regions"], strict=True)
    assert legend == [*(f"{letter}: {region}" for letter, region in letters), map_["nowhere"]]


def test_regions_differ_without_colour(open_page: OpenPage) -> None:
    drawing = draw_map(open_page("notices/"), map_of(stations="12"), 640)
    looks = drawing.locator("pattern").evaluate_all(
        """(all) => all.map((pattern) => {
          const path = pattern.querySelector("path");
          return ["width", "patternTransform"].map((name) => pattern.getAttribute(name))
            .concat(["d", "stroke-width"].map((name) => path.getAttribute(name))).join(" ");
        })"""
    )
    assert len(looks) == 12
    assert len(set(looks)) == 12


def test_a_map_is_read_by_keys_and_pointer(open_page: OpenPage, site: str, site_folder: Path) -> None:
    page = open_page("notices/", viewport={"width": 1280, "height": 1400})
    trial(page, site, site_folder, {"question": "map", "dial": "42"})
    map_ = map_of(dial="42")
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready")

    def text(row: int, column: int) -> str:
        region = map_["cells"][row][column]
        name = map_["nowhere"] if region < 0 else map_["regions"][region]
        return f"Dial {map_['x_texts'][column]}, Link {map_['y_texts'][row]}: {name}"

    row = int(np.searchsorted(map_["y_edges"], 12e-12)) - 1
    column = int(np.searchsorted(map_["x_edges"], 42.0)) - 1
    readout = page.locator(".bp-readout")
    page.get_by_role("application", name="Which station is in the clear").focus()
    steps = (
        ("ArrowRight", 0, 0), ("ArrowRight", 0, 1), ("ArrowUp", 1, 1), ("PageDown", -9, 1), ("PageUp", 1, 1),
    )  # fmt: skip
    for key, up, along in steps:
        page.keyboard.press(key)
        expect(readout).to_have_text(text(row + up, column + along))
    page.keyboard.press("End")
    expect(readout).to_have_text(text(row + 1, 59))
    assert page.locator(".bp-cursor").count() == 1
    page.keyboard.press("Escape")
    expect(readout).to_have_text("")
    drawing = page.locator(".bp-svg:visible")
    xs, ys = cell_middles(drawing, map_)
    bounds, wide = drawing.bounding_box(), float(drawing.get_attribute("width") or 0)
    assert bounds is not None
    scale = bounds["width"] / wide
    drawing.scroll_into_view_if_needed()
    bounds = drawing.bounding_box()
    assert bounds is not None
    page.mouse.move(bounds["x"] + xs[7] * scale, bounds["y"] + ys[12] * scale)
    expect(readout).to_have_text(text(12, 7))


# --- what stands, stays -------------------------------------------------------------------------------------------


def test_parts_that_say_the_same_are_left_alone(open_page: OpenPage, site: str, site_folder: Path) -> None:
    page = open_page("notices/")
    trial(page, site, site_folder)
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready")
    mark = "() => document.querySelectorAll('.bp-result *').forEach((entry) => { entry.old = true; })"
    old = "(selector) => [...document.querySelectorAll(selector)].map((entry) => entry.old === true)"
    page.evaluate(mark)
    page.locator("#trial-dial").fill("43")
    settle(page)
    assert page.evaluate(old, ".bp-bars svg.bp-svg") == [False]
    assert page.evaluate(old, ".bp-bars, .bp-advice, .bp-rows, .bp-rows td") == [True] * 5
    expect(page.locator(".bp-rows td").first).to_have_text("43")
    page.evaluate(mark)
    page.locator("#trial-dial").fill("43.0")
    settle(page)
    assert all(page.evaluate(old, ".bp-result *"))


def test_a_chart_that_is_drawn_anew_keeps_the_focus(open_page: OpenPage, site: str, site_folder: Path) -> None:
    page = open_page("notices/")
    trial(page, site, site_folder, {"question": "trade-off"})
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready")
    page.locator(".bp-plot").focus()
    page.keyboard.press("Home")
    expect(page.locator(".bp-readout")).not_to_have_text("")
    page.evaluate(
        """() => {
          const field = document.querySelector("#trial-link");
          field.value = "30 pF";
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )
    settle(page)
    expect(page.locator(".bp-readout")).to_have_text("")
    expect(page.locator(".bp-plot")).to_be_focused()
    page.keyboard.press("ArrowRight")
    chart = run("trial", {"question": "trade-off", "link": "30 pF"})["charts"][0]
    expect(page.locator(".bp-readout")).to_have_text(f"loudness, {chart['series'][0]['texts'][0]}")


@pytest.mark.parametrize("question", ["dial", "trade-off", "map"])
@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 1280), ("light", 320)])
def test_axe_finds_nothing_and_nothing_is_too_wide(
    question: str, scheme: str, width: int, open_page: OpenPage, site: str, site_folder: Path
) -> None:
    page = open_page("notices/", color_scheme=scheme, viewport={"width": width, "height": 900}, bypass_csp=True)
    trial(page, site, site_folder, {"question": question, "stations": "12"}, {"link": "20 pF"})
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready")
    page.locator("#trial-link").fill("13 pF")
    settle(page)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    names = page.evaluate("() => [...document.querySelectorAll('[id]')].map((entry) => entry.id)")
    assert len(names) == len(set(names))
