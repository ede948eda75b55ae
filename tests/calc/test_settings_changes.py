"""Single changes ranked, against listening to the set before and after."""

from dataclasses import replace

import numpy as np
import pytest

from calc.coupling import SeriesCapacitor
from calc.receiver import listen
from calc.settings.changes import Change, gains, judged_as_tuned
from calc.settings.tuned import Dial
from calc.units import InputError
from tests.calc.settings_sets import KINDS, LINKS, STATIONS, whole_set


def by_ear(receiver, stations):
    """Margin and separation of every station, the set tuned to each."""
    heard = [listen(receiver, stations, one.frequency)[place] for place, one in enumerate(stations)]
    return np.array([one.margin for one in heard]), np.array([one.separation for one in heard])


def changes_of(receiver):
    better = replace(receiver.tank, resistance=2.5)
    stronger = [replace(one, field_strength=1.5 * one.field_strength) for one in STATIONS]
    return [
        Change("a better coil", "an afternoon", replace(receiver, tank=better)),
        Change("a higher mast", "a day", replace(receiver, effective_height=9.0)),
        Change("a quieter room", "none", replace(receiver, room_noise=20.0)),
        Change("a capacitor for a link", "a minute", replace(receiver, link=SeriesCapacitor(60e-12))),
        Change("stations nearer", "a removal", receiver, stations=stronger),
    ]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("link", ["winding", "coils"])
def test_gains_are_those_of_listening(link, kind):
    receiver = whole_set(LINKS[link], kind)
    margin, separation = by_ear(receiver, STATIONS)
    found = gains(receiver, STATIONS, changes_of(receiver))
    for gain in found:
        after, apart = by_ear(gain.change.receiver, gain.change.stations or STATIONS)
        assert gain.loudness == pytest.approx(after.min() - margin.min(), abs=1e-7)
        assert gain.separation == pytest.approx(apart.min() - separation.min(), abs=1e-7)
        assert gain.loudness_of == pytest.approx(after - margin, abs=1e-7)
        assert gain.separation_of == pytest.approx(apart - separation, abs=1e-7)
        assert gain.reaches_all
    order = [gain.loudness for gain in found]
    assert order == sorted(order, reverse=True)
    gained = {gain.change.name: gain for gain in found}
    assert gained["a quieter room"].loudness == pytest.approx(7.0, abs=1e-9)
    assert gained["a quieter room"].separation == pytest.approx(0.0, abs=1e-9)
    assert gained["a better coil"].separation > 0.0
    assert gained["a capacitor for a link"].separation < 0.0


def test_more_of_everything_is_never_quieter():
    receiver = whole_set(LINKS["tap"])
    gained = {gain.change.name: gain for gain in gains(receiver, STATIONS, changes_of(receiver))}
    assert np.all(gained["a higher mast"].loudness_of > 0.0)
    assert gained["a higher mast"].loudness_of == pytest.approx(gained["stations nearer"].loudness_of, abs=1e-9)


def test_nothing_changed_nothing_gained():
    receiver = whole_set(LINKS["capacitor"])
    (gain,) = gains(receiver, STATIONS, [Change("nothing", "none", receiver)], wanted=[1, 3])
    assert (gain.loudness, gain.separation) == (0.0, 0.0)
    assert gain.loudness_of.tolist() == [0.0, 0.0]


def test_a_change_that_loses_a_station_comes_last():
    receiver = whole_set(LINKS["capacitor"])
    dial = Dial(1e-11, 4e-10)
    changes = [
        Change("a smaller capacitor", "none", replace(receiver, room_noise=0.0), dial=Dial(1e-11, 2e-10)),
        Change("a louder room", "none", replace(receiver, room_noise=40.0)),
    ]
    louder, smaller = gains(receiver, STATIONS, changes, dial=dial)
    assert louder.change.name == "a louder room"
    assert louder.loudness == pytest.approx(-13.0, abs=1e-9)
    assert not smaller.reaches_all
    assert np.isnan(smaller.loudness_of[0])
    assert smaller.loudness > 0.0


def test_a_station_alone_has_no_separation_to_gain():
    receiver = whole_set(LINKS["capacitor"])
    (gain,) = gains(receiver, STATIONS[:1], [Change("nothing", "none", receiver)])
    assert gain.separation is None
    assert np.isnan(gain.separation_of).all()


def test_rows_of_values_go_with_their_stations():
    receiver = whole_set(LINKS["winding"])
    each = np.array([[3.0], [4.0], [5.0], [9.0]])
    rows = replace(receiver, tank=replace(receiver.tank, resistance=each))
    found = judged_as_tuned(rows, STATIONS, [3, 0])
    for column, place in enumerate((3, 0)):
        own = replace(receiver, tank=replace(receiver.tank, resistance=float(each[place, 0])))
        heard = listen(own, STATIONS, STATIONS[place].frequency)[place]
        assert found.level[column] == pytest.approx(heard.sound_level, abs=1e-8)


def test_refusals():
    receiver = whole_set(LINKS["winding"])
    with pytest.raises(InputError, match="as many stations"):
        gains(receiver, STATIONS, [Change("one less", "none", receiver, stations=STATIONS[:2])])
    with pytest.raises(InputError, match="more than the least"):
        Dial(2e-10, 1e-10)
