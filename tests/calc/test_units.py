"""Text to values and back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import units
from calc.units import InputError
from tests.strategies import any_text

UNITS = ["F", "H", "ohm", "Hz", "V", "A", "W", "m", "V/m", "S/m", "s", "g", "ohm m", "degC", "deg", "dB", "%", ""]

# What each text means in its unit, by the meaning of prefixes (SI Brochure, table 7) and of inch, foot, yard and mile
# (international yard and pound, 1959: 25.4 mm, 0.3048 m, 0.9144 m, 1609.344 m).
MEANINGS = [
    ("365p", "F", 365e-12),
    ("365 pF", "F", 365e-12),
    ("  365  pF ", "F", 365e-12),
    ("0.25mH", "H", 0.25e-3),
    ("2k2", "ohm", 2200.0),
    ("2,2 kΩ", "ohm", 2200.0),
    ("2.2 k\u2126", "ohm", 2200.0),
    ("2k2 ohm", "ohm", 2200.0),
    ("4R7", "ohm", 4.7),
    ("3/4 in", "m", 0.01905),
    ("12 ft", "m", 3.6576),
    ("1e-9", "F", 1e-9),
    ("1E-9 F", "F", 1e-9),
    ("1 1/2 in", "m", 0.0381),
    ("1½ in", "m", 0.0381),
    ("½″", "m", 0.0127),
    ("5 ft 6 in", "m", 1.6764),
    ("5' 6 1/2\"", "m", 1.6891),
    ("2 yards", "m", 1.8288),
    ("3 miles", "m", 4828.032),
    ("4 thou", "m", 1.016e-4),
    ("5 m", "m", 5.0),
    ("5 mm", "m", 0.005),
    ("10 km", "m", 1e4),
    ("100 µF", "F", 1e-4),
    ("100 μF", "F", 1e-4),
    ("100uF", "F", 1e-4),
    ("1n5", "F", 1.5e-9),
    ("230u", "H", 230e-6),
    ("909 kHz", "Hz", 909e3),
    ("909 khz", "Hz", 909e3),
    ("1 234 567", "Hz", 1234567.0),
    ("12 345 Hz", "Hz", 12345.0),
    ("0,365 nF", "F", 365e-12),
    ("1000,5", "Hz", 1000.5),
    (",5", "m", 0.5),
    (".5", "m", 0.5),
    ("5.", "m", 5.0),
    ("−3 dB", "dB", -3.0),
    ("- 3", "dB", -3.0),
    ("+3", "dB", 3.0),
    ("30 %", "%", 0.3),
    ("30", "%", 0.3),
    ("30 %", "", 0.3),
    ("60 turns", "", 60.0),
    ("12 mV/m", "V/m", 0.012),
    ("1 kW", "W", 1000.0),
    ("3 mS/m", "S/m", 0.003),
    ("-40 °C", "degC", -40.0),
    ("12 MΩ", "ohm", 12e6),
    ("12 mΩ", "ohm", 0.012),
    ("0.5 Ω m", "ohm m", 0.5),
    ("12 V", "V", 12.0),
    ("250 mA", "A", 0.25),
    ("5 ms", "s", 0.005),
    ("20 kg", "g", 20e3),
    ("90°", "deg", 90.0),
]


@pytest.mark.parametrize(("text", "unit", "value"), MEANINGS)
def test_what_people_write(text, unit, value):
    assert units.parse(text, unit) == pytest.approx(value, rel=4e-16, abs=0)


@pytest.mark.parametrize(
    ("text", "unit", "bare", "value"),
    [("240", "H", "µH", 240e-6), ("75", "m", "mm", 0.075), ("1 kW", "W", "kW", 1000.0), ("5", "W", "kW", 5000.0)],
)
def test_a_number_alone_takes_the_unit_of_its_field(text, unit, bare, value):
    assert units.parse(text, unit, bare) == pytest.approx(value, rel=4e-16)


REFUSED = [
    ("", "F", "is empty"),
    ("   ", "F", "is empty"),
    ("nan", "F", "is not a number"),
    ("NaN", "F", "is not a number"),
    ("inf", "F", "is not a number"),
    ("-inf", "Hz", "is not a number"),
    ("∞", "Hz", "is not a number"),
    ("1e999", "Hz", "is too large"),
    ("1e308 GHz", "Hz", "is too large"),
    ("abc", "m", "is not a number"),
    ("kHz", "Hz", "is not a number"),
    ("5 V", "F", "unit"),
    ("5 pF", "H", "unit"),
    ("3 kg", "m", "unit"),
    ("12 dB", "", "unit"),
    ("5 ft 6", "m", "has no unit"),
    ("1 kk", "ohm", "unit"),
    ("1 k", "%", "unit"),
    ("1 k", "dB", "unit"),
    ("1.2.3", "m", "unit"),
    ("0x10", "m", "unit"),
    ("1_000", "m", "unit"),
    ("--5", "m", "is not a number"),
    ("5-", "m", "unit"),
    ("1/0", "m", "divides by zero"),
    ("1 1/0 in", "m", "divides by zero"),
    ("1,234", "Hz", "thousands or decimals"),
    ("12,345 kHz", "Hz", "thousands or decimals"),
    ("1.234,5", "Hz", "a comma and a point"),
    ("1,234.5 kHz", "Hz", "a comma and a point"),
    ("1.234.567,8", "", "a comma and a point"),
    ("12,5.3 mm", "m", "a comma and a point"),
    ("9" * 41, "m", "is too long"),
]


@pytest.mark.parametrize(("text", "unit", "reason"), REFUSED)
def test_what_cannot_be_read_is_named(text, unit, reason):
    with pytest.raises(InputError) as caught:
        units.parse(text, unit, argument="capacitor_most")
    assert caught.value.argument == "capacitor_most"
    assert reason in caught.value.reason
    assert isinstance(caught.value, ValueError)


@given(any_text(), st.sampled_from(UNITS))
def test_any_text_gives_a_finite_number_or_an_input_error(text, unit):
    refused = None
    try:
        value = units.parse(text, unit, argument="given")
    except InputError as error:
        refused = error
    if refused is None:
        assert isinstance(value, float)
        assert math.isfinite(value)
    else:
        assert refused.argument == "given"
        assert refused.reason


@given(
    st.floats(1e-14, 1e11) | st.floats(-1e11, -1e-14) | st.just(0.0),
    st.sampled_from(UNITS),
    st.integers(1, 12),
)
def test_what_is_written_reads_back(value, unit, digits):
    text = units.format(value, unit, digits)
    if unit == "dB":
        assert units.parse(text, unit) == pytest.approx(value, abs=0.05001)
    else:
        assert len(text) <= 40
        assert units.parse(text, unit) == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits), abs=0)


WRITTEN = [
    (365e-12, "F", 4, "365 pF"),
    (2.4e-4, "H", 4, "240 µH"),
    (2200.0, "ohm", 4, "2.2 kΩ"),
    (1e6, "Hz", 4, "1000 kHz"),
    (14.3e6, "Hz", 4, "14.3 MHz"),
    (909e3, "Hz", 4, "909 kHz"),
    (0.075, "m", 4, "75 mm"),
    (9.99996, "m", 4, "10 m"),
    (999.996e-12, "F", 4, "1 nF"),
    (12345.6, "m", 4, "12.35 km"),
    (2.5e-6, "m", 4, "2.5 µm"),
    (-3.14159, "dB", 4, "−3.1 dB"),
    (-0.04, "dB", 4, "0.0 dB"),
    (0.3, "%", 4, "30 %"),
    (0.0123, "V/m", 3, "12.3 mV/m"),
    (-40.0, "degC", 4, "−40 °C"),
    (0.0, "F", 4, "0 F"),
    (60.0, "", 4, "60"),
    (1.234567e-7, "", 4, "1.235e−07"),
]


@pytest.mark.parametrize(("value", "unit", "digits", "text"), WRITTEN)
def test_how_values_are_written(value, unit, digits, text):
    assert units.format(value, unit, digits) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_only_finite_values_are_written(value):
    for write in (lambda: units.format(value, "F"), lambda: units.number(value)):
        with pytest.raises(InputError, match="value: must be a finite number"):
            write()


SIZES = st.one_of(
    st.floats(-1e300, 1e300),
    st.builds(lambda head, power: head * 10.0**power, st.integers(-10001, 10001), st.integers(-20, 12)),
    st.builds(lambda power, ulps: (1.0 + ulps * 2.0**-52) * 10.0**power, st.integers(-15, 12), st.integers(-4, 4)),
)


@given(st.lists(SIZES, max_size=30), st.sampled_from(UNITS), st.integers(2, 6))
def test_many_are_written_as_each_would_be(values, unit, digits):
    assert units.formats(values, unit, digits) == [units.format(value, unit, digits) for value in values]


def test_of_many_each_must_be_finite():
    with pytest.raises(InputError, match="finite"):
        units.formats([1.0, math.nan], "Hz")


@pytest.mark.parametrize(
    ("value", "digits", "text"), [(1234.5678, 4, "1235"), (-0.00123456, 3, "−0.00123"), (0.0, 4, "0"), (2.0, 4, "2")]
)
def test_plain_numbers(value, digits, text):
    assert units.number(value, digits) == text


# --- checks at the edge of physics --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "check",
    [
        units.require_finite,
        units.require_positive,
        units.require_nonnegative,
        lambda a, v: units.require_between(a, v, 0, 9),
    ],
)
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, [1.0, math.nan], "ten", None, 1j])
def test_what_is_not_a_finite_number_is_refused_by_name(check, value):
    with pytest.raises(InputError, match=r"^length: must be a"):
        check("length", value)


@pytest.mark.parametrize(
    ("check", "good", "bad", "reason"),
    [
        (units.require_positive, [1e-300, 5.0], [0.0, -0.0, -1.0], "must be greater than zero"),
        (units.require_nonnegative, [0.0, -0.0, 1e300], [-1e-300], "must not be negative"),
        (
            lambda a, v: units.require_between(a, v, 1e-3, 0.5, "m"),
            [1e-3, 0.5],
            [0.0, 0.6],
            "must lie from 1 mm to 500 mm",
        ),
    ],
)
def test_bounds_are_checked_in_every_element(check, good, bad, reason):
    assert np.array_equal(check("length", good), good)
    for value in bad:
        with pytest.raises(InputError, match=f"^length: {reason}"):
            check("length", value)
        with pytest.raises(InputError, match=f"^length: {reason}"):
            check("length", [good[0], value])


def test_scalars_in_floats_out():
    assert type(units.plain(np.float64(2.0))) is float
    assert type(units.plain(np.array(2.0))) is float
    assert units.plain(np.array([2.0])).shape == (1,)
