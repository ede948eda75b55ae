"""The dial as it is turned against `calc.receiver.listen`, and the aerials that stand in for dear ones."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.aerials import SeriesAerial, WireAerial
from calc.coupling import AerialLead, Direct, LoadingCoil, tune, voltage_transfer
from calc.receiver import listen
from calc.settings.dial import at_dial, tuned_frequency
from calc.settings.stand_ins import TabulatedAerial, tabulated, varied
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, STATIONS, whole_set


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", [*LINKS, "direct"])
@pytest.mark.parametrize("frequency", [550e3, 1000e3, 1500e3])
def test_the_frequency_undoes_tuning(link, kind, frequency):
    receiver = whole_set(LINKS.get(link, Direct()), kind)
    tuned = tune(frequency, receiver.aerial, receiver.link, receiver.tank, detector_tap=receiver.detector_tap)
    if not tuned.reached:
        with pytest.raises(InputError, match="greater than zero"):
            tuned_frequency(receiver, tuned.tank.capacitance)
    elif (link, kind) != ("direct", "lead"):  # which are tuned twice, as the next test has it
        assert tuned_frequency(receiver, tuned.tank.capacitance) == pytest.approx(frequency, rel=1e-11)


def test_on_either_side_of_an_aerial_s_own_resonance_it_is_the_better():
    """A wire with a coil in its lead, resonant at 1.3 MHz, straight on the tank: below it a capacitance across the
    tank, above it an inductance."""
    receiver = whole_set(Direct(), "lead")
    capacitance = listen(receiver, STATIONS, 1500e3)[0].capacitance
    found = tuned_frequency(receiver, capacitance)
    assert found < 1.2e6
    assert listen(receiver, STATIONS, found)[0].capacitance == pytest.approx(capacitance, rel=1e-9)

    def volts(frequency):
        return abs(
            voltage_transfer(frequency, receiver.aerial, receiver.link, replace(receiver.tank, capacitance=capacitance))
        )

    assert volts(found) > volts(1500e3)


@pytest.mark.parametrize("link", ["coils", "winding"])
def test_losses_are_those_at_the_frequency_that_is_found(link):
    """A coil of the same Q at every frequency, and a first circuit like it."""
    plain = whole_set(LINKS[link])

    def turned_to(frequency):
        resistance = 2.0 * np.pi * frequency * plain.tank.inductance / 90.0
        first = {"primary": replace(plain.link.primary, resistance=resistance)} if link == "coils" else {}
        return replace(plain, tank=replace(plain.tank, resistance=resistance), link=replace(plain.link, **first))

    for capacitance in (6e-11, 2e-10, 4e-10):
        found = tuned_frequency(plain, capacitance, turned_to)
        assert tuned_frequency(turned_to(found), capacitance) == pytest.approx(found, rel=1e-11)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(LINKS)), st.lists(st.floats(2e-11, 6e-10), min_size=2, max_size=2, unique=True))
def test_more_capacitance_tunes_lower(link, capacitances):
    low, high = sorted(capacitances)
    receiver = whole_set(LINKS[link])
    assert tuned_frequency(receiver, high) < tuned_frequency(receiver, low) or high / low < 1.0 + 1e-9


def test_without_an_aerial_to_speak_of_it_is_thomson_s():
    """A lossy coil and a capacitor in parallel: w**2 = 1/LC - (R/L)**2."""
    receiver = replace(whole_set(Direct()), aerial=SeriesAerial(1.0, 0.0, 1e-18))
    expected = np.sqrt(1.0 / (190e-6 * 2e-10) - (5.0 / 190e-6) ** 2) / (2.0 * np.pi)
    assert tuned_frequency(receiver, 2e-10) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", LINKS)
def test_what_is_heard_is_as_listened_to(link, kind):
    receiver = whole_set(LINKS[link], kind)
    for tuned_to in (STATIONS[1].frequency, 800e3):
        expected = listen(receiver, STATIONS, tuned_to)
        found = at_dial(receiver, STATIONS, expected[0].capacitance)
        assert found.frequency == pytest.approx(tuned_to, rel=1e-11)
        assert found.level == pytest.approx([one.sound_level for one in expected], abs=1e-7)
        assert found.margin == pytest.approx([one.margin for one in expected], abs=1e-7)
        assert found.separation == pytest.approx([one.separation for one in expected], abs=1e-7)
        assert found.heard.dc_current == pytest.approx([one.dc_current for one in expected], rel=1e-7)
        assert found.heard.tank_voltage == pytest.approx([one.tank_voltage for one in expected], rel=1e-7)
        assert found.response.size == 0


def test_the_curve_is_that_of_the_loaded_tank():
    receiver = whole_set(LINKS["winding"])
    over = np.linspace(500e3, 1600e3, 120)
    capacitance = listen(receiver, STATIONS, 747e3)[0].capacitance
    found = at_dial(receiver, STATIONS, capacitance, over)
    load = found.heard.input_resistance[np.argmax(found.level)]
    tank = replace(receiver.tank, capacitance=capacitance)
    expected = 20.0 * np.log10(np.abs(voltage_transfer(over, receiver.aerial, receiver.link, tank, load)))
    assert found.response == pytest.approx(expected, abs=1e-9)
    assert over[np.argmax(found.response)] == pytest.approx(747e3, abs=10e3)


def test_a_frequency_that_is_known_is_taken():
    receiver = whole_set(LINKS["coils"])
    found = at_dial(receiver, STATIONS, 2e-10)
    again = at_dial(receiver, STATIONS, 2e-10, tuned_to=found.frequency)
    assert np.array_equal(found.level, again.level)


def test_too_little_for_the_coil_is_refused():
    with pytest.raises(InputError, match="greater than zero"):
        tuned_frequency(whole_set(Direct()), 0.0)
    with pytest.raises(InputError, match="one station"):
        at_dial(whole_set(Direct()), [], 2e-10)
    aerial = SeriesAerial(10.0, 1e-3, np.inf)
    with pytest.raises(InputError, match="nowhere"):
        tuned_frequency(replace(whole_set(Direct()), aerial=replace(aerial, inductance=1e-9)), 1e-11)


# --- stand-ins ----------------------------------------------------------------------------------------------------


def test_a_series_circuit_in_a_table_is_itself():
    aerial = SeriesAerial(40.0, 12e-6, 230e-12)
    at = np.geomspace(3.1e5, 2.9e6, 40).reshape(2, 20)
    assert tabulated(aerial, 3e5, 3e6, 5).impedance(at) == pytest.approx(aerial.impedance(at), rel=1e-12)


def test_a_wire_in_a_table_is_nearly_itself():
    aerial = WireAerial(8.0, 12.0, 1.5e-3, earth_resistance=30.0)
    table = tabulated(aerial, 4e5, 1.7e6)
    at = np.geomspace(4e5, 1.7e6, 60)
    assert table.impedance(at) == pytest.approx(aerial.impedance(at), rel=1e-3)
    assert table.impedance(table.frequency) == pytest.approx(aerial.impedance(table.frequency), rel=1e-12)
    beyond = table.impedance(2e6)
    assert beyond.real == pytest.approx(aerial.impedance(1.7e6).real, rel=1e-12)
    assert isinstance(beyond, complex)


def test_a_table_keeps_what_stands_in_the_lead():
    lead = AerialLead(SeriesAerial(40.0, 12e-6, 230e-12), (LoadingCoil(50e-6, 2.0),))
    table = tabulated(lead, 3e5, 3e6)
    assert isinstance(table.aerial, TabulatedAerial)
    assert table.impedance(8e5) == pytest.approx(lead.impedance(8e5), rel=1e-12)
    with pytest.raises(InputError, match="more than the least"):
        tabulated(lead, 3e6, 3e5)


class Counted:
    """An aerial that counts how often it is asked."""

    def __init__(self):
        self.asked = 0

    def impedance(self, frequency):
        self.asked += 1
        return SeriesAerial(40.0, 12e-6, 230e-12).impedance(frequency)


def test_specimens_of_an_aerial_are_worked_out_once():
    aerial = Counted()
    specimens = varied(aerial, np.array([[[1.0]], [[2.0]]]), np.array([[[1.0]], [[0.5]]]))
    at = np.array([6e5, 9e5])
    once = SeriesAerial(40.0, 12e-6, 230e-12).impedance(at)
    for asked in (at, at[:, None]):
        found = specimens.impedance(asked)
        assert found[0].ravel() == pytest.approx(once, rel=1e-12)
        assert found[1].ravel() == pytest.approx(2.0 * once, rel=1e-12)
    assert aerial.asked == 1
