"""A detector that a reverse bias all but cuts off, on so strong a source that its crests still reach it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import i0e, i1e

from calc.detectors import Diode
from calc.detectors.junction import bulky_cycle
from calc.detectors.loaded import LoadLine, settle


@pytest.mark.parametrize("ratio", [0.3, 0.9, 0.99, 0.999, 1.001, 1.1, 3.0])
def test_source_diode_and_load_balance_about_cut_off(ratio: float) -> None:
    """In the diode's units: the source's drop is what the diode takes, and the mean current is the load's; by scipy."""
    diode = Diode(1e-6, 1.1)
    thermal, zero_bias = float(diode.thermal_voltage), float(diode.zero_bias_resistance)
    slope, source, drive = 0.25176, 1458.63, 157_500.0
    bias = -drive * ratio * thermal
    conductance = np.asarray(slope / zero_bias)
    line = LoadLine(conductance, conductance, np.asarray(bias))
    envelope = 1.0 + 0.9 * np.array([0.0, *np.cos(np.pi * (np.arange(8) + 0.5) / 8)])
    found = settle(diode, line, drive * thermal * envelope[None], np.array([source * zero_bias + 0j]))
    u, x = found.peak_voltage[0] / thermal, found.output_voltage[0] / thermal
    level = found.cycle.level[0]
    mean = u + np.log(i0e(u))
    flowing = level > -20.0
    assert np.exp(level) - 1.0 == pytest.approx(slope * (x + bias / thermal), abs=1e-8)
    assert (level + x)[flowing] == pytest.approx(mean[flowing], rel=1e-13)
    drop = 1.0 + source * np.exp(level) * 2.0 * i1e(u) / (u * i0e(u))
    assert u * drop == pytest.approx(drive * envelope, rel=1e-7)


def test_a_bias_that_drives_the_diode_through_a_load_that_is_all_but_a_short_to_direct_current() -> None:
    """In the diode's units, as above; its bulk keeps a hundredth of one at most. Newton's rule alone goes astray."""
    diode = Diode(1e-9, 1.1, series_resistance=0.1)
    thermal, zero_bias = float(diode.thermal_voltage), float(diode.zero_bias_resistance)
    direct, audio, bias = 2_105_220.0, 183.974, -36.77512
    source = 1.465851e-05 + 3.520805e-05j
    line = LoadLine(np.asarray(direct / zero_bias), np.asarray(audio / zero_bias), np.asarray(bias * thermal))
    open_ = np.exp(4.0232265) * (1.0 + 0.4 * np.array([0.0, *np.cos(np.pi * (np.arange(8) + 0.5) / 8)]))
    found = settle(diode, line, open_[None] * thermal, np.array([source * zero_bias]))
    u, x, level = found.peak_voltage[0] / thermal, found.output_voltage[0] / thermal, found.cycle.level[0]
    mean = x[1:].mean()
    currents = np.concatenate([[direct * (x[0] + bias)], direct * (mean + bias) + audio * (x[1:] - mean)])
    assert np.expm1(level) == pytest.approx(currents, rel=1e-9)
    assert level + x == pytest.approx(u + np.log(i0e(u)), abs=0.01)
    share = np.exp(level) * 2.0 * i1e(u) / (u * i0e(u))
    assert np.abs(u * (1.0 + source * share)) == pytest.approx(open_, rel=0.01)


def test_a_strong_source_on_a_load_that_is_all_but_a_short_to_the_audio() -> None:
    """In the diode's units, as above; Newton's whole steps go round in circles here."""
    diode = Diode(1e-6, 1.2)
    thermal, zero_bias = float(diode.thermal_voltage), float(diode.zero_bias_resistance)
    diode = replace(diode, series_resistance=2e-4 * zero_bias)
    direct, audio, source = 18.2356, 1431.497, 0.1277
    line = LoadLine(np.asarray(direct / zero_bias), np.asarray(audio / zero_bias), np.zeros(()))
    open_ = 356.0 * (1.0 + 0.5 * np.array([0.0, *np.cos(np.pi * (np.arange(8) + 0.5) / 8)]))
    found = settle(diode, line, open_[None] * thermal, np.array([source * zero_bias + 0j]))
    u, x, cycle = found.peak_voltage[0] / thermal, found.output_voltage[0] / thermal, found.cycle
    mean = x[1:].mean()
    currents = np.concatenate([[direct * x[0]], direct * mean + audio * (x[1:] - mean)])
    assert np.expm1(cycle.level[0]) == pytest.approx(currents, rel=1e-7)
    assert u * (1.0 + source * np.exp(cycle.uptake[0])) == pytest.approx(open_, rel=1e-8)
    again = bulky_cycle(np.log(u), x, np.full(9, 2e-4))
    assert cycle.level[0] == pytest.approx(again.level, abs=1e-7)
    assert cycle.uptake[0] == pytest.approx(again.uptake, abs=1e-7)
