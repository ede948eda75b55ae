"""What bench forms share: fields for uncertainty, rows and words that show it, pictures of readings, advice."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calc import units
from calc.fitting import Estimate, Measured, coverage_factor
from calc.forms.fields import Field, ShownWhen
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Row, Rule, Series

HOW_SURE = "How sure"
"""Legend of the fields that ask for uncertainty."""
TWO_IN_THREE = "Two readings in three lie within it. If you only know limits, take six tenths of them."
OR_SCATTER = "Leave all of these empty to let the scatter of the readings tell."

_UNLIKELY = 0.01


def share_field(
    name: str,
    label: str,
    default: str,
    help: str = "",
    *,
    optional: bool = True,
    shown_when: ShownWhen | None = None,
) -> Field:
    """A field for a standard uncertainty as a share of its reading."""
    return Field(
        name,
        label,
        "%",
        default,
        1e-5,
        0.3,
        help=help,
        bare="%",
        optional=optional,
        shown_when=shown_when,
        group=HOW_SURE,
    )


def known(value: float, share: float) -> Measured:
    """A value whose standard uncertainty is a share of it."""
    return Measured(value, share * value)


# --- figures with their uncertainty -------------------------------------------------------------------------------


def steady(found: Measured, places: int = 9) -> Measured:
    """A figure as far as it means anything, so that no last digits of rounding are shown as if they told something.

    The uncertainty to six figures, and the value to so many decimal places of that uncertainty or so: nine, or six
    where unknowns that hardly can be told apart let rounding grow.
    """
    spread = found.uncertainty
    if spread is None or not math.isfinite(spread) or spread == 0.0:
        return found
    grain = 10.0 ** (math.floor(math.log10(spread)) - places)
    if found.value + grain == found.value:
        return found
    return found._replace(value=round(found.value / grain) * grain, uncertainty=float(f"{spread:.5e}"))


def half_width(found: Measured) -> float | None:
    """Half the width of the 95 % interval; None where there is none."""
    if found.uncertainty is None or not math.isfinite(found.uncertainty):
        return None
    return coverage_factor(0.95, found.degrees_of_freedom) * found.uncertainty


def with_uncertainty(found: Measured, unit: str) -> str:
    """A value and half the width of its 95 % interval, two figures of that: "230.9 ± 1.6 µH"."""
    half = half_width(found)
    if half is None:
        return units.format(found.value, unit)
    if half <= 1e-9 * abs(found.value):
        return f"{units.format(found.value, unit, 6)} ± 0"
    factor, name = units.scale(max(abs(found.value), half), unit)
    decimals = min(max(0, 1 - math.floor(math.log10(half / factor))), 9)
    value = f"{found.value / factor:.{decimals}f}".replace("-", "−")
    return f"{value} ± {half / factor:.{decimals}f} {name}".strip()


def from_to(least: float, most: float, unit: str) -> str:
    """An interval in words, as many figures as its width bears: "229.3 to 232.5 µH"."""
    factor, name = units.scale(max(abs(least), abs(most)), unit)
    half = 0.5 * (most - least) / factor
    decimals = min(max(0, 1 - math.floor(math.log10(half))), 9) if half > 0.0 else 4
    low, high = (f"{bound / factor:.{decimals}f}".replace("-", "−") for bound in (least, most))
    return f"{low} to {high} {name}".strip()


def measured_row(key: str, label: str, found: Measured, unit: str, how: str) -> Row:
    """A row for a figure with its uncertainty; `how` says whence it comes, and how sure is added."""
    found = steady(found)
    half = half_width(found)
    if half is None:
        why = "the readings do not decide it" if found.uncertainty is not None else "nothing tells how sure it is"
        return Row(key, label, found.value, unit, how=f"{how}; {why}", digits=3)
    least, most = found.value - half, found.value + half
    factor, name = units.scale(max(abs(found.value), half), unit)
    spread = "0" if not found.uncertainty else f"{units.number(found.uncertainty / factor, 2)} {name}".strip()
    sure = f"95 %: {from_to(least, most, unit)}; standard uncertainty {spread}"
    return Row(
        key,
        label,
        found.value,
        unit,
        how=f"{how}; {sure}",
        text=with_uncertainty(found, unit),
        uncertainty=found.uncertainty,
        interval=(least, most),
    )


def how_sure(found: Measured, unit: str) -> str:
    """The second half of an answer's sentence."""
    half = half_width(found)
    if half is None:
        return "nothing tells how sure that is" if found.uncertainty is None else "the readings do not decide it"
    if half <= 1e-9 * abs(found.value):
        return "the readings agree to the last digit"
    if found.value and half >= abs(found.value):
        return "by these readings it may be anything down to nought"
    return f"19 times in 20 the truth lies from {from_to(found.value - half, found.value + half, unit)}"


# --- readings against what was fitted -----------------------------------------------------------------------------


def settled(values: npt.ArrayLike, scale: float) -> npt.NDArray[np.float64]:
    """Values for a picture, to a millionth of `scale` or so: near nought their last digits are rounding alone."""
    grain = 10.0 ** (math.floor(math.log10(scale)) - 6) if scale > 0.0 else 1.0
    return np.asarray(np.round(np.asarray(values, dtype=np.float64) / grain) * grain + 0.0)


def residual_columns(unit: str, label: str) -> tuple[Column, ...]:
    """Columns for what was read, what the fit gives there, and what is left."""
    return (
        Column("read", f"{label}, read", unit, 5),
        Column("fitted", f"{label}, fitted", unit, 5),
        Column("residual", "Left over", unit, 2),
        Column("standardised", "Left over by its own uncertainty", "", 2),
    )


def _left(estimate: Estimate, place: int) -> float:
    """What is left of a reading, as far as it means anything."""
    sigma = None if estimate.uncertainty is None else float(estimate.uncertainty[place])
    return steady(Measured(float(estimate.residuals[place]), sigma), 6).value


def residual_cells(estimate: Estimate, place: int) -> list[float | str | None]:
    """Cells for `residual_columns`."""
    residual = _left(estimate, place)
    wrong = round(float(estimate.standardised[place]), 6)
    return [
        float(estimate.readings[place]),
        float(estimate.readings[place]) - residual,
        residual if residual else "none",
        (wrong if abs(wrong) > 1e-6 else "none") if estimate.uncertainty is not None else None,
    ]


def residual_chart(estimate: Estimate, x: Axis, places: npt.ArrayLike, unit: str, what: str) -> Chart:
    """What is left of each reading, and the bounds within which 19 in 20 lie."""
    at = np.asarray(places, dtype=np.float64)
    sigma = np.zeros(at.size) if estimate.uncertainty is None else estimate.uncertainty[: at.size]
    left = np.array([_left(estimate, place) for place in range(at.size)])
    bound = np.array([float(f"{each:.5e}") for each in coverage_factor(0.95) * sigma])
    most = 1.25 * max(float(np.max(np.abs(left))), float(np.max(bound)), 1e-9 * float(np.max(np.abs(estimate.fitted))))
    order = np.argsort(at, kind="stable")
    odd = estimate.odd()
    series = [
        Series("upper", "19 readings in 20 lie below this", at[order], bound[order]),
        Series("lower", "and above this", at[order], -bound[order]),
    ]
    return Chart(
        key="residuals",
        title="What is left over",
        summary=(
            f"Of {at.size} readings of {what}, numbered as in the table, none departs more than "
            f"{units.format(float(np.max(np.abs(left))), unit, 2)} from what was fitted."
        ),
        x=x,
        y=Axis("Read less fitted", unit, -most, most),
        series=series,
        marks=[
            Mark(str(place + 1), float(at[place]), float(left[place]), emphasis=place in odd)
            for place in range(at.size)
        ],
        rules=(Rule("", "y", 0.0),),
    )


def each_chart(key: str, title: str, label: str, each: Sequence[float], found: Measured, unit: str) -> Chart:
    """What each reading by itself gives, and the mean of all with its interval."""
    count, found = len(each), steady(found)
    half = half_width(found) or 0.0
    least, most = min(*each, found.value - half), max(*each, found.value + half)
    margin = 0.15 * (most - least) or 0.05 * abs(found.value) or 1.0
    ends = np.array([0.5, count + 0.5])
    series = [Series("mean", "all together", ends, np.full(2, found.value))]
    if half > 0.0:
        series += [
            Series("low", "19 times in 20 above this", ends, np.full(2, found.value - half)),
            Series("high", "and below this", ends, np.full(2, found.value + half)),
        ]
    return Chart(
        key=key,
        title=title,
        summary=(
            f"Taken one by one the readings give {from_to(min(each), max(each), unit)}; all together "
            f"{with_uncertainty(found, unit)}."
        ),
        x=Axis("Reading", "", 0.5, count + 0.5),
        y=Axis(label, unit, least - margin, most + margin),
        series=series,
        marks=[Mark(str(place + 1), place + 1.0, value) for place, value in enumerate(each)],
    )


# --- advice -------------------------------------------------------------------------------------------------------


def scatter_advice(estimate: Estimate, numbers: Sequence[str] = ()) -> list[Advice]:
    """What the scatter says: readings that are odd, a scatter that is not as stated, or that nothing tells.

    Args:
        estimate: the fit.
        numbers: what to call each reading; 1, 2 and so on where none are given.
    """
    found = []
    names = [numbers[place] if numbers else f"reading {place + 1}" for place in estimate.odd()]
    if names:
        them = "it" if len(names) == 1 else "them"
        found.append(
            Advice(f"Not of a piece with the rest: {', '.join(names)}. Take {them} again before you strike {them} out.")
        )
    if estimate.uncertainty is None:
        found.append(
            Advice(
                "There are as many readings as unknowns, so nothing tells how sure the answer is. State how sure your "
                "readings are, or take more of them."
            )
        )
    chance, scatter = estimate.chance, estimate.scatter
    if chance is not None and scatter is not None and chance < _UNLIKELY:
        found.append(
            Advice(
                f"The readings scatter {units.number(scatter, 2)} times as far as you stated. Either they are less "
                "sure than that, or something is at work that the formula leaves out."
            )
        )
    elif chance is not None and scatter is not None and chance > 1.0 - _UNLIKELY:
        found.append(
            Advice(
                f"The readings scatter only {units.number(scatter, 2)} times as far as you stated: they may be surer "
                "than you think, unless what they have in common is what is off."
            )
        )
    elif not estimate.stated and 0 < estimate.degrees_of_freedom < 3:
        found.append(
            Advice(
                "The scatter of so few readings is itself a poor witness, which is why the interval is wide. Two or "
                "three more readings narrow it most."
            )
        )
    return found


COMMON = Advice(
    "What all readings have in common: a dial or meter that is off by the same share everywhere does not show in the "
    "scatter, and no number of readings takes it out.",
    "limit",
)
