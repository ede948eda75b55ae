"""Circuits of the aerial side, element by element, for solvers that know nothing of links.

`Network` holds resistors, capacitors, coils and their mutual inductances by their ends. It solves itself by modified
nodal analysis, and writes itself as a netlist for a circuit simulator. `network` draws the circuit of an aerial, a
link, a tank and a load. Circuits to try it on, fixed and random, stand at the end.
"""

from dataclasses import dataclass, field
from itertools import count, pairwise

import numpy as np
import pytest
from hypothesis import strategies as st

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


@dataclass
class Network:
    """Two-terminal elements between numbered nodes, 0 being earth; the source of 1 V stands between node 1 and earth.

    Attributes:
        elements: (kind "R" or "C", one end, other end, value), none zero.
        coils: name: (one end, other end, inductance, series resistance); mutual inductances count from the first ends.
        mutuals: (name, name, inductance).
        output: the node whose voltage is asked for.
        joined: nodes that are another's.
    """

    elements: list = field(default_factory=list)
    coils: dict = field(default_factory=dict)
    mutuals: list = field(default_factory=list)
    output: int = 0
    numbers: count = field(default_factory=lambda: count(2))
    joined: dict = field(default_factory=dict)

    def node(self):
        """A new node."""
        return next(self.numbers)

    def join(self, one, other):
        """A wire."""
        one, other = sorted((self.resolved(one), self.resolved(other)))
        if one != other:
            self.joined[other] = one

    def resolved(self, node):
        """The node that stands for all that are joined to it."""
        while node in self.joined:
            node = self.joined[node]
        return node

    def resistor(self, one, other, value):
        """A resistor; a wire for none."""
        if value:
            self.elements.append(("R", one, other, float(value)))
        else:
            self.join(one, other)

    def capacitor(self, one, other, value):
        """A capacitor, left out if it is none; a direct connection would be infinite."""
        if value:
            self.elements.append(("C", one, other, float(value)))

    def coil(self, name, one, other, inductance, resistance=0.0):
        """A coil with its resistance behind it."""
        self.coils[name] = (one, other, float(inductance), float(resistance))

    def voltage(self, frequency):
        """Complex voltage of the output for 1 V, by modified nodal analysis."""
        omega = 2 * np.pi * frequency
        elements = [(kind, self.resolved(a), self.resolved(b), value) for kind, a, b, value in self.elements]
        coils = {name: (self.resolved(a), self.resolved(b), *values) for name, (a, b, *values) in self.coils.items()}
        output = self.resolved(self.output)
        ends = {0, 1, output, *(n for e in elements for n in e[1:3]), *(n for c in coils.values() for n in c[:2])}
        numbers = {node: i for i, node in enumerate(sorted(ends))}
        nodes = len(numbers) - 1
        size = nodes + len(coils) + 1
        matrix = np.zeros((size + 1, size + 1), dtype=complex)  # row and column 0 are earth and are cut off at the end
        right = np.zeros(size + 1, dtype=complex)
        for kind, one, other, value in elements:
            a, b = numbers[one], numbers[other]
            y = 1 / value if kind == "R" else 1j * omega * value
            matrix[a, a] += y
            matrix[b, b] += y
            matrix[a, b] -= y
            matrix[b, a] -= y
        branch = {name: nodes + 1 + i for i, name in enumerate(coils)}
        for name, (one, other, inductance, resistance) in coils.items():
            a, b, row = numbers[one], numbers[other], branch[name]
            matrix[[a, row], [row, a]] += 1
            matrix[[b, row], [row, b]] -= 1
            matrix[row, row] -= resistance + 1j * omega * inductance
        for one, other, mutual in self.mutuals:
            matrix[branch[one], branch[other]] -= 1j * omega * mutual
            matrix[branch[other], branch[one]] -= 1j * omega * mutual
        matrix[[numbers[1], size], [size, numbers[1]]] += 1
        right[size] = 1
        return np.linalg.solve(matrix[1:, 1:], right[1:])[numbers[output] - 1]

    def netlist(self):
        """The circuit for a simulator of the SPICE family; the output is node `n` and its number."""
        lines = ["Vsource n1 0 DC 0 AC 1"]
        lines += [
            f"{kind}{i} {self.named(a)} {self.named(b)} {value!r}"
            for i, (kind, a, b, value) in enumerate(self.elements)
        ]
        for name, (a, b, inductance, resistance) in self.coils.items():
            lines.append(f"L{name} {self.named(a)} m{name} {inductance!r}")
            lines.append(f"{'R' if resistance else 'V'}{name} m{name} {self.named(b)} {resistance!r}")
        for i, (one, other, mutual) in enumerate(self.mutuals):
            coefficient = mutual / np.sqrt(self.coils[one][2] * self.coils[other][2])
            if coefficient:
                lines.append(f"K{i} L{one} L{other} {min(float(coefficient), 1.0)!r}")
        return "\n".join(lines)

    def named(self, node):
        """What the netlist calls a node."""
        return f"n{node}" if (node := self.resolved(node)) else "0"


# --- coils with taps ------------------------------------------------------------------------------------------------


def parts_of(tap, inductance):
    """Own inductances of the parts below and above a tap, by the two-part rule."""
    f, g, k = tap.fraction, 1 - tap.fraction, tap.coefficient
    if tap.inductance is None:
        unit = inductance / (f**2 + g**2 + 2 * k * f * g)
        return f**2 * unit, g**2 * unit
    own = tap.inductance
    return own, max(np.roots([1.0, 2 * k * np.sqrt(own), own - inductance]).real) ** 2


def matrix_of_taps(taps, inductance):
    """Mutual inductances of the stretches from earth to each of some taps and to the live end (the last)."""
    shares, leakages = [], []
    for tap in taps:
        lower, upper = parts_of(tap, inductance)
        shares.append((lower + tap.coefficient * np.sqrt(lower * upper)) / inductance)
        leakages.append(lower * upper * (1 - tap.coefficient**2) / inductance)
    matrix = inductance * np.outer([*shares, 1.0], [*shares, 1.0])
    for i, leakage in enumerate(leakages):
        matrix[i, i] += leakage
    if len(taps) == 2:
        low, high = sorted(tap.fraction for tap in taps)
        odds = low * (1 - high) / (high * (1 - low)) if low < 1 else 0.0
        matrix[0, 1] += np.sqrt(leakages[0] * leakages[1]) * odds**0.25
        matrix[1, 0] = matrix[0, 1]
    return matrix


def tapped_coil(circuit, name, top, tank, taps):
    """Draw a tank's coil between earth and `top`; give the nodes of its taps and the shares of flux of its parts."""
    order = sorted(range(len(taps)), key=lambda i: taps[i].fraction)
    fractions = [taps[i].fraction for i in order]
    nodes = []
    for fraction, before in zip(fractions, [0.0, *fractions], strict=False):
        nodes.append(top if fraction == 1.0 else (nodes[-1] if nodes and fraction == before else circuit.node()))
    stretches = matrix_of_taps(taps, tank.inductance)[np.ix_([*order, len(taps)], [*order, len(taps)])]
    steps = np.eye(len(taps) + 1) - np.eye(len(taps) + 1, k=-1)
    parts = steps @ stretches @ steps.T
    shares = steps @ stretches[:, -1] / tank.inductance
    drawn, below = [], 0
    for i, (before, after) in enumerate(pairwise([0.0, *fractions, 1.0])):
        if after == before:
            continue
        above = nodes[i] if i < len(nodes) else top
        circuit.coil(f"{name}{i}", above, below, parts[i, i], (after - before) * tank.resistance)
        below = above
        drawn.append(i)
    for i in drawn:
        for j in drawn:
            if i < j:
                circuit.mutuals.append((f"{name}{i}", f"{name}{j}", parts[i, j]))
    places = {tap: nodes[order.index(tap)] for tap in range(len(taps))}
    return places, {f"{name}{i}": shares[i] for i in drawn}


def couple(circuit, winding, inductance, parts, tank, coefficient):
    """Flux of a winding, itself in parts with their shares, through a tank's coil."""
    mutual = coefficient * np.sqrt(inductance * tank.inductance)
    for one, share in winding.items():
        for other, part in parts.items():
            circuit.mutuals.append((one, other, mutual * share * part))


# --- whole circuits -------------------------------------------------------------------------------------------------


def network(aerial, link, tank, load_resistance=np.inf, detector_tap=None):
    """The circuit from the aerial's e.m.f. to the load, whose live end is the output."""
    circuit = Network()
    terminal = draw_aerial(circuit, aerial, 1)
    _, circuit.output, _ = draw_link(circuit, link, terminal, tank, "tank", detector_tap)
    if np.isfinite(load_resistance):
        circuit.resistor(circuit.output, 0, load_resistance)
    return circuit


def draw_aerial(circuit, aerial, start):
    """An aerial, with what is in its lead, from the node `start`; gives the node of its terminal."""
    if not isinstance(aerial, AerialLead):
        after_resistor, after_capacitor, end = (circuit.node() for _ in range(3))
        circuit.resistor(start, after_resistor, aerial.resistance)
        if np.isfinite(aerial.capacitance):
            circuit.capacitor(after_resistor, after_capacitor, aerial.capacitance)
        else:
            circuit.join(after_resistor, after_capacitor)
        circuit.coil(f"aerial{start}", after_capacitor, end, aerial.inductance)
        return end
    here = draw_aerial(circuit, aerial.aerial, start)
    for part in aerial.parts:
        name = f"part{circuit.node()}"
        match part:
            case LeadCapacitor():
                there = circuit.node()
                circuit.capacitor(here, there, part.capacitance)
            case LoadingCoil():
                there = circuit.node()
                circuit.coil(name, here, there, part.inductance, part.resistance)
            case Rejector():
                there = circuit.node()
                circuit.coil(name, here, there, part.inductance, part.resistance)
                circuit.capacitor(here, there, part.capacitance)
            case Acceptor():
                there, middle = here, circuit.node()
                circuit.coil(name, here, middle, part.inductance, part.resistance)
                circuit.capacitor(middle, 0, part.capacitance)
        here = there
    return here


def draw_link(circuit, link, terminal, tank, name, detector_tap=None):
    """A link from an aerial's terminal, and the tank.

    Gives the node of the tank's live end, that of the detector, and the parts of the coil with their shares of flux.
    """
    top = circuit.node()
    circuit.capacitor(top, 0, tank.capacitance)
    taps = [detector_tap] if detector_tap is not None else []
    if isinstance(link, Tap):
        taps.append(link)
    places, parts = tapped_coil(circuit, name, top, tank, taps)
    detector = places[0] if detector_tap is not None else top
    match link:
        case Direct():
            circuit.join(terminal, top)
        case SeriesCapacitor():
            circuit.capacitor(terminal, top, link.capacitance)
        case Tap():
            circuit.join(terminal, places[len(taps) - 1])
        case Inductive():
            after = terminal
            if link.capacitance is not None:
                after = circuit.node()
                circuit.capacitor(terminal, after, link.capacitance)
            winding = f"winding{name}"
            circuit.coil(winding, after, 0, link.inductance, link.resistance)
            couple(circuit, {winding: 1.0}, link.inductance, parts, tank, link.coefficient)
        case CapacitorPair():
            first, _, _ = draw_link(circuit, link.link, terminal, link.primary, f"first{name}")
            circuit.capacitor(first, top, link.capacitance)
        case InductivePair():
            _, _, first_parts = draw_link(circuit, link.link, terminal, link.primary, f"first{name}")
            couple(circuit, first_parts, link.primary.inductance, parts, tank, link.coefficient)
    return top, detector, parts


# --- circuits to try ------------------------------------------------------------------------------------------------


def about(least, most):
    """Numbers spread evenly in their logarithm."""
    return st.floats(np.log(least), np.log(most)).map(np.exp).map(float)


frequencies = about(100e3, 2e6)
aerials = st.builds(SeriesAerial, about(1.0, 200.0), about(1e-6, 60e-6), about(50e-12, 1e-9))
tanks = st.builds(Tank, about(30e-6, 5e-3), about(0.5, 60.0), about(20e-12, 1e-9))
loads = st.just(np.inf) | about(1e3, 1e8)
links = st.one_of(
    st.just(Direct()),
    st.builds(SeriesCapacitor, about(1e-12, 1e-9)),
    st.builds(Tap, st.floats(0.02, 0.98), st.floats(0.0, 1.0)),
    st.builds(Inductive, about(1e-6, 1e-3), about(0.1, 20.0), st.floats(0.001, 1.0), st.none() | about(20e-12, 1e-9)),
)
pairs = st.builds(InductivePair, links, tanks, st.floats(0.001, 0.9)) | st.builds(
    CapacitorPair, links, tanks, about(0.2e-12, 100e-12)
)
triples = st.builds(InductivePair, pairs, tanks, st.floats(0.001, 0.9)) | st.builds(
    CapacitorPair, pairs, tanks, about(0.2e-12, 100e-12)
)
traps = (about(10e-6, 1e-3), about(0.1, 20.0), about(20e-12, 1e-9))
lead_parts = st.one_of(
    st.builds(LeadCapacitor, about(20e-12, 1e-9)),
    st.builds(LoadingCoil, about(1e-6, 1e-3), about(0.1, 20.0)),
    st.builds(Rejector, *traps),
    st.builds(Acceptor, *traps),
)
leads = st.builds(AerialLead, aerials, st.lists(lead_parts, min_size=1, max_size=4).map(tuple))
detector_taps = st.builds(DetectorTap, st.floats(0.02, 0.98) | st.just(1.0), st.floats(0.0, 1.0))

AERIAL = SeriesAerial(resistance=35.0, inductance=20e-6, capacitance=200e-12)
TANK = Tank(inductance=180e-6, resistance=6.0, capacitance=250e-12)
LINKS = {
    "direct": Direct(),
    "series capacitor": SeriesCapacitor(15e-12),
    "tap": Tap(0.2),
    "loose tap": Tap(0.3, 0.6),
    "winding": Inductive(6e-6, 0.4, 0.3),
    "tuned winding": Inductive(150e-6, 4.0, 0.02, 300e-12),
}
each_link = pytest.mark.parametrize("link", LINKS.values(), ids=LINKS.keys())
