"""Draws of a set's parts, each against listening to the set so drawn, and the bands that come of them."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from calc.coupling import AerialLead, CapacitorPair, InductivePair, Tap
from calc.receiver import listen
from calc.settings.changes import judged_as_tuned
from calc.settings.knobs import closeness, with_closeness
from calc.settings.tolerance import Tolerance, Tolerances, spread_of
from calc.settings.tuned import Dial
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, STATIONS, whole_set

ALL = Tolerances(
    capacitor=Tolerance(0.05),
    strays=Tolerance(0.3),
    inductance=Tolerance(0.03),
    quality=Tolerance(0.15, "normal"),
    aerial_capacitance=Tolerance(0.1),
    aerial_resistance=Tolerance(0.3),
    effective_height=Tolerance(0.1),
    coupling=Tolerance(0.2),
    saturation_current=Tolerance(6.0),
    earphone=Tolerance(8.0),
    field=Tolerance(2.0, "normal"),
)


def drawn(tolerances, receiver, seed=1, draws=200, **others):
    return spread_of(receiver, STATIONS, tolerances, Random(seed), draws=draws, **others)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", LINKS)
def test_without_tolerances_every_draw_is_the_set(link, kind):
    receiver = whole_set(LINKS[link], kind)
    found = drawn(Tolerances(), receiver, draws=3)
    plain = judged_as_tuned(receiver, STATIONS)
    for band, value in (
        (found.level, plain.level),
        (found.margin, plain.margin),
        (found.separation, plain.separation),
        (found.capacitance, plain.capacitance),
        (found.dial_capacitance, plain.capacitance),
    ):
        for part in band:
            assert part == pytest.approx(value, rel=1e-9)
    assert found.reached.tolist() == [1.0] * 4


class Replay:
    """A generator whose numbers are known: every draw at the same part of its range."""

    def __init__(self, part):
        self.part = part

    def uniform(self, low, high):
        return low + self.part * (high - low)

    def gauss(self):
        return 2.0 * self.part - 1.0


@pytest.mark.parametrize("part", [0.0, 0.8])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", LINKS)
def test_a_draw_is_the_set_built_of_those_parts(link, kind, part):
    receiver = whole_set(LINKS[link], kind)
    found = spread_of(receiver, STATIONS, ALL, Replay(part), draws=1, dial=Dial(1e-11, 5e-10, 2e-11)).draws
    way = 2.0 * part - 1.0
    coil, loss = 1.0 + 0.03 * way, (1.0 + 0.03 * way) / (1.0 + 0.15 * way)

    def wound(tank):
        return replace(tank, inductance=tank.inductance * coil, resistance=tank.resistance * loss)

    base, aerial = receiver.aerial, receiver.aerial
    inner = base.aerial if isinstance(base, AerialLead) else base

    class Specimen:
        def impedance(self, frequency):
            z = np.asarray(inner.impedance(frequency))
            return z.real * (1.0 + 0.3 * way) + 1j * z.imag / (1.0 + 0.1 * way)

    aerial = replace(base, aerial=Specimen()) if isinstance(base, AerialLead) else Specimen()
    link_ = receiver.link
    if isinstance(link_, InductivePair | CapacitorPair):
        link_ = replace(link_, primary=wound(link_.primary))
    link_ = with_closeness(link_, closeness(link_) * (1.0 + 0.2 * way), receiver.tank)
    diode = receiver.diode
    own = replace(
        receiver,
        aerial=aerial,
        effective_height=receiver.effective_height * (1.0 + 0.1 * way),
        link=link_,
        tank=wound(receiver.tank),
        diode=replace(diode, saturation_current=diode.saturation_current * 10.0 ** (6.0 * way / 20.0)),
        earphone=replace(receiver.earphone, sensitivity=receiver.earphone.sensitivity + 8.0 * way),
    )
    stations = [replace(one, field_strength=one.field_strength * 10.0 ** (2.0 * way / 20.0)) for one in STATIONS]
    for place, station in enumerate(stations):
        heard = listen(own, stations, station.frequency)[place]
        assert found.level[0, place] == pytest.approx(heard.sound_level, abs=1e-7)
        assert found.separation[0, place] == pytest.approx(heard.separation, abs=1e-7)
        assert found.capacitance[0, place] == pytest.approx(heard.capacitance, rel=1e-9)


def test_the_same_seed_draws_the_same():
    receiver = whole_set(LINKS["winding"])
    one, again, other = (drawn(ALL, receiver, seed, 50).level.middle for seed in (3, 3, 4))
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)


def test_bands_lie_in_order_and_about_the_set_itself():
    receiver = whole_set(LINKS["winding"])
    found = drawn(ALL, receiver, dial=Dial(1e-11, 5e-10, 2e-11))
    plain = judged_as_tuned(receiver, STATIONS)
    for band, value in (
        (found.level, plain.level),
        (found.margin, plain.margin),
        (found.separation, plain.separation),
        (found.capacitance, plain.capacitance),
        (found.dial_capacitance, plain.capacitance - 2e-11),
    ):
        assert np.all(band.low < band.middle)
        assert np.all(band.middle < band.high)
        assert np.all(band.low < value)
        assert np.all(value < band.high)


def test_an_earphone_s_spread_is_all_that_it_says():
    """A uniform spread of 8 dB either way has its tenth at -6.4 dB and its nine tenths at +6.4 dB."""
    receiver = whole_set(LINKS["tap"])
    plain = judged_as_tuned(receiver, STATIONS)
    for tolerances, own in ((Tolerances(earphone=Tolerance(8.0)), 0.0), (Tolerances(), 8.0)):
        set_ = replace(receiver, earphone=replace(receiver.earphone, spread=own))
        found = drawn(tolerances, set_, draws=4000)
        assert found.level.low == pytest.approx(plain.level - 6.4, abs=0.3)
        assert found.level.high == pytest.approx(plain.level + 6.4, abs=0.3)
        assert found.separation.low == pytest.approx(found.separation.high, abs=1e-6)


def test_a_normal_spread_is_all_that_it_says():
    """Faint signals: 1 dB of field is 2 dB of sound; nine tenths of a normal spread lie below 1.2816 sigma."""
    receiver = replace(whole_set(LINKS["tap"]), effective_height=1e-3)
    plain = judged_as_tuned(receiver, STATIONS)
    found = drawn(Tolerances(field=Tolerance(1.0, "normal")), receiver, draws=4000)
    assert found.level.high == pytest.approx(plain.level + 2.0 * 1.2816, abs=0.2)
    assert found.level.low == pytest.approx(plain.level - 2.0 * 1.2816, abs=0.2)


def test_a_larger_capacitor_reads_lower_on_the_scale():
    receiver = whole_set(LINKS["winding"])
    dial = Dial(1e-11, 5e-10, 2e-11)
    found = drawn(Tolerances(capacitor=Tolerance(0.1)), receiver, dial=dial, draws=4000)
    own = judged_as_tuned(receiver, STATIONS).capacitance - 2e-11
    assert found.dial_capacitance.low == pytest.approx(own / 1.08, rel=5e-3)
    assert found.dial_capacitance.high == pytest.approx(own / 0.92, rel=5e-3)
    assert found.capacitance.low == pytest.approx(found.capacitance.high, rel=1e-12)


def test_the_share_of_sets_that_reach_a_station():
    receiver = whole_set(LINKS["winding"])
    own = judged_as_tuned(receiver, STATIONS).capacitance[0]
    dial = Dial(1e-11, own - 2e-11, 2e-11)
    found = drawn(Tolerances(capacitor=Tolerance(0.05)), receiver, dial=dial, draws=1000)
    assert found.reached[0] == pytest.approx(0.5, abs=0.06)
    assert found.reached[1:].tolist() == [1.0] * 3
    nowhere = drawn(Tolerances(), receiver, dial=Dial(2e-9, 3e-9), draws=3)
    assert nowhere.reached.tolist() == [0.0] * 4
    assert np.isfinite(nowhere.level.middle).all(), "what a larger coil's dial would find there"


def test_taps_keep_their_share_of_a_coil_that_is_drawn():
    receiver = whole_set(Tap(0.2, 0.5, 12e-6))
    small = spread_of(receiver, STATIONS, Tolerances(inductance=Tolerance(0.2)), Replay(0.0), draws=1).draws
    own = replace(
        receiver, link=Tap(0.2, 0.5, 0.8 * 12e-6), tank=replace(receiver.tank, inductance=0.8 * 190e-6, resistance=4.0)
    )
    assert small.level[0] == pytest.approx(judged_as_tuned(own, STATIONS).level, abs=1e-9)
    close = whole_set(Tap(0.99, 0.5, 189e-6))
    assert np.isfinite(drawn(Tolerances(coupling=Tolerance(0.5)), close, draws=20).draws.level).all()


def test_only_some_stations_and_a_lone_one():
    receiver = whole_set(LINKS["winding"])
    some = drawn(ALL, receiver, wanted=[2])
    every = drawn(ALL, receiver)
    assert some.level.middle == pytest.approx(every.level.middle[2:3], abs=1e-9)
    lone = spread_of(receiver, STATIONS[:1], ALL, Random(1), draws=20)
    assert lone.separation.low.tolist() == lone.separation.high.tolist() == [np.inf]


def test_refusals():
    receiver = whole_set(LINKS["winding"])
    with pytest.raises(InputError, match="one at least"):
        drawn(ALL, receiver, draws=0)
    with pytest.raises(InputError, match="uniform"):
        Tolerance(0.1, "flat")
    with pytest.raises(InputError, match="negative"):
        Tolerance(-0.1)
