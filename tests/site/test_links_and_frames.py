"""What others build on: answers as text, codes for links, frames that size themselves, design files with a schema."""

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from calc.bridge import run
from calc.forms import FORMS
from site_overrides.pages.schema import ADDRESS
from tests.site.conftest import PROJECT, START_UP, STILL, OpenPage, served
from tests.site.form_page import settle, wait_until
from tests.site.published_schema import valid

MODULES = PROJECT / "site_overrides" / "node_modules"
CLUBS = (PROJECT / "docs" / "clubs.md").read_text(encoding="utf-8")
EXAMPLE = "https://example.org/power/"
READ_CODE = """
async (svg) => {
  const side = 600;
  const image = new Image();
  const text = new XMLSerializer().serializeToString(svg).replace("<svg", `<svg width="${side}" height="${side}"`);
  image.src = `data:image/svg+xml,${encodeURIComponent(text)}`;
  await image.decode();
  const canvas = Object.assign(document.createElement("canvas"), { width: side, height: side });
  const paper = canvas.getContext("2d");
  paper.fillStyle = "#fff";
  paper.fillRect(0, 0, side, side);
  paper.drawImage(image, 0, 0, side, side);
  return jsQR(paper.getImageData(0, 0, side, side).data, side, side)?.data;
}
"""


def fenced(language: str) -> str:
    """The one block of this language in the page for clubs."""
    found = re.findall(rf"^``` {language}\n(.*?)^```$", CLUBS, re.DOTALL | re.MULTILINE)
    assert len(found) == 1
    text: str = found[0]
    return text


# --- text and code ------------------------------------------------------------------------------------------------


def test_the_answer_is_copied_as_text(open_page: OpenPage, site: str) -> None:
    page = open_page("forms/receiver/", live=True, permissions=["clipboard-read", "clipboard-write"])
    page.get_by_label("Earth resistance").fill("31")
    settle(page)
    page.get_by_role("button", name="Copy as text").click()
    expect(page.locator(".bp-said")).to_have_text("Text copied.")
    text = page.evaluate("navigator.clipboard.readText()").replace("\r\n", "\n")
    native = run("receiver", {"earth_resistance": "31"})
    assert text.startswith(f"{FORMS['receiver'].title}\n\n{native['sentence']}\n\nYou have\n")
    lines = text.splitlines()
    assert "Earth resistance Ω: 31" in lines
    for row in native["rows"]:
        assert f"{row['label']}: {row['text']}" in lines
    for table in native["tables"]:
        for row in table["rows"]:
            assert "\t".join(cell["text"] for cell in row) in lines
    for advice in native["advice"]:
        assert any(line.endswith(advice["text"]) for line in lines)
    assert lines[-1] == f"{site}forms/receiver/?earth_resistance=31"


def test_text_of_an_answer_that_is_out_of_date_belongs_to_the_values_it_is_for(open_page: OpenPage, site: str) -> None:
    page = open_page("forms/coil/?turns=81", live=True, script="delete Navigator.prototype.clipboard")
    settle(page)
    page.locator("[name=turns]").fill("lots")
    settle(page)
    page.get_by_role("button", name="Copy as text").click()
    text = page.get_by_label("The answer as text").input_value()
    assert run("coil", {"turns": "81"})["sentence"] in text
    assert "lots" not in text
    assert text.endswith(f"{site}forms/coil/?turns=81\n")


def test_the_code_of_a_link_reads_as_the_link(open_page: OpenPage, site: str) -> None:
    page = open_page("forms/coil/?turns=83&former=70+mm", color_scheme="dark")
    page.evaluate((MODULES / "jsqr" / "dist" / "jsQR.js").read_text(encoding="utf-8"))
    page.get_by_role("button", name="QR code").click()
    code = page.get_by_role("img", name="QR code of the link")
    expect(code).to_be_visible()
    assert code.evaluate(READ_CODE) == f"{site}forms/coil/?turns=83&former=70+mm"
    page.get_by_role("button", name="QR code").click()
    expect(code).to_be_hidden()


def test_the_code_of_a_link_stays_till_the_link_is_another(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?turns=83")
    page.get_by_role("button", name="QR code").click()
    code = page.get_by_role("img", name="QR code of the link")
    expect(page.locator(".bp-sentence")).to_have_text(run("coil", {"turns": "83"})["sentence"], timeout=START_UP)
    expect(code).to_be_visible()
    page.locator("[name=turns]").fill("84")
    expect(code).to_be_hidden()


def test_what_draws_the_code_is_fetched_only_when_asked(open_page: OpenPage) -> None:
    page = open_page("forms/wire/", live=True)
    names = "performance.getEntriesByType('resource').map(({ name }) => name).filter((name) => name.includes('vendor'))"
    assert page.evaluate(names) == []
    page.get_by_role("button", name="QR code").click()
    expect(page.get_by_role("img", name="QR code of the link")).to_be_visible()
    assert len(page.evaluate(names)) == 1


def test_a_link_put_there_to_be_copied_goes_when_it_no_longer_holds(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", script=STILL + "delete Navigator.prototype.clipboard")
    for name, shown in (("Copy link", "Link to this form"), ("Copy as text", "The answer as text")):
        page.get_by_role("button", name=name).click()
        expect(page.get_by_label(shown)).to_be_visible()
    page.locator("[name=turns]").fill("84")
    expect(page.get_by_label("Link to this form")).to_be_hidden()
    expect(page.get_by_label("The answer as text")).to_be_hidden()


def test_back_within_the_page_does_not_bring_an_older_address(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", script=STILL)
    page.locator("[name=turns]").fill("80")
    expect(page).to_have_url(re.compile(r"turns=80$"))
    page.evaluate("location.hash = 'form-coil'")
    page.locator("[name=turns]").fill("90")
    expect(page).to_have_url(re.compile("turns=90#form-coil"))
    page.go_back()
    expect(page).to_have_url(re.compile("turns=90$"))


def test_what_was_typed_last_is_there_when_the_reader_comes_back(open_page: OpenPage, site: str) -> None:
    page = open_page("forms/coil/", script=STILL)
    page.locator("[name=turns]").fill("81")
    page.goto(f"{site}notices/")
    page.go_back()
    expect(page.locator("[name=turns]")).to_have_value("81")


def test_a_link_too_long_for_a_code_says_so(open_page: OpenPage) -> None:
    page = open_page("forms/wire/")
    page.locator("[name=wire]").fill("9" * 4000)
    page.get_by_role("button", name="QR code").click()
    expect(page.locator(".bp-said")).to_contain_text("too long for a QR code")


# --- frames -------------------------------------------------------------------------------------------------------


def test_the_frame_for_clubs_sizes_itself(tmp_path: Path, site: str, open_page: OpenPage) -> None:
    snippet = fenced("html")
    assert EXAMPLE in snippet
    head = "<!doctype html><title>A club</title><link rel=icon href=data:,><h1>Our coil</h1>"
    (tmp_path / "index.html").write_text(head + snippet.replace(EXAMPLE, site), encoding="utf-8")
    with served(tmp_path) as club:
        page = open_page("", origin=f"{club}", viewport={"width": 900, "height": 600}, strangers_expected=True)
        frame = page.frame_locator("iframe.borrowed-power")
        expect(frame.locator("[name=turns]")).to_have_value("60")
        fits = """() => {
          const frame = document.querySelector("iframe");
          return frame.height !== "900" && Number(frame.height) > 300;
        }"""
        wait_until(page, fits)
        expect(frame.locator("html")).to_have_attribute("data-calculations", "ready", timeout=START_UP)
        wait_until(page.frames[1], "document.documentElement.scrollHeight - innerHeight <= 1")
        wide = float(page.locator("iframe").get_attribute("height") or 0)
        page.set_viewport_size({"width": 360, "height": 600})
        wait_until(page, "(before) => Number(document.querySelector('iframe').height) > before + 100", wide)
        page.set_viewport_size({"width": 900, "height": 600})
        wait_until(page, "(before) => Math.abs(Number(document.querySelector('iframe').height) - before) < 3", wide)
        expect(frame.locator(".bp-source a")).to_contain_text("Borrowed Power")
        page.context.close()


# --- design files -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["coil", "receiver"])
def test_a_saved_design_agrees_with_the_schema_and_opens(form: str, site_folder: Path, open_page: OpenPage) -> None:
    page = open_page(f"forms/{form}/")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save design").click()
    design = json.loads(saved.value.path().read_text(encoding="utf-8"))
    assert design == {"borrowed-power": 1, "form": form, "fields": FORMS[form].defaults()}
    assert valid(site_folder / ADDRESS, [design]) == [True]


def test_the_schema_takes_every_form_and_refuses_what_the_page_refuses(site_folder: Path) -> None:
    good = [{"borrowed-power": 1, "form": form.id, "fields": form.defaults()} for form in FORMS.values()]
    good.append(json.loads(fenced("json")))
    assert valid(site_folder / ADDRESS, good) == [True] * len(good)
    coil = {"borrowed-power": 1, "form": "coil", "fields": {"turns": "60"}}
    bad = [
        coil | {"borrowed-power": 2},
        coil | {"form": "no-such-form"},
        coil | {"fields": {"turns": 60}},
        coil | {"fields": {"colour": "blue"}},
        coil | {"fields": ["60"]},
        {"form": "coil", "fields": {}},
        [],
    ]
    assert valid(site_folder / ADDRESS, bad) == [False] * len(bad)
