"""What to think of between detector and ear: cells, matching, the load to d.c. and to audio, the by-pass."""

import numpy as np

from calc import units
from calc.audio_load import clipping_depth, corner_frequency, cure_for
from calc.forms.receiver.build.ears import preset_of
from calc.forms.receiver.outcome import Outcome
from calc.forms.receiver.verdicts import join
from calc.forms.results import Advice

_LOW_IMPEDANCE = 2e3
"""Earphones below it are of the kind that is made for a transformer [ohm]."""

_DEEP = 0.8
"""Depth that loud passages of any programme reach."""

_STRONG = 3.0
"""Voltage over the detector's nkT/q from which it rectifies by envelopes, so that clipping means something."""

_MOST_VOLTAGE = 8.0
"""Behind the detector at the crests of the modulation, up to which the sums are trusted: twice that is across the
detector in reverse there [V]."""

_HIGHEST_NOTE = 4500.0
"""Of a broadcast in channels of 9 kHz [Hz]."""

_LOWEST_NOTE = 300.0
"""That the capacitor of a cure must pass for speech and most music [Hz]."""


def parts_advice(outcome: Outcome) -> list[Advice]:
    """What the chosen detector, load and by-pass want."""
    return [
        *_battery(outcome),
        *_match(outcome),
        *_overdriven(outcome),
        *_mismatch(outcome),
        *_dull(outcome),
        *_assumed(outcome),
    ]


def _battery(outcome: Outcome) -> list[Advice]:
    helpers = ["a bias cell"] if outcome.chosen.values["bias"] else []
    helpers += ["an amplifier"] if outcome.chosen.phones.has_battery else []
    return [Advice(f"With {' and '.join(helpers)} it is no longer a set without a battery.")] if helpers else []


def _match(outcome: Outcome) -> list[Advice]:
    """A transformer for earphones of low impedance, by the output of the detector on the faintest station."""
    impedance = float(np.asarray(outcome.chosen.phones.earphone.impedance))
    if outcome.chosen.values["transformer"] == "yes" or impedance >= _LOW_IMPEDANCE or not outcome.reachable.any():
        return []
    source = float(np.nanmax(outcome.heard.outputs))
    ratio = float(np.sqrt(source / impedance))
    if ratio < 2.0:
        return []
    return [
        Advice(
            f"The detector's output is of up to {units.format(source, 'ohm', 2)}, the earphones of "
            f"{units.format(impedance, 'ohm', 2)}: most is lost between them. A matching transformer of about "
            f"{units.number(float(f'{ratio:.2g}'))} to 1 hands it on."
        )
    ]


def _overdriven(outcome: Outcome) -> list[Advice]:
    """A station that puts more on the detector than the law of its current is good for."""
    load, chosen = outcome.receiver.load, outcome.chosen
    if load is None or not outcome.reachable.any():
        return []
    behind = outcome.heard.standing * float(load.direct_resistance)
    depths = np.array([station.modulation for station in chosen.stations])
    strong = np.flatnonzero(behind * (1.0 + depths) > _MOST_VOLTAGE)
    if not strong.size:
        return []
    strongest = int(np.nanargmax(behind))
    levels = f"level{'s' if strong.size > 1 else ''} of {join([chosen.names[place] for place in strong])}"
    return [
        Advice(
            f"{chosen.names[strongest]} alone makes {units.format(float(behind[strongest]), 'V', 2)} behind the "
            f"detector, and in reverse twice as much and more stands across it. Some diodes break down at a few volts, "
            f"others and crystals at some tens, which these sums do not know: loosen the link, and do not trust the "
            f"{levels}."
        )
    ]


def _mismatch(outcome: Outcome) -> list[Advice]:
    """A load that is not alike to d.c. and to audio clips deep modulation where the detector is driven well."""
    load, heard = outcome.receiver.load, outcome.heard
    if load is None or not outcome.reachable.any():
        return []
    direct, audio = float(load.direct_resistance), float(load.audio_resistance)
    thermal = float(np.asarray(outcome.receiver.diode.thermal_voltage))
    strongest = int(np.nanargmax(heard.standing))
    if heard.standing[strongest] * direct < _STRONG * thermal:
        return []
    depth = float(clipping_depth(direct, audio, float(heard.outputs[strongest])))
    if depth >= _DEEP:
        return []
    begin = (
        f"Loud passages of {outcome.chosen.names[strongest]} are clipped, from {units.format(depth, '%', 2)} of "
        f"modulation on: to the detector the load is {units.format(direct, 'ohm', 2)} for d.c. and "
        f"{units.format(audio, 'ohm', 2)} for the audio."
    )
    if audio <= direct:
        return [Advice(f"{begin} A load of less resistance to d.c. would mend it.")]
    resistance, capacitance = cure_for(load, _LOWEST_NOTE)
    cure = f"{units.format(resistance, 'ohm', 2)} with {units.format(capacitance, 'F', 2)} across it"
    return [Advice(f"{begin} The cure: a resistor of {cure}, before the load.")]


def _dull(outcome: Outcome) -> list[Advice]:
    """A by-pass that takes 3 dB or more of the highest notes of some station."""
    load, bypass = outcome.receiver.load, float(outcome.chosen.values["bypass"])
    if load is None or bypass == 0.0 or not outcome.reachable.any():
        return []
    corner = float(corner_frequency(float(np.nanmax(outcome.heard.outputs)), float(load.audio_resistance), bypass))
    if corner >= _HIGHEST_NOTE:
        return []
    enough = units.format(bypass * corner / _HIGHEST_NOTE, "F", 2)
    return [
        Advice(
            f"The by-pass takes 3 dB and more of all notes above {units.format(corner, 'Hz', 2)}: {enough} would spare "
            f"those up to {units.format(_HIGHEST_NOTE, 'Hz', 2)}."
        )
    ]


def _assumed(outcome: Outcome) -> list[Advice]:
    preset = preset_of(outcome.chosen.values)
    if preset is None or not preset.assumed:
        return []
    return [
        Advice(
            "No measurement of this crystal was found: its figures are assumptions. A contact varies by ten times and "
            "more with the spot, the wire and the pressure.",
            "limit",
        )
    ]
