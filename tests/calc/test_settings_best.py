"""The best setting against fine grids, and what is said where there is none."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.coupling import DetectorTap, Direct, Inductive, SeriesCapacitor, Tap
from calc.receiver import Station, listen
from calc.settings.best import best_settings
from calc.settings.changes import judged_as_tuned
from calc.settings.knobs import (
    coupling_of,
    winding_choice,
    with_aerial_capacitor,
    with_detector_tap,
    with_first_link,
)
from calc.settings.levels import Aim
from calc.settings.sweep import trade_off
from calc.settings.tuned import Dial
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, demo, districts, whole_set


def winding(turns):
    """A winding of so many turns, by turns squared."""
    return 0.06e-6 * np.asarray(turns) ** 1.8, 0.04 * np.asarray(turns)


ADJUSTMENTS = {
    **{name: coupling_of(link) for name, link in LINKS.items()},
    "turns": winding_choice(winding, (4, 6, 9, 13, 18, 25, 32)),
    "detector tap": with_detector_tap(coupling_of(LINKS["winding"]), lambda fraction: DetectorTap(fraction, 0.6)),
    "first link": with_first_link(coupling_of(LINKS["coils"]), LINKS["coils"].link),
    "aerial capacitor": with_aerial_capacitor(Inductive(60e-6, 1.5, 0.1), (2e-11, 6e-10)),
}
TWO_KNOBS = ("turns", "aerial capacitor", "detector tap", "first link")


def grid(receiver, stations, adjustment, dial, aim, couplings, further=1):
    """The best of a grid of settings: least margin where all are in the clear, or else minus infinity; and the greatest
    least clearance."""
    best, clearest = -np.inf, -np.inf
    coupling, *others = adjustment.knobs
    for values in product(*(knob.spaced(further) for knob in others)):
        found = trade_off(
            receiver, stations, adjustment, None, coupling.spaced(couplings), dial, *aim[:1], values, *aim[1:]
        )
        clear = found.clearance.min(axis=1)
        clearest = max(clearest, clear.max())
        best = max(best, np.where(clear >= 0.0, found.judged.margin.min(axis=1), -np.inf).max())
    return best, clearest


def is_as_good_as(found, by_grid):
    margin, clearest = by_grid
    if np.isfinite(margin):
        assert found.is_clear
        assert found.least_margin >= margin - 0.1
    elif np.isfinite(clearest):
        assert found.least_clearance >= clearest - 0.1


def is_what_is_heard(found, receiver, stations):
    """The figures of a best setting are those of the set at it."""
    set_ = found.adjustment.apply(receiver, *found.values.values())
    for place, station in enumerate(stations):
        if found.judged.reached[place]:
            heard = listen(set_, stations, station.frequency)[place]
            assert found.judged.margin[place] == pytest.approx(heard.margin, abs=1e-7)
            assert found.judged.separation[place] == pytest.approx(heard.separation, abs=1e-7)
    assert found.least_margin == found.judged.margin.min()


@pytest.mark.parametrize("aim", [Aim(20.0), Aim(30.0, False), Aim(10.0, False)])
@pytest.mark.parametrize("link", ["capacitor", "tap", "winding"])
def test_it_beats_a_fine_grid_on_the_demo_district(link, aim):
    chosen, receiver, dial = demo(link)
    adjustment = coupling_of(receiver.link)
    (found,) = best_settings(receiver, chosen.stations, [adjustment], None, dial, aim.separation, aim.floor_counts)
    assert found.obstacle is None
    margin, clearest = grid(receiver, chosen.stations, adjustment, dial, aim, 400)
    assert margin <= found.least_margin + 0.01
    is_as_good_as(found, (margin, clearest))
    assert found.judged.margin == pytest.approx(
        judged_as_tuned(adjustment.apply(receiver, found.values["coupling"]), chosen.stations).margin, abs=1e-9
    )


def set_of_scalars(receiver, chosen):
    return replace(receiver, tank=replace(receiver.tank, resistance=float(chosen.winding.resistance(660e3))))


@pytest.mark.parametrize("name", TWO_KNOBS)
def test_it_beats_a_fine_grid_of_two_knobs_on_the_demo_district(name):
    chosen, receiver, dial = demo("winding")
    receiver = set_of_scalars(receiver, chosen)
    adjustment = ADJUSTMENTS[name]
    (found,) = best_settings(receiver, chosen.stations, [adjustment], None, dial)
    is_as_good_as(found, grid(receiver, chosen.stations, adjustment, dial, Aim(), 60, 24))
    is_what_is_heard(found, receiver, chosen.stations)


@settings(max_examples=30, deadline=None)
@given(
    districts(least=2, most=4),
    st.sampled_from(sorted(LINKS)),
    st.sampled_from(KINDS),
    st.sampled_from([10.0, 20.0, 30.0]),
)
def test_it_beats_a_fine_grid_in_any_district(stations, link, kind, separation):
    receiver = whole_set(LINKS[link], kind)
    dial = Dial(1e-11, 5e-10, 1.5e-11)
    adjustment = ADJUSTMENTS[link]
    (found,) = best_settings(receiver, stations, [adjustment], None, dial, separation, False)
    is_as_good_as(found, grid(receiver, stations, adjustment, dial, Aim(separation, False), 300))
    is_what_is_heard(found, receiver, stations)
    assert (found.obstacle is None) == (found.is_clear and found.least_margin >= 0.0)


@settings(max_examples=8, deadline=None)
@given(districts(least=2, most=3), st.sampled_from(TWO_KNOBS), st.sampled_from([15.0, 25.0]))
def test_it_beats_a_fine_grid_of_two_knobs_in_any_district(stations, name, separation):
    receiver = whole_set(LINKS["winding"])
    dial = Dial(1e-11, 5e-10, 1.5e-11)
    (found,) = best_settings(receiver, stations, [ADJUSTMENTS[name]], None, dial, separation)
    is_as_good_as(found, grid(receiver, stations, ADJUSTMENTS[name], dial, Aim(separation), 50, 16))
    is_what_is_heard(found, receiver, stations)


def test_a_tap_at_whole_turns_is_the_best_of_all_turns():
    chosen, receiver, dial = demo("direct")
    receiver = set_of_scalars(receiver, chosen)
    turns = np.arange(1, 67) / 66.0
    adjustment = coupling_of(Tap(0.2, 0.4), steps=turns)
    (found,) = best_settings(receiver, chosen.stations, [adjustment], None, dial)
    assert found.values["coupling"] in turns
    by_turn = trade_off(receiver, chosen.stations, adjustment, dial=dial)
    assert by_turn.couplings == pytest.approx(turns[::-1])
    clear = by_turn.clearance.min(axis=1) >= 0.0
    assert found.least_margin == pytest.approx(by_turn.judged.margin.min(axis=1)[clear].max(), abs=1e-9)
    assert by_turn.all_clear_from.coupling == found.values["coupling"]


def test_both_dials_of_two_circuits_count():
    receiver = whole_set(LINKS["coils"])
    stations = [Station("alone", 747e3, 2e-3)]
    (open_,) = best_settings(receiver, stations, [ADJUSTMENTS["coils"]], None, Dial(1e-11, 5e-10))
    (short,) = best_settings(
        receiver, stations, [ADJUSTMENTS["coils"]], None, Dial(1e-11, 5e-10, first=Dial(1e-11, 5e-11))
    )
    assert open_.is_clear
    assert not short.judged.reached.any()
    assert short.obstacle.kind == "below the dial", "the first circuit's capacitor has too little"
    (fixed,) = best_settings(
        receiver, stations, [ADJUSTMENTS["coils"]], None, Dial(1e-11, 5e-10, first=Dial(4e-10, 5e-10))
    )
    assert fixed.obstacle.kind == "above the dial", "even at its least it has too much"


def test_the_best_link_comes_first():
    chosen, receiver, dial = demo("direct")
    links = [Direct(), SeriesCapacitor(3e-11), Tap(0.2, 0.4), demo("winding")[1].link]
    found = best_settings(receiver, chosen.stations, [coupling_of(link) for link in links], None, dial)
    margins = [one.least_margin for one in found[:3]]
    assert margins == sorted(margins, reverse=True)
    assert all(one.obstacle is None for one in found[:3])
    last = found[-1]
    assert last.adjustment.name == "Direct"
    assert last.values == {}
    assert last.obstacle.kind == "too near"
    names = {chosen.stations[place].name for place in (last.obstacle.station, last.obstacle.rival)}
    assert names == {"Aldermoss", "Brackwater"}
    assert last.obstacle.spacing == 54e3


def test_neighbours_on_the_raster_cannot_be_separated():
    stations = [Station("near", 999e3, 2e-2), Station("next", 1008e3, 2e-2), Station("far", 1395e3, 1e-2)]
    receiver = whole_set(LINKS["winding"])
    (found,) = best_settings(receiver, stations, [ADJUSTMENTS["winding"]], floor_counts=False)
    obstacle = found.obstacle
    assert obstacle.kind == "too near"
    assert {obstacle.station, obstacle.rival} == {0, 1}
    assert obstacle.spacing == pytest.approx(9e3)
    assert obstacle.at_loosest, "looser is sharper to the end"
    assert obstacle.separation == pytest.approx(found.judged.separation.min())
    assert 0.0 < obstacle.separation < 20.0
    frequency = stations[obstacle.station].frequency
    assert obstacle.quality == pytest.approx(2.0 * np.pi * frequency * 190e-6 / 5.0)


def test_below_the_floor_before_it_is_separated():
    stations = [Station("near", 612e3, 1e-3), Station("next", 702e3, 6e-4)]
    receiver = replace(whole_set(LINKS["winding"]), room_noise=50.0)
    (found,) = best_settings(receiver, stations, [ADJUSTMENTS["winding"]])
    assert found.is_clear
    assert found.obstacle.kind == "too faint"
    assert found.obstacle.station == 1
    assert found.obstacle.margin == found.least_margin < 0.0


@pytest.mark.parametrize(
    ("dial", "kind", "station"),
    [(Dial(3e-10, 6e-10), "above the dial", 1), (Dial(1e-11, 2e-10), "below the dial", 0)],
)
def test_off_the_dial(dial, kind, station):
    stations = [Station("low", 612e3, 5e-3), Station("high", 1251e3, 5e-3)]
    (found,) = best_settings(whole_set(LINKS["winding"]), stations, [ADJUSTMENTS["winding"]], None, dial)
    assert (found.obstacle.kind, found.obstacle.station) == (kind, station)
    assert found.obstacle.separation is None
    assert not found.is_clear
    (wanted,) = best_settings(whole_set(LINKS["winding"]), stations, [ADJUSTMENTS["winding"]], [1 - station], dial)
    assert wanted.is_clear


def test_a_lone_station_is_only_made_loud():
    receiver = whole_set(LINKS["winding"])
    stations = [Station("alone", 747e3, 2e-3)]
    (found,) = best_settings(receiver, stations, [ADJUSTMENTS["winding"]])
    assert found.least_clearance == np.inf
    is_as_good_as(found, grid(receiver, stations, ADJUSTMENTS["winding"], None, Aim(), 300))


def test_refusals():
    with pytest.raises(InputError, match="one station"):
        best_settings(whole_set(Direct()), [], [])
    wrong = with_first_link(coupling_of(LINKS["tap"]), LINKS["tap"])
    with pytest.raises(InputError, match="two tuned circuits"):
        best_settings(whole_set(LINKS["tap"]), [Station("one", 1e6, 1e-3)], [wrong])
    with pytest.raises(InputError, match="two numbers"):
        winding_choice(winding, [10])
    with pytest.raises(InputError, match="finite"):
        best_settings(whole_set(Direct()), [Station("one", 1e6, 1e-3)], [coupling_of(Direct())], separation=np.nan)
