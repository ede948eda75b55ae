"""The power that reaches the load: what a detector lives on, and what the best setting makes greatest."""

from typing import Any, NamedTuple

import numpy as np

from calc import loads
from calc.coupling.coil import DetectorTap, Tank
from calc.coupling.links import Aerial, Link
from calc.coupling.pairs import tune
from calc.coupling.response import voltage_transfer
from calc.units import Array, Values, plain, require_positive


def power_into_load(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values,
    detector_tap: DetectorTap | None = None,
) -> Any:
    """Power into the load from an e.m.f. of 1 V rms in the aerial: |H|**2 / R.

    It is never more than `available_power(1.0, resistance of the aerial)`, and as much only at the match with no loss
    on the way.

    Args:
        frequency: of the e.m.f. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit, with its capacitance.
        load_resistance: across the detector's terminals; infinite for none. Scalar or array [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Power per square of the e.m.f. [W/V**2].

    Raises:
        InputError: frequency or load_resistance is not above zero.

    Accuracy: rounding alone.
    """
    transfer = np.abs(voltage_transfer(frequency, aerial, link, tank, load_resistance, detector_tap))
    return plain(transfer**2 * loads.conductance("load_resistance", load_resistance))


class TunedPower(NamedTuple):
    """Power at each of some tunings from each of some stations.

    Attributes:
        power: per square of the e.m.f., [..., tunings, stations] [W/V**2].
        reached: whether the set can be tuned there, [..., tunings, 1]; where not, its capacitors stand at nothing.
    """

    power: Array
    reached: Any


def tuned_power(
    tuned_to: Values,
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values,
    detector_tap: DetectorTap | None = None,
) -> TunedPower:
    """Power into the load from every station at every tuning, for many settings of the parts at once.

    Settings to be compared go in further axes in front: a link of coefficients [60, 1, 1] gives [60, tunings,
    stations]. All tuned circuits are tuned, with no load on them, as by `tune`.

    Args:
        tuned_to: frequencies to which the set is tuned, [tunings] or scalar [Hz].
        frequency: of the stations, [stations] or scalar [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link, tank: how the aerial is joined to the tank; their own capacitances of tuning are not used. Values inside
            broadcast with [..., tunings, 1].
        load_resistance: across the detector's terminals, broadcast with [..., tunings, stations] [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Powers, and which tunings can be reached.

    Raises:
        InputError: a value out of range.
    """
    tunings = np.atleast_1d(require_positive("tuned_to", tuned_to))[:, None]
    carriers = np.atleast_1d(require_positive("frequency", frequency))
    tuning = tune(tunings, aerial, link, tank, detector_tap=detector_tap)
    power = power_into_load(carriers, aerial, tuning.link, tuning.tank, load_resistance, detector_tap)
    return TunedPower(np.asarray(power), tuning.reached)
