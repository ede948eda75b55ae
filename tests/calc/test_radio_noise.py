"""Behaviour of radio noise: the field constant from first principles, refusals."""

import numpy as np
import pytest

from calc import radio_noise
from calc.constants import BOLTZMANN, SPEED_OF_LIGHT, WAVE_IMPEDANCE
from calc.units import InputError


def test_field_from_first_principles():
    # IDENTITY: a short vertical over perfect ground yields at most (E h)^2 / (4 R), R = 160 pi^2 (h / lambda)^2
    # with Z0 in place of 120 pi; noise of factor 1 is k T0 b of that
    hertz, width = 1e6, 9000.0
    per_square = WAVE_IMPEDANCE / (120.0 * np.pi) * 160.0 * np.pi**2 * (hertz / SPEED_OF_LIGHT) ** 2
    field = np.sqrt(4.0 * per_square * BOLTZMANN * 290.0 * width)
    assert radio_noise.noise_field(0.0, hertz, width) == pytest.approx(field, rel=0.02)


def test_laws():
    hertz = np.array([3e5, 1e6, 1.6e6])
    order = ["quiet-rural", "rural", "residential", "city"]
    table = np.array([radio_noise.man_made_noise_factor(key, hertz) for key in order])
    assert np.all(np.diff(table, axis=0) > 0.0)
    assert np.all(np.diff(table, axis=1) < 0.0)
    assert radio_noise.man_made_noise_field("rural", 1e6, 36e3) == pytest.approx(
        2.0 * radio_noise.man_made_noise_field("rural", 1e6, 9e3), rel=1e-12
    )
    assert isinstance(radio_noise.man_made_noise_factor("city", 1e6), float)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("environment", lambda: radio_noise.man_made_noise_factor("moon", 1e6)),
        ("frequency", lambda: radio_noise.man_made_noise_factor("city", 2e5)),
        ("frequency", lambda: radio_noise.man_made_noise_factor("city", np.nan)),
        ("noise_factor", lambda: radio_noise.noise_field(np.inf, 1e6, 9e3)),
        ("bandwidth", lambda: radio_noise.noise_field(50.0, 1e6, 0.0)),
    ],
)
def test_refusals(argument, call):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument
