"""The answer in words."""

import math
from dataclasses import replace
from typing import Any

import numpy as np

from calc import units
from calc.correction import LINK, OFF, Blind, Correction, Further, Kind, Reading, further_reading
from calc.forms.correct_model.bench_set import COUPLING, BenchSet
from calc.forms.correct_model.fields import NAMES
from calc.forms.correct_model.kept import KeptSet
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.fields import FIELDS
from calc.forms.results import NOTHING, Advice

KINDS = {Kind.DIAL: "dial", Kind.WIDTH: "fall at width", Kind.LOUDNESS: "loudness", Kind.CURRENT: "current"}

_UNITS = {field.name: field.unit for field in FIELDS}
_LABELS = {field.name: field.label for field in FIELDS}
_WELL, _BARELY = 0.5, 1.0
"""Of what was entered: an uncertainty below the first is found, above the second not."""
_TELLS, _GAIN = 2.0, 0.3
"""Where the readings tell less than the first, a further one is named that would gain more than the second."""
_COUNTS = 0.2
"""Share of the greatest from which an unknown counts as taking part in a change."""


def figure(set_: BenchSet, name: str, value: float, digits: int = 3) -> str:
    """An unknown's value in the unit of its field."""
    return units.format(value, _UNITS[set_.field(name) or ""], digits)


def spread(set_: BenchSet, name: str, uncertainty: float, value: float) -> str:
    """An unknown's uncertainty in the unit that its value is shown in, so that the two can be compared at a glance."""
    factor, unit = units.scale(abs(value), _UNITS[set_.field(name) or ""])
    return f"{units.number(uncertainty / factor, 2)} {unit}".strip()


def name_of(set_: BenchSet, name: str) -> str:
    """An unknown in words; the coupling by what it is on this set."""
    return f"coupling: {_LABELS[set_.field(name) or ''].lower()}" if name == COUPLING else NAMES[name]


def alone(correction: Correction, index: int) -> float:
    """Uncertainty of an unknown by the readings alone, over that of what was entered; infinite for none."""
    strength, loose = correction.information, correction.unknowns[index].looseness
    others = [place for place in range(len(correction.unknowns)) if place != index]
    own = float(strength[index, index])
    if others:
        cross = strength[index, others]
        scale = [correction.unknowns[place].looseness for place in others]
        # what the readings do not tell of the others is taken to be ten times as loose as what was entered
        block = strength[others][:, others].copy()
        for place, looseness in enumerate(scale):
            block[place, place] += 1.0 / (10.0 * looseness) ** 2
        own -= float(cross @ np.linalg.solve(block, cross))
    return 1.0 / (math.sqrt(own) * loose) if own > 0.0 else math.inf


def verdict(correction: Correction, index: int) -> str:
    """Whether the readings find an unknown."""
    ratio = alone(correction, index)
    return "decide it" if ratio < _WELL else "say something" if ratio < _BARELY else "do not decide it"


def together(correction: Correction, blind: Blind, set_: BenchSet) -> list[str]:
    """The unknowns that take part in a change, each with its way."""
    said = []
    for name, share in blind.shares.items():
        unknown = next(each for each in correction.unknowns if each.name == name)
        if abs(share) / unknown.looseness >= _COUNTS * max(
            abs(other) / each.looseness for each, other in zip(correction.unknowns, blind.shares.values(), strict=True)
        ):
            said.append(f"{NAMES[name]} {'up' if share > 0.0 else 'down'}")
    return said


def sentence(correction: Correction, blind: Blind, set_: BenchSet) -> str:
    """The answer in one sentence."""
    said = [
        f"{NAMES[unknown.name]} {figure(set_, unknown.name, value)}"
        for unknown, value in zip(correction.unknowns, correction.values, strict=True)
    ]
    listed = ", ".join(said)
    start = f"The readings fit a set with {listed}"
    if blind.telling < _BARELY:
        return f"{start}; but they do not decide all of that."
    count = len(correction.left_out)
    left = f"; {count} figure{'s do' if count > 1 else ' does'} not fit" if count else ""
    return f"{start}{left}."


def occasion(chosen: ChosenSet, reading: Reading) -> str:
    """Which reading: the station and its aerial."""
    name = chosen.names[reading.station] if reading.station is not None else units.format(reading.frequency, "Hz")
    through = f" through {units.format(reading.through, 'F', 3)}" if reading.through is not None else ""
    how = {LINK: "by the link", OFF: "aerial off"}.get(reading.joined, "aerial straight on")
    return f"{name}, {how}{through}"


def as_read(
    kind: Kind, row: dict[str, Any], read: float, before: float, after: float, slope: float
) -> tuple[str, str, str]:
    """A figure as it stands on the dial or the meter: read, as entered and as found."""
    if kind is Kind.DIAL:
        dial = row["dial"]
        places = (dial + (before - read) / slope, dial + (after - read) / slope)
        entered, found = (f"{place:.1f}" if -10.0 <= place <= 110.0 else "off the dial" for place in places)
        return f"{dial:g}", entered, found
    if kind is Kind.CURRENT:
        texts = tuple(
            units.format(10.0 ** (value / 20.0), "A", 3) if math.isfinite(value) else NOTHING
            for value in (read, before, after)
        )
        return texts[0], texts[1], texts[2]
    texts = tuple(units.format(value, "dB", 3) if math.isfinite(value) else NOTHING for value in (read, before, after))
    return texts[0], texts[1], texts[2]


def advice(chosen: ChosenSet, correction: Correction, blind: Blind, set_: KeptSet) -> list[Advice]:
    """What cannot be told apart, what would help, what is left out."""
    said = []
    for index in correction.left_out:
        kind, place = correction.model.kinds[index]
        where = occasion(chosen, correction.model.readings[place])
        said.append(
            Advice(
                f"Row {place + 1}, {where}: its {KINDS[kind]} lies {abs(float(correction.off[index])):.1f} times its ± "
                "off what the others say, and was left out. Read it again."
            )
        )
    if blind.telling < _BARELY:
        parts = together(correction, blind, set_)
        text = (
            f"The readings can't tell these apart: {', '.join(parts)} leaves them nearly as they are."
            if len(parts) > 1
            else f"The readings say little of one thing: {parts[0].rsplit(' ', 1)[0]}."
        )
        if blind.unseen > 1:
            names = ", ".join(part.rsplit(" ", 1)[0] for part in parts)
            text = f"The readings can't tell these apart, or say nothing of them: {names}."
        said.append(Advice(text))
    further = _further(chosen, correction, set_) if blind.telling < _TELLS else None
    if further is not None and further.gain > _GAIN:
        what = "the width of" if further.kind is Kind.WIDTH else "the place on the dial of"
        where = occasion(chosen, further.reading)
        said.append(Advice(f"The further reading that would tell most: {what} {where}."))
    strays = next((v for u, v in zip(correction.unknowns, correction.values, strict=True) if u.name == "strays"), 0.0)
    if strays < 0.0:
        said.append(
            Advice(
                "Strays came out below nothing: coil or variable capacitor has less than was entered. The design takes "
                "them for nothing."
            )
        )
    said += [
        Advice(
            "One Q for all of the band, and one aerial in figures: both are those in the middle of the district, as a "
            "measured coil and aerial are in the whole-set form.",
            "limit",
        ),
        Advice(
            "The variable capacitor's own range and law are taken as entered: an error there goes into strays and "
            "inductance. With the aerial off, 1 pF is taken to be left between its lead and the coil.",
            "limit",
        ),
        Advice(
            "Take the lead off indoors, at the set's aerial terminal, and never with thunder about. When you stop, "
            "join the aerial to earth at the switch outside.",
            "caution",
        ),
    ]
    return said


def _candidates(chosen: ChosenSet, correction: Correction) -> list[Reading]:
    """Readings that might still be taken: lowest and highest station, each way of joining, dial or width."""
    like = correction.model.readings[0]
    sharpness = min(each.uncertainty for each in correction.model.readings)
    ends = sorted({int(chosen.frequencies.argmin()), int(chosen.frequencies.argmax())})
    found = []
    for index in ends:
        station = chosen.stations[index]
        for joined, through in ((LINK, None), (OFF, None), ("straight", 100e-12)):
            for flanks in (None, like.flanks or (3e-12, 3e-12)):
                if joined == "straight" and flanks is not None:
                    continue
                found.append(
                    Reading(
                        station.frequency,
                        joined,
                        1e-10,
                        sharpness,
                        station.field_strength,
                        through,
                        flanks,
                        station=index,
                    )
                )
    return found


def _further(chosen: ChosenSet, correction: Correction, set_: KeptSet) -> Further | None:
    """The reading that might still be taken and would tell most."""
    candidates = _candidates(chosen, correction)
    model = replace(correction.model, readings=candidates)
    return further_reading(correction, candidates, set_.over_places(correction.unknowns, model))
