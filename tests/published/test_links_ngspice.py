"""Links and detector against ngspice: the circuits as netlists, solved by a general circuit simulator."""

import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import (
    Acceptor,
    AerialLead,
    CapacitorPair,
    DetectorTap,
    Direct,
    Inductive,
    InductivePair,
    LeadCapacitor,
    LoadingCoil,
    Rejector,
    SeriesCapacitor,
    Tank,
    Tap,
)
from calc.detectors import Diode, rectify
from tests.calc.coupling_network import aerials, detector_taps, leads, links, loads, network, pairs, tanks


def simulate(folder, netlist):
    """Run ngspice on a netlist and give its saved vectors by name, in full precision from its binary file."""
    program = shutil.which("ngspice")
    assert program, "ngspice is not installed; install it with: apt-get install ngspice"
    (folder / "circuit.cir").write_text("circuit\n" + netlist + "\n.end\n", encoding="ascii")
    run = subprocess.run(
        [program, "-b", "-r", "circuit.raw", "circuit.cir"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    head, data = (folder / "circuit.raw").read_bytes().split(b"Binary:\n", 1)
    lines = head.decode("ascii").splitlines()
    fields = dict(line.split(":", 1) for line in lines if ":" in line)
    names = [line.split()[1] for line in lines[lines.index("Variables:") + 1 :]]
    kind = np.complex128 if "complex" in fields["Flags"] else np.float64
    values = np.frombuffer(data, dtype=kind).reshape(int(fields["No. Points"]), len(names))
    return dict(zip(names, values.T, strict=True))


# --- links: small-signal analysis ---------------------------------------------------------------------------

AERIAL = SeriesAerial(resistance=35.0, inductance=20e-6, capacitance=200e-12)
TANK = Tank(inductance=180e-6, resistance=6.0, capacitance=250e-12)

SOURCE = "Vaerial e 0 DC 0 AC 1\nRaerial e a1 35\nCaerial a1 a2 200p\nLaerial a2 a 20u\nCtank top 0 250p\n"
COIL = "Ltank top t1 180u\nRtank t1 0 6\n"

# A tap at a quarter of the turns, coefficient 1: parts of 1/16 and 9/16 of 180 uH, their mutual 3/16.
TAP = "Llow a l1 11.25u\nRlow l1 0 1.5\nLup top u1 101.25u\nRup u1 a 4.5\nKparts Llow Lup 1\n"
# At half the turns, coefficient 0.8: equal parts of 180/3.6 = 50 uH, their mutual 40 uH.
LOOSE_TAP = "Llow a l1 50u\nRlow l1 0 3\nLup top u1 50u\nRup u1 a 3\nKparts Llow Lup 0.8\n"

CIRCUITS = {
    "direct": (Direct(), COIL + "Vlink a top DC 0\n"),
    "series capacitor": (SeriesCapacitor(15e-12), COIL + "Clink a top 15p\n"),
    "tap": (Tap(0.25), TAP),
    "loose tap": (Tap(0.5, 0.8), LOOSE_TAP),
    "winding": (
        Inductive(6e-6, 0.4, 0.3),
        COIL + "Lwinding a w1 6u\nRwinding w1 0 0.4\nKlink Lwinding Ltank 0.3\n",
    ),
    "tuned winding": (
        Inductive(150e-6, 4.0, 0.02, 300e-12),
        COIL + "Cwinding a w0 300p\nLwinding w0 w1 150u\nRwinding w1 0 4\nKlink Lwinding Ltank 0.02\n",
    ),
}


@pytest.mark.parametrize("load", [np.inf, 300e3, 5e3])
@pytest.mark.parametrize(("link", "netlist"), CIRCUITS.values(), ids=CIRCUITS.keys())
def test_voltage_across_the_tank(tmp_path, link, netlist, load):
    detector = "" if np.isinf(load) else f"Rload top 0 {load:.0f}\n"
    answer = simulate(tmp_path, SOURCE + netlist + detector + ".ac lin 221 500k 1600k\n.save v(top)")
    frequency, expected = answer["frequency"].real, answer["v(top)"]
    found = coupling.voltage_transfer(frequency, AERIAL, link, TANK, load)
    assert np.max(np.abs(found / expected - 1)) < 1e-9


# What stands between the aerial, at node `a`, and the link, at node `b`; in front of a winding of 20 uH and 1 ohm.
WINDING = Inductive(20e-6, 1.0, 0.2)
WOUND = COIL + "Lwinding b w1 20u\nRwinding w1 0 1\nKlink Lwinding Ltank 0.2\n"
REJECTOR, ACCEPTOR = Rejector(100e-6, 4.0, 250e-12), Acceptor(150e-6, 5.0, 170e-12)
IN_THE_LEAD = {
    "capacitor": ([LeadCapacitor(120e-12)], "Clead a b 120p\n"),
    "loading coil": ([LoadingCoil(80e-6, 3.0)], "Llead a l1 80u\nRlead l1 b 3\n"),
    "rejector": ([REJECTOR], "Ltrap a r1 100u\nRtrap r1 b 4\nCtrap a b 250p\n"),
    "acceptor": ([ACCEPTOR], "Vwire a b DC 0\nLtrap b r1 150u\nRtrap r1 r2 5\nCtrap r2 0 170p\n"),
    "coil, acceptor, two rejectors": (
        [LoadingCoil(30e-6, 1.0), ACCEPTOR, REJECTOR, Rejector(200e-6, 6.0, 200e-12)],
        "Llead a l1 30u\nRlead l1 c 1\nLtrap c r1 150u\nRtrap r1 r2 5\nCtrap r2 0 170p\n"
        "Lone c o1 100u\nRone o1 d 4\nCone c d 250p\nLtwo d t2 200u\nRtwo t2 b 6\nCtwo d b 200p\n",
    ),
}


@pytest.mark.parametrize(("parts", "netlist"), IN_THE_LEAD.values(), ids=IN_THE_LEAD.keys())
def test_voltage_behind_what_stands_in_the_lead(tmp_path, parts, netlist):
    sweep = "Rload top 0 300k\n.ac lin 221 500k 1600k\n.save v(top)"
    answer = simulate(tmp_path, SOURCE + netlist + WOUND + sweep)
    frequency, expected = answer["frequency"].real, answer["v(top)"]
    found = coupling.voltage_transfer(frequency, AerialLead(AERIAL, parts), WINDING, TANK, 300e3)
    assert np.max(np.abs(found / expected - 1)) < 1e-9


FIRST = Tank(inductance=200e-6, resistance=5.0, capacitance=180e-12)
PRIMARY = "Lfirst p p1 200u\nRfirst p1 0 5\nCfirst p 0 180p\n"
BOTH = "Kboth Lfirst Ltank 0.015\n"
# At half the turns, coefficient 0.8: equal parts of 200/3.6 uH, each with half of the flux that reaches the whole.
HALVES = (
    "Llow a p1 55.555555555555556u\nRlow p1 0 2.5\nLup p p2 55.555555555555556u\nRup p2 a 2.5\nKparts Llow Lup 0.8\n"
    f"Cfirst p 0 180p\nKlow Llow Ltank {0.015 * 0.9**0.5!r}\nKup Lup Ltank {0.015 * 0.9**0.5!r}\n"
)
TWO_CIRCUITS = {
    "capacitor, flux": (InductivePair(SeriesCapacitor(8e-12), FIRST, 0.015), PRIMARY + "Clink a p 8p\n" + COIL + BOTH),
    "winding, flux": (
        InductivePair(WINDING, FIRST, 0.015),
        PRIMARY + "Lwinding a w1 20u\nRwinding w1 0 1\nKlink Lwinding Lfirst 0.2\n" + COIL + BOTH,
    ),
    "loose tap, flux": (InductivePair(Tap(0.5, 0.8), FIRST, 0.015), HALVES + COIL),
    "direct, capacitor": (CapacitorPair(Direct(), FIRST, 4e-12), PRIMARY + "Vlink a p DC 0\nCboth p top 4p\n" + COIL),
    "tap, capacitor": (
        CapacitorPair(Tap(0.5), FIRST, 4e-12),
        "Llow a p1 50u\nRlow p1 0 2.5\nLup p p2 50u\nRup p2 a 2.5\nKparts Llow Lup 1\nCfirst p 0 180p\n"
        "Cboth p top 4p\n" + COIL,
    ),
}


@pytest.mark.parametrize("load", [np.inf, 30e3])
@pytest.mark.parametrize(("link", "netlist"), TWO_CIRCUITS.values(), ids=TWO_CIRCUITS.keys())
def test_voltage_across_the_second_of_two_circuits(tmp_path, link, netlist, load):
    detector = "" if np.isinf(load) else f"Rload top 0 {load:.0f}\n"
    answer = simulate(tmp_path, SOURCE + netlist + detector + ".ac lin 221 500k 1600k\n.save v(top)")
    frequency, expected = answer["frequency"].real, answer["v(top)"]
    found = coupling.voltage_transfer(frequency, AERIAL, link, TANK, load)
    assert np.max(np.abs(found / expected - 1)) < 1e-9


# Parts by turns squared: of 180 uH at a half and coefficient 0.8, 50 uH each; a quarter and a half at coefficient 1,
# 1/16, 1/16 and 1/4 of it.
DETECTOR_AT_HALF = "Llow d d1 50u\nRlow d1 0 3\nLup top u1 50u\nRup u1 d 3\nKparts Llow Lup 0.8\n"
ON_TAPS = {
    "direct": (Direct(), DetectorTap(0.5, 0.8), DETECTOR_AT_HALF + "Vlink a top DC 0\n"),
    "winding": (
        Inductive(6e-6, 0.4, 0.3),
        DetectorTap(0.5, 0.8),
        DETECTOR_AT_HALF + "Lwinding a w1 6u\nRwinding w1 0 0.4\n"
        f"Klow Llow Lwinding {0.3 * 0.9**0.5!r}\nKup Lup Lwinding {0.3 * 0.9**0.5!r}\n",
    ),
    "aerial on the same tap": (
        Tap(0.5, 0.8),
        DetectorTap(0.5, 0.8),
        DETECTOR_AT_HALF + "Vlink a d DC 0\n",
    ),
    "aerial on a lower tap": (
        Tap(0.25),
        DetectorTap(0.5),
        "Llow a l1 11.25u\nRlow l1 0 1.5\nLmid d m1 11.25u\nRmid m1 a 1.5\nLup top u1 45u\nRup u1 d 3\n"
        "Kone Llow Lmid 1\nKtwo Llow Lup 1\nKthree Lmid Lup 1\n",
    ),
    "aerial on a higher tap": (
        Tap(0.5),
        DetectorTap(0.25),
        "Llow d l1 11.25u\nRlow l1 0 1.5\nLmid a m1 11.25u\nRmid m1 d 1.5\nLup top u1 45u\nRup u1 a 3\n"
        "Kone Llow Lmid 1\nKtwo Llow Lup 1\nKthree Lmid Lup 1\n",
    ),
}


@pytest.mark.parametrize(("link", "tap", "netlist"), ON_TAPS.values(), ids=ON_TAPS.keys())
def test_voltage_across_a_detector_on_a_tap(tmp_path, link, tap, netlist):
    sweep = "Rload d 0 5k\n.ac lin 221 500k 1600k\n.save v(d)"
    answer = simulate(tmp_path, SOURCE + netlist + sweep)
    frequency, expected = answer["frequency"].real, answer["v(d)"]
    found = coupling.voltage_transfer(frequency, AERIAL, link, TANK, 5e3, tap)
    assert np.max(np.abs(found / expected - 1)) < 1e-9


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(aerials | leads, links | pairs, tanks, loads, st.none() | detector_taps)
def test_voltage_of_random_circuits(tmp_path, aerial, link, tank, load, tap):
    # one turn cannot have two inductances
    assume(not (isinstance(link, Tap) and tap is not None and link.fraction == tap.fraction))
    circuit = network(aerial, link, tank, load, tap)
    output = circuit.named(circuit.output)
    answer = simulate(tmp_path, circuit.netlist() + f"\n.ac lin 40 100k 2000k\n.save v({output})")
    frequency, expected = answer["frequency"].real, answer[f"v({output})"]
    found = coupling.voltage_transfer(frequency, aerial, link, tank, load, tap)
    assert np.max(np.abs(found / expected - 1)) < 1e-9


# --- detector: transient analysis ---------------------------------------------------------------------------

CASES = [
    # saturation current, ideality, peak voltage, load
    pytest.param(2e-7, 1.3, 0.05, 47e3, id="germanium, weak"),
    pytest.param(2e-7, 1.3, 1.0, 10e3, id="germanium, strong"),
    pytest.param(2.2e-8, 1.08, 0.2, 200e3, id="Schottky"),
    pytest.param(3e-6, 1.06, 0.02, 10e3, id="zero bias, weak"),
    pytest.param(3e-6, 1.06, 0.3, 2e3, id="zero bias, strong"),
]


@pytest.mark.parametrize(("saturation_current", "ideality", "peak_voltage", "load"), CASES)
def test_rectified_voltage_and_power(tmp_path, saturation_current, ideality, peak_voltage, load):
    period = 1e-6
    by_pass = 60 * period / load
    settled, last = 600 * period, 640 * period
    netlist = f"""\
Vcarrier in 0 SIN(0 {peak_voltage} 1e6 0 0 90)
Ddetector in out model
Rload out 0 {load}
Cload out 0 {by_pass}
.model model D(IS={saturation_current} N={ideality})
.options TEMP=25 TNOM=25 RELTOL=1e-5 ABSTOL=1e-16 VNTOL=1e-10 CHGTOL=1e-18 GMIN=1e-15
.tran {period / 50} {last} {settled} {period / 50} UIC
.save v(in) v(out) i(Vcarrier)"""
    answer = simulate(tmp_path, netlist)
    time = answer["time"]

    def mean(values):
        return np.trapezoid(values, time) / (time[-1] - time[0])

    found = rectify(Diode(saturation_current, ideality, 298.15), peak_voltage, load)
    assert found.dc_voltage == pytest.approx(mean(answer["v(out)"]), rel=0.01)
    power = -mean(answer["v(in)"] * answer["i(vcarrier)"])
    assert peak_voltage**2 / (2 * found.input_resistance) == pytest.approx(power, rel=0.01)
