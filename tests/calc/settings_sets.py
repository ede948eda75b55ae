"""Sets and districts for the tests of calc.settings: every kind of link, of load and of lead, by number."""

from dataclasses import replace

from hypothesis import strategies as st

from calc.aerials import SeriesAerial
from calc.audio_load import AudioLoad
from calc.coupling import (
    AerialLead,
    CapacitorPair,
    DetectorTap,
    Inductive,
    InductivePair,
    LoadingCoil,
    SeriesCapacitor,
    Tank,
    Tap,
    TunedAerial,
)
from calc.detectors import Diode
from calc.earphones import Earphone
from calc.forms import FORMS
from calc.forms.fields import arguments
from calc.forms.receiver.build import ChosenSet
from calc.receiver import Receiver, Station
from calc.settings.tuned import Dial

AERIAL = SeriesAerial(40.0, 12e-6, 230e-12)
TANK = Tank(190e-6, 5.0, 1e-10)
LINKS = {
    "capacitor": SeriesCapacitor(30e-12),
    "tap": Tap(0.2, 0.5),
    "winding": Inductive(15e-6, 0.6, 0.2),
    "tuned winding": Inductive(60e-6, 1.5, 0.1, 400e-12),
    "tuned aerial": TunedAerial(Inductive(60e-6, 1.5, 0.1)),
    "coils": InductivePair(SeriesCapacitor(20e-12), Tank(190e-6, 4.0, 1e-10), 0.02),
    "circuits": CapacitorPair(Tap(0.2, 0.5), Tank(190e-6, 4.0, 1e-10), 2e-12),
}
"""Links whose coupling can be varied."""

STATIONS = [
    Station("near", 612e3, 12e-3),
    Station("middle", 702e3, 6e-3, 0.5),
    Station("far", 747e3, 2e-3),
    Station("high", 1251e3, 8e-3),
]


def whole_set(link, kind="plain"):
    """A set with a link: plain, on a load with by-pass, with the detector on a tap, or with a coil in its lead."""
    receiver = Receiver(AERIAL, 6.0, link, TANK, Diode(2e-7, 1.3), Earphone(12000.0, 108.0), room_noise=27.0)
    match kind:
        case "load":
            return replace(receiver, load=AudioLoad(2000.0, 12000.0, bypass=1e-9))
        case "detector tap":
            return replace(receiver, detector_tap=DetectorTap(0.5, 0.6))
        case "lead":
            return replace(receiver, aerial=AerialLead(AERIAL, (LoadingCoil(50e-6, 2.0),)))
        case "bulk":
            return replace(receiver, diode=Diode(2e-7, 1.3, 293.15, 60.0, 1e-12))
    return receiver


KINDS = ("plain", "load", "detector tap", "lead", "bulk")


def demo(link):
    """The demo district as its form has it, with a link: chosen set, receiver, dial."""
    values, errors = arguments(FORMS["receiver"].fields, {"link": link})
    assert not errors
    chosen = ChosenSet(values)
    return chosen, chosen.receiver(), Dial(*chosen.capacitor, chosen.strays)


@st.composite
def districts(draw, least=2, most=5):
    """Stations on a raster of 9 kHz, none twice."""
    channels = draw(st.lists(st.integers(59, 160), min_size=least, max_size=most, unique=True))
    return [Station(f"station {n}", 9e3 * n, draw(st.floats(3e-4, 4e-2)), draw(st.floats(0.2, 0.9))) for n in channels]
