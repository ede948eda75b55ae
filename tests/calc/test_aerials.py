"""Behaviour of wire aerials, stand-ins and frames: shape laws, consistency, refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.aerials import (
    BentWire,
    DummyAerial,
    FrameAerial,
    MeasuredAerial,
    ParallelWires,
    SeriesAerial,
    WireAerial,
    loop_effective_height,
    loop_pattern,
    loop_radiation_resistance,
    room_wire,
    sloping_wire,
)
from calc.coils import solenoid_inductance
from calc.constants import COPPER_RESISTIVITY
from calc.units import InputError
from calc.wire import dc_resistance, resistance_ratio

heights = st.floats(1.0, 30.0)
spans = st.floats(1.0, 80.0)
diameters = st.floats(2e-4, 5e-3)
kinds = st.sampled_from(["inverted L", "T"])
BAND = np.linspace(1.5e5, 1.7e6, 9)


def test_series_impedance():
    aerial = SeriesAerial(30.0, 20e-6, 200e-12)
    omega = 2.0 * np.pi * 1e6
    assert aerial.impedance(1e6) == pytest.approx(30.0 + 1j * (omega * 20e-6 - 1.0 / (omega * 200e-12)), rel=1e-14)
    assert isinstance(aerial.impedance(1e6), complex)
    assert aerial.impedance([1e6, 2e6]).shape == (2,)
    assert SeriesAerial(30.0, 0.0, np.inf).impedance(1e6) == 30.0
    table = SeriesAerial(np.array([[10.0], [20.0]]), 20e-6, 200e-12).impedance(np.array([5e5, 1e6, 2e6]))
    assert table.shape == (2, 3)


def test_counterpoise_in_series():
    aerial = SeriesAerial(30.0, 20e-6, 200e-12).over_counterpoise(300e-12)
    assert aerial.capacitance == pytest.approx(120e-12, rel=1e-14)
    assert (aerial.resistance, aerial.inductance) == (30.0, 20e-6)
    with pytest.raises(InputError, match="capacitance"):
        aerial.over_counterpoise(0.0)


@pytest.mark.parametrize(
    ("argument", "elements"),
    [
        ("resistance", (-1.0, 0.0, 1e-10)),
        ("inductance", (1.0, np.nan, 1e-10)),
        ("capacitance", (1.0, 0.0, 0.0)),
        ("capacitance", (1.0, 0.0, np.nan)),
        ("resistance", (np.inf, 0.0, 1e-10)),
    ],
)
def test_series_refuses(argument, elements):
    with pytest.raises(InputError) as caught:
        SeriesAerial(*elements)
    assert caught.value.argument == argument
    with pytest.raises(InputError, match="frequency"):
        SeriesAerial(1.0, 0.0, 1e-10).impedance(0.0)


@settings(max_examples=25)
@given(heights, spans, diameters, kinds)
def test_sane_and_consistent(height, span, diameter, kind):
    aerial = WireAerial(height, span, diameter, 25.0, kind)
    assert 0.4 * height < aerial.effective_height < height
    # between 3 and 25 pF a metre, whatever the shape
    assert 3e-12 < aerial.capacitance / (height + span) < 25e-12
    assert aerial.inductance > 0.0
    series = aerial.series(BAND)
    assert np.all(series.resistance > 25.0)
    assert aerial.impedance(BAND) == pytest.approx(series.impedance(BAND), rel=1e-14)
    assert aerial.radiation_resistance(BAND) == pytest.approx(series.resistance - 25.0, abs=1e-9, rel=1e-9)
    single = aerial.series(float(BAND[3]))
    assert isinstance(single.resistance, float)
    assert isinstance(single.inductance, float)
    assert isinstance(single.capacitance, float)
    assert single.inductance == pytest.approx(series.inductance[3], rel=1e-11)


@settings(max_examples=20)
@given(heights, spans, diameters, kinds, st.floats(0.5, 3.0))
def test_scales_with_its_size(height, span, diameter, kind, factor):
    # IDENTITY: all lengths by a factor, frequency by its inverse, and the impedance stays
    small = WireAerial(height, span, diameter, 0.0, kind)
    large = WireAerial(factor * height, factor * span, factor * diameter, 0.0, kind)
    assert large.capacitance == pytest.approx(factor * small.capacitance, rel=1e-8)
    assert large.effective_height == pytest.approx(factor * small.effective_height, rel=1e-8)
    assert large.impedance(8e5 / factor) == pytest.approx(small.impedance(8e5), rel=1e-7)


def test_more_wire_has_more_capacitance():
    values = [WireAerial(8.0, span, 0.002).capacitance for span in (5.0, 10.0, 20.0, 40.0)]
    assert np.all(np.diff(values) > 0.0)
    assert WireAerial(8.0, 20.0, 0.004).capacitance > WireAerial(8.0, 20.0, 0.001).capacitance
    assert WireAerial(4.0, 20.0, 0.002).effective_height < WireAerial(8.0, 20.0, 0.002).effective_height


def test_vertical_is_an_inverted_l_without_a_top():
    upright = WireAerial(9.0, 0.0, 0.002, kind="vertical")
    assert WireAerial(9.0, 0.0, 0.002).capacitance == upright.capacitance
    assert upright.effective_height == pytest.approx(4.5, rel=0.05)


def test_quarter_wave_vertical():
    # textbook, for an endlessly thin wire: 36.5 + j21 ohm at a quarter wave, current a quarter sine of effective height
    # wavelength over 2 pi, resonance 2 to 5 % lower; a real wire is a little above in resistance
    aerial = WireAerial(25.0, 0.0, 0.005, earth_resistance=0.0, kind="vertical")
    quarter = 299792458.0 / 100.0
    assert aerial.impedance(quarter).real == pytest.approx(36.5, rel=0.1)
    assert aerial.impedance(0.95 * quarter).imag < 0.0 < aerial.impedance(0.99 * quarter).imag
    assert aerial.effective_height_at(quarter) == pytest.approx(100.0 / (2.0 * np.pi), rel=0.06)


def test_past_the_antiresonance():
    aerial = WireAerial(10.0, 20.0, 0.002)
    hertz = np.linspace(3e6, 1.1e7, 60)
    series = aerial.series(hertz)
    assert np.all(series.inductance >= 0.0)
    assert np.any(series.inductance == 0.0)
    assert np.all(series.capacitance > 0.0)
    assert np.all(np.isfinite(series.impedance(hertz)))


def test_wire_loss():
    # far below resonance the current of a vertical falls evenly to nothing: a third of its wire counts
    perfect = WireAerial(20.0, 0.0, 0.0005, 0.0, "vertical")
    copper = WireAerial(20.0, 0.0, 0.0005, 0.0, "vertical", COPPER_RESISTIVITY)
    whole = dc_resistance(0.0005, 20.0) * resistance_ratio(0.0005, 2e5)
    assert perfect.wire_resistance(2e5) == 0.0
    assert copper.wire_resistance(2e5) == pytest.approx(whole / 3.0, rel=0.1)
    assert copper.series(2e5).resistance == pytest.approx(
        copper.wire_resistance(2e5) + copper.radiation_resistance(2e5), rel=1e-12
    )
    # by depth of skin, resistance goes as the root of resistivity
    iron_like = WireAerial(20.0, 0.0, 0.005, 0.0, "vertical", 4.0 * COPPER_RESISTIVITY)
    thick = WireAerial(20.0, 0.0, 0.005, 0.0, "vertical", COPPER_RESISTIVITY)
    assert iron_like.wire_resistance(1e6) == pytest.approx(2.0 * thick.wire_resistance(1e6), rel=0.02)


def test_other_shapes_agree_with_the_plain_ones():
    plain = WireAerial(8.0, 20.0, 0.002)
    bent = BentWire((*(point for point, _ in plain.wires), plain.wires[-1][1]), 0.002)
    assert bent.capacitance == pytest.approx(plain.capacitance, rel=1e-12)
    slope = sloping_wire(8.0, 20.0, 0.002, near_height=8.0)
    assert slope.capacitance == pytest.approx(plain.capacitance, rel=1e-12)
    assert sloping_wire(12.0, 20.0, 0.002).effective_height < WireAerial(12.0, 20.0, 0.002).effective_height
    room = room_wire(6.0, 4.0, 5.0, wire_length=6.0, wire_diameter=0.001)
    assert room.capacitance == pytest.approx(WireAerial(5.0, 6.0, 0.001).capacitance, rel=1e-9)
    assert room_wire(6.0, 4.0, 5.0, 15.0, 0.001).wire_length == pytest.approx(20.0, rel=0.002)


def test_more_parallel_wires():
    single = WireAerial(10.0, 20.0, 0.002).capacitance
    values = [ParallelWires(10.0, 20.0, 0.002, number, 1.0).capacitance for number in (2, 3, 4)]
    assert single < values[0] < values[1] < values[2] < 4.0 * single
    close, wide = (ParallelWires(10.0, 20.0, 0.002, 2, spacing).capacitance for spacing in (0.2, 3.0))
    assert single < close < wide < 2.0 * single


def test_order_of_arms_does_not_matter():
    # the arithmetic is the same to rounding, so that two machines agree
    aerial = WireAerial(10.0, 20.0, 0.002, kind="T")
    nudged = WireAerial(10.0 * (1.0 + 1e-15), 20.0, 0.002, kind="T")
    first, second = aerial.series(BAND), nudged.series(BAND)
    for name in ("resistance", "inductance", "capacitance"):
        assert getattr(first, name) == pytest.approx(getattr(second, name), rel=1e-12)


@pytest.mark.parametrize(
    "build",
    [
        lambda by: WireAerial(10.0 * by, 0.0, 0.002, 0.0, "vertical", 7e-7),
        lambda by: sloping_wire(10.0, 20.0 * by, 0.0002, 2.0, 0.0, 7e-7),
        lambda by: ParallelWires(10.0 * by, 20.0, 0.002, 3, 1.0, 0.0, "T", 7e-7),
    ],
    ids=["vertical", "sloping", "three wires"],
)
def test_rounding_stays_small_up_to_the_highest_frequency(build):
    aerial = build(1.0)
    hertz = aerial.mesh.highest_frequency * np.array([0.02, 0.1, 0.19, 0.3, 0.5, 0.7, 0.9, 0.99])
    for nudge in (-4e-16, 3e-16, 9e-16):
        assert build(1.0 + nudge).impedance(hertz) == pytest.approx(aerial.impedance(hertz), rel=3e-13)


def test_series_and_kernel_of_retardation_meet():
    aerial = WireAerial(10.0, 0.0, 0.002, 0.0, "vertical")
    for reach in (1.0, 2.0, 3.5, 6.0):
        # twenty metres from the top to its image
        hertz = reach * 299792458.0 / (2.0 * np.pi * 20.0) * np.array([1.0 - 1e-11, 1.0 + 1e-11])
        below, above = aerial.impedance(hertz)
        assert above == pytest.approx(below, rel=1e-9)
        assert above.real == pytest.approx(below.real, rel=1e-9)


def test_equal_aerials_share_their_solution_and_nothing_else():
    first, second = WireAerial(9.5, 21.0, 0.002, 10.0), WireAerial(9.5, 21.0, 0.002, 40.0)
    assert first.mesh is second.mesh
    resistance = first.radiation_resistance(BAND)
    resistance += 1.0
    assert second.radiation_resistance(BAND) == pytest.approx(resistance - 1.0, rel=1e-12)
    assert second.impedance(BAND) == pytest.approx(first.impedance(BAND) + 30.0, rel=1e-12)
    many = np.linspace(2e5, 1.7e6, 1001)
    assert first.impedance(many)[500] == pytest.approx(first.impedance(float(many[500])), rel=1e-11)


def test_the_lead_below_the_foot_has_its_inductance():
    # the last 5 % of a wire's way to the ground left out of the wire: its charge goes, its inductance stays
    whole = BentWire(((0.0, 0.0, 0.01), (0.0, 0.0, 10.0)), 0.002, 0.0)
    short = BentWire(((0.0, 0.0, 0.5), (0.0, 0.0, 10.0)), 0.002, 0.0)
    hertz = np.array([7.28e6, 7.3e6])
    assert short.inductance > 1.02 * whole.inductance
    assert np.abs(short.impedance(hertz).imag - whole.impedance(hertz).imag).max() < 2.0


def test_measured_aerial():
    bedstead = MeasuredAerial(capacitance=90e-12, effective_height=0.6, resistance=80.0, inductance=3e-6)
    assert bedstead.series(1e6).impedance(1e6) == SeriesAerial(80.0, 3e-6, 90e-12).impedance(1e6)


def test_dummy_aerial_is_capacitive_low_and_400_ohm_high():
    dummy = DummyAerial()
    assert -1.0 / (2 * np.pi * 1.5e5 * dummy.impedance(1.5e5).imag) == pytest.approx(dummy.capacitance, rel=0.01)
    assert dummy.impedance(1e8) == pytest.approx(400.0, rel=0.01)
    hertz = np.geomspace(1e5, 3e7, 40)
    assert dummy.series(hertz).impedance(hertz) == pytest.approx(dummy.impedance(hertz), rel=1e-12)


def test_frame_single_turn_square():
    # SOURCE: square of round wire without the field in it, L = (2 mu0 w / pi) (ln(w / a) - 0.774), Grover (from memory)
    side, wire = 0.6, 0.001
    closed = 8e-7 * side * (np.log(side / (wire / 2.0)) - 0.774)
    assert FrameAerial(side, side, 1, 0.0, wire).inductance == pytest.approx(closed, rel=2e-3)


def test_frame_of_many_turns_is_nearly_a_round_coil():
    # a square coil has the inductance of a round one a little bigger than of the same area
    side, turns, depth = 0.5, 12, 0.06
    frame = FrameAerial(side, side, turns, depth, 0.0008)
    round_coil = solenoid_inductance(turns, 2.0 * side / np.sqrt(np.pi), depth * turns / (turns - 1), 0.0008)
    assert frame.inductance == pytest.approx(round_coil, rel=0.05)
    assert frame.inductance > round_coil


def test_frame_turns_by_numerical_integration():
    # INDEPENDENT: Neumann's double integral over two rectangles, summed over points
    width, height, apart = 0.7, 0.4, 0.03

    def rectangle(z):
        corners = np.array([[0, 0, z], [width, 0, z], [width, height, z], [0, height, z]], dtype=float)
        share = (np.arange(1500) + 0.5) / 1500
        sides = [(a, b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
        return (
            np.concatenate([a + share[:, None] * run for a, run in sides]),
            np.concatenate([np.broadcast_to(run / 1500, (1500, 3)) for _, run in sides]),
        )

    (place_1, step_1), (place_2, step_2) = rectangle(0.0), rectangle(apart)
    total = 0.0
    for place, step in zip(place_1[::20], step_1[::20], strict=True):
        total += 20.0 * float(np.sum((step_2 @ step) / np.sqrt(np.sum((place_2 - place) ** 2, axis=1))))
    mutual = 1e-7 * total
    pair = FrameAerial(width, height, 2, apart, 0.001).inductance
    alone = FrameAerial(width, height, 1, 0.0, 0.001).inductance
    assert (pair - 2.0 * alone) / 2.0 == pytest.approx(mutual, rel=5e-3)


def test_frame_voltage_and_losses():
    frame = FrameAerial(0.6, 0.6, 14, 0.065, 0.0005)
    # worked by hand: 2 pi 14 0.36 / 299.79
    assert frame.effective_height(1e6) == pytest.approx(0.105630, rel=1e-5)
    assert frame.effective_height(2e6) == pytest.approx(2.0 * frame.effective_height(1e6), rel=1e-14)
    # textbook: 31171 (N A / wavelength^2)^2, which takes Z0 as 120 pi
    assert frame.radiation_resistance(1e6) == pytest.approx(31171.0 * (14 * 0.36 / 299.792458**2) ** 2, rel=1e-3)
    assert frame.wire_resistance(1e6) == pytest.approx(
        dc_resistance(0.0005, 14 * 2.4) * resistance_ratio(0.0005, 1e6), rel=1e-12
    )
    assert loop_effective_height(1.0, [1e6, 3e6]).shape == (2,)
    assert loop_radiation_resistance(0.0, 1e6) == 0.0


def test_loop_nulls():
    assert loop_pattern([0.0, 60.0, 180.0]) == pytest.approx([1.0, 0.5, 1.0])
    assert loop_pattern([90.0, 270.0]) == pytest.approx([0.0, 0.0], abs=1e-15)
    # an upright part in step makes a heart shape; out of step it fills the nulls
    assert loop_pattern([0.0, 180.0], 1.0) == pytest.approx([2.0, 0.0])
    assert loop_pattern(90.0, 0.1j) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("argument", "build"),
    [
        ("height", lambda: WireAerial(0.0, 10.0, 0.001)),
        ("height", lambda: WireAerial(np.nan, 10.0, 0.001)),
        ("horizontal_length", lambda: WireAerial(5.0, -1.0, 0.001)),
        ("horizontal_length", lambda: WireAerial(5.0, 10.0, 0.001, kind="vertical")),
        ("wire_diameter", lambda: WireAerial(5.0, 10.0, 0.0)),
        ("wire_diameter", lambda: WireAerial(5.0, 10.0, np.inf)),
        ("earth_resistance", lambda: WireAerial(5.0, 10.0, 0.001, -1.0)),
        ("kind", lambda: WireAerial(5.0, 10.0, 0.001, kind="umbrella")),
        ("conductor_resistivity", lambda: WireAerial(5.0, 10.0, 0.001, conductor_resistivity=-1e-8)),
        ("frequency", lambda: WireAerial(5.0, 10.0, 0.001).series(0.0)),
        ("frequency", lambda: WireAerial(5.0, 10.0, 0.001).series(1e9)),
        ("points", lambda: BentWire(((0.0, 0.0, 1.0),), 0.001)),
        ("points", lambda: BentWire(((0.0, 0.0, 0.0), (0.0, 0.0, 5.0)), 0.001)),
        ("points", lambda: BentWire(((0.0, 0.0, 1.0), (0.0, 0.0, 5.0), (0.0, 0.0, 2.0)), 0.001)),
        ("points", lambda: BentWire(((0.0, 0.0, 1.0), (0.0, 9.0, 5.0), (0.0, 0.0, 1.0)), 0.001)),
        ("points", lambda: BentWire(((0.0, 0.0, 1.0), (0.0, 0.0, 1.005)), 0.001)),
        ("number", lambda: ParallelWires(5.0, 10.0, 0.001, number=1)),
        ("spacing", lambda: ParallelWires(5.0, 10.0, 0.001, spacing=0.001)),
        ("kind", lambda: ParallelWires(5.0, 10.0, 0.001, kind="vertical")),
        ("wire_length", lambda: room_wire(5.0, 4.0, 3.0, 30.0, 0.001)),
        ("capacitance", lambda: MeasuredAerial(0.0, 1.0)),
        ("series_capacitance", lambda: DummyAerial(series_capacitance=0.0)),
        ("turns", lambda: FrameAerial(0.5, 0.5, 0, 0.0, 0.001)),
        ("depth", lambda: FrameAerial(0.5, 0.5, 10, 0.001, 0.001)),
        ("wire_diameter", lambda: FrameAerial(0.5, 0.5, 1, 0.0, 0.1)),
        ("angle", lambda: loop_pattern(np.nan)),
    ],
)
def test_refusals(argument, build):
    with pytest.raises(InputError) as caught:
        build()
    assert caught.value.argument == argument
