"""Coils: inductance, mutual inductance, loss and self-capacitance of what can be wound by hand."""

from calc.coils.elliptic import circle_mutual, nagaoka
from calc.coils.ferrite import FerriteRod, rod_coil_inductance, rod_coil_loss
from calc.coils.formers import equivalent_diameter, polygon_side
from calc.coils.losses import (
    layered_resistance,
    litz_resistance,
    low_frequency_proximity,
    proximity_factor,
    quality_factor,
    solenoid_resistance,
    solenoid_wire_length,
)
from calc.coils.mutual import (
    coupling_coefficient,
    distance_for_coefficient,
    distances_where,
    mutual_inductance,
    solenoid_mutual,
    turned_mutual,
)
from calc.coils.planning import (
    Tap,
    WholeTurns,
    layers_that_hold,
    tapped_solenoid,
    turns_that_fit,
    whole_turns,
)
from calc.coils.resonance import (
    apparent_impedance,
    dielectric_resistance,
    effective_inductance,
    effective_quality_factor,
    self_capacitance,
    self_resonance,
)
from calc.coils.solenoid import (
    round_wire_mutual_correction,
    round_wire_self_correction,
    solenoid_inductance,
    turns_for_inductance,
)
from calc.coils.turns import LayeredCoil, Rings, ring_inductance, straight_wire_inductance
from calc.coils.windings import (
    Cone,
    Multilayer,
    Solenoid,
    Spiral,
    Winding,
    conical_inductance,
    multilayer_inductance,
    spiral_inductance,
)

__all__ = [
    "Cone",
    "FerriteRod",
    "LayeredCoil",
    "Multilayer",
    "Rings",
    "Solenoid",
    "Spiral",
    "Tap",
    "WholeTurns",
    "Winding",
    "apparent_impedance",
    "circle_mutual",
    "conical_inductance",
    "coupling_coefficient",
    "dielectric_resistance",
    "distance_for_coefficient",
    "distances_where",
    "effective_inductance",
    "effective_quality_factor",
    "equivalent_diameter",
    "layered_resistance",
    "layers_that_hold",
    "litz_resistance",
    "low_frequency_proximity",
    "multilayer_inductance",
    "mutual_inductance",
    "nagaoka",
    "polygon_side",
    "proximity_factor",
    "quality_factor",
    "ring_inductance",
    "rod_coil_inductance",
    "rod_coil_loss",
    "round_wire_mutual_correction",
    "round_wire_self_correction",
    "self_capacitance",
    "self_resonance",
    "solenoid_inductance",
    "solenoid_mutual",
    "solenoid_resistance",
    "solenoid_wire_length",
    "spiral_inductance",
    "straight_wire_inductance",
    "tapped_solenoid",
    "turned_mutual",
    "turns_for_inductance",
    "turns_that_fit",
    "whole_turns",
]
