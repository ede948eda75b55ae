"""Two tuned circuits in a row: coupled by flux and by a capacitor, tuning, critical coupling."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import (
    CapacitorPair,
    Circuit,
    Direct,
    Inductive,
    InductivePair,
    SeriesCapacitor,
    Tank,
    Tap,
    power_into_load,
)
from calc.units import InputError
from tests.calc.coupling_network import (
    AERIAL,
    LINKS,
    TANK,
    about,
    aerials,
    detector_taps,
    each_link,
    frequencies,
    leads,
    links,
    loads,
    network,
    pairs,
    tanks,
    triples,
)

FIRST = Tank(inductance=200e-6, resistance=5.0, capacitance=180e-12)
LOOSE = SeriesCapacitor(8e-12)
COUPLINGS = {
    "flux": lambda link: InductivePair(link, FIRST, 0.015),
    "capacitor": lambda link: CapacitorPair(link, FIRST, 3e-12),
}
each_coupling = pytest.mark.parametrize("pair", COUPLINGS.values(), ids=COUPLINGS.keys())

# --- against a general solver ---------------------------------------------------------------------------------------


@settings(max_examples=150)
@given(frequencies, aerials | leads, pairs, tanks, loads, st.none() | detector_taps)
def test_transfer_agrees_with_a_nodal_solver(frequency, aerial, pair, tank, load, tap):
    expected = network(aerial, pair, tank, load, tap).voltage(frequency)
    found = coupling.voltage_transfer(frequency, aerial, pair, tank, load, tap)
    assert found == pytest.approx(expected, rel=1e-9, abs=0)


@settings(max_examples=60)
@given(frequencies, aerials, triples, tanks, loads)
def test_three_circuits_agree_with_a_nodal_solver(frequency, aerial, triple, tank, load):
    expected = network(aerial, triple, tank, load).voltage(frequency)
    assert coupling.voltage_transfer(frequency, aerial, triple, tank, load) == pytest.approx(expected, rel=1e-9, abs=0)


@each_link
@each_coupling
def test_transfer_agrees_with_a_nodal_solver_through_both_resonances(link, pair):
    frequency = np.linspace(600e3, 1000e3, 41)
    for load in (np.inf, 30e3):
        found = coupling.voltage_transfer(frequency, AERIAL, pair(link), TANK, load)
        expected = [network(AERIAL, pair(link), TANK, load).voltage(at) for at in frequency]
        assert np.max(np.abs(found / expected - 1)) < 1e-9


# --- limits and identities ------------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(frequencies, aerials, tanks, loads, about(1e-6, 1e-3), about(0.1, 20.0), st.floats(0.001, 1.0))
def test_a_first_coil_without_capacitor_is_a_winding(frequency, aerial, tank, load, inductance, resistance, k):
    winding = coupling.voltage_transfer(frequency, aerial, Inductive(inductance, resistance, k), tank, load)
    pair = InductivePair(Direct(), Tank(inductance, resistance, 0.0), k)
    assert coupling.voltage_transfer(frequency, aerial, pair, tank, load) == pytest.approx(winding, rel=1e-12)


@settings(max_examples=50)
@given(frequencies, aerials, tanks, loads, about(1e-12, 1e-9))
def test_a_first_circuit_that_is_hardly_there_leaves_the_capacitor(frequency, aerial, tank, load, capacitance):
    alone = coupling.voltage_transfer(frequency, aerial, SeriesCapacitor(capacitance), tank, load)
    pair = CapacitorPair(Direct(), Tank(1e7, 0.0, 0.0), capacitance)
    assert coupling.voltage_transfer(frequency, aerial, pair, tank, load) == pytest.approx(alone, rel=1e-5)


@each_link
def test_apart_the_circuits_pass_nothing_and_leave_each_other_alone(link):
    pair = InductivePair(link, FIRST, 0.0)
    frequency = np.linspace(600e3, 1000e3, 9)
    assert not np.any(coupling.voltage_transfer(frequency, AERIAL, pair, TANK))
    coil = TANK.coil_impedance(2 * np.pi * frequency)
    alone = 1 / (1 / coil + 2j * np.pi * frequency * TANK.capacitance)
    np.testing.assert_allclose(coupling.thevenin(frequency, AERIAL, pair, TANK)[1], alone, rtol=1e-12)


@each_link
@each_coupling
def test_what_a_pair_adds_to_the_tank_follows_from_its_transfer(link, pair):
    # loop/product is the admittance across the tank without its capacitor; the coil's is part of it.
    angular = 2 * np.pi * np.linspace(600e3, 1000e3, 9)
    circuit = pair(link).circuit(angular, AERIAL.impedance(angular / (2 * np.pi)), TANK)
    assert isinstance(circuit, Circuit)
    coil = TANK.coil_impedance(angular)
    added = circuit.transfer**2 / (circuit.product * coil)
    np.testing.assert_allclose(circuit.loop / circuit.product, added + 1 / coil, rtol=1e-11)


# --- power and reciprocity ------------------------------------------------------------------------------------------


def without_loss(tank):
    return replace(tank, resistance=0.0)


@settings(max_examples=100)
@given(frequencies, aerials, links | pairs, tanks, st.none() | detector_taps)
def test_all_resistance_behind_the_terminals_is_the_aerial_s(frequency, aerial, link, tank, tap):
    """With no other loss, Re Z = R |H|**2: what a source at the terminals sends back reaches the aerial's resistance
    alone (power), by the ratio by which the aerial reaches the terminals (reciprocity)."""

    def bare(link):
        if isinstance(link, InductivePair | CapacitorPair):
            return replace(link, link=bare(link.link), primary=without_loss(link.primary))
        return replace(link, resistance=0.0) if isinstance(link, Inductive) else link

    open_circuit, impedance = coupling.thevenin(frequency, aerial, bare(link), without_loss(tank), tap)
    given_back = aerial.resistance * abs(open_circuit) ** 2
    assert impedance.real == pytest.approx(given_back, rel=1e-9, abs=1e-11 * abs(impedance))
    lossy_open, lossy = coupling.thevenin(frequency, aerial, link, tank, tap)
    assert lossy.real >= aerial.resistance * abs(lossy_open) ** 2 * (1 - 1e-9)


@settings(max_examples=80)
@given(frequencies, aerials | leads, pairs, tanks, about(100.0, 1e9), st.none() | detector_taps)
def test_the_load_never_gets_more_than_the_aerial_can_give(frequency, aerial, pair, tank, load, tap):
    own = aerial if isinstance(aerial, SeriesAerial) else aerial.aerial
    available = coupling.available_power(1.0, own.resistance)
    assert power_into_load(frequency, aerial, pair, tank, load, tap) <= available * (1 + 1e-9)


# --- tuning ---------------------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(about(400e3, 1e6), aerials, pairs, tanks, loads, st.none() | detector_taps, st.floats(-0.5, 0.5))
def test_tuned_first_alone_then_the_tank(frequency, aerial, pair, tank, load, tap, change):
    tuned, second, reached = coupling.tune(frequency, aerial, pair, tank, load, tap)
    assume(reached)
    # The first circuit by itself: its coil's flux, or its capacitor to the tank, leads to nothing that answers.
    first = tuned.primary
    if isinstance(tuned, CapacitorPair):
        first = replace(first, capacitance=first.capacitance + tuned.capacitance)
    other = replace(first, capacitance=first.capacitance * (1 + change))
    at_best, at_other = (
        abs(coupling.voltage_transfer(frequency, aerial, tuned.link, circuit)) for circuit in (first, other)
    )
    assert at_other <= at_best * (1 + 1e-12)
    other = replace(second, capacitance=second.capacitance * (1 + change))
    at_best, at_other = (
        abs(coupling.voltage_transfer(frequency, aerial, tuned, circuit, load, tap)) for circuit in (second, other)
    )
    assert at_other <= at_best * (1 + 1e-12)


@each_coupling
def test_loosely_coupled_no_other_two_capacitors_give_more(pair):
    """Up to what each capacitor's own loss moves the peak: 1/Q**2 of the voltage."""
    loose = replace(pair(LOOSE), **({"coefficient": 3e-3} if pair is COUPLINGS["flux"] else {"capacitance": 0.5e-12}))
    tuned, tank, _ = coupling.tune(800e3, AERIAL, loose, TANK, 300e3)
    best = abs(coupling.voltage_transfer(800e3, AERIAL, tuned, tank, 300e3))
    changes = np.linspace(-0.02, 0.02, 41)
    primary = replace(tuned.primary, capacitance=tuned.primary.capacitance * (1 + changes[:, None]))
    around = coupling.voltage_transfer(
        800e3,
        AERIAL,
        replace(tuned, primary=primary),
        replace(tank, capacitance=tank.capacitance * (1 + changes)),
        300e3,
    )
    assert np.max(np.abs(around)) <= best * (1 + 1e-3)


def test_what_cannot_be_tuned_is_said():
    frequency = np.array([500e3, 900e3, 2.5e6])
    aerial = SeriesAerial(20.0, 10e-6, 200e-12)
    tuned, tank, reached = coupling.tune(frequency, aerial, InductivePair(Direct(), FIRST, 0.02), TANK)
    assert list(reached) == [True, False, False]
    assert tuned.primary.capacitance[0] == pytest.approx(
        coupling.tuned_capacitance(500e3, aerial, Direct(), FIRST), rel=1e-12
    )
    assert np.all(tuned.primary.capacitance[1:] < 1e-14)
    assert np.all(np.isfinite(coupling.voltage_transfer(frequency, aerial, tuned, tank)))
    # The aerial on the first circuit's winding, that circuit at nothing: still a set, though a bad one.
    wound = InductivePair(Inductive(60e-6, 1.0, 0.9), Tank(5e-3, 50.0, 0.0), 0.02)
    tuned, tank, reached = coupling.tune(2e6, aerial, wound, TANK)
    assert reached is False or not reached
    assert np.isfinite(coupling.voltage_transfer(2e6, aerial, tuned, tank))


def test_one_circuit_is_tuned_as_ever():
    tuned, tank, reached = coupling.tune(450e3, AERIAL, LINKS["tap"], TANK, 1e5)
    assert tuned == LINKS["tap"]
    assert reached
    assert tank.capacitance == coupling.tuned_capacitance(450e3, AERIAL, LINKS["tap"], TANK, 1e5)


def test_three_circuits_are_tuned_from_the_aerial_on():
    triple = CapacitorPair(InductivePair(LOOSE, FIRST, 0.01), FIRST, 2e-12)
    tuned, _, reached = coupling.tune(800e3, AERIAL, triple, TANK)
    assert reached
    assert tuned.link.primary.capacitance == pytest.approx(
        coupling.tuned_capacitance(800e3, AERIAL, LOOSE, FIRST), rel=1e-12
    )
    assert tuned.primary.capacitance + 2e-12 == pytest.approx(
        coupling.tuned_capacitance(800e3, AERIAL, tuned.link, FIRST), rel=1e-12
    )


# --- critical coupling ----------------------------------------------------------------------------------------------

FREQUENCY, LOAD = 550e3, 200e3


@each_link
def test_critical_coefficient_gives_the_greatest_voltage(link):
    pair = InductivePair(link, FIRST, 0.01)
    critical = pair.critical_coefficient(FREQUENCY, AERIAL, TANK, LOAD)
    tuned, _, reached = coupling.tune(FREQUENCY, AERIAL, pair, TANK)
    assert reached
    coil = TANK.coil_impedance(2 * np.pi * FREQUENCY)
    alone = replace(TANK, capacitance=-np.imag(1 / coil) / (2 * np.pi * FREQUENCY))

    def lost(coefficient):
        return -abs(coupling.voltage_transfer(FREQUENCY, AERIAL, replace(tuned, coefficient=coefficient), alone, LOAD))

    best = minimize_scalar(lost, bounds=(0.0, min(1.0, 4 * critical)), method="bounded", options={"xatol": 1e-12}).x
    assert critical == pytest.approx(best, rel=1e-5)


@each_link
def test_critical_capacitance_gives_the_greatest_voltage(link):
    pair = CapacitorPair(link, FIRST, 1e-12)
    critical = pair.critical_capacitance(FREQUENCY, AERIAL, TANK, LOAD)

    def lost(picofarads):
        tuned, tank, reached = coupling.tune(FREQUENCY, AERIAL, replace(pair, capacitance=picofarads * 1e-12), TANK)
        assert reached
        return -abs(coupling.voltage_transfer(FREQUENCY, AERIAL, tuned, tank, LOAD))

    best = minimize_scalar(lost, bounds=(1e-3, 4e12 * critical), method="bounded", options={"xatol": 1e-9}).x
    assert critical == pytest.approx(best * 1e-12, rel=1e-5)


def test_critical_coupling_of_equal_circuits_is_one_over_q():
    hardly = SeriesCapacitor(1e-18)  # of an aerial that hardly loads the first circuit
    quality = 2 * np.pi * FREQUENCY * TANK.inductance / TANK.resistance
    coefficient = InductivePair(hardly, TANK, 0.1).critical_coefficient(FREQUENCY, AERIAL, TANK)
    assert coefficient == pytest.approx(1 / quality, rel=2 / quality**2)
    capacitance = CapacitorPair(hardly, TANK, 1e-12).critical_capacitance(FREQUENCY, AERIAL, TANK)
    tuned_by = 1 / ((2 * np.pi * FREQUENCY) ** 2 * TANK.inductance)
    assert capacitance == pytest.approx(tuned_by / quality, rel=2 / quality**2)


@each_coupling
def test_closer_than_critical_the_response_has_two_even_humps(pair):
    hardly = replace(pair(SeriesCapacitor(1e-18)), primary=TANK)
    quality = 2 * np.pi * FREQUENCY * TANK.inductance / TANK.resistance
    offset = np.linspace(-0.06, 0.06, 2401)
    for times, humps in ((0.5, 1), (0.98, 1), (6.0, 2)):
        if isinstance(hardly, InductivePair):
            tuned, tank, _ = coupling.tune(FREQUENCY, AERIAL, replace(hardly, coefficient=0.0), TANK)
            tuned = replace(tuned, coefficient=times / quality)
        else:
            capacitance = times / quality / ((2 * np.pi * FREQUENCY) ** 2 * TANK.inductance)
            tuned, tank, _ = coupling.tune(FREQUENCY, AERIAL, replace(hardly, capacitance=capacitance), TANK)
        level = np.abs(coupling.voltage_transfer(FREQUENCY * (1 + offset), AERIAL, tuned, tank))
        tops = np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] > level[2:])) + 1
        assert tops.size == humps
        if humps == 2:
            # Even in detuning but for terms of the order of the coupling itself, which tilt the two.
            apart = np.sqrt(times**2 - 1) / quality
            assert offset[tops[1]] - offset[tops[0]] == pytest.approx(apart, rel=0.02)
            assert level[tops[0]] == pytest.approx(level[tops[1]], rel=4 * times / quality)


# --- bandwidth ------------------------------------------------------------------------------------------------------


@each_coupling
def test_two_circuits_pass_a_band_as_narrow_and_fall_off_faster(pair):
    hardly = replace(pair(SeriesCapacitor(1e-18)), primary=TANK)
    critical = (
        {"coefficient": hardly.critical_coefficient(FREQUENCY, AERIAL, TANK)}
        if isinstance(hardly, InductivePair)
        else {"capacitance": hardly.critical_capacitance(FREQUENCY, AERIAL, TANK)}
    )
    tuned, tank, _ = coupling.tune(FREQUENCY, AERIAL, replace(hardly, **critical), TANK)
    single = TANK.resistance / (2 * np.pi * TANK.inductance)
    width = coupling.bandwidth(FREQUENCY, AERIAL, tuned, tank)
    # |1 + x**2 - a**2 + 2ja| at x = 1: half power at a**4 = 4, a = detuning in half bandwidths of one circuit
    assert width == pytest.approx(np.sqrt(2.0) * single, rel=0.01)
    # Ten bandwidths off one skirt is steeper than the other, by the frequency's own effect on the coupling.
    places = FREQUENCY + 10 * single * np.array([-1, 0, 1])
    below, peak, above = np.abs(coupling.voltage_transfer(places, AERIAL, tuned, tank))
    assert peak / np.sqrt(below * above) == pytest.approx(np.sqrt(1 + 20.0**4 / 4), rel=0.03)


# --- shapes and refusals --------------------------------------------------------------------------------------------


@each_coupling
def test_arrays_broadcast_and_agree_with_scalars(pair):
    tunings, stations = np.array([600e3, 750e3, 900e3])[:, None], np.array([620e3, 740e3, 880e3, 990e3])
    link = pair(Tap(0.15))
    tuned, tank, reached = coupling.tune(tunings, AERIAL, link, TANK)
    assert np.all(reached)
    answer = coupling.voltage_transfer(stations, AERIAL, tuned, tank, 1e5)
    assert answer.shape == (3, 4)
    for i, j in np.ndindex(answer.shape):
        one, its_tank, reached_it = coupling.tune(float(tunings[i, 0]), AERIAL, link, TANK)
        assert reached_it is True
        scalar = coupling.voltage_transfer(float(stations[j]), AERIAL, one, its_tank, 1e5)
        assert scalar == pytest.approx(answer[i, j], rel=1e-11)
    assert type(coupling.voltage_transfer(1e6, AERIAL, link, TANK)) is complex


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("coefficient", lambda: InductivePair(LOOSE, FIRST, 1.1)),
        ("coefficient", lambda: InductivePair(LOOSE, FIRST, -0.1)),
        ("capacitance", lambda: CapacitorPair(LOOSE, FIRST, 0.0)),
        ("frequency", lambda: coupling.tune(0.0, AERIAL, CapacitorPair(LOOSE, FIRST, 1e-12), TANK)),
        ("frequency", lambda: InductivePair(LOOSE, FIRST, 0.1).critical_coefficient(-1.0, AERIAL, TANK)),
        ("load_resistance", lambda: CapacitorPair(LOOSE, FIRST, 1e-12).critical_capacitance(1e6, AERIAL, TANK, 0.0)),
        (
            "capacitance",
            lambda: coupling.voltage_transfer(
                1e6, AERIAL, InductivePair(LINKS["winding"], replace(FIRST, capacitance=0.0), 0.1), TANK
            ),
        ),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
