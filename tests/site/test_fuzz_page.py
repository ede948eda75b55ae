"""A thousand inputs, most of them hostile, in the page: answered or refused by field, and never markup or script."""

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.bridge import run
from calc.forms import FORMS
from tests.hostile import MARKUP, hostile_input, hostile_word, seeded
from tests.site.conftest import OpenPage
from tests.site.form_page import fill, settle, shown, wait_until

COUNTS = dict.fromkeys(FORMS, 52) | {"receiver": 40, "aerial": 66, "correct-model": 10}
MILLISECONDS = 60_000
"""That no answer may be outstanding for; a browser on a busy machine is slow, and what hangs never comes."""

# Fills in each set of texts as typing does; gives for each the answer, and the elements that the page must not hold.
ASK_ALL = """async ([inputs, limit]) => {
    const section = document.querySelector("section.bp");
    const form = section.querySelector("form");
    const odds = "script:not(.bp-data), iframe, img, b, object, embed, [onerror], [onload], [href^='javascript']";
    const found = [];
    for (const texts of inputs) {
        for (const control of section.querySelectorAll("[name]")) {
            if (!(control.name in texts)) continue;
            if (control.type === "radio") control.checked = control.value === texts[control.name];
            else control.value = texts[control.name];
        }
        const detail = await new Promise((resolve, reject) => {
            const timer = setTimeout(() => reject(new Error("no answer to " + JSON.stringify(texts))), limit);
            const done = (event) => { clearTimeout(timer); resolve(event.detail); };
            section.addEventListener("bp:answer", done, { once: true });
            form.dispatchEvent(new Event("input", { bubbles: true }));
        });
        const odd = [...section.querySelectorAll(odds)];
        found.push({ ...detail, odd: odd.map((element) => element.outerHTML.slice(0, 200)) });
    }
    return found;
}"""


def clean(text: str) -> str:
    """What can cross to a browser by this road: no half of a pair of surrogates."""
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


@pytest.mark.parametrize("form_id", FORMS)
def test_hostile_inputs_in_the_page(form_id: str, open_page: OpenPage) -> None:
    form = FORMS[form_id]
    page = open_page(f"forms/{form_id}/", live=True)
    title = page.title()
    inputs = []
    for seed in range(COUNTS[form_id]):
        texts = {name: clean(text) for name, text in hostile_input(form, seeded(1000 + seed)).items()}
        inputs.append({**form.defaults(), **{name: text for name, text in texts.items() if name in form.defaults()}})
    found = page.evaluate(ASK_ALL, [inputs, MILLISECONDS])
    assert len(found) == COUNTS[form_id]
    good = 0
    for asked in found:
        answer = asked["answer"]
        assert asked["odd"] == []
        assert "NaN" not in json.dumps(answer)
        assert "Infinity" not in json.dumps(answer)
        good += answer["ok"]
        if not answer["ok"]:
            assert answer["errors"].keys() <= form.defaults().keys(), answer
            assert answer["errors"]
        # what a control made of a text is what was asked, natively too
        assert answer["ok"] == run(form_id, asked["texts"])["ok"], asked["texts"]
    # readings made by chance contradict each other, and are refused
    assert good > COUNTS[form_id] // 10 or form_id == "correct-model"
    assert page.title() == title
    assert page.locator("html").get_attribute("data-calculations") == "ready"
    fill(page, form_id, form.defaults())
    assert shown(page, form_id)["errors"] == {}


def test_a_thousand() -> None:
    assert sum(COUNTS.values()) == 1000


NAMES = [*(word for word in MARKUP if '"' not in word), "x\u0000y", "\u202eleft", "N" * 10_000, "👩‍👩‍👧 İß"]


def test_stations_may_be_called_anything(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", live=True)
    title = page.title()
    for start in range(0, len(NAMES), 6):
        names = NAMES[start : start + 6]
        rows = [f"{name}; {600 + 100 * place} kHz; 1 kW; {10 + place} km; ;" for place, name in enumerate(names)]
        texts = {"stations": "\n".join(rows)}
        detail = fill(page, "receiver", texts)
        native = run("receiver", detail["texts"])
        assert detail["answer"]["ok"] == native["ok"]
        if native["ok"]:
            assert shown(page, "receiver")["sentence"] == native["sentence"]
        assert page.locator("section.bp").locator("script:not(.bp-data), img, b, i, svg[onload]").count() == 0
    assert page.title() == title


@pytest.mark.parametrize("seed", range(4))
def test_an_address_is_data_only(seed: int, open_page: OpenPage) -> None:
    source = seeded(seed)
    names = [*("turns", "shape", "stations", "__proto__", "constructor", "<b>", "coil-2.turns", "bare ")]
    script = "(parts) => '?' + new URLSearchParams(parts).toString()"
    blank = open_page("notices/")
    pairs = [[name, clean(hostile_word(source))[:2000]] for name in names]
    pairs += [["wire", word] for word in MARKUP]
    page = open_page(f"forms/coil/{blank.evaluate(script, pairs)}", live=True)
    settle(page)
    assert page.title() != "1"
    assert page.locator(".bp-notice").first.locator("b, script, img").count() == 0
    expect(page.locator(".bp-answer .bp-notice")).to_contain_text("__proto__")
    found = page.locator("section.bp")
    assert found.locator("script:not(.bp-data), img, iframe, svg[onload]").count() == 0


def choose(page: Page, folder: Path, content: bytes) -> None:
    """Opens a file of this content as a design."""
    file = folder / "<b>design<b>.json"
    file.write_bytes(content)
    page.locator("input[type=file]").set_input_files(file)


NESTED = b'{"borrowed-power": 1, "form": "coil", "fields": ' + b"[" * 200_000 + b"]" * 200_000 + b"}"
DESIGNS: list[tuple[str, Any, str]] = [
    ("50 MB", b" " * 50_000_000, "too large"),
    ("nested", NESTED, "This file"),
    ("list", [1, 2], "not a design"),
    ("null", None, "not a design"),
    ("newer", {"borrowed-power": 99, "form": "coil", "fields": {}}, "of version 99"),
    ("older", {"borrowed-power": 0, "form": "coil", "fields": {}}, "of version 0"),
    ("strange version", {"borrowed-power": {"a": ["<b>"] * 1000}, "form": "coil"}, "of version"),
    ("form no text", {"borrowed-power": 1, "form": {"toString": 1}, "fields": {}}, "for the form"),
    ("fields no record", {"borrowed-power": 1, "form": "coil", "fields": ["60"]}, "no fields"),
    ("number", {"borrowed-power": 1, "form": "coil", "fields": {"turns": 60}}, "must be text"),
    ("strangers", {"borrowed-power": 1, "form": "coil", "fields": {"<img src=x>" + "y" * 900: "1"}}, "does not have"),
    ("proto", b'{"borrowed-power": 1, "form": "coil", "fields": {"__proto__": {"turns": "1"}}}', "does not have"),
]


def test_hostile_design_files_are_refused_in_a_sentence(open_page: OpenPage, tmp_path: Path) -> None:
    page = open_page("forms/coil/", live=True)
    fill(page, "coil", {"turns": "77"})
    for name, content, words in DESIGNS:
        choose(page, tmp_path, content if isinstance(content, bytes) else json.dumps(content).encode())
        notice = page.locator(".bp-answer .bp-notice")
        expect(notice).to_contain_text(words)
        assert len(notice.inner_text()) < 300, name
        assert page.locator("[name=turns]").input_value() == "77", name
        page.evaluate("document.querySelector('.bp-answer .bp-notice').replaceChildren()")
    assert page.evaluate("({}).turns === undefined")
    markup = {"borrowed-power": 1, "form": "coil", "fields": {"turns": MARKUP[1]}}
    choose(page, tmp_path, json.dumps(markup).encode())
    wait_until(page, "document.querySelector('[name=turns]').value.startsWith('<img')")
    settle(page)
    assert "turns" in shown(page, "coil")["errors"]
    assert page.locator("section.bp img").count() == 0
