"""The detector: what an exponential diode makes of a carrier."""

from calc.detectors.bessel import bessel_drive
from calc.detectors.catalogue import Preset, presets
from calc.detectors.diode import Diode, saturation_current_at, warmed
from calc.detectors.rectifier import Rectified, rectify

__all__ = [
    "Diode",
    "Preset",
    "Rectified",
    "bessel_drive",
    "presets",
    "rectify",
    "saturation_current_at",
    "warmed",
]
