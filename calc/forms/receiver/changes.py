"""What to change first: each realistic change alone, and what it brings."""

import math
from collections.abc import Iterator
from typing import Any

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
    found = gains(
        chosen.receiver(),
        chosen.stations,
        list(_changes(chosen)),
        chosen.wanted,
        dial_of(chosen),
    )
    found = _one_of_each(found)
    return Result(
        sentence=_sentence(found),
        bars=(_bars(found),),
        tables=(_table(found),),
        rows=(
            Row("changes", "Changes that were tried", float(len(found)), digits=3),
            Row("most_loudness", "Most loudness that one brings", found[0].loudness if found else None, "dB"),
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


def _changes(chosen: ChosenSet) -> Iterator[Change]:
    """Those that can be made on this set."""
    for name, effort, altered in _altered(chosen.values):
        other = ChosenSet(chosen.values | altered)
        try:
            yield Change(name, effort, other.receiver(), other.stations, dial_of(other))
        except InputError:
            continue  # a change that this set does not admit of, as an aerial beyond what can be worked out


def _altered(v: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    yield from _outdoors(v)
    yield from _indoors(v)
    yield from _for_the_ear(v)


def _outdoors(v: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    if v["aerial"] != MEASURED:
        if v["aerial"] == OWN:
            height, span, kind = v["height"], v["span"], v["aerial_kind"]
            span = 0.0 if kind == "vertical" else span
        else:
            part = AERIALS[v["aerial"]]
            height, span, kind = part.height, part.span, "inverted L"
        own = {"aerial": OWN, "height": height, "span": span, "aerial_kind": kind}
        longer = {"span": span + _MORE_WIRE, "aerial_kind": "inverted L" if kind == "vertical" else kind}
        yield f"{units.format(_MORE_WIRE, 'm')} more wire", "an afternoon", own | longer
        yield f"{units.format(_HIGHER, 'm')} higher", "a day, and masts", own | {"height": height + _HIGHER}
    yield (
        "earth of a third the resistance",
        "a day of stakes",
        {"earth_resistance": _BETTER_EARTH * v["earth_resistance"]},
    )


def _indoors(v: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    base = ChosenSet(v)
    winding, middle = base.winding, base.middle
    quality = float(2.0 * math.pi * middle * winding.inductance / float(winding.resistance(middle)))
    yield (
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
            yield f"detector {name}", "minutes", {"detector": slug(name), "bias": None}
    if v["detector_turns"] is None:
        yield "detector on the middle of the coil", "an hour", {"detector_turns": winding.turns / 2.0}
    key = _COUPLINGS.get(v["link"])
    if key is not None:
        yield "coupling looser by three tenths", "minutes", {key: _LOOSER * v[key]}


def _for_the_ear(v: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    matched = {"primary_resistance": 700.0, "efficiency": 0.8, "transformer": "yes"}
    if v["transformer"] != "yes":
        for ratio in _RATIOS:
            yield f"transformer of {ratio:g} to 1", "an hour and a find", matched | {"ratio": ratio}
    if v["earphone"] != "armature":
        for ratio in _RATIOS:
            yield (
                f"balanced-armature pair with a transformer of {ratio:g} to 1",
                "a find",
                matched | {"ratio": ratio, "earphone": "armature"},
            )
    room = ChosenSet(v).room_noise
    yield "a room 10 dB quieter", "another hour or another room", {"room": OWN, "room_noise": room - _QUIETER}


def _one_of_each(found: list[Gain]) -> list[Gain]:
    """Of detectors, and of transformers with the same earphones, the best alone; the order stays."""
    seen: set[str] = set()
    kept = []
    for gain in found:
        kind = gain.change.name.split(" of ")[0] if "transformer" in gain.change.name else gain.change.name
        kind = "detector" if kind.startswith("detector ") and "middle" not in kind else kind
        if kind not in seen:
            kept.append(gain)
        seen.add(kind)
    return kept


def _sentence(found: list[Gain]) -> str:
    first = found[0]
    begin = f"{_upper(first.change.name)} brings most loudness: {_signed(first.loudness)}"
    sharp = [gain for gain in found if gain.separation is not None and gain.reaches_all]
    if not sharp:
        return f"{begin}."
    best = max(sharp, key=lambda gain: gain.separation or 0.0)
    if best is first:
        return f"{begin}, and most separation: {_signed(best.separation or 0.0)}."
    return f"{begin}. Most separation comes of {best.change.name}: {_signed(best.separation or 0.0)}."


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]


def _signed(value: float) -> str:
    return f"+{units.format(value, 'dB')}" if value > 0.0 else units.format(value, "dB")


def _bars(found: list[Gain]) -> Bars:
    ends = [value for gain in found for value in (gain.loudness, gain.separation) if value is not None]
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
                (gain.loudness, gain.separation),
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
            _upper(gain.change.name),
            gain.loudness,
            gain.separation,
            gain.change.effort,
            "" if gain.reaches_all else "a station falls off the dial",
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
            Column("note", "Mind"),
        ),
        rows,
    )
