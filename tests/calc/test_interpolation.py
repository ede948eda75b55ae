"""The curve through printed points against scipy's monotone cubic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from calc import tables
from calc.interpolation import Curve

values = st.lists(st.integers(-50, 50), min_size=3, max_size=12)


@given(values, st.data())
def test_is_the_monotone_cubic(ordinates, data):
    gaps = data.draw(st.lists(st.integers(1, 9), min_size=len(ordinates), max_size=len(ordinates)))
    points, heights = np.cumsum(gaps).astype(float), np.array(ordinates, dtype=float)
    at = np.linspace(points[0], points[-1], 101)
    curve = Curve(points, heights)(at)
    np.testing.assert_allclose(curve, PchipInterpolator(points, heights)(at), atol=1e-12 * 50)
    # never beyond the two points it lies between
    left = np.clip(np.searchsorted(points, at, side="right") - 1, 0, points.size - 2)
    low, high = np.minimum(heights[left], heights[left + 1]), np.maximum(heights[left], heights[left + 1])
    assert np.all((low - 1e-9 <= curve) & (curve <= high + 1e-9))


def test_several_curves_at_once():
    points = np.array([0.0, 1.0, 3.0, 4.0])
    heights = np.array([[0.0, 1.0], [1.0, 0.0], [2.0, 5.0], [2.0, 6.0]])
    at = np.array([[0.5, 2.0], [3.5, 4.0]])
    together = Curve(points, heights)(at)
    assert together.shape == (2, 2, 2)
    for curve in range(2):
        np.testing.assert_allclose(together[..., curve], Curve(points, heights[:, curve])(at), rtol=1e-15)
    each = Curve(points, heights).each(np.array([0.5, 2.0]))
    expected = [Curve(points, heights[:, i])(x) for i, x in ((0, 0.5), (1, 2.0))]
    np.testing.assert_allclose(each, expected, rtol=1e-15)


def test_beyond_its_ends_it_stays():
    curve = Curve(np.array([0.0, 1.0, 3.0]), np.array([2.0, 4.0, 3.0]))
    np.testing.assert_allclose(curve([-5.0, 0.0, 3.0, 9.0]), [2.0, 2.0, 3.0, 3.0], rtol=1e-15)


def test_tables_have_their_source():
    rows = tables.read("standard_wire_gauge")
    assert rows[0] == {"gauge": "7/0", "inch": "0.5"}
    with pytest.raises(FileNotFoundError):
        tables.read("no_such_table")
