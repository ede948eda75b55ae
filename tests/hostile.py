"""Texts that nobody means well with: for every field of any form, in any script, of any size, and of the wrong kind.

`tests.strategies` has what a reader types. Here is the rest: values at and beyond every bound, tables of hundreds of
rows, pasted spreadsheets, text of other scripts, markup, control characters, and JSON that is no set of texts at all.
"""

import json
import math
import random
from random import Random
from typing import Any

from calc import units
from calc.forms.fields import Field
from calc.forms.form import Form
from tests.strategies import NONSENSE, Texts, field_text, form_texts, written

MARKUP = (
    "<b>Fell</b>", '<img src=x onerror="document.title=1">', "</script><script>document.title=1</script>",
    "<!--", "]]>", "&lt;i&gt;", '"><svg onload=document.title=1>', "javascript:document.title=1", "'; --", '""', '"',
    "=HYPERLINK(1)", "{{7*7}}", "${document.title=1}", "\\u003cb\\u003e", "%3Cscript%3E", "__proto__", "constructor",
)  # fmt: skip
"""Text that would be markup, script or a formula somewhere."""

SCRIPTS = (
    "١٢٣", "１２３", "𝟙𝟚", "²", "Ⅷ", "一二", "−5", "‐5", "–5", "＋5", "١٢٫٥", "12٬5", "5\u2009pF", "5\u00a0000",
    "\u202e321\u202c", "שלום", "مرحبا", "\u200b5", "\ufeff5", "5\u0301", "👩‍👩‍👧", "İ", "ß", "\u2028", "\u0085",
    "\x00", "a\x00b", "\x07", "\x1b[31m", "\x7f", "\ud800", "\udfff9", "\x0b\x0c",
)  # fmt: skip
"""Digits, signs and letters of other scripts, marks that turn or hide text, and control characters."""

NUMBERS = (
    "0", "-0", "1e300", "-1e300", "1e-300", "5e-324", "1.7976931348623157e308", "1e309", "-1", "0,5", "1,5e3", "1 000",
    "1.000.000", "1,000", "0.0000001", "99999999999999999999", "1e", "--1", "+-1", "1/3", "1/0", "1e5/3", "12 12/12",
    "1e300 km", "1e308 GHz", "9e307 mi 9e307 mi", "1e-320 fF", "5 ft 11 in 3 in", "nan", "inf", "-Infinity",
)  # fmt: skip
"""Numbers at the ends of what a number can be, and things that look like one."""

UNITS = ("pF", "mH", "kΩ", "kHz", "mm", "mV/m", "%", "dB", "°C", "W", "parsecs", "V", "AWG", "SWG", "km", "thou", "°")
MARKS = "\t;,|"


def hostile_input(form: Form, source: Random) -> Texts:
    """A set of texts for a form: good, at its bounds, spoilt in places, or hostile throughout."""
    kind = source.random()
    if kind < 0.3:
        return edge_texts(form, source)
    if kind < 0.45:
        return form_texts(form, source)
    texts = edge_texts(form, source) if kind < 0.7 else form_texts(form, source)
    names = [field.name for field in form.fields]
    chosen = names if kind > 0.95 else source.sample(names, min(len(names), source.choice((1, 1, 1, 2, 4))))
    for name in chosen:
        texts[name] = hostile_text(form.field(name), source)
    if source.random() < 0.03:
        texts[hostile_word(source)] = hostile_word(source)
    return texts


def edge_texts(form: Form, source: Random) -> Texts:
    """Texts that each field accepts, most of them at a bound or as far from the default as the bounds allow."""
    share = source.choice((0.1, 0.5, 0.9))
    return {
        field.name: edge_text(field, source) if source.random() < share else _default_or_near(field, source)
        for field in form.fields
    }


def _default_or_near(field: Field, source: Random) -> str:
    return field.default if source.random() < 0.5 else field_text(field, source)


def edge_text(field: Field, source: Random) -> str:
    """A text at a bound of a field, or anywhere within its bounds."""
    if field.kind == "choice":
        return source.choice(field.choices).value
    if field.kind == "table":
        count = source.choice((1, 2, field.most_rows, source.randint(1, field.most_rows)))
        return "\n".join(";".join(edge_text(column, source) for column in field.columns) for _ in range(count))
    if field.read is not None or (field.least is None and field.most is None):
        return field_text(field, source)
    least = field.least if field.least is not None else 1e-300
    most = field.most if field.most is not None else 1e300
    kind = source.random()
    if kind < 0.3:
        return _exact(least, field)
    if kind < 0.6:
        return _exact(most, field)
    if least > 0.0:
        value = least * math.exp(source.random() * math.log(most / least))
    elif least == 0.0:
        value = most * 10.0 ** source.uniform(-12.0, 0.0)
    else:
        value = source.uniform(least, most)
    return written(float(round(value)) if field.whole else value, field, source)


def _exact(value: float, field: Field) -> str:
    """A value in the unit that a bare number has, to the last digit."""
    return repr(
        value / (units.parse("1 " + field.bare, field.unit) if field.bare else 0.01 if field.unit == "%" else 1.0)
    )


def hostile_text(field: Field, source: Random) -> str:
    """Anything but a good text for a field; now and then a good one with something hidden in it."""
    kind = source.random()
    if kind < 0.01:
        return (hostile_word(source) * source.choice((1000, 100_000)))[:100_000]
    if field.kind == "table" and kind < 0.8:
        return hostile_table(field, source)
    if kind < 0.3:
        return source.choice(NUMBERS) + source.choice(("", " ", "\u00a0")) + source.choice(UNITS)
    if kind < 0.45 and field.kind == "text":
        word, good = source.choice(SCRIPTS), field_text(field, source)
        at = source.randint(0, len(good))
        return good[:at] + word + good[at:]
    return hostile_word(source)


def hostile_word(source: Random) -> str:
    """A text of no form in particular."""
    kind = source.random()
    if kind < 0.1:
        return "".join(chr(source.choice((source.randrange(128), source.randrange(0x11_0000)))) for _ in range(12))
    return source.choice(source.choice((MARKUP, SCRIPTS, NUMBERS, NONSENSE)))


def hostile_table(field: Field, source: Random) -> str:
    """A table as somebody pastes it: any marks, too many rows or cells, quotes that never end, odd line ends."""
    mark = source.choice(MARKS)
    count = source.choice((0, 1, 2, 5, field.most_rows, field.most_rows + 1, 500))
    spoilt = source.random() * 0.3
    rows = []
    for _ in range(min(count, 60)):
        row = [
            hostile_word(source) if source.random() < spoilt else edge_text(column, source) for column in field.columns
        ]
        if source.random() < 0.1:
            row = row[: source.randint(0, len(row))] if source.random() < 0.5 else [*row, hostile_word(source)]
        rows.append([f'"{cell}"' if source.random() < 0.1 else cell for cell in row])
    if count > 60:
        rows *= -(-count // 60)
    if source.random() < 0.2:
        rows.insert(source.randint(0, len(rows)), [column.label for column in field.columns])
    if source.random() < 0.1 and rows:
        rows.insert(source.randrange(len(rows)), rows[0])
    return source.choice(("\n", "\r\n", "\r", "\n\n", "\u2028", "\v")).join(mark.join(row) for row in rows)


def hostile_json(form: Form, source: Random) -> str:
    """JSON that is no set of texts, or no JSON: what a page of another version, or a meddler, might hand over."""
    names = [field.name for field in form.fields]
    values: list[Any] = [
        None, True, 0, -1.5, 1e300, [], {}, ["60"], {"turns": "60"}, [[["60"]]], math.nan, math.inf, "60", [None],
        10**400,
    ]  # fmt: skip
    kind = source.random()
    if kind < 0.2:
        return json.dumps(source.choice(values))
    if kind < 0.3:
        return source.choice(("", "{", "nope", "[" * 100_000, '{"a":' * 50_000, "\x00", '{"turns": "60"', "\ufeff{}"))
    texts: dict[str, Any] = dict(form_texts(form, source))
    for name in source.sample(names, min(len(names), source.randint(1, 3))):
        texts[name] = source.choice(values)
    if kind < 0.5:
        texts[source.choice(("__proto__", "constructor", "", "\x00", "toString", names[0].upper()))] = source.choice(
            values
        )
    return json.dumps(texts)


def seeded(seed: int) -> Random:
    """The source of one input."""
    return random.Random(seed)
