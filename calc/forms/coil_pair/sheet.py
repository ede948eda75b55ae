"""The winding sheet of two coils."""

import math
from typing import Any

from calc import units
from calc.forms.coil.single import Tube
from calc.forms.coil.thick import FlatSpiral
from calc.forms.coil_pair.answer import require_clear
from calc.forms.coil_pair.pair import One, Pair, one_coil
from calc.forms.sheets import Sheet, Words
from calc.forms.sheets.gauge import Gauge
from calc.forms.sheets.winding import WindingPlan, winding_blocks

_MM = 1e3
_NO_GAUGE = "Many layers, or turns without order, have no gauge here: count the turns as you wind."


def winding_sheet(**v: Any) -> Sheet:
    """What the bench has to know of both coils, and of how they stand."""
    pair = Pair(one_coil(v, "first"), one_coil(v, "second"))
    distance, angle = v["distance"], math.radians(v["angle"])
    require_clear(pair, distance, angle)
    plans = [winding_plan(v, "first", pair.first), winding_plan(v, "second", pair.second)]
    coefficient = units.format(pair.mutual(distance, angle) / pair.scale, "%", 3)
    turned = f", the second turned by {units.number(v['angle'])}° about its middle" if angle else ", axes in line"
    stand = f"Their middles {_MM * distance:.1f} mm apart{turned}: the coefficient of coupling is {coefficient}."
    blocks = winding_blocks(plans, v["tails"])
    return Sheet("Winding sheet", "Two coils.", v["paper"], (Words((stand,), "How the coils stand"), *blocks))


def winding_plan(v: Any, prefix: str, one: One) -> WindingPlan:
    """All that the bench has to know of one of the two."""
    name, wound = f"{prefix.capitalize()} coil", one.wound
    bare = v[f"{prefix}_wire"]
    turns = v[f"{prefix}_turns"]
    facts = [
        ("Wound on", _foundation(one)),
        ("Wire", "not given: take the length to cut as good to one per cent" if bare is None else _size(bare)),
        ("Turns", units.number(turns, 5)),
    ]
    if wound is None:
        run = math.pi * (one.inner + one.outer)
        return WindingPlan(
            name=name, facts=facts, turns=turns, wire_length=turns * run, wire_to=lambda some: some * run,
            no_gauge=f"{name}: {_NO_GAUGE[0].lower()}{_NO_GAUGE[1:]}", is_drilled=False,
            notes=("Bring the ends out through slots in a cheek.",),
        )  # fmt: skip
    facts.append(("Pitch", f"{units.number(_MM * wound.pitch)} mm"))
    spiral = isinstance(wound, FlatSpiral)
    along = "a line from the middle outwards" if spiral else "the former"
    return WindingPlan(
        name=name,
        facts=facts,
        turns=turns,
        wire_length=wound.wire_length,
        wire_to=wound.wire_to,
        gauge=Gauge(f"gauge-{prefix}", name, turns, wound.pitch, along=along),
        first=one.inner if spiral else v["first_hole"],
        measured_from="the middle" if spiral else "the former's end",
        girth=None if spiral else 2.0 * math.pi * one.inner,
    )


def _foundation(one: One) -> str:
    if isinstance(one.wound, Tube):
        return f"round, {_size(2.0 * one.inner)} outside diameter"
    if isinstance(one.wound, FlatSpiral):
        return f"a card, winding from {_size(2.0 * one.inner)} to {_size(2.0 * one.outer)} across"
    return (
        f"a bobbin, core {_size(2.0 * one.inner)}, winding {_size(one.length)} long and {_size(2.0 * one.outer)} across"
    )


def _size(length: float) -> str:
    return units.format(length, "m", 3)
