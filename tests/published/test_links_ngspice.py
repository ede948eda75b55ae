"""Links and detector against ngspice: the circuits as netlists, solved by a general circuit simulator."""

import shutil
import subprocess

import numpy as np
import pytest

from calc import coupling
from calc.aerials import SeriesAerial
from calc.coupling import Direct, Inductive, SeriesCapacitor, Tank, Tap
from calc.detectors import Diode, rectify


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
