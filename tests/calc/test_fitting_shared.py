"""Fits with shared quantities and uncertainties that hang on what is found, against the same made step by step."""

import numpy as np
import pytest

from calc import fitting
from calc.fitting.shared import Shared, fit_shared

PLACES = np.linspace(0.0, 3.0, 9)
SCALE = Shared("scale", 1.0, 0.02)


def decay(unknowns, shared):
    return shared[0] * unknowns[0] * np.exp(-unknowns[1] * PLACES)


def line(unknowns, shared):
    return unknowns[0] + unknowns[1] * PLACES + (2.0 + 0.3 * PLACES) * (shared[0] - 1.0)


@pytest.mark.parametrize(("model", "linear"), [(decay, False), (line, False), (line, True)])
@pytest.mark.parametrize("passes", [1, 2, 3])
def test_passes_are_as_so_many_fits_one_after_the_other(model, linear, passes):
    read = model(np.array([2.0, 0.7]), [1.01]) * (1.0 + 0.02 * np.random.default_rng(4).standard_normal(9))

    def uncertainty(unknowns, shared):
        return 0.02 * model(unknowns, shared) + 0.01

    found = fit_shared(model, [1.0, 1.0], read, uncertainty, [SCALE], ("a", "b"), passes, linear)
    values = np.array([1.0, 1.0, 1.0])
    for _ in range(passes):
        expected = fitting.fit(
            lambda v: np.append(model(v[:2], v[2:]), v[2]),
            values,
            np.append(read, 1.0),
            np.append(uncertainty(values[:2], values[2:]), 0.02),
            names=("a", "b", "scale"),
        )
        values = expected.values
    assert found.names == expected.names
    assert found.values == pytest.approx(expected.values, rel=1e-9)
    assert found.covariance == pytest.approx(expected.covariance, rel=1e-8)
    assert found.residuals == pytest.approx(expected.residuals, rel=1e-7, abs=1e-9)


def test_a_quantity_that_is_sure_is_no_unknown():
    read = decay(np.array([2.0, 0.7]), [1.5])
    found = fit_shared(decay, [1.0, 1.0], read, lambda *_: 0.01, [Shared("scale", 1.5, 0.0)], ("a", "b"))
    assert found.names == ("a", "b")
    assert found.values == pytest.approx([2.0, 0.7], rel=1e-12)
