"""Errors that all readings of a bench have in common: a meter's scale, the temperature, the value of a standard.

Such an error does not average out. Here it is one more unknown, and what is known of it is one more reading: the
fit then carries it into every result, and the covariance knows that it moves them together.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from calc.fitting.estimate import Estimate, estimated, prepared
from calc.fitting.measured import Function, moved_each
from calc.fitting.search import SETTLED
from calc.units import Array, require_finite, require_nonnegative

_ROUGHLY = 1e-10
"""Share of the readings to which a fit is made that only tells the uncertainties of the next."""


@dataclass(frozen=True)
class Shared:
    """A quantity that enters into every reading.

    Attributes:
        name: what it is called in the estimate.
        value: what it is taken for.
        uncertainty: standard, in the value's unit; zero where it is sure, and then it is no unknown.
    """

    name: str
    value: float
    uncertainty: float

    def __post_init__(self) -> None:
        require_finite(self.name, self.value)
        require_nonnegative(self.name, self.uncertainty)


SharedModel = Callable[[npt.NDArray[Any], npt.NDArray[Any]], Any]
"""What would be read [n], of the unknowns [p] and of the shared quantities in their order.

Each unknown and each quantity may also be a column [m, 1] of values, for which the readings are then [m, n].
"""


def fit_shared(
    model: SharedModel,
    start: npt.ArrayLike,
    readings: npt.ArrayLike,
    uncertainty: Callable[[Array, Array], npt.ArrayLike],
    shared: Sequence[Shared],
    names: Sequence[str],
    passes: int = 2,
    linear: bool = False,
) -> Estimate:
    """As `calc.fitting.fit`, with shared quantities, and with uncertainties that hang on what is found.

    What is read along both axes has an uncertainty along both. That of the abscissa counts as so much more in the
    ordinate as the curve is steep there, which is known only once there is a curve: so the fit is made again.

    Args:
        model: as `SharedModel`; made as `calc.fitting.Function`.
        start: where the search begins [p].
        readings: [n].
        uncertainty: of the unknowns and the shared quantities; gives the standard uncertainty of each reading [n].
        shared: the quantities that enter into every reading.
        names: of the unknowns [p].
        passes: how often the uncertainties are worked out.
        linear: whether the model's rates of change are the same everywhere.

    Returns:
        The estimate. Its unknowns are those of `names` and then the shared ones that are not sure; its readings are
        the readings, and then the values of those.

    Raises:
        InputError: as `calc.fitting.fit`.

    Accuracy: as there; the uncertainties are those at what a fit to 1e-10 of the readings has found. With uncertainties
        along both axes good while the curve is nearly straight over each of them.
    Source: J. Orear, Least squares when both variables have uncertainties, Am. J. Phys. 50 (1982) 912 (from memory).
    """
    first = np.asarray(start, dtype=np.float64)
    unsure = [index for index, each in enumerate(shared) if each.uncertainty > 0.0]
    known = np.array([each.value for each in shared])
    values = np.concatenate([first, known[unsure]])
    spread = np.array([shared[index].uncertainty for index in unsure])
    read = np.concatenate([np.asarray(readings, dtype=np.float64), known[unsure]])
    count = read.size - spread.size
    labels = (*names, *(shared[index].name for index in unsure))

    def parted(all_values: npt.NDArray[Any]) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
        others = np.empty((known.size, *all_values.shape[1:]), dtype=all_values.dtype)
        others.T[...] = known
        others[unsure] = all_values[first.size :]
        return all_values[: first.size], others

    def whole(all_values: npt.NDArray[Any]) -> npt.NDArray[Any]:
        return np.concatenate([model(*parted(all_values)), all_values[first.size :]])

    def slope(all_values: Array) -> Array:
        moved, step = moved_each(all_values)
        found = np.zeros((read.size, values.size))
        found[:count] = (model(*parted(moved.T[:, :, None])).imag / step[:, None]).T
        found[count:, first.size :] = np.eye(spread.size)
        return found

    def straight() -> tuple[Function, Array]:
        """A linear model and its rates."""
        table = slope(values)
        nought = whole(np.zeros_like(values))
        return lambda all_values: nought + table @ all_values, table

    read_off, rates = straight() if linear else (whole, slope)
    for left in reversed(range(passes)):
        own = np.broadcast_to(np.asarray(uncertainty(*parted(values)), dtype=np.float64), (count,))
        search, begin = prepared(read_off, values, read, np.concatenate([own, spread]), rates)
        values, last = search.best(begin, _ROUGHLY if left else SETTLED)
    return estimated(search, values, last, labels, True)
