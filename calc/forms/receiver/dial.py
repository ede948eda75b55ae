"""The dial where it stands: what is heard there, a bar for each station."""

import numpy as np

from calc import earphones, units
from calc.forms.bars import Bar, Bars
from calc.forms.receiver import verdicts
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.curve import curve, drawn_by
from calc.forms.results import Advice, Axis, Result, Row, Rule
from calc.receiver import Receiver
from calc.settings.dial import AtDial, at_dial, tuned_frequency
from calc.units import Array

_QUIETEST, _LOUDEST = -10.0, 90.0
"""Ends of the picture, unless something is louder [dB SPL]."""
_BARELY = 3.0
"""Decibels between the loudest and another within which neither can be followed."""


def answer(chosen: ChosenSet) -> Result:
    """All stations at one setting of the dial, each by itself."""
    position = float(chosen.values["dial"])
    own = chosen.turned_in
    total = own + chosen.strays
    set_, tuned = set_at(chosen, total)
    found = at_dial(set_, chosen.stations, total, (), tuned)
    level = verdicts.told(found.level)
    found = found._replace(level=level, margin=level - set_.floor)
    loudest = int(np.argmax(level))
    load = drawn_by(float(found.heard.input_resistance[loudest]))
    return Result(
        sentence=_sentence(chosen, found, position, loudest),
        bars=(station_bars(chosen, set_, found.level, f"What is heard at {position:g} on the dial"),),
        charts=(curve(chosen, set_, tuned, load),),
        rows=(
            Row("tuned", "The dial is at", tuned, "Hz"),
            Row("capacitance", "Variable capacitor", own, "F"),
            Row("total", "With strays, detector and coil", total, "F"),
            Row(
                "input_resistance",
                f"Detector, as {chosen.names[loudest]} finds it",
                load if np.isfinite(load) else None,
                "ohm",
                digits=3,
                how="resistance that draws as much from the tuned circuit",
            ),
        ),
        advice=[
            Advice(
                "What stations do to each other in the detector: here each is by itself. “Listen” shows all at once, "
                "and plays them.",
                "limit",
            )
        ],
        order=("bars", "charts", "rows", "advice"),
    )


def set_at(chosen: ChosenSet, total: float) -> tuple[Receiver, float]:
    """The set with so much capacitance across its tank [F], and the frequency to which it is tuned [Hz]; the coils'
    losses are those there."""
    tuned = tuned_frequency(chosen.turned_to(chosen.middle), total, chosen.turned_to)
    return chosen.turned_to(tuned), tuned


def station_bars(chosen: ChosenSet, set_: Receiver, level: Array, title: str) -> Bars:
    """A bar for each station against the threshold of hearing and the room's noise."""
    level = verdicts.told(level)
    spread = float(np.asarray(set_.earphone.spread))
    order, loudest = np.argsort(chosen.frequencies), int(np.argmax(level))
    hearing, room = float(np.asarray(earphones.threshold(set_.audio_frequency))), set_.room_noise
    bars = []
    for index in order.tolist():
        value = float(level[index])
        down = float(level[loudest] - value)
        heard = (
            "below the room"
            if value < set_.floor
            else "in front"
            if down == 0.0
            else f"{units.format(down, 'dB')} down"
        )
        finite = np.isfinite(value)
        bars.append(
            Bar(
                f"{chosen.names[index]}, {units.format(float(chosen.frequencies[index]), 'Hz')}",
                (value if finite else None,),
                ((value - spread, value + spread) if finite and spread else None,),
                heard,
                emphasis=index == loudest and value >= set_.floor,
            )
        )
    told = "; ".join(
        f"{bar.label}: {units.format(bar.values[0], 'dB') if bar.values[0] is not None else 'nothing'}" for bar in bars
    )
    most = max(_LOUDEST, float(level[np.isfinite(level)].max(initial=_LOUDEST)) + spread)
    return Bars(
        key="levels",
        title=title,
        summary=f"Sound level in the earphones: {told}. The room is at {units.format(room, 'dB')}.",
        axis=Axis("Sound level", "dB", _QUIETEST, 10.0 * np.ceil(most / 10.0)),
        series=("",),
        bars=bars,
        rules=(Rule("hearing", "x", hearing), Rule("the room", "x", room)),
    )


def _sentence(chosen: ChosenSet, found: AtDial, position: float, loudest: int) -> str:
    at = f"At {position:g} on the dial, {units.format(found.frequency, 'Hz')},"
    floor = found.level[loudest] - found.margin[loudest]
    if found.level[loudest] < floor:
        return f"{at} nothing is heard over the room."
    name = chosen.names[loudest]
    rest = np.sort(found.level)[-2] if found.level.size > 1 else -np.inf
    over = units.format(float(found.margin[loudest]), "dB")
    if rest < floor:
        return f"{at} {name} is heard alone, {over} over the room."
    apart = float(found.level[loudest] - rest)
    second = chosen.names[int(np.argsort(found.level)[-2])]
    if apart < _BARELY:
        return f"{at} {name} and {second} are heard on top of each other."
    return f"{at} {name} is in front, {units.format(apart, 'dB')} over {second} and {over} over the room."
