"""Channel plans against the published ones, and what common practice says of coils and capacitors for their bands."""

import csv
from pathlib import Path

import numpy as np
import pytest

from calc import bands, coils
from calc.forms.parts import CAPACITORS
from calc.forms.receiver.catalogue import COILS
from tests.published.checks import agree

HERE = Path(__file__).parent
MEDIUM_WAVE = (500e3, 1600e3)
"""Common practice: the medium-wave band, in round figures, centre about 1 MHz [Hz]."""
USUAL_CAPACITOR = (15e-12, 365e-12)
"""Common practice: one gang of an ordinary air-spaced capacitor [F]."""
STRAYS = 20e-12
"""Common practice: wiring, coil and detector [F]."""
USUAL_WINDINGS = [(75e-3, 0.5e-3), (75e-3, 0.7e-3), (75e-3, 0.8e-3), (65e-3, 0.54e-3)]
"""Common practice: card tubes of two and a half or three inches, and the pitch of usual wires [m]."""


def rows(name):
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("channels.csv"), ids=lambda row: row["key"])
def test_channels(row):
    plan = bands.channel_plans()[row["key"]]
    channels = plan.channels()
    agree("number of channels", channels.size, int(row["count"]))
    agree(
        "first and last channel",
        [channels[0], channels[-1]],
        [1e3 * float(row["first"]), 1e3 * float(row["last"])],
        unit="Hz",
    )
    assert np.all(np.diff(channels) == 1e3 * float(row["step"]))
    agree(
        "edges of the band",
        [plan.low, plan.high],
        [1e3 * float(row["band_low"]), 1e3 * float(row["band_high"])],
        unit="Hz",
    )
    assert plan.low <= channels[0] < channels[-1] <= plan.high


def test_nine_kilohertz_channels_are_multiples_of_nine():
    for key in ("long-wave", "medium-wave-9"):
        assert np.all(bands.channel_plans()[key].channels() % 9000 == 0)


def test_no_plan_is_untested():
    assert set(bands.channel_plans()) == {row["key"] for row in rows("channels.csv")}


# --- common practice ----------------------------------------------------------------------------------------------


def test_medium_wave_is_about_500_to_1600_kilohertz_with_its_centre_about_a_megahertz():
    for key in ("medium-wave-9", "medium-wave-10"):
        plan = bands.channel_plans()[key]
        agree("lowest frequency", plan.low, MEDIUM_WAVE[0], rel=0.08, unit="Hz")
        agree("highest frequency", plan.high, MEDIUM_WAVE[1], rel=0.08, unit="Hz")
        agree("middle of the band", 0.5 * (plan.low + plan.high), 1.1e6, rel=0.1, unit="Hz")
        agree("geometric middle of the band", np.sqrt(plan.low * plan.high), 0.95e6, rel=0.1, unit="Hz")


@pytest.mark.parametrize(("former", "pitch"), USUAL_WINDINGS)
def test_about_sixty_turns_lay_medium_wave_on_one_ordinary_capacitor(former, pitch):
    """Within fifteen. The lore is a three-inch tube's: spaced to 0.8 mm on one of 65 mm it takes 77."""
    wanted = bands.inductance_for_band(*MEDIUM_WAVE, *USUAL_CAPACITOR, STRAYS)
    assert 45 <= coils.turns_for_inductance(wanted, former, pitch=pitch) <= 75
    agree("turns on a tube of 65 mm", coils.turns_for_inductance(wanted, 65e-3, pitch=0.8e-3), 77.3, abs=0.1)


MIDDLE = np.sqrt(np.prod(np.array(USUAL_CAPACITOR) + STRAYS))
MEDIUM, LONG = (bands.inductance_for(frequency, MIDDLE) for frequency in (1e6, 200e3))
FINE_PITCH = 0.28e-3
"""Close-wound 0.25 mm wire, usual for long-wave coils on a tube (common practice) [m]."""


def test_inductance_goes_as_frequency_squared():
    assert pytest.approx(25.0, rel=1e-12) == LONG / MEDIUM


@pytest.mark.parametrize(("former", "pitch"), USUAL_WINDINGS)
def test_a_coil_for_200_kilohertz_has_five_times_the_turns_in_the_same_space(former, pitch):
    """Turns go as the root of 25 where diameter and length of the winding stay the same."""
    turns = coils.turns_for_inductance(MEDIUM, former, pitch=pitch)
    in_the_same_space = coils.turns_for_inductance(LONG, former, length=pitch * turns)
    agree("ratio of turns for a fifth of the frequency", in_the_same_space / turns, 5.0, rel=1e-9)


def test_in_the_finer_wire_that_is_usual_for_it_a_little_more():
    """Five times the turns in 0.28 mm instead of 0.8 mm make a winding nearly twice as long, and longer coils make less
    of their turns: six and a half times the turns. The lore's five is good to a third."""
    turns = coils.turns_for_inductance(MEDIUM, 75e-3, pitch=0.8e-3)
    assert 4.0 <= coils.turns_for_inductance(LONG, 75e-3, pitch=FINE_PITCH) / turns <= 7.0


@pytest.mark.parametrize(("former", "pitch"), USUAL_WINDINGS)
def test_in_the_same_wire_the_lore_fails(former, pitch):
    """In a long coil inductance grows little faster than turns: five times the turns are far from enough."""
    turns = coils.turns_for_inductance(MEDIUM, former, pitch=pitch)
    five_times = coils.solenoid_inductance(5 * turns, former, 5 * turns * pitch)
    assert five_times < 0.5 * LONG
    assert coils.turns_for_inductance(LONG, former, pitch=pitch) > 10.0 * turns


def test_the_coils_of_the_list_tune_their_bands_on_the_same_capacitor():
    least, most = CAPACITORS["365p"].least, CAPACITORS["365p"].most
    ranges = {}
    for key, part in COILS.items():
        inductance = coils.solenoid_inductance(part.turns, part.former + part.wire, part.turns * part.pitch, part.wire)
        ranges[key] = bands.coverage(inductance, least, most, STRAYS)
    assert ranges["long"][0] < 148.5e3
    assert ranges["long"][1] > 283.5e3
    for key in ("card75", "card75close", "bottle"):
        assert ranges[key][0] < 540e3
        assert ranges[key][1] > 1.5e6
    assert 4.0 <= COILS["long"].turns / COILS["card75"].turns <= 6.0
    agree("a sixth of the turns", COILS["card75"].turns / 6.0, 10.5, abs=0.5)
