"""The audio of a modulated carrier against a transient simulation: calc lets it follow the envelope without delay."""

import shutil
import subprocess

import numpy as np
import pytest

from calc.detectors import Diode
from calc.earphones import Earphone
from calc.receiver import detect

CARRIER, TONE, DEPTH = 2e6, 1e3, 0.3
LOAD = 12e3


def simulated(folder, open_peak, source, saturation_current, ideality):
    """Output [V] over a period of the tone, by ngspice: modulated carrier, resistance, tuned circuit, diode, load.

    The tuned circuit holds the voltage at the diode to a sine, as a set's does. With a Q of 20 its half bandwidth is
    fifty times the tone's frequency. The by-pass and the load have 8 us together: 16 periods of the carrier, a
    twentieth of the tone's radian.
    """
    program = shutil.which("ngspice")
    assert program, "ngspice is not installed; install it with: apt-get install ngspice"
    reactance = source / 20.0
    settled, step = 0.15e-3, 1.0 / CARRIER / 80
    netlist = f"""modulated carrier
Bcarrier e 0 V={open_peak}*(1+{DEPTH}*cos({2 * np.pi * TONE}*time))*cos({2 * np.pi * CARRIER}*time)
Rsource e in {source}
Ltank in 0 {reactance / (2 * np.pi * CARRIER)}
Ctank in 0 {1 / (2 * np.pi * CARRIER * reactance)}
Ddetector in out model
Rload out 0 {LOAD}
Cload out 0 {8e-6 / LOAD}
.model model D(IS={saturation_current} N={ideality})
.options TEMP=25 TNOM=25 RELTOL=1e-4 ABSTOL=1e-14 VNTOL=1e-8 GMIN=1e-15
.tran {step} {settled + 1.0 / TONE} {settled} {step} UIC
.save v(out)
.end
"""
    (folder / "circuit.cir").write_text(netlist, encoding="ascii")
    run = subprocess.run(
        [program, "-b", "-r", "circuit.raw", "circuit.cir"], cwd=folder, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
    data = (folder / "circuit.raw").read_bytes().split(b"Binary:\n", 1)[1]
    time, voltage = np.frombuffer(data, dtype=np.float64).reshape(-1, 2).T
    return time, voltage


@pytest.mark.parametrize(
    ("open_peak", "source", "saturation_current", "ideality"),
    [
        pytest.param(0.03, 5e3, 2e-7, 1.3, id="germanium, weak"),
        pytest.param(1.0, 3e3, 2e-7, 1.3, id="germanium, strong"),
        pytest.param(0.15, 4e3, 3e-6, 1.06, id="zero bias, between"),
    ],
)
def test_the_audio_of_a_modulated_carrier(tmp_path, open_peak, source, saturation_current, ideality):
    time, voltage = simulated(tmp_path, open_peak, source, saturation_current, ideality)
    span = time[-1] - time[0]
    assert span == pytest.approx(1.0 / TONE, rel=1e-3)
    audio = 2.0 / span * abs(np.trapezoid(voltage * np.exp(-2j * np.pi * TONE * time), time))
    found = detect(
        Diode(saturation_current, ideality, 298.15),
        Earphone(LOAD, 108.0),
        np.array([open_peak / np.sqrt(2.0)]),
        np.array([source + 0j]),
        DEPTH,
    )
    assert np.sqrt(2.0 * LOAD * found.audio_power[0]) == pytest.approx(audio, rel=0.02)
