"""For everyone: the job by keyboard, less movement, forced colours, order, spacing, targets, names."""

import re
from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.site.conftest import STILL, OpenPage
from tests.site.form_page import settle, typed_texts, wait_until
from tests.site.test_form_editing import NAME, SEEN
from tests.site.test_pages import addresses as addresses

KINDS = ["", "chapters/coil/", "chapters/whole-set/", "forms/", "forms/receiver/", "forms/coil/", "clubs/", "sources/"]
"""Pages of every kind."""


@pytest.fixture(scope="module")
def narrow(open_shared_page: OpenPage) -> Page:
    """A page of a window 1280 px wide at 400 %."""
    return open_shared_page("", viewport={"width": 320, "height": 256}, script=STILL)


@pytest.fixture(scope="module")
def wide(open_shared_page: OpenPage) -> Page:
    """A page of an ordinary window."""
    return open_shared_page("", viewport={"width": 1280, "height": 800}, script=STILL)


# --- by keyboard --------------------------------------------------------------------------------------------------


def test_the_whole_job_by_keyboard_alone(open_page: OpenPage) -> None:
    """From the front page to a set with another coil, its dial turned, its best setting asked for, its link copied."""
    page = open_page("", viewport={"width": 1280, "height": 900}, permissions=["clipboard-read", "clipboard-write"])

    def tab_to(wanted: str, most: int = 200) -> None:
        for _ in range(most):
            page.keyboard.press("Tab")
            assert page.evaluate(SEEN), f"{page.evaluate(NAME)} has the focus out of sight"
            if page.evaluate(NAME).strip().startswith(wanted):
                return
        pytest.fail(f"{wanted} cannot be reached")

    def sentence_is_native(**wanted: str) -> None:
        settle(page)
        texts = typed_texts(page)
        assert texts | wanted == texts
        expect(page.locator(".bp-sentence")).to_have_text(run("receiver", texts)["sentence"])

    tab_to("All forms")
    page.keyboard.press("Enter")
    page.wait_for_url("**/forms/")
    tab_to(FORMS["receiver"].title)
    page.keyboard.press("Enter")
    page.wait_for_url("**/forms/receiver/")
    expect(page.locator("html")).to_have_attribute("data-calculations", "ready", timeout=60_000)
    tab_to("Each station")
    page.keyboard.press("ArrowRight")
    sentence_is_native(question="dial")
    coils = [choice.value for choice in FORMS["receiver"].field("coil").choices]
    tab_to("Coil")
    page.keyboard.press("ArrowDown")
    sentence_is_native(coil=coils[coils.index(FORMS["receiver"].defaults()["coil"]) + 1])
    tab_to("Dial")
    if page.evaluate("document.activeElement.type") != "range":
        tab_to("Dial")
    dial = FORMS["receiver"].field("dial")
    page.keyboard.press("ArrowRight")
    sentence_is_native(dial=dial.stops[dial.stops.index(dial.default) + 1])
    for _ in range(200):
        page.keyboard.press("Shift+Tab")
        if page.evaluate("document.activeElement.name") == "question":
            break
    questions = [choice.value for choice in FORMS["receiver"].field("question").choices]
    for _ in range(questions.index("best") - questions.index("dial")):
        page.keyboard.press("ArrowRight")
    sentence_is_native(question="best")
    tab_to("Copy link")
    page.keyboard.press("Enter")
    expect(page.locator(".bp-said")).to_have_text(re.compile("copied"))
    link = page.evaluate("navigator.clipboard.readText()")
    assert "question=best" in link
    assert "coil=" in link


FOCUS_EACH_FROM_THE_END = """
async () => {
  const wanted = "a[href], button, input, select, textarea, summary, [tabindex]";
  const seen = (node) => node.checkVisibility({ visibilityProperty: true }) && node.tabIndex >= 0 && !node.disabled
    && node.getClientRects().length > 0;
  const hidden = [];
  for (const node of [...document.querySelectorAll(wanted)].filter(seen).reverse()) {
    if (node.type === "radio" && !node.checked) continue; // arrows lead there, not Tab
    node.focus();
    if (document.activeElement !== node) continue;
    const shown = node.type === "radio" ? node.nextElementSibling ?? node.labels[0] ?? node : node;
    const boxes = () => [...shown.getClientRects()].filter(({ width, height }) => width > 1 && height > 1);
    if (!boxes().length) continue;
    const own = [node, shown, ...(node.labels ?? [])];
    const parts = [0.05, 0.25, 0.5, 0.75, 0.95];
    const free = () => boxes().some((box) => parts.some((across) => parts.some((down) => {
      const top = document.elementFromPoint(box.left + across * box.width, box.top + down * box.height);
      return top && own.some((part) => part.contains(top));
    })));
    for (let waits = 0; !free() && waits < 20; waits += 1) { // the menu's height follows the scrolling
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    if (!free()) hidden.push(node.outerHTML.slice(0, 120));
  }
  return hidden;
}
"""


@pytest.fixture(scope="module")
def phone(open_shared_page: OpenPage) -> Page:
    """A page of a phone's window, where the answer's sentence stays below the form."""
    return open_shared_page("", viewport={"width": 360, "height": 740}, script=STILL)


@pytest.mark.parametrize("window", ["narrow", "phone", "wide"])
def test_nothing_covers_what_has_the_focus_and_nothing_goes_sideways(
    window: str, request: pytest.FixtureRequest, site: str
) -> None:
    page: Page = request.getfixturevalue(window)
    for address in KINDS:
        page.goto(site + address)
        assert page.evaluate(FOCUS_EACH_FROM_THE_END) == [], address
        width = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
        assert width[0] <= width[1], address


def test_the_menu_keeps_in_sight_what_it_is_looked_at_for(open_page: OpenPage) -> None:
    """The open page's link; and the link that has the focus, when the menu gets lower, as at the page's foot."""
    page = open_page("notices/", viewport={"width": 1280, "height": 500}, script=STILL)
    links, menu = page.locator(".bp-nav a"), page.locator(".md-sidebar--primary .md-sidebar__scrollwrap")
    expect(page.locator(".bp-nav [aria-current=page]")).to_be_in_viewport()
    expect(links.first).not_to_be_in_viewport()
    for height in (400, 150):
        menu.evaluate("(menu) => menu.scrollTo(0, 0)")
        links.nth(20).focus()
        menu.evaluate("(menu, height) => menu.style.setProperty('height', `${height}px`)", height)
        expect(links.nth(20)).to_be_in_viewport()


def test_no_key_of_a_single_letter_does_anything(open_page: OpenPage) -> None:
    """WCAG 2.2, 2.1.4: they come about unawares, from speech or by a slip. In a field they are letters."""
    page = open_page("chapters/coil/", viewport={"width": 1280, "height": 900})
    address, search = page.url, page.locator("input[name=query]")
    expect(page.locator("button.md-search__icon, .md-header button").first).to_be_attached()
    for key in "fsgpn/.,?":
        page.keyboard.press(key)
        page.wait_for_timeout(50)
        assert page.url == address, f"{key} leads away"
        expect(search).not_to_be_focused()
    search.focus()
    page.keyboard.type("fspn")
    expect(search).to_have_value("fspn")


def test_escape_leaves_the_search_so_that_it_opens_again(open_page: OpenPage) -> None:
    page = open_page("sources/", viewport={"width": 1280, "height": 900})
    search, found = page.locator("input[name=query]"), page.locator(".md-search-result__list")
    search.press_sequentially("coil")
    expect(found).to_be_visible()
    page.keyboard.press("Escape")
    expect(search).not_to_be_focused()
    search.click()
    expect(found).to_be_visible()


# --- less movement, forced colours, spacing -----------------------------------------------------------------------


def test_nothing_moves_where_less_movement_is_wanted(open_page: OpenPage, site: str) -> None:
    page = open_page("", reduced_motion="reduce", viewport={"width": 390, "height": 800})
    for address in KINDS:
        page.goto(site + address)
        moving = page.evaluate(
            """() => [...document.querySelectorAll("*")].filter((node) => {
              const style = getComputedStyle(node);
              const longer = (times) => times.split(",").some((time) => parseFloat(time) > 0);
              return longer(style.transitionDuration) || style.scrollBehavior === "smooth"
                || (style.animationName !== "none" && longer(style.animationDuration));
            }).map((node) => node.outerHTML.slice(0, 100))"""
        )
        assert moving == [], address


def test_forced_colours_leave_controls_their_borders_and_lines_their_differences(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/?question=dial", live=True, forced_colors="active")
    settle(page)
    bare = page.evaluate(
        """() => [...document.querySelectorAll("section.bp :is(input:not([type=radio], [type=file]), select, button)")]
          .filter((node) => node.checkVisibility() && node.type !== "range")
          .filter((node) => parseFloat(getComputedStyle(node).borderBottomWidth) < 1)
          .map((node) => node.outerHTML.slice(0, 100))"""
    )
    assert bare == []
    lines = page.evaluate(
        """() => [...document.querySelectorAll(".bp-svg")].filter((drawing) => drawing.clientWidth)
          .map((drawing) => [...drawing.querySelectorAll("g[data-mark=line] path")].map((path) => {
            const style = getComputedStyle(path);
            return [style.stroke, style.strokeDasharray, style.strokeWidth].join();
          }))"""
    )
    assert any(lines)
    for drawing in lines:
        assert len(set(drawing)) == len(drawing)
    checked = page.evaluate(
        """() => ["true", "false"].map((on) => {
          const input = [...document.querySelectorAll("[name=question]")].find((entry) => String(entry.checked) === on);
          const style = getComputedStyle(input.nextElementSibling);
          return [style.backgroundColor, style.color, style.borderBottomWidth, style.textDecorationLine].join();
        })"""
    )
    assert checked[0] != checked[1]


CLIPPED = """
() => [...document.querySelectorAll("main *, header *, footer *")].filter((node) => {
  const style = getComputedStyle(node);
  const hides = (way) => way === "hidden" || way === "clip";
  const words = [...node.childNodes].some((child) => child.nodeType === 3 && child.data.trim());
  const shown = node.checkVisibility({ visibilityProperty: true }) && node.clientWidth > 1;
  return words && shown && !node.closest("svg, .md-search, .md-tooltip2")
    && ((hides(style.overflowX) && node.scrollWidth > node.clientWidth + 1)
      || (hides(style.overflowY) && node.scrollHeight > node.clientHeight + 1));
}).map((node) => node.outerHTML.slice(0, 120))
"""
SPACING = (
    "* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }"
    "p { margin-bottom: 2em !important; }"
)
"""WCAG 2.2, success criterion 1.4.12."""


@pytest.mark.parametrize("width", [390, 1280])
def test_wider_spacing_of_text_loses_nothing(width: int, open_page: OpenPage, site: str) -> None:
    page = open_page("", viewport={"width": width, "height": 800}, bypass_csp=True, script=STILL)
    for address in KINDS:
        page.goto(site + address)
        page.add_style_tag(content=SPACING)
        assert page.evaluate(CLIPPED) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address


# --- targets, names, headings, order ------------------------------------------------------------------------------

SMALL = """
() => {
  const wanted = "a[href], button, input, select, textarea, summary, label.md-header__button, [role=slider]";
  const seen = (node) => node.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const words = (child) => child.nodeType === 3 && /[a-z]/i.test(child.data);
  const inSentence = (node) => node.matches("a") && getComputedStyle(node).display === "inline"
    && [...node.parentElement.childNodes].some(words);
  const shown = (node) => (node.type === "radio" ? node.nextElementSibling ?? node : node).getBoundingClientRect();
  const all = [...document.querySelectorAll(wanted)].filter(seen).map((node) => ({ node, box: shown(node) }))
    .filter(({ box }) => box.width > 1 && box.height > 1);
  const small = ({ box }) => box.width < 24 - 0.05 || box.height < 24 - 0.05;
  // from the middle of a small target to the nearest point of another, or of the other's circle if that is small too
  const gap = (a, b) => {
    const [x, y] = [a.box.left + a.box.width / 2, a.box.top + a.box.height / 2];
    if (small(b)) return Math.hypot(b.box.left + b.box.width / 2 - x, b.box.top + b.box.height / 2 - y) - 12;
    return Math.hypot(Math.max(b.box.left - x, 0, x - b.box.right), Math.max(b.box.top - y, 0, y - b.box.bottom));
  };
  const apart = (a, b) => !a.node.contains(b.node) && !b.node.contains(a.node);
  return all.filter((entry) => small(entry) && !inSentence(entry.node)
    && all.some((other) => apart(entry, other) && gap(entry, other) < 12 - 0.05))
    .map(({ node, box }) => `${Math.round(box.width)} x ${Math.round(box.height)}: ${node.outerHTML.slice(0, 120)}`);
}
"""


@pytest.mark.parametrize("width", [390, 1280])
def test_what_is_pointed_at_is_large_enough_or_stands_free(width: int, open_page: OpenPage, site: str) -> None:
    """24 px each way, or a circle of that width about its middle that meets no other; links in sentences are free."""
    page = open_page("", viewport={"width": width, "height": 800}, script=STILL)
    for address in KINDS:
        page.goto(site + address)
        if "/" in address and page.locator("section.bp").count():
            wait_until(page, "document.querySelector('.bp-tools')")
        assert page.evaluate(SMALL) == [], address


MUST_BE_NAMED = {
    "button", "link", "textbox", "combobox", "listbox", "slider", "radio", "checkbox", "searchbox", "spinbutton",
    "DisclosureTriangle", "region", "application", "radiogroup", "navigation",
}  # fmt: skip
HEADINGS = """
() => [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")].filter((head) => head.checkVisibility())
  .map((head) => Number(head.tagName[1]))
"""


def nameless(page: Page) -> list[str]:
    """Roles of what stands in the accessibility tree without a name, though it needs one."""
    session = page.context.new_cdp_session(page)
    nodes: list[dict[str, Any]] = session.send("Accessibility.getFullAXTree")["nodes"]
    session.detach()
    assert len(nodes) > 20
    return [
        node["role"]["value"]
        for node in nodes
        if not node["ignored"]
        and node["role"]["value"] in MUST_BE_NAMED
        and not node.get("name", {}).get("value", "").strip()
    ]


ORDER = """
// Without style: a label before its field, that before its error; the form before its answer, that before its pictures.
() => {
  const before = (a, b) => Boolean(a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING);
  const wrong = [];
  for (const field of document.querySelectorAll("section.bp .bp-field")) {
    const parts = ["label, legend", ".bp-control, input, select, textarea", ".bp-error"];
    const [label, control, error] = parts.map((part) => field.querySelector(part));
    if (!before(label, control) || !before(control, error)) wrong.push(field.dataset.field);
  }
  for (const section of document.querySelectorAll("section.bp")) {
    const parts = [".bp-form", ".bp-sentence", ".bp-result"].map((part) => section.querySelector(part));
    if (!before(parts[0], parts[1]) || !before(parts[1], parts[2])) wrong.push(section.dataset.name);
    const figures = [...parts[2].querySelectorAll("text, p, td")];
    if (!figures.length) wrong.push(`${section.dataset.name} has no answer`);
  }
  return wrong;
}
"""


def test_controls_have_names_headings_come_in_order_and_so_does_all_without_style(
    addresses: list[str], wide: Page, site: str
) -> None:
    for address in addresses:
        wide.goto(site + address)
        assert nameless(wide) == [], address
        assert wide.locator("html").get_attribute("lang") == "en"
        levels = wide.evaluate(HEADINGS)
        assert levels[0] == 1, address
        assert levels.count(1) == 1, address
        assert all(after <= before + 1 for before, after in pairwise(levels)), f"{address} {levels}"
        assert wide.evaluate(ORDER) == [], address


# --- numbers ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("form", "texts"),
    [
        ("coil", {"former": "2 61/64 in", "pitch": "0,8 mm", "frequency": "1,0 MHz", "turns": "60,5"}),
        ("aerial", {"height": "23 ft", "span": "16,4 yd", "earth_resistance": "0,06 kΩ"}),
        ("receiver", {"height": "7,5 m", "span": "49 ft 2 1/2 in", "dial": "35,5"}),
    ],
)
def test_commas_feet_and_inches_in_the_page(form: str, texts: dict[str, str], open_page: OpenPage) -> None:
    page = open_page(f"forms/{form}/", live=True)
    for name, text in texts.items():
        page.locator(f"section.bp [name={name}]").evaluate(
            "(field, text) => { field.value = text; field.dispatchEvent(new Event('input', { bubbles: true })); }", text
        )
    settle(page)
    native = run(form, texts)
    assert native["ok"], native
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"])
    assert page.locator(".bp-error:visible").count() == 0
