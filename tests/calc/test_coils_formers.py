"""Polygon formers against Neumann's double integral, and coils on ferrite rods against a field solution."""

import math
from itertools import pairwise

import numpy as np
import pytest
import scipy.sparse
import scipy.sparse.linalg

from calc import coils
from calc.constants import VACUUM_PERMEABILITY as MU0


def gauss(points):
    x, w = np.polynomial.legendre.leggauss(points)
    return 0.5 * (x + 1.0), 0.5 * w


# --- polygons -------------------------------------------------------------------------------------------------------


def polygon_coil(sides, side, length, points=32):
    """Inductance of one turn spread along a prism: Neumann's integral over all pairs of sides and of heights."""
    t, wt = gauss(points)
    z, wz = length * t**3, length * 3.0 * t**2 * wt * 2.0 * (length - length * t**3)
    along = np.concatenate([0.5 * t**3, 1.0 - 0.5 * t**3])  # crowding at both corners
    weight = np.tile(1.5 * t**2 * wt, 2)
    corner = side / (2.0 * math.sin(math.pi / sides)) * np.exp(2j * np.pi * np.arange(sides + 1) / sides)
    first = (corner[1] - corner[0]) / side
    point = corner[0] + first * side * along
    total = np.zeros(points)
    for start, end in pairwise(corner):
        direction = (end - start) / side
        place = (point - start) * np.conj(direction)
        gap = np.hypot(place.imag, z[:, None])
        inner = np.arcsinh((side - place.real) / gap) + np.arcsinh(place.real / gap)
        total += (first * np.conj(direction)).real * np.sum(weight * inner, axis=1) * side
    return MU0 / (4.0 * np.pi) * sides * np.sum(wz * total) / length**2


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("shape", [0.01, 0.03, 0.1, 0.2, 0.35, 0.6, 1.0, 2.5, 10.0])
def test_polygon_against_neumann(sides, shape):
    side = 0.06
    same_area = side * math.sqrt(sides / (math.pi * math.tan(math.pi / sides)))
    length = shape * same_area
    diameter = coils.equivalent_diameter(sides, side, length)
    exact = polygon_coil(sides, side, length)
    assert coils.solenoid_inductance(1.0, diameter, length) == pytest.approx(exact, rel=2e-3)
    assert same_area < diameter < sides * side / math.pi


def test_many_sides_make_a_circle():
    side = math.pi * 0.05 / 24
    assert coils.equivalent_diameter(24, side, 0.05) == pytest.approx(0.05, rel=0.004)
    exact = coils.solenoid_inductance(1.0, 0.05, 0.05)
    assert polygon_coil(24, 2.0 * 0.025 * math.sin(math.pi / 24), 0.05) == pytest.approx(exact, rel=0.02)


def test_side_from_flats():
    assert coils.polygon_side(4, 0.05) == pytest.approx(0.05, rel=1e-15)
    assert coils.polygon_side(6, 0.05) == pytest.approx(0.05 / math.sqrt(3.0), rel=1e-14)


# --- ferrite rods ---------------------------------------------------------------------------------------------------


def steps(places, finest, most, growth=0.15):
    """A grid from 0 that is fine near `places` and has a line on each."""
    line, marks = [0.0], sorted({0.0, *places})
    while line[-1] < most:
        here = line[-1]
        size = finest + growth * min(abs(mark - here) for mark in marks)
        ahead = [mark for mark in marks if mark > here + 1e-12]
        if ahead:
            left = ahead[0] - here
            size = left if left < 1.5 * size else min(size, max(finest, 0.5 * left))
        line.append(min(here + size, most))
    return np.array(line)


class RodField:
    """The field of an axially symmetric rod by finite volumes: r times the vector potential on a graded grid."""

    def __init__(self, rod, radius, ends):
        inner, outer = 0.5 * rod.diameter, 4.0 * rod.length
        finest = inner / 40.0
        self.r = steps({inner, radius}, finest, outer)
        half = steps({0.5 * rod.length, *(abs(end) for end in ends)}, finest, outer)
        self.z = np.concatenate([-half[:0:-1], half])
        rows, columns = self.r.size, self.z.size
        middle_r, middle_z = 0.5 * (self.r[1:] + self.r[:-1]), 0.5 * (self.z[1:] + self.z[:-1])
        inside = (middle_r[:, None] < inner) & (np.abs(middle_z) < 0.5 * rod.length)
        reluctivity = 1.0 / (MU0 * np.where(inside, rod.permeability, 1.0))
        dr, dz = np.diff(self.r), np.diff(self.z)
        radial = np.zeros((rows - 1, columns))
        radial[:, :-1] += 0.5 * dz * reluctivity
        radial[:, 1:] += 0.5 * dz * reluctivity
        radial /= (middle_r * dr)[:, None]
        axial = np.zeros((rows, columns - 1))
        axial[1:-1] += np.log(middle_r[1:] / self.r[1:-1])[:, None] * reluctivity[1:]
        axial[1:] += np.log(self.r[1:] / middle_r)[:, None] * reluctivity
        axial /= dz
        number = np.arange(rows * columns).reshape(rows, columns)
        a = np.concatenate([number[:-1].ravel(), number[:, :-1].ravel()])
        b = np.concatenate([number[1:].ravel(), number[:, 1:].ravel()])
        g = np.concatenate([radial.ravel(), axial.ravel()])
        self.matrix = scipy.sparse.csr_matrix(
            (np.concatenate([g, g, -g, -g]), (np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])))
        )
        self.free = np.zeros((rows, columns), dtype=bool)
        self.free[1:-1, 1:-1] = True

    def solve(self, source, edge):
        """r A on the grid with given currents at its points and given values at its edge."""
        free, fixed = self.free.ravel(), ~self.free.ravel()
        right = source.ravel()[free] - self.matrix[free][:, fixed] @ edge.ravel()[fixed]
        result = edge.ravel().copy()
        result[free] = scipy.sparse.linalg.spsolve(self.matrix[free][:, free].tocsc(), right)
        return result.reshape(self.free.shape)


def rod_coil_by_field(rod, coil, offset):
    low, high = offset - 0.5 * coil.length, offset + 0.5 * coil.length
    field = RodField(rod, 0.5 * coil.diameter, (low, high))
    middle = 0.5 * (field.z[1:] + field.z[:-1])
    left, right = np.concatenate([field.z[:1], middle]), np.concatenate([middle, field.z[-1:]])
    share = np.clip(np.minimum(right, high) - np.maximum(left, low), 0.0, None) / coil.length
    row = int(np.argmin(np.abs(field.r - 0.5 * coil.diameter)))
    source = np.zeros(field.free.shape)
    source[row] = share
    potential = field.solve(source, np.zeros(field.free.shape))
    return coil.turns**2 * 2.0 * math.pi * np.dot(potential[row], share)


def test_the_field_solution_gives_the_coil_without_rod():
    class Air:
        length, diameter, permeability = 0.1, 0.01, 1.0

    coil = coils.Solenoid(50, 0.0104, 0.03)
    assert rod_coil_by_field(Air, coil, 0.0) == pytest.approx(coil.inductance, rel=2e-3)


@pytest.mark.parametrize(
    ("length", "permeability", "coil_length", "coil_diameter", "offset", "tolerance"),
    [
        (0.1, 20.0, 0.03, 0.0104, 0.0, 0.015),
        (0.1, 125.0, 0.03, 0.0104, 0.0, 0.015),
        (0.1, 800.0, 0.09, 0.0104, 0.0, 0.015),
        (0.1, 125.0, 0.03, 0.0140, 0.03, 0.015),
        (0.2, 400.0, 0.06, 0.0104, 0.05, 0.015),
        (0.06, 400.0, 0.018, 0.0104, 0.0, 0.015),
        (0.1, 125.0, 0.005, 0.0104, 0.0, 0.05),
    ],
)
def test_coil_on_ferrite_rod_against_field(length, permeability, coil_length, coil_diameter, offset, tolerance):
    rod = coils.FerriteRod(length, 0.01, permeability)
    coil = coils.Solenoid(50, coil_diameter, coil_length)
    exact = rod_coil_by_field(rod, coil, offset)
    assert coils.rod_coil_inductance(rod, coil, offset) == pytest.approx(exact, rel=tolerance)


@pytest.mark.parametrize(("slenderness", "permeability"), [(5.0, 125.0), (10.0, 400.0), (20.0, 100.0)])
def test_apparent_permeability_against_field(slenderness, permeability):
    rod = coils.FerriteRod(0.01 * slenderness, 0.01, permeability)
    field = RodField(rod, 0.006, (0.0,))
    even = np.repeat(0.5 * field.r[:, None] ** 2, field.z.size, axis=1)
    potential = field.solve(np.zeros(field.free.shape), even)
    row, column = int(np.argmin(np.abs(field.r - 0.005))), int(np.argmin(np.abs(field.z)))
    exact = potential[row, column] / even[row, column]
    assert rod.apparent_permeability == pytest.approx(exact, rel=0.02)


def test_short_rod_of_weak_material_is_nearly_that_of_a_spheroid():
    # demagnetising factor of a prolate spheroid of 10 to 1, 0.0203: J. A. Osborn, Phys. Rev. 67 (1945) 351, from memory
    rod = coils.FerriteRod(0.1, 0.01, 5.0)
    spheroid = 1.0 + 4.0 / (1.0 + 4.0 * 0.0203)
    assert rod.apparent_permeability == pytest.approx(spheroid, rel=0.05)


def test_rod_loss_is_that_of_complex_permeability():
    # for little loss: R = omega tan(delta) times the inductance's slope against the logarithm of permeability
    coil, frequency = coils.Solenoid(50, 0.0104, 0.03), 1e6

    def inductance(mu):
        return coils.rod_coil_inductance(coils.FerriteRod(0.1, 0.01, mu), coil)

    slope = (inductance(125.0 * 1.001) - inductance(125.0 / 1.001)) / (2.0 * math.log(1.001))
    loss = coils.rod_coil_loss(coils.FerriteRod(0.1, 0.01, 125.0, 0.01), coil, frequency)
    assert loss == pytest.approx(2.0 * math.pi * frequency * 0.01 * slope, rel=1e-3)
    assert coils.rod_coil_loss(coils.FerriteRod(0.1, 0.01, 125.0), coil, frequency) == 0.0


def test_coil_loses_inductance_towards_the_end_of_the_rod():
    rod, coil = coils.FerriteRod(0.15, 0.01, 250.0), coils.Solenoid(60, 0.0108, 0.03)
    places = [coils.rod_coil_inductance(rod, coil, place) for place in np.linspace(0.0, 0.06, 7)]
    assert np.all(np.diff(places) < 0.0)
    assert coils.rod_coil_inductance(rod, coil, -0.04) == pytest.approx(coils.rod_coil_inductance(rod, coil, 0.04))
    assert places[0] > 5.0 * coil.inductance
