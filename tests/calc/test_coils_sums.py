"""Inductance of coils of many shapes against sums over rings and double integrals, by scipy and mpmath."""

import mpmath
import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.special import ellipe, ellipkm1, j0, j1, struve

from calc import coils
from calc.constants import VACUUM_PERMEABILITY as MU0


def circles(a, b, z):
    """Maxwell's mutual inductance of coaxial circles with scipy's elliptic integrals."""
    far2, near2 = (a + b) ** 2 + z**2, (a - b) ** 2 + z**2
    k2 = 4.0 * a * b / far2
    k = np.sqrt(k2)
    return MU0 * np.sqrt(a * b) * ((2.0 / k - k) * ellipkm1(near2 / far2) - (2.0 / k) * ellipe(k2))


def ring(a, r):
    """One ring of round wire of radius r, current even over the section (Rayleigh and Niven)."""
    return MU0 * a * ((1.0 + r**2 / (8.0 * a**2)) * np.log(8.0 * a / r) + r**2 / (24.0 * a**2) - 1.75)


def sum_of_rings(radius, place, wire_radius):
    """Inductance of rings in series."""
    first, second = np.triu_indices(radius.size, 1)
    pairs = circles(radius[first], radius[second], place[first] - place[second])
    return np.sum(ring(radius, wire_radius)) + 2.0 * np.sum(pairs)


def mutual_of_rings(radius_a, place_a, radius_b, place_b):
    return np.sum(circles(radius_a[:, None], radius_b, place_a[:, None] - place_b))


def row(turns, radius, pitch, centre=0.0):
    return np.full(turns, radius), centre + pitch * (np.arange(turns) - 0.5 * (turns - 1))


# --- closed forms against mpmath -----------------------------------------------------------------------------------


@pytest.mark.parametrize("ratio", [1e-9, 1e-4, 0.03, 0.7, 0.999, 1.0, 1.001, 3.3, 40.0, 1e3, 1e6, 1e12])
def test_nagaoka_to_the_last_digits(ratio):
    with mpmath.workdps(50):
        x = mpmath.mpf(ratio)
        k2 = x**2 / (1 + x**2)
        big_k, big_e = mpmath.ellipk(k2), mpmath.ellipe(k2)
        exact = 4 * mpmath.sqrt(1 + x**2) / (3 * mpmath.pi) * ((big_k - big_e) / x**2 + big_e - mpmath.sqrt(k2))
        assert coils.nagaoka(ratio) == pytest.approx(float(exact), rel=2e-13)


def test_nagaoka_of_an_endless_coil():
    assert coils.nagaoka(0.0) == 1.0
    assert coils.nagaoka(1e-300) == 1.0


@pytest.mark.parametrize(
    "shape", [(1.0, 1.0, 1e-9), (1.0, 0.999999, 0.0), (0.03, 0.02, 0.01), (1.0, 1e-3, 100.0), (0.01, 0.02, 1e3)]
)
def test_circles_to_the_last_digits(shape):
    with mpmath.workdps(60):
        a, b, z = (mpmath.mpf(v) for v in shape)
        k2 = 4 * a * b / ((a + b) ** 2 + z**2)
        k = mpmath.sqrt(k2)
        bracket = (2 / k - k) * mpmath.ellipk(k2) - 2 / k * mpmath.ellipe(k2)
        exact = mpmath.mpf(MU0) * mpmath.sqrt(a * b) * bracket
        # a - b of doubles carries their rounding, which is all that is lost where the circles nearly touch
        assert coils.circle_mutual(*shape) == pytest.approx(float(exact), rel=1e-11)


@pytest.mark.parametrize("turns", [1, 2, 3, 5, 11, 12, 13, 40, 250])
def test_mutual_correction_is_its_sum(turns):
    with mpmath.workdps(40):

        def square_log(n):
            return n * n * mpmath.log(n) if n else mpmath.mpf(0)

        total = mpmath.mpf(0)
        for n in range(1, turns):
            mean = (square_log(n + 1) + square_log(n - 1)) / 2 - square_log(n) - mpmath.mpf(3) / 2
            total += 2 * (turns - n) * (mpmath.log(n) - mean)
        exact = float(total / turns)
    assert coils.round_wire_mutual_correction(turns) == pytest.approx(exact, abs=2e-13)


def test_mutual_correction_between_whole_turns_is_smooth():
    turns = np.linspace(1.0, 40.0, 400)
    value = coils.round_wire_mutual_correction(turns)
    assert np.all(np.diff(value) > 0.0)
    assert np.all(np.diff(value, 2) < 1e-12)


# --- single layers ---------------------------------------------------------------------------------------------------

SOLENOIDS = [
    # turns, diameter, pitch, wire [mm]: close wound and open, long and short, thick and thin, up to a pitch of D/8
    (12, 30.0, 3.0, 2.0), (25, 60.0, 2.0, 1.9), (60, 75.0, 0.6, 0.5), (120, 40.0, 0.35, 0.315),
    (300, 25.0, 0.2, 0.16), (8, 100.0, 12.5, 2.0), (40, 20.0, 2.5, 0.4), (200, 100.0, 0.25, 0.2),
]  # fmt: skip


@pytest.mark.parametrize(("turns", "diameter", "pitch", "wire"), SOLENOIDS)
def test_solenoid_against_rings_of_even_current(turns, diameter, pitch, wire):
    diameter, pitch, wire = diameter * 1e-3, pitch * 1e-3, wire * 1e-3
    exact = sum_of_rings(*row(turns, 0.5 * diameter, pitch), 0.5 * wire)
    assert coils.solenoid_inductance(turns, diameter, turns * pitch, wire) == pytest.approx(exact, rel=2e-3)
    assert coils.LayeredCoil((diameter,), (turns,), pitch, wire).inductance == pytest.approx(exact, rel=1e-11)


def test_surface_current_takes_off_what_is_said():
    # the field inside the wire, mu0/(8 pi) per metre, is mu0 N D/8 of the coil's inductance, half of it in the mean
    diameter, turns = 0.05, 50
    skin = MU0 / (8.0 * np.pi) * np.pi * diameter * turns
    inductance = coils.solenoid_inductance(turns, diameter, 0.05, 0.9e-3)
    assert skin == pytest.approx(MU0 * turns * diameter / 8.0)
    assert 0.0005 < skin / inductance < 0.01


# --- thick, flat and conical coils ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("layers", "in_layer", "inner", "radial", "axial", "wire"),
    [
        (5, 40, 12.0, 0.6, 0.6, 0.5),
        (20, 6, 30.0, 0.4, 0.5, 0.35),
        (9, 9, 8.0, 1.0, 1.0, 0.3),
        (40, 4, 2.0, 0.25, 0.25, 0.2),
    ],
)
def test_thick_coil_against_rings(layers, in_layer, inner, radial, axial, wire):
    inner, radial, axial, wire = (v * 1e-3 for v in (inner, radial, axial, wire))
    radius = np.repeat(0.5 * inner + radial * (np.arange(layers) + 0.5), in_layer)
    place = np.tile(axial * np.arange(in_layer), layers)
    exact = sum_of_rings(radius, place, 0.5 * wire)
    turns, outer, length = layers * in_layer, inner + 2.0 * layers * radial, in_layer * axial
    assert coils.multilayer_inductance(turns, inner, outer, length, wire) == pytest.approx(exact, rel=3e-3)
    coil = coils.LayeredCoil(tuple(2.0 * radius[::in_layer]), (in_layer,) * layers, axial, wire)
    assert coil.inductance == pytest.approx(exact, rel=1e-11)
    assert coil.rings().inductance == pytest.approx(exact, rel=1e-11)


def block_by_bessel_functions(inner, outer, length):
    """One turn of evenly spread current: L = mu0 pi times the integral over k of R(k)^2 Z(k).

    R is the mean of r J1(kr) over the depth, in closed form with Struve's functions; Z the mean of exp(-k |z - z'|).
    """
    k = np.linspace(0.0, 2500.0 / outer, 300_001)[1:]

    def moment(r):
        x = k * r
        return 0.5 * np.pi * x * (j1(x) * struve(0, x) - j0(x) * struve(1, x)) / k**2

    radial = (moment(outer) - moment(inner)) / (outer - inner)
    axial = 2.0 * (k * length - 1.0 + np.exp(-k * length)) / (k * length) ** 2
    return MU0 * np.pi * simpson(radial**2 * axial, x=k)


@pytest.mark.parametrize(
    ("inner", "outer", "length"),
    [(0.01, 0.03, 0.02), (0.02, 0.024, 0.03), (0.03, 0.05, 0.003), (0.0, 0.02, 0.01), (0.01, 0.02, 0.2)],
)
def test_even_current_against_bessel_functions(inner, outer, length):
    exact = block_by_bessel_functions(0.5 * inner, 0.5 * outer, length)
    assert coils.multilayer_inductance(1.0, inner, outer, length) == pytest.approx(exact, rel=2e-6)


def test_thin_block_is_the_current_sheet_and_flat_block_the_disc():
    sheet = coils.solenoid_inductance(10, 0.05, 0.03)
    assert coils.multilayer_inductance(10, 0.05 - 1e-7, 0.05 + 1e-7, 0.03) == pytest.approx(sheet, rel=1e-5)
    disc = coils.spiral_inductance(10, 0.02, 0.06)
    assert coils.multilayer_inductance(10, 0.02, 0.06, 1e-7) == pytest.approx(disc, rel=2e-5)
    cylinder = coils.conical_inductance(10, 0.05, 0.05, 0.03)
    assert cylinder == pytest.approx(sheet, rel=1e-8)


@pytest.mark.parametrize(
    ("turns", "first", "last", "length", "wire"),
    [(30, 30.0, 90.0, 0.0, 0.8), (20, 40.0, 60.0, 30.0, 0.7), (50, 10.0, 80.0, 60.0, 0.5), (24, 20.0, 100.0, 0.0, 1.0)],
)
def test_spiral_and_cone_against_rings(turns, first, last, length, wire):
    first, last, length, wire = (v * 1e-3 for v in (first, last, length, wire))
    share = (np.arange(turns) + 0.5) / turns
    exact = sum_of_rings(0.5 * (first + (last - first) * share), length * share, 0.5 * wire)
    if length:
        value = coils.conical_inductance(turns, first, last, length, wire)
    else:
        value = coils.spiral_inductance(turns, first, last, wire)
    assert value == pytest.approx(exact, rel=1e-3)


def test_layers_in_grooves_and_part_layers_against_rings():
    coil = coils.LayeredCoil((0.02, 0.0206, 0.0212), (20, 19, 7), 0.4e-3, 0.3e-3, (0, 1, 0))
    radius = np.repeat([0.010, 0.0103, 0.0106], [20, 19, 7])
    place = 0.4e-3 * np.concatenate([np.arange(20), 0.5 + np.arange(19), np.arange(7)])
    assert coil.inductance == pytest.approx(sum_of_rings(radius, place, 0.15e-3), rel=1e-11)
    assert coil.turns == 46
    assert coil.wire_length == pytest.approx(2.0 * np.pi * radius.sum())


def test_rings_of_opposite_sense():
    # two like rings far apart in opposition: twice one, less twice the mutual inductance
    pair = coils.Rings(np.array([0.05, 0.05]), np.array([0.0, 0.02]), np.array(1e-3), np.array([1.0, -1.0]))
    expected = 2.0 * ring(0.025, 0.5e-3) - 2.0 * circles(0.025, 0.025, 0.02)
    assert pair.inductance == pytest.approx(expected, rel=1e-12)


def test_lead():
    # a metre of 1 mm wire has about 1.5 uH, the rule of thumb in every workshop: from memory
    assert coils.straight_wire_inductance(1.0, 1e-3) == pytest.approx(1.46e-6, rel=0.01)


# --- mutual inductance -----------------------------------------------------------------------------------------------

PAIRS = [
    # N, D, pitch of each, distance of centres [mm]: beside, inside, inside and shifted, over with a small gap, far
    ((60, 75.0, 0.8), (12, 75.0, 0.8), 32.0), ((60, 75.0, 0.8), (20, 60.0, 1.0), 0.0),
    ((40, 50.0, 1.0), (30, 44.0, 0.7), 25.0), ((90, 75.0, 0.6), (15, 79.0, 0.6), 20.0),
    ((50, 40.0, 0.5), (50, 40.0, 0.5), 400.0), ((100, 30.0, 1.5), (100, 26.0, 1.5), 40.0),
]  # fmt: skip


@pytest.mark.parametrize(("a", "b", "apart"), PAIRS)
def test_solenoid_mutual_against_rings(a, b, apart):
    apart *= 1e-3
    (na, da, pa), (nb, db, pb) = ((n, d * 1e-3, p * 1e-3) for n, d, p in (a, b))
    exact = mutual_of_rings(*row(na, 0.5 * da, pa), *row(nb, 0.5 * db, pb, apart))
    first, second = coils.Solenoid(na, da, na * pa), coils.Solenoid(nb, db, nb * pb)
    assert coils.solenoid_mutual(first, second, apart) == pytest.approx(exact, rel=3e-4)


def test_solenoid_mutual_of_a_coil_with_itself():
    coil = coils.Solenoid(40, 0.06, 0.03)
    assert coils.solenoid_mutual(coil, coil, 0.0) == pytest.approx(coil.inductance, rel=1e-7)


def test_solenoid_mutual_against_cut_coil():
    # a coil cut in two: L = L1 + L2 + 2 M, with three exact sheets
    whole, left, right = (coils.Solenoid(n, 0.05, n * 1e-3) for n in (70, 50, 20))
    mutual = 0.5 * (whole.inductance - left.inductance - right.inductance)
    assert coils.solenoid_mutual(left, right, 0.035) == pytest.approx(mutual, rel=1e-9)


@pytest.mark.parametrize(("gap", "tolerance"), [(0.0, 2e-4), (0.001, 1e-5), (0.005, 1e-6)])
def test_mutual_inductance_of_thick_coils_against_cut_block(gap, tolerance):
    # two blocks and the gap between them, filled or not, are blocks themselves: three inductances give the mutual one
    def block(length):
        return coils.multilayer_inductance(length / 0.01 * 100.0, 0.02, 0.04, length) if length else 0.0

    exact = 0.5 * (block(0.02 + gap) + block(gap) - 2.0 * block(0.01 + gap))
    coil = coils.Multilayer(100, 0.02, 0.04, 0.01)
    assert coils.mutual_inductance(coil, coil, 0.01 + gap) == pytest.approx(exact, rel=tolerance)


def test_spirals_face_to_face_against_rings():
    flat = coils.Spiral(25, 0.03, 0.08)
    radius = 0.015 + 0.001 * (np.arange(25) + 0.5)
    exact = mutual_of_rings(radius, np.zeros(25), radius, np.full(25, 0.0015))
    assert coils.mutual_inductance(flat, flat, 0.0015) == pytest.approx(exact, rel=1e-9)


def test_mutual_inductance_of_mixed_shapes_against_rings():
    thick = coils.Multilayer(80, 0.020, 0.030, 0.010)
    radius = np.repeat(0.010 + 0.0005 * (np.arange(10) + 0.5), 8)
    place = np.tile(0.00125 * (np.arange(8) - 3.5), 10)
    flat = coils.Spiral(30, 0.03, 0.09)
    flat_radius = 0.015 + 0.001 * (np.arange(30) + 0.5)
    cone = coils.Cone(20, 0.04, 0.08, 0.03)
    share = (np.arange(20) + 0.5) / 20
    cone_radius, cone_place = 0.02 + 0.02 * share, 0.03 * (share - 0.5)
    layer = coils.Solenoid(50, 0.05, 0.04)
    layer_radius, layer_place = row(50, 0.025, 0.0008)
    for first, rings, second, others, apart in (
        (thick, (radius, place), layer, (layer_radius, layer_place), 0.03),
        (flat, (flat_radius, np.zeros(30)), layer, (layer_radius, layer_place), 0.025),
        (flat, (flat_radius, np.zeros(30)), thick, (radius, place), 0.012),
        (layer, (layer_radius, layer_place), cone, (cone_radius, cone_place), 0.05),
        (layer, (layer_radius, layer_place), cone, (cone_radius, cone_place), -0.05),
    ):
        exact = mutual_of_rings(*rings, others[0], others[1] + apart)
        assert coils.mutual_inductance(first, second, apart) == pytest.approx(exact, rel=1e-3)


def test_rings_mutual_against_sum():
    a = coils.LayeredCoil((0.02, 0.021), (10, 10), 0.5e-3, 0.4e-3).rings()
    b = coils.LayeredCoil((0.03,), (7,), 1e-3, 0.4e-3).rings()
    exact = mutual_of_rings(0.5 * a.diameter, a.position, 0.5 * b.diameter, b.position + 0.004)
    assert a.mutual(b, 0.004) == pytest.approx(exact, rel=1e-12)


def neumann(a, b, angle, along, aside):
    """Mutual inductance of two single-layer coils, the second turned and set aside, by Neumann's double integral."""
    points = 2.0 * np.pi * np.arange(96) / 96
    node, weight = np.polynomial.legendre.leggauss(12)
    axis = np.array([np.sin(angle), 0.0, np.cos(angle)])
    across = np.array([np.cos(angle), 0.0, -np.sin(angle)])
    ra, rb = 0.5 * a.diameter, 0.5 * b.diameter
    cos, sin, flat = np.cos(points), np.sin(points), np.zeros(96)
    round_b = cos[:, None] * across + sin[:, None] * np.array([0.0, 1.0, 0.0])
    along_b = -sin[:, None] * across + cos[:, None] * np.array([0.0, 1.0, 0.0])
    along_a = np.stack([-sin, cos, flat], axis=1)
    total = 0.0
    for za, wa in zip(0.5 * a.length * node, 0.5 * a.turns * weight, strict=True):
        where_a = np.stack([ra * cos, ra * sin, flat + za], axis=1)
        for zb, wb in zip(0.5 * b.length * node, 0.5 * b.turns * weight, strict=True):
            where_b = np.array([aside, 0.0, along]) + zb * axis + rb * round_b
            gap = np.linalg.norm(where_a[:, None] - where_b, axis=2)
            total += wa * wb * np.sum((along_a @ along_b.T) / gap)
    return 1e-7 * ra * rb * (2.0 * np.pi / 96) ** 2 * total


@pytest.mark.parametrize(
    ("angle", "along", "aside"),
    [
        (0.0, 0.07, 0.0), (0.5, 0.0, 0.0), (1.4, 0.0, 0.0), (0.7, 0.08, 0.0), (0.3, 0.06, 0.03), (1.5, 0.0, 0.1),
        (2.6, 0.09, 0.0),
    ],
)  # fmt: skip
def test_turned_coil_against_neumann(angle, along, aside):
    fixed, moving = coils.Solenoid(60, 0.075, 0.06), coils.Solenoid(12, 0.055, 0.015)
    exact = neumann(fixed, moving, angle, along, aside)
    most = coils.mutual_inductance(fixed, moving, 0.0)
    assert coils.turned_mutual(fixed, moving, angle, along, aside) == pytest.approx(exact, abs=2e-4 * most)


def test_turned_coil_is_coaxial_at_no_angle_and_nothing_at_a_right_angle():
    fixed, moving = coils.Solenoid(60, 0.075, 0.06), coils.Multilayer(40, 0.03, 0.04, 0.01)
    coaxial = coils.mutual_inductance(fixed, moving, 0.01)
    assert coils.turned_mutual(fixed, moving, 0.0, 0.01) == pytest.approx(coaxial, rel=1e-5)
    assert coils.turned_mutual(fixed, moving, np.pi, 0.01) == pytest.approx(-coaxial, rel=1e-5)
    assert abs(coils.turned_mutual(fixed, moving, 0.5 * np.pi)) < 1e-12 * coaxial
    angles = np.array([[0.1, 0.2], [0.3, 0.4]])
    assert coils.turned_mutual(fixed, moving, angles, 0.01).shape == (2, 2)


END_TO_END = {
    "long": coils.Solenoid(60, 0.02, 0.2),
    "short": coils.Solenoid(12, 0.08, 0.004),
    "thick": coils.Multilayer(100, 0.03, 0.07, 0.02),
    "flat": coils.Spiral(30, 0.03, 0.1),
}


@pytest.mark.parametrize("first", END_TO_END)
@pytest.mark.parametrize("second", END_TO_END)
def test_coils_end_to_end_are_as_rings(first, second):
    a, b = END_TO_END[first], END_TO_END[second]
    sheets = [coil.sheets() for coil in (a, b)]
    lengths = [float(np.max(part.length)) for part in sheets]
    gap = max(*lengths, *(float(np.max(part.radius)) for part in sheets)) / 6.0
    apart = 0.5 * sum(lengths) + gap * np.array([1.0, 2.0, 6.0])
    found = coils.mutual_of_rings(coils.as_rings(a), coils.as_rings(b), apart)
    assert found == pytest.approx(coils.mutual_inductance(a, b, apart), rel=1e-4)
