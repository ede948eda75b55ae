"""The ferrite rod against a solution of its whole surface, and its behaviour."""

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from calc.aerials import FerriteRod
from calc.coils import circle_mutual, solenoid_inductance
from calc.units import InputError

MU0 = 1.25663706127e-6


def ring_field(r, z, radius, height):
    """Field at (r, z) of a ring of unit pole strength a metre [1/m]: radial, axial."""
    along = z - height
    near, far = (r - radius) ** 2 + along**2, (r + radius) ** 2 + along**2
    m = 1.0 - near / far
    first, second = ellipk(m), ellipe(m)
    axial = radius / np.pi * along * second / (np.sqrt(far) * near)
    radial = np.where(
        r > 0.0,
        radius
        / (2.0 * np.pi * np.maximum(r, 1e-30) * np.sqrt(far))
        * (first - (radius**2 - r**2 + along**2) / near * second),
        0.0,
    )
    return radial, axial


def coil_flux(r, z, coil_radius, loops, turns):
    """Flux over mu0 of a coil of one ampere through circles of radius r at height z, both arrays [A m]."""
    flux = np.zeros_like(r)
    on_axis = r == 0.0
    for height in loops:
        mutual = circle_mutual(coil_radius, np.where(on_axis, coil_radius, r), np.abs(z - height) + 1e-15)
        flux += np.where(on_axis, 0.0, mutual)
    return flux * turns / len(loops) / MU0


class Surface:
    """A cylinder as rings of poles on its side and ends, with the flux that leaves each made to add up exactly."""

    def __init__(self, length, radius, permeability, side=120, end=40):
        z = -length / 2.0 * np.cos(np.linspace(0.0, np.pi, side + 1))
        r = radius * np.sin(np.linspace(0.0, np.pi / 2.0, end + 1))
        parts = [np.column_stack([np.full(side, radius), z[:-1], np.full(side, radius), z[1:]])]
        parts += [
            np.column_stack([r[:-1], np.full(end, top), r[1:], np.full(end, top)])
            for top in (length / 2.0, -length / 2.0)
        ]
        self.pieces = np.concatenate(parts)
        self.middle = (self.pieces[:, :2] + self.pieces[:, 2:]) / 2.0
        self.normal = np.repeat([[1.0, 0.0], [0.0, 1.0], [0.0, -1.0]], [side, end, end], axis=0)
        size = np.hypot(*(self.pieces[:, 2:] - self.pieces[:, :2]).T)
        self.area = 2.0 * np.pi * self.middle[:, 0] * size
        self.permeability, self.radius, self.size = permeability, radius, size
        places, weights = np.polynomial.legendre.leggauss(6)
        self.fractions = ((np.arange(6)[:, None] + (places + 1.0) / 2.0) / 6.0).ravel()
        self.weights = np.tile(weights / 12.0, 6)
        radial, axial = self.field(self.middle[:, 0], self.middle[:, 1])
        matrix = radial * self.normal[:, :1] + axial * self.normal[:, 1:]
        # a closed surface passes half the flux of poles on it inwards and half outwards
        off = np.arange(len(matrix)), np.arange(len(matrix))
        matrix[off] += self.area / 2.0 / self.area - (self.area @ matrix) / self.area
        self.system = np.diag(np.full(len(matrix), 1.0 / (permeability - 1.0) + 0.5)) - matrix

    def field(self, r, z):
        """Field at points of unit pole density on each piece, by points (rows) and pieces (columns)."""
        radial = axial = 0.0
        for fraction, weight in zip(self.fractions, self.weights, strict=True):
            ring = self.pieces[:, :2] + fraction * (self.pieces[:, 2:] - self.pieces[:, :2])
            parts = ring_field(r[:, None], z[:, None], ring[:, 0], ring[:, 1])
            radial, axial = radial + weight * self.size * parts[0], axial + weight * self.size * parts[1]
        return radial, axial

    def poles(self, outward):
        """Pole density under an applied field, given by its mean part outwards through each piece."""
        return np.linalg.solve(self.system, outward)

    def flux(self, poles, z):
        """Flux through the rod's section at z, over mu0: what leaves the surface beyond."""
        beyond = self.middle[:, 1] > z
        return self.permeability / (self.permeability - 1.0) * float(poles[beyond] @ self.area[beyond])


@pytest.mark.parametrize(
    ("slenderness", "permeability", "bar"), [(5, 200, 0.06), (10, 100, 0.03), (10, 1000, 0.03), (25, 400, 0.03)]
)
def test_effective_permeability(slenderness, permeability, bar):
    diameter = 0.01
    surface = Surface(slenderness * diameter, diameter / 2.0, permeability)
    poles = surface.poles(surface.normal[:, 1])
    exact = surface.flux(poles, 0.0) / (np.pi * diameter**2 / 4.0)
    rod = FerriteRod(slenderness * diameter, diameter, permeability, 10, 1e-4)
    assert rod.effective_permeability == pytest.approx(exact, rel=bar)


@pytest.mark.parametrize("centre", [0.0, 0.045])
@pytest.mark.parametrize(("slenderness", "permeability"), [(15, 200), (20, 800)])
def test_inductance(slenderness, permeability, centre):
    # INDEPENDENT: the coil as 90 loops; linkage of 15 places by the poles beyond each, and by the gap from rod to wire
    radius, coil_radius, coil_length, turns = 0.005, 0.00525, 0.03, 60
    surface = Surface(slenderness * 2.0 * radius, radius, permeability)
    loops = centre + coil_length * ((np.arange(90) + 0.5) / 90.0 - 0.5)
    r, z = surface.pieces[:, [0, 2]], surface.pieces[:, [1, 3]]
    through = coil_flux(r, z, coil_radius, loops, turns)
    # what enters by the circle at a piece's lower end and does not leave by its upper has gone out through its side
    passing = through[:, 0] - through[:, 1]
    passing[surface.normal[:, 1] > 0.0] *= -1.0
    poles = surface.poles(passing / surface.area)
    probe = loops[::6] + coil_length / 180.0
    gap_field = surface.field(np.full(15, (radius + coil_radius) / 2.0), probe)[1] @ poles
    linkage = 0.0
    air = coil_flux(np.full(15, radius), probe, coil_radius, loops, turns)
    for place, field, plain in zip(probe, gap_field, air, strict=True):
        linkage += surface.flux(poles, place) - plain + field * np.pi * (coil_radius**2 - radius**2)
    exact = solenoid_inductance(turns, 2.0 * coil_radius, coil_length) + MU0 * turns / 15.0 * linkage
    rod = FerriteRod(slenderness * 2.0 * radius, 2.0 * radius, permeability, turns, coil_length, centre)
    assert rod.inductance == pytest.approx(exact, rel=0.01)


def test_no_ferrite_is_air():
    rod = FerriteRod(0.2, 0.01, 1.001, 50, 0.03)
    assert rod.effective_permeability == pytest.approx(1.0, rel=2e-3)
    assert rod.inductance == pytest.approx(solenoid_inductance(50, 0.0105, 0.03), rel=2e-3)
    # 2 pi N A / wavelength of the coil's own area
    assert rod.effective_height(1e6) == pytest.approx(2 * np.pi * 50 * np.pi * 0.0105**2 / 4 / 299.792458, rel=2e-3)


def test_along_the_rod():
    rod = FerriteRod(0.2, 0.01, 300.0, 50, 0.02)
    place, flux = rod.permeability_along
    assert flux == pytest.approx(flux[::-1], rel=1e-9)
    assert np.argmax(flux) in (29, 30)
    assert flux[0] < 0.4 * flux[30]
    assert np.all(np.abs(place) < 0.1)
    middle, off = rod, FerriteRod(0.2, 0.01, 300.0, 50, 0.02, coil_centre=0.06)
    assert off.inductance < middle.inductance
    assert off.effective_height(1e6) < middle.effective_height(1e6)


def test_longer_and_better_rods_gather_more():
    lengths = [FerriteRod(length, 0.01, 300.0, 50, 0.02).effective_permeability for length in (0.06, 0.1, 0.2, 0.5)]
    assert np.all(np.diff(lengths) > 0.0)
    values = [FerriteRod(0.15, 0.01, mu, 50, 0.02).effective_permeability for mu in (10.0, 100.0, 1000.0, 10000.0)]
    assert np.all(np.diff(values) > 0.0)
    # inductance as the square of turns on one winding length
    low, high = (FerriteRod(0.15, 0.01, 300.0, turns, 0.03).inductance for turns in (30, 90))
    assert high == pytest.approx(9.0 * low, rel=1e-9)


@pytest.mark.parametrize(
    ("argument", "values"),
    [
        ("rod_length", (0.02, 0.01, 200.0, 50, 0.01)),
        ("rod_diameter", (0.2, 0.0, 200.0, 50, 0.01)),
        ("permeability", (0.2, 0.01, 0.5, 50, 0.01)),
        ("turns", (0.2, 0.01, 200.0, 0, 0.01)),
        ("coil_length", (0.2, 0.01, 200.0, 50, 0.3)),
        ("coil_length", (0.2, 0.01, 200.0, 50, 0.02, 0.095)),
        ("coil_diameter", (0.2, 0.01, 200.0, 50, 0.02, 0.0, 0.005)),
    ],
)
def test_refusals(argument, values):
    with pytest.raises(InputError) as caught:
        FerriteRod(*values)
    assert caught.value.argument == argument
