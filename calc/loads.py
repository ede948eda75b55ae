"""Load resistances, which may be absent."""

import numpy as np

from calc.units import Array, InputError, Values


def conductance(argument: str, resistance: Values) -> Array:
    """1/R of a load that may be infinite, which stands for no load.

    Args:
        argument: what to call the resistance in an error.
        resistance: scalar or array [ohm].

    Returns:
        Conductance [S].

    Raises:
        InputError: the resistance is not above zero.
    """
    try:
        values = np.asarray(resistance, dtype=np.float64)
    except (TypeError, ValueError):
        raise InputError(argument, "must be a number") from None
    if not np.all(values > 0.0):
        raise InputError(argument, "must be greater than zero (infinite for no load)")
    return 1.0 / values
