"""How wide the tuned circuit listens: the half-power points on either side of its peak."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from calc.coupling.coil import DetectorTap, Tank
from calc.coupling.links import Aerial, Link
from calc.coupling.response import attenuation_factor, tuned_capacitance
from calc.roots import rising_root
from calc.units import Array, InputError, Values, plain, require_positive

_GROWTH = 1.25
_REACH = np.log(1000.0)
_STEPS = np.power(_GROWTH, np.arange(1, 81)) - 1.0
_OFFSETS = np.concatenate([-_STEPS[::-1], [0.0], _STEPS])
"""Where to look first, in half bandwidths from the tuned frequency: a quarter apart near it, then wider."""

Curve = Callable[[Array], Array]


def _half_width(curve: Callable[[Array], Any], frequency: Array) -> Array:
    """Half the bandwidth if F = 1/H were a straight line in frequency: |Im(F' conj F)| / |F'|**2."""
    step = 1e-4 * frequency
    below, there, above = curve(np.stack([frequency - step, frequency, frequency + step]))
    slope = (above - below) / (2.0 * step)
    width = np.abs(np.imag(np.conj(slope) * there)) / np.abs(slope) ** 2
    return np.asarray(np.clip(width, 1e-12 * frequency, frequency))


def _downhill(levels: Array) -> Any:
    """For each column, the index of the low point that is reached by walking down from its middle."""
    middle = levels.shape[0] // 2
    rightward = np.diff(levels[middle:], axis=0) < 0.0
    leftward = np.diff(levels[middle::-1], axis=0) < 0.0
    stop = np.zeros((1, *levels.shape[1:]), dtype=bool)
    to_right = np.argmin(np.concatenate([rightward, stop]), axis=0)
    to_left = np.argmin(np.concatenate([leftward, stop]), axis=0)
    index = np.where(levels[middle + 1] <= levels[middle - 1], middle + to_right, middle - to_left)
    return np.clip(index, 1, levels.shape[0] - 2)


def _at(places: Array, index: Any) -> Array:
    """The element of each column that `index` names."""
    return np.asarray(np.take_along_axis(places, index[None], axis=0)[0])


def _first(places: Array, beyond: Any, otherwise: Array) -> tuple[Array, Array, Any]:
    """In each column the first of `places` that lies beyond, the one before it, and whether there is one."""
    index = np.argmax(beyond, axis=0)
    exists = np.any(beyond, axis=0)
    before = _at(places, np.maximum(index - 1, 0))
    return np.where(exists, _at(places, index), otherwise), np.where(exists, before, otherwise), exists


def _lowest(curve: Curve, least: Array, start: Array, most: Array) -> Array:
    """Where `curve` is lowest between `least` and `most`: Newton's rule on parabolas through three points."""
    step = 1e-4 * (most - least)
    place = start
    for _ in range(40):
        left, centre, right = curve(np.stack([place - step, place, place + step]))
        curvature = np.abs(right - 2.0 * centre + left)
        move = -0.5 * step * (right - left) / np.where(curvature > 0.0, curvature, np.inf)
        new_place = np.clip(place + move, least, most)
        converged = np.all(np.abs(new_place - place) <= 1e-9 * (most - least))
        place = new_place
        if converged:
            break
    return place


def bandwidth(
    frequency: Values,
    aerial: Aerial,
    link: Link,
    tank: Tank,
    load_resistance: Values = np.inf,
    detector_tap: DetectorTap | None = None,
) -> Any:
    """Width of the response between its half-power points, the tank tuned to a frequency.

    The capacitor is the one of `tuned_capacitance`. It then stays, the frequency varies, and |H|**2 is
    followed from the tuned frequency up to the peak next to it (a broad circuit's is not quite at the tuned
    frequency) and from there down on either side to half of that peak. Where two peaks of a double-humped
    response lie less than 3 dB above the hollow between them, both are inside. The first of two tuned circuits in
    a row stays as it is; `tune` sets it.

    Args:
        frequency: tuned to. Scalar or array [Hz].
        aerial: source impedance, anything with `impedance(frequency)`.
        link: how the aerial is joined to the tank.
        tank: the tuned circuit; its own capacitance is not used.
        load_resistance: across the detector's terminals; infinite for none. Scalar or array [ohm].
        detector_tap: of the tank coil, on which the detector is; None for the whole tank.

    Returns:
        Bandwidth [Hz]; infinite where the response never falls to half power above the peak, or is loaded so
        heavily that it has no peak of its own within an octave. Counted from zero where the response never
        falls to half power below the peak. A thousandth to a thousand times the frequency is searched.

    Raises:
        InputError: a value out of range; a frequency that cannot be tuned; a link that passes nothing.

    Accuracy: both points are found to rounding; the error of their difference is about 1e-15 of the
    frequency.
    """
    capacitance = np.asarray(tuned_capacitance(frequency, aerial, link, tank, load_resistance, detector_tap))
    if np.any(capacitance < 0.0):
        raise InputError(
            "frequency", "must be low enough to be tuned: this circuit lies below it without any capacitor"
        )
    tuned = replace(tank, capacitance=capacitance)

    def inverse(at: Array) -> Any:
        return attenuation_factor(at, aerial, link, tuned, load_resistance, detector_tap)

    def loss(at: Array) -> Array:
        factor = inverse(at)
        return np.asarray(factor.real**2 + factor.imag**2)

    centre = np.broadcast_to(require_positive("frequency", frequency), capacitance.shape)
    offsets = _OFFSETS.reshape((-1,) + (1,) * centre.ndim) * (_half_width(inverse, centre) / centre)
    places = centre * np.exp(np.clip(offsets, -_REACH, _REACH))
    losses = loss(places)

    nearest = _downhill(losses)
    least, start, most = (_at(places, nearest + i) for i in (-1, 0, 1))
    peak = _lowest(loss, least, start, most)
    at_peak = loss(peak)

    outside = losses >= 2.0 * at_peak
    outer_low, inner_low, low_exists = _first(places[::-1], (outside & (places < peak))[::-1], peak)
    outer_high, inner_high, high_exists = _first(places, outside & (places > peak), peak)
    rising = np.array([-1.0, 1.0]).reshape((2,) + (1,) * centre.ndim)

    def beyond(at: Array) -> Array:
        # by how much the distance from the peak is more than half the width; of one circuit almost a straight line
        return rising * (np.sqrt(np.maximum(loss(at) / at_peak - 1.0, 0.0)) - 1.0)

    lower, upper = rising_root(
        beyond,
        np.stack([outer_low, np.maximum(inner_high, peak)]),
        np.stack([np.minimum(inner_low, peak), outer_high]),
    )
    lower = np.where(low_exists, lower, 0.0)
    own_peak = (peak > 0.5 * centre) & (peak < 2.0 * centre)
    return plain(np.where(high_exists & own_peak, upper - lower, np.inf))
