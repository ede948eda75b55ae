"""From what is typed to the arguments of a form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.forms import FORMS
from calc.forms.fields import MOST_TEXT, CellError, Choice, Field, ShownWhen, arguments, cells
from calc.units import InputError
from tests.strategies import any_text

LENGTH = Field("pitch", "Pitch", "m", "0.8 mm", 1e-5, 0.05, bare="mm")
TURNS = Field("turns", "Turns", "", "60", 1, 2000, whole=True)
KIND = Field("kind", "Kind", default="round", choices=(Choice("round", "round wire"), Choice("flat", "flat strip")))
STATIONS = Field(
    "stations",
    "Stations",
    default="Ash; 612 kHz; 1 kW",
    columns=(
        Field("name", "Station", read=str.upper),
        Field("frequency", "Frequency", "Hz", least=1e5, most=3e6, bare="kHz"),
        Field("power", "Radiated power", "W", least=1.0, most=1e6, bare="kW", optional=True),
    ),
    most_rows=3,
)


def reason(field, text):
    with pytest.raises(InputError) as caught:
        field.parse(text)
    assert caught.value.argument == field.name
    return caught.value.reason


def test_a_quantity_in_its_field_own_unit_or_any_other():
    assert LENGTH.parse("0.8") == pytest.approx(8e-4)
    assert LENGTH.parse(" 1/32 in ") == pytest.approx(25.4e-3 / 32)
    assert LENGTH.kind == "text"


def test_bounds_are_allowed_and_said():
    assert LENGTH.parse("0.01 mm") == 1e-5
    assert LENGTH.parse("50 mm") == 0.05
    assert reason(LENGTH, "51 mm") == reason(LENGTH, "1 µm") == "Pitch must lie from 0.01 mm to 50 mm."
    assert Field("a", "A", "F", least=1e-12).bounds == "at 1 pF or more"
    assert Field("a", "A", "F", most=1e-12).bounds == "at 1 pF or less"
    assert Field("a", "A").bounds == ""


def test_whole_numbers():
    assert TURNS.parse("60") == 60
    assert type(TURNS.parse("60")) is int
    assert reason(TURNS, "60.5") == "Turns must be a whole number."


def test_errors_are_sentences_that_begin_with_the_label():
    for text in ("", "abc", "5 V", "1e999", "nan", "60.5", "0", "9" * 50):
        assert reason(TURNS, text).startswith("Turns ")
        assert reason(TURNS, text).endswith(".")
    assert reason(TURNS, "x" * (MOST_TEXT + 1)) == "Turns is too long to read."


def test_choices_are_words_of_a_closed_list():
    assert KIND.parse(" flat ") == "flat"
    assert KIND.kind == "choice"
    assert reason(KIND, "square") == "Kind must be one of: round, flat."
    assert "must be one of" in reason(KIND, "")


def test_empty_text_is_nothing_only_where_that_is_allowed():
    assert Field("a", "A", "F", optional=True).parse("  ") is None
    assert "is empty" in reason(Field("a", "A", "F"), "  ")


def test_a_field_may_read_its_text_in_its_own_way():
    def even(text):
        if len(text) % 2:
            raise InputError("text", "must have an even number of letters")
        return text

    assert Field("a", "Word", read=even).parse(" abcd ") == "abcd"
    assert reason(Field("a", "Word", read=even), "abc") == "Word must have an even number of letters."


# --- tables -------------------------------------------------------------------------------------------------------

ASH = {"name": "ASH", "frequency": 612e3, "power": 1000.0}
BIRCH = {"name": "BIRCH", "frequency": 700e3, "power": None}


@pytest.mark.parametrize(
    "text",
    [
        "Ash; 612 kHz; 1 kW\nBirch; 700",
        "Ash;612;1\r\nBirch;700;\r\n",
        "\n\nAsh ; 612;1\n  \nBirch;700\n\n",
        "Ash\t612 kHz\t1 kW\nBirch\t700 kHz\t",
        "Ash, 612 kHz, 1 kW\nBirch, 700 kHz,",
        'Station;Frequency;Radiated power\nAsh;612;1\n"Birch";700;;;',
        "name,frequency\nAsh,612,1\nBirch,700",
    ],
)
def test_rows_however_they_are_pasted(text):
    assert STATIONS.parse(text) == [ASH, BIRCH]


def test_a_comma_may_mark_decimals_where_another_sign_parts_the_cells():
    assert STATIONS.parse("Ash; 612,5 kHz; 1,5 kW") == [{"name": "ASH", "frequency": 612.5e3, "power": 1500.0}]
    assert STATIONS.parse('"Ash, the old"; 612; 1')[0]["name"] == "ASH, THE OLD"


def test_a_bad_cell_is_found_by_row_and_column():
    with pytest.raises(CellError) as caught:
        STATIONS.parse("Ash; 612 kHz; 1 kW\n\nBirch; soon; 1 kW")
    assert (caught.value.argument, caught.value.row, caught.value.column) == ("stations", 1, "frequency")
    assert caught.value.reason.startswith("Row 2: Frequency is not a number")
    with pytest.raises(CellError, match="Row 1: Frequency must lie from 100 kHz to 3000 kHz"):
        STATIONS.parse("Ash; 99 kHz")


def test_tables_too_short_too_long_too_wide():
    assert reason(STATIONS, "") == "Stations needs at least one row."
    assert reason(STATIONS, "Station;Frequency") == "Stations needs at least one row."
    assert reason(STATIONS, "Ash;612\n" * 4) == "Stations may have 3 rows at most, and this has 4."
    assert "has 4 cells in row 2, where 3 are wanted" in reason(STATIONS, "Ash;612\nAsh;612;1;2")


@given(any_text() | st.text(alphabet='ab12;,\t"\n\r ', max_size=60))
def test_any_text_in_a_table_gives_rows_or_an_input_error(text):
    at_fault, rows = [], []
    try:
        rows = cells(STATIONS, text)
        STATIONS.parse(text)
    except InputError as error:
        at_fault.append(error.argument)
    assert at_fault in ([], ["stations"])
    assert all(len(row) == 3 and any(row) for row in rows)


# --- a whole form -------------------------------------------------------------------------------------------------

BAND = (
    Field("band", "Band", default="all", choices=(Choice("all", "all"), Choice("own", "own"))),
    Field("low", "Lowest", "Hz", "500 kHz", shown_when=ShownWhen("band", ("own",))),
    Field("high", "Highest", "Hz", "1600 kHz"),
)


def test_a_field_that_is_not_asked_is_not_read():
    assert arguments(BAND, {"low": "rubbish"}) == ({"band": "all", "low": None, "high": 1.6e6}, [])
    values, errors = arguments(BAND, {"band": "own", "low": "rubbish", "high": "more"})
    assert values == {"band": "own"}
    assert [error.argument for error in errors] == ["low", "high"]


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
def test_every_form_declares_what_it_means(form):
    names = [field.name for field in form.fields]
    assert len(set(names)) == len(names)
    for field in form.fields:
        assert field.label
        assert field.optional or field.default
        if field.default:
            field.parse(field.default)
        if field.shown_when is not None:
            by = form.field(field.shown_when.field)
            assert set(field.shown_when.values) <= {choice.value for choice in by.choices}
            assert names.index(by.name) < names.index(field.name)
        if field.choices:
            values = [choice.value for choice in field.choices]
            assert len(set(values)) == len(values)
        for column in field.columns or [field]:
            if column.kind == "text" and column.read is None and column.least is not None and column.most is not None:
                assert column.least < column.most
    assert set(form.blame.values()) <= set(names)
