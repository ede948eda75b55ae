"""The exponential-diode detector against mpmath, and truths that hold at every drive."""

from math import inf

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import detectors
from calc.detectors import Diode, rectify
from calc.units import InputError

TEMPERATURE = 298.15
DIODES = {
    "germanium": Diode(2e-7, 1.3, TEMPERATURE),
    "Schottky": Diode(2.2e-8, 1.08, TEMPERATURE),
    "zero bias": Diode(3e-6, 1.06, TEMPERATURE),
}
LOADS = (2e3, 47e3, 2e6)
DRIVES = (1e-9, 1e-6, 1e-3, 0.02, 0.1, 0.7, 12.0, 300.0)


def exact(diode, peak_voltage, load_resistance):
    """(d.c. voltage, input resistance) by Lambert's W and a sum over the cycle, in 80 digits."""
    with mpmath.workdps(80):
        saturation, thermal = mpmath.mpf(diode.saturation_current), mpmath.mpf(diode.thermal_voltage)
        peak, load = mpmath.mpf(peak_voltage), mpmath.mpf(load_resistance)
        ratio = load * saturation / thermal
        bessel = mpmath.besseli(0, peak / thermal)
        voltage = thermal * (mpmath.lambertw(ratio * mpmath.exp(ratio) * bessel).real - ratio)
        # The mean over a cycle by equal steps: for a periodic function exact to all digits with steps enough.
        steps = 64 + 16 * int(mpmath.sqrt(peak / thermal))
        power = mpmath.mpf(0)
        for step in range(steps):
            wave = peak * mpmath.cos(2 * mpmath.pi * step / steps)
            power += wave * saturation * mpmath.expm1((wave - voltage) / thermal) / steps
        return voltage, peak**2 / (2 * power)


# --- against mpmath -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("diode", DIODES.values(), ids=DIODES.keys())
@pytest.mark.parametrize("load", LOADS)
def test_rectify_agrees_with_mpmath(diode, load):
    found = rectify(diode, np.array(DRIVES), load)
    for i, drive in enumerate(DRIVES):
        voltage, resistance = exact(diode, drive, load)
        assert abs(found.dc_voltage[i] / voltage - 1) < 1e-12
        assert abs(found.dc_current[i] * load / voltage - 1) < 1e-12
        assert abs(found.input_resistance[i] / resistance - 1) < 1e-12


def test_bessel_combinations_agree_with_mpmath():
    drives = [0.0, 1e-12, 1e-8, *np.geomspace(1e-5, 3e4, 150), 19.99, 20.0, 20.01]
    for drive, logarithm, ratio in zip(drives, *detectors.bessel_drive(np.array(drives)), strict=True):
        u = mpmath.mpf(float(drive))
        with mpmath.workdps(60):
            expected = mpmath.log(mpmath.besseli(0, u))
            expected_ratio = 2 * mpmath.besseli(1, u) / (u * mpmath.besseli(0, u)) if u else 1
        assert abs(logarithm - expected) <= 2e-15 * expected
        assert abs(ratio / expected_ratio - 1) <= 2e-15


# --- limits -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("diode", DIODES.values(), ids=DIODES.keys())
def test_a_tiny_signal_is_detected_by_square_law(diode):
    drive, load = 1e-8, 50e3
    found = rectify(diode, drive, load)
    source = diode.zero_bias_resistance
    square_law = drive**2 / (4 * diode.thermal_voltage) * load / (load + source)
    assert found.dc_voltage == pytest.approx(square_law, rel=1e-10, abs=0)
    assert found.input_resistance == pytest.approx(source, rel=1e-10)


@pytest.mark.parametrize("diode", DIODES.values(), ids=DIODES.keys())
def test_a_huge_signal_is_detected_to_its_peak(diode):
    found = rectify(diode, 300.0, 100e3)
    assert found.dc_voltage == pytest.approx(300.0, rel=0.01)
    assert found.input_resistance == pytest.approx(50e3, rel=0.01)


def test_no_signal_gives_nothing_and_shows_the_zero_bias_resistance():
    diode = DIODES["germanium"]
    assert rectify(diode, 0.0, 47e3) == (0.0, 0.0, diode.zero_bias_resistance)
    assert diode.zero_bias_resistance == pytest.approx(diode.thermal_voltage / diode.saturation_current)


def test_an_open_load_is_the_limit_of_large_loads():
    diode = DIODES["Schottky"]
    drives = np.array(DRIVES)
    open_circuit, nearly = rectify(diode, drives, inf), rectify(diode, drives, 1e22)
    np.testing.assert_allclose(open_circuit.dc_voltage, nearly.dc_voltage, rtol=1e-10)
    np.testing.assert_allclose(open_circuit.input_resistance, nearly.input_resistance, rtol=1e-10)
    assert not np.any(open_circuit.dc_current)


# --- truths at every drive ----------------------------------------------------------------------------------


def about(least, most):
    """Numbers spread evenly in their logarithm."""
    return st.floats(np.log(least), np.log(most)).map(np.exp).map(float)


diodes = st.builds(Diode, about(1e-12, 1e-4), st.floats(1.0, 2.5), st.floats(230.0, 350.0))
drives = about(1e-9, 500.0)
loads = about(1.0, 1e9)


@settings(max_examples=300, deadline=None)
@given(diodes, drives, loads)
def test_the_currents_balance_and_no_power_is_made(diode, drive, load):
    found = rectify(diode, drive, load)
    power_in = drive**2 / (2 * found.input_resistance)
    assert 0 < found.dc_voltage < drive
    assert found.dc_voltage == pytest.approx(found.dc_current * load, rel=1e-12, abs=0)
    assert found.dc_voltage * found.dc_current <= power_in * (1 + 1e-12)
    assert found.input_resistance >= load / 2 / (1 + load / diode.zero_bias_resistance)
    # exp(V/nVt) (1 + Idc/Is) = I0(u), in logarithms
    logarithm = detectors.bessel_drive(drive / diode.thermal_voltage)[0]
    balance = found.dc_voltage / diode.thermal_voltage + np.log1p(found.dc_current / diode.saturation_current)
    assert balance == pytest.approx(logarithm, rel=1e-12, abs=0)


@settings(max_examples=100, deadline=None)
@given(diodes, loads)
def test_more_drive_gives_more(diode, load):
    found = rectify(diode, np.geomspace(1e-9, 500.0, 400), load)
    assert np.all(np.diff(found.dc_voltage) > 0)
    assert np.all(np.diff(found.dc_current) > 0)


@settings(max_examples=100, deadline=None)
@given(diodes, drives)
def test_a_larger_load_has_more_voltage_and_less_current(diode, drive):
    found = rectify(diode, drive, np.geomspace(10.0, 1e8, 60))
    assert np.all(np.diff(found.dc_voltage) > -1e-12 * found.dc_voltage[1:])
    assert np.all(np.diff(found.dc_current) < 1e-12 * found.dc_current[1:])


@settings(max_examples=100, deadline=None)
@given(diodes, drives, loads, about(0.01, 100.0))
def test_scaling_currents_leaves_the_voltage(diode, drive, load, scale):
    other = Diode(diode.saturation_current * scale, diode.ideality, diode.temperature)
    before, after = rectify(diode, drive, load), rectify(other, drive, load / scale)
    assert after.dc_voltage == pytest.approx(before.dc_voltage, rel=1e-12, abs=0)
    assert after.dc_current == pytest.approx(before.dc_current * scale, rel=1e-12, abs=0)
    assert after.input_resistance == pytest.approx(before.input_resistance / scale, rel=1e-12)


# --- shapes, table, refusals --------------------------------------------------------------------------------


def test_arrays_broadcast_and_agree_with_scalars():
    diode = Diode(np.array([1e-8, 1e-6]).reshape(2, 1, 1), 1.2)
    drive = np.array([1e-3, 0.1, 2.0]).reshape(3, 1)
    load = np.array([1e3, 1e5, inf])
    found = rectify(diode, drive, load)
    assert found.dc_voltage.shape == found.dc_current.shape == found.input_resistance.shape == (2, 3, 3)
    for i, j, k in np.ndindex(2, 3, 3):
        one = Diode(float(diode.saturation_current[i, 0, 0]), 1.2)
        scalar = rectify(one, float(drive[j, 0]), float(load[k]))
        assert [type(part) for part in scalar] == [float, float, float]
        assert scalar == pytest.approx([part[i, j, k] for part in found], rel=1e-13)


def test_every_preset_works_and_says_where_it_comes_from():
    presets = detectors.presets()
    assert [name for name, preset in presets.items() if preset.assumed] == [
        "Galena",
        "Iron pyrites",
        "Zincite and bornite",
        "Carborundum",
    ]
    for preset in presets.values():
        assert preset.source
        assert preset.kind
        assert preset.series_resistance < 0.01 * preset.diode.zero_bias_resistance
        assert 0 < preset.junction_capacitance < 5e-12
        assert rectify(preset.diode, 0.1, 47e3).dc_voltage > 0


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("saturation_current", lambda: Diode(0.0, 1.0)),
        ("ideality", lambda: Diode(1e-7, -1.0)),
        ("temperature", lambda: Diode(1e-7, 1.0, 0.0)),
        ("peak_voltage", lambda: rectify(DIODES["germanium"], -0.1, 1e4)),
        ("peak_voltage", lambda: rectify(DIODES["germanium"], np.nan, 1e4)),
        ("peak_voltage", lambda: rectify(DIODES["germanium"], inf, 1e4)),
        ("load_resistance", lambda: rectify(DIODES["germanium"], 0.1, 0.0)),
        ("load_resistance", lambda: rectify(DIODES["germanium"], 0.1, np.nan)),
        ("load_resistance", lambda: rectify(DIODES["germanium"], 0.1, "high")),
        ("drive", lambda: detectors.bessel_drive(-1.0)),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
