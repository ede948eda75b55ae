"""Wire aerials against runs of nec2c, a free implementation of the NEC-2 moment code, made here and now."""

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from calc.aerials import BentWire, ParallelWires, WireAerial, sloping_wire

DECKS = Path(__file__).parent / "nec"
PIECE = 0.25

PUBLISHED = {
    "A_invL_20x6": WireAerial(6.0, 20.0, 0.002, earth_resistance=0.0),
    "B_vert_10": WireAerial(10.0, 0.0, 0.002, earth_resistance=0.0, kind="vertical"),
    "D_T_20x10": WireAerial(10.0, 20.0, 0.002, earth_resistance=0.0, kind="T"),
}
OURS = {
    "long inverted L": WireAerial(8.0, 35.0, 0.003, earth_resistance=0.0),
    "low inverted L": WireAerial(3.0, 12.0, 0.001, earth_resistance=0.0),
    "T of thin wire": WireAerial(12.0, 16.0, 0.0015, earth_resistance=0.0, kind="T"),
    "long low wire": BentWire(((0.0, 0.0, 0.01), (0.0, 0.0, 2.0), (60.0, 0.0, 2.0)), 0.002, earth_resistance=0.0),
    "sloping wire": sloping_wire(10.0, 20.0, 0.002, near_height=2.0, earth_resistance=0.0),
    "two wires": ParallelWires(10.0, 20.0, 0.002, number=2, spacing=1.0, earth_resistance=0.0),
}


def run(deck, folder):
    """Feed-point impedances that nec2c prints for a deck, in order."""
    program = shutil.which("nec2c")
    assert program, "nec2c is needed by this test: install the Debian package nec2c (apt-get install nec2c)"
    source, answer = folder / "deck.nec", folder / "deck.out"
    source.write_text(deck, encoding="ascii")
    # Run in its folder: nec2c takes no file name of more than 80 characters.
    command = [program, "-i", source.name, "-o", answer.name]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=60)
    lines = answer.read_text(encoding="ascii").splitlines()
    starts = [n for n, line in enumerate(lines) if "ANTENNA INPUT PARAMETERS" in line]
    found = [next(line.split() for line in lines[n + 1 :] if line.split()[:1] == ["1"]) for n in starts]
    return np.array([complex(float(row[6]), float(row[7])) for row in found])


def deck(aerial, frequencies):
    """The aerial as cards, its lead drawn down to perfectly conducting ground and fed in the lowest piece."""
    cards = ["CM perfect ground", "CE"]
    for tag, (start, end) in enumerate(aerial.wires, 1):
        first = (*start[:2], 0.0) if tag == 1 else start
        pieces = max(3, round(float(np.linalg.norm(np.subtract(end, first))) / PIECE))
        place = " ".join(f"{value:.6g}" for value in (*first, *end, aerial.wire_diameter / 2.0))
        cards.append(f"GW {tag} {pieces} {place}")
    cards += ["GE 1", "GN 1"]
    for hertz in frequencies:
        cards += [f"FR 0 1 0 0 {hertz / 1e6:.8g} 0", "EX 0 1 1 0 1.0 0.0", "XQ 0"]
    return "\n".join([*cards, "EN", ""])


def resonance(aerial):
    """Lowest frequency at which the reactance is zero, by halving [Hz]."""
    low = high = 1e5
    while aerial.impedance(high).imag < 0.0:
        low, high = high, high * 1.2
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if aerial.impedance(middle).imag < 0.0 else (low, middle)
    return low


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_decks(name, tmp_path):
    text = (DECKS / f"{name}_seg025.nec").read_text(encoding="ascii")
    hertz = np.array([float(line.split()[5]) for line in text.splitlines() if line.startswith("FR")]) * 1e6
    theirs, ours = run(text, tmp_path), PUBLISHED[name].impedance(hertz)
    assert len(theirs) == len(hertz) == 7
    assert np.all(np.abs(ours - theirs) <= 0.05 * np.abs(theirs))
    assert ours.real == pytest.approx(theirs.real, rel=0.05)


@pytest.mark.parametrize("name", [*PUBLISHED, *OURS])
def test_below_resonance(name, tmp_path):
    # up to 0.8 of resonance; nearer, the reactance goes through zero and its place is what the next test holds
    aerial = {**PUBLISHED, **OURS}[name]
    hertz = resonance(aerial) * np.array([0.05, 0.2, 0.4, 0.6, 0.8])
    theirs, ours = run(deck(aerial, hertz), tmp_path), aerial.impedance(hertz)
    assert np.all(np.abs(ours - theirs) <= 0.05 * np.abs(theirs))
    assert ours.real == pytest.approx(theirs.real, rel=0.05)


@pytest.mark.parametrize("name", [*PUBLISHED, *OURS])
def test_resonance(name, tmp_path):
    aerial = {**PUBLISHED, **OURS}[name]
    ours = resonance(aerial)
    hertz = ours * np.array([0.96, 0.98, 1.0, 1.02, 1.04])
    theirs = run(deck(aerial, hertz), tmp_path)
    assert float(np.interp(0.0, theirs.imag, hertz)) == pytest.approx(ours, rel=0.02)
    assert aerial.impedance(hertz).real == pytest.approx(theirs.real, rel=0.05)


@pytest.mark.parametrize("name", ["A_invL_20x6", "D_T_20x10", "long inverted L"])
def test_past_resonance(name, tmp_path):
    aerial = {**PUBLISHED, **OURS}[name]
    hertz = resonance(aerial) * np.array([1.3, 1.5])
    theirs, ours = run(deck(aerial, hertz), tmp_path), aerial.impedance(hertz)
    assert np.all(np.abs(ours - theirs) <= 0.05 * np.abs(theirs))
