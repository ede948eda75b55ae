"""The winding sheet of a set: its coil with taps, the aerial's winding, and how far apart coils stand."""

import math
from typing import Any

from calc import coils, units
from calc.forms.parts import COVERING
from calc.forms.receiver.build import ChosenSet, Winding
from calc.forms.receiver.catalogue import COIL_PAIR, MEASURED, TUNED_WINDING
from calc.forms.sheets import Sheet, Words
from calc.forms.sheets.gauge import Gauge
from calc.forms.sheets.winding import WindingPlan, winding_blocks
from calc.units import InputError

_MM = 1e3
_PAPER = "a layer of paper between"


def winding_sheet(**v: Any) -> Sheet:
    """What the bench has to know of the set's coil, and of the winding that stands beside it."""
    chosen = ChosenSet(v)
    coil = chosen.winding
    link = str(v["link"])
    plans = [_coil_plan(chosen, coil)]
    beside: list[str] = []
    if link in ("winding", TUNED_WINDING):
        second = _Second(v["winding_turns"], v["winding_wire"], coil)
        plans.append(second.plan())
        beside.append(second.place(v["coefficient"]))
    if link in (COIL_PAIR, "pair-capacitor"):
        beside += _pair(chosen, coil)
    blocks = winding_blocks(plans, v["tails"])
    if beside:
        blocks.insert(3, Words(beside, "How the coils stand"))
    measured = " as measured" if coil.measured is not None else ""
    lead = f"{units.number(coil.turns, 5)} turns for {units.format(coil.inductance, 'H', 3)}{measured}."
    return Sheet("Winding sheet", lead, v["paper"], blocks)


def _taps(v: Any, coil: Winding) -> tuple[float, ...]:
    """Turns at which the coil is tapped: for the aerial, for the detector."""
    asked = [v["tap_turns"]] if v["link"] == "tap" else []
    asked += [v["detector_turns"]] if v["detector_turns"] not in (None, coil.turns) else []
    for name, turns in (("tap_turns", v["tap_turns"]), ("detector_turns", v["detector_turns"])):
        if turns in asked and turns >= coil.turns:
            raise InputError(name, f"must be fewer than the coil's {coil.turns:g}")
    return tuple(sorted(set(asked)))


def _coil_plan(chosen: ChosenSet, coil: Winding) -> WindingPlan:
    v = chosen.values
    former = coil.diameter - (coil.wire or 0.0)
    taps = _taps(v, coil)
    wire = "as you measured it" if coil.wire is None else f"{_size(coil.wire)} bare, enamelled"
    length = float(coils.solenoid_wire_length(coil.turns, coil.diameter, coil.length))
    notes = ["Turns are counted from the earthed end, where the winding starts."]
    if v["link"] == "tap":
        notes.append(f"The aerial goes to the tap at turn {units.number(v['tap_turns'], 5)}.")
    if v["detector_turns"] in taps and v["detector_turns"] is not None:
        notes.append(f"The detector goes to the tap at turn {units.number(v['detector_turns'], 5)}.")
    if v["coil"] == MEASURED:
        notes.append("The coil is one that you have: length of wire and gauge are for winding another like it.")
    return WindingPlan(
        name="Coil",
        facts=[
            (
                "Former",
                f"round, {_size(former)} outside diameter, {_size(coil.length + 2.0 * v['first_hole'])} long or more",
            ),
            ("Wire", wire),
            ("Turns", units.number(coil.turns, 5)),
            ("Pitch", f"{units.number(_MM * coil.pitch)} mm"),
            ("Length", f"{units.number(_MM * coil.length)} mm from start to end"),
        ],
        turns=coil.turns,
        wire_length=length,
        wire_to=lambda turns: length * turns / coil.turns,
        taps=taps,
        gauge=Gauge("gauge", "Coil", coil.turns, coil.pitch, taps),
        first=v["first_hole"],
        girth=math.pi * former,
        notes=notes,
    )


class _Second:
    """The aerial's winding, close wound over or beside the coil."""

    def __init__(self, turns: float, wire: float, coil: Winding) -> None:
        self.turns, self.wire, self.coil = turns, wire, coil
        self.pitch = COVERING * wire
        self.diameter = coil.diameter + wire
        self.length = turns * self.pitch

    def plan(self) -> WindingPlan:
        """What the bench has to know of it."""
        run = float(coils.solenoid_wire_length(self.turns, self.diameter, self.length))
        return WindingPlan(
            name="Aerial's winding",
            facts=[
                ("Wire", f"{_size(self.wire)} bare, enamelled"),
                ("Turns", units.number(self.turns, 5)),
                ("Lies", f"turn on turn, {units.number(_MM * self.length, 3)} mm from start to end"),
            ],
            turns=self.turns,
            wire_length=run,
            wire_to=lambda turns: run * turns / self.turns,
            gauge=Gauge("gauge-aerial", "Aerial's winding", self.turns, self.pitch),
            is_drilled=False,
            notes=["Hold its ends with thread or tape until the coupling is right, and drill for them then."],
        )

    def place(self, wanted: float) -> str:
        """Where it stands for a coefficient of coupling, by the mutual inductance of the two windings."""
        first = coils.Solenoid(self.coil.turns, self.coil.diameter, self.coil.length)
        second = coils.Solenoid(self.turns, self.diameter, self.length)
        asked = units.format(wanted, "%", 3)
        beside = 0.5 * (self.coil.length + self.length)
        for near, over in ((beside, False), (0.0, True)):
            most = float(coils.coupling_coefficient(first, second, near))
            if wanted > most:
                continue
            apart = float(coils.distance_for_coefficient(first, second, wanted, near))
            if not over:
                gap = max(apart - beside, 0.0)
                return (
                    f"For a coefficient of coupling of {asked} leave {_gap(gap)} between the coil's earthed end and "
                    "the aerial's winding, on one former, wound the same way. Slide it to adjust."
                )
            middle = 0.5 * self.coil.length - apart
            where = f"{_gap(abs(middle))} {'within' if middle >= 0.0 else 'beyond'}"
            return (
                f"For a coefficient of coupling of {asked} wind it over the coil, {_PAPER}, its middle "
                f"{where} the coil's earthed end. Slide it to adjust."
            )
        highest = units.format(float(coils.coupling_coefficient(first, second, 0.0)), "%", 2)
        return (
            f"A coefficient of coupling of {asked} is more than these windings reach: over the middle of the coil, "
            f"{_PAPER}, it is {highest}. Interleave the turns, or take a looser coupling in the form."
        )


def _pair(chosen: ChosenSet, coil: Winding) -> list[str]:
    """The first circuit's coil, and how far from the other it stands."""
    v = chosen.values
    if v["first_inductance"] is not None:
        told = [
            f"The first circuit's coil is of {units.format(v['first_inductance'], 'H')}: the form “Coil” works out its "
            "winding."
        ]
        return told + ["How far apart the two stand is worked out by the form for pairs of coils."] * (
            v["link"] == COIL_PAIR
        )
    told = ["Wind two coils like this: one for each circuit."]
    if v["link"] != COIL_PAIR:
        return [*told, "Stand them well apart and at right angles, so that only the small capacitor couples them."]
    one = coils.Solenoid(coil.turns, coil.diameter, coil.length)
    asked = units.format(v["pair_coefficient"], "%", 3)
    try:
        apart = float(coils.distance_for_coefficient(one, one, v["pair_coefficient"], coil.length))
    except InputError:
        return [
            *told,
            f"Set end to end they do not reach the {asked} of the form: bring in a small capacitor, or take less.",
        ]
    gap = _gap(apart - coil.length)
    return [*told, f"For a coefficient of coupling of {asked} set them on one axis with {gap} between their ends."]


def _gap(length: float) -> str:
    return f"{_MM * length:.1f} mm" if length < 0.1 else f"{_MM * length:.0f} mm"


def _size(length: float) -> str:
    return units.format(length, "m", 3)
