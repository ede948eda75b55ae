"""All stations at once at one setting of the dial, to be heard: levels as they are in the mixture, and the sound."""

import numpy as np

from calc import units
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.dial import set_at, station_bars
from calc.forms.receiver.hearing import sound_of
from calc.forms.receiver.outcome import outcome_of
from calc.forms.receiver.verdicts import told
from calc.forms.results import Advice, Column, Result, Row, Table
from calc.receiver import Beat, Mixture, Reception, listen, listen_together


def answer(chosen: ChosenSet) -> Result:
    """What the detector makes of all stations together, and the player for it."""
    position = float(chosen.values["dial"])
    own = chosen.turned_in
    set_, tuned = set_at(chosen, own + chosen.strays)
    mixture = listen_together(set_, chosen.stations, tuned)
    level = told(np.array([reception.sound_level for reception in mixture.receptions]))
    room = str(chosen.values["room_sound"])
    whistles = [beat for beat in mixture.beats if np.isfinite(beat.margin)]
    return Result(
        sentence=_sentence(mixture, position, tuned),
        sounds=(
            sound_of(
                set_,
                chosen.stations,
                tuned,
                room="" if room == "none" else room,
                mixture=mixture,
                loudest=float(outcome_of(chosen, str(chosen.values["link"])).heard.levels.max()),
            ),
        ),
        bars=(station_bars(chosen, set_, level, f"All at once at {position:g} on the dial"),),
        tables=(_taken(listen(set_, chosen.stations, tuned), mixture), *([_whistles(whistles)] if whistles else [])),
        rows=(Row("tuned", "The dial is at", tuned, "Hz"), Row("capacitance", "Variable capacitor", own, "F")),
        advice=[
            Advice(
                "Levels are those of a tone of 1 kHz at the stated depth of modulation; each programme is an invented "
                "one of the same power."
            ),
            Advice("Beats of the lesser stations with each other, and the ear's own masking.", "limit"),
        ],
        order=("sounds", "bars", "tables", "advice", "rows"),
    )


def _sentence(mixture: Mixture, position: float, tuned: float) -> str:
    at = f"At {position:g} on the dial, {units.format(tuned, 'Hz')},"
    heard = [one for one in mixture.receptions if one.margin >= 0.0]
    if not heard:
        return f"{at} nothing rises over the room."
    first = max(heard, key=lambda one: one.sound_level)
    over = units.format(first.margin, "dB")
    if len(heard) == 1:
        return f"{at} {first.station.name} alone is heard, {over} over the room."
    apart = units.format(first.separation, "dB")
    return f"{at} {first.station.name} is loudest, {over} over the room and {apart} over the next."


def _taken(by_themselves: list[Reception], mixture: Mixture) -> Table:
    """What each station loses or gains by the company of the others."""
    alone, together = (
        told(np.array([one.sound_level for one in heard])) for heard in (by_themselves, mixture.receptions)
    )
    rows: list[list[float | str | None]] = [
        [one.station.name, *levels]
        for one, *levels in zip(
            by_themselves, alone.tolist(), together.tolist(), (together - alone).tolist(), strict=True
        )
    ]
    return Table(
        "together",
        "By itself, and among the others",
        (
            Column("station", "Station"),
            Column("alone", "By itself, SPL", "dB"),
            Column("together", "Among the others", "dB"),
            Column("change", "Change", "dB"),
        ),
        rows,
    )


def _whistles(whistles: list[Beat]) -> Table:
    return Table(
        "whistles",
        "Whistles between carriers",
        (
            Column("with", "Made by"),
            Column("frequency", "Pitch", "Hz"),
            Column("level", "Level, SPL", "dB"),
            Column("margin", "Over hearing", "dB"),
        ),
        [[beat.station.name, beat.frequency, beat.sound_level, beat.margin] for beat in whistles],
    )
