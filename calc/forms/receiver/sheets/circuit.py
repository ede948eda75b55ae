"""The set's circuit with its values, and the list of parts."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from calc import detectors, units
from calc.aerials import WireAerial
from calc.constants import TWO_PI
from calc.forms.circuit import with_values
from calc.forms.parts import CAPACITORS, OWN
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.ears import preset_of
from calc.forms.receiver.catalogue import (
    AERIALS,
    CAPACITOR_PAIR,
    COIL_PAIR,
    MEASURED,
    TUNED_WINDING,
    slug,
)
from calc.forms.receiver.circuit import picture
from calc.forms.sheets import Grid, Picture, Sheet, Words

_WIDEST, _PER_UNIT = 176.0, 0.34
"""Of the diagram on paper [mm], and millimetres for each of its own lengths."""

Part = tuple[str, str, str]
"""Name, value, note."""


def circuit_sheet(**v: Any) -> Sheet:
    """The diagram, and each part of it with its value."""
    chosen = ChosenSet(v)
    parts = [
        *_aerial(chosen),
        *_lead(v),
        *_link(chosen),
        *_tank(chosen),
        *_detector(chosen),
        *_load(chosen),
    ]
    drawn = with_values(picture(chosen, chosen.middle), dict(_beside(parts)))
    cautions = Words(
        (
            "No part of an aerial may ever be able to touch a power line, however it falls or breaks. Earth it outside "
            "the house in thunder, and keep away. Never use the mains earth, or a gas pipe. Local codes come first.",
        ),
        kind="caution",
    )
    return Sheet(
        "Circuit and parts",
        _lead_words(chosen),
        v["paper"],
        (
            Picture(drawn, min(_WIDEST, _PER_UNIT * drawn.width)),
            Grid("Parts", ("Part", "Value", "Note"), parts, (4, 5, 7)),
            cautions,
        ),
    )


_NAMES = {
    "Tap": "aerial's tap",
    "Tap for the detector": "tap",
    "Capacitor in the lead": "capacitor",
    "Resistor across the earpiece": "resistor",
}
"""Words of the diagram for parts that the list names otherwise."""


def _beside(parts: Sequence[Part]) -> Iterator[tuple[str, str]]:
    """What stands in the diagram beside each part that has a value: the words there, and the value in short."""
    values = {name: value.removeprefix("at ").split(" at ")[0].replace(" and ", "\n") for name, value, _ in parts}
    if "First circuit, coil" in values:
        yield "first circuit", f"{values['First circuit, coil']}\n{values['First circuit, capacitor']}"
    for name, value in values.items():
        if name == "Aerial tuning":
            yield from ((f"aerial tuning {tuner}", value) for tuner in ("capacitor", "coil"))
        elif name not in ("Aerial", "Earth"):
            yield _NAMES.get(name, name.lower()), value


def _lead_words(chosen: ChosenSet) -> str:
    lowest, highest = (
        units.format(float(hertz), "Hz") for hertz in (chosen.frequencies.min(), chosen.frequencies.max())
    )
    count = len(chosen.stations)
    return f"For {count} stations from {lowest} to {highest}." if count > 1 else f"For one station, {lowest}."


def _aerial(chosen: ChosenSet) -> list[Part]:
    v, wire = chosen.values, chosen.aerial.wire
    earth = units.format(v["earth_resistance"], "ohm", 3)
    if v["aerial"] == MEASURED:
        value = f"{units.format(v['aerial_capacitance'], 'F', 3)}, {units.format(v['aerial_inductance'], 'H', 3)}"
        found = [("Aerial", value, f"as measured; effective height {units.format(v['effective_height'], 'm', 3)}")]
    else:
        assert isinstance(wire, WireAerial), "an aerial that was not measured is a wire"
        name = AERIALS[v["aerial"]].name if v["aerial"] in AERIALS else v["aerial_kind"]
        value = f"{units.format(wire.height, 'm', 3)} up"
        value += f", {units.format(wire.horizontal_length, 'm', 3)} along" if wire.horizontal_length else ""
        found = [("Aerial", value, name.split(",")[0])]
    return [*found, ("Earth", f"{earth} or less", "the lower, the louder")]


def _lead(v: Any) -> list[Part]:
    found: list[Part] = []
    if v["trap"] != "none":
        farads = 1.0 / ((TWO_PI * v["trap_frequency"]) ** 2 * v["trap_inductance"])
        value = f"{units.format(v['trap_inductance'], 'H', 3)} and {units.format(farads, 'F', 3)}"
        note = f"set to {units.format(v['trap_frequency'], 'Hz')}; Q {units.number(v['trap_quality'], 3)}"
        found.append((v["trap"].capitalize(), value, f"{note}; a trimmer as part of the capacitance"))
    if v["lead"] == "capacitor":
        found.append(("Capacitor in the lead", units.format(v["lead_capacitor"], "F", 3), "shortens the aerial"))
    if v["lead"] == "coil":
        note = f"Q {units.number(v['lead_quality'], 3)}; lengthens the aerial"
        found.append(("Loading coil", units.format(v["lead_inductance"], "H", 3), note))
    return found


def _link(chosen: ChosenSet) -> list[Part]:
    v, link = chosen.values, chosen.values["link"]
    if link == "capacitor":
        return [("Series capacitor", units.format(v["link_capacitor"], "F", 3), "aerial to coil; variable, if you can")]
    if link == "tap":
        return [("Tap", f"at turn {units.number(v['tap_turns'], 4)}", "for the aerial, from the earthed end")]
    if link in ("winding", TUNED_WINDING):
        value = f"{units.number(v['winding_turns'], 4)} turns of {units.format(v['winding_wire'], 'm', 3)}"
        found = [("Winding", value, f"on the coil's former, coupled by {units.format(v['coefficient'], '%', 3)}")]
        return found + _aerial_tuner(chosen) if link == TUNED_WINDING else found
    if link in (COIL_PAIR, CAPACITOR_PAIR):
        inductance = v["first_inductance"] or chosen.winding.inductance
        found = [
            ("Series capacitor", units.format(v["first_capacitor"], "F", 3), "aerial to the first circuit"),
            ("First circuit, coil", units.format(inductance, "H", 3), "like the other" * (not v["first_inductance"])),
            ("First circuit, capacitor", _range(chosen), "variable, as the other"),
        ]
        if link == COIL_PAIR:
            return [*found, ("Coupling", units.format(v["pair_coefficient"], "%", 3), "of the two coils")]
        return [*found, ("Coupling capacitor", units.format(v["pair_capacitor"], "F", 3), "between the two circuits")]
    return []


def _aerial_tuner(chosen: ChosenSet) -> list[Part]:
    """What tunes the aerial, from one end of the district to the other."""
    ends = [float(chosen.frequencies.max()), float(chosen.frequencies.min())]
    farads, henries = set(), set()
    for hertz in ends:
        link, _ = chosen.receiver(at=hertz).link.tuned(hertz, chosen.aerial.terminals)
        coil = float(link.coil.inductance)  # type: ignore[attr-defined]
        if coil > 0.0:
            henries.add(units.format(coil, "H", 2))
        else:
            farads.add(units.format(float(link.winding.capacitance), "F", 2))  # type: ignore[attr-defined]
    value = " to ".join([*sorted(farads), *sorted(henries)])
    return [("Aerial tuning", value, "variable: from one end of the district to the other")]


def _range(chosen: ChosenSet) -> str:
    least, most = chosen.capacitor
    return f"{units.format(least, 'F', 3)} to {units.format(most, 'F', 3)}"


def _tank(chosen: ChosenSet) -> list[Part]:
    v, coil = chosen.values, chosen.winding
    name = CAPACITORS[v["capacitor"]].name.split(",")[0] if v["capacitor"] in CAPACITORS else "your own"
    wire = "" if coil.wire is None else f" of {units.format(coil.wire, 'm', 3)}"
    wound = f"{units.number(coil.turns, 4)} turns{wire}: see the winding sheet"
    return [
        ("Coil", units.format(coil.inductance, "H", 3), "as measured" if coil.measured is not None else wound),
        ("Variable capacitor", _range(chosen), name.lower() if v["law"] != "table" else "as measured"),
    ]


def _detector(chosen: ChosenSet) -> list[Part]:
    v, preset = chosen.values, preset_of(chosen.values)
    names = {slug(name): name for name in detectors.presets()}
    found: list[Part] = [("Detector", names.get(v["detector"], "your own"), "" if preset is None else preset.kind)]
    if v["detector_turns"] is not None and v["detector_turns"] != chosen.winding.turns:
        turn = units.number(v["detector_turns"], 4)
        found.append(("Tap for the detector", f"at turn {turn}", "from the coil's earthed end"))
    return found


def _load(chosen: ChosenSet) -> list[Part]:
    v, phones = chosen.values, chosen.phones
    found: list[Part] = []
    if v["bypass"] > 0.0:
        found.append(("By-pass", units.format(v["bypass"], "F", 3), "capacitor from the detector's output to earth"))
    if v["cure"] == "yes":
        value = f"{units.format(v['cure_resistance'], 'ohm', 3)} and {units.format(v['cure_capacitance'], 'F', 3)}"
        found.append(("Cure", value, "resistor and capacitor side by side, before the load"))
    if v["transformer"] == "yes":
        note = f"primary {units.format(v['primary_resistance'], 'ohm', 3)} to d.c."
        found.append(("Transformer", f"{units.number(v['ratio'], 4)} to 1", note))
    name = "your own" if v["earphone"] == OWN else phones.name
    impedance = units.format(float(np.asarray(phones.earphone.impedance)), "ohm", 3)
    found.append(("Earphones", f"{impedance} at speech frequencies", name))
    if phones.capacitance > 0.0:
        found.append(
            ("Resistor across the earpiece", units.format(phones.dc_resistance, "ohm", 3), "a way for the d.c.")
        )
    if v["bias"]:
        found.append(("Bias cell", units.format(v["bias"], "V", 3), "minus where it holds the detector back"))
    return found
