"""The detector on a tap of the tank coil, and the coil that two taps divide."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calc import coils, coupling
from calc.coupling import DetectorTap, Inductive, Tank, Tap
from calc.coupling.coil import CoilAt
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
    parts_of,
    tanks,
)

any_link = links | pairs


def on_turns_of_their_own(link, tap):
    """Whether aerial and detector are tapped at different turns: one turn cannot have two inductances."""
    return not (isinstance(link, Tap) and link.fraction == tap.fraction)


# --- against a general solver ---------------------------------------------------------------------------------------


@settings(max_examples=200)
@given(frequencies, aerials | leads, links, tanks, loads, detector_taps)
def test_transfer_agrees_with_a_nodal_solver(frequency, aerial, link, tank, load, tap):
    assume(on_turns_of_their_own(link, tap))
    expected = network(aerial, link, tank, load, tap).voltage(frequency)
    found = coupling.voltage_transfer(frequency, aerial, link, tank, load, tap)
    assert found == pytest.approx(expected, rel=1e-9, abs=0)


@each_link
@pytest.mark.parametrize("tap", [DetectorTap(0.5), DetectorTap(0.25, 0.7), DetectorTap(0.8, 0.0)], ids=repr)
def test_transfer_agrees_with_a_nodal_solver_through_resonance(link, tap):
    frequency = np.linspace(500e3, 1600e3, 45)
    found = coupling.voltage_transfer(frequency, AERIAL, link, TANK, 20e3, tap)
    expected = [network(AERIAL, link, TANK, 20e3, tap).voltage(at) for at in frequency]
    assert np.max(np.abs(found / expected - 1)) < 1e-9


@settings(max_examples=60)
@given(
    frequencies, aerials, tanks, loads, st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.floats(0, 1), st.floats(0, 1)
)
def test_taps_with_given_inductances_agree_with_a_nodal_solver(frequency, aerial, tank, load, one, other, k, share):
    assume(one != other)
    link = Tap(one, k, one**1.4 * tank.inductance)
    tap = DetectorTap(other, share, other**1.6 * tank.inductance)
    expected = network(aerial, link, tank, load, tap).voltage(frequency)
    found = coupling.voltage_transfer(frequency, aerial, link, tank, load, tap)
    assert found == pytest.approx(expected, rel=1e-9, abs=0)


@settings(max_examples=80)
@given(frequencies, aerials, any_link, tanks, about(1e3, 1e8), detector_taps)
def test_the_terminals_as_a_source_give_the_loaded_voltage(frequency, aerial, link, tank, load, tap):
    assume(on_turns_of_their_own(link, tap))
    open_circuit, impedance = coupling.thevenin(frequency, aerial, link, tank, tap)
    loaded = coupling.voltage_transfer(frequency, aerial, link, tank, load, tap)
    assert open_circuit / (1 + impedance / load) == pytest.approx(loaded, rel=1e-9)


# --- limits and identities ------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(about(300e3, 1e6), aerials, any_link, tanks, about(1e4, 1e8), st.floats(0.0, 1.0))
def test_a_tap_at_the_top_is_the_whole_tank(frequency, aerial, link, tank, load, coefficient):
    top = DetectorTap(1.0, coefficient)
    for function in (coupling.voltage_transfer, coupling.tuned_capacitance):
        whole = function(frequency, aerial, link, tank, load)
        scale = abs(whole) if function is coupling.voltage_transfer else 1e-10
        assert function(frequency, aerial, link, tank, load, top) == pytest.approx(whole, rel=1e-10, abs=1e-10 * scale)


@settings(max_examples=60)
@given(frequencies, aerials, any_link, tanks, st.floats(0.05, 1.0), about(100.0, 1e7))
def test_a_perfect_tap_is_a_transformer(frequency, aerial, link, tank, fraction, load):
    """Without loss in the coil and with all flux common, f of the voltage and f**2 of the impedance."""
    ideal, tap = replace(tank, resistance=0.0), DetectorTap(fraction)
    link = Tap(link.fraction) if isinstance(link, Tap) else link
    open_circuit, impedance = coupling.thevenin(frequency, aerial, link, ideal)
    tapped, behind = coupling.thevenin(frequency, aerial, link, ideal, tap)
    assert tapped == pytest.approx(fraction * open_circuit, rel=1e-9)
    assert behind == pytest.approx(fraction**2 * impedance, rel=1e-9, abs=1e-9 * abs(impedance))
    whole = coupling.voltage_transfer(frequency, aerial, link, ideal, load / fraction**2)
    assert coupling.voltage_transfer(frequency, aerial, link, ideal, load, tap) == pytest.approx(
        fraction * whole, rel=1e-9
    )


@each_link
def test_bandwidth_of_a_load_on_a_perfect_tap_is_that_of_its_transformed_resistance(link):
    """Up to the coil's resistance that the load's current passes, a part of 1/Q of the whole."""
    link = replace(link, coefficient=1.0) if isinstance(link, Tap) else link
    on_the_tap = coupling.bandwidth(450e3, AERIAL, link, TANK, 5e3, DetectorTap(0.3))
    transformed = coupling.bandwidth(450e3, AERIAL, link, TANK, 5e3 / 0.09)
    assert on_the_tap == pytest.approx(transformed, rel=5e-3)
    assert on_the_tap < 0.5 * coupling.bandwidth(450e3, AERIAL, link, TANK, 5e3)


@each_link
def test_bandwidth_agrees_with_the_solver_s_half_power_points(link):
    tap = DetectorTap(0.4, 0.8)
    tuned, tank, _ = coupling.tune(450e3, AERIAL, link, TANK, 10e3, tap)
    width = coupling.bandwidth(450e3, AERIAL, tuned, tank, 10e3, tap)
    circuit = network(AERIAL, tuned, tank, 10e3, tap)
    places = np.linspace(0.85, 1.18, 3301) * 450e3
    level = np.array([abs(circuit.voltage(at)) for at in places])
    inside = np.flatnonzero(level >= np.max(level) / np.sqrt(2))
    assert np.all(np.diff(inside) == 1)
    assert width == pytest.approx(places[inside[-1]] - places[inside[0]], abs=2.5 * (places[1] - places[0]))


@settings(max_examples=40)
@given(frequencies, aerials, tanks, st.floats(0.02, 0.98), st.floats(0.0, 1.0), st.floats(0.05, 0.95), st.floats(0, 1))
def test_a_detector_that_draws_nothing_leaves_the_tank_as_it_was(frequency, aerial, tank, fraction, k, down, k_down):
    """Its tap, however placed, does not alter what the rest of the circuit does."""
    link = Tap(fraction, k)
    circuit = network(aerial, link, tank, np.inf, DetectorTap(down, k_down) if down != fraction else None)
    top = next(node for kind, node, end, value in circuit.elements if (kind, end, value) == ("C", 0, tank.capacitance))
    circuit.output = top
    assert coupling.voltage_transfer(frequency, aerial, link, tank) == pytest.approx(
        circuit.voltage(frequency), rel=1e-9
    )


# --- the coil -------------------------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(tanks, st.floats(0.02, 1.0), st.floats(0.0, 1.0))
def test_the_lower_inductance_by_turns_squared_may_as_well_be_given(tank, fraction, coefficient):
    by_turns = Tap(fraction, coefficient).split(tank)
    assert by_turns.inductance == pytest.approx(parts_of(Tap(fraction, coefficient), tank.inductance)[0], rel=1e-12)
    given = Tap(fraction, coefficient, min(float(by_turns.inductance), tank.inductance)).split(tank)
    assert given.share == pytest.approx(by_turns.share, rel=1e-9)
    assert given.leakage == pytest.approx(by_turns.leakage, rel=1e-6, abs=1e-9 * tank.inductance)


@settings(max_examples=80)
@given(tanks, detector_taps, detector_taps)
def test_no_currents_into_two_taps_and_the_top_find_a_negative_inductance(tank, one, other):
    coil = CoilAt(replace(tank, resistance=0.0), np.asarray(1.0))
    splits = [one.split(tank), other.split(tank)]
    matrix = np.empty((3, 3))
    for i, split in enumerate(splits):
        matrix[i, i] = coil.one(split).mutual.imag
        matrix[i, 2] = matrix[2, i] = coil.to_top(split).imag
    matrix[0, 1] = matrix[1, 0] = coil.two(*splits).mutual.imag
    matrix[2, 2] = tank.inductance
    assert np.min(np.linalg.eigvalsh(matrix)) >= -1e-12 * tank.inductance


@pytest.mark.parametrize(("slenderness", "tolerance"), [(0.5, 0.17), (1.0, 0.08), (2.0, 0.06), (4.0, 0.06)])
def test_two_taps_of_a_single_layer_coil_against_exact_inductances(slenderness, tolerance):
    """Diameter over length; the mutual inductance of the stretches follows from those of plain coils."""
    turns, diameter = 80, 0.075
    whole_length = diameter / slenderness

    def inductance(share):
        return float(coils.solenoid_inductance(turns * share, diameter, whole_length * share))

    whole = inductance(1.0)
    tank, taps = Tank(whole, 0.0, 0.0), {}
    for p in np.linspace(0.1, 0.9, 9):
        lower, upper = inductance(p), inductance(1 - p)
        taps[p] = DetectorTap(p, float(coupling.tap_coefficient(whole, lower, upper)), lower).split(tank)
        assert taps[p].share == pytest.approx((whole + lower - upper) / (2 * whole), rel=1e-9)
    coil = CoilAt(tank, np.asarray(1.0))
    errors = []
    for p, low in taps.items():
        for q, high in taps.items():
            if p < q:
                exact = inductance(p) + (inductance(q) - inductance(p) - inductance(q - p)) / 2
                errors.append(coil.two(low, high).mutual.imag / exact - 1)
    assert np.max(np.abs(errors)) < tolerance


# --- tuning ---------------------------------------------------------------------------------------------------------


@settings(max_examples=100)
@given(frequencies, aerials | leads, any_link, tanks, loads, detector_taps, st.floats(-0.5, 0.5))
def test_no_other_capacitor_gives_more_voltage(frequency, aerial, link, tank, load, tap, change):
    assume(on_turns_of_their_own(link, tap))
    best = coupling.tuned_capacitance(frequency, aerial, link, tank, load, tap)
    assume(best > 0)
    at_best, at_other = (
        abs(coupling.voltage_transfer(frequency, aerial, link, replace(tank, capacitance=c), load, tap))
        for c in (best, best * (1 + change))
    )
    assert at_other <= at_best * (1 + 1e-12)


@settings(max_examples=80)
@given(frequencies, aerials, any_link, tanks, about(100.0, 1e9), detector_taps)
def test_the_load_never_gets_more_than_the_aerial_can_give(frequency, aerial, link, tank, load, tap):
    assume(on_turns_of_their_own(link, tap))
    transfer = coupling.voltage_transfer(frequency, aerial, link, tank, load, tap)
    assert abs(transfer) ** 2 / load <= coupling.available_power(1.0, aerial.resistance) * (1 + 1e-9)


# --- shapes and refusals --------------------------------------------------------------------------------------------


def test_arrays_broadcast_and_agree_with_scalars():
    fraction, frequency = np.array([0.3, 0.6, 1.0])[:, None], np.array([600e3, 700e3])
    for function in (coupling.voltage_transfer, coupling.tuned_capacitance, coupling.bandwidth):
        answer = function(frequency, AERIAL, LINKS["loose tap"], TANK, 2e4, DetectorTap(fraction, 0.6))
        assert answer.shape == (3, 2)
        for i, j in np.ndindex(answer.shape):
            one = DetectorTap(float(fraction[i, 0]), 0.6)
            scalar = function(float(frequency[j]), AERIAL, LINKS["loose tap"], TANK, 2e4, one)
            assert isinstance(scalar, complex | float)
            assert scalar == pytest.approx(answer[i, j], rel=1e-11)


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("fraction", lambda: DetectorTap(0.0)),
        ("fraction", lambda: DetectorTap(1.2)),
        ("coefficient", lambda: DetectorTap(0.5, 1.5)),
        ("inductance", lambda: DetectorTap(0.5, 0.5, 0.0)),
        (
            "inductance",
            lambda: coupling.thevenin(1e6, AERIAL, Inductive(6e-6, 0.4, 0.3), TANK, DetectorTap(0.5, 0.5, 1.0)),
        ),
        ("detector_tap", lambda: coupling.thevenin(1e6, AERIAL, Tap(0.4, 0.5), TANK, DetectorTap(0.4, 0.9))),
        ("load_resistance", lambda: coupling.voltage_transfer(1e6, AERIAL, Tap(0.4), TANK, 0.0, DetectorTap(0.4))),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
