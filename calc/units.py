"""Text to SI values and back: how the reader's typing becomes a number, and a number becomes text.

`parse` takes what people at a bench write: ``365p``, ``365 pF``, ``0.25mH``, ``2k2``, ``2,2 kohm``, ``3/4 in``, ``12
ft``, ``1e-9``. `format` gives it back with a prefix that suits its size. `InputError` is the one error for a value
that cannot be used.
"""

import math
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

Scalar = float | int | complex | np.floating[Any]
Array = npt.NDArray[np.float64]
Values = float | npt.ArrayLike
"""What physics functions take: a number, or anything numpy reads as an array of them."""


class InputError(ValueError):
    """A value that cannot be used: which one, and what would be accepted.

    Attributes:
        argument: name of the argument or form field at fault.
        reason: a sentence saying what is allowed.
    """

    def __init__(self, argument: str, reason: str) -> None:
        super().__init__(f"{argument}: {reason}")
        self.argument = argument
        self.reason = reason


# --- checks at the edge of physics --------------------------------------------------------------------------------


def require_finite(argument: str, value: Values) -> Array:
    """`value` as an array of floats; InputError naming `argument` unless every element is a finite number."""
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise InputError(argument, "must be a number") from None
    if not (math.isfinite(array) if array.ndim == 0 else np.isfinite(array).all()):
        raise InputError(argument, "must be a finite number")
    return array


def _everywhere(true: Any) -> bool:
    """Whether a comparison holds for all elements; most are of single numbers, for which `all` is a detour."""
    return bool(true) if true.ndim == 0 else bool(true.all())


def require_positive(argument: str, value: Values) -> Array:
    """`value` as an array of floats; InputError unless every element is finite and above zero."""
    if type(value) is float and 0.0 < value < math.inf:  # what is asked most
        return np.asarray(value)
    array = require_finite(argument, value)
    if not _everywhere(array > 0.0):
        raise InputError(argument, "must be greater than zero")
    return array


def require_nonnegative(argument: str, value: Values) -> Array:
    """`value` as an array of floats; InputError unless every element is finite and not below zero."""
    if type(value) is float and 0.0 <= value < math.inf:
        return np.asarray(value)
    array = require_finite(argument, value)
    if not _everywhere(array >= 0.0):
        raise InputError(argument, "must not be negative")
    return array


def require_between(argument: str, value: Values, least: float, most: float, unit: str = "") -> Array:
    """`value` as an array of floats; InputError unless every element lies from `least` to `most`, both allowed."""
    array = require_finite(argument, value)
    if not _everywhere((array >= least) & (array <= most)):
        raise InputError(argument, f"must lie from {format(least, unit)} to {format(most, unit)}")
    return array


def plain(value: Any) -> Any:
    """An array of no dimensions as a Python number, any other array as it is: scalars in, floats out."""
    array = np.asarray(value)
    return array.item() if array.ndim == 0 else array


# --- units --------------------------------------------------------------------------------------------------------

_PREFIXES = {"f": 1e-15, "p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}

_PREFIXED: dict[str, tuple[str, ...]] = {
    # canonical unit -> the ways of writing it, each of which may carry a prefix
    "F": ("F", "f", "farad", "farads"),
    "H": ("H", "h", "henry", "henrys", "henries"),
    "ohm": ("ohm", "ohms", "Ohm", "Ohms", "Ω", "R"),
    "Hz": ("Hz", "hz", "c/s"),
    "V": ("V", "v", "volt", "volts"),
    "A": ("A", "amp", "amps"),
    "W": ("W", "w", "watt", "watts"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "V/m": ("V/m", "v/m"),
    "S/m": ("S/m", "s/m"),
    "s": ("s", "sec"),
    "g": ("g", "gram", "grams"),
    "ohm m": ("ohm m", "ohm.m", "ohm-m", "Ωm", "Ω m", "Ω·m"),
}

_PLAIN: dict[str, dict[str, float]] = {
    # canonical unit -> ways of writing it that carry no prefix, with their factor
    "m": {
        "in": 0.0254, "inch": 0.0254, "inches": 0.0254, '"': 0.0254, "″": 0.0254,
        "ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "'": 0.3048, "′": 0.3048, "yd": 0.9144, "yards": 0.9144,
        "mi": 1609.344, "mile": 1609.344, "miles": 1609.344, "cm": 0.01, "thou": 2.54e-5,
    },
    "F": {"mmfd": 1e-12, "mfd": 1e-6},
    "Hz": {"kc": 1e3, "mhz": 1e6, "Mc": 1e6},
    "degC": {"degC": 1.0, "°C": 1.0, "C": 1.0},
    "deg": {"deg": 1.0, "°": 1.0, "degrees": 1.0},
    "dB": {"dB": 1.0, "db": 1.0, "dB SPL": 1.0},
    "%": {"%": 0.01, "per cent": 0.01, "percent": 0.01},
    "": {"%": 0.01, "turns": 1.0, "turn": 1.0, "steps": 1.0, "step": 1.0},
}  # fmt: skip

_EXAMPLES = {
    "F": "365 pF or 365p", "H": "0.25 mH or 230u", "ohm": "2.2 kΩ or 2k2", "Hz": "909 kHz", "V/m": "12 mV/m",
    "m": "75 mm or 3 in", "W": "1 kW", "S/m": "3 mS/m", "%": "30 %", "dB": "27 dB", "degC": "20 °C",
}  # fmt: skip

_SHOWN = {"ohm": "Ω", "ohm m": "Ω m", "degC": "°C", "deg": "°"}
_LADDERS = {
    # the prefixes in which the trade speaks of a quantity, each with the magnitude at which it takes over
    "Hz": ((1e7, 1e6, "MHz"), (1e3, 1e3, "kHz"), (0.0, 1.0, "Hz")),
    "m": ((1e3, 1e3, "km"), (1.0, 1.0, "m"), (1e-5, 1e-3, "mm"), (0.0, 1e-6, "µm")),
    "g": ((1e3, 1e3, "kg"), (0.0, 1.0, "g")),
    "%": ((0.0, 0.01, "%"),),
}
_ENGINEERING = (
    (1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p"), (1e-15, "f"),
)  # fmt: skip
_RUNGS = {
    unit: (
        *((factor * (1.0 - 1e-12), factor, f"{prefix}{_SHOWN.get(unit, unit)}") for factor, prefix in _ENGINEERING),
        (0.0, 1e-15, f"f{_SHOWN.get(unit, unit)}"),
    )
    for unit in _PREFIXED
} | _LADDERS
"""For each unit with prefixes, the largest first: the magnitude at which one takes over, its factor, and its name."""
_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}

_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"(?P<whole>\d+)\s+(?P<top>\d+)/(?P<below>\d+)|(?P<t>\d+)/(?P<b>\d+)|(?P<decimal>{_DECIMAL})")
_LETTER_POINT = re.compile(r"(\d+)([RkKMpnum])(\d+)")
_LONGEST = 40


def _suffixes(unit: str) -> dict[str, float]:
    """Every way of writing `unit`, and a bare prefix standing for it, with its factor to the SI value."""
    known = dict(_PREFIXES) if unit in _PREFIXED else {}
    for name in _PREFIXED.get(unit, ()):
        known |= {prefix + name: factor for prefix, factor in _PREFIXES.items()}
    known |= dict.fromkeys(_PREFIXED.get(unit, ()), 1.0)
    return known | _PLAIN.get(unit, {})


_TABLES = {unit: _suffixes(unit) for unit in {*_PREFIXED, *_PLAIN}}


def _tidy(text: str) -> str:
    """`text` with one spelling for each sign that keyboards vary: minus, micro, ohm, comma, spaces, fractions."""
    for sign, plain_text in _FRACTIONS.items():
        text = text.replace(sign, plain_text)
    for sign, plain_text in (
        ("−", "-"),
        ("µ", "u"),
        ("μ", "u"),
        ("\u2126", "Ω"),
        ("\u00a0", " "),
        ("\u202f", " "),
    ):
        text = text.replace(sign, plain_text)
    return " ".join(text.split())


def parse(text: str, unit: str, bare: str | None = None, argument: str = "text") -> float:
    """The SI value of what was typed.

    Args:
        text: a number and a unit: ``365p``, ``365 pF``, ``0.25mH``, ``2k2``, ``2,2 kΩ``, ``3/4 in``, ``5 ft 6 in``,
            ``1e-9``. A prefix alone stands for prefix and unit. Comma or point marks decimals; a comma before exactly
            three digits could also mark thousands, and is refused unless a lone 0 stands before it. A
            number with both is refused.
        unit: the canonical unit of the value wanted: "F", "H", "ohm", "Hz", "m", "V/m", "%", "" and so on.
        bare: the unit of a number typed without one, as text ("mm"); the canonical unit when not given.
        argument: the name that an error carries.

    Returns:
        The value in the canonical unit; a percentage as a fraction of one.

    Raises:
        InputError: the text is empty, too long, not a number, or carries a unit of another kind.
    """
    if len(text) > _LONGEST:
        raise InputError(argument, f"is too long: write a number such as {_EXAMPLES.get(unit, '12.5')}")
    return _parsed(text, unit, bare, argument)


@lru_cache(maxsize=1024)
def _parsed(text: str, unit: str, bare: str | None, argument: str) -> float:
    """`parse` of a text that is not too long. Of a form's fields one changes at a time: the rest is remembered."""
    shown = _EXAMPLES.get(unit, "12.5")
    tidy = _tidy(text)
    if not tidy:
        raise InputError(argument, f"is empty: write a value such as {shown}")
    sign, tidy = (-1.0, tidy[1:].strip()) if tidy.startswith("-") else (1.0, tidy.removeprefix("+").strip())
    if re.search(r"\d,\d+\.\d|\d\.\d+,\d", tidy):
        raise InputError(argument, "has a comma and a point: keep the one that marks decimals, and leave the other out")
    if re.search(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)", tidy):
        raise InputError(argument, "could be thousands or decimals: leave the comma out, or write a point")
    tidy = re.sub(r"(?<=\d),(?=\d)|^,(?=\d)", ".", tidy)
    tidy = re.sub(r"(?<=\d) (?=\d{3}(?!\d|/))", "", tidy)
    value = sign * _sum_of_parts(tidy, unit, bare, argument, shown)
    if not math.isfinite(value):
        raise InputError(argument, f"is too large: write a value such as {shown}")
    return value


def _sum_of_parts(tidy: str, unit: str, bare: str | None, argument: str, shown: str) -> float:
    """The value of one quantity, or of several of a length that follow each other (5 ft 6 in)."""
    table = _TABLES[unit]
    if letter := _LETTER_POINT.match(tidy):
        rest = tidy[letter.end() :].strip()
        if rest in _PREFIXED.get(unit, ()) or not rest:
            prefix = letter[2] if letter[2] != "R" else ""
            if prefix in _PREFIXES or (unit == "ohm" and not prefix):
                return float(f"{letter[1]}.{letter[3]}") * _PREFIXES.get(prefix, 1.0)
    total, position, parts = 0.0, 0, 0
    while position < len(tidy):
        number = _QUANTITY.match(tidy, position)
        if number is None:
            raise InputError(argument, f"is not a number this reads: write a value such as {shown}")
        following = _QUANTITY.search(tidy, number.end()) if unit == "m" else None
        end = following.start() if following else len(tidy)
        suffix = tidy[number.end() : end].strip()
        if not suffix and parts == 0 and end == len(tidy):
            factor = table[_tidy(bare)] if bare is not None else (0.01 if unit == "%" else 1.0)
        elif suffix in table:
            factor = table[suffix]
        else:
            what = f"has a unit this does not know, “{suffix}”" if suffix else "has no unit"
            raise InputError(argument, f"{what}: write a value such as {shown}")
        total += _number(number, argument) * factor
        position, parts = end, parts + 1
    return total


def _number(match: re.Match[str], argument: str) -> float:
    """The number that `_QUANTITY` matched: decimal, fraction, or whole and fraction."""
    if match["decimal"] is not None:
        return float(match["decimal"])
    whole, top, below = (
        float(match["whole"] or 0),
        float(match["top"] or match["t"]),
        float(match["below"] or match["b"]),
    )
    if below == 0.0:
        raise InputError(argument, "divides by zero")
    return whole + top / below


def _rounded(value: float, digits: int) -> float:
    """`value` to so many significant figures; as it is at the very end of what numbers can hold."""
    rounded = float(f"{value:.{digits - 1}e}")
    return rounded if math.isfinite(rounded) else value


def _significant(value: float, digits: int, zeros: bool = False) -> str:
    """`value` with `digits` significant figures, no exponent, and no trailing zeros unless they are wanted."""
    if not zeros and 1e-4 <= abs(value) < 10.0 ** (digits - 1):
        return f"{value:.{digits}g}"
    if value == 0.0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text and not zeros else text


@lru_cache(maxsize=4096)  # from one answer to the next most texts stay as they are
def format(value: float, unit: str, digits: int = 4) -> str:
    """A value as people write it: with a prefix that suits its size, and a real minus sign.

    Args:
        value: in the canonical unit.
        unit: the canonical unit; "" for a plain number, "%" for a fraction shown per hundred.
        digits: significant figures; decibels always have one decimal.

    Raises:
        InputError: value is not finite.
    """
    value = _finite(value)
    if unit == "dB":
        text = f"{value:.1f} dB" if round(value, 1) != 0.0 else "0.0 dB"
        return text.replace("-", "−")
    value = _rounded(value, digits)
    if unit not in _RUNGS and value != 0.0 and not 10.0 ** (-digits) <= abs(value) < 1e9:
        return f"{value:.{digits - 1}e} {_SHOWN.get(unit, unit)}".strip().replace("-", "−")
    factor, name = scale(abs(value), unit)
    space = "" if unit == "deg" else " "
    return f"{_significant(value / factor, digits)}{space}{name}".strip().replace("-", "−")


def formats(values: Iterable[float], unit: str, digits: int = 4) -> list[str]:
    """`format` of each of many values: quicker, since neighbours mostly share a prefix.

    Raises:
        InputError: a value is not finite.
    """
    if unit == "dB":
        return [format(value, unit, digits) for value in values]
    rungs = _RUNGS.get(unit, ((0.0, 1.0, _SHOWN.get(unit, unit)),))
    found, least, most, factor, ending = [], 0.0, 0.0, 1.0, ""
    rounding, writing, few = f".{digits - 1}e", f".{digits}g", min(digits, 3)
    for value in values:
        rounded = float(f"{value:{rounding}}")
        size = abs(rounded)
        if not least <= size < most and 0.0 < size < math.inf:
            least, factor, name = next(rung for rung in rungs if size >= rung[0])
            over = min((above for above, _, _ in rungs if above > least), default=math.inf)
            # between these no noughts are written out, so that one way of writing does
            least, most = max(least, factor * 10.0**-few), min(over, factor * (10.0**few - 0.5))
            ending = f"{'' if unit == 'deg' else ' '}{name}" if name else ""
        if least <= size < most:
            text = f"{rounded / factor:{writing}}{ending}"
            found.append(text if rounded > 0.0 else text.replace("-", "−"))
        else:
            found.append(format(value, unit, digits))
    return found


def scale(size: float, unit: str) -> tuple[float, str]:
    """The prefix in which a quantity of this size is written: (factor, unit with its prefix), value = number x
    factor."""
    if unit not in _RUNGS or (size == 0.0 and unit not in _LADDERS):
        return 1.0, _SHOWN.get(unit, unit)
    return next((factor, name) for least, factor, name in _RUNGS[unit] if size >= least)


def _finite(value: float) -> float:
    """`value` as a Python number; InputError unless finite. Texts are made by the thousand: no array on the way."""
    if not math.isfinite(value):
        raise InputError("value", "must be a finite number")
    return float(value)


def number(value: float, digits: int = 4, zeros: bool = False) -> str:
    """A plain number to `digits` significant figures with a real minus sign, for ticks and cells whose head has the
    unit; with all its figures, noughts at the end too, if `zeros` is set."""
    value = _finite(value)
    return _significant(_rounded(value, digits), digits, zeros).replace("-", "−")
