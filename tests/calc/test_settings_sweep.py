"""The trade-off of loudness and separation against the whole set worked out one setting at a time."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.coupling import Direct, Tap, bandwidth
from calc.receiver import listen
from calc.settings.knobs import closeness, coupling_of, with_closeness
from calc.settings.sweep import bandwidths, trade_off
from calc.settings.tuned import Dial
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, STATIONS, demo, districts, whole_set


def one_by_one(receiver, stations, wanted, coupling):
    """The wanted station's reception with the set tuned to it, and the name of the loudest other."""
    set_ = replace(receiver, link=with_closeness(receiver.link, float(coupling), receiver.tank))
    heard = listen(set_, stations, stations[wanted].frequency)
    others = [one for place, one in enumerate(heard) if place != wanted]
    rival = max(others, key=lambda one: one.sound_level) if others else None
    return heard[wanted], rival.station.name if rival else None


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", LINKS)
def test_every_coupling_is_as_listened_to(link, kind):
    receiver = whole_set(LINKS[link], kind)
    own = float(closeness(receiver.link))
    couplings = own * np.geomspace(1.6, 0.2, 4)
    found = trade_off(receiver, STATIONS, coupling_of(receiver.link), couplings=couplings)
    for row, coupling in enumerate(couplings):
        for wanted in range(len(STATIONS)):
            heard, rival = one_by_one(receiver, STATIONS, wanted, coupling)
            assert found.judged.reached[row, wanted]
            assert found.judged.level[row, wanted] == pytest.approx(heard.sound_level, abs=1e-8)
            assert found.judged.margin[row, wanted] == pytest.approx(heard.margin, abs=1e-8)
            assert found.judged.separation[row, wanted] == pytest.approx(heard.separation, abs=1e-8)
            assert STATIONS[found.judged.rival[row, wanted]].name == rival
            assert found.judged.capacitance[row, wanted] == pytest.approx(heard.capacitance, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(districts(most=7), st.sampled_from(sorted(LINKS)), st.sampled_from(KINDS), st.floats(-2.5, 0.7))
def test_no_rival_is_missed(stations, link, kind, looser):
    receiver = whole_set(LINKS[link], kind)
    coupling = min(float(closeness(receiver.link)) * np.exp(looser), 0.9)
    found = trade_off(receiver, stations, coupling_of(receiver.link), couplings=[coupling])
    for wanted in np.flatnonzero(found.judged.reached[0]):
        heard, _ = one_by_one(receiver, stations, wanted, coupling)
        assert found.judged.separation[0, wanted] == pytest.approx(heard.separation, abs=1e-8)


@pytest.mark.parametrize("link", LINKS)
def test_the_points_looked_for_are_on_their_lines(link):
    receiver = whole_set(LINKS[link])
    found = trade_off(receiver, STATIONS, coupling_of(receiver.link), dial=Dial(5e-12, 5e-10, 2e-11))
    for wanted, point in enumerate(found.clear_from):
        if point is None:
            assert not np.any(found.clearance[:, wanted] >= 0.0)
            continue
        heard, _ = one_by_one(receiver, STATIONS, wanted, point.coupling)
        assert (point.level, point.margin) == pytest.approx((heard.sound_level, heard.margin), abs=1e-8)
        assert point.separation == pytest.approx(heard.separation, abs=1e-8)
        closer = found.couplings > point.coupling * (1.0 + 1e-9)
        assert not np.any(found.clearance[closer, wanted] >= 0.0)
    for wanted, point in enumerate(found.heard_to):
        if point is None:
            assert not np.any((found.judged.margin >= 0.0)[:, wanted] & found.judged.reached[:, wanted])
            continue
        looser = found.couplings < point.coupling * (1.0 - 1e-9)
        margins = np.where(found.judged.reached, found.judged.margin, -np.inf)[looser, wanted]
        assert not np.any(margins >= 0.0)
        if not point.at_end and np.isfinite(margins).any():
            assert point.margin == pytest.approx(0.0, abs=0.05)


def test_the_demo_district_comes_into_the_clear_and_fades():
    chosen, receiver, dial = demo("capacitor")
    found = trade_off(receiver, chosen.stations, coupling_of(receiver.link), dial=dial)
    clear, heard = found.all_clear_from, found.all_heard_to
    assert clear.separation == pytest.approx(20.0, abs=0.05)
    assert heard.margin == pytest.approx(0.0, abs=0.05)
    own = closeness(receiver.link)
    assert heard.coupling < clear.coupling < own, "one of three is not yet in the clear with the usual capacitor"
    assert sum(point.coupling > own for point in found.clear_from) == 2
    assert clear.coupling == min(point.coupling for point in found.clear_from)
    assert heard.coupling == max(point.coupling for point in found.heard_to)
    one = trade_off(receiver, chosen.stations, coupling_of(receiver.link), wanted=[2], dial=dial)
    assert one.judged.level[:, 0] == pytest.approx(found.judged.level[:, 2], abs=1e-9)
    assert one.heard_to[0].coupling == pytest.approx(found.heard_to[2].coupling, rel=1e-9)


def test_a_station_alone_has_no_rival():
    receiver = whole_set(LINKS["winding"])
    found = trade_off(receiver, STATIONS[:1], coupling_of(receiver.link))
    assert np.all(found.judged.rival == -1)
    assert np.all(np.isinf(found.judged.separation))
    assert found.clear_from[0].separation is None
    assert found.clear_from[0].at_end
    assert found.clear_from[0].coupling == found.couplings[0]


def test_off_the_dial_is_not_in_the_clear():
    receiver = whole_set(LINKS["capacitor"])
    found = trade_off(receiver, STATIONS, coupling_of(receiver.link), dial=Dial(1e-9, 2e-9))
    assert not found.judged.reached.any()
    assert found.all_clear_from is None
    assert found.all_heard_to is None
    assert found.clear_from == found.heard_to == (None,) * 4


def test_a_tap_by_its_own_law():
    receiver = whole_set(LINKS["tap"])

    def tap(fraction):
        return Tap(fraction, 0.3 + 0.4 * fraction, 190e-6 * fraction**1.6)

    found = trade_off(receiver, STATIONS, coupling_of(receiver.link, tap=tap), couplings=[0.4, 0.1])
    for row, fraction in enumerate((0.4, 0.1)):
        heard = listen(replace(receiver, link=tap(fraction)), STATIONS, STATIONS[1].frequency)
        assert found.judged.level[row, 1] == pytest.approx(heard[1].sound_level, abs=1e-8)


def test_a_tap_of_known_inductance_keeps_its_law():
    """Given at a fifth of the turns, the inductance at other taps is on the line to the whole coil's."""
    receiver = whole_set(Tap(0.2, 0.5, 190e-6 * 0.2**1.6))
    for fraction in (1.0, 0.5, 0.05):
        link = with_closeness(receiver.link, fraction, receiver.tank)
        assert link.inductance == pytest.approx(190e-6 * fraction**1.6, rel=1e-12)
    found = trade_off(receiver, STATIONS, coupling_of(receiver.link))
    assert np.isfinite(found.judged.level).all()


def test_widths():
    receiver = whole_set(LINKS["winding"])
    found = bandwidths(receiver, coupling_of(receiver.link), [0.4, 0.1], 900e3)
    for width, coupling in zip(found, (0.4, 0.1), strict=True):
        set_ = replace(receiver, link=with_closeness(receiver.link, coupling, receiver.tank))
        assert width == pytest.approx(bandwidth(900e3, set_.aerial, set_.link, set_.tank), rel=1e-9)
    assert found[0] > found[1]


def test_refusals():
    receiver = whole_set(LINKS["tap"])
    with pytest.raises(InputError, match="one station"):
        trade_off(receiver, [], coupling_of(receiver.link))
    with pytest.raises(InputError, match="places of stations"):
        trade_off(receiver, STATIONS, coupling_of(receiver.link), wanted=[4])
    with pytest.raises(InputError, match="a coupling to vary"):
        trade_off(receiver, STATIONS, coupling_of(Direct()))
    with pytest.raises(InputError, match="a direct one has none"):
        with_closeness(Direct(), 0.5, whole_set(Direct()).tank)
    assert closeness(Direct()) is None
