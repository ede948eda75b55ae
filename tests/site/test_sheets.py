"""Sheets to print: printed by the browser as a reader would, and measured in the document that comes out."""

import json
import math
from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc import bridge
from calc.forms import FORMS
from calc.forms.sheets import PAPERS
from calc.forms.sheets.paper import HEAD, SIDE
from tests.site.conftest import OpenPage
from tests.site.form_page import fill, wait_until
from tests.site.printed import PrintedPage, Stroke, printed
from tests.site.test_pages import violations

TOLERANCE = 0.1
"""Millimetres that what is at true size may be off by."""
DISTRICT = (
    "Aldermoss; 612 kHz; 1 kW; 14 km;\nBrackwater; 666 kHz; 5 kW; 32 km;\nCastle Quoy; 747 kHz; 1 kW; 33 km;\n"
    "Dunnock Fell and the islands; 756 kHz; 1 kW; 33 km;\nElmstead; 765 kHz; 1 kW; 33 km;\n"
    "Grane; 900 kHz; 1 kW; 33 km;\nHexley; 1215 kHz; 1 kW; 33 km;\nIvel; 1224 kHz; 1 kW; 33 km;"
)
NO_PRINTER = "window.print = () => { window.asked = (window.asked ?? 0) + 1; };"


@pytest.fixture(scope="module")
def pages(open_shared_page: OpenPage) -> dict[str, Page]:
    """A live page of each form that has sheets, its printing only counted."""
    forms = [form.id for form in FORMS.values() if form.sheets]
    found = {form: open_shared_page(f"forms/{form}/", live=True, script=NO_PRINTER) for form in forms}
    for page in found.values():
        page.locator(".bp-prints > summary").click()
    return found


@pytest.fixture(autouse=True)
def _put_away(pages: dict[str, Page]) -> Iterator[None]:
    """Each test begins with the form."""
    yield
    for page in pages.values():
        if page.locator(".bp-paper").count():
            page.get_by_role("button", name="Back to the form").click()


def ask(page: Page, form: str, texts: dict[str, str], key: str) -> None:
    """Fills the form, and asks for a sheet as a reader does."""
    fill(page, form, FORMS[form].defaults() | texts)
    page.locator(f"[data-sheet={key}]").click()
    expect(page.locator(".bp-leaf")).to_be_visible()


def document(page: Page) -> list[PrintedPage]:
    """What the printer would be given."""
    return printed(page.pdf(prefer_css_page_size=True, print_background=True))


def sheet_of(form: str, texts: dict[str, str], key: str) -> dict[str, Any]:
    found = json.loads(bridge.sheet_json(form, json.dumps(texts), key))
    assert found["ok"], found
    sheet: dict[str, Any] = found["sheet"]
    return sheet


def level(pages: list[PrintedPage], length: float) -> list[tuple[PrintedPage, Stroke]]:
    """Lying strokes of a length, by page."""
    return [(p, s) for p in pages for s in p.strokes() if s.is_level and abs(s.length - length) < 2.0 * TOLERANCE]


def check_pages(pages: list[PrintedPage], paper: str, turned: bool = False) -> None:
    """Of the paper's size; all ink within its margins; none empty."""
    width, height = PAPERS[paper].width, PAPERS[paper].height
    side, head = SIDE, HEAD
    if turned:
        width, height, side, head = height, width, HEAD, SIDE
    for page in pages:
        assert page.width == pytest.approx(width, abs=0.3)
        assert page.height == pytest.approx(height, abs=0.3)
        left, top, right, bottom = page.ink_within()
        assert left >= side - 0.5
        assert top >= head - 0.5
        assert right <= width - side + 0.5
        assert bottom <= height - head + 0.5


def check_bars(pages: list[PrintedPage]) -> None:
    """The bars are 100 mm and 4 in long, and so are their parts."""
    for length, parts in ((100.0, 10), (101.6, 4)):
        [(page, bar)] = [
            (p, s)
            for p, s in level(pages, length)
            if sum(r.is_upright and abs(0.5 * (r.start[1] + r.end[1]) - s.start[1]) < 0.05 for r in p.strokes()) > parts
        ]
        assert bar.length == pytest.approx(length, abs=TOLERANCE)
        stands = sorted(
            r.start[0]
            for r in page.strokes()
            if r.is_upright and abs(0.5 * (r.start[1] + r.end[1]) - bar.start[1]) < 0.05 and r.length < 6.0
        )
        assert len(stands) == parts + 1
        for index, x in enumerate(stands):
            assert x - stands[0] == pytest.approx(length * index / parts, abs=TOLERANCE)


SHEETS = [
    ("coil", "winding", {}, 1),
    ("coil", "winding", {"turns": "500", "pitch": "0.6", "taps": "10, 20, 30, 200.5", "leads": "200"}, 2),
    ("coil", "winding", {"shape": "scramble"}, 1),
    ("receiver", "winding", {"link": "winding"}, 2),
    ("coil-pair", "winding", {"second_shape": "spiral", "distance": "100 mm"}, 2),
    (
        "receiver",
        "circuit",
        {"trap": "acceptor", "lead": "coil", "transformer": "yes", "cure": "yes", "link": "pair"},
        1,
    ),
    ("receiver", "dial", {"stations": DISTRICT, "law": "table"}, 2),
    ("receiver", "log", {"stations": DISTRICT}, 1),
]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("form", "key", "texts", "most_pages"), SHEETS)
def test_sheets_stand_whole_on_their_paper_and_nothing_else_does(
    form: str, key: str, texts: dict[str, str], most_pages: int, paper: str, pages: dict[str, Page]
) -> None:
    texts = texts | {"paper": paper}
    sheet = sheet_of(form, texts, key)
    ask(pages[form], form, texts, key)
    found = document(pages[form])
    assert len(found) <= most_pages
    check_pages(found, paper)
    whole = " ".join(" ".join(page.text().split()) for page in found)
    assert whole.startswith(sheet["title"])
    assert whole.endswith("Borrowed Power, a reference for receivers without a battery")
    for stranger in ("All forms", "Copy link", "Back to the form", "Turns through", "Left out"):
        assert stranger not in whole
    letters = "".join(whole.split())
    for block in sheet["blocks"]:
        said = [
            block.get("heading", ""),
            *block.get("paragraphs", []),
            *(cell for row in block.get("rows", []) for cell in row),
        ]
        for words in said:
            assert "".join(words.split()) in letters, words
    if any(block.get("true_size") for block in sheet["blocks"]):
        check_bars(found)


# --- the gauge ----------------------------------------------------------------------------------------------------


def strips(pages: list[PrintedPage]) -> list[tuple[PrintedPage, float, float, list[float], list[float]]]:
    """Each strip: its page, left and right end, and where strokes stand on its edge, all and the long ones."""
    found = []
    for page in pages:
        strokes = page.strokes()
        edges = [s for s in strokes if s.is_level and s.length > 25.0]
        for edge in edges:
            left, right = sorted((edge.start[0], edge.end[0]))
            y = edge.start[1]
            on = [
                s
                for s in strokes
                if s.is_upright and left + 1.0 < s.start[0] < right - 1.0 and abs(max(s.start[1], s.end[1]) - y) < 0.02
            ]
            if len(on) > 2:
                places = sorted(s.start[0] for s in on)
                found.append((page, left, right, places, sorted(s.start[0] for s in on if s.length > 7.0)))
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_a_gauge_is_at_true_size(paper: str, pages: dict[str, Page]) -> None:
    ask(pages["coil"], "coil", {"turns": "60", "pitch": "0.8", "taps": "10, 33.5", "paper": paper}, "winding")
    [(_, left, right, places, named)] = strips(document(pages["coil"]))
    start = left + 8.0
    wanted = sorted({0.8 * turn for turn in range(61)} | {0.8 * 33.5})
    assert [place - start for place in sorted({round(p, 4) for p in places})] == pytest.approx(wanted, abs=TOLERANCE)
    assert sorted({round(p - start, 1) for p in named}) == pytest.approx([0.0, 8.0, 26.8, 48.0], abs=TOLERANCE)
    assert right - left == pytest.approx(48.0 + 8.0 + 21.0, abs=TOLERANCE)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_gauge_comes_in_pieces_that_join(paper: str, pages: dict[str, Page]) -> None:
    """500 turns of 0.6 mm are 300 mm: laid on each other at their marks the pieces are as long."""
    ask(pages["coil"], "coil", {"turns": "500", "pitch": "0.6", "paper": paper}, "winding")
    found = document(pages["coil"])
    pieces = strips(found)
    assert len(pieces) == 3
    offset, covered = 0.0, set()
    for _, left, _, places, _ in pieces:
        start = left + 8.0
        for place in places:
            turn = round((place - start + offset) / 1.2) * 2
            at_join = min(abs(place - start - join) for join in (0.0, 10.0, 138.0, 148.0)) < TOLERANCE
            on_tick = abs(place - start + offset - 0.6 * turn) < TOLERANCE
            assert on_tick or at_join
            if on_tick:
                covered.add(turn)
        offset += 148.0 - 10.0
    assert covered >= set(range(0, 501, 2))
    for page in found:
        words = page.text()
        assert words.count("Gauge:") == sum(piece[0] is page for piece in pieces)


# --- the dial -----------------------------------------------------------------------------------------------------


def centre_of(page: PrintedPage) -> tuple[float, float]:
    """The middle of the cross on the spindle."""
    lying = [s for s in page.strokes() if s.is_level and abs(s.length - 8.0) < 0.1]
    standing = [s for s in page.strokes() if s.is_upright and abs(s.length - 8.0) < 0.1]
    [(x, y)] = {
        (round(one.start[0], 2), round(other.start[1], 2))
        for one in standing
        for other in lying
        if abs(0.5 * (other.start[0] + other.end[0]) - one.start[0]) < 0.05
        and abs(0.5 * (one.start[1] + one.end[1]) - other.start[1]) < 0.05
    }
    return x, y


def polar(place: tuple[float, float], centre: tuple[float, float]) -> tuple[float, float]:
    """Distance from a centre [mm], and angle clockwise from upright [degrees]."""
    x, y = place[0] - centre[0], place[1] - centre[1]
    return math.hypot(x, y), math.degrees(math.atan2(x, -y))


@pytest.mark.parametrize(
    ("paper", "radius", "sweep"),
    [("a4", 30.0, 180.0), ("letter", 42.0, 270.0), ("a4", 60.0, 180.0), ("letter", 65.0, 120.0)],
)
def test_a_dial_is_at_true_size(paper: str, radius: float, sweep: float, pages: dict[str, Page]) -> None:
    texts = {
        "stations": DISTRICT, "paper": paper, "knob_radius": f"{radius} mm", "dial_turn": f"{sweep}",
        "law": "wavelength",
    }  # fmt: skip
    sheet = sheet_of("receiver", texts, "dial")
    assert sheet["turned"] == (radius > 50.0)
    ask(pages["receiver"], "receiver", texts, "dial")
    found = document(pages["receiver"])
    check_pages(found, paper, sheet["turned"])
    check_bars(found)
    centre = centre_of(found[0])
    ends = [(polar(s.start, centre), polar(s.end, centre)) for s in found[0].strokes()]
    numbers = [
        b for a, b in (sorted(pair) for pair in ends) if abs(a[0] - radius - 2.0) < TOLERANCE and abs(a[1] - b[1]) < 0.2
    ]
    named = sorted(angle for reach, angle in numbers if reach > radius + 4.4)
    step = sweep / (len(named) - 1)
    for index, angle in enumerate(named):
        assert math.radians(angle - (index * step - 0.5 * sweep)) * radius == pytest.approx(0.0, abs=TOLERANCE)
    answer = bridge.run("receiver", texts)
    keys = [column["key"] for column in answer["tables"][0]["columns"]]
    dial = [row[keys.index("dial")]["value"] for row in answer["tables"][0]["rows"]]
    wanted = sorted((place / 100.0 - 0.5) * sweep for place in dial if place is not None)
    out = radius + 23.0
    bends = sorted(
        angle
        for (inner, angle), (outer, _) in (sorted(pair) for pair in ends)
        if abs(inner - radius - 19.0) < TOLERANCE and abs(outer - out) < TOLERANCE
    )
    assert len(bends) == len(wanted) > 5
    for angle, place in zip(bends, wanted, strict=True):
        assert math.radians(angle - place) * (radius + 19.0) == pytest.approx(0.0, abs=TOLERANCE)


WORDS = """
() => [...document.querySelectorAll(".bp-leaf [data-key=dial] text")].map((text) => {
  const { x, y, width, height } = text.getBBox();
  const lift = 0.2 * height; // of the line's height only the letters count
  const matrix = text.getScreenCTM();
  const corners = [[x, y + lift], [x + width, y + lift], [x + width, y + height - lift], [x, y + height - lift]];
  return [text.textContent, corners.map(([a, b]) => new DOMPoint(a, b).matrixTransform(matrix)).map((p) => [p.x, p.y])];
})
"""


def overlap(one: list[list[float]], other: list[list[float]]) -> bool:
    """Whether two turned boxes overlap: no side of either parts them."""
    for outline in (one, other):
        for (x, y), (to_x, to_y) in pairwise([*outline, outline[0]]):
            nx, ny = to_y - y, x - to_x
            a, b = ([px * nx + py * ny for px, py in part] for part in (one, other))
            if max(a) <= min(b) or max(b) <= min(a):
                return False
    return True


def test_words_of_a_dial_keep_clear_in_the_pages_own_type(pages: dict[str, Page]) -> None:
    crowd = "\n".join(f"Wmwidely {index}; {540 + 9 * index} kHz; 1 kW; 20 km;" for index in range(24))
    ask(pages["receiver"], "receiver", {"stations": crowd, "knob_radius": "20 mm"}, "dial")
    words = pages["receiver"].evaluate(WORDS)
    assert len(words) > 30
    for (one, a), (other, b) in combinations(words, 2):
        assert not overlap(a, b), (one, other)


# --- manners ------------------------------------------------------------------------------------------------------


def test_a_sheet_opens_prints_and_is_put_away_by_keyboard(pages: dict[str, Page]) -> None:
    page = pages["coil"]
    asked = page.evaluate("() => window.asked ?? 0")
    fill(page, "coil", FORMS["coil"].defaults())
    button = page.locator("[data-sheet=winding]")
    title = page.title()
    button.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".bp-leaf")).to_be_visible()
    wait_until(page, "(before) => window.asked === before + 1", asked)
    expect(page.get_by_role("button", name="Print", exact=True)).to_be_focused()
    expect(page.locator("section.bp")).not_to_be_visible()
    assert page.title() == "Winding sheet"
    page.keyboard.press("Enter")
    assert page.evaluate("() => window.asked") == asked + 2
    page.keyboard.press("Escape")
    expect(page.locator(".bp-leaf")).to_have_count(0)
    expect(button).to_be_focused()
    assert page.title() == title


def test_of_two_sheets_asked_for_at_once_the_last_is_shown(pages: dict[str, Page]) -> None:
    page = pages["receiver"]
    fill(page, "receiver", FORMS["receiver"].defaults())
    title = page.title()
    page.evaluate("for (const key of ['log', 'dial']) document.querySelector(`[data-sheet=${key}]`).click()")
    expect(page.locator(".bp-leaf").first).to_be_visible()
    assert page.title() == "Dial scale"
    wait_until(page, "document.querySelector('.bp-prints-said').textContent === ''")
    page.keyboard.press("Escape")
    expect(page.locator(".bp-paper")).to_have_count(0)
    assert page.title() == title


def test_a_sheet_that_cannot_be_is_refused_in_words(pages: dict[str, Page]) -> None:
    page = pages["receiver"]
    fill(page, "receiver", FORMS["receiver"].defaults() | {"knob_radius": "95 mm"})
    page.locator("[data-sheet=dial]").click()
    expect(page.locator(".bp-prints-said")).to_contain_text("mm at most for a scale that goes on this paper.")
    expect(page.locator(".bp-leaf")).to_have_count(0)


def test_what_is_wrong_with_a_sheets_field_is_seen(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?tails=long", live=True)
    expect(page.locator("#coil-tails-error")).to_be_visible(timeout=60_000)


def test_the_form_by_itself_prints_as_ever(pages: dict[str, Page]) -> None:
    found = document(pages["coil"])
    words = " ".join(page.text() for page in found)
    assert "Sheets to print" not in words
    assert "Inductance" in words


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 1280), ("light", 320)])
def test_axe_finds_nothing_on_a_sheet_and_nothing_is_too_wide(scheme: str, width: int, open_page: OpenPage) -> None:
    page = open_page(
        "forms/receiver/", live=True, color_scheme=scheme, viewport={"width": width, "height": 800}, bypass_csp=True,
        script=NO_PRINTER,
    )  # fmt: skip
    page.locator(".bp-prints > summary").click()
    assert violations(page) == []
    page.locator("[data-sheet=dial]").click()
    expect(page.locator(".bp-leaf")).to_be_visible()
    assert violations(page) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth")
    assert (
        page.evaluate("() => getComputedStyle(document.querySelector('.bp-leaf')).backgroundColor")
        == "rgb(255, 255, 255)"
    )


def test_without_scripts_no_sheet_is_offered(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", java_script_enabled=False)
    expect(page.locator(".bp-prints")).not_to_be_visible()
