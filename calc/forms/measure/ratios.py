"""Figures of which the logarithm was fitted: sure to a share or a factor, and shown so."""

import math

from calc import units
from calc.fitting import Measured
from calc.forms.measure.shared import from_to, half_width, steady, with_uncertainty
from calc.forms.results import Row

_NEARLY_EVEN = 0.1
"""Half width of the interval, as a share, up to which one is as far above as the other below."""


def _bounds(log_found: Measured) -> tuple[float, float] | None:
    interval = log_found.interval()
    if interval is None or interval[1] > 300.0:
        return None
    return math.exp(interval[0]), math.exp(interval[1])


def with_ratio(log_found: Measured, unit: str) -> str:
    """The figure and its 95 % interval: "0.81 ± 0.03 µA", or "0.81 µA (0.4 to 1.6 µA)" if that is wide."""
    value, half, bounds = math.exp(log_found.value), half_width(log_found), _bounds(log_found)
    if half is None or bounds is None:
        return units.format(value, unit, 3)
    if half <= _NEARLY_EVEN:
        return with_uncertainty(Measured(value, _spread(log_found), log_found.degrees_of_freedom), unit)
    low, high = (units.format(bound, unit, 2) for bound in bounds)
    return f"{units.format(value, unit, 2)} ({low} to {high})"


def _spread(log_found: Measured) -> float:
    return math.exp(log_found.value) * (log_found.uncertainty or 0.0)


def ratio_row(key: str, label: str, log_found: Measured, unit: str, how: str) -> Row:
    """As `measured_row`, for a figure of which the logarithm was fitted: the interval is by ratio, and so uneven."""
    log_found = steady(log_found, 6)
    value, bounds = math.exp(log_found.value), _bounds(log_found)
    if bounds is None:
        return Row(key, label, value, unit, how=f"{how}; the readings do not decide it", digits=3)
    spread = _spread(log_found)
    half = half_width(log_found)
    assert half is not None, "there are bounds"
    sure = (
        from_to(*bounds, unit) if half <= _NEARLY_EVEN else " to ".join(units.format(each, unit, 2) for each in bounds)
    )
    return Row(
        key,
        label,
        value,
        unit,
        how=f"{how}; 95 %: {sure}; standard uncertainty {units.format(spread, unit, 2)}",
        text=with_ratio(log_found, unit),
        uncertainty=spread,
        interval=bounds,
    )
