"""Each station through detector and load: the balance of currents at every point, limits, loads, and the programme's
curve."""

from dataclasses import replace

import numpy as np
import pytest

from calc import detection
from calc.audio_load import AudioLoad, Transformer, clipping_depth, cure_for
from calc.detection import detect
from calc.detectors import Diode, rectify
from calc.detectors.envelope import output_resistance, slopes
from calc.detectors.loaded import LoadLine, settle
from calc.earphones import Earphone
from calc.units import InputError

GERMANIUM = Diode(2e-7, 1.3, 298.15)
EARPHONE = Earphone(12e3, 108.0)
PLAIN = AudioLoad(12e3, 12e3)
MAGNETIC = AudioLoad(4e3, 12e3)
MATCHED = AudioLoad(100.0, 600.0, transformer=Transformer(10.0, 700.0, 0.85, 30.0), bypass=1e-9)
PIEZO = AudioLoad(1e6, 20e3)
LOADS = {"plain": PLAIN, "magnetic": MAGNETIC, "transformer": MATCHED, "piezo": PIEZO}
OPEN = np.geomspace(1e-5, 3.0, 24)
SOURCE = np.full(24, 60e3 + 30e3j)


def envelope(depth, points=8):
    return 1.0 + depth * np.concatenate([[0.0], np.cos(np.pi * (np.arange(points) + 0.5) / points)])


@pytest.mark.parametrize("depth", [0.3, 0.8, 1.0])
@pytest.mark.parametrize("bulk", [0.0, 7.0, 200.0])
@pytest.mark.parametrize("name", LOADS)
def test_currents_and_voltages_balance_at_every_point_of_the_cycle(name, bulk, depth):
    """Kirchhoff's laws, with the load's lines to d.c. and to audio written out here."""
    diode, line = replace(GERMANIUM, series_resistance=bulk), LOADS[name].line
    aim = np.sqrt(2.0) * OPEN[:, None] * envelope(depth)
    found = settle(diode, line, aim, SOURCE)
    out = found.output_voltage
    mean = out[:, 1:].mean(axis=1, keepdims=True)
    drawn = np.concatenate([out[:, :1] * line.direct, mean * line.direct + (out[:, 1:] - mean) * line.audio], axis=1)
    flows = diode.saturation_current * np.expm1(found.cycle.level)
    scale = np.max(np.abs(drawn), axis=1, keepdims=True) + 1e-6 * diode.saturation_current
    assert np.max(np.abs(flows - drawn) / scale) < 1e-9
    conductance = np.exp(found.cycle.uptake) / diode.zero_bias_resistance
    left = aim / np.abs(1.0 + SOURCE[:, None] * conductance)
    np.testing.assert_allclose(found.peak_voltage, left, rtol=1e-10)


def test_a_source_without_resistance_is_rectified_as_by_itself():
    found = settle(GERMANIUM, PLAIN.line, OPEN[:, None], np.zeros(24, dtype=complex))
    alone = rectify(GERMANIUM, OPEN, 12e3)
    np.testing.assert_allclose(found.output_voltage[:, 0], alone.dc_voltage, rtol=1e-11)
    resistance = GERMANIUM.zero_bias_resistance * np.exp(-found.cycle.uptake[:, 0])
    np.testing.assert_allclose(resistance, alone.input_resistance, rtol=1e-11)


@pytest.mark.parametrize("bulk", [0.0, 50.0])
def test_next_to_no_signal_is_rectified_by_the_square_to_the_last_digits(bulk):
    """By hand, to the second power: with t = v/(1+b) - b v^2/2/(1+b)^3 in the junction the mean current is
    u^2/4/(1+b)^3 - x/(1+b), and the load's is g x; all in the diode's units."""
    diode = replace(GERMANIUM, series_resistance=bulk)
    kept, load = 1.0 + float(diode.bulk), float(diode.zero_bias_resistance) * float(PLAIN.line.direct)
    drive = np.array([1e-7, 1e-6, 1e-5])
    found = settle(diode, PLAIN.line, drive[:, None] * diode.thermal_voltage, np.zeros(3, dtype=complex))
    expected = drive**2 / 4.0 / kept**3 / (load + 1.0 / kept)
    np.testing.assert_allclose(found.output_voltage[:, 0] / diode.thermal_voltage, expected, rtol=1e-6)


@pytest.mark.parametrize("bulk", [0.0, 50.0])
def test_a_row_does_not_hang_on_its_neighbours(bulk):
    diode = replace(GERMANIUM, series_resistance=bulk)
    aim = OPEN[:, None] * envelope(0.7)
    together = settle(diode, MATCHED.line, aim, SOURCE).output_voltage
    for row in (0, 11, 23):
        one = settle(diode, MATCHED.line, aim[row : row + 1], SOURCE[:1]).output_voltage
        np.testing.assert_array_equal(one[0], together[row])


@pytest.mark.parametrize("bulk", [0.0, 20.0])
def test_slopes_and_output_resistance_are_finite_differences(bulk):
    diode, line = replace(GERMANIUM, series_resistance=bulk), PLAIN.line

    def at(current):
        """Carriers with so much more current drawn from the output: a load line moved by a bias."""
        moved = LoadLine(line.direct, line.audio, np.asarray(current / line.direct))
        return settle(diode, moved, OPEN[:, None], SOURCE)

    rest, step = at(0.0), 1e-4 * diode.saturation_current
    fall = (at(step).output_voltage - at(-step).output_voltage)[:, 0]
    rise_of_flow = 2.0 * step + fall * line.direct
    expected = -fall / rise_of_flow
    np.testing.assert_allclose(output_resistance(slopes(diode, rest), SOURCE), expected, rtol=2e-5)


def test_a_weak_detector_is_of_the_square_of_the_field_and_a_strong_one_follows_the_envelope():
    weak = detect(GERMANIUM, EARPHONE, np.array([1e-6, 2e-6]), np.full(2, 1e3 + 0j), 0.3)
    assert weak.audio_voltage[1] / weak.audio_voltage[0] == pytest.approx(4.0, rel=1e-5)
    assert weak.distortion[0] == pytest.approx(0.3 / 4.0, rel=1e-4)  # of (1 + m cos)^2
    strong = detect(GERMANIUM, Earphone(1e6, 108.0), np.array([20.0]), np.array([10.0 + 0j]), 0.3)
    assert strong.audio_voltage[0] == pytest.approx(0.3 * 20.0 * np.sqrt(2.0), rel=0.01)
    assert strong.distortion[0] < 0.002


# --- the load -----------------------------------------------------------------------------------------------------


def test_a_by_pass_takes_the_highest_notes_first():
    high = replace(PLAIN, bypass=10e-9)
    source = (np.array([0.1]), np.array([50e3 + 0j]), 0.3)
    notes = (300.0, 1e3, 3e3, 9e3)
    levels = [detect(GERMANIUM, EARPHONE, *source, high, audio_frequency=n).audio_voltage[0] for n in notes]
    assert np.all(np.diff(levels) < 0.0)
    slow = detect(GERMANIUM, EARPHONE, *source, PLAIN)
    behind = slow.output_resistance[0]
    for note, level in zip(notes, levels, strict=True):
        pole = 2.0 * np.pi * note * 10e-9 * behind * 12e3 / (behind + 12e3)
        assert level / slow.audio_voltage[0] == pytest.approx(1.0 / np.hypot(1.0, pole), rel=1e-9)


def test_a_transformer_matches_and_loses_its_share():
    load = AudioLoad(100.0, 600.0, transformer=Transformer(8.0, 700.0, 0.85))
    heard = detect(GERMANIUM, Earphone(600.0, 108.0), np.array([0.05]), np.array([30e3 + 0j]), 0.3, load)
    whole = heard.audio_voltage[0] ** 2 / (2.0 * load.audio_resistance)
    assert load.audio_resistance == pytest.approx(700.0 + 64.0 * 600.0 / 0.85)
    assert heard.audio_power[0] == pytest.approx(whole * load.efficiency, rel=1e-12)
    assert load.efficiency == pytest.approx(0.85 * (64.0 * 600.0 / 0.85) / load.audio_resistance)


def test_a_piezo_element_takes_no_direct_current_and_its_capacitance_the_highest_notes():
    lone = AudioLoad(np.inf, 100e3, capacitance=1e-9)
    heard = detect(GERMANIUM, EARPHONE, np.array([0.1]), np.array([30e3 + 0j]), 0.3, lone)
    assert heard.dc_current[0] == pytest.approx(0.0, abs=1e-18)
    np.testing.assert_allclose(lone.admittance(1e3), 1e-5 + 2j * np.pi * 1e3 * 1e-9, rtol=1e-12)


def test_a_load_that_differs_for_audio_clips_deep_modulation_and_the_cure_mends_it():
    """The transformer's primary passes d.c. easily and audio hardly; RC in series with it makes the two alike."""
    source = np.array([3.0]), np.array([20e3 + 0j])
    resistance, capacitance = cure_for(MATCHED, 300.0)
    cured = replace(MATCHED, cure_resistance=resistance, cure_capacitance=capacitance)
    assert cured.direct_resistance == pytest.approx(cured.audio_resistance)
    border = clipping_depth(MATCHED.direct_resistance, MATCHED.audio_resistance, 2.0 * 20e3)
    assert border < 0.8
    deep, shallow = (
        detect(GERMANIUM, EARPHONE, *source, depth, MATCHED).distortion[0] for depth in (0.95, 0.5 * border)
    )
    mended = detect(GERMANIUM, EARPHONE, *source, 0.95, cured).distortion[0]
    assert deep > 0.1
    assert deep > 10.0 * shallow
    assert mended < 0.01
    assert clipping_depth(cured.direct_resistance, cured.audio_resistance, 40e3) == pytest.approx(1.0)


def test_the_mismatch_of_a_piezo_clips_the_troughs():
    """100 kohm to audio and a megohm to d.c.: the book's rule m = Z/R, softened by the diode."""
    source = np.array([5.0]), np.array([10.0 + 0j])
    load = AudioLoad(1e6, 300e3)
    assert clipping_depth(1e6, 300e3) == pytest.approx(0.3)
    shallow, deep = (detect(GERMANIUM, EARPHONE, *source, m, load).distortion[0] for m in (0.2, 0.6))
    assert shallow < 0.01
    assert deep > 0.1


def test_a_bias_cell_wakes_a_dull_diode():
    dull = Diode(1e-11, 2.0, 298.15)
    source = np.array([0.02]), np.array([50e3 + 0j])
    asleep, awake = (
        detect(dull, EARPHONE, *source, 0.3, AudioLoad(12e3, 12e3, bias=bias)).audio_power[0] for bias in (0.0, 0.55)
    )
    assert awake > 1e4 * asleep
    still = detect(dull, EARPHONE, np.array([1e-9]), source[1], 0.3, AudioLoad(12e3, 12e3, bias=0.55))
    junction = dull.thermal_voltage * np.log1p(still.dc_current[0] / dull.saturation_current)
    assert still.dc_current[0] * 12e3 + junction == pytest.approx(0.55, rel=1e-9)
    assert still.mean_voltage[0] == pytest.approx(still.dc_current[0] * 12e3 - 0.55, rel=1e-9)


# --- fewer points, the curve --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plain", "magnetic", "transformer"])
@pytest.mark.parametrize("points", [3, 4])
def test_three_points_of_the_cycle_do_for_a_map(name, points):
    full = detect(GERMANIUM, EARPHONE, OPEN, SOURCE, 0.5, LOADS[name])
    coarse = detect(GERMANIUM, EARPHONE, OPEN, SOURCE, 0.5, LOADS[name], cycle_points=points)
    unclipped = full.distortion < 0.15
    assert np.count_nonzero(unclipped) > 15
    assert np.max(np.abs(coarse.sound_level - full.sound_level)[unclipped]) < 0.05


@pytest.mark.parametrize("name", LOADS)
@pytest.mark.parametrize(("depth", "bound"), [(0.3, 0.002), (0.5, 0.002), (1.0, 0.04)])
def test_few_points_of_the_cycle_err_by_as_much_as_they_say(name, depth, bound):
    many = detect(GERMANIUM, EARPHONE, OPEN, SOURCE, depth, LOADS[name], cycle_points=32)
    few = detect(GERMANIUM, EARPHONE, OPEN, SOURCE, depth, LOADS[name], cycle_points=detection.FEW_CYCLE_POINTS)
    away = np.abs(few.sound_level - many.sound_level)
    assert np.max(np.where(many.distortion < 0.15, away, 0.0)) < bound
    assert np.max(away) < 0.2


@pytest.mark.parametrize("bulk", [0.0, 20.0])
@pytest.mark.parametrize(("name", "depth"), [("plain", 0.3), ("plain", 0.9), ("magnetic", 0.6), ("transformer", 0.6)])
def test_a_cosine_through_the_curve_of_swings_has_the_tone_and_its_harmonics(name, depth, bulk):
    diode, load = replace(GERMANIUM, series_resistance=bulk), replace(LOADS[name], bypass=0.0)
    if load.transformer is not None:  # at all notes alike
        load = replace(load, transformer=replace(load.transformer, primary_inductance=np.inf))
    steps = np.pi * (np.arange(8) + 0.5) / 8.0
    curve = detection.swing_curve(diode, load.line, OPEN, SOURCE, depth, depth * np.cos(steps))
    waves = np.cos(np.arange(6)[:, None] * steps)
    parts = np.einsum("hp,sp->hs", waves, curve) / 4.0
    expected = detect(diode, EARPHONE, OPEN, SOURCE, depth, load)
    np.testing.assert_allclose(np.abs(parts[1]), expected.audio_voltage, rtol=1e-7)
    harmonics = np.sqrt(np.sum(parts[2:] ** 2, axis=0)) / np.abs(parts[1])
    np.testing.assert_allclose(harmonics, expected.distortion, rtol=1e-4, atol=1e-7)


def test_the_curve_of_shallow_swings_is_straight():
    swings = 1e-3 * np.linspace(-1.0, 1.0, 9)
    curve = detection.swing_curve(GERMANIUM, MAGNETIC.line, OPEN, SOURCE, 1e-3, swings)
    np.testing.assert_allclose(curve / curve[:, -1:], np.broadcast_to(swings / 1e-3, curve.shape), atol=2e-3)


@pytest.mark.parametrize(
    ("argument", "attempt"),
    [
        ("modulation", lambda: detect(GERMANIUM, EARPHONE, OPEN, SOURCE, 1.1)),
        ("modulation", lambda: detection.swing_curve(GERMANIUM, MAGNETIC.line, OPEN, SOURCE, 1.1, [0.0])),
        ("swings", lambda: detection.swing_curve(GERMANIUM, MAGNETIC.line, OPEN, SOURCE, 0.3, [1.1])),
        ("cycle_points", lambda: detect(GERMANIUM, EARPHONE, OPEN, SOURCE, 0.3, cycle_points=1)),
        ("ratio", lambda: Transformer(0.0, 700.0)),
        ("efficiency", lambda: Transformer(8.0, 700.0, 1.01)),
        ("dc_resistance", lambda: AudioLoad(0.0, 600.0)),
        ("bypass", lambda: AudioLoad(100.0, 600.0, bypass=-1e-12)),
        ("cure_capacitance", lambda: AudioLoad(100.0, 600.0, cure_capacitance=0.0)),
        ("load", lambda: cure_for(PIEZO, 300.0)),
        ("lowest_frequency", lambda: cure_for(MATCHED, 0.0)),
    ],
)
def test_wrong_values_are_refused_by_name(argument, attempt):
    with pytest.raises(InputError) as caught:
        attempt()
    assert caught.value.argument == argument
