"""The set's dial scale at true size, with the district's stations."""

from typing import Any

import numpy as np

from calc import bands, units
from calc.coupling import tune
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.outcome import Outcome, outcome_of
from calc.forms.sheets import PAPERS, Grid, Picture, Sheet, Words
from calc.forms.sheets.dial_scale import DialScale, Marked, turned_or_not
from calc.forms.sheets.printer_check import printer_check
from calc.units import Array

_MM = 1e3
_STEPS = ((500.0, 5.0), (2000.0, 10.0))
"""Up to which highest frequency [kHz] ticks are so far apart [kHz]."""
_WIDEST_STEP = 20.0
_MOST_TICKS = 400


def dial_sheet(**v: Any) -> Sheet:
    """The scale for a knob, the capacitor's law and strays being those of the form."""
    chosen = ChosenSet(v)
    outcome = outcome_of(chosen, str(v["link"]))
    radius, sweep, paper = _MM * v["knob_radius"], v["dial_turn"], PAPERS[v["paper"]]
    turned = turned_or_not(radius, sweep, (paper.room(), paper.room(turned=True)))
    scale = DialScale(radius, sweep, v["dial_sense"] == "clockwise", *_frequencies(chosen), _marked(outcome))
    told = [
        "Cut the paper out, and lay it under the knob with the cross on the spindle. With the plates fully out the "
        "pointer must stand at 0, fully in at 100.",
        "Stations and kilohertz are worked out for these parts. When the set is built, see where the first stations "
        "come: if all lie off one way, change the strays in the form until they agree, and print again.",
    ]
    return Sheet(
        "Dial scale",
        _lead(chosen, radius, sweep),
        v["paper"],
        (Picture(scale.drawing(paper.room(turned))), *printer_check(), _places(outcome), Words(told)),
        turned,
    )


def _lead(chosen: ChosenSet, radius: float, sweep: float) -> str:
    least, most = chosen.capacitor
    law = {
        "capacitance": "half-round plates",
        "wavelength": "square-law plates",
        "frequency": "plates for equal steps of frequency",
        "table": "the law as measured",
    }[chosen.values["law"]]
    return (
        f"For a knob of {units.number(radius)} mm radius that turns through {units.number(sweep)}°; capacitor "
        f"{units.format(least, 'F', 3)} to {units.format(most, 'F', 3)}, {law}."
    )


def _marked(outcome: Outcome) -> list[Marked]:
    """The stations that the dial reaches."""
    own = outcome.heard.own_capacitance
    return [
        Marked(name, float(outcome.chosen.dial_position(own[index])) / 100.0)
        for index, name in enumerate(outcome.chosen.names)
        if outcome.reachable[index]
    ]


def _frequencies(chosen: ChosenSet) -> tuple[Array, Array]:
    """Round frequencies that the dial reaches [kHz], and the turns at which it does."""
    least, most = chosen.capacitor
    inductance = chosen.winding.inductance
    top = 1e-3 * float(bands.resonant_frequency(inductance, least + chosen.strays))
    bottom = 0.3e-3 * float(bands.resonant_frequency(inductance, most + chosen.strays))
    step = next((step for highest, step in _STEPS if top <= highest), _WIDEST_STEP)
    step = max(step, 10.0 * np.ceil((top - bottom) / (10.0 * _MOST_TICKS)))
    khz = step * np.arange(np.ceil(bottom / step), np.floor(1.3 * top / step) + 1.0)
    if khz.size == 0:
        return khz, khz
    hertz = 1e3 * khz
    set_ = chosen.receiver(at=hertz)
    tuned = tune(hertz[:, None], chosen.curve_aerial, set_.link, set_.tank, detector_tap=set_.detector_tap)
    own = np.broadcast_to(np.asarray(tuned.tank.capacitance), (khz.size, 1))[:, 0] - chosen.strays
    reached = np.broadcast_to(np.asarray(tuned.reached), (khz.size, 1))[:, 0] & (own >= least) & (own <= most)
    return khz[reached], np.asarray(chosen.dial_position(own[reached])) / 100.0


def _places(outcome: Outcome) -> Grid:
    """Each station in full, with its place."""
    chosen, own = outcome.chosen, outcome.heard.own_capacitance
    rows = []
    for index in np.argsort(-chosen.frequencies).tolist():
        place = "off the dial"
        if outcome.reachable[index]:
            place = f"{float(chosen.dial_position(own[index])):.1f}"
        rows.append((chosen.names[index], units.format(float(chosen.frequencies[index]), "Hz"), place))
    return Grid("Stations", ("Station", "Frequency", "Dial"), rows, (5, 2, 2), numbers=(1, 2))
