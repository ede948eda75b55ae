"""Power into the load, and truths about one tuned circuit: width, loss, coupling, the match."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import (
    AerialLead,
    CapacitorPair,
    DetectorTap,
    Inductive,
    InductivePair,
    Rejector,
    SeriesCapacitor,
    Tank,
    Tap,
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
    links,
    network,
    pairs,
    tanks,
)

# --- power ----------------------------------------------------------------------------------------------------------


@settings(max_examples=100)
@given(frequencies, aerials, links | pairs, tanks, about(100.0, 1e8), st.none() | detector_taps)
def test_power_agrees_with_a_nodal_solver(frequency, aerial, link, tank, load, tap):
    expected = abs(network(aerial, link, tank, load, tap).voltage(frequency)) ** 2 / load
    assert coupling.power_into_load(frequency, aerial, link, tank, load, tap) == pytest.approx(expected, rel=2e-9)


@settings(max_examples=60)
@given(about(300e3, 1e6), aerials, links, tanks)
def test_the_best_load_is_the_size_of_the_source_s_impedance_and_takes_all_it_has_when_tuned(
    frequency, aerial, link, tank
):
    assume(coupling.tuned_capacitance(frequency, aerial, link, tank) > 0)
    tank = coupling.tune(frequency, aerial, link, tank).tank
    open_circuit, impedance = coupling.thevenin(frequency, aerial, link, tank)
    # Tuned for the greatest voltage, the terminals are a plain resistance.
    assert impedance.imag == pytest.approx(0.0, abs=1e-9 * impedance.real)
    power = coupling.power_into_load(
        frequency, aerial, link, tank, impedance.real * np.array([0.5, 0.99, 1.0, 1.01, 2.0])
    )
    assert np.argmax(power) == 2
    assert power[2] == pytest.approx(coupling.available_power(abs(open_circuit), impedance.real), rel=1e-9)


def test_no_load_takes_no_power():
    assert coupling.power_into_load(7e5, AERIAL, LINKS["tap"], TANK, np.inf) == 0.0


# --- many settings at once ------------------------------------------------------------------------------------------

TUNINGS, STATIONS = np.array([550e3, 700e3, 850e3]), np.array([560e3, 690e3, 720e3, 900e3])


@pytest.mark.parametrize(
    "link",
    [
        Inductive(6e-6, 0.4, np.array([0.05, 0.2]).reshape(2, 1, 1)),
        Tap(np.array([0.1, 0.3]).reshape(2, 1, 1)),
        InductivePair(SeriesCapacitor(5e-12), TANK, np.array([0.01, 0.05]).reshape(2, 1, 1)),
        CapacitorPair(SeriesCapacitor(5e-12), TANK, np.array([1e-12, 3e-12]).reshape(2, 1, 1)),
    ],
    ids=lambda link: type(link).__name__,
)
def test_a_scan_is_what_one_setting_after_the_other_gives(link):
    lead, tap = AerialLead(AERIAL, [Rejector(100e-6, 4.0, 200e-12)]), DetectorTap(0.6, 0.8)
    tank = replace(TANK, resistance=TUNINGS[:, None] * 1e-5)
    load = np.array([[5e4, 6e4, 7e4, 8e4]])
    scan = coupling.tuned_power(TUNINGS, STATIONS, lead, link, tank, load, tap)
    assert scan.power.shape == (2, 3, 4)
    assert np.all(scan.reached)
    for i, j, k in np.ndindex(scan.power.shape):
        values = {name: float(value.flat[i]) for name, value in vars(link).items() if isinstance(value, np.ndarray)}
        one, coil = replace(link, **values), replace(TANK, resistance=TUNINGS[j] * 1e-5)
        tuned, its_tank, _ = coupling.tune(float(TUNINGS[j]), lead, one, coil, detector_tap=tap)
        power = coupling.power_into_load(float(STATIONS[k]), lead, tuned, its_tank, float(load[0, k]), tap)
        assert scan.power[i, j, k] == pytest.approx(power, rel=1e-10)


def test_a_scan_says_which_tunings_it_cannot_reach():
    scan = coupling.tuned_power(np.array([500e3, 1.4e6]), STATIONS, AERIAL, LINKS["direct"], TANK, 1e5)
    assert scan.reached.tolist() == [[True], [False]]
    at_least = coupling.power_into_load(STATIONS, AERIAL, LINKS["direct"], replace(TANK, capacitance=0.0), 1e5)
    np.testing.assert_allclose(scan.power[1], at_least, rtol=1e-12)


# --- loudness has one summit ----------------------------------------------------------------------------------------


@st.composite
def sets(draw):
    """One tuned circuit on an aerial short of its resonance, and for each link from loose to close: frequency, aerial,
    tank, load, and the aerial winding's inductance.

    The truths below need that the aerial stores no more energy for its loss than the tank does for its own: else
    closer coupling brings in a better circuit, and sharpens. For a winding that share is (3 X + S)/(2 R), X being the
    aerial's reactance and S the sum of its two reactances; here it is kept below the tank's Q. The winding is small, so
    that its leakage does not resonate with the aerial on the way.
    """
    frequency = draw(about(300e3, 1.7e6))
    angular = 2 * np.pi * frequency
    reactance = 1 / (angular * draw(about(50e-12, 500e-12)))
    quality, load = draw(about(40, 400)), reactance * draw(about(40, 2000))
    loaded = 1 / (1 / quality + reactance / load)
    capacitance = draw(about(80e-12, 600e-12))
    capacitive = 1 / (angular * capacitance)
    inductive = capacitive * draw(about(0.01, 0.3))
    resistance = 1.2 * (4 * capacitive) / (2 * loaded) * draw(about(1.0, 10.0))
    tank = Tank(reactance / angular, reactance / quality, 0.0)
    winding = min((capacitive - inductive) * draw(about(0.005, 0.45)) / angular, tank.inductance)
    return frequency, SeriesAerial(resistance, inductive / angular, capacitance), tank, load, winding


LADDERS = {
    "series capacitor": lambda winding: SeriesCapacitor(np.geomspace(0.5e-12, 1e-9, 25)),
    "tap": lambda winding: Tap(np.geomspace(0.01, 1.0, 25)),
    "winding": lambda winding: Inductive(winding, 0.5, np.geomspace(0.003, 1.0, 25)),
}
each_ladder = pytest.mark.parametrize("ladder", LADDERS.values(), ids=LADDERS.keys())


def in_reach(values, reached):
    """The values from the loosest coupling on up to where the frequency can no longer be reached."""
    reached = np.broadcast_to(reached, values.shape)
    return values if np.all(reached) else values[: int(np.argmin(reached))]


@each_ladder
@settings(max_examples=40)
@given(sets())
def test_power_against_coupling_has_one_summit(ladder, circuit):
    frequency, aerial, tank, load, winding = circuit
    tuned, tank, reached = coupling.tune(frequency, aerial, ladder(winding), tank)
    power = in_reach(coupling.power_into_load(frequency, aerial, tuned, tank, load), reached)
    rising = np.diff(power) > 0
    assert np.count_nonzero(np.diff(rising.astype(int))) <= 1
    assert not np.any(np.diff(rising.astype(int)) > 0)


@each_ladder
def test_the_summit_is_at_the_match(ladder):
    """There the aerial puts as much conductance across the tank as coil and load together do: exactly for a capacitor,
    else but for the coil's own loss."""
    frequency, load, coil = 700e3, 300e3, replace(TANK, resistance=3.0)
    link = ladder(100e-6)
    name = next(name for name, value in vars(link).items() if isinstance(value, np.ndarray))
    least, most = np.log(getattr(link, name)[[0, -1]])

    def added(at):
        link_there = replace(link, **{name: float(np.exp(at))})
        angular = np.asarray(2 * np.pi * frequency)
        circuit = link_there.circuit(angular, AERIAL.impedance(frequency), coil)
        return (circuit.loop / circuit.product - 1 / coil.coil_impedance(angular)).real

    def lost(at):
        there = replace(link, **{name: float(np.exp(at))})
        tank = coupling.tune(frequency, AERIAL, there, coil).tank
        return -coupling.power_into_load(frequency, AERIAL, there, tank, load)

    summit = minimize_scalar(lost, bounds=(least, most), method="bounded", options={"xatol": 1e-9}).x
    assert least + 0.1 < summit < most - 0.1
    own = (1 / coil.coil_impedance(2 * np.pi * frequency)).real + 1 / load
    assert added(summit) == pytest.approx(own, rel=1e-5 if ladder is LADDERS["series capacitor"] else 0.05)


# --- width ----------------------------------------------------------------------------------------------------------


@each_ladder
@settings(max_examples=25)
@given(sets())
def test_looser_coupling_never_broadens_one_tuned_circuit(ladder, circuit):
    frequency, aerial, tank, load, winding = circuit
    link = ladder(winding)
    reached = np.broadcast_to(coupling.tune(frequency, aerial, link, tank).reached, 25)
    assume(np.count_nonzero(reached) > 5)
    name = next(name for name, value in vars(link).items() if isinstance(value, np.ndarray))
    link = replace(link, **{name: in_reach(getattr(link, name), reached)})
    width = coupling.bandwidth(frequency, aerial, link, tank, load)
    # Beyond a fifth of the frequency what is left is hardly a tuned circuit.
    width = in_reach(width, width < 0.2 * frequency)
    assert np.all(np.diff(width) >= -1e-9 * width[1:])


@each_ladder
@settings(max_examples=25)
@given(sets(), st.integers(0, 24))
def test_more_loss_never_sharpens_one_tuned_circuit(ladder, circuit, place):
    frequency, aerial, tank, load, winding = circuit
    link = ladder(winding)
    name = next(name for name, value in vars(link).items() if isinstance(value, np.ndarray))
    link = replace(link, **{name: float(getattr(link, name)[place])})
    lossy = replace(tank, resistance=tank.resistance * np.geomspace(0.1, 10.0, 15))
    assume(np.all(coupling.tune(frequency, aerial, link, lossy).reached))
    for width in (
        coupling.bandwidth(frequency, aerial, link, lossy, load),
        coupling.bandwidth(frequency, aerial, link, tank, load * np.geomspace(10.0, 0.5, 15)),
    ):
        width = in_reach(width, width < 0.2 * frequency)
        assert np.all(np.diff(width) >= -1e-9 * width[1:])


# --- refusals -------------------------------------------------------------------------------------------------------


@each_link
def test_scalars_give_plain_numbers(link):
    assert type(coupling.power_into_load(7e5, AERIAL, link, TANK, 1e5)) is float


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("frequency", lambda: coupling.power_into_load(0.0, AERIAL, LINKS["tap"], TANK, 1e5)),
        ("load_resistance", lambda: coupling.power_into_load(1e6, AERIAL, LINKS["tap"], TANK, 0.0)),
        ("tuned_to", lambda: coupling.tuned_power(-1.0, 1e6, AERIAL, LINKS["tap"], TANK, 1e5)),
        ("frequency", lambda: coupling.tuned_power(7e5, np.nan, AERIAL, LINKS["tap"], TANK, 1e5)),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
