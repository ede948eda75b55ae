"""What to change first: each realistic change alone, and what it brings."""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from calc import detectors, units
from calc.forms.bars import Bar, Bars
from calc.forms.parts import OWN
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.ears import preset_of
from calc.forms.receiver.catalogue import AERIALS, CAPACITOR_PAIR, COIL_PAIR, MEASURED, TUNED_WINDING, slug
from calc.forms.receiver.knobs import dial_of
from calc.forms.results import Advice, Axis, Column, Result, Row, Table
from calc.settings.changes import Change, Gain, gains
from calc.units import InputError

_MORE_WIRE, _HIGHER = 10.0, 3.0
_BETTER_EARTH, _BETTER_COIL, _LOOSER = 1.0 / 3.0, 1.5, 0.7
_QUIETER = 10.0
_COUPLINGS = {
    "capacitor": "link_capacitor",
    "tap": "tap_turns",
    "winding": "coefficient",
    TUNED_WINDING: "coefficient",
    COIL_PAIR: "pair_coefficient",
    CAPACITOR_PAIR: "pair_capacitor",
}
"""For each link the field of its coupling."""
_RATIOS = (2.0, 4.0, 8.0, 16.0)
"""Of transformers that are tried."""


def answer(chosen: ChosenSet) -> Result:
    """The changes, ranked by what they bring in loudness."""
    kinds = _changes(chosen)
    every = [change for changes in kinds.values() for change in changes]
    ranked = gains(chosen.receiver(), chosen.stations, every, chosen.wanted, dial_of(chosen))
    kind_of = {change.name: kind for kind, changes in kinds.items() for change in changes}
    best = {kind_of[gain.change.name]: gain for gain in reversed(ranked)}
    found = [gain for gain in ranked if best[kind_of[gain.change.name]] is gain]
    return Result(
        sentence=_sentence(found),
        bars=(_bars(found),),
        tables=(_table(found),),
        rows=(
            Row("changes", "Changes that were tried", float(len(found)), digits=3),
            Row("most_loudness", "Most loudness that one brings", _known(found[0].loudness) if found else None, "dB"),
        ),
        advice=[
            Advice(
                "Loudness is that of the faintest wanted station over the room, separation that of the poorest, each "
                "with the set tuned anew. What is gained in loudness can be spent on sharpness: loosen the coupling."
            ),
            Advice(
                "More wire or height lies nearer to whatever is overhead: no part of a wire may ever be able to touch "
                "a power line, however it falls or breaks.",
                "caution",
            ),
        ],
        order=("bars", "tables", "advice", "rows"),
    )


class _Idea(NamedTuple):
    """A change that might be made: of a kind, of which only the best is shown; values of the form that it alters."""

    kind: str
    name: str
    effort: str
    altered: dict[str, Any]


def _changes(chosen: ChosenSet) -> dict[str, list[Change]]:
    """Those that can be made on this set, by kind."""
    found: dict[str, list[Change]] = {}
    for kind, name, effort, altered in _altered(chosen.values):
        other = ChosenSet(chosen.values | altered)
        try:
            change = Change(name, effort, other.receiver(), other.stations, dial_of(other))
        except InputError:
            continue  # a change that this set does not admit of, as an aerial beyond what can be worked out
        found.setdefault(kind, []).append(change)
    return found


def _altered(v: dict[str, Any]) -> Iterator[_Idea]:
    yield from _outdoors(v)
    yield from _indoors(v)
    yield from _for_the_ear(v)


def _outdoors(v: dict[str, Any]) -> Iterator[_Idea]:
    if v["aerial"] != MEASURED:
        if v["aerial"] == OWN:
            height, span, kind = v["height"], v["span"], v["aerial_kind"]
            span = 0.0 if kind == "vertical" else span
        else:
            part = AERIALS[v["aerial"]]
            height, span, kind = part.height, part.span, "inverted L"
        own = {"aerial": OWN, "height": height, "span": span, "aerial_kind": kind}
        longer = {"span": span + _MORE_WIRE, "aerial_kind": "inverted L" if kind == "vertical" else kind}
        yield _Idea("wire", f"{units.format(_MORE_WIRE, 'm')} more wire", "an afternoon", own | longer)
        higher = own | {"height": height + _HIGHER}
        yield _Idea("height", f"{units.format(_HIGHER, 'm')} higher", "a day, and masts", higher)
    yield _Idea(
        "earth",
        "earth of a third the resistance",
        "a day of stakes",
        {"earth_resistance": _BETTER_EARTH * v["earth_resistance"]},
    )


def _indoors(v: dict[str, Any]) -> Iterator[_Idea]:
    base = ChosenSet(v)
    winding, middle = base.winding, base.middle
    quality = float(2.0 * math.pi * middle * winding.inductance / float(winding.resistance(middle)))
    yield _Idea(
        "coil",
        "coil of half as much again in Q",
        "an evening of winding",
        {
            "coil": MEASURED,
            "coil_inductance": winding.inductance,
            "coil_quality": _BETTER_COIL * quality,
            "coil_turns": winding.turns,
            "coil_former": winding.diameter,
            "coil_pitch": winding.pitch,
        },
    )
    present = preset_of(v)
    for name, preset in detectors.presets().items():
        if preset is not present and not preset.assumed:
            yield _Idea("detector", f"detector {name}", "minutes", {"detector": slug(name), "bias": None})
    if v["detector_turns"] is None:
        middle_turn = {"detector_turns": winding.turns / 2.0}
        yield _Idea("tap", "detector on the middle of the coil", "an hour", middle_turn)
    key = _COUPLINGS.get(v["link"])
    if key is not None:
        yield _Idea("coupling", "coupling looser by three tenths", "minutes", {key: _LOOSER * v[key]})


def _for_the_ear(v: dict[str, Any]) -> Iterator[_Idea]:
    matched = {"primary_resistance": 700.0, "efficiency": 0.8, "transformer": "yes"}
    if v["transformer"] != "yes":
        for ratio in _RATIOS:
            with_it = matched | {"ratio": ratio}
            yield _Idea("transformer", f"transformer of {ratio:g} to 1", "an hour and a find", with_it)
    if v["earphone"] != "armature":
        for ratio in _RATIOS:
            yield _Idea(
                "earphones",
                f"balanced-armature pair with a transformer of {ratio:g} to 1",
                "a find",
                matched | {"ratio": ratio, "earphone": "armature"},
            )
    room = ChosenSet(v).room_noise
    quieter = {"room": OWN, "room_noise": room - _QUIETER}
    yield _Idea("room", f"a room {_QUIETER:g} dB quieter", "another hour or another room", quieter)


def _sentence(found: list[Gain]) -> str:
    first = found[0]
    begin = f"Most loudness: {first.change.name}, {_signed(first.loudness)}."
    sharp = [gain for gain in found if gain.separation is not None and gain.reaches_all]
    if not sharp:
        return begin
    best = max(sharp, key=lambda gain: gain.separation or 0.0)
    return f"{begin} Most separation: {best.change.name}, {_signed(best.separation or 0.0)}."


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]


def _known(value: float | None) -> float | None:
    """What can be drawn and told in decibels: not the way to silence or from it."""
    return value if value is not None and math.isfinite(value) else None


def _signed(value: float) -> str:
    if math.isinf(value):
        return "from silence to sound" if value > 0.0 else "down to silence"
    return f"+{units.format(value, 'dB')}" if value > 0.0 else units.format(value, "dB")


def _bars(found: list[Gain]) -> Bars:
    ends = [value for gain in found for value in (_known(gain.loudness), _known(gain.separation)) if value is not None]
    told = "; ".join(
        f"{gain.change.name} {_signed(gain.loudness)}"
        + ("" if gain.separation is None else f" and {_signed(gain.separation)} of separation")
        for gain in found
    )
    return Bars(
        "changes",
        "What each change brings by itself",
        f"In loudness: {told}.",
        Axis("Change", "dB", 5.0 * math.floor(min([-5.0, *ends]) / 5.0), 5.0 * math.ceil(max([10.0, *ends]) / 5.0)),
        ("loudness", "separation"),
        [
            Bar(
                _upper(gain.change.name),
                (_known(gain.loudness), _known(gain.separation)),
                (None, None),
                gain.change.effort,
                emphasis=index == 0,
            )
            for index, gain in enumerate(found)
        ],
    )


def _table(found: list[Gain]) -> Table:
    rows: list[list[float | str | None]] = [
        [
            _upper(gain.change.name) + ("" if gain.reaches_all else ", which loses a station off the dial"),
            _known(gain.loudness),
            _known(gain.separation),
            gain.change.effort,
        ]
        for gain in found
    ]
    return Table(
        "changes",
        "Each change alone, the set tuned anew",
        (
            Column("change", "Change"),
            Column("loudness", "Loudness", "dB"),
            Column("separation", "Separation", "dB"),
            Column("effort", "Effort"),
        ),
        rows,
    )
