"""What must hold for any set with a load, from the aerial's e.m.f. to the power in the earphones."""

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad, Transformer
from calc.coupling import Direct, Inductive, SeriesCapacitor, Tank, Tap, bandwidth, tuned_capacitance
from calc.detectors import Diode
from calc.earphones import Earphone
from calc.receiver import Receiver, hear, source


def about(least, most):
    """Numbers spread evenly in their logarithm."""
    return st.floats(np.log(least), np.log(most)).map(np.exp).map(float)


frequencies = st.floats(500e3, 1600e3)
aerials = st.builds(SeriesAerial, about(5.0, 500.0), st.floats(0.0, 60e-6), about(40e-12, 1e-9))
tanks = st.builds(Tank, about(100e-6, 400e-6), about(1.0, 50.0), st.just(1e-12))
links = st.one_of(
    st.just(Direct()),
    st.builds(SeriesCapacitor, about(3e-12, 500e-12)),
    st.builds(Tap, st.floats(0.02, 0.9), st.floats(0.1, 1.0)),
    st.builds(Inductive, about(1e-6, 100e-6), about(0.05, 5.0), st.floats(0.02, 0.6)),
)
diodes = st.builds(Diode, about(1e-9, 1e-5), st.floats(1.0, 2.0), st.just(298.15), st.floats(0.0, 200.0))
transformers = st.one_of(
    st.none(), st.builds(Transformer, about(2.0, 30.0), about(50.0, 2e3), st.floats(0.5, 1.0), about(1.0, 100.0))
)
audio_loads = st.builds(
    AudioLoad,
    about(30.0, 1e6),
    about(30.0, 1e6),
    transformer=transformers,
    bypass=st.one_of(st.just(0.0), about(1e-10, 1e-8)),
    cure_resistance=st.one_of(st.just(0.0), about(1e3, 1e6)),
    cure_capacitance=about(1e-8, 1e-5),
)


def receiver(aerial, link, tank, diode, load):
    return Receiver(aerial, 1.0, link, tank, diode, Earphone(load.impedance, 108.0), load=load)


def heard(set_, frequency, emf, depth=0.3):
    """Of carriers of these e.m.f.s, each alone on the air and tuned in; hypothesis passes over what cannot be tuned."""
    assume(np.all(tuned_capacitance(frequency, set_.aerial, set_.link, set_.tank) > 0.0))
    strengths = np.atleast_1d(emf)
    found = hear(set_, source(set_, np.full(strengths.size, frequency), strengths, frequency), depth)
    return type(found)(*(part[0] for part in found))


@settings(max_examples=30, deadline=None)
@given(aerials, links, tanks, diodes, audio_loads, frequencies)
def test_alone_on_the_air_more_field_is_never_quieter(aerial, link, tank, diode, load, frequency):
    """Up to 0.1 V of e.m.f. Loads that clip take part: what is then heard hardly grows, and stays within 0.02 dB."""
    found = heard(receiver(aerial, link, tank, diode, load), frequency, np.geomspace(1e-6, 0.1, 60))
    assert np.all(np.diff(found.tank_voltage) > 0.0)
    assert np.all(np.diff(found.dc_current) > 0.0)
    assert np.all(np.diff(found.sound_level) > -0.02)


@settings(max_examples=40, deadline=None)
@given(aerials, links, tanks, diodes, audio_loads, frequencies, about(1e-6, 1.0), st.floats(0.01, 1.0))
def test_no_more_power_comes_out_than_the_aerial_has_to_give(aerial, link, tank, diode, load, frequency, emf, depth):
    """Averaged over the modulation the aerial has 1 + m^2/2 times the carrier's power to give."""
    found = heard(receiver(aerial, link, tank, diode, load), frequency, emf, depth)
    available = emf**2 / (4.0 * aerial.resistance) * (1.0 + depth**2 / 2.0)
    assert 0.0 < found.audio_power[0] <= available
    assert found.dc_current[0] ** 2 * load.direct_resistance <= available * (1.0 + 1e-9)


# --- one tuned circuit --------------------------------------------------------------------------------------------


def width(frequency, aerial, link, tank):
    assume(np.all(np.asarray(tuned_capacitance(frequency, aerial, link, tank)) > 0.0))
    return bandwidth(frequency, aerial, link, tank, 1e6)


@settings(max_examples=30, deadline=None)
@given(aerials, tanks, frequencies, about(5e-12, 300e-12))
def test_a_smaller_series_capacitor_never_broadens(aerial, tank, frequency, capacitance):
    """While aerial and capacitor together are capacitive, well above their own resonance, and the aerial's loop is
    duller than the tank: a loop that is sharper than the tank lends it its sharpness."""
    angular = 2.0 * np.pi * frequency
    reach = 1.0 / (angular * aerial.capacitance) + 1.0 / (angular * capacitance)
    assume(angular * aerial.inductance < 0.3 * reach)
    assume(reach / aerial.resistance < angular * tank.inductance / tank.resistance)
    here, looser = (width(frequency, aerial, SeriesCapacitor(c), tank) for c in (capacitance, capacitance / 1.3))
    assert looser <= here * (1.0 + 1e-9)


@settings(max_examples=25, deadline=None)
@given(aerials, tanks, frequencies, about(1e-6, 60e-6), st.floats(0.02, 0.5))
def test_a_looser_winding_never_broadens(aerial, tank, frequency, inductance, coefficient):
    """While the primary's loop is of less than half the tank's Q, see above, and not near its own resonance."""
    angular = 2.0 * np.pi * frequency
    loop = aerial.impedance(frequency) + 0.5 + 1j * angular * inductance
    assume(abs(loop.imag) > 0.3 * angular * (inductance + aerial.inductance))
    turning = angular * (inductance + aerial.inductance) + 1.0 / (angular * aerial.capacitance)
    assume(turning / loop.real < 0.5 * angular * tank.inductance / tank.resistance)
    here, looser = (
        width(frequency, aerial, Inductive(inductance, 0.5, k), tank) for k in (coefficient, coefficient / 1.3)
    )
    assert looser <= here * (1.0 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(aerials, tanks, frequencies, st.floats(1.01, 5.0), about(3e-12, 100e-12))
def test_more_loss_in_the_coil_never_sharpens(aerial, tank, frequency, more, capacitance):
    """While the aerial's loop is duller than the tank even then."""
    angular = 2.0 * np.pi * frequency
    reach = abs(aerial.impedance(frequency).imag) + 1.0 / (angular * capacitance)
    lossy = Tank(tank.inductance, tank.resistance * more, tank.capacitance)
    assume(angular * aerial.inductance < 0.3 * reach)
    assume(reach / aerial.resistance < angular * tank.inductance / lossy.resistance)
    here, worse = (width(frequency, aerial, SeriesCapacitor(capacitance), one) for one in (tank, lossy))
    assert worse >= here * (1.0 - 1e-9)


COUPLINGS = {
    "capacitor": lambda: SeriesCapacitor(np.geomspace(2e-12, 1e-9, 150)[:, None, None]),
    "winding": lambda: Inductive(15e-6, 0.5, np.geomspace(0.003, 0.6, 150)[:, None, None]),
}


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(sorted(COUPLINGS)),
    st.builds(SeriesAerial, about(20.0, 200.0), st.floats(0.0, 30e-6), about(80e-12, 300e-12)),
    st.builds(Tank, about(180e-6, 300e-6), about(2.0, 15.0), st.just(1e-12)),
    about(1e-5, 0.3),
    st.floats(550e3, 1000e3),
)
def test_loudness_over_coupling_has_one_summit_at_the_match(name, aerial, tank, emf, frequency):
    """At the summit the tank has its greatest voltage, within 3 %. There, on a capacitor, the aerial hands to coil and
    detector what it has to give, unless the closest coupling falls short of it.

    Condition: the aerial's loop stays well below its own resonance.
    """
    diode, load = Diode(2e-7, 1.3, 298.15), AudioLoad(12e3, 12e3)
    set_ = receiver(aerial, COUPLINGS[name](), tank, diode, load)
    assume(np.all(tuned_capacitance(frequency, aerial, set_.link, tank) > 0.0))
    angular = 2.0 * np.pi * frequency
    assume(angular * (aerial.inductance + 15e-6) < 0.5 / (angular * aerial.capacitance))
    offered = source(set_, [frequency], [emf], [frequency])
    found = hear(set_, offered, 0.3)
    level, volts = found.sound_level[:, 0, 0], found.tank_voltage[:, 0, 0]
    summit = int(np.argmax(level))
    assert np.all(np.diff(level[: summit + 1]) > -1e-9)
    assert np.all(np.diff(level[summit:]) < 1e-9)
    assert volts[summit] > 0.97 * volts.max()
    taken, available = volts**2 / found.input_resistance[:, 0, 0], emf**2 / (4.0 * aerial.resistance)
    assert np.all(taken <= available * (1.0 + 1e-9))
    if name == "capacitor" and 0 < summit < level.size - 1:
        lost = np.real(1.0 / (tank.resistance + 1j * angular * tank.inductance)) * volts[summit] ** 2
        assert 0.9 * available < taken[summit] + lost <= available * (1.0 + 1e-9)
