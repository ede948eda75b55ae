"""The map of couplings against tunings, place by place against `calc.receiver.listen`."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.coupling import Direct
from calc.receiver import listen
from calc.settings.knobs import closeness, coupling_of, with_closeness
from calc.settings.region_map import Region, RegionMap, region_map
from calc.settings.tuned import Dial
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, STATIONS, demo, districts, whole_set


def expected(receiver, stations, coupling, tuned_to, separation):
    """Region, loudest and its margin, second and the separation, by listening."""
    heard = listen(replace(receiver, link=with_closeness(receiver.link, coupling, receiver.tank)), stations, tuned_to)
    order = sorted(range(len(stations)), key=lambda place: -heard[place].sound_level)
    first, second = heard[order[0]], heard[order[1]]
    apart = first.sound_level - second.sound_level
    if first.margin < 0.0:
        region = Region.SILENT
    else:
        region = Region.CLEAR if apart >= separation or second.margin < 0.0 else Region.MIXED
    return region, order[0], first.margin, order[1], apart


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", LINKS)
def test_every_place_is_as_listened_to(link, kind):
    receiver = whole_set(LINKS[link], kind)
    couplings = float(closeness(receiver.link)) * np.geomspace(1.5, 0.1, 4)
    tunings = np.array([600e3, 702e3, 1000e3])
    found = region_map(receiver, STATIONS, coupling_of(receiver.link), couplings, tunings)
    for row, coupling in enumerate(couplings):
        for column, tuned_to in enumerate(tunings):
            region, loudest, margin, second, apart = expected(receiver, STATIONS, coupling, tuned_to, 20.0)
            assert found.region[row, column] == region
            assert (found.loudest[row, column], found.second[row, column]) == (loudest, second)
            assert found.margin[row, column] == pytest.approx(margin, abs=1e-8)
            assert found.separation[row, column] == pytest.approx(apart, abs=1e-8)


@settings(max_examples=25, deadline=None)
@given(
    districts(most=7),
    st.sampled_from(sorted(LINKS)),
    st.sampled_from(KINDS),
    st.floats(-2.5, 0.4),
    st.floats(530e3, 1.2e6),
)
def test_neither_of_the_two_loudest_is_missed(stations, link, kind, looser, tuned_to):
    receiver = whole_set(LINKS[link], kind)
    coupling = float(closeness(receiver.link)) * np.exp(looser)
    found = region_map(receiver, stations, coupling_of(receiver.link), [coupling], [tuned_to])
    if found.region[0, 0] != Region.OFF_THE_DIAL:
        *_, margin, _, apart = expected(receiver, stations, coupling, tuned_to, 20.0)
        assert found.margin[0, 0] == pytest.approx(margin, abs=1e-8)
        assert found.separation[0, 0] == pytest.approx(apart, abs=1e-8)


def test_the_demo_district_has_room_for_each_station_and_mixtures_when_close():
    chosen, receiver, dial = demo("winding")
    receiver = replace(receiver, tank=replace(receiver.tank, resistance=3.8))
    couplings, tunings = np.geomspace(0.9, 0.01, 16), np.linspace(550e3, 900e3, 60)
    adjustment = coupling_of(receiver.link)
    found = region_map(receiver, chosen.stations, adjustment, couplings, tunings, dial)
    assert found.region.shape == (16, 60)
    clear = found.region == Region.CLEAR
    for place, station in enumerate(chosen.stations):
        own = clear & (found.loudest == place)
        assert own.any()
        nearest = tunings[np.nonzero(own)[1]]
        assert np.abs(nearest - station.frequency).min() < 10e3
    assert np.all(found.region[-1] != Region.MIXED), "the loosest leaves nothing to mix"
    assert np.any(found.region[0] == Region.MIXED)
    parts = [region_map(receiver, chosen.stations, adjustment, part, tunings, dial) for part in np.split(couplings, 4)]
    for whole, joined in zip(found, RegionMap.joined(parts), strict=True):
        assert whole == pytest.approx(joined, abs=1e-9)


def test_off_the_dial_and_alone():
    receiver = whole_set(LINKS["capacitor"])
    adjustment = coupling_of(receiver.link)
    found = region_map(receiver, STATIONS[:1], adjustment, [3e-11], [5e5, 612e3], Dial(1e-12, 3.3e-10))
    assert found.region[0].tolist() == [Region.OFF_THE_DIAL, Region.CLEAR]
    assert found.second[0, 1] == -1
    assert found.separation[0, 1] == np.inf
    with pytest.raises(InputError, match="a coupling to vary"):
        region_map(receiver, STATIONS, coupling_of(Direct()), [0.1], [6e5])
    with pytest.raises(InputError, match="one map"):
        RegionMap.joined([])
