"""Values that coils cannot have are refused by name, and limits are where they are said to be."""

import math

import numpy as np
import pytest

from calc import coils
from calc.units import InputError

COIL = coils.Solenoid(50, 0.05, 0.05)
ROD = coils.FerriteRod(0.1, 0.01, 125.0)

REFUSED = [
    # argument at fault, call
    ("diameter_over_length", lambda: coils.nagaoka(-1.0)),
    ("diameter_over_length", lambda: coils.nagaoka(math.nan)),
    ("radius_a", lambda: coils.circle_mutual(0.0, 1.0, 1.0)),
    ("radius_b", lambda: coils.circle_mutual(1.0, math.inf, 1.0)),
    ("distance", lambda: coils.circle_mutual(1.0, 2.0, math.nan)),
    ("distance", lambda: coils.circle_mutual(0.5, 0.5, 0.0)),
    ("turns", lambda: coils.solenoid_inductance(0.0, 0.05, 0.05)),
    ("turns", lambda: coils.solenoid_inductance("many", 0.05, 0.05)),
    ("diameter", lambda: coils.solenoid_inductance(10, -0.05, 0.05)),
    ("length", lambda: coils.solenoid_inductance(10, 0.05, 0.0)),
    ("length", lambda: coils.solenoid_inductance(10, 0.05, math.inf)),
    ("wire_diameter", lambda: coils.solenoid_inductance(50, 0.05, 0.05, 1.01e-3)),
    ("wire_diameter", lambda: coils.solenoid_inductance(2, 0.01, 0.05, 6e-3)),
    ("wire_diameter", lambda: coils.solenoid_inductance(50, 0.05, 0.05, 0.0)),
    ("turns", lambda: coils.solenoid_inductance(0.5, 0.05, 0.05, 1e-3)),
    ("turns", lambda: coils.round_wire_mutual_correction(0.9)),
    ("wire_over_pitch", lambda: coils.round_wire_self_correction(0.0)),
    ("pitch", lambda: coils.turns_for_inductance(1e-4, 0.05)),
    ("pitch", lambda: coils.turns_for_inductance(1e-4, 0.05, pitch=1e-3, length=0.05)),
    ("pitch", lambda: coils.turns_for_inductance(1e-4, 0.05, pitch=0.0)),
    ("inductance", lambda: coils.turns_for_inductance(0.0, 0.05, pitch=1e-3)),
    ("inductance", lambda: coils.turns_for_inductance(1e-9, 0.05, pitch=1e-3, wire_diameter=0.5e-3)),
    ("wire_diameter", lambda: coils.turns_for_inductance(1e-2, 0.05, length=0.05, wire_diameter=1e-3)),
    ("wire_diameter", lambda: coils.turns_for_inductance(1e-4, 0.05, pitch=1e-3, wire_diameter=1.1e-3)),
    ("inner_diameter", lambda: coils.multilayer_inductance(100, -0.01, 0.02, 0.01)),
    ("outer_diameter", lambda: coils.multilayer_inductance(100, 0.02, 0.02, 0.01)),
    ("length", lambda: coils.multilayer_inductance(100, 0.01, 0.02, 0.0)),
    ("wire_diameter", lambda: coils.multilayer_inductance(1000, 0.01, 0.02, 0.01, 0.3e-3)),
    ("outer_diameter", lambda: coils.spiral_inductance(10, 0.05, 0.04)),
    ("wire_diameter", lambda: coils.spiral_inductance(10, 0.02, 0.06, 2.1e-3)),
    ("first_diameter", lambda: coils.conical_inductance(10, -0.02, 0.06, 0.03)),
    ("length", lambda: coils.conical_inductance(10, 0.02, 0.06, 0.0)),
    ("turns", lambda: coils.Solenoid(-1, 0.05, 0.05)),
    ("diameter", lambda: coils.Solenoid(1, math.nan, 0.05)),
    ("outer_diameter", lambda: coils.Multilayer(10, 0.02, 0.01, 0.01)),
    ("outer_diameter", lambda: coils.Spiral(10, 0.02, 0.01)),
    ("length", lambda: coils.Cone(10, 0.02, 0.01, -1.0)),
    ("centre_distance", lambda: coils.solenoid_mutual(COIL, COIL, math.nan)),
    ("coefficient", lambda: coils.distance_for_coefficient(COIL, COIL, 0.9, 0.05)),
    ("coefficient", lambda: coils.distance_for_coefficient(COIL, COIL, 1e-5)),
    ("distance", lambda: coils.mutual_of_rings(coils.as_rings(COIL), coils.as_rings(COIL), 0.0)),
    ("least_distance", lambda: coils.distance_for_coefficient(COIL, COIL, 0.1, -0.05)),
    ("angle", lambda: coils.turned_mutual(COIL, COIL, math.inf)),
    ("length", lambda: coils.self_capacitance(0.1, 0.0099)),
    ("length", lambda: coils.self_capacitance(0.1, 5.01)),
    ("wire_over_pitch", lambda: coils.proximity_factor(1.01, 1.0)),
    ("wire_over_pitch", lambda: coils.proximity_factor(-0.1, 1.0)),
    ("length_over_diameter", lambda: coils.proximity_factor(0.5, -1.0)),
    ("turns", lambda: coils.proximity_factor(0.5, 1.0, 0.5)),
    ("turns", lambda: coils.low_frequency_proximity(1.0, 0.0)),
    ("wire_diameter", lambda: coils.solenoid_resistance(50, 0.05, 0.05, 1.1e-3, 1e6)),
    ("frequency", lambda: coils.solenoid_resistance(50, 0.05, 0.05, 0.5e-3, -1.0)),
    ("temperature", lambda: coils.solenoid_resistance(50, 0.05, 0.05, 0.5e-3, 1e6, 300.0)),
    ("strands", lambda: coils.litz_resistance(50, 0.05, 0.05, 0.5, 5e-5, 5e-4, 1e6)),
    ("bundle_diameter", lambda: coils.litz_resistance(50, 0.05, 0.05, 200, 5e-5, 5e-4, 1e6)),
    ("bundle_diameter", lambda: coils.litz_resistance(50, 0.05, 0.05, 20, 5e-5, 1.1e-3, 1e6)),
    ("take_up", lambda: coils.litz_resistance(50, 0.05, 0.05, 20, 5e-5, 5e-4, 1e6, take_up=0.9)),
    ("resistance", lambda: coils.quality_factor(1e-4, 0.0, 1e6)),
    ("frequency", lambda: coils.effective_inductance(230e-6, 6e-12, 5e6)),
    ("frequency", lambda: coils.effective_quality_factor(230e-6, 4.0, 6e-12, 5e6)),
    ("capacitance", lambda: coils.self_resonance(1e-4, 0.0)),
    ("loss_tangent", lambda: coils.dielectric_resistance(1e-4, 1e-11, -0.1, 1e6)),
    ("wire_diameter", lambda: coils.ring_inductance(0.01, 0.006)),
    ("length", lambda: coils.straight_wire_inductance(0.005, 0.001)),
    ("position", lambda: coils.Rings([0.1, 0.1], [0.0, 0.0], 1e-3, 1.0).inductance),
    ("diameter", lambda: coils.Rings(np.full(3001, 0.1), np.arange(3001), 1e-3, 1.0)),
    ("wire_diameter", lambda: coils.LayeredCoil((0.05,), (10,), 1e-3, 1.1e-3)),
    ("layer_turns", lambda: coils.LayeredCoil((0.05,), (10, 10), 1e-3, 0.5e-3)),
    ("layer_turns", lambda: coils.LayeredCoil((0.05,), (10.5,), 1e-3, 0.5e-3)),
    ("layer_turns", lambda: coils.LayeredCoil((0.05,), (4000,), 1e-3, 0.5e-3)),
    ("layer_diameters", lambda: coils.LayeredCoil((0.05, 0.0505), (10, 10), 1e-3, 0.5e-3)),
    ("layer_offsets", lambda: coils.LayeredCoil((0.05,), (10,), 1e-3, 0.5e-3, (-1,))),
    ("sides", lambda: coils.equivalent_diameter(2, 0.05, 0.05)),
    ("sides", lambda: coils.equivalent_diameter(4.5, 0.05, 0.05)),
    ("sides", lambda: coils.equivalent_diameter(math.nan, 0.05, 0.05)),
    ("sides", lambda: coils.polygon_side(5, 0.05)),
    ("length", lambda: coils.equivalent_diameter(4, 0.05, 1e-4)),
    ("length", lambda: coils.FerriteRod(0.015, 0.01, 125.0)),
    ("length", lambda: coils.FerriteRod(0.7, 0.01, 125.0)),
    ("permeability", lambda: coils.FerriteRod(0.1, 0.01, 1.0)),
    ("loss_tangent", lambda: coils.FerriteRod(0.1, 0.01, 10.0, -0.1)),
    ("diameter", lambda: coils.rod_coil_inductance(ROD, coils.Solenoid(10, 0.009, 0.02))),
    ("offset", lambda: coils.rod_coil_inductance(ROD, coils.Solenoid(10, 0.011, 0.02), 0.041)),
    ("turns", lambda: coils.layers_that_hold(10.5, 0.01, 0.01, 3e-4, 3.3e-4)),
    ("winding_length", lambda: coils.layers_that_hold(10, 0.01, 1e-4, 3e-4, 3.3e-4)),
    ("covered_diameter", lambda: coils.layers_that_hold(10, 0.01, 0.01, 3e-4, 2.9e-4)),
    ("slack", lambda: coils.turns_that_fit(0.01, 1e-3, -0.1)),
    ("tap_turns", lambda: coils.tapped_solenoid(COIL, 50)),
    ("inductance", lambda: coils.whole_turns(1e-9, 0.05, 1e-3, 0.5e-3)),
]  # fmt: skip


@pytest.mark.parametrize(("argument", "call"), REFUSED, ids=[f"{i}-{name}" for i, (name, _) in enumerate(REFUSED)])
def test_refused_by_name(argument, call):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.argument == argument
    assert len(refusal.value.reason) > 10


def test_limits_themselves_are_allowed():
    assert coils.solenoid_inductance(50, 0.05, 0.05, 1e-3) > 0.0  # touching turns
    assert coils.solenoid_resistance(50, 0.05, 0.05, 1e-3, 1e6) > 0.0
    assert coils.self_capacitance(0.1, 0.01) == pytest.approx(9.6e-12)
    assert coils.self_capacitance(0.1, 5.0) == pytest.approx(58e-12)
    assert coils.proximity_factor(1.0, 0.0) == pytest.approx(5.31)
    assert coils.multilayer_inductance(1, 0.0, 0.01, 0.01) > 0.0
    assert coils.rod_coil_inductance(ROD, coils.Solenoid(10, 0.01, 0.1)) > 0.0
    assert coils.round_wire_mutual_correction(1.0) == pytest.approx(0.0, abs=1e-13)


def test_extreme_shapes_stay_finite_and_sensible():
    long_thin = coils.solenoid_inductance(1e4, 1e-3, 100.0)
    assert long_thin == pytest.approx(4e-7 * math.pi * 1e8 * math.pi * 0.25e-6 / 100.0, rel=1e-4)
    flat_ring = coils.solenoid_inductance(1, 1.0, 1e-6)
    # a loop of flat strip: mu0 a (ln(8a/w) - 1/2), from the mean distance w e^-3/2 of a strip
    assert flat_ring == pytest.approx(4e-7 * math.pi * 0.5 * (math.log(8.0 * 0.5 / 1e-6) - 0.5), rel=1e-6)
    far = coils.solenoid_mutual(COIL, COIL, 1e4)
    dipoles = 4e-7 * math.pi * math.pi / 2.0 * (50 * 0.025**2) ** 2 / 1e12
    assert far == pytest.approx(dipoles, rel=1e-6)


def test_turns_over_a_wide_range_of_wants():
    # from a wire as thick as allowed to one as thin as sold, and from one turn's inductance to a choke's
    inductance = np.geomspace(2e-6, 1.0, 25)
    for wire in (0.02e-3, 0.9e-3):
        turns = coils.turns_for_inductance(inductance, 0.03, pitch=1e-3, wire_diameter=wire)
        back = coils.solenoid_inductance(turns, 0.03, turns * 1e-3, wire)
        np.testing.assert_allclose(back, inductance, rtol=1e-13)
