"""An aerial tuned by a capacitor or a coil of its own."""

from dataclasses import replace

import numpy as np
import pytest

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import AerialLead, Inductive, LeadCapacitor, LoadingCoil, Tank, TunedAerial

AERIAL = SeriesAerial(60.0, 15e-6, 200e-12)
TANK = Tank(240e-6, 6.0, 1e-10)
LOOSE = 0.005


@pytest.mark.parametrize(("inductance", "frequency"), [(600e-6, 1000e3), (30e-6, 700e3)])
def test_it_is_the_best_capacitor_or_coil_when_the_winding_is_loose(inductance, frequency):
    """Against a search over what might stand in the lead, the tank tuned anew for each."""
    winding = Inductive(inductance, 5.0, LOOSE)
    tuned = coupling.tune(frequency, AERIAL, TunedAerial(winding, 1e9), TANK)
    best = abs(coupling.voltage_transfer(frequency, AERIAL, tuned.link, tuned.tank))
    others = []
    for size in np.geomspace(1e-3, 1e3, 4001):
        for part in (LeadCapacitor(1e-10 * size), LoadingCoil(1e-4 * size, 0.0)):
            aerial = AerialLead(AERIAL, (part,))
            other = coupling.tune(frequency, aerial, winding, TANK)
            others.append(abs(coupling.voltage_transfer(frequency, aerial, other.link, other.tank)))
    assert best == pytest.approx(max(others), rel=2e-3)
    assert best > 1.5 * abs(
        coupling.voltage_transfer(frequency, AERIAL, *coupling.tune(frequency, AERIAL, winding, TANK)[:2])
    )


def test_the_loop_has_no_reactance_left_and_the_coil_brings_its_loss():
    winding = Inductive(30e-6, 5.0, 0.0)
    link, reached = TunedAerial(winding, 100.0).tuned(700e3, AERIAL)
    assert reached
    omega = 2 * np.pi * 700e3
    loop = AERIAL.impedance(700e3) + 1j * omega * (30e-6 + link.coil.inductance)
    assert loop.imag - 1 / (omega * link.winding.capacitance) == pytest.approx(0.0, abs=1e-6)
    assert link.coil.resistance == pytest.approx(omega * link.coil.inductance / 100.0)


def test_arrays_may_want_a_coil_here_and_a_capacitor_there():
    frequency = np.array([200e3, 3000e3])
    link, _ = TunedAerial(Inductive(30e-6, 5.0, 0.1)).tuned(frequency, AERIAL)
    assert link.coil.inductance[0] > 0.0
    assert link.coil.inductance[1] == 0.0
    together = coupling.tune(frequency, AERIAL, TunedAerial(Inductive(30e-6, 5.0, 0.1)), TANK)
    for index, one in enumerate(frequency):
        alone = coupling.tune(float(one), AERIAL, TunedAerial(Inductive(30e-6, 5.0, 0.1)), replace(TANK))
        assert alone.tank.capacitance == pytest.approx(together.tank.capacitance[index])
