"""The chapters are one book: the same sections in the same order, and each within one step of the front page."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from playwright.sync_api import expect

from calc.forms import FORMS
from site_overrides.pages.drawings import DRAWINGS
from site_overrides.pages.terms import glossary_terms, with_terms
from tests.site.conftest import PROJECT, OpenPage

CHAPTERS = sorted((PROJECT / "docs" / "chapters").glob("*.md"))
SECTIONS = [
    "What you decide here",
    "Rule of thumb",
    "The form",
    "What happens inside",
    "How it is worked out",
    "Where it stops being true",
    "Something to try",
    "Questions",
    "The next decision",
]
each_chapter = pytest.mark.parametrize("chapter", CHAPTERS, ids=lambda path: path.stem)


def section(text: str, name: str) -> str:
    """What stands under a heading of the second level."""
    return re.split(r"^## ", text.split(f"\n## {name}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]


class Headings(HTMLParser):
    """The ids of a page, in order."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for name, value in attrs if name == "id" and value]


@each_chapter
def test_sections_stand_in_one_order(chapter: Path) -> None:
    found = re.findall(r"^## (.+)$", chapter.read_text(encoding="utf-8"), re.MULTILINE)
    assert [name for name in found if name in SECTIONS] == SECTIONS


@each_chapter
def test_chapter_has_form_drawing_experiments_questions_and_a_way_on(chapter: Path) -> None:
    text = chapter.read_text(encoding="utf-8")
    assert "[[form " in text
    assert re.search(r"\[\[(drawing|figure) ", section(text, "What happens inside"))
    assert len(re.findall(r"^\* ", section(text, "Something to try"), re.MULTILINE)) >= 3
    assert len(re.findall(r"^\?\?\? question ", section(text, "Questions"), re.MULTILINE)) >= 3
    assert re.search(r"\]\([^)]*\.md", section(text, "The next decision"))


def test_front_page_reaches_every_chapter_in_the_order_of_the_book(site_folder: Path) -> None:
    front = (PROJECT / "docs" / "index.md").read_text(encoding="utf-8")
    listed = re.findall(r"^\d+\. \[[^]]+\]\(chapters/([a-z-]+)\.md\)", front, re.MULTILINE)
    book = re.findall(r"- chapters/([a-z-]+)\.md", (PROJECT / "mkdocs.yml").read_text(encoding="utf-8"))
    assert listed == book
    assert sorted(listed) == [chapter.stem for chapter in CHAPTERS]


def test_every_form_is_reached_from_a_chapter() -> None:
    text = "\n".join(chapter.read_text(encoding="utf-8") for chapter in CHAPTERS)
    reached = set(re.findall(r"\[\[form ([a-z-]+)", text)) | set(re.findall(r"\.\./forms/([a-z-]+)\.md", text))
    assert reached == set(FORMS)


def test_every_drawing_of_the_chapters_is_used_and_told_in_words() -> None:
    text = "\n".join(chapter.read_text(encoding="utf-8") for chapter in CHAPTERS)
    assert set(re.findall(r"\[\[figure ([a-z-]+)\]\]", text)) == set(DRAWINGS)
    for drawing in DRAWINGS.values():
        assert len(drawing.description.split()) >= 20


def test_every_word_of_the_glossary_has_a_place(site_folder: Path) -> None:
    terms = glossary_terms((PROJECT / "docs" / "glossary.md").read_text(encoding="utf-8"))
    ids = Headings((site_folder / "glossary" / "index.html").read_text(encoding="utf-8")).ids
    assert len(terms) >= 40
    assert {term.id for term in terms} <= set(ids)
    letters = [re.sub(r"[^a-z]", "", term.name.lower()) for term in terms]
    assert letters == sorted(letters)


def test_words_are_linked_once_and_nothing_else_is_touched() -> None:
    terms = glossary_terms("Tap { #tap }\n:   A connection. [The coil](chapters/coil.md)\n\nQ { #q }\n:   Sharpness.\n")
    html = '<h2>Tap</h2><p>A <b>tap</b> &amp; two taps,<br/> <a href="#">Q</a><!-- Q --> tapped; Q &#8211; Q.</p>'
    linked = with_terms(html, terms, "../glossary/")
    assert re.findall(r'href="\.\./glossary/(#[a-z]+)"', linked) == ["#tap", "#q"]
    assert ">A connection.</span>" in linked
    tips = re.sub(r'<span class="bp-term__tip".*?</span>', "", linked)
    assert re.sub(r'<span class="bp-term"><a [^>]*>(\w+)</a></span>', r"\1", tips) == html


def test_meaning_shows_for_the_keyboard_and_escape_puts_it_away(open_page: OpenPage) -> None:
    page = open_page("chapters/link/")
    word = page.locator(".bp-term > a").first
    meaning = page.locator(f"#{word.get_attribute('aria-describedby')}")
    expect(meaning).not_to_be_visible()
    word.focus()
    expect(meaning).to_be_visible()
    page.keyboard.press("Escape")
    expect(meaning).not_to_be_visible()
    word.blur()
    word.hover()
    expect(meaning).to_be_visible()


def test_the_pointer_may_go_from_a_word_to_its_meaning(open_page: OpenPage) -> None:
    """WCAG 2.2, 1.4.13: it stays while the pointer is on it."""
    page = open_page("chapters/link/")
    word = page.locator(".bp-term > a").first
    meaning = page.locator(f"#{word.get_attribute('aria-describedby')}")
    word.hover()
    expect(meaning).to_be_visible()
    page.mouse.move(5, 5)  # off it at once, as in the gap between the two
    meaning.hover()
    page.evaluate("() => new Promise((done) => setTimeout(done, 600))")
    expect(meaning).to_be_visible()
    page.mouse.move(5, 5)
    expect(meaning).not_to_be_visible()
