"""What an aerial does to a tank, against a node-and-branch solution of the circuit written out here."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.aerial_loading import Dial, SampledAerial, first_resonance, loading, loadings
from calc.aerials import DummyAerial, SeriesAerial, WireAerial
from calc.coupling import Direct, Inductive, SeriesCapacitor, Tank, Tap, voltage_transfer
from calc.units import InputError

# --- the reference: branch equations of the coils, node equations of all else ---------------------------------------


def terminal_admittance(frequency, aerial, link, inductance, resistance):
    """Admittance at the tank's terminals with the aerial's source shorted, by one linear system [S].

    Unknown: voltages of the tank's top and of the aerial's terminal, and the current of each coil. A current of one
    ampere is driven into the top.
    """
    w = 2.0 * math.pi * frequency
    r_a, l_a, c_a = aerial
    z_aerial = r_a + 1j * w * l_a + 1.0 / (1j * w * c_a)
    kind, *figures = link
    # coils: (upper node, lower node, inductance, resistance); nodes: 0 top, 1 aerial terminal, None earth
    coils, mutual, joined = [], 0.0, None
    if kind == "tap":
        below, k = figures
        whole = inductance / (below**2 + (1.0 - below) ** 2 + 2.0 * k * below * (1.0 - below))
        coils = [
            (1, None, whole * below**2, resistance * below),
            (0, 1, whole * (1.0 - below) ** 2, resistance * (1.0 - below)),
        ]
        mutual = k * whole * below * (1.0 - below)
    elif kind == "winding":
        primary, r_p, k = figures
        coils = [(0, None, inductance, resistance), (1, None, primary, r_p)]
        mutual = k * math.sqrt(primary * inductance)
    else:
        coils = [(0, None, inductance, resistance)]
        joined = 1j * w * figures[0] if figures else None
    n = 2 + len(coils)
    matrix = np.zeros((n, n), dtype=np.complex128)
    if kind == "direct":
        matrix[0, 0] += 1.0 / z_aerial
        matrix[1, 1] = 1.0
    else:
        matrix[1, 1] += 1.0 / z_aerial
    if joined is not None:
        for row, column, sign in ((0, 0, 1), (1, 1, 1), (0, 1, -1), (1, 0, -1)):
            matrix[row, column] += sign * joined
    for index, (up, down, henry, ohm) in enumerate(coils):
        row = 2 + index
        for node, sign in ((up, 1.0), (down, -1.0)):
            if node is not None:
                matrix[node, row] += sign
                matrix[row, node] += sign
        matrix[row, row] -= ohm + 1j * w * henry
        if len(coils) == 2:
            matrix[row, 5 - row] -= 1j * w * mutual
    drive = np.zeros(n, dtype=np.complex128)
    drive[0] = 1.0
    return 1.0 / np.linalg.solve(matrix, drive)[0]


LINKS = {
    "direct": (Direct(), ("direct",)),
    "capacitor": (SeriesCapacitor(33e-12), ("capacitor", 33e-12)),
    "tap": (Tap(0.17, 0.4), ("tap", 0.17, 0.4)),
    "whole coil as tap": (Tap(1.0, 0.4), ("direct",)),
    "winding": (Inductive(14e-6, 1.5, 0.2), ("winding", 14e-6, 1.5, 0.2)),
    "close winding": (Inductive(200e-6, 4.0, 0.7), ("winding", 200e-6, 4.0, 0.7)),
}


@pytest.mark.parametrize("name", LINKS)
@settings(max_examples=40)
@given(
    frequency=st.floats(1.5e5, 2.5e6),
    resistance=st.floats(1.0, 300.0),
    inductance=st.floats(0.0, 60e-6),
    capacitance=st.floats(20e-12, 1e-9),
    coil=st.floats(50e-6, 3e-3),
    loss=st.floats(0.5, 40.0),
)
def test_added_admittance_against_the_branch_equations(
    name, frequency, resistance, inductance, capacitance, coil, loss
):
    link, told = LINKS[name]
    aerial = (resistance, inductance, capacitance)
    found = loading(frequency, SeriesAerial(*aerial), link, Tank(coil, loss, 0.0))
    w = 2.0 * math.pi * frequency
    alone = 1.0 / (loss + 1j * w * coil)
    whole = terminal_admittance(frequency, aerial, told, coil, loss)
    got = found.conductance + 1j * w * found.capacitance
    # the reference takes a difference of two admittances
    assert abs(got - (whole - alone)) <= 1e-11 * (abs(whole) + abs(alone))


def test_straight_on_the_coil_it_is_the_aerial_itself():
    aerial = SeriesAerial(60.0, 15e-6, 134e-12)
    frequency = np.array([2e5, 1e6, 1.6e6])
    found = loading(frequency, aerial, Direct(), Tank(240e-6, 5.0, 0.0))
    admittance = 1.0 / aerial.impedance(frequency)
    np.testing.assert_allclose(found.conductance, admittance.real, rtol=1e-12)
    np.testing.assert_allclose(found.capacitance, admittance.imag / (2.0 * np.pi * frequency), rtol=1e-12)


def test_scalars_in_floats_out():
    found = loading(1e6, SeriesAerial(60.0, 15e-6, 134e-12), Direct(), Tank(240e-6, 5.0, 0.0))
    assert isinstance(found.capacitance, float)
    assert isinstance(found.conductance, float)


@pytest.mark.parametrize("shape", [(), (3,), (2, 3)])
def test_loadings_of_links_are_those_of_each_by_itself(shape):
    frequency = np.geomspace(5e5, 1.6e6, 6)[: math.prod(shape)].reshape(shape)
    aerial, tank, links = SeriesAerial(60.0, 15e-6, 134e-12), DIAL.tank(frequency), [link for link, _ in LINKS.values()]
    together = loadings(frequency, aerial, links, tank)
    alone = [loading(frequency, aerial, link, tank) for link in links]
    np.testing.assert_allclose(together.capacitance, [each.capacitance for each in alone], rtol=1e-12)
    np.testing.assert_allclose(together.conductance, [each.conductance for each in alone], rtol=1e-12)


def test_an_aerial_that_shorts_the_tank_is_refused():
    with pytest.raises(InputError, match="shorts the tank"):
        loading(1e6, SeriesAerial(0.0, 0.0, math.inf), Direct(), Tank(240e-6, 5.0, 0.0))


# --- resonance and sampling ---------------------------------------------------------------------------------------


@given(st.floats(1e-6, 1e-4), st.floats(20e-12, 2e-9))
def test_first_resonance_of_a_series_circuit(inductance, capacitance):
    aerial = SeriesAerial(50.0, inductance, capacitance)
    grid = np.geomspace(1e4, 1e8, 60)
    found = first_resonance(aerial, grid, aerial.impedance(grid).imag)
    assert found == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(inductance * capacitance)), rel=1e-12)


def test_no_resonance_among_those_given():
    grid = np.geomspace(1e4, 1e6, 20)
    for aerial in (SeriesAerial(50.0, 10e-6, 100e-12), SeriesAerial(50.0, 0.0, 1e-9), DummyAerial()):
        assert first_resonance(aerial, grid, aerial.impedance(grid).imag) is None


def test_an_upright_wire_is_in_tune_a_little_below_a_quarter_wave():
    """A dipole 5000 times as long as thick resonates at 0.49 of a wavelength: W. L. Stutzman and G. A. Thiele, Antenna
    Theory and Design, table of resonant lengths (from memory), given there to two digits, so between 0.485 and 0.495.
    The upright wire is its half. nec2c says 0.4850 for this very wire, in the checks against it."""
    aerial = WireAerial(25.0, 0.0, 10e-3, 0.0, "vertical")
    grid = np.linspace(1e6, 4e6, 30)
    found = first_resonance(aerial, grid, np.asarray(aerial.impedance(grid)).imag)
    assert 50.0 * found / 299_792_458.0 == pytest.approx(0.49, abs=0.005)


def test_a_sampled_aerial_keeps_to_the_wire():
    wire = WireAerial(7.0, 15.0, 1.5e-3, 60.0)
    nodes = np.geomspace(30e3, 6e6, 64)
    sampled = SampledAerial(nodes, wire.series(nodes))
    np.testing.assert_allclose(sampled.impedance(nodes), wire.impedance(nodes), rtol=1e-9)
    between = np.sqrt(nodes[1:] * nodes[:-1])
    between = between[between < 2.5e6][:52]
    np.testing.assert_allclose(sampled.impedance(between), wire.impedance(between), rtol=2e-4)
    assert np.shape(sampled.impedance(between.reshape(2, -1))) == (2, between.size // 2)


# --- the dial -----------------------------------------------------------------------------------------------------

DIAL = Dial(240e-6, 200.0, 15e-12, 365e-12, 20e-12)


def test_bare_range_by_thomson_s_formula():
    lossless = Dial(240e-6, 1e9, 15e-12, 365e-12, 20e-12).bare_range()
    assert lossless.lowest == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(240e-6 * 385e-12)), rel=1e-12)
    assert lossless.highest == pytest.approx(1.0 / (2.0 * math.pi * math.sqrt(240e-6 * 35e-12)), rel=1e-12)


def test_bare_range_is_what_is_left_when_the_aerial_is_let_go():
    (nearly,) = DIAL.reaches(SeriesAerial(60.0, 13e-6, 134e-12), [Inductive(14e-6, 0.0, 1e-7)])
    assert nearly[0] == pytest.approx(DIAL.bare_range(), rel=1e-9)


def test_a_plain_capacitor_on_the_coil_is_one_more_stray():
    (found,) = DIAL.reaches(SeriesAerial(1e-9, 0.0, 134e-12), [Direct()])
    expected = Dial(240e-6, 200.0, 15e-12, 365e-12, 154e-12).bare_range()
    assert len(found) == 1
    assert found[0] == pytest.approx(expected, rel=1e-9)


@settings(max_examples=60)
@given(
    link=st.sampled_from([link for link, _ in LINKS.values()]),
    resistance=st.floats(5.0, 200.0),
    inductance=st.floats(0.0, 40e-6),
    capacitance=st.floats(30e-12, 600e-12),
    quality=st.floats(40.0, 400.0),
    least=st.floats(8e-12, 40e-12),
    span=st.floats(1.2, 40.0),
    strays=st.floats(0.0, 60e-12),
)
def test_ends_are_the_capacitor_s_and_all_between_is_on_the_dial(
    link, resistance, inductance, capacitance, quality, least, span, strays
):
    dial = Dial(240e-6, quality, least, least * span, strays)
    aerial = SeriesAerial(resistance, inductance, capacitance)
    (found,) = dial.reaches(aerial, [link])
    for reach in found:
        assert reach.lowest < reach.highest
        ends = np.asarray(dial.own_capacitance(np.array(reach), aerial, link))
        for own in ends:
            assert min(abs(own - dial.least), abs(own - dial.most)) <= 1e-9 * (dial.most + strays + capacitance)
        # a fold of the curve narrower than a step of the search, 1.5 % of frequency, is passed over
        slack = 0.03 * (dial.most + strays + capacitance)
        inside = np.asarray(dial.own_capacitance(np.geomspace(*reach, 31), aerial, link))
        assert np.all((inside >= dial.least - slack) & (inside <= dial.most + slack))


def test_at_the_ends_the_voltage_is_at_its_peak():
    aerial = SeriesAerial(60.0, 13e-6, 134e-12)
    for link, (reach, *_) in zip(
        (Direct(), SeriesCapacitor(33e-12), Tap(0.17, 0.4)),
        DIAL.reaches(aerial, [Direct(), SeriesCapacitor(33e-12), Tap(0.17, 0.4)]),
        strict=True,
    ):
        for frequency, own in zip(reach, (DIAL.most, DIAL.least), strict=True):
            total = (own + DIAL.strays) * np.array([0.999, 1.0, 1.001])
            coil = DIAL.tank(frequency)
            across = np.abs(voltage_transfer(frequency, aerial, link, Tank(coil.inductance, coil.resistance, total)))
            assert across[1] > across[0]
            assert across[1] > across[2]


def test_links_asked_together_answer_as_one_by_one():
    aerial = SeriesAerial(60.0, 20e-6, 240e-12)
    links = [link for link, _ in LINKS.values()]
    together = DIAL.reaches(aerial, links)
    for link, found in zip(links, together, strict=True):
        (alone,) = DIAL.reaches(aerial, [link])
        assert len(alone) == len(found)
        for one, other in zip(alone, found, strict=True):
            assert one == pytest.approx(other, rel=1e-12)


def test_an_aerial_with_its_resonance_on_the_dial_cuts_it_in_two():
    """A large aerial straight on the coil: below its resonance all capacitor, above it a coil."""
    aerial = SeriesAerial(60.0, 30e-6, 240e-12)
    resonance = 1.0 / (2.0 * math.pi * math.sqrt(30e-6 * 240e-12))
    (found,) = DIAL.reaches(aerial, [Direct()])
    assert len(found) == 2
    below, above = sorted(found)
    assert below.highest < resonance < above.lowest
    # between them the capacitor would have to rise with frequency, or be what it cannot be
    between = np.geomspace(below.highest * 1.001, above.lowest * 0.999, 200)
    own = np.asarray(DIAL.own_capacitance(between, aerial, Direct()))
    on_dial = (own >= DIAL.least) & (own <= DIAL.most)
    assert np.all(np.diff(own)[on_dial[1:] & on_dial[:-1]] > 0.0)
    # the stretch that shares more with the bare dial stands first
    shared = [
        math.log(min(r.highest, DIAL.bare_range().highest) / max(r.lowest, DIAL.bare_range().lowest)) for r in found
    ]
    assert shared[0] >= shared[1]


def test_a_dial_narrower_than_the_search_is_found():
    narrow = Dial(240e-6, 200.0, 100e-12, 100.01e-12, 0.0)
    (found,) = narrow.reaches(SeriesAerial(60.0, 10e-6, 100e-12), [SeriesCapacitor(20e-12)])
    assert len(found) == 1
    assert 1.0 < found[0].highest / found[0].lowest < 1.001


def test_an_aerial_that_leaves_nothing():
    (found,) = DIAL.reaches(SeriesAerial(1.0, 0.0, 1e-6), [Direct()])
    assert found == []


@pytest.mark.parametrize(
    ("argument", "value"),
    [("inductance", 0.0), ("quality", -1.0), ("least", math.nan), ("most", 15e-12), ("strays", -1e-12)],
)
def test_values_that_cannot_be_are_named(argument, value):
    values = {"inductance": 240e-6, "quality": 200.0, "least": 15e-12, "most": 365e-12, "strays": 20e-12}
    with pytest.raises(InputError) as refused:
        Dial(**values | {argument: value})
    assert refused.value.argument == argument
