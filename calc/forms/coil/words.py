"""The words of the coil form's answer: its sentence, how each figure was found, and advice."""

from collections.abc import Mapping
from typing import Any

from calc import units, wire
from calc.forms.coil.build import Seen
from calc.forms.coil.single import Cone, Cylinder, Rod, Tube
from calc.forms.coil.thick import FlatSpiral, Layers, Scramble
from calc.forms.coil.wound import Wound
from calc.forms.results import Advice


def sentence(
    coil: Wound, inductance: float, wanted: float | None, frequency: float, quality: float, fits: int | None
) -> str:
    """The answer in one sentence; `wanted` is the inductance that was asked for, if any [H]."""
    across, long = units.format(coil.outer_diameter, "m", 3), units.format(coil.length, "m", 3)
    size = f"{across} across" if isinstance(coil, FlatSpiral) else f"{across} across and {long} long"
    count = f"{units.number(coil.turns)} turn{'' if coil.turns == 1.0 else 's'}"
    asked = "" if wanted is None else f" for the {units.format(wanted, 'H')} wanted"
    makes = "makes" if coil.turns == 1.0 else "make"
    made = (
        f"{count}, {size}, {makes} {units.format(inductance, 'H', 3)}{asked}; Q is about "
        f"{units.number(quality, 2)} at {units.format(frequency, 'Hz')}."
    )
    if fits is not None and coil.turns > fits * (1.0 + 1e-9):
        made += f" Only {fits} of them fit."
    return made


def how_inductance(seen: Seen) -> str:
    """How the inductance was found, and how far to trust it."""
    coil = seen.coil
    if isinstance(coil, Tube) and coil.sides:
        return "by the round coil that does the same, 0.2 %; wire that rounds the corners makes more difference"
    if isinstance(coil, Layers):
        return "exact sum over all turns as rings: as good as the measures"
    if isinstance(coil, Scramble):
        return "current spread evenly over the section; the section itself is known to a few per cent"
    if isinstance(coil, FlatSpiral):
        return "thin disc with the round-wire correction, 0.1 % of a sum over rings; 1 % more through a slotted card"
    if isinstance(coil, Cone):
        return "conical sheet with the round-wire correction; 0.3 % of a sum over rings"
    if isinstance(coil, Rod):
        return "the rod in slices that magnetise one another; 10 %, the rod's own permeability mostly: slide to adjust"
    return "exact current sheet with the round-wire correction; 0.3 % of a sum over round turns"


def how_length(coil: Wound) -> str:
    """How the length was found."""
    if isinstance(coil, Cylinder):
        return "turns × pitch"
    if isinstance(coil, Layers):
        return "turns of a full layer × pitch"
    if isinstance(coil, FlatSpiral):
        return "the wire's thickness"
    return "as given" if isinstance(coil, Cone) else "between the cheeks"


def how_loss(seen: Seen) -> str:
    """How the resistance was found, and how far to trust it."""
    coil = seen.coil
    stranded = coil.conductor.is_stranded
    if isinstance(coil, Cylinder):
        if stranded:
            return "Butterworth's formula for stranded wire; 10 % if every strand is soldered at both ends"
        how = "exact skin effect, Medhurst's proximity table; measured coils scatter by 10 %, a damp former adds more"
        return f"{how}; the rod's field in the wire is left out" if isinstance(coil, Rod) else how
    how = "skin effect, and eddies in the field of all turns, each shielding the others; 5 %, but real coils 20 %"
    return f"{how}; every strand soldered" if stranded else how


def advice(v: Mapping[str, Any], seen: Seen, fits: int | None) -> tuple[Advice, ...]:
    """What to mind."""
    coil = seen.coil
    found = [
        *_fitting(coil, fits),
        *_closeness(v, coil),
        *_strands(v, coil),
        *_shape(coil),
        *_resonance(v, seen),
    ]
    return (*found, _left_out(seen))


def _fitting(coil: Wound, fits: int | None) -> list[Advice]:
    if fits is None or coil.turns <= fits * (1.0 + 1e-9):
        return []
    return [Advice(f"It does not fit: there is room for {fits} turns of this wire. Take thinner wire or more room.")]


def _closeness(v: Mapping[str, Any], coil: Wound) -> list[Advice]:
    if not isinstance(coil, (Cylinder, FlatSpiral)):
        return []
    conductor = coil.conductor
    found = []
    if conductor.covered is not None and v["pitch"] is not None and v["pitch"] < 0.96 * conductor.covered:
        found.append(
            Advice(
                f"With its covering the wire may be {units.format(conductor.covered, 'm', 3)} thick: the pitch may be "
                "more than you think."
            )
        )
    filled = conductor.bundle / coil.pitch
    if filled > 0.75 and not conductor.is_stranded:
        found.append(
            Advice(
                f"The turns lie close: the wire fills {units.format(filled, '%', 2)} of the pitch, and "
                "neighbouring turns crowd the current. A pitch of one and a half to two wire diameters loses less."
            )
        )
    return found


def _strands(v: Mapping[str, Any], coil: Wound) -> list[Advice]:
    conductor = coil.conductor
    if not conductor.is_stranded:
        return []
    depth = float(wire.skin_depth(v["frequency"], v["temperature"]))
    if conductor.strand <= depth:
        return []
    return [
        Advice(
            f"A strand of {units.format(conductor.strand, 'm', 3)} is thicker than a skin depth, "
            f"{units.format(depth, 'm', 2)} here: the formula is less sure, and solid wire may do as well."
        )
    ]


def _shape(coil: Wound) -> list[Advice]:
    if isinstance(coil, FlatSpiral) and coil.hub < 0.2 * coil.outer_diameter:
        return [
            Advice(
                "The inner diameter is less than a fifth of the outer: the inductance may be off by a per cent, and "
                "the innermost turns add loss, but little else."
            )
        ]
    if isinstance(coil, Rod) and coil.length < 0.5 * coil.rod.diameter:
        return [Advice("The coil is shorter than half the rod's thickness: its inductance comes out 5 % low or more.")]
    return []


def _resonance(v: Mapping[str, Any], seen: Seen) -> list[Advice]:
    resonance = seen.self_resonance
    if resonance is None or v["frequency"] <= resonance / 3.0:
        return []
    at = units.format(v["frequency"], "Hz")
    if v["frequency"] >= resonance:
        return [Advice(f"At {at} the coil is above its own resonance and acts as a capacitor.")]
    return [Advice(f"{at} is above a third of the coil's own resonance: it is no plain inductance there.")]


def _left_out(seen: Seen) -> Advice:
    former = "" if seen.loss_tangent else "Loss in the former, in varnish and in the self-capacitance. "
    leads = "" if seen.leads is not None else "The leads. "
    return Advice(
        f"{former}{leads}A shield, a chassis or other metal near by. A damp card tube can cost a third of the Q.",
        "limit",
    )
