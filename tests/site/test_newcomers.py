"""A newcomer's three tasks, from the front page by what can be read alone; what a beginner types into the search."""

import json
import re

import pytest
from playwright.sync_api import Page, expect

from calc import bridge
from calc.forms import FORMS
from tests.site.conftest import OpenPage

PHRASES = {
    "what can I hear without a battery": "what-a-set-can-do",
    "how far away can a station be": "what-a-set-can-do",
    "medium wave channels": "band-planning",
    "which coil for my tuning capacitor": "band-planning",
    "how many turns on the coil": "coil",
    "what wire should I use": "coil",
    "how strong is the signal at my house": "field",
    "ground wave at night": "field",
    "how long should the aerial be": "aerial-and-earth",
    "earth stake": "aerial-and-earth",
    "lightning": "aerial-and-earth",
    "tap or coupling coil": "link",
    "two stations too close together": "link",
    "which diode is best": "detector",
    "galena crystal": "detector",
    "headphones impedance": "earphone",
    "matching transformer": "earphone",
    "how loud will it be": "whole-set",
    "wind the coil step by step": "building",
    "soldering": "building",
    "measure the inductance": "measuring",
    "two stations at once": "faults",
    "nothing heard": "faults",
    "hum": "faults",
}


@pytest.fixture
def front(open_page: OpenPage) -> Page:
    """The front page, on a desk."""
    return open_page("", viewport={"width": 1280, "height": 900})


def follow(page: Page, text: str) -> None:
    """Follows a link in the page's text by its words."""
    page.locator("article").get_by_role("link", name=text, exact=True).first.click()


def test_will_i_hear_this_station(front: Page) -> None:
    follow(front, "The whole set")
    front.get_by_label("Station, row 1", exact=True).first.fill("Hillfoot")
    front.get_by_label("Frequency, row 1", exact=True).first.fill("810 kHz")
    front.get_by_label("Radiated power, row 1", exact=True).first.fill("2 kW")
    front.get_by_label("Distance, row 1", exact=True).first.fill("400 km")
    row = front.get_by_role("row").filter(has_text="Hillfoot").filter(has_text="810")
    lines = FORMS["receiver"].defaults()["stations"].splitlines()
    texts = {"stations": "\n".join(["Hillfoot; 810 kHz; 2 kW; 400 km;", *lines[1:]])}
    native = bridge.run("receiver", texts)
    table = next(table for table in native["tables"] if table["key"] == "stations")
    verdict = table["rows"][0][[column["key"] for column in table["columns"]].index("verdict")]["text"]
    expect(row.first).to_contain_text(verdict, timeout=60_000)
    expect(front.get_by_text(native["sentence"]).first).to_be_visible()


def test_how_many_turns_on_this_bottle(front: Page) -> None:
    follow(front, "The coil")
    front.get_by_label("Work out", exact=True).first.select_option(label=_label("coil", "find", "turns"))
    front.get_by_label(re.compile("^Former, outside diameter")).first.fill("82 mm")
    front.get_by_label(re.compile("^Wanted inductance")).first.fill("200 µH")
    native = bridge.run("coil", {"find": "turns", "former": "82 mm", "inductance": "200 µH"})
    assert re.search(r"\d", native["sentence"])
    expect(front.get_by_text(native["sentence"]).first).to_be_visible(timeout=60_000)


def test_why_do_i_hear_two_at_once(front: Page) -> None:
    follow(front, "Faults and cures")
    expect(front.get_by_role("heading", name=re.compile("^Two stations at once"))).to_be_visible()
    follow(front, "The trade-off")
    native = bridge.run("receiver", {"question": "trade-off", "link": "tap"})
    expect(front.get_by_text(native["sentence"]).first).to_be_visible(timeout=60_000)


def _label(form: str, field: str, value: str) -> str:
    return next(choice.label for choice in FORMS[form].field(field).choices if choice.value == value)


def test_search_finds_the_right_chapter_first(front: Page) -> None:
    box = front.locator("input[name=query]")
    first = front.locator(".md-search-result__link").first
    meta = front.locator(".md-search-result__meta")
    box.click()
    expect(meta).to_have_text("Type to start searching")
    wrong = {}
    for phrase, chapter in PHRASES.items():
        box.fill("")
        box.press("Backspace")
        expect(meta).to_have_text("Type to start searching")
        # Filled in at once, then one key: the search runs once, for the whole phrase.
        box.fill(phrase)
        box.press("End")
        expect(meta).to_have_text(re.compile("matching document"))
        address = first.evaluate("(link) => new URL(link.href).pathname")
        if f"/chapters/{chapter}/" not in address:
            wrong[phrase] = address
    assert not wrong, json.dumps(wrong, indent=1)
