"""The coefficient of a tapped coil against the mutual inductance of its two parts, found in another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import coils
from calc.coupling import part_inductance, tap_coefficient
from calc.units import InputError


@pytest.mark.parametrize("turns", [6, 10, 30])
@pytest.mark.parametrize(("diameter", "pitch"), [(75e-3, 0.8e-3), (25e-3, 0.3e-3)])
def test_parts_of_a_solenoid(turns, diameter, pitch):
    """Both parts are current sheets end to end: their mutual inductance by integrals over two coaxial coils."""
    whole, lower, upper = (coils.solenoid_inductance(n, diameter, n * pitch) for n in (60, turns, 60 - turns))
    below, above = (coils.Solenoid(n, diameter, n * pitch) for n in (turns, 60 - turns))
    mutual = coils.solenoid_mutual(below, above, 30 * pitch)
    assert tap_coefficient(whole, lower, upper) == pytest.approx(mutual / math.sqrt(lower * upper), rel=1e-6)


@given(st.floats(1e-6, 1e-3), st.floats(0.01, 100.0), st.floats(0.01, 0.99))
def test_inductances_add_up_with_their_mutual_twice_over(lower, ratio, coefficient):
    upper = lower * ratio
    whole = lower + upper + 2 * coefficient * math.sqrt(lower * upper)
    assert tap_coefficient(whole, lower, upper) == pytest.approx(coefficient, rel=1e-11)


def test_arrays_broadcast():
    assert np.shape(tap_coefficient([2.5e-4, 2.6e-4], 1e-4, 1e-4)) == (2,)
    assert type(tap_coefficient(2.5e-4, 1e-4, 1e-4)) is float


@pytest.mark.parametrize(
    ("values", "argument"),
    [
        ((1e-4, 1e-4, 1e-4), "inductance"),
        ((5e-4, 1e-4, 1e-4), "inductance"),
        ((0.0, 1e-4, 1e-4), "inductance"),
        ((2.5e-4, -1e-4, 1e-4), "lower_inductance"),
        ((2.5e-4, 1e-4, math.nan), "upper_inductance"),
    ],
)
def test_what_cannot_be_is_named(values, argument):
    with pytest.raises(InputError) as caught:
        tap_coefficient(*values)
    assert caught.value.argument == argument


# --- a part by a power of its turns -------------------------------------------------------------------------------


@pytest.mark.parametrize("turns", [3, 10, 20, 30, 50])
@pytest.mark.parametrize("shape", [0.5, 1.0, 2.0, 4.0])
def test_a_part_of_a_solenoid_is_nearly_a_power_of_its_turns(shape, turns):
    whole, lower, upper = (coils.solenoid_inductance(n, shape, n / 60) for n in (60, turns, 60 - turns))
    found = part_inductance(whole, turns / 60, tap_coefficient(whole, lower, upper))
    assert found == pytest.approx(lower, rel=0.28 if turns < 10 else 0.12)


@given(st.floats(1e-6, 1e-2), st.floats(1e-3, 0.999), st.floats(0.0, 1.0))
def test_two_parts_by_a_power_of_their_turns_make_the_whole(whole, fraction, coefficient):
    lower, upper = (part_inductance(whole, share, coefficient) for share in (fraction, 1.0 - fraction))
    assert lower + upper + 2.0 * coefficient * math.sqrt(lower * upper) == pytest.approx(whole, rel=1e-12)
    assert fraction**2 * (1.0 - 1e-9) <= lower / whole <= fraction * (1.0 + 1e-9)


def test_the_ends_of_coupling_and_of_the_coil():
    assert part_inductance(3e-4, 0.2, 0.0) == pytest.approx(0.6e-4, rel=1e-14)
    assert part_inductance(3e-4, 0.2, 1.0) == pytest.approx(0.12e-4, rel=1e-14)
    assert part_inductance(3e-4, 1.0, 0.4) == 3e-4
    assert np.shape(part_inductance(3e-4, [[0.1], [1.0]], [0.2, 0.3, 0.4])) == (2, 3)


@pytest.mark.parametrize(
    ("values", "argument"),
    [((0.0, 0.2, 0.4), "inductance"), ((1e-4, 1.1, 0.4), "fraction"), ((1e-4, 0.2, -0.1), "coefficient")],
)
def test_a_part_that_cannot_be_is_named(values, argument):
    with pytest.raises(InputError) as caught:
        part_inductance(*values)
    assert caught.value.argument == argument
