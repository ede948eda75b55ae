"""Back from the bench: what readings tell of a part, and how surely.

Estimates with their uncertainty stand in `estimate`, `measured` and `coverage`; each way of measuring has a module.
"""

from calc.fitting.aerial import Added, added_when_retuned, added_when_shifted, apparent, fit_aerial
from calc.fitting.coupling import (
    coefficient_from_series,
    coefficient_from_short,
    coefficient_of,
    fit_series,
    fit_short,
)
from calc.fitting.coverage import chance_of_scatter, coverage_factor, normal_within, student_within
from calc.fitting.estimate import Combination, Estimate, fit, fit_linear
from calc.fitting.measured import Function, Measured, gradient, propagate
from calc.fitting.quality import (
    HALF_POWER,
    coil_resistance,
    fit_ratio,
    fit_width,
    quality_from_width,
    unloaded,
)
from calc.fitting.resonances import coil_from_resonances, coil_from_two_resonances, resonance
from calc.fitting.substitution import capacitance_across, capacitance_in_series, fit_across, fit_in_series

__all__ = [
    "HALF_POWER",
    "Added",
    "Combination",
    "Estimate",
    "Function",
    "Measured",
    "added_when_retuned",
    "added_when_shifted",
    "apparent",
    "capacitance_across",
    "capacitance_in_series",
    "chance_of_scatter",
    "coefficient_from_series",
    "coefficient_from_short",
    "coefficient_of",
    "coil_from_resonances",
    "coil_from_two_resonances",
    "coil_resistance",
    "coverage_factor",
    "fit",
    "fit_across",
    "fit_aerial",
    "fit_in_series",
    "fit_linear",
    "fit_ratio",
    "fit_series",
    "fit_short",
    "fit_width",
    "gradient",
    "normal_within",
    "propagate",
    "quality_from_width",
    "resonance",
    "student_within",
    "unloaded",
]
