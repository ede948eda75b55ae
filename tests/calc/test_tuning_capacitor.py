"""Laws of variable capacitors: what is straight is straight, each way is the other's inverse, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from calc import bands, tuning_capacitor
from calc.units import InputError

TURNS = np.linspace(0.0, 1.0, 41)
LEAST = st.floats(2e-12, 1e-10)
SPAN = st.floats(1.05, 100.0)
STRAYS = st.floats(0.0, 2e-10)
KIND = st.sampled_from(tuning_capacitor.STRAIGHT_KINDS)
MEASURED = ((0.0, 12e-12), (0.1, 21e-12), (0.35, 90e-12), (0.6, 170e-12), (0.85, 301e-12), (1.0, 366e-12))


@given(KIND, LEAST, SPAN, STRAYS, st.floats(0.0, 1.0))
def test_turn_and_capacitance_are_each_others_inverse(kind, least, span, strays, turn):
    made = tuning_capacitor.law(kind, least, least * span, strays=strays)
    assert made.rotation(made.capacitance(turn)) == pytest.approx(turn, abs=1e-10)
    own = least * (1.0 + turn * (span - 1.0))
    assert made.capacitance(made.rotation(own)) == pytest.approx(own, rel=1e-11)


@given(KIND, LEAST, SPAN, STRAYS)
def test_the_ends_are_those_given(kind, least, span, strays):
    made = tuning_capacitor.law(kind, least, least * span, strays=strays)
    assert made.capacitance([0.0, 1.0]) == pytest.approx([least, least * span], rel=1e-11)
    assert made.rotation([least, least * span]) == pytest.approx([0.0, 1.0], abs=1e-12)


@pytest.mark.parametrize("strays", [0.0, 35e-12])
@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("semicircular", lambda inductance, total: total),
        ("wavelength", lambda inductance, total: 299792458.0 * 2 * math.pi * np.sqrt(inductance * total)),
        ("frequency", lambda inductance, total: 1 / (2 * math.pi * np.sqrt(inductance * total))),
    ],
)
def test_what_its_name_says_goes_in_equal_steps(kind, what, strays):
    """With the strays for which the plates were cut in the circuit, and a coil of any inductance."""
    made = tuning_capacitor.law(kind, 12e-12, 365e-12, strays=strays)
    steps = np.diff(what(230e-6, made.capacitance(TURNS) + strays))
    assert steps == pytest.approx(np.full(40, steps.mean()), rel=1e-10)


def test_other_strays_spoil_the_equal_steps():
    made = tuning_capacitor.law("frequency", 12e-12, 365e-12, strays=20e-12)
    steps = np.diff((made.capacitance(TURNS) + 60e-12) ** -0.5)
    assert steps.min() / steps.max() > 1.5  # each step is a fall


def test_half_round_plates_do_not_care_for_strays():
    plain, cut = (tuning_capacitor.law("semicircular", 12e-12, 365e-12, strays=strays) for strays in (0.0, 50e-12))
    assert cut.capacitance(TURNS) == pytest.approx(plain.capacitance(TURNS), rel=1e-13)


@pytest.mark.parametrize(
    ("kind", "name"), [("semicircular", "capacitance"), ("wavelength", "wavelength"), ("frequency", "frequency")]
)
def test_the_same_law_as_the_forms_dials(kind, name):
    made = tuning_capacitor.law(kind, 15e-12, 365e-12)
    assert bands.capacitance_at(TURNS, 15e-12, 365e-12, name) == pytest.approx(made.capacitance(TURNS), rel=1e-13)


def test_table_against_scipy_and_back():
    made = tuning_capacitor.law("table", None, None, table=MEASURED[::-1])
    turns, values = np.array(MEASURED).T
    fine = np.linspace(0.0, 1.0, 501)
    curve = made.capacitance(fine)
    assert curve == pytest.approx(PchipInterpolator(turns, values)(fine), rel=1e-12)
    assert made.capacitance(turns) == pytest.approx(values, rel=1e-14)
    assert np.all(np.diff(curve) > 0.0)
    assert made.rotation(curve) == pytest.approx(fine, abs=1e-12)


def test_the_ends_stand_where_the_table_does_not_reach():
    inner = MEASURED[1:-1]
    alone = tuning_capacitor.law("table", None, None, table=inner)
    assert (alone.least, alone.greatest) == (21e-12, 301e-12)
    with pytest.raises(InputError, match="rotation"):
        alone.capacitance(0.95)
    ended = tuning_capacitor.law("table", 12e-12, 366e-12, table=inner)
    assert ended.capacitance(TURNS) == pytest.approx(
        tuning_capacitor.law("table", None, None, table=MEASURED).capacitance(TURNS), rel=1e-14
    )
    assert tuning_capacitor.law("table", 1e-12, 2e-12, table=MEASURED).least == 12e-12  # a reading goes before


@pytest.mark.parametrize("kind", tuning_capacitor.KINDS)
def test_scalars_come_back_as_floats_and_arrays_keep_their_shape(kind):
    made = tuning_capacitor.law(kind, 12e-12, 366e-12, table=MEASURED if kind == "table" else None)
    assert type(made.capacitance(0.4)) is float
    assert type(made.rotation(1e-10)) is float
    assert np.shape(made.rotation(made.capacitance(np.full((2, 3), 0.4)))) == (2, 3)


@pytest.mark.parametrize("kind", tuning_capacitor.KINDS)
@pytest.mark.parametrize(
    ("method", "value", "argument"),
    [
        ("capacitance", -1e-9, "rotation"),
        ("capacitance", 1.001, "rotation"),
        ("capacitance", math.nan, "rotation"),
        ("rotation", 11.99e-12, "capacitance"),
        ("rotation", 366.1e-12, "capacitance"),
        ("rotation", math.inf, "capacitance"),
    ],
)
def test_outside_its_range_is_refused(kind, method, value, argument):
    made = tuning_capacitor.law(kind, 12e-12, 366e-12, table=MEASURED if kind == "table" else None)
    with pytest.raises(InputError) as caught:
        getattr(made, method)(value)
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    ("arguments", "argument"),
    [
        (("logarithmic", 1e-11, 1e-10), "kind"),
        (("semicircular", None, 1e-10), "least"),
        (("semicircular", 1e-11, None), "greatest"),
        (("semicircular", 1e-10, 1e-10), "greatest"),
        (("wavelength", 0.0, 1e-10), "least"),
        (("frequency", 1e-11, 1e-10, None, -1e-12), "strays"),
        (("table", None, None), "table"),
        (("table", None, None, MEASURED[:2]), "table"),
        (("table", None, None, (*MEASURED, (0.35, 95e-12))), "table"),
        (("table", None, None, (*MEASURED, (0.5, 80e-12))), "table"),
        (("table", None, None, (*MEASURED, (1.5, 400e-12))), "table"),
        (("table", None, None, (*MEASURED, (0.5, math.nan))), "table"),
        (("table", 30e-12, None, MEASURED[1:]), "table"),
    ],
)
def test_laws_that_cannot_be_are_refused(arguments, argument):
    with pytest.raises(InputError) as caught:
        tuning_capacitor.law(*arguments)
    assert caught.value.argument == argument
