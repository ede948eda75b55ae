"""A cycle of the carrier in junction and bulk against sums over the cycle, Lambert's W by scipy and mpmath."""

import mpmath
import numpy as np
import pytest
from scipy.special import ive, lambertw

from calc.detectors.bessel import bessel_drive
from calc.detectors.drive_curve import drive_curve
from calc.detectors.junction import SLIGHT, bulky_cycle, ideal_cycle, junction_voltage, slightly_bulky_cycle


@pytest.mark.parametrize("bulk", [1e-9, 1e-4, 0.03, 5.0])
def test_the_junctions_share_of_the_voltage_is_lamberts_w(bulk):
    """b exp(t) = W(b exp(v + b))."""
    for voltage in (-80.0, -3.0, -1e-7, 1e-9, 0.02, 1.0, 9.0, 60.0, 400.0):
        with mpmath.workdps(60):
            b, v = mpmath.mpf(bulk), mpmath.mpf(voltage)
            expected = mpmath.log(mpmath.lambertw(b * mpmath.exp(v + b)).real / b)
        found = junction_voltage(np.array([voltage]), np.array(bulk))[0]
        assert abs(found - expected) <= 3e-15 * max(abs(voltage), bulk) + 1e-15 * abs(expected)


def summed(drive, output, bulk):
    """(mean of exp t, fundamental of the current over u) by scipy's W at equal steps of a cycle."""
    steps = np.cos(np.pi * (np.arange(20000) + 0.5) / 20000)
    voltage = drive * steps - output
    log_argument = np.log(bulk) + bulk + voltage
    small = log_argument < 600.0
    w = np.where(small, lambertw(np.exp(np.where(small, log_argument, 0.0))).real, 0.0)
    assert np.all(small)
    return np.mean(w) / bulk, 2.0 * np.mean(w * steps) / bulk / drive


CASES = [  # u, x, b
    (0.3, 0.01, 1e-3),
    (2.0, 0.5, 1e-4),
    (10.0, 7.0, 1e-4),
    (60.0, 55.0, 1e-5),
    (60.0, 52.0, 1e-3),
    (300.0, 290.0, 1e-4),
    (8.0, -3.0, 1e-2),
]


@pytest.mark.parametrize(("drive", "output", "bulk"), CASES)
def test_mean_and_fundamental_with_bulk(drive, output, bulk):
    found = bulky_cycle(np.log([drive]), np.array([output]), np.array([bulk]))
    mean, fundamental = summed(drive, output, bulk)
    crest = np.log(bulk) + bulk + drive - output
    within = 1e-7 if crest < 0.0 else 5e-4 if crest < 6.0 else 5e-3
    assert found.level[0] == pytest.approx(np.log(mean), abs=within)
    assert found.uptake[0] == pytest.approx(np.log(fundamental), abs=within)


@pytest.mark.parametrize("drive", [1e-4, 0.1, 1.0, 8.0, 70.0, 500.0])
@pytest.mark.parametrize("bulk", [1e-9, 1e-5, 3e-3])
def test_the_series_for_little_bulk(drive, bulk):
    output = max(drive + np.log(bulk) + bulk - np.log(SLIGHT), 0.1 * drive)
    found = slightly_bulky_cycle(np.log([drive]), np.array([output]), np.array([bulk]))
    if drive >= 0.1:
        mean, fundamental = summed(drive, output, bulk)
        assert found.level[0] == pytest.approx(np.log(mean), abs=2e-7)
        assert found.uptake[0] == pytest.approx(np.log(fundamental), abs=2e-7)
    points = bulky_cycle(np.log([drive]), np.array([output]), np.array([bulk]))
    for series, sums in zip(found, points, strict=True):
        assert series[0] == pytest.approx(sums[0], rel=1e-5, abs=1e-6)


def test_small_signals_keep_their_digits_in_the_series():
    drive, output, bulk = 1e-6, 1e-13, 3e-3
    level = slightly_bulky_cycle(np.log([drive]), np.array([output]), np.array([bulk])).level[0]
    # by hand, to the second power: t = v/(1+b) - b v^2/2/(1+b)^3, so that exp t - 1 = v/(1+b) + v^2/2/(1+b)^3
    slope = 1.0 / (1.0 + bulk)
    assert level == pytest.approx(-slope * output + slope**3 * drive**2 / 4.0, rel=1e-6, abs=0.0)


CYCLES = {"points": bulky_cycle, "series": slightly_bulky_cycle}


@pytest.mark.parametrize("cycle", CYCLES.values(), ids=CYCLES.keys())
@pytest.mark.parametrize(("drive", "output"), [(0.2, 0.01), (3.0, 1.2), (40.0, 37.0)])
def test_slopes_are_finite_differences(cycle, drive, output):
    bulk, step = np.array([1e-4]), 1e-5

    def at(up, out):
        return cycle(np.log([drive]) + up, np.array([output]) + out, bulk)

    here, more, less, above, below = at(0, 0), at(step, 0), at(-step, 0), at(0, step), at(0, -step)
    for value, by_drive, by_output in ((0, 1, 2), (3, 4, 5)):
        assert here[by_drive][0] == pytest.approx((more[value] - less[value])[0] / (2 * step), rel=3e-4, abs=1e-6)
        assert here[by_output][0] == pytest.approx((above[value] - below[value])[0] / (2 * step), rel=3e-4, abs=1e-6)


def test_without_bulk_the_cycle_is_bessels():
    drive = np.geomspace(1e-3, 400.0, 50)
    output = 0.9 * drive
    curve = drive_curve(np.log(drive))
    ideal = ideal_cycle(curve, curve.mean - output)
    slight = slightly_bulky_cycle(np.log(drive), output, np.full(50, 1e-40))
    for one, other in zip(ideal, slight, strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(np.exp(ideal.uptake + output - drive), 2.0 * ive(1, drive) / drive, rtol=1e-9)


def test_the_table_follows_the_functions():
    drive = np.exp(np.random.default_rng(3).uniform(np.log(1e-8), np.log(1e6), 4000))
    found = drive_curve(np.log(drive))
    mean, share = bessel_drive(drive)
    np.testing.assert_allclose(found.mean, mean, rtol=4e-12)
    np.testing.assert_allclose(found.share, np.log(share), rtol=0.0, atol=2e-10)
    inside = (drive > 1e-6) & (drive < 1e4)
    slope = drive * ive(1, drive) / ive(0, drive)
    np.testing.assert_allclose(found.mean_slope[inside], slope[inside], rtol=1e-8)
