"""Q by width and by step-up: exact without noise, within its interval 19 times in 20, and as scipy fits it."""

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from calc import coupling, fitting
from calc.aerials import SeriesAerial
from calc.fitting import Measured
from calc.units import InputError
from tests.calc.fitting_trials import TRIALS, held, holds_nineteen_in_twenty

TWO_PI = 2.0 * math.pi


@given(st.floats(2.0, 1000.0), st.floats(1e5, 1e7), st.floats(0.1, 0.95))
def test_width_of_a_resonance(quality, middle, level):
    """The frequencies at which a parallel circuit shows that share of its peak, sought by bisection."""

    def share(frequency):
        return 1.0 / math.hypot(1.0, quality * (frequency / middle - middle / frequency)) - level

    lower = scipy.optimize.brentq(share, middle * 1e-3, middle, xtol=1e-9, rtol=1e-14)
    upper = scipy.optimize.brentq(share, middle, middle * 1e3, xtol=1e-9, rtol=1e-14)
    assert fitting.quality_from_width(lower, upper, level) == pytest.approx(quality, rel=1e-8)
    found = fitting.fit_width([lower], [upper], level, 1.0)
    assert found.values == pytest.approx([middle, quality], rel=1e-8)


def test_width_of_a_tank_as_the_coupling_module_has_it():
    """Voltage transfer to a lossy tank through a very small capacitor, by the receiver's own circuit."""
    tank = coupling.Tank(240e-6, 15.0, 105e-12)
    aerial, link = SeriesAerial(1.0, 0.0, 1e-12), coupling.SeriesCapacitor(1e-16)
    over = np.linspace(970e3, 1030e3, 60_001)
    transfer = np.abs(coupling.voltage_transfer(over, aerial, link, tank, load_resistance=3e5))
    # driven by a current that grows with frequency: that is taken off
    voltage = transfer / over
    peak = int(np.argmax(voltage))
    half = voltage[peak] * math.sqrt(0.5)
    lower = np.interp(half, voltage[: peak + 1], over[: peak + 1])
    upper = np.interp(-half, -voltage[peak:], over[peak:])
    middle = math.sqrt(lower * upper)
    loaded = Measured(float(fitting.quality_from_width(lower, upper)), 0.0)
    own = fitting.unloaded(loaded, middle, Measured(105e-12, 0.0), Measured(3e5, 0.0))
    assert own.value == pytest.approx(TWO_PI * middle * 240e-6 / 15.0, rel=2e-3)


LEVELS = np.array([0.7071, 0.7071, 0.5, 0.85])


def width_truth(quality, middle):
    half = np.sqrt(1.0 / LEVELS**2 - 1.0) / (2.0 * quality)
    root = np.sqrt(1.0 + half**2)
    return middle * (root - half), middle * (root + half)


def test_widths_without_noise():
    found = fitting.fit_width(*width_truth(85.0, 1e6), LEVELS, 100.0, 0.01)
    assert found.values == pytest.approx([1e6, 85.0], rel=1e-9)


def test_widths_against_scipy():
    source = np.random.default_rng(6)
    lower, upper = (side + 150.0 * source.standard_normal(4) for side in width_truth(85.0, 1e6))
    found = fitting.fit_width(lower, upper, LEVELS, 150.0)

    def wrong(v):
        half = np.sqrt(1.0 / LEVELS**2 - 1.0) / (2.0 * v[1])
        root = np.sqrt(1.0 + half**2)
        return np.concatenate([lower - v[0] * 1e6 * (root - half), upper - v[0] * 1e6 * (root + half)]) / 150.0

    whole = scipy.optimize.least_squares(wrong, [1.0, 80.0], xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    spread = np.sqrt(np.diag(np.linalg.inv(whole.jac.T @ whole.jac)))
    assert found.values / [1e6, 1.0] == pytest.approx(whole.x, rel=1e-6)
    assert found["quality"].uncertainty == pytest.approx(spread[1], rel=1e-6)


@pytest.mark.parametrize("stated", [True, False])
def test_intervals_of_q_by_width(stated):
    source = np.random.default_rng(7)
    counts = np.zeros(2)
    shift = 1e6 * 0.01 / (LEVELS**2 * np.sqrt(1.0 - LEVELS**2)) / (2.0 * 85.0)
    for _ in range(TRIALS):
        sigma = np.hypot(100.0, shift) if stated else np.full(4, 200.0)
        lower, upper = (side + sigma * source.standard_normal(4) for side in width_truth(85.0, 1e6))
        if stated:
            found = fitting.fit_width(lower, upper, LEVELS, 100.0, 0.01)
        else:
            found = fitting.fit_width(lower, upper, LEVELS)
        counts += [held(found["quality"], 85.0), held(found["resonance"], 1e6)]
    holds_nineteen_in_twenty(counts)


def test_intervals_of_q_without_its_meter():
    source = np.random.default_rng(8)
    middle, own, capacitance, meter = 1e6, 120.0, 110e-12, 5e5
    loaded = 1.0 / (1.0 / own + 1.0 / (TWO_PI * middle * capacitance * meter))
    lower, upper = width_truth(loaded, middle)
    count = 0
    for _ in range(TRIALS):
        read = (side + 100.0 * source.standard_normal(4) for side in (lower, upper))
        found = fitting.fit_width(*read, LEVELS, 100.0)
        across = capacitance * (1.0 + 0.02 * source.standard_normal())
        across_u, load_u = Measured(across, 0.02 * across), meter * (1.0 + 0.05 * source.standard_normal())
        unloaded = fitting.unloaded(found["quality"], middle, across_u, Measured(load_u, 0.05 * load_u))
        count += held(unloaded, own)
    holds_nineteen_in_twenty(count)


def step_up(inductance, resistance, frequency, injection, meter):
    """Voltage across the capacitor per volt injected, by circuit theory, and the capacitance that peaks it."""
    omega = TWO_PI * frequency

    def ratio(capacitance):
        admittance = 1j * omega * capacitance + 1.0 / meter
        return abs(1.0 / (1.0 + admittance * (resistance + injection + 1j * omega * inductance)))

    near = 1.0 / (omega**2 * inductance)
    best = scipy.optimize.minimize_scalar(
        lambda c: -ratio(c), (0.99 * near, near, 1.01 * near), options={"xtol": 1e-12}
    )
    return ratio(best.x), best.x


@given(st.floats(1.0, 10.0), st.floats(0.0, 0.5), st.floats(1e6, 1e9))
def test_resistance_by_the_step_up(resistance, injection, meter):
    ratio, capacitance = step_up(240e-6, resistance, 1e6, injection, meter)
    exact = Measured(float(capacitance), 0.0)
    found = fitting.coil_resistance(Measured(ratio, 0.0), 1e6, exact, Measured(injection, 0.0), Measured(meter, 0.0))
    assert found.value == pytest.approx(resistance, rel=1e-3)  # one part in Q^2, and in Q times the meter's share


def test_step_up_without_noise_and_meter():
    found = fitting.coil_resistance(Measured(100.0, 0.0), 1e6, Measured(1e-10, 0.0), Measured(0.5, 0.0))
    assert found.value == pytest.approx(1.0 / (TWO_PI * 1e6 * 1e-10) / 100.0 - 0.5, rel=1e-12)
    ratio = fitting.fit_ratio([0.01, 0.02], [1.3, 2.6], 0.01, 0.01)
    assert ratio["ratio"].value == pytest.approx(130.0, rel=1e-12)
    assert ratio["ratio"].uncertainty == pytest.approx(130.0 * 0.01, rel=1e-12)


@pytest.mark.parametrize("stated", [True, False])
def test_intervals_of_q_by_step_up(stated):
    source = np.random.default_rng(9)
    count = 0
    truth = 1.0 / (TWO_PI * 1e6 * 105e-12) / 140.0 - 0.04
    for _ in range(TRIALS):
        injected = 0.02 * (1.0 + 0.01 * source.standard_normal(4))
        across = 0.02 * 140.0 * (1.0 + 0.015 * source.standard_normal(4))
        shares = (0.01, 0.015) if stated else (None, None)
        ratio = fitting.fit_ratio(injected, across, *shares)["ratio"]
        capacitor = 105e-12 * (1.0 + 0.01 * source.standard_normal()) if stated else 105e-12
        loss = fitting.coil_resistance(
            ratio, 1e6, Measured(capacitor, 0.01 * capacitor if stated else 0.0), Measured(0.04, 0.0)
        )
        count += held(loss, truth)
    holds_nineteen_in_twenty(count)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: fitting.quality_from_width(1e6, 1e6), "upper"),
        (lambda: fitting.quality_from_width(1e6, 1.1e6, 1.0), "level"),
        (lambda: fitting.fit_width([1e6], [1.1e6, 1.2e6]), "upper"),
        (lambda: fitting.fit_width([1e6], [1.1e6], 0.7, 0.0), "frequency_uncertainty"),
        (lambda: fitting.fit_ratio([0.0], [1.0]), "injected"),
        (lambda: fitting.fit_ratio([1.0], [1.0, 2.0]), "across"),
        (lambda: fitting.fit_ratio([1.0], [1.0], 0.0, 0.0), "across_uncertainty"),
        (
            lambda: fitting.unloaded(Measured(100.0, 1.0), 1e6, Measured(1e-10, 0.0), Measured(1e5, 0.0)),
            "resistance",
        ),
        (
            lambda: fitting.coil_resistance(Measured(500.0, 1.0), 1e6, Measured(1e-10, 0.0), Measured(9.0, 0.0)),
            "injection_resistance",
        ),
    ],
)
def test_bad_readings_of_q_are_named(call, argument):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.argument == argument
