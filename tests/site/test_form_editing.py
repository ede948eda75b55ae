"""What a reader does with a form: tables, links, files, the keyboard, read-outs, and what is spoken."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from calc.bridge import run
from calc.forms import FORMS
from calc.forms.fields import cells
from tests.site.conftest import OpenPage
from tests.site.form_page import fill, settle, shown, typed_texts, wait_until

STATIONS = FORMS["receiver"].field("stations")


@pytest.fixture
def receiver(open_page: OpenPage) -> Page:
    """The whole-set form, live."""
    return open_page("forms/receiver/", live=True, viewport={"width": 1280, "height": 900})


def table_text(page: Page) -> str:
    """The text that the table's cells stand for."""
    return page.locator("textarea[name=stations]").input_value()


def paste(page: Page, selector: str, text: str) -> None:
    """Pastes text into a cell as the clipboard does."""
    page.locator(selector).evaluate(
        """(cell, text) => {
          const data = new DataTransfer();
          data.setData("text/plain", text);
          cell.focus();
          cell.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
        }""",
        text,
    )


# --- tables -------------------------------------------------------------------------------------------------------


def test_a_table_stands_as_cells_from_the_start(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/")
    rows = page.locator("[data-field=stations] .bp-grid tbody tr")
    native = cells(STATIONS, STATIONS.default)
    assert rows.count() == len(native)
    values = page.evaluate(
        """() => [...document.querySelectorAll("[data-field=stations] .bp-grid tbody tr")].map(
          (row) => [...row.querySelectorAll("input")].map((cell) => cell.value))"""
    )
    assert values == native


def test_editing_a_cell_changes_the_answer(receiver: Page) -> None:
    before = cells(STATIONS, STATIONS.default)[0]
    receiver.get_by_label("Station, row 1").fill('Tern; the “new” "one"')
    receiver.get_by_label("Distance, row 1").fill("20 km")
    settle(receiver)
    text = table_text(receiver)
    native_cells = cells(STATIONS, text)
    assert native_cells[0] == ['Tern; the “new” "one"', *before[1:3], "20 km", *before[4:]]
    expect(receiver.locator(".bp-sentence")).to_have_text(run("receiver", {"stations": text})["sentence"])


def test_a_pasted_word_that_is_not_in_a_list_is_kept_and_named(open_page: OpenPage) -> None:
    page = open_page("forms/field/?path=several", live=True)
    paste(page, "[aria-label='Length, row 1']", "5 km\tMarzipan")
    settle(page)
    assert page.get_by_label("Ground, row 1").input_value() == "Marzipan"
    text = page.locator("textarea[name=sections]").input_value()
    assert text.startswith("5 km; Marzipan")
    told = run("field", {"path": "several", "sections": text})["errors"]["sections"]
    expect(page.locator("[data-field=sections] .bp-error")).to_have_text(told)


def test_a_station_of_the_longest_name_makes_no_page_wider_than_a_narrow_phone(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", live=True, viewport={"width": 320, "height": 640})
    name = "Wm" * 20
    stations = f"{name}; 612 kHz; 1 kW; 14 km\nBrackwater; 666 kHz; 5 kW; 32 km"
    for question in [choice.value for choice in FORMS["receiver"].field("question").choices]:
        answer = fill(page, "receiver", {"question": question, "stations": stations})["answer"]
        assert answer["ok"]
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, question


def test_on_a_phone_the_sentence_is_in_sight_while_the_form_is_filled_in(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", live=True, viewport={"width": 360, "height": 740})
    sentence, stations = page.locator(".bp-sentence"), FORMS["receiver"].field("stations").default.splitlines()
    page.get_by_role("button", name="Remove row 1").click()
    expect(sentence).to_have_text(run("receiver", {"stations": "\n".join(stations[1:])})["sentence"])
    expect(sentence).to_be_in_viewport(ratio=1)
    page.locator(".bp-result > *").last.evaluate("(last) => last.scrollIntoView()")
    expect(sentence).not_to_be_in_viewport()


def test_rows_are_added_and_removed(receiver: Page) -> None:
    receiver.get_by_role("button", name="Add a row").click()
    assert receiver.evaluate("document.activeElement.getAttribute('aria-label')") == "Station, row 4"
    assert not shown(receiver, "receiver")["stale"], "an empty row asks for nothing"
    receiver.keyboard.type("Dunlin")
    receiver.get_by_label("Frequency, row 4").fill("801")
    receiver.get_by_label("Or field strength, row 4").fill("2")
    settle(receiver)
    native = run("receiver", {"stations": table_text(receiver)})
    assert native["ok"]
    assert len(native["tables"][0]["rows"]) == 4
    expect(receiver.locator(".bp-scroll").first).to_contain_text("Dunlin")
    receiver.get_by_role("button", name="Remove row 1").click()
    settle(receiver)
    assert [row[0] for row in cells(STATIONS, table_text(receiver))] == ["Brackwater", "Castle Quoy", "Dunlin"]
    assert receiver.evaluate("document.activeElement.getAttribute('aria-label')") == "Remove row 1"


def station(**named: str) -> list[str]:
    """A row of the stations' table, the cells not named left empty."""
    return [named.get(column.name, "") for column in STATIONS.columns]


def test_rows_of_a_spreadsheet_are_pasted(receiver: Page) -> None:
    plover = station(name="Plover", frequency="693", power="2", distance="25")
    snipe = station(name="Snipe", frequency="720", field="3")
    paste(receiver, "[aria-label='Station, row 2']", "\t".join(plover) + "\n" + "\t".join(snipe) + "\n")
    expect(receiver.locator("[aria-label='Station, row 3']")).to_have_value("Snipe")
    assert cells(STATIONS, table_text(receiver)) == [cells(STATIONS, STATIONS.default)[0], plover, snipe]


def test_a_column_of_cells_is_pasted_where_the_caret_stands(receiver: Page) -> None:
    paste(receiver, "[aria-label='Distance, row 1']", "11\n12\n13\n14")
    expect(receiver.locator("[aria-label='Distance, row 4']")).to_have_value("14")
    rows = cells(STATIONS, table_text(receiver))
    assert [row[3] for row in rows] == ["11", "12", "13", "14"]
    assert rows[0][0] == "Aldermoss"


def test_more_rows_than_the_table_takes_are_kept_as_text_and_named(receiver: Page) -> None:
    rows = [f"Station {place}\t{600 + place}\t1\t{10 + place}" for place in range(500)]
    paste(receiver, "[aria-label='Station, row 1']", "\n".join(rows))
    expect(receiver.locator("textarea[name=stations]")).to_be_visible()
    settle(receiver)
    assert table_text(receiver).endswith("\n".join(rows))
    assert "24 rows at most" in shown(receiver, "receiver")["errors"]["stations"]


def test_a_bad_cell_is_marked_and_named(receiver: Page) -> None:
    receiver.get_by_role("button", name="Add a row").click()
    receiver.get_by_label("Station, row 4").fill("Late")
    receiver.get_by_label("Frequency, row 2").fill("soon")
    settle(receiver)
    native = run("receiver", {"stations": table_text(receiver)})
    assert shown(receiver, "receiver")["errors"] == {"stations": native["errors"]["stations"]}
    cell = receiver.get_by_label("Frequency, row 2")
    assert cell.get_attribute("aria-invalid") == "true"
    assert cell.get_attribute("aria-describedby") == "receiver-stations-error"
    assert receiver.locator(".bp-grid [aria-invalid]").count() == 1


def test_a_bad_cell_below_an_empty_row_is_the_one_marked(receiver: Page) -> None:
    for part in ("Station", "Frequency", "Radiated power", "Distance"):
        receiver.get_by_label(f"{part}, row 1").fill("")
    receiver.get_by_label("Frequency, row 3").fill("soon")
    settle(receiver)
    assert receiver.locator(".bp-grid [aria-invalid]").get_attribute("aria-label") == "Frequency, row 3"


def test_a_table_can_be_edited_as_text_and_back(receiver: Page) -> None:
    receiver.get_by_role("button", name="Edit as text").click()
    area = receiver.locator("textarea[name=stations]")
    assert area.is_visible()
    area.fill("Station, Frequency, Radiated power\nOne, 900 kHz, 1, 10 km\nTwo, 1 MHz, 2, 20 km")
    settle(receiver)
    expect(receiver.locator(".bp-sentence")).to_have_text(run("receiver", {"stations": area.input_value()})["sentence"])
    receiver.get_by_role("button", name="Edit as a table").click()
    expect(receiver.locator("[aria-label='Frequency, row 2']")).to_have_value("1 MHz")
    assert receiver.locator("[data-field=stations] .bp-grid tbody tr").count() == 2


def test_enter_moves_down_and_makes_a_row_at_the_end(receiver: Page) -> None:
    receiver.get_by_label("Frequency, row 2").focus()
    receiver.keyboard.press("Enter")
    assert receiver.evaluate("document.activeElement.getAttribute('aria-label')") == "Frequency, row 3"
    receiver.keyboard.press("Enter")
    assert receiver.evaluate("document.activeElement.getAttribute('aria-label')") == "Station, row 4"


# --- fields that come and go --------------------------------------------------------------------------------------


def test_fields_are_asked_only_where_they_count(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True)
    assert page.locator("[name=turns]").is_visible()
    assert page.get_by_label("Wanted inductance").is_hidden()
    page.get_by_label("Work out").select_option("turns")
    assert page.locator("[name=turns]").is_hidden()
    assert page.get_by_label("Wanted inductance").is_visible()
    expect(page.locator(".bp-sentence")).to_have_text(run("coil", {"find": "turns"})["sentence"])


# --- addresses and files ------------------------------------------------------------------------------------------


def test_the_address_keeps_up_with_typing_and_holds_only_changes(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True)
    length = page.evaluate("history.length")
    page.locator("[name=turns]").fill("77")
    page.locator("[name=wire]").fill("AWG 22")
    wait_until(page, "location.search === '?turns=77&wire=AWG+22'")
    assert page.evaluate("history.length") == length
    page.get_by_role("button", name="Reset to defaults").click()
    wait_until(page, "location.search === ''")
    expect(page.locator(".bp-sentence")).to_have_text(run("coil", {})["sentence"])


def test_the_address_names_what_it_cannot_use(open_page: OpenPage) -> None:
    page = open_page("forms/coil/?turns=lots&colour=blue&find=nothing&wire=1&wire=2", live=True)
    expect(page.locator(".bp-error:visible").first).to_be_visible()
    found = shown(page, "coil")
    assert "“colour”" in found["notice"]
    assert "“wire” more than once" in found["notice"]
    assert page.locator("[name=find]").input_value() == "nothing"
    assert found["errors"] == run("coil", {"turns": "lots", "find": "nothing", "wire": "1"})["errors"]
    assert found["stale"]


def test_copy_link_gives_the_form_page_with_its_values(open_page: OpenPage, site: str) -> None:
    page = open_page("chapters/coil/", permissions=["clipboard-read", "clipboard-write"])
    page.locator("#coil-turns").fill("81")
    page.get_by_role("button", name="Copy link").first.click()
    expect(page.locator(".bp-said").first).to_have_text("Link copied.")
    assert page.evaluate("navigator.clipboard.readText()").startswith(f"{site}forms/coil/?turns=81")


def test_without_a_clipboard_the_link_can_be_copied_by_hand(open_page: OpenPage, site: str) -> None:
    page = open_page("forms/coil/?turns=81", script="delete Navigator.prototype.clipboard")
    page.get_by_role("button", name="Copy link").click()
    assert page.get_by_label("Link to this form").input_value() == f"{site}forms/coil/?turns=81"


def test_a_design_is_saved_and_opened_again(receiver: Page, open_page: OpenPage, tmp_path: Path) -> None:
    receiver.get_by_label("Earth resistance").fill("25 Ω")
    receiver.get_by_label("Station, row 1").fill("Tern")
    with receiver.expect_download() as caught:
        receiver.get_by_role("button", name="Save design").click()
    path = tmp_path / caught.value.suggested_filename
    caught.value.save_as(path)
    design = json.loads(path.read_text(encoding="utf-8"))
    assert (design["borrowed-power"], design["form"]) == (1, "receiver")
    assert design["fields"].keys() == FORMS["receiver"].defaults().keys()
    page = open_page("forms/receiver/", live=True)
    page.locator("input[type=file]").set_input_files(path)
    expect(page.locator(".bp-sentence")).to_have_text(run("receiver", design["fields"])["sentence"])
    expect(page.get_by_label("Station, row 1")).to_have_value("Tern")
    assert page.get_by_label("Earth resistance").input_value() == "25 Ω"


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        ("hello", "it is not JSON"),
        ("[1]", "it does not say “borrowed-power”"),
        ('{"borrowed-power": 2, "form": "coil", "fields": {}}', "of version 2"),
        ('{"borrowed-power": 1, "form": "receiver", "fields": {}}', "for the form “receiver”"),
        ('{"borrowed-power": 1, "form": "coil"}', "has no fields"),
        ('{"borrowed-power": 1, "form": "coil", "fields": {"hue": "1"}}', "“hue”"),
        ('{"borrowed-power": 1, "form": "coil", "fields": {"turns": 60}}', "“turns” must be text"),
    ],
)
def test_a_file_that_is_no_design_is_refused_by_name(
    content: str, complaint: str, open_page: OpenPage, tmp_path: Path
) -> None:
    path = tmp_path / "design.json"
    path.write_text(content, encoding="utf-8")
    page = open_page("forms/coil/?turns=70")
    page.locator("input[type=file]").set_input_files(path)
    expect(page.locator(".bp-answer .bp-notice")).to_contain_text(complaint)
    assert page.locator("[name=turns]").input_value() == "70"


NAME = """
() => {
  const focused = document.activeElement;
  return focused.getAttribute("aria-label") ?? focused.labels?.[0]?.textContent ?? focused.textContent;
}
"""
SEEN = """
() => {
  const focused = document.activeElement;
  const shown = focused.matches("[type=radio]") ? focused.nextElementSibling : focused; // its label is what is seen
  const box = shown.getBoundingClientRect();
  return box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
}
"""

# --- keyboard, read-outs, what is spoken --------------------------------------------------------------------------


def test_the_whole_set_by_keyboard_alone(open_page: OpenPage) -> None:
    """From the top of the page through every control in order: change a station, choose a link, read the chart."""
    page = open_page("forms/receiver/", live=True, viewport={"width": 1280, "height": 900})

    def tab_to(wanted: str, most: int = 120) -> None:
        for _ in range(most):
            page.keyboard.press("Tab")
            name = page.evaluate(NAME)
            assert page.evaluate(SEEN), f"{name} has the focus out of sight"
            if name.strip().startswith(wanted):
                return
        pytest.fail(f"{wanted} cannot be reached")

    tab_to("Frequency, row 2")
    page.keyboard.press("Control+A")
    page.keyboard.type("693 kHz")
    tab_to("Link")
    page.keyboard.press("ArrowDown")
    settle(page)
    texts = typed_texts(page)
    native = run("receiver", texts)
    assert texts["link"] != FORMS["receiver"].defaults()["link"]
    assert "693 kHz" in texts["stations"]
    expect(page.locator(".bp-sentence")).to_have_text(native["sentence"])
    tab_to("Copy link")
    tab_to(native["charts"][0]["title"])
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert native["charts"][0]["series"][0]["texts"][1] in page.locator(".bp-readout").first.inner_text()


def test_a_chart_is_read_by_keys_and_pointer(open_page: OpenPage) -> None:
    page = open_page("forms/coil/")
    chart = run("coil", {})["charts"][0]
    lines = [
        [f"{series['label']}, {text}" if len(chart["series"]) > 1 else text for text in series["texts"]]
        for series in chart["series"]
    ]
    figure = page.locator(f".bp-chart[data-key='{chart['key']}']")
    readout = figure.locator(".bp-readout")
    figure.get_by_role("application").focus()
    page.keyboard.press("Home")
    expect(readout).to_have_text(lines[0][0])
    page.keyboard.press("ArrowRight")
    expect(readout).to_have_text(lines[0][1])
    page.keyboard.press("End")
    expect(readout).to_have_text(lines[0][-1])
    assert figure.locator(".bp-cursor").count() == 1
    page.keyboard.press("Escape")
    expect(readout).to_have_text("")
    figure.locator(".bp-svg:visible").hover()
    expect(readout).not_to_have_text("")
    assert readout.inner_text() in [text for line in lines for text in line]


def test_what_is_spoken_waits_for_a_pause(open_page: OpenPage) -> None:
    page = open_page("forms/coil/", live=True)
    at_answer = page.evaluate(
        """() => new Promise((resolve) => {
          window.spoken = [];
          const place = document.querySelector(".bp-spoken");
          const listen = new MutationObserver(() => place.textContent && spoken.push(place.textContent));
          listen.observe(place, { childList: true });
          const section = document.querySelector("section.bp");
          section.addEventListener("bp:answer", (event) => event.detail.texts.turns === "123" && resolve([...spoken]));
          const turns = document.querySelector("[name=turns]");
          for (const typed of ["1", "12", "123"]) {
            turns.value = typed;
            turns.dispatchEvent(new Event("input", { bubbles: true }));
          }
        })"""
    )
    assert at_answer == []
    wait_until(page, "spoken.length > 0")
    assert page.evaluate("spoken") == [run("coil", {"turns": "123"})["sentence"]]
    page.locator("[name=turns]").fill("")
    wait_until(page, "spoken.length > 1")
    assert page.evaluate("spoken")[1:] == [run("coil", {"turns": ""})["errors"]["turns"]]


def test_printed_the_answer_is_there_and_the_buttons_are_not(open_page: OpenPage) -> None:
    page = open_page("forms/receiver/", live=True)
    page.emulate_media(media="print")
    assert page.locator(".bp-tools").is_hidden()
    assert page.locator("header").is_hidden()
    assert page.locator(".bp-rows").is_visible()
    assert page.locator(".bp-svg:visible").count() == 1
