"""Texts for the fields of any form, made from its declaration: what a reader might type, well or badly.

One generator stands behind both uses: `generated_inputs` draws from it with a seed, always the same; the strategies
draw the seed.
"""

import math
import random
from collections.abc import Callable, Mapping
from random import Random

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from calc import units, wire
from calc.forms import FORMS
from calc.forms.fields import MOST_TEXT, Field, cells
from calc.forms.form import Form
from calc.units import InputError

Texts = dict[str, str]

_WORDS = ("Ash", "Birch Hill", "Cedar", "Dun Fell", "Elm & Oak", "Fir, upper", "Gråby", "Hazel 2")
_DECIMALS = {"F": "pnu", "H": "um", "ohm": "kM", "Hz": "kM", "W": "mkM", "V/m": "um", "A": "nu", "S/m": "m"}
_LENGTHS = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "km": 1e3, "in": 0.0254, "ft": 0.3048, "thou": 2.54e-5, "mi": 1609.344}
_PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
_NEAR = 0.6
"""Share of quantities drawn near the default; the others lie anywhere within the field's bounds."""


# --- what a reader types well -------------------------------------------------------------------------------------


def generated_inputs(form: Form, count: int, seed: int) -> list[Texts]:
    """`count` sets of texts for a form, each text one that its field accepts; the same for the same seed.

    Taken together the texts of a set may still be refused, as when a wire is thicker than its pitch.
    """
    source = random.Random(f"{form.id} {seed}")
    return [form_texts(form, source) for _ in range(count)]


def taken_of(form: Form) -> Texts:
    """Texts that belong together whatever else is typed: readings, and the set that they were taken of.

    Few sets made by chance fit them, and the others are rightly refused.
    """
    names = {"readings"} | {field.name for field in FORMS["receiver"].fields} if form.id == "correct-model" else set()
    return {field.name: field.default for field in form.fields if field.name in names}


def valid_texts(form: Form) -> SearchStrategy[Texts]:
    """As `generated_inputs`, for hypothesis."""
    return st.integers(0, 2**63).map(lambda seed: form_texts(form, random.Random(seed)))


def form_texts(form: Form, source: Random) -> Texts:
    """One set of texts: one that its field accepts in each, some fields left out."""
    texts = {field.name: field_text(field, source) for field in form.fields}
    for field in form.fields:
        if field.read is str and texts[field.name]:
            texts[field.name] = _listed_names(form, texts, source)
    return {name: text for name, text in texts.items() if source.random() < 0.9}


def _listed_names(form: Form, texts: Texts, source: Random) -> str:
    """Some of the names in the first column of a form's table, or a stranger's: for a field that takes any text."""
    tables = [field for field in form.fields if field.columns]
    names = [row[0].strip() for table in tables for row in cells(table, texts[table.name]) if row and row[0].strip()]
    chosen = source.sample(names, source.randint(1, len(names))) if names else []
    if source.random() < 0.1:
        chosen.append("Nowhere")
    return source.choice((", ", ",")).join(name.upper() if source.random() < 0.1 else name for name in chosen)


def field_text(field: Field, source: Random) -> str:
    """A text that the field accepts."""
    if field.optional and source.random() < 0.3:
        return ""
    return _filled(field, source)


def _filled(field: Field, source: Random) -> str:
    """A text that the field accepts, and not an empty one; the default where none is found in twenty tries."""
    makers: dict[str, Callable[[Field, Random], str]] = {"choice": _choice, "table": _table, "text": _quantity}
    for _ in range(20):
        text = makers[field.kind](field, source)
        if accepts(field, text):
            return text
    return field.default


def accepts(field: Field, text: str) -> bool:
    """Whether the field by itself takes the text."""
    try:
        field.parse(text)
    except InputError:
        return False
    return True


def _choice(field: Field, source: Random) -> str:
    return source.choice(field.choices).value


def _quantity(field: Field, source: Random) -> str:
    if field.read is wire.diameter:
        return _wire(source)
    if field.read is not None:
        return f"{source.choice(_WORDS)} {source.randrange(10_000)}"
    return written(_value(field, source), field, source)


def _wire(source: Random) -> str:
    return source.choice(
        (
            f"AWG {source.randint(10, 44)}",
            f"swg {source.randint(10, 48)}",
            f"{source.uniform(0.05, 2.5):.3g} mm",
            f"{source.uniform(0.05, 2.5):.2f}",
        )
    )


def _value(field: Field, source: Random) -> float:
    """A value within the field's bounds [canonical unit]."""
    least = field.least if field.least is not None else 0.0
    most = field.most if field.most is not None else 1e6
    if source.random() < 0.04:
        return source.choice((least, most))
    if field.default and source.random() < _NEAR:
        value = float(field.parse(field.default)) * math.exp(source.uniform(-0.5, 0.5))
    elif least > 0.0:
        value = least * (most / least) ** source.random()
    elif least == 0.0:
        value = most * 10.0 ** source.uniform(-6.0, 0.0) if source.random() < 0.9 else 0.0
    else:
        value = source.uniform(least, most)
    value = min(max(value, least), most)
    return float(round(value)) if field.whole else value


def written(value: float, field: Field, source: Random) -> str:
    """A value in one of the ways in which people write it."""
    digits = source.randint(2, 6)
    ways: list[str] = [units.format(value, field.unit, digits), f"{value:.{digits}g}"]
    if field.bare is None:
        ways.append(f"{value / (0.01 if field.unit == '%' else 1.0):.{digits}g}")
    else:
        ways.append(f"{value / units.parse('1 ' + field.bare, field.unit):.{digits}g}")
    if field.unit == "m":
        name, size = source.choice(list(_LENGTHS.items()))
        ways.append(f"{value / size:.{digits}g} {name}")
        feet, sixteenths = divmod(round(value / 0.0254 * 16), 12 * 16)
        ways.append(f"{feet} ft {sixteenths // 16} {sixteenths % 16}/16 in")
    if field.unit in _DECIMALS:
        prefix = source.choice(_DECIMALS[field.unit])
        number = f"{value / _PREFIXES[prefix]:.{digits}g}"
        whole, _, part = number.partition(".")
        ways += [number + prefix, f"{number}{prefix}{field.unit}", f"{whole}{prefix}{part or 0}"]
    text = source.choice(ways)
    if "." in text and source.random() < 0.2:
        text = text.replace(".", ",")
    return f" {text} " if source.random() < 0.1 else text


def _table(field: Field, source: Random) -> str:
    names = [column.name for column in field.columns]
    known = [dict(zip(names, row, strict=True)) for row in cells(field, field.default)]
    count = field.most_rows if source.random() < 0.05 else min(source.choice((1, 2, 3, 4, 6)), field.most_rows)
    near = source.random() < _NEAR
    rows = [_near_row(field, known, source) if near else _any_row(field, source) for _ in range(count)]
    mark = source.choice(";;\t")
    lines = [mark.join(row) for row in rows]
    if source.random() < 0.2:
        lines.insert(0, mark.join(column.label for column in field.columns))
    if source.random() < 0.2:
        lines.insert(source.randrange(len(lines) + 1), "")
    return source.choice(("\n", "\n", "\r\n")).join(lines)


def _near_row(field: Field, known: list[dict[str, str]], source: Random) -> list[str]:
    """A row of the default table, its quantities changed a little and its names made anew."""
    model = source.choice(known)
    return [_near_cell(column, model[column.name], source) for column in field.columns]


def _near_cell(column: Field, text: str, source: Random) -> str:
    if not text or column.kind == "choice" or column.read is wire.diameter:
        return text
    if column.read is not None:
        return _filled(column, source)
    value = float(column.parse(text)) * math.exp(source.uniform(-0.15, 0.15))
    near = written(float(round(value)) if column.whole else value, column, source)
    return near if accepts(column, near) else text


def _any_row(field: Field, source: Random) -> list[str]:
    """A row of any good cells; one that may be empty seldom is."""
    return [
        field_text(column, source) if source.random() < 0.05 else _filled(column, source) for column in field.columns
    ]


# --- what a reader types badly ------------------------------------------------------------------------------------

NONSENSE = (
    "", " ", "\n", "nan", "NaN", "inf", "-inf", "1e999", "-1e999", "1e-999", "0", "-0", "-1", "1e30", "1e-30", "abc",
    "1/0", "12 parsecs", "3 kg", "5 V", "1,234", "1.2.3", "--5", "5-", "½", "٣", "1_000", "0x10", "1e", "e5", ".", ",",
    "+", "%", "∞", "own", "\x00", "\ud800", "5 ft 6", "3 / 4 in", "1 1/2", "AWG", "AWG 99", "SWG -1", "mm", "a;b;c",
    "a\tb\tc", '"', "9" * 400, "x" * (MOST_TEXT + 1), "<b>1</b>", "=1+1", "${1}", "null", "True", "2k2k2", "R5", "5R",
    "5m5", "1k2 V", "1 2 3 4 5 6",
)  # fmt: skip
"""Texts that most fields refuse, and some that look as if they ought to be."""


def bad_inputs(form: Form, count: int, seed: int) -> list[tuple[Texts, str]]:
    """`count` sets of texts in which one field that is asked has a text that it refuses, and that field's name."""
    source = random.Random(f"bad {form.id} {seed}")
    found: list[tuple[Texts, str]] = []
    while len(found) < count:
        texts = form.defaults() | form_texts(form, source)
        asked = [field for field in form.fields if is_asked(form, field, texts)]
        field = source.choice(asked)
        text = _bad_text(field, source)
        if not accepts(field, text):
            found.append((texts | {field.name: text}, field.name))
    return found


def is_asked(form: Form, field: Field, texts: Mapping[str, str]) -> bool:
    """Whether a form with these texts asks for the field."""
    when = field.shown_when
    return when is None or texts.get(when.field, form.field(when.field).default).strip() in when.values


def _bad_text(field: Field, source: Random) -> str:
    if field.kind == "table" and source.random() < 0.7:
        lines = _table(field, source).splitlines()
        cells = lines[-1].split(";")
        cells[source.randrange(len(cells))] = source.choice(NONSENSE)
        return "\n".join([*lines[:-1], ";".join(cells)])
    outside = [bound * factor for bound, factor in ((field.most, 1.5), (field.least, 0.5)) if bound]
    if field.kind == "text" and field.read is None and outside and source.random() < 0.4:
        return units.format(source.choice(outside), field.unit)
    return source.choice(NONSENSE)


def any_text() -> SearchStrategy[str]:
    """Arbitrary text, with a leaning to what quantities are made of."""
    near = st.text(alphabet="0123456789.,/-+ eEkMmpnuµΩRFHzftin\"'%½°", max_size=14)
    numbers = st.floats(allow_nan=True, allow_infinity=True).map(repr)
    return st.one_of(near, numbers, st.sampled_from(NONSENSE), st.text(max_size=60))


def any_texts(form: Form) -> SearchStrategy[Texts]:
    """Sets of texts for a form: good ones, some replaced by arbitrary text, some for fields that it does not have."""
    spoiled = st.dictionaries(st.sampled_from([field.name for field in form.fields]), any_text(), max_size=4)
    strange = st.dictionaries(st.text(max_size=12), any_text(), max_size=1)
    return st.builds(lambda good, bad, odd: good | bad | odd, valid_texts(form), spoiled, strange)
