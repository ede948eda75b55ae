"""Back from the bench: what readings tell of a part, and how surely.

Estimates with their uncertainty stand in `estimate`, `measured` and `coverage`; each way of measuring has a module.
"""

from calc.fitting.coverage import chance_of_scatter, coverage_factor, normal_within, student_within
from calc.fitting.estimate import Combination, Estimate, fit, fit_linear
from calc.fitting.measured import Function, Measured, gradient, propagate
from calc.fitting.resonances import coil_from_resonances, coil_from_two_resonances, resonance

__all__ = [
    "Combination",
    "Estimate",
    "Function",
    "Measured",
    "chance_of_scatter",
    "coil_from_resonances",
    "coil_from_two_resonances",
    "coverage_factor",
    "fit",
    "fit_linear",
    "gradient",
    "normal_within",
    "propagate",
    "resonance",
    "student_within",
]
