"""The parts of pages that are made at build time: directives, formulas, tables, forms' HTML. No browser, no Node."""

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown import Markdown

from calc import units
from calc.bridge import run
from calc.forms import FORMS
from calc.forms.fields import Choice, Field
from site_overrides.pages import form_html
from site_overrides.pages.book import Book, DirectiveError
from site_overrides.pages.directives import Directives
from site_overrides.pages.files import RuntimeMissing, site_files
from site_overrides.pages.markup import data_block
from site_overrides.pages.maths import Maths, formula
from site_overrides.pages.node import DrawingError, draw
from site_overrides.pages.tables import Tables


@pytest.fixture
def book() -> Book:
    """A book that draws nothing."""
    return Book()


def html(book: Book, text: str) -> str:
    """Markdown as the site reads it."""
    return Markdown(extensions=["tables", Directives(book), Maths(), Tables()]).convert(text)


# --- directives ---------------------------------------------------------------------------------------------------


def test_a_value_stands_in_prose_as_natively(book: Book) -> None:
    rows = {row["key"]: row["text"] for row in run("coil", {"turns": "120", "pitch": "1 mm"})["rows"]}
    found = html(book, 'It is [[value coil.inductance turns=120 pitch="1 mm"]], *no more*.')
    text = rows["inductance"]
    assert found == f'<p>It is <span class="bp-figure">{text}</span>, <em>no more</em>.</p>'


def test_a_cell_is_counted_from_one(book: Book) -> None:
    table = run("receiver", {})["tables"][0]
    column = table["columns"][-1]["key"]
    text = table["rows"][1][-1]["text"]
    assert text in unescape(html(book, f"[[cell receiver.{table['key']}.2.{column}]]"))


@pytest.mark.parametrize(
    ("directive", "complaint"),
    [
        ("[[from coil]]", "no directive called from"),
        ("[[form coils]]", "no form called coils"),
        ("[[value coil.indutance]]", "no indutance"),
        ("[[value coil]]", "2 parts"),
        ("[[value coil.inductance turn=60]]", "turn"),
        ("[[value coil.inductance turns=many]]", "turns"),
        ("[[value coil.inductance turns]]", "field=value"),
        ('[[value coil.inductance turns="60]]', "field=value"),
        ("[[cell receiver.stations.0.margin]]", "rows 1 to"),
        ("[[cell receiver.stations.99.margin]]", "rows 1 to"),
        ("[[cell receiver.stations.1.colour]]", "columns"),
        ("[[chart coil.nothing]]", "no nothing"),
        ("[[drawing receiver.nothing]]", "no nothing"),
    ],
)
def test_what_is_not_there_stops_the_build(directive: str, complaint: str, book: Book) -> None:
    with pytest.raises(DirectiveError, match=re.escape(complaint)):
        html(book, directive)


def test_a_page_names_its_presets_once(book: Book) -> None:
    book.use_sets({"wide": {"pitch": "1 mm"}, "more": {"like": "wide", "turns": "120"}})
    plain = html(book, '[[value coil.inductance turns=90 pitch="1 mm"]]')
    assert html(book, "[[value coil.inductance @more turns=90]]") == plain
    assert html(book, "[[value coil.inductance @more]]") != plain
    book.use_sets(None)
    with pytest.raises(DirectiveError, match="no set called more"):
        html(book, "[[value coil.inductance @more]]")


@pytest.mark.parametrize(
    "sets",
    [{"a": "turns=60"}, {"a": {"turns": 60}}, {None: {"turns": "60"}}, {"a": {"like": "b"}, "b": {"turns": "60"}}],
)
def test_sets_of_another_shape_stop_the_build(sets: object, book: Book) -> None:
    with pytest.raises(DirectiveError, match=r"^set "):
        book.use_sets(sets)


def test_a_link_opens_the_form_with_the_same_presets(book: Book) -> None:
    made = html(book, '[[link coil turns=90 pitch="1 mm" say="Open <it>"]]')
    filled = book.fill(made, "../..")
    assert filled == '<p><a href="../../forms/coil/?turns=90&amp;pitch=1+mm">Open &lt;it&gt;</a></p>'
    with pytest.raises(DirectiveError, match="turns"):
        html(book, "[[link coil turns=many]]")


def test_a_change_is_worded_by_its_sign(book: Book) -> None:
    row = {n: run("coil", {"turns": n})["rows"] for n in ("60", "80")}
    values = {n: next(r["value"] for r in rows if r["key"] == "inductance") for n, rows in row.items()}
    text = units.format(values["80"] - values["60"], "H", digits=2)
    figure = f'<span class="bp-figure">{text}</span>'
    assert html(book, "[[change coil.inductance turns=60 to turns=80]]") == f"<p>{figure} more</p>"
    words = "more=larger less=smaller"
    assert html(book, f"[[change coil.inductance turns=80 to turns=60 {words}]]") == f"<p>{figure} smaller</p>"
    with pytest.raises(DirectiveError, match="the word to"):
        html(book, "[[change coil.inductance turns=60]]")
    with pytest.raises(DirectiveError, match="no value in one of the two"):
        html(book, "[[change receiver.least_margin to link=direct stations='Far; 1600 kHz; 1 kW; 9 km;']]")


def test_code_and_links_are_left_alone(book: Book) -> None:
    assert "[[value coil.inductance]]" in html(book, "`[[value coil.inductance]]`")
    assert "[[value coil.inductance]]" in html(book, "    [[value coil.inductance]]")
    assert '<a href="b.md">a</a>' in html(book, "[a](b.md)")


def test_forms_of_one_page_have_names_of_their_own(book: Book) -> None:
    page = html(book, "[[form coil turns=80]]\n\ntext\n\n[[form coil]]")
    for ask in book.asks:
        ask.html = "<p>drawn</p>"
    filled = book.fill(page, "../..")
    assert not re.search("part·", filled)
    names = re.findall(r'id="([^"]+)"', filled)
    assert len(names) == len(set(names))
    assert 'id="coil-turns"' in filled
    assert 'id="coil-2-turns"' in filled
    assert re.search(r'id="coil-turns"[^>]*value="80"', filled)
    assert filled.count('action="../../forms/coil/"') == 2


def test_a_fault_of_the_renderer_stops_the_build() -> None:
    chart = run("coil", {})["charts"][0] | {"series": None}
    with pytest.raises(DrawingError, match="series"):
        draw([{"kind": "chart", "chart": chart}])


def test_without_the_runtime_the_build_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(RuntimeMissing, match="make runtime"):
        site_files(tmp_path)


# --- formulas and tables ------------------------------------------------------------------------------------------


def test_formulas_become_mathml() -> None:
    page = html(Book(), r"With $\omega L_1$ and *x*:" + "\n\n$$\nQ = \\frac{\\omega L}{R}\n$$\n\nfor $5 each, $6.")
    assert page.count("<math") == 2
    assert '<div class="bp-formula"><math' in page
    assert "<mfrac>" in page
    assert "<em>x</em>" in page
    assert "for $5 each, $6." in page
    assert "$$" not in page


def test_a_formula_with_an_unknown_command_stops_the_build() -> None:
    with pytest.raises(ValueError, match="cannot be set"):
        formula(r"\nosuchcommand x")


def test_a_table_says_its_heads_in_each_cell(book: Book) -> None:
    page = html(book, "| $K$ factor | B |\n| --- | --- |\n| 1 | [[value coil.inductance]] |")
    assert 'class="bp-scroll"' in page
    assert 'data-label="factor"' in page
    assert 'data-label="B"' in page
    assert page.count("<math") == 1


# --- forms --------------------------------------------------------------------------------------------------------


class Labelled(HTMLParser):
    """Collects the controls of a form's HTML and the labels for them."""

    def __init__(self) -> None:
        super().__init__()
        self.controls: dict[str, dict[str, str | None]] = {}
        self.groups: dict[str | None, dict[str, str | None]] = {}
        self.labels: set[str | None] = set()
        self.names: set[str | None] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.names.add(found.get("id"))
        if tag in {"input", "select", "textarea"} and "name" in found:
            self.controls[str(found["name"])] = found
        if tag == "fieldset" and "id" in found:
            self.groups[found["id"]] = found
        if tag == "label":
            self.labels.add(found["for"])


@pytest.mark.parametrize("form_id", list(FORMS))
def test_each_field_is_asked_once_with_a_label_and_its_help(form_id: str) -> None:
    form = FORMS[form_id]
    answer = run(form_id, {})
    parser = Labelled()
    parser.feed(form_html.embedded(form, {}, answer, "", ".", form_id))
    in_order = sorted(form.fields, key=lambda field: ("question", "form", "answer", "sheet").index(field.place))
    assert list(parser.controls) == [field.name for field in in_order]
    for field in form.fields:
        control = parser.controls[field.name]
        assert control["id"] in parser.labels
        told = parser.groups[f"{form_id}-{field.name}"] if field.place == "question" else control
        described = (told.get("aria-describedby") or "").split()
        assert all(name in parser.names for name in described)
        assert bool(described) == bool(field.help or field.columns)


@pytest.mark.parametrize(
    ("field", "keypad"),
    [
        (Field("a", "A", "m", "1", 0.0, 5.0), "decimal"),
        (Field("a", "A", "dB", "1", -5.0, 5.0), "text"),
        (Field("a", "A", "m", "1"), "text"),
        (Field("a", "A", read=str, least=0.0), "text"),
    ],
)
def test_phones_show_a_keypad_that_can_write_the_value(field: Field, keypad: str) -> None:
    assert f'inputmode="{keypad}"' in form_html.field_html(field, {"a": "1"}, "f")


def test_what_is_typed_cannot_become_markup() -> None:
    nasty = '"><script>alert(1)</script>'
    field = Field("a", nasty, default=nasty, help=nasty)
    made = form_html.field_html(field, {"a": nasty}, "f")
    assert "<script" not in made
    choice = Field("b", "B", default="x", choices=(Choice("x", nasty),))
    assert "<script" not in form_html.field_html(choice, {"b": "x"}, "f")
    assert "</script><" not in data_block({"text": "</script><b>"})
