"""Whole sets against a transient simulation: from the aerial's e.m.f., modulated, to the audio in the earphone.

Each set is a circuit for ngspice, with aerial, link, tank, exponential diode with its bulk, by-pass, transformer and
earphone as parts. The carrier is put at 500 kHz, the low end of the medium waves, where a period of the tone takes
fewest periods of the carrier. The netlists and what the simulator made of them are kept in `chain`; a test holds the
netlists to the sets below, and some of the sets are run anew.

calc takes the tank's voltage for a sine and the detector's output for free of the carrier. What that leaves out is the
charge that the diode takes at each crest: where it moves tank and by-pass by more than a few nkT/q, the pulse of
current comes early, and the detector seems to have capacitance. On tune that is nothing. Off tune it shifts the tank a
little, and where a strong station off tune suppresses the wanted one by 40 dB it changes what little is left.
`two_heavy` is such a set, and shows by how much; `two_strong` is the same set with a tenth of the charge.

To make both afresh:  python -m tests.published.test_chain_ngspice
"""

import csv
import math
import shutil
import subprocess
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad, Transformer
from calc.coupling import Direct, Inductive, Link, SeriesCapacitor, Tank, Tap
from calc.detectors import Diode
from calc.earphones import Earphone
from calc.receiver import Heard, Receiver, Source, Together, hear, hear_together, source

CHAIN = Path(__file__).parent / "chain"
CARRIER = 500e3
STEP = 1.0 / CARRIER / 200
"""Of the simulation. With half as many a carrier the suppressed tone is 0.3 dB off; twice as many and ten times the
accuracy asked for move no audio by more than 0.1 dB [s]."""
AERIAL = SeriesAerial(60.0, 40e-6, 200e-12)
COIL, COIL_RESISTANCE = 320e-6, 10.0
GERMANIUM = Diode(2e-7, 1.3, 298.15, 7.0, 0.5e-12)
ZERO_BIAS = Diode(3e-6, 1.06, 298.15, 25.0, 0.18e-12)
SCHOTTKY = Diode(5e-8, 1.08, 298.15, 5.0, 0.18e-12)
DULL = Diode(1e-11, 2.0, 298.15, 100.0, 1e-12)


@dataclass(frozen=True)
class Signal:
    """A station's carrier in the aerial: e.m.f. [V rms], carrier and tone [Hz], depth."""

    emf: float
    carrier: float = CARRIER
    tone: float = 1e3
    depth: float = 0.3


@dataclass(frozen=True)
class Set:
    """A whole set, what it hears, and how near calc is to come to the simulation.

    Attributes:
        within: of the audio, the mean output and the beat [dB].
        harmonics: of the tone's second and third harmonics together; None where they are the work of tank and by-pass
            rather than of the detector [dB].
        first: of the first of two tones, where it is not `within` [dB].
        settling: of the simulation, before what is measured [s].
        magnet: inductance of an earphone that is less to d.c. than to audio [H].
        span: a whole number of periods of all tones and beats [s].
        live: whether the simulation is run anew by the tests.
    """

    link: Link
    diode: Diode
    load: AudioLoad
    signals: tuple[Signal, ...]
    within: float
    harmonics: float | None = None
    first: float | None = None
    settling: float = 4e-3
    magnet: float = 0.0
    span: float = 1e-3
    live: bool = False


HIGH = AudioLoad(12e3, 12e3, bypass=2e-9)
MAGNETIC = AudioLoad(4e3, 12e3, bypass=2e-9)
MATCHED = AudioLoad(100.0, 600.0, transformer=Transformer(8.0, 700.0, 0.85, 30.0), bypass=1e-9)
CURED = AudioLoad(
    100.0,
    600.0,
    transformer=Transformer(10.0, 700.0, 0.85, 30.0),
    bypass=1e-9,
    cure_resistance=68e3,
    cure_capacitance=100e-9,
)
UNCURED = AudioLoad(100.0, 600.0, transformer=Transformer(10.0, 700.0, 0.85, 30.0), bypass=1e-9)
CRYSTAL = AudioLoad(100e3, 100e3, capacitance=1e-9)
BIASED = AudioLoad(12e3, 12e3, bypass=2e-9, bias=0.55)
PIEZO = AudioLoad(68e3, 68e3, bypass=1e-9)
LIGHT = AudioLoad(680e3, 680e3, bypass=100e-12)
DETUNED = CARRIER + 9e3

PAIR = (Signal(0.1), Signal(0.2, DETUNED, 1.5e3))
WINDING, LITTLE = Inductive(30e-6, 0.8, 0.25), SeriesCapacitor(40e-12)
TWO_STRONG = Set(
    WINDING,
    GERMANIUM,
    LIGHT,
    (Signal(0.05), Signal(1.0, DETUNED, 1.5e3)),
    1.0,
    settling=1e-3,
    span=2e-3,
)
TWO_EQUAL = Set(SeriesCapacitor(20e-12), GERMANIUM, PIEZO, PAIR, 1.0, settling=1e-3, span=2e-3)

SETS = {
    "direct_weak": Set(Direct(), GERMANIUM, HIGH, (Signal(3e-3),), 0.5, harmonics=0.5, settling=1e-3, live=True),
    "direct_strong": Set(Direct(), GERMANIUM, MAGNETIC, (Signal(0.5),), 1.0, harmonics=1.5, magnet=10.0),
    "capacitor_weak": Set(LITTLE, ZERO_BIAS, MATCHED, (Signal(10e-3),), 0.5, harmonics=0.5),
    "capacitor_strong": Set(LITTLE, GERMANIUM, CURED, (Signal(0.5, depth=0.7),), 1.0, live=True),
    "tap_weak": Set(Tap(0.3, 0.7), SCHOTTKY, CRYSTAL, (Signal(3e-3),), 0.5),
    "tap_strong": Set(Tap(0.3, 0.7), GERMANIUM, UNCURED, (Signal(0.5, depth=0.7),), 1.0, settling=40e-3),
    "winding_weak": Set(WINDING, ZERO_BIAS, MATCHED, (Signal(10e-3),), 0.5, harmonics=0.5),
    "winding_strong": Set(WINDING, GERMANIUM, HIGH, (Signal(0.3, depth=0.6),), 1.0, settling=1e-3),
    "bias_weak": Set(LITTLE, DULL, BIASED, (Signal(3e-3),), 0.5, harmonics=0.5, settling=1e-3, live=True),
    "two_strong": replace(TWO_STRONG, live=True),
    "two_heavy": replace(TWO_STRONG, load=PIEZO, first=4.5),
    "two_equal": TWO_EQUAL,
    "two_equal_first": replace(TWO_EQUAL, signals=PAIR[:1]),
    "two_equal_second": replace(TWO_EQUAL, signals=PAIR[1:]),
    "two_weak": Set(
        WINDING,
        ZERO_BIAS,
        HIGH,
        (Signal(4e-3), Signal(12e-3, DETUNED, 1.5e3)),
        0.5,
        settling=1e-3,
        span=2e-3,
    ),
}


# --- the circuits -------------------------------------------------------------------------------------------------


def receiver(one: Set, tone: float | None = None) -> Receiver:
    """The set as calc has it, for the first signal's tone or another."""
    return Receiver(
        AERIAL,
        1.0,
        one.link,
        Tank(COIL, COIL_RESISTANCE, 1e-12),
        one.diode,
        Earphone(one.load.impedance, 108.0),
        audio_frequency=tone or one.signals[0].tone,
        load=one.load,
    )


def offered(one: Set, tone: float | None = None) -> Source:
    """What its tank offers of each signal, tuned to 500 kHz."""
    carriers = [signal.carrier for signal in one.signals]
    return source(receiver(one, tone), carriers, [signal.emf for signal in one.signals], CARRIER)


def alone(one: Set, tone: float | None = None) -> Heard:
    """What calc makes of each signal by itself, [1, signals]."""
    return hear(receiver(one, tone), offered(one, tone), [signal.depth for signal in one.signals])


def together(one: Set, tone: float) -> Together:
    """What calc makes of all signals at once, for a tone, [1, signals]."""
    carriers, depths = zip(*((signal.carrier, signal.depth) for signal in one.signals), strict=True)
    return hear_together(receiver(one, tone), offered(one, tone), depths, carriers, CARRIER)


def netlist(one: Set) -> str:
    """The circuit, its tank tuned as calc tunes it; nothing else in it is calc's."""
    total = float(offered(one).capacitance[0])
    lines = ["modulated carriers through a whole set"]
    node = "0"
    for index, signal in enumerate(one.signals):
        half = signal.depth / 2.0
        for part, (size, frequency) in enumerate(
            ((1.0, signal.carrier), (half, signal.carrier + signal.tone), (half, signal.carrier - signal.tone))
        ):
            above = f"e{index}{part}"
            lines.append(
                f"V{above} {above} {node} SIN(0 {math.sqrt(2.0) * signal.emf * size:.10g} {frequency:.10g} 0 0 90)"
            )
            node = above
    lines += [
        f"Raerial {node} a1 {AERIAL.resistance:g}",
        f"Laerial a1 a2 {AERIAL.inductance:g}",
        f"Caerial a2 a {AERIAL.capacitance:g}",
        f"Ctank top 0 {total - float(one.diode.junction_capacitance):.10g}",
        *_link(one.link),
        "Ddetector top out diode",
        f".model diode D(IS={one.diode.saturation_current:g} N={one.diode.ideality:g}"
        f" RS={one.diode.series_resistance:g} CJO={one.diode.junction_capacitance:g} M=0)",
        *_load(one),
        ".options TEMP=25 TNOM=25 RELTOL=1e-4 ABSTOL=1e-13 VNTOL=1e-8 CHGTOL=1e-17 GMIN=1e-15",
        f".tran {STEP:g} {one.settling + 2 * one.span:g} {one.settling:g} {STEP:g} UIC",
        ".save v(out) v(earphone) v(top)",
        ".end",
    ]
    return "\n".join(lines) + "\n"


def _link(link: Link) -> list[str]:
    coil = [f"Lcoil top c1 {COIL:g}", f"Rcoil c1 0 {COIL_RESISTANCE:g}"]
    match link:
        case Direct():
            return [*coil, "Vlink a top DC 0"]
        case SeriesCapacitor(capacitance):
            return [*coil, f"Clink a top {capacitance:g}"]
        case Tap(below, k):
            whole = COIL / (below**2 + (1 - below) ** 2 + 2 * k * below * (1 - below))
            return [
                f"Llow a l1 {whole * below**2:.10g}",
                f"Rlow l1 0 {COIL_RESISTANCE * below:.10g}",
                f"Lup top u1 {whole * (1 - below) ** 2:.10g}",
                f"Rup u1 a {COIL_RESISTANCE * (1 - below):.10g}",
                f"Kparts Llow Lup {k:g}",
            ]
        case Inductive(inductance, resistance, coefficient):
            return [
                *coil,
                f"Lwinding a w1 {inductance:g}",
                f"Rwinding w1 0 {resistance:g}",
                f"Kwinding Lwinding Lcoil {coefficient:g}",
            ]
    raise AssertionError(link)


def _load(one: Set) -> list[str]:
    """From the detector's output to earth. Coils start near the current that they will carry, to save time."""
    load, lines, node = one.load, [], "out"
    start = 1e-9 + float(alone(one).mean_voltage[0, 0] + load.bias) / load.direct_resistance
    if load.bypass:
        lines.append(f"Cbypass out 0 {load.bypass:g}")
    if load.cure_resistance:
        lines += [
            f"Rcure out cured {load.cure_resistance:g}",
            f"Ccure out cured {load.cure_capacitance:g} IC={start * load.cure_resistance:.4g}",
        ]
        node = "cured"
    foot = "0"
    if load.bias:
        lines.append(f"Vcell 0 foot DC {load.bias:g}")
        foot = "foot"
    if load.transformer:
        wire = load.transformer
        lines += [
            f"Rprimary {node} p1 {wire.primary_resistance:g}",
            f"Lprimary p1 {foot} {wire.primary_inductance:g} IC={start:.4g}",
            f"Lsecondary s1 0 {wire.primary_inductance / wire.ratio**2:.10g}",
            "Ktransformer Lprimary Lsecondary 1",
            f"Rloss s1 earphone {load.impedance * (1 / wire.efficiency - 1):.10g}",
            f"Rearphone earphone 0 {load.impedance:g}",
        ]
    elif load.dc_resistance == load.impedance:
        lines += [f"Rtie {node} earphone 1e-3", f"Rearphone earphone {foot} {load.impedance:g}"]
    else:
        lines += [
            f"Rtie {node} earphone 1e-3",
            f"Rwire earphone m1 {load.dc_resistance:g}",
            f"Lmagnet m1 {foot} {one.magnet:g} IC={start:.4g}",
            f"Rmagnet m1 {foot} {load.impedance - load.dc_resistance:g}",
        ]
    if load.capacitance:
        lines.append(f"Celement earphone 0 {load.capacitance:g}")
    return lines


# --- the simulator ------------------------------------------------------------------------------------------------


def simulate(text: str, folder: Path) -> dict[str, np.ndarray]:
    """Time and saved voltages of a netlist, by ngspice."""
    program = shutil.which("ngspice")
    assert program, "ngspice is not installed; install it with: apt-get install ngspice"
    (folder / "circuit.cir").write_text(text, encoding="ascii")
    run = subprocess.run(
        [program, "-b", "-r", "circuit.raw", "circuit.cir"], cwd=folder, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
    head, data = (folder / "circuit.raw").read_bytes().split(b"Binary:\n", 1)
    lines = head.decode("ascii").splitlines()
    names = [line.split()[1] for line in lines[lines.index("Variables:") + 1 :]]
    return dict(zip(names, np.frombuffer(data, dtype=np.float64).reshape(-1, len(names)).T, strict=True))


def measured(one: Set, run: dict[str, np.ndarray]) -> dict[str, float]:
    """Amplitudes [V] over the last span, and how much the first tone changed from the span before it."""
    time = run["time"]
    middle, end = time[0] + one.span, time[0] + 2.0 * one.span

    def amplitude(name: str, frequency: float, start: float = middle, stop: float = end) -> float:
        inside = (time > start) & (time < stop)
        t = np.concatenate([[start], time[inside], [stop]])
        v = np.interp(t, time, run[name])
        return float(2.0 / (stop - start) * abs(np.trapezoid(v * np.exp(-2j * np.pi * frequency * t), t)))

    found = {"dc": amplitude("v(out)", 0.0) / 2.0}
    for index, signal in enumerate(one.signals):
        found[f"carrier {index + 1}"] = amplitude("v(top)", signal.carrier)
        found[f"tone {index + 1}"] = amplitude("v(out)", signal.tone)
        found[f"earphone {index + 1}"] = amplitude("v(earphone)", signal.tone)
    found["second harmonic"] = amplitude("v(out)", 2.0 * one.signals[0].tone)
    found["third harmonic"] = amplitude("v(out)", 3.0 * one.signals[0].tone)
    if len(one.signals) > 1:
        found["beat"] = amplitude("v(out)", abs(one.signals[1].carrier - one.signals[0].carrier))
    before = amplitude("v(out)", one.signals[0].tone, time[0], middle)
    found["unsettled"] = abs(found["tone 1"] / before - 1.0)
    return found


def rerun(key: str, folder: Path) -> dict[str, float]:
    return measured(SETS[key], simulate(netlist(SETS[key]), folder))


def regenerate() -> None:
    """Write netlists and results anew."""
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    name = next(line.strip("* ") for line in version.splitlines() if "ngspice-" in line).split()[0]
    rows = []
    for key, one in SETS.items():
        (CHAIN / f"{key}.cir").write_text(netlist(one), encoding="ascii")
        with tempfile.TemporaryDirectory() as folder:
            found = rerun(key, Path(folder))
        rows += [(key, quantity, f"{value:.6g}") for quantity, value in found.items()]
        print(key, found)
    with (CHAIN / "results.csv").open("w", encoding="utf-8", newline="") as file:
        file.write(
            f"# What {name} makes of the netlists in this folder: amplitudes in volts over the last whole periods.\n"
            "# carrier: across the tank; tone, harmonics, beat, dc: at the detector's output; earphone: across it.\n"
            "# unsettled: relative change of the first tone from one span to the next.\n"
            "# Made by: python -m tests.published.test_chain_ngspice\n"
        )
        csv.writer(file, lineterminator="\n").writerows([("set", "quantity", "value"), *rows])


def kept_results() -> dict[str, dict[str, float]]:
    """The kept results: by set, by quantity."""
    results: dict[str, dict[str, float]] = {}
    with (CHAIN / "results.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            results.setdefault(row["set"], {})[row["quantity"]] = float(row["value"])
    return results


# --- the checks ---------------------------------------------------------------------------------------------------


def decibels(found: float, expected: float) -> float:
    return 20.0 * math.log10(found / expected)


def hold(one: Set, simulated: dict[str, float]) -> None:
    """Everything that calc says of a set against the simulation."""
    for index, signal in enumerate(one.signals):
        within = one.first if one.first and index == 0 else one.within
        heard = together(one, signal.tone)
        across_earphone = math.sqrt(2.0 * one.load.impedance * heard.audio_power[0, index])
        assert abs(decibels(heard.audio_voltage[0, index], simulated[f"tone {index + 1}"])) < within
        assert abs(decibels(across_earphone, simulated[f"earphone {index + 1}"])) < within
    if len(one.signals) > 1:
        assert abs(decibels(heard.beat_voltage.max(), simulated["beat"])) < one.within
        return
    if one.load.bias == 0.0:  # which the detector's own share would hardly change
        assert abs(decibels(heard.alone.mean_voltage[0, 0], simulated["dc"])) < one.within
    if one.harmonics is not None:
        together_ = math.hypot(simulated["second harmonic"], simulated["third harmonic"])
        found = float(heard.alone.distortion[0, 0] * heard.alone.audio_voltage[0, 0])
        assert abs(decibels(found, together_)) < one.harmonics


@pytest.mark.parametrize("key", SETS)
def test_the_kept_netlist_is_that_of_the_set(key):
    assert (CHAIN / f"{key}.cir").read_text(encoding="ascii") == netlist(SETS[key])


def test_nothing_else_is_kept_and_every_simulation_had_settled():
    results = kept_results()
    assert set(results) == set(SETS) == {path.stem for path in CHAIN.glob("*.cir")}
    for key, one in SETS.items():
        assert results[key]["unsettled"] < (0.02 if one.within > 0.5 else 0.001), key


@pytest.mark.parametrize("key", SETS)
def test_what_is_heard_is_what_the_simulator_made_of_it(key):
    hold(SETS[key], kept_results()[key])


def test_what_two_stations_leave_each_other():
    """Each programme's amplitude beside the other station over that of the station alone."""
    results = kept_results()
    for index, name in enumerate(("two_equal_first", "two_equal_second")):
        simulated = results["two_equal"][f"tone {index + 1}"] / results[name]["tone 1"]
        found = together(TWO_EQUAL, TWO_EQUAL.signals[index].tone).kept[0, index]
        assert simulated < 0.8
        assert abs(decibels(found, simulated)) < 1.0


@pytest.mark.parametrize("key", [key for key, one in SETS.items() if one.live])
def test_the_simulator_run_anew(key, tmp_path):
    hold(SETS[key], rerun(key, tmp_path))


if __name__ == "__main__":
    regenerate()
