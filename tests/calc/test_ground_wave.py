"""Behaviour of the ground wave: modes, join, fall with distance, mixed paths, sky wave, refusals."""

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.ground_wave import (
    Section,
    field_strength,
    flat_attenuation,
    grounds,
    mixed_path_field,
    night_sky_wave,
    unattenuated_field,
)
from calc.ground_wave.curved_earth import JOIN, attenuation, modes
from calc.ground_wave.field import EFFECTIVE_RADIUS
from calc.units import InputError

conductivities = st.floats(-5.0, 0.8).map(lambda power: 10.0**power)
permittivities = st.floats(2.0, 81.0)
frequencies = st.floats(1.5e5, 1.7e6)


def level(field):
    """dB over 1 uV/m."""
    return 20.0 * np.log10(np.asarray(field) * 1e6)


def contour_integral(x, b):
    """W(x, q) by the integral over 1/(b - Ai'/Ai) along a parabola round all modes: no series, no modes, no join."""
    with mpmath.workdps(20):
        x, b = mpmath.mpf(x), mpmath.mpc(b)
        turned = x * mpmath.exp(mpmath.mpc(0, mpmath.pi / 6))
        size = max(mpmath.mpf(1), 8 / x)

        def integrand(u):
            z = size * mpmath.mpc(1, u) ** 2
            ratio = mpmath.airyai(z, derivative=1) / mpmath.airyai(z)
            return mpmath.exp(turned * z) / (b - ratio) * 2 * size * mpmath.mpc(1, u)

        # the trapezium rule converges as fast as any on an analytic integrand that dies away at both ends
        step = mpmath.mpf("0.06")
        total = step * mpmath.fsum(integrand(n * step) for n in range(-85, 86))
        return complex(mpmath.sqrt(mpmath.pi * turned) * total / (2 * mpmath.pi))


@pytest.mark.parametrize("angle", [32.0, 73.0])
@pytest.mark.parametrize(
    ("x", "size"), [(0.02, 0.03), (0.02, 6.0), (0.38, 0.5), (0.38, 3.9), (0.42, 0.5), (0.42, 20.0), (3.0, 1.5)]
)
def test_attenuation_against_contour_integral(x, size, angle):
    b = size * np.exp(1j * np.radians(angle))
    exact = abs(contour_integral(x, b))
    # beyond the join the modes left out may count for 1e-5 of the field
    assert abs(level(abs(attenuation(np.array(x), np.array(b)))) - level(exact)) < (1e-6 if x < JOIN else 1e-4)


@pytest.mark.parametrize("angle", [32.0, 73.0])
@pytest.mark.parametrize("size", [4.1, 8.0, 27.0])
def test_bent_flat_earth_at_the_join(size, angle):
    b = size * np.exp(1j * np.radians(angle))
    x = 0.999 * JOIN
    exact = abs(contour_integral(x, b))
    assert abs(level(abs(attenuation(np.array(x), np.array(b)))) - level(exact)) < 0.03


def test_modes_against_airy_functions():
    for size in (0.0, 0.02, 1.0, 1.5, 2.3, 5.0, 30.0):
        for angle in (31.0, 50.0, 74.0):
            b = size * complex(np.exp(1j * np.radians(angle)))
            roots = modes(np.array(b))
            for number in (0, 1, 2, 9, 30, 63):
                root = mpmath.mpmathify(complex(roots[number]))
                value, slope = mpmath.airyai(root), mpmath.airyai(root, derivative=1)
                step = (slope - b * value) / (root * value - b * slope)
                assert abs(step) < 1e-12 * abs(root)
            assert np.all(np.diff(roots.real) < 0.0), "a root found twice"


def test_modes_of_perfect_ground_are_zeros_of_the_derivative():
    roots = modes(np.array(0.0j))
    for number in (1, 2, 17, 64):
        assert roots[number - 1] == pytest.approx(float(mpmath.airyaizero(number, derivative=1)), rel=1e-14)


@pytest.mark.parametrize("angle", [0.0, -30.0, -60.0, -90.0])
@pytest.mark.parametrize("size", [0.001, 0.5, 5.0, 59.0, 61.0, 1e4])
def test_flat_earth_function(size, angle):
    p = mpmath.mpmathify(size * complex(np.exp(1j * np.radians(angle))))
    with mpmath.workdps(60):
        root = mpmath.sqrt(p)
        exact = complex(1 - 1j * mpmath.sqrt(mpmath.pi) * root * mpmath.exp(-p) * mpmath.erfc(1j * root))
    assert flat_attenuation(complex(p)) == pytest.approx(exact, rel=1e-11)


def test_a_kilowatt_over_perfect_ground():
    assert unattenuated_field(1000.0, 1000.0) == pytest.approx(0.3, rel=1e-15)
    assert field_strength(1000.0, 1000.0, 2e5, 1e7, 1.0) == pytest.approx(0.3, rel=1e-3)
    assert field_strength(250.0, 1000.0, 1e6, 0.01, 15.0) == pytest.approx(
        field_strength(1000.0, 1000.0, 1e6, 0.01, 15.0) / 2.0, rel=1e-14
    )


@pytest.mark.parametrize("ground", grounds().values(), ids=lambda ground: ground.key)
@pytest.mark.parametrize("frequency", [1.5e5, 5e5, 1e6, 1.7e6])
def test_falls_with_distance_and_without_a_step(ground, frequency):
    distance = np.geomspace(1e3, 1e6, 3001)
    decibels = level(field_strength(1000.0, distance, frequency, ground.conductivity, ground.permittivity))
    assert np.all(np.isfinite(decibels))
    slope = np.diff(decibels)
    assert np.all(slope < 0.0)
    # a step stands out against its neighbours' slope; the bar is 0.2 dB
    assert np.max(np.abs(np.diff(slope))) < 0.03


@settings(max_examples=25)
@given(conductivities, permittivities, frequencies)
def test_no_step_at_the_join(conductivity, permittivity, frequency):
    wave_number = 2.0 * np.pi * frequency / 299792458.0
    join = JOIN / np.cbrt(wave_number * EFFECTIVE_RADIUS / 2.0) * EFFECTIVE_RADIUS
    near, far = field_strength(1.0, join * np.array([1 - 1e-9, 1 + 1e-9]), frequency, conductivity, permittivity)
    assert abs(level(near) - level(far)) < 0.05


@settings(max_examples=25)
@given(conductivities, permittivities, frequencies, st.floats(1e3, 1e6))
def test_never_above_perfect_ground(conductivity, permittivity, frequency, distance):
    field = field_strength(1000.0, distance, frequency, conductivity, permittivity)
    assert isinstance(field, float)
    assert field > 0.0
    # a surface with more storage than loss guides a little: at most a decibel over the perfect plane
    assert level(field) < level(unattenuated_field(1000.0, distance)) + 1.0


def test_arrays_broadcast():
    distance = np.array([[1e4], [5e4], [4e5]])
    frequency = np.array([2e5, 9e5])
    table = field_strength(1000.0, distance, frequency, np.array([0.003, 5.0]), 20.0)
    assert table.shape == (3, 2)
    for row in range(3):
        for column, conductivity in enumerate((0.003, 5.0)):
            single = field_strength(1000.0, distance[row, 0], frequency[column], conductivity, 20.0)
            assert table[row, column] == pytest.approx(single, rel=1e-13)


lengths = st.floats(1e3, 2e5)
sections = st.lists(st.builds(Section, lengths, conductivities, permittivities), min_size=1, max_size=3)


@settings(max_examples=25)
@given(sections, frequencies)
def test_mixed_path_is_the_same_both_ways(path, frequency):
    out, back = (mixed_path_field(1000.0, frequency, order) for order in (path, path[::-1]))
    assert out == pytest.approx(back, rel=1e-12)


@settings(max_examples=25)
@given(st.lists(lengths, min_size=1, max_size=3), conductivities, permittivities, frequencies)
def test_mixed_path_of_one_ground(pieces, conductivity, permittivity, frequency):
    path = [Section(length, conductivity, permittivity) for length in pieces]
    plain = field_strength(1000.0, sum(pieces), frequency, conductivity, permittivity)
    assert mixed_path_field(1000.0, frequency, path) == pytest.approx(plain, rel=1e-9)


def test_mixed_path_goes_with_the_root_of_power():
    path = [Section(3e4, 0.003, 15.0), Section(2e4, 5.0, 70.0)]
    field = mixed_path_field(np.array([0.0, 250.0, 1000.0]), 1e6, path)
    assert field[0] == 0.0
    assert field[1] == pytest.approx(field[2] / 2.0, rel=1e-14)


def test_recovery_over_the_sea():
    # the field behind a coast rises above what it was at the coast, as Millington and Isted measured
    land, sea = (0.0003, 7.0), (5.0, 70.0)
    at_coast = mixed_path_field(1000.0, 1.5e6, [Section(5e4, *land)])
    off_shore = mixed_path_field(1000.0, 1.5e6, [Section(5e4, *land), Section(1e4, *sea)])
    assert off_shore > at_coast


def test_sky_wave_by_its_formula():
    # worked by hand: 800 km, 50 degrees: D = 824.62 km, F = 97.5 - 58.325 - (6.2832 + 7.0304) 0.90809 = 27.085 dB
    field = night_sky_wave((100.0 / 300.0) ** 2 * 1000.0, 8e5, 50.0)
    assert level(field) == pytest.approx(27.085, abs=0.002)
    assert night_sky_wave(1000.0, 8e5, -75.0) == night_sky_wave(1000.0, 8e5, 60.0)


def test_sky_wave_falls_with_distance_and_latitude():
    field = night_sky_wave(1000.0, np.geomspace(1e5, 5e6, 50)[:, None], np.array([0.0, 30.0, 60.0]))
    assert np.all(np.diff(field, axis=0) < 0.0)
    assert np.all(np.diff(field, axis=1) < 0.0)


@pytest.mark.parametrize(
    ("argument", "arguments"),
    [
        ("radiated_power", (-1.0, 1e4, 1e6, 0.01, 10.0)),
        ("distance", (1.0, 0.0, 1e6, 0.01, 10.0)),
        ("distance", (1.0, 2e7, 1e6, 0.01, 10.0)),
        ("frequency", (1.0, 1e4, np.nan, 0.01, 10.0)),
        ("frequency", (1.0, 1e4, 1e8, 0.01, 10.0)),
        ("conductivity", (1.0, 1e4, 1e6, -0.01, 10.0)),
        ("conductivity", (1.0, 1e4, 1e6, np.inf, 10.0)),
        ("permittivity", (1.0, 1e4, 1e6, 0.01, 0.5)),
    ],
)
def test_refusals(argument, arguments):
    with pytest.raises(InputError) as caught:
        field_strength(*arguments)
    assert caught.value.argument == argument


def test_refusals_of_paths_and_skies():
    with pytest.raises(InputError, match="sections"):
        mixed_path_field(1.0, 1e6, [])
    with pytest.raises(InputError, match="length"):
        Section(0.0, 0.01, 10.0)
    with pytest.raises(InputError, match="geomagnetic_latitude"):
        night_sky_wave(1.0, 1e6, 95.0)
    with pytest.raises(InputError, match="distance"):
        night_sky_wave(1.0, 0.0, 45.0)
