"""The coil's winding sheet."""

import math
from typing import Any

from calc import coils, units
from calc.forms.coil.build import Seen, wanted_coil
from calc.forms.coil.conductor import COVERINGS, Conductor
from calc.forms.coil.shape_fields import SIDES
from calc.forms.coil.single import Cone, Cylinder, Rod, Tube
from calc.forms.coil.tapping import require_taps
from calc.forms.coil.thick import FlatSpiral, Layers, Scramble
from calc.forms.coil.wound import Wound, whole_coil
from calc.forms.sheets import Sheet
from calc.forms.sheets.gauge import Gauge
from calc.forms.sheets.winding import WindingPlan, winding_blocks


def winding_sheet(**v: Any) -> Sheet:
    """What the bench has to know of the coil that was asked for, in whole turns where turns were sought."""
    coil = wanted_coil(v)
    seen = Seen(coil, v["leads"])
    if v["find"] == "turns":
        coil = whole_coil(coil, v["inductance"] - seen.leads_inductance, coil.turns)
    taps = v["taps"] or ()
    if taps:
        require_taps(coil, taps)
    plan = winding_plan(v, coil, taps)
    inductance = units.format(coil.inductance + seen.leads_inductance, "H", 3)
    lead = f"{units.number(coil.turns, 5)} turns for {inductance}."
    return Sheet("Winding sheet", lead, v["paper"], winding_blocks((plan,), v["tails"]))


def winding_plan(v: Any, coil: Wound, taps: tuple[float, ...]) -> WindingPlan:
    """All that the bench has to know of a coil."""
    gauge, no_gauge = _gauge(coil, taps)
    first, measured_from = _first(v, coil)
    return WindingPlan(
        name="Coil",
        facts=[*_foundation(v, coil), *_wire(v, coil.conductor), *_winding(coil)],
        turns=coil.turns,
        wire_length=coil.wire_length,
        wire_to=coil.wire_to,
        leads=v["leads"] or 0.0,
        taps=taps,
        gauge=gauge,
        no_gauge=no_gauge,
        first=first,
        measured_from=measured_from,
        girth=_girth(v, coil),
        is_drilled=not isinstance(coil, (Rod, Layers, Scramble)),
        notes=_notes(coil),
    )


def _gauge(coil: Wound, taps: tuple[float, ...]) -> tuple[Gauge | None, str]:
    """The gauge of a coil whose turns lie in a row; else why there is none."""
    if isinstance(coil, Scramble):
        return None, "Turns without order have no places, and a gauge would show none: count them as you wind."
    if isinstance(coil, Layers):
        turns = float(max(coil.wound.layer_turns))
        return Gauge("gauge", "A full layer", turns, coil.wound.pitch, along="the bobbin"), ""
    if isinstance(coil, Cone):
        return Gauge("gauge", "Coil", coil.turns, coil.pitch, taps, "the cone's side"), ""
    if isinstance(coil, FlatSpiral):
        return Gauge("gauge", "Coil", coil.turns, coil.pitch, taps, "a line from the middle outwards"), ""
    assert isinstance(coil, Cylinder), "all other shapes are one layer on a cylinder"
    along = "the rod's sleeve" if isinstance(coil, Rod) else "the former"
    return Gauge("gauge", "Coil", coil.turns, coil.pitch, taps, along), ""


def _first(v: Any, coil: Wound) -> tuple[float | None, str]:
    """From where the start is measured, and how far it is [m]."""
    if isinstance(coil, Rod):
        return 0.5 * (coil.rod.length - coil.length) + coil.offset, "the rod's end"
    if isinstance(coil, FlatSpiral):
        return 0.5 * coil.hub, "the middle"
    if isinstance(coil, (Layers, Scramble)):
        return None, "the cheek"
    return v["first_hole"], "the former's narrow end" if isinstance(coil, Cone) and v["narrow"] < v[
        "wide"
    ] else "the former's end"


def _girth(v: Any, coil: Wound) -> float | None:
    """Round the former [m]."""
    if isinstance(coil, Tube) and coil.sides:
        return coil.sides * float(coils.polygon_side(coil.sides, coil.former))
    return math.pi * coil.former if isinstance(coil, Cylinder) else None


def _foundation(v: Any, coil: Wound) -> list[tuple[str, str]]:
    """What it is wound on."""
    if isinstance(coil, Rod):
        return [
            ("Rod", f"{_size(coil.rod.diameter)} thick, {_size(coil.rod.length)} long"),
            ("Sleeve", f"{_size(coil.former)} outside"),
        ]
    if isinstance(coil, Tube):
        shape = {number: name for name, number in SIDES.items()}[coil.sides]
        across = "outside diameter" if not coil.sides else "across the flats"
        needs = _size(coil.length + 2.0 * v["first_hole"])
        return [("Former", f"{shape}, {_size(coil.former)} {across}, {needs} long or more")]
    if isinstance(coil, Cone):
        return [("Former", f"a cone, {_size(coil.narrow)} to {_size(coil.wide)} outside over {_size(coil.axial)}")]
    if isinstance(coil, FlatSpiral):
        return [("Card", f"winding from {_size(coil.hub)} to {_size(coil.outer_diameter)} across")]
    assert isinstance(coil, (Layers, Scramble)), "all other shapes are wound on a bobbin"
    cheeks = f"cheeks {_size(coil.outer_diameter)} across or more"
    return [("Bobbin", f"core {_size(coil.core)}, {_size(coil.bobbin)} between the cheeks, {cheeks}")]


def _wire(v: Any, conductor: Conductor) -> list[tuple[str, str]]:
    """What it is wound with."""
    thick = "" if conductor.covered is None else f", {_size(conductor.covered)} with its covering"
    if conductor.is_stranded:
        return [("Wire", f"{conductor.strands} strands of {_size(conductor.strand)}, each enamelled{thick}")]
    covering = COVERINGS[v["covering"]][1]
    return [("Wire", f"{_size(conductor.bundle)} bare, {covering}{thick if covering != 'bare' else ''}")]


def _winding(coil: Wound) -> list[tuple[str, str]]:
    """How it lies."""
    facts = [("Turns", units.number(coil.turns, 5))]
    if isinstance(coil, Layers):
        facts.append(("Layers", _layers(coil)))
    if isinstance(coil, (Cylinder, Cone, FlatSpiral)):
        facts.append(("Pitch", f"{units.number(1e3 * coil.pitch)} mm{_close(coil)}"))
    if isinstance(coil, Cylinder):
        facts.append(("Length", f"{units.number(1e3 * coil.length)} mm from start to end"))
    return facts


def _close(coil: Cylinder | Cone | FlatSpiral) -> str:
    covered = coil.conductor.covered
    return ", turn on turn" if covered is not None and math.isclose(coil.pitch, covered, rel_tol=1e-9) else ""


def _layers(coil: Layers) -> str:
    """So many turns in each layer."""
    full = sum(count == coil.a_layer for count in coil.wound.layer_turns)
    rest = coil.turns - full * coil.a_layer
    told = [f"{full} of {coil.a_layer} turns"] if full else []
    return " and ".join([*told, *([f"one of {rest:.0f}"] if rest else [])])


def _notes(coil: Wound) -> list[str]:
    if isinstance(coil, Rod):
        return ["Drill no rod: it breaks. Hold the ends with thread or tape, and the coil can be slid to adjust it."]
    if isinstance(coil, Layers):
        return [
            "Bring the ends out through slots in a cheek. Each layer runs back over the last; count it by the gauge."
        ]
    if isinstance(coil, Scramble):
        return [
            "Bring the ends out through slots in a cheek, and let the wire wander to and fro so that it fills evenly."
        ]
    return []


def _size(length: float) -> str:
    return units.format(length, "m", 3)
