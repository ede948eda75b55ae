"""The curve of what passes at one setting of the dial."""

from collections.abc import Sequence

import numpy as np

from calc import units
from calc.coupling import Aerial, DetectorTap, Link, Tank, tune, voltage_transfer
from calc.forms.receiver.build import ChosenSet
from calc.forms.results import Axis, Chart, Mark, Series
from calc.receiver import Receiver
from calc.units import Array

_NOTHING_DRAWN = 1e12
"""Ohms across a tank that nobody could find."""
_LEAST_CAPACITANCE = 1e-15
"""Stands for a tank that has none [F]."""
_AWAY = np.geomspace(2e-4, 1.0, 32)
"""From the tuned frequency, as parts of the way to the farther end of the curve."""


def drawn_by(input_resistance: float) -> float:
    """A detector's input resistance; infinite for one that draws nothing to speak of, as when cut off [ohm]."""
    return input_resistance if input_resistance < _NOTHING_DRAWN else np.inf


def curve(chosen: ChosenSet, set_: Receiver, tuned: float, load: float) -> Chart:
    """What the tank hands on over the district's frequencies, the set tuned to one.

    Args:
        chosen, set_: the set, and as it is with its coils' losses at the frequency to which it is tuned.
        tuned: that frequency [Hz].
        load: input resistance of the detector [ohm].
    """
    tuning = tune(tuned, set_.aerial, set_.link, set_.tank, detector_tap=set_.detector_tap)
    total = np.maximum(np.asarray(tuning.tank.capacitance), _LEAST_CAPACITANCE)
    tank = Tank(tuning.tank.inductance, tuning.tank.resistance, total)
    lowest, highest = min(chosen.frequencies.min(), tuned), max(chosen.frequencies.max(), tuned)
    reach = max(0.5 * (highest - lowest), 0.06 * tuned)
    over = _around(tuned, max(lowest - 0.4 * reach, 0.3 * tuned), highest + 0.4 * reach)
    at = np.concatenate([over, [tuned], chosen.frequencies])
    aerial = chosen.curve_aerial
    down = _response(at, aerial, tuning.link, tank, load, set_.detector_tap)
    down = down - down[over.size]
    marks = _marks(chosen.names, chosen.frequencies, down[over.size + 1 :], tuned)
    told = "; ".join(f"{mark.label} {units.format(mark.y, 'dB')}" for mark in marks)
    return Chart(
        key="selectivity",
        title=f"What passes with the dial at {units.format(tuned, 'Hz')}",
        summary=f"Detector voltage for equal fields, against {units.format(tuned, 'Hz')}: {told}.",
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis(
            "Detector voltage for equal fields", "dB", float(min(down.min(), -20.0)), float(max(down.max(), 0.0) + 3.0)
        ),
        series=(Series("response", "Response", over, down[: over.size]),),
        marks=marks,
    )


def _response(frequency: Array, aerial: Aerial, link: Link, tank: Tank, load: float, tap: DetectorTap | None) -> Array:
    """Detector voltage for an e.m.f. [dB], of the shape of `frequency`."""
    passed = np.abs(voltage_transfer(frequency, aerial, link, tank, load, tap))
    return np.asarray(20.0 * np.log10(np.maximum(passed, 1e-30))).reshape(-1)


def _marks(names: Sequence[str], frequencies: Array, down: Array, tuned: float) -> list[Mark]:
    return [
        Mark(name, frequency, y, emphasis=frequency == tuned)
        for name, frequency, y in zip(names, frequencies.tolist(), down.tolist(), strict=True)
    ]


def _around(tuned: float, least: float, most: float) -> Array:
    """Frequencies over a range, crowded about the tuned one [Hz]."""
    away = _AWAY * max(tuned - least, most - tuned)
    every = np.concatenate([tuned - away, [tuned], tuned + away, [least, most]])
    return np.unique(every[(every >= least) & (every <= most)])
