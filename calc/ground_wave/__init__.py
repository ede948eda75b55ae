"""Ground wave: the field that a transmitter lays down along the ground, by day and night."""

from calc.ground_wave.field import (
    Ground,
    Section,
    field_along_path,
    field_strength,
    grounds,
    mixed_path_field,
    unattenuated_field,
)
from calc.ground_wave.flat_earth import flat_attenuation, numerical_distance, surface_impedance
from calc.ground_wave.sky_wave import night_sky_wave

__all__ = [
    "Ground",
    "Section",
    "field_along_path",
    "field_strength",
    "flat_attenuation",
    "grounds",
    "mixed_path_field",
    "night_sky_wave",
    "numerical_distance",
    "surface_impedance",
    "unattenuated_field",
]
