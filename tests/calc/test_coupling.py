"""The aerial links against a general nodal solver, and truths that hold for every circuit."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from calc import coupling
from calc.aerials.series import SeriesAerial
from calc.coupling import Direct, Inductive, SeriesCapacitor, Tank, Tap
from calc.units import InputError
from tests.calc.coupling_network import (
    AERIAL,
    LINKS,
    TANK,
    about,
    aerials,
    each_link,
    frequencies,
    links,
    loads,
    network,
    tanks,
)

# --- against a general solver --------------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(frequencies, aerials, links, tanks, loads)
def test_transfer_agrees_with_a_nodal_solver(frequency, aerial, link, tank, load):
    expected = network(aerial, link, tank, load).voltage(frequency)
    assert coupling.voltage_transfer(frequency, aerial, link, tank, load) == pytest.approx(expected, rel=1e-9, abs=0)


@each_link
@pytest.mark.parametrize("load", [np.inf, 300e3, 5e3])
def test_transfer_agrees_with_a_nodal_solver_through_resonance(link, load):
    frequency = np.linspace(500e3, 1600e3, 45)
    found = coupling.voltage_transfer(frequency, AERIAL, link, TANK, load)
    expected = [network(AERIAL, link, TANK, load).voltage(f) for f in frequency]
    assert np.max(np.abs(found / expected - 1)) < 1e-9


@settings(max_examples=60, deadline=None)
@given(frequencies, aerials, links, tanks, about(1e3, 1e8))
def test_the_tank_as_a_source_gives_the_loaded_voltage(frequency, aerial, link, tank, load):
    open_circuit, impedance = coupling.thevenin(frequency, aerial, link, tank)
    loaded = coupling.voltage_transfer(frequency, aerial, link, tank, load)
    assert open_circuit / (1 + impedance / load) == pytest.approx(loaded, rel=1e-9)


# --- limits and identities ----------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(frequencies, aerials, tanks, loads, st.floats(0.0, 1.0))
def test_a_tap_at_the_top_is_a_direct_link(frequency, aerial, tank, load, coefficient):
    direct = coupling.voltage_transfer(frequency, aerial, Direct(), tank, load)
    tapped = coupling.voltage_transfer(frequency, aerial, Tap(1.0, coefficient), tank, load)
    assert tapped == pytest.approx(direct, rel=1e-12)


def test_a_huge_series_capacitor_is_a_direct_link():
    frequency = np.linspace(300e3, 2e6, 50)
    direct = coupling.voltage_transfer(frequency, AERIAL, Direct(), TANK)
    through = coupling.voltage_transfer(frequency, AERIAL, SeriesCapacitor(1.0), TANK)
    np.testing.assert_allclose(through, direct, rtol=1e-6)


def test_no_coupling_passes_nothing_and_leaves_the_tank_alone():
    apart = Inductive(6e-6, 0.4, 0.0)
    frequency = np.linspace(300e3, 2e6, 50)
    assert not np.any(coupling.voltage_transfer(frequency, AERIAL, apart, TANK))
    impedance = coupling.thevenin(frequency, AERIAL, apart, TANK)[1]
    coil = TANK.resistance + 2j * np.pi * frequency * TANK.inductance
    alone = 1 / (1 / coil + 2j * np.pi * frequency * TANK.capacitance)
    np.testing.assert_allclose(impedance, alone, rtol=1e-12)


def test_a_loose_winding_transfers_in_proportion_to_its_coefficient():
    one, two = (coupling.voltage_transfer(7e5, AERIAL, Inductive(6e-6, 0.4, k), TANK) for k in (1e-6, 2e-6))
    assert two == pytest.approx(2 * one, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(frequencies, aerials, links, tanks, loads, about(0.01, 100.0))
def test_scaling_all_impedances_leaves_the_ratio(frequency, aerial, link, tank, load, scale):
    larger_aerial = SeriesAerial(aerial.resistance * scale, aerial.inductance * scale, aerial.capacitance / scale)
    larger_tank = Tank(tank.inductance * scale, tank.resistance * scale, tank.capacitance / scale)
    larger_link = link
    if isinstance(link, SeriesCapacitor):
        larger_link = SeriesCapacitor(link.capacitance / scale)
    if isinstance(link, Inductive):
        series = None if link.capacitance is None else link.capacitance / scale
        larger_link = Inductive(link.inductance * scale, link.resistance * scale, link.coefficient, series)
    before = coupling.voltage_transfer(frequency, aerial, link, tank, load)
    after = coupling.voltage_transfer(frequency, larger_aerial, larger_link, larger_tank, load * scale)
    assert after == pytest.approx(before, rel=1e-9)


# --- power --------------------------------------------------------------------------------------------------


@settings(max_examples=100, deadline=None)
@given(frequencies, aerials, links, tanks, about(100.0, 1e9))
def test_the_load_never_gets_more_than_the_aerial_can_give(frequency, aerial, link, tank, load):
    transfer = coupling.voltage_transfer(frequency, aerial, link, tank, load)
    assert abs(transfer) ** 2 / load <= coupling.available_power(1.0, aerial.resistance) * (1 + 1e-9)


def test_a_tank_without_loss_hands_over_all_the_power_at_the_match():
    tank = replace(TANK, resistance=0.0)
    coefficient = np.linspace(0.001, 0.9, 30_000)
    link = Inductive(60e-6, 0.0, coefficient)
    capacitance = coupling.tuned_capacitance(1e6, AERIAL, link, tank)
    transfer = coupling.voltage_transfer(1e6, AERIAL, link, replace(tank, capacitance=capacitance), 200e3)
    power = np.abs(transfer) ** 2 / 200e3
    assert np.max(power) == pytest.approx(coupling.available_power(1.0, AERIAL.resistance), rel=1e-6)
    assert 0 < np.argmax(power) < coefficient.size - 1


# --- tuning -------------------------------------------------------------------------------------------------


@settings(max_examples=100, deadline=None)
@given(frequencies, aerials, links, tanks, loads, st.floats(-0.5, 0.5))
def test_no_other_capacitor_gives_more_voltage(frequency, aerial, link, tank, load, change):
    best = coupling.tuned_capacitance(frequency, aerial, link, tank, load)
    if best <= 0:  # below the reach of any capacitor: the smallest must then be the best
        other, best = abs(change) * 1e-9, 0.0
    else:
        other = best * (1 + change)
    at_best, at_other = (
        abs(coupling.voltage_transfer(frequency, aerial, link, replace(tank, capacitance=c), load))
        for c in (best, other)
    )
    assert at_other <= at_best * (1 + 1e-12)


def test_a_tank_nearly_alone_is_tuned_by_thomson_s_formula():
    capacitance = coupling.tuned_capacitance(1e6, AERIAL, Inductive(6e-6, 0.4, 1e-6), TANK)
    quality = 2 * np.pi * 1e6 * TANK.inductance / TANK.resistance
    expected = 1 / ((2 * np.pi * 1e6) ** 2 * TANK.inductance)
    assert capacitance == pytest.approx(expected, rel=2 / quality**2)


def test_the_aerial_s_capacitance_takes_the_place_of_the_tank_s():
    alone = 1 / ((2 * np.pi * 5e5) ** 2 * TANK.inductance)
    aerial = SeriesAerial(0.1, 0.0, 200e-12)
    assert coupling.tuned_capacitance(5e5, aerial, Direct(), TANK) == pytest.approx(alone - 200e-12, rel=1e-3)
    assert coupling.tuned_capacitance(1.5e6, aerial, Direct(), TANK) < 0


# --- bandwidth ----------------------------------------------------------------------------------------------


def bandwidth_by_search(frequency, aerial, link, tank, load):
    """Half-power width of the nodal solver's response, by general root finding."""
    capacitance = coupling.tuned_capacitance(frequency, aerial, link, tank, load)
    circuit = network(aerial, link, replace(tank, capacitance=capacitance), load)

    def power(at):
        return abs(circuit.voltage(at)) ** 2

    places = frequency * np.linspace(0.6, 1.5, 4001)
    levels = np.array([power(at) for at in places])
    top = int(np.argmax(levels))
    peak = minimize_scalar(
        lambda at: -power(at),
        bounds=(places[top - 1], places[top + 1]),
        method="bounded",
        options={"xatol": 1e-3},
    )
    half = -peak.fun / 2
    below = places[:top][levels[:top] < half][-1]
    above = places[top:][levels[top:] < half][0]
    lower, upper = (brentq(lambda at: power(at) - half, end, peak.x, xtol=1e-7) for end in (below, above))
    return upper - lower


@each_link
@pytest.mark.parametrize("load", [np.inf, 50e3])
def test_bandwidth_agrees_with_a_search(link, load):
    found = coupling.bandwidth(450e3, AERIAL, link, TANK, load)
    assert found == pytest.approx(bandwidth_by_search(450e3, AERIAL, link, TANK, load), rel=1e-8)


@pytest.mark.parametrize("resistance", [1.0, 10.0, 50.0])
def test_bandwidth_of_a_tank_nearly_alone_is_frequency_over_q(resistance):
    tank = replace(TANK, resistance=resistance)
    found = coupling.bandwidth(1e6, AERIAL, Inductive(6e-6, 0.4, 1e-5), tank)
    expected = resistance / (2 * np.pi * TANK.inductance)
    assert found == pytest.approx(expected, rel=3 * (expected / 1e6) ** 2 + 1e-6)


def test_bandwidth_takes_in_both_humps_until_the_hollow_is_3_db_deep():
    one_circuit = TANK.resistance / (2 * np.pi * TANK.inductance)
    quality = 1e6 / one_circuit

    def tuned_pair(closeness):
        """Two equal circuits with kQ = `closeness`, in bandwidths of one of them."""
        aerial = SeriesAerial(TANK.resistance, 0.0, np.inf)
        resonant = 1 / ((2 * np.pi * 1e6) ** 2 * TANK.inductance)
        link = Inductive(TANK.inductance, 0.0, closeness / quality, resonant)
        return coupling.bandwidth(1e6, aerial, link, TANK) / one_circuit

    # |1 + x**2 - a**2 + 2ja|**2 = 8 x**2 for a detuning of a half bandwidths at kQ = x: a**2 = x**2 - 1 + 2x.
    # The hollow at a = 0 is 3 dB deep for x = 1 + sqrt(2); closer than that each hump stands alone.
    for closeness in (1.0, 1.5, 2.2):
        assert tuned_pair(closeness) == pytest.approx(np.sqrt(closeness**2 - 1 + 2 * closeness), rel=0.01)
    assert tuned_pair(2.6) < 2.0


@each_link
def test_more_load_and_more_loss_broaden(link):
    loads = np.logspace(4, 7, 30)
    by_load = coupling.bandwidth(450e3, AERIAL, link, TANK, loads)
    assert np.all(np.diff(by_load) < 0)
    by_loss = coupling.bandwidth(450e3, AERIAL, link, replace(TANK, resistance=np.linspace(1.0, 40.0, 30)))
    assert np.all(np.diff(by_loss) > 0)


@pytest.mark.parametrize(
    "link",
    [
        SeriesCapacitor(np.geomspace(2e-12, 100e-12, 40)),
        Tap(np.linspace(0.02, 0.6, 40)),
        Inductive(6e-6, 0.4, np.linspace(0.01, 0.6, 40)),
    ],
    ids=["series capacitor", "tap", "winding"],
)
def test_looser_coupling_never_broadens_one_tuned_circuit(link):
    assert np.all(np.diff(coupling.bandwidth(700e3, AERIAL, link, TANK, 1e6)) > 0)


def test_bandwidth_without_an_upper_half_power_point_is_infinite():
    # A big aerial on a small coil, loaded heavily: above its resonance the set is a capacitive divider.
    aerial = SeriesAerial(1e-3, 0.0, 1e-9)
    coil = Tank(25e-6, 10.0, 0.0)
    assert coupling.bandwidth(1e6, aerial, Direct(), coil, 140.0) == np.inf


def test_bandwidth_without_a_lower_half_power_point_counts_from_zero():
    # A source that passes direct current, on a lossy coil: the response is that of a low-pass filter.
    source, coil = SeriesAerial(400.0, 60e-6, np.inf), Tank(180e-6, 2000.0, 0.0)
    width = coupling.bandwidth(1e6, source, Direct(), coil)
    tuned = replace(coil, capacitance=coupling.tuned_capacitance(1e6, source, Direct(), coil))
    peak = np.max(np.abs(coupling.voltage_transfer(np.linspace(1e6, 1.5e6, 100_001), source, Direct(), tuned)))
    assert abs(coupling.voltage_transfer(width, source, Direct(), tuned)) == pytest.approx(peak / np.sqrt(2), rel=1e-9)


def test_bandwidth_of_a_circuit_loaded_until_it_has_no_peak_is_infinite():
    # The response climbs from there to the series resonance of aerial and capacitor, twenty times as high.
    aerial = SeriesAerial(50.0, 10e-6, 750e-12)
    link, coil = SeriesCapacitor(2.4e-12), Tank(370e-6, 4.3, 0.0)
    assert coupling.bandwidth(960e3, aerial, link, coil, 1.7e3) == np.inf
    assert coupling.bandwidth(960e3, aerial, link, coil, 100e3) < 40e3


def test_bandwidth_refuses_what_has_none():
    with pytest.raises(InputError, match="frequency"):
        coupling.bandwidth(1.5e6, AERIAL, Direct(), TANK)
    with pytest.raises(InputError, match="link"):
        coupling.bandwidth(1e6, AERIAL, Inductive(6e-6, 0.4, 0.0), TANK)


# --- shapes and refusals ------------------------------------------------------------------------------------


def test_arrays_broadcast_and_agree_with_scalars():
    frequency = np.linspace(600e3, 900e3, 3).reshape(3, 1, 1)
    coefficient = np.array([0.05, 0.2]).reshape(2, 1)
    load = np.array([1e4, 1e5, 1e6, np.inf])
    link = Inductive(6e-6, 0.4, coefficient)
    answers = {
        function: function(frequency, AERIAL, link, TANK, load)
        for function in (coupling.voltage_transfer, coupling.tuned_capacitance, coupling.bandwidth)
    }
    for function, answer in answers.items():
        assert answer.shape == (3, 2, 4)
        for i, j, k in np.ndindex(answer.shape):
            one = Inductive(6e-6, 0.4, float(coefficient[j, 0]))
            scalar = function(float(frequency[i, 0, 0]), AERIAL, one, TANK, float(load[k]))
            assert scalar == pytest.approx(answer[i, j, k], rel=1e-11)


@pytest.mark.parametrize("frequency", [1e6, np.array([[0.5e6, 0.8e6, 1e6], [1.2e6, 1.4e6, 1.6e6]])])
def test_capacitances_of_links_asked_together_are_those_of_each_by_itself(frequency):
    together = coupling.tuned_capacitances(frequency, AERIAL, list(LINKS.values()), TANK)
    alone = [coupling.tuned_capacitance(frequency, AERIAL, link, TANK) for link in LINKS.values()]
    np.testing.assert_allclose(together, alone, rtol=1e-12)


def test_capacitances_of_a_shorted_tank_are_refused():
    with pytest.raises(InputError, match="shorts the tank"):
        coupling.tuned_capacitances(1e6, SeriesAerial(0.0, 0.0, np.inf), [LINKS["tap"], Direct()], TANK)


def test_scalars_give_plain_numbers():
    link = LINKS["winding"]
    assert type(coupling.voltage_transfer(1e6, AERIAL, link, TANK)) is complex
    assert type(coupling.tuned_capacitance(1e6, AERIAL, link, TANK)) is float
    assert type(coupling.bandwidth(1e6, AERIAL, link, TANK)) is float
    assert [type(part) for part in coupling.thevenin(1e6, AERIAL, link, TANK)] == [complex, complex]
    assert type(coupling.available_power(1.0, 50.0)) is float


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("inductance", lambda: Tank(0.0, 1.0, 1e-10)),
        ("resistance", lambda: Tank(1e-4, -1.0, 1e-10)),
        ("capacitance", lambda: Tank(1e-4, 1.0, -1e-12)),
        ("capacitance", lambda: Tank(1e-4, 1.0, np.nan)),
        ("capacitance", lambda: SeriesCapacitor(0.0)),
        ("fraction", lambda: Tap(0.0)),
        ("fraction", lambda: Tap(1.01)),
        ("coefficient", lambda: Tap(0.5, -0.1)),
        ("inductance", lambda: Inductive(-1e-6, 0.1, 0.2)),
        ("resistance", lambda: Inductive(1e-6, -0.1, 0.2)),
        ("coefficient", lambda: Inductive(1e-6, 0.1, 1.2)),
        ("capacitance", lambda: Inductive(1e-6, 0.1, 0.2, 0.0)),
        ("frequency", lambda: coupling.voltage_transfer(0.0, AERIAL, Direct(), TANK)),
        ("load_resistance", lambda: coupling.voltage_transfer(1e6, AERIAL, Direct(), TANK, 0.0)),
        ("load_resistance", lambda: coupling.voltage_transfer(1e6, AERIAL, Direct(), TANK, np.nan)),
        ("load_resistance", lambda: coupling.tuned_capacitance(1e6, AERIAL, Direct(), TANK, -5.0)),
        ("load_resistance", lambda: coupling.bandwidth(5e5, AERIAL, Direct(), TANK, "many")),
        ("frequency", lambda: coupling.thevenin(np.inf, AERIAL, Direct(), TANK)),
        ("aerial", lambda: coupling.tuned_capacitance(1e6, SeriesAerial(0.0, 0.0, np.inf), Direct(), TANK)),
        ("electromotive_force", lambda: coupling.available_power(-1.0, 50.0)),
        ("resistance", lambda: coupling.available_power(1.0, 0.0)),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
