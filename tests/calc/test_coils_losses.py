"""Resistance, self-capacitance and Q of coils against field sums, exact multipoles and circuit algebra."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from scipy.special import comb, ellipe, ellipkm1, ive

from calc import coils, tables, wire
from calc.constants import VACUUM_PERMEABILITY as MU0


def circle_field(a, rho, z):
    """Field of a circle that carries one ampere, with scipy's elliptic integrals."""
    far2, near2 = (a + rho) ** 2 + z**2, (a - rho) ** 2 + z**2
    k, e = ellipkm1(near2 / far2), ellipe(1.0 - near2 / far2)
    scale = 1.0 / (2.0 * np.pi * np.sqrt(far2))
    axial = scale * (k + e * (a**2 - rho**2 - z**2) / near2)
    radial = scale * z / rho * (e * (a**2 + rho**2 + z**2) / near2 - k)
    return axial, radial


def mean_square_field(radius, place, wire_radius):
    """2 pi^2 times the mean square of the field across rings in series, own curvature's field included."""
    total = 0.0
    for i in range(radius.size):
        others = np.arange(radius.size) != i
        axial, radial = circle_field(radius[others], radius[i], place[i] - place[others])
        own = (np.log(8.0 * radius[i] / wire_radius) - 0.75) / (4.0 * np.pi * radius[i])
        total += radius[i] * ((np.sum(axial) + own) ** 2 + np.sum(radial) ** 2)
    return 2.0 * np.pi**2 * total / np.sum(radius)


# --- the field across the turns -------------------------------------------------------------------------------------


def test_layered_field_against_sum():
    coil = coils.LayeredCoil((0.02, 0.0206, 0.0212), (12, 11, 5), 0.4e-3, 0.3e-3, (0, 1, 0))
    radius = np.repeat([0.010, 0.0103, 0.0106], [12, 11, 5])
    place = 0.4e-3 * np.concatenate([np.arange(12), 0.5 + np.arange(11), np.arange(5)])
    assert coil.field_factor == pytest.approx(mean_square_field(radius, place, 0.15e-3), rel=1e-10)


def sheet_field_factor(shape):
    """pi^2/2 times the mean square over a current sheet of its own field over half the turns per metre."""
    length = 2.0 * shape  # in radii

    def end_field(reach):  # axial field of the sheet from here to `reach`, z = t^3
        def integrand(t):
            z = max(t, 1e-30) ** 3
            far2 = 4.0 + z * z
            return (ellipkm1(z * z / far2) - ellipe(4.0 / far2)) / np.sqrt(far2) / np.pi * 3.0 * t * t

        return quad(integrand, 0.0, reach ** (1.0 / 3.0), epsabs=1e-9)[0]

    def potential(z):
        far2 = 4.0 + z * z
        k = 2.0 / np.sqrt(far2)
        return ((2.0 / k - k) * ellipkm1(z * z / far2) - 2.0 / k * ellipe(4.0 / far2)) / np.pi

    def square(t):
        u = 0.5 * length * max(t, 1e-9) ** 3
        axial = end_field(u) + end_field(length - u)
        radial = potential(u) - potential(length - u)
        return (axial**2 + radial**2) * 3.0 * t * t

    return 0.5 * np.pi**2 * quad(square, 0.0, 1.0, epsabs=1e-7, limit=60)[0]


@pytest.mark.parametrize("shape", [0.05, 0.4, 1.0, 3.0, 20.0])
def test_low_frequency_table_worked_out_afresh(shape):
    table = {row["length_over_diameter"]: float(row["factor"]) for row in tables.read("low_frequency_proximity")}
    assert sheet_field_factor(shape) == pytest.approx(table[f"{shape:g}"], rel=2e-6)


def test_low_frequency_table_ends():
    table = tables.read("low_frequency_proximity")
    assert float(table[0]["factor"]) == pytest.approx(np.pi**2 / 6.0, abs=1e-7)  # flat strip, by integration of ln^2
    assert float(table[-1]["factor"]) == pytest.approx(np.pi**2 / 2.0, abs=1e-7)  # half the inner field of a long coil


@pytest.mark.parametrize(("turns", "tolerance"), [(10, 0.06), (30, 0.02), (100, 0.007)])
@pytest.mark.parametrize("shape", [0.2, 1.0, 2.0])
def test_low_frequency_proximity_against_rings(turns, tolerance, shape):
    pitch = 0.05 * shape / turns
    exact = mean_square_field(np.full(turns, 0.025), pitch * np.arange(turns), 0.3 * pitch) * pitch**2
    assert coils.low_frequency_proximity(shape, turns) == pytest.approx(exact, rel=tolerance)


def test_flat_row_of_wires_exactly():
    # the field of a row of straight wires is a difference of harmonic numbers
    for turns in (2, 3, 10, 50):
        harmonic = np.concatenate([[0.0], np.cumsum(1.0 / np.arange(1, turns + 1))])
        i = np.arange(1, turns + 1)
        exact = 0.5 * np.mean((harmonic[i - 1] - harmonic[turns - i]) ** 2)
        assert coils.low_frequency_proximity(0.0, turns) == pytest.approx(exact, rel=2e-3)


# --- exact multipoles: a row of parallel wires as a piece of a coil --------------------------------------------


def row_of_wires(count, ratio, x, outer, orders=10):
    """Resistance ratio of each wire of a row that carries one current, exactly, by multipoles about every wire.

    ratio is wire diameter over pitch, x the skin effect's argument; outer is 1 for a long coil, whose far side adds the
    field that doubles the one inside and cancels the one outside, 0 for the lone row.
    """
    radius, pitch = 1.0, 2.0 / ratio
    z = x * np.exp(0.25j * np.pi)
    m = np.arange(1, orders + 1)
    response = -ive(m + 1, z) / ive(m - 1, z) * radius ** (2 * m)
    gap = pitch * (np.arange(count)[:, None] - np.arange(count))
    inverse = np.divide(1.0, gap, out=np.zeros_like(gap), where=gap != 0.0)
    line = np.stack([-((-1.0) ** (k + 1)) / (2.0 * np.pi * k) * np.sum(inverse**k, axis=1) for k in m], axis=1)
    shift = np.zeros((count, orders, count, orders))
    for i, k in enumerate(m):
        for j, n in enumerate(m):
            shift[:, i, :, j] = comb(n + k - 1, k) * (-1.0) ** k * inverse ** (n + k)
    shift = shift.reshape(count * orders, -1)
    reply = np.tile(response, count)[:, None]
    even = np.linalg.solve(np.eye(count * orders) - reply * shift, reply[:, 0] * line.ravel())
    across = np.zeros((count, orders))
    across[:, 0] = outer / (2.0 * pitch)
    odd = np.linalg.solve(np.eye(count * orders) + reply * shift, reply[:, 0] * across.ravel())
    loss = even * np.conj(line.ravel() + shift @ even) + odd * np.conj(across.ravel() - shift @ odd)
    extra = -np.pi * np.tile(m, count) * loss.imag * x**2 * 2.0 * np.pi
    skin = (0.5 * z * ive(0, z) / ive(1, z)).real
    return skin + extra.reshape(count, orders).sum(axis=1)


def frequency_of(x, size):
    return x**2 * wire.resistivity() / (2.0 * np.pi * MU0 * (0.5 * size) ** 2)


@pytest.mark.parametrize(("ratio", "tolerance"), [(0.2, 0.01), (0.3, 0.01), (0.5, 0.015), (0.7, 0.04), (0.9, 0.08)])
def test_long_coil_against_exact_field(ratio, tolerance):
    # a very long coil of very many turns: Medhurst's last column, with the frequency law that goes over into it
    size, turns = 0.5e-3, 200_000
    length = turns * size / ratio
    diameter = length / 1e4
    for x in (0.5, 1.5, 3.0, 5.0, 20.0):
        exact = np.mean(row_of_wires(30, ratio, x, 1.0, 8)[13:17])
        steady = coils.solenoid_resistance(turns, diameter, length, size, 0.0)
        value = coils.solenoid_resistance(turns, diameter, length, size, frequency_of(x, size)) / steady
        assert value == pytest.approx(exact, rel=tolerance), x


def test_medhurst_column_against_exact_field():
    for ratio, tolerance in ((0.1, 0.005), (0.3, 0.005), (0.5, 0.005), (0.7, 0.005), (0.9, 0.025)):
        x = 3000.0
        skin = x / (2.0 * np.sqrt(2.0)) + 0.25
        exact = np.mean(row_of_wires(40, ratio, x, 1.0, 14)[18:22]) / skin
        assert coils.proximity_factor(ratio, 1e9) == pytest.approx(exact, rel=tolerance)


def test_simply_phi_times_straight_wire_is_too_much_below_ten_skin_depths():
    size, x, ratio = 0.5e-3, 4.0, 0.5
    exact = np.mean(row_of_wires(40, ratio, x, 1.0)[18:22])
    simple = coils.proximity_factor(ratio, 1e9) * wire.resistance_ratio(size, frequency_of(x, size))
    assert 1.05 < simple / exact < 1.4


# --- resistance of coils ---------------------------------------------------------------------------------------------


def test_resistance_at_rest_is_that_of_the_wire():
    turns, diameter, length, size = 60, 0.075, 0.06, 0.5e-3
    run = turns * math.hypot(math.pi * diameter, length / turns)
    assert coils.solenoid_wire_length(turns, diameter, length) == pytest.approx(run, rel=1e-14)
    steady = coils.solenoid_resistance(turns, diameter, length, size, 0.0)
    assert steady == pytest.approx(wire.dc_resistance(size, run), rel=1e-14)
    warm = coils.solenoid_resistance(turns, diameter, length, size, 0.0, 60.0)
    assert warm == pytest.approx(steady * (1.0 + 0.00393 * 40.0), rel=1e-12)


def test_resistance_at_high_frequency_is_medhursts():
    turns, diameter, length, size = 50, 0.05, 0.05, 0.7e-3
    frequency = 1e11  # the wire is thousands of skin depths thick
    straight = wire.resistance_ratio(size, frequency) * coils.solenoid_resistance(turns, diameter, length, size, 0.0)
    value = coils.solenoid_resistance(turns, diameter, length, size, frequency)
    assert value == pytest.approx(straight * coils.proximity_factor(0.7, 1.0, turns), rel=2e-3)


def test_single_layer_two_ways():
    # at low frequency the table of sheets and the sum over rings are one
    coil = coils.LayeredCoil((0.075,), (60,), 1e-3, 0.3e-3)
    for frequency in (50e3, 150e3):
        summed = coils.layered_resistance(coil, frequency)
        assert coils.solenoid_resistance(60, 0.075, 0.06, 0.3e-3, frequency) == pytest.approx(summed, rel=0.01)


def test_one_turn_has_no_neighbours():
    lone = wire.dc_resistance(1e-3, math.hypot(math.pi * 0.1, 0.005)) * wire.resistance_ratio(1e-3, 1e6)
    assert coils.solenoid_resistance(1, 0.1, 0.005, 1e-3, 1e6) == pytest.approx(lone, rel=1e-12)


def test_resistance_broadcasts_and_grows_with_frequency():
    frequency = np.linspace(0.0, 3e6, 61)
    value = coils.solenoid_resistance(np.array([[40], [80]]), 0.06, 0.08, 0.5e-3, frequency)
    assert value.shape == (2, 61)
    assert np.all(np.diff(value, axis=1) > 0.0)


def test_litz_bundle_field_against_strands():
    # 37 strands in a hexagon: mean square of the field of all others at each, which the mean over the bundle replaces
    size, pitch = 0.07e-3, 0.09e-3
    places = [(i + 0.5 * j, j * math.sqrt(0.75)) for i in range(-3, 4) for j in range(-3, 4) if abs(i + j) <= 3]
    place = pitch * np.array([complex(*p) for p in places])
    assert place.size == 37
    gap = place[:, None] - place
    field = np.sum(np.divide(1.0, gap, out=np.zeros_like(gap), where=gap != 0.0), axis=1) / (2.0 * np.pi)
    exact = 2.0 * np.pi**2 * size**2 * np.mean(np.abs(field) ** 2)  # a strand's current is a 37th, 37 strands lose
    bundle = math.sqrt(37.0) * pitch * math.sqrt(math.sqrt(0.75) * 4.0 / math.pi)
    frequency = 5e5
    effect = wire.eddies(size, frequency)
    args = (2, 0.5, 0.2, 37, size, bundle, frequency)  # two turns far apart: the bundle's own field alone
    ratio = coils.litz_resistance(*args) / coils.litz_resistance(*args[:-1], 0.0)
    assert (ratio - effect.skin) / effect.transverse == pytest.approx(exact, rel=0.05)


def test_litz_of_one_strand_is_thin_solid_wire():
    solid = coils.solenoid_resistance(60, 0.075, 0.06, 0.05e-3, 3e5)
    strand = coils.litz_resistance(60, 0.075, 0.06, 1, 0.05e-3, 0.05e-3, 3e5, take_up=1.0)
    assert strand == pytest.approx(solid, rel=1e-3)


def test_litz_beats_solid_wire_at_medium_waves_and_loses_far_above():
    solid = [coils.solenoid_resistance(60, 0.075, 0.06, 0.5e-3, f) for f in (7e5, 3e7)]
    litz = [coils.litz_resistance(60, 0.075, 0.06, 50, 0.05e-3, 0.5e-3, f) for f in (7e5, 3e7)]
    assert litz[0] < solid[0]
    assert litz[1] > solid[1]


# --- Medhurst's tables between their points ---------------------------------------------------------------------


def test_self_capacitance_is_the_monotone_curve():
    table = tables.read("medhurst_self_capacitance")
    shape = np.array([float(row["length_over_diameter"]) for row in table])
    printed = np.array([float(row["H"]) for row in table])
    between = np.exp(np.linspace(np.log(0.1), np.log(50.0), 997))
    curve = np.exp(PchipInterpolator(np.log(shape), np.log(printed))(np.log(between)))
    np.testing.assert_allclose(coils.self_capacitance(0.01, 0.01 * between) / 1e-12, curve, rtol=1e-12)
    falling, rising = between < 0.8, between > 1.0
    assert np.all(np.diff(curve[falling]) < 0.0)
    assert np.all(np.diff(curve[rising]) > 0.0)


def test_proximity_stays_between_its_printed_neighbours():
    table = tables.read("medhurst_proximity")
    shapes = [float(key) for key in table[0] if key != "wire_over_pitch"]
    ratios = [0.0] + [float(row["wire_over_pitch"]) for row in table]
    values = np.array([[1.0] * len(shapes)] + [list(map(float, list(row.values())[1:])) for row in table])
    share = np.linspace(0.02, 0.98, 7)
    for i in range(len(ratios) - 1):
        for j in range(len(shapes) - 2):
            cell = values[i : i + 2, j : j + 2]
            ratio = ratios[i] + share[:, None] * (ratios[i + 1] - ratios[i])
            shape = shapes[j] + share * (shapes[j + 1] - shapes[j])
            inside = coils.proximity_factor(ratio, shape)
            assert cell.min() - 1e-12 <= inside.min()
            assert inside.max() <= cell.max() + 1e-12


def test_proximity_grows_with_wire_everywhere():
    ratio = np.linspace(0.0, 1.0, 201)
    shape = np.concatenate([np.linspace(0.0, 10.0, 41), [30.0, 300.0]])
    value = coils.proximity_factor(ratio[:, None], shape)
    assert np.all(np.diff(value, axis=0) >= 0.0)
    np.testing.assert_allclose(value[0], 1.0, rtol=1e-15)


# --- near self-resonance ---------------------------------------------------------------------------------------------


def test_apparent_impedance_and_what_follows_from_it():
    own, loss, across = 230e-6, 4.0, 6e-12
    resonance = coils.self_resonance(own, across)
    assert resonance == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(own * across)), rel=1e-15)
    frequency = np.array([0.1, 0.5, 0.9]) * resonance
    omega = 2.0 * np.pi * frequency
    exact = 1.0 / (1.0 / (loss + 1j * omega * own) + 1j * omega * across)
    seen = coils.apparent_impedance(own, loss, across, frequency)
    np.testing.assert_allclose(seen, exact, rtol=1e-12)
    np.testing.assert_allclose(coils.effective_inductance(own, across, frequency), exact.imag / omega, rtol=5e-5)
    quality = coils.effective_quality_factor(own, loss, across, frequency)
    np.testing.assert_allclose(quality, exact.imag / exact.real, rtol=1e-10)
    assert coils.quality_factor(own, loss, frequency[0]) == pytest.approx(omega[0] * own / loss, rel=1e-15)


def test_dielectric_loss_of_the_self_capacitance():
    own, across, tangent, frequency = 230e-6, 6e-12, 0.02, 5e5
    omega = 2.0 * np.pi * frequency
    lossless = 1.0 / (1.0 / (1j * omega * own) + 1j * omega * across)
    lossy = 1.0 / (1.0 / (1j * omega * own) + 1j * omega * across * (1.0 - 1j * tangent))
    assert (lossy - lossless).real == pytest.approx(
        coils.dielectric_resistance(own, across, tangent, frequency), rel=0.05
    )
