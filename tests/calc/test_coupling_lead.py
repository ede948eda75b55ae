"""What stands in the aerial's lead: series capacitor, loading coil, rejector, acceptor."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import (
    Acceptor,
    AerialLead,
    Direct,
    Inductive,
    LeadCapacitor,
    LoadingCoil,
    Rejector,
    SeriesCapacitor,
)
from calc.units import InputError
from tests.calc.coupling_network import (
    AERIAL,
    TANK,
    about,
    aerials,
    each_link,
    frequencies,
    lead_parts,
    leads,
    links,
    loads,
    network,
    tanks,
)

STATION = 1.0e6
REJECTOR = Rejector(100e-6, 4.0, 1 / ((2 * np.pi * STATION) ** 2 * 100e-6))
ACCEPTOR = Acceptor(150e-6, 5.0, 1 / ((2 * np.pi * STATION) ** 2 * 150e-6))
PARTS = {
    "capacitor": (LeadCapacitor(120e-12),),
    "coil": (LoadingCoil(80e-6, 3.0),),
    "rejector": (REJECTOR,),
    "acceptor": (ACCEPTOR,),
    "two rejectors, acceptor, coil": (REJECTOR, ACCEPTOR, Rejector(200e-6, 6.0, 200e-12), LoadingCoil(30e-6, 1.0)),
}
each_lead = pytest.mark.parametrize("parts", PARTS.values(), ids=PARTS.keys())
BAND = np.linspace(500e3, 1600e3, 23)

# --- against a general solver ---------------------------------------------------------------------------------------


@settings(max_examples=150)
@given(frequencies, leads, links, tanks, loads)
def test_transfer_agrees_with_a_nodal_solver(frequency, lead, link, tank, load):
    expected = network(lead, link, tank, load).voltage(frequency)
    assert coupling.voltage_transfer(frequency, lead, link, tank, load) == pytest.approx(expected, rel=1e-9, abs=0)


@each_link
@each_lead
def test_transfer_agrees_with_a_nodal_solver_across_the_band(parts, link):
    lead = AerialLead(AERIAL, parts)
    found = coupling.voltage_transfer(BAND, lead, link, TANK, 300e3)
    expected = [network(lead, link, TANK, 300e3).voltage(frequency) for frequency in BAND]
    assert np.max(np.abs(found / expected - 1)) < 1e-9


# --- by hand --------------------------------------------------------------------------------------------------------


def test_a_rejector_stands_in_the_way_of_its_station_with_q_squared_times_its_resistance():
    quality = 2 * np.pi * STATION * 100e-6 / 4.0
    in_the_way = AerialLead(AERIAL, [REJECTOR]).impedance(STATION) - AERIAL.impedance(STATION)
    assert in_the_way == pytest.approx(quality**2 * 4.0 * (1 - 1j / quality), rel=1e-9)
    assert AerialLead(AERIAL, [REJECTOR]).source(STATION).factor == 1.0


def test_a_rejector_keeps_the_current_of_its_station_down_by_the_ratio_of_resistances():
    # The aerial tuned to the station, so that its resistance of 35 ohm alone is left beside the trap.
    tuned = SeriesAerial(35.0, 1 / ((2 * np.pi * STATION) ** 2 * 200e-12), 200e-12)
    current = 1 / AerialLead(tuned, [REJECTOR]).impedance(STATION)
    quality = 2 * np.pi * STATION * 100e-6 / 4.0
    assert 1 / (35.0 * abs(current)) == pytest.approx(
        abs(35.0 + quality**2 * 4.0 * (1 - 1j / quality)) / 35.0, rel=1e-9
    )


def test_an_acceptor_leaves_its_station_the_share_of_its_resistance():
    factor, impedance = AerialLead(AERIAL, [ACCEPTOR]).source(STATION)
    own = AERIAL.impedance(STATION)
    assert factor == pytest.approx(5.0 / (5.0 + own), rel=1e-9)
    assert impedance == pytest.approx(5.0 * own / (5.0 + own), rel=1e-9)


def test_traps_in_front_of_a_loose_winding_weaken_their_station_by_the_ratio_of_currents():
    # So loose that the tank tells nothing back: its voltage goes as the current in the winding.
    link = Inductive(20e-6, 1.0, 1e-5)
    own, winding = AERIAL.impedance(STATION), 1.0 + 2j * np.pi * STATION * 20e-6
    quality = 2 * np.pi * STATION * 100e-6 / 4.0
    rejected = (own + winding) / (own + winding + quality**2 * 4.0 * (1 - 1j / quality))
    accepted = (own + winding) * 5.0 / (5.0 * own + winding * (own + 5.0))
    for part, expected in ((REJECTOR, rejected), (ACCEPTOR, accepted)):
        without, behind = (
            coupling.voltage_transfer(STATION, aerial, link, TANK) for aerial in (AERIAL, AerialLead(AERIAL, [part]))
        )
        assert behind / without == pytest.approx(expected, rel=1e-6)
        assert abs(expected) < 0.15


# --- limits and identities ------------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(frequencies, aerials)
def test_parts_that_are_hardly_there_change_nothing(frequency, aerial):
    nothing = [
        LoadingCoil(0.0, 0.0),
        Rejector(0.0, 0.0, 300e-12),
        Acceptor(100e-6, 5.0, 1e-25),
        LeadCapacitor(1e3),
    ]
    factor, impedance = AerialLead(aerial, nothing).source(frequency)
    assert factor == pytest.approx(1.0, abs=1e-12)
    assert impedance == pytest.approx(aerial.impedance(frequency), rel=1e-9)
    assert AerialLead(aerial, []).impedance(frequency) == aerial.impedance(frequency)


@settings(max_examples=50)
@given(frequencies, aerials, about(1e-6, 1e-3), about(0.1, 20.0), about(20e-12, 1e-9))
def test_parts_that_are_the_same_by_another_name(frequency, aerial, inductance, resistance, capacitance):
    def impedance(*parts):
        return AerialLead(aerial, parts).impedance(frequency)

    coil = impedance(LoadingCoil(inductance, resistance))
    assert impedance(Rejector(inductance, resistance, 0.0)) == pytest.approx(coil, rel=1e-13)
    halves = LoadingCoil(inductance / 2, resistance / 2)
    assert impedance(halves, halves) == pytest.approx(coil, rel=1e-13)
    longer = SeriesAerial(aerial.resistance + resistance, aerial.inductance + inductance, aerial.capacitance)
    assert coil == pytest.approx(longer.impedance(frequency), rel=1e-13)
    nested = AerialLead(AerialLead(aerial, [halves]), [LeadCapacitor(capacitance)])
    flat = AerialLead(aerial, [halves, LeadCapacitor(capacitance)])
    assert nested.source(frequency) == flat.source(frequency)


@settings(max_examples=50)
@given(frequencies, aerials, tanks, loads, about(20e-12, 1e-9))
def test_a_lead_capacitor_does_what_links_with_a_capacitor_do(frequency, aerial, tank, load, capacitance):
    lead = AerialLead(aerial, [LeadCapacitor(capacitance)])
    for with_capacitor, without in (
        (SeriesCapacitor(capacitance), Direct()),
        (Inductive(9e-6, 0.5, 0.3, capacitance), Inductive(9e-6, 0.5, 0.3)),
    ):
        expected = coupling.voltage_transfer(frequency, aerial, with_capacitor, tank, load)
        assert coupling.voltage_transfer(frequency, lead, without, tank, load) == pytest.approx(expected, rel=1e-10)


def test_the_order_counts_once_something_goes_to_earth():
    one, other = (AerialLead(AERIAL, parts).impedance(7e5) for parts in ([REJECTOR, ACCEPTOR], [ACCEPTOR, REJECTOR]))
    assert abs(one / other - 1) > 0.01


# --- power ----------------------------------------------------------------------------------------------------------


@settings(max_examples=80)
@given(frequencies, aerials, st.lists(lead_parts, min_size=1, max_size=4))
def test_parts_never_add_power_and_without_loss_take_none(frequency, aerial, parts):
    def available(parts):
        factor, impedance = AerialLead(aerial, parts).source(frequency)
        return abs(factor) ** 2 * coupling.available_power(1.0, impedance.real)

    own = coupling.available_power(1.0, aerial.resistance)
    assert available(parts) <= own * (1 + 1e-9)
    lossless = [replace(part, resistance=0.0) if hasattr(part, "resistance") else part for part in parts]
    # In front of a reactance that dwarfs the resistance, digits of the latter are lost.
    _, impedance = AerialLead(aerial, lossless).source(frequency)
    assert available(lossless) == pytest.approx(own, rel=1e-12 * max(1e3, abs(impedance) / impedance.real))


@settings(max_examples=80)
@given(frequencies, leads, links, tanks, about(100.0, 1e9))
def test_the_load_never_gets_more_than_the_aerial_can_give(frequency, lead, link, tank, load):
    transfer = coupling.voltage_transfer(frequency, lead, link, tank, load)
    assert abs(transfer) ** 2 / load <= coupling.available_power(1.0, lead.aerial.resistance) * (1 + 1e-9)


# --- tuning ---------------------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(frequencies, leads, links, tanks, loads, st.floats(-0.5, 0.5))
def test_no_other_capacitor_gives_more_voltage(frequency, lead, link, tank, load, change):
    best = coupling.tuned_capacitance(frequency, lead, link, tank, load)
    other, best = (best * (1 + change), best) if best > 0 else (abs(change) * 1e-9, 0.0)
    at_best, at_other = (
        abs(coupling.voltage_transfer(frequency, lead, link, replace(tank, capacitance=c), load)) for c in (best, other)
    )
    assert at_other <= at_best * (1 + 1e-12)


def test_tuning_the_aerial_itself_brings_most_of_its_power():
    # A loading coil that cancels the aerial's reactance leaves 35 ohm, to which a winding can be matched.
    frequency, coefficient = 700e3, np.linspace(0.002, 0.3, 600)
    reactance = -AERIAL.impedance(frequency).imag
    lead = AerialLead(AERIAL, [LoadingCoil(reactance / (2 * np.pi * frequency) - 20e-6, 1.0)])
    link = Inductive(20e-6, 0.2, coefficient)
    tank = coupling.tune(frequency, lead, link, TANK).tank
    power = coupling.power_into_load(frequency, lead, link, tank, 20e3)
    share = np.max(power) / coupling.available_power(1.0, 35.0)
    loss = (2 * np.pi * frequency * TANK.inductance) ** 2 / TANK.resistance
    assert share == pytest.approx(loss / (loss + 20e3) * 35.0 / 36.2, rel=0.01)


# --- shapes and refusals --------------------------------------------------------------------------------------------


def test_arrays_broadcast_and_agree_with_scalars():
    frequency = np.linspace(600e3, 900e3, 3)[:, None]
    capacitance = np.array([100e-12, 200e-12, 300e-12, 400e-12])
    lead = AerialLead(AERIAL, [Rejector(100e-6, 4.0, capacitance), Acceptor(150e-6, 5.0, 150e-12)])
    answer = coupling.voltage_transfer(frequency, lead, Direct(), TANK)
    assert answer.shape == (3, 4)
    for i, j in np.ndindex(answer.shape):
        one = AerialLead(AERIAL, [Rejector(100e-6, 4.0, float(capacitance[j])), Acceptor(150e-6, 5.0, 150e-12)])
        scalar = coupling.voltage_transfer(float(frequency[i, 0]), one, Direct(), TANK)
        assert scalar == pytest.approx(answer[i, j], rel=1e-12)
    assert type(AerialLead(AERIAL, [LoadingCoil(1e-4, 2.0)]).impedance(1e6)) is complex


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("capacitance", lambda: LeadCapacitor(0.0)),
        ("inductance", lambda: LoadingCoil(-1e-6, 1.0)),
        ("resistance", lambda: LoadingCoil(1e-6, -1.0)),
        ("inductance", lambda: Rejector(np.nan, 1.0, 1e-10)),
        ("resistance", lambda: Rejector(1e-4, -1.0, 1e-10)),
        ("capacitance", lambda: Rejector(1e-4, 1.0, -1e-10)),
        ("inductance", lambda: Acceptor(-1e-4, 1.0, 1e-10)),
        ("resistance", lambda: Acceptor(1e-4, np.inf, 1e-10)),
        ("capacitance", lambda: Acceptor(1e-4, 1.0, 0.0)),
        ("frequency", lambda: AerialLead(AERIAL, []).impedance(0.0)),
        # w = 1: a trap without loss at its own frequency, and one that resonates with an aerial without loss
        ("resistance", lambda: Rejector(1.0, 0.0, 1.0).impedance(np.asarray(1.0))),
        (
            "resistance",
            lambda: AerialLead(SeriesAerial(0.0, 0.0, np.inf), [Acceptor(1.0, 0.0, 1.0)]).source(1 / (2 * np.pi)),
        ),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
