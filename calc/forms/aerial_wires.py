"""What the aerial form answers for a wire, a measured aerial and the dummy: an aerial over an earth."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from calc import units
from calc.constants import TWO_PI
from calc.coupling import available_power
from calc.forms.aerial_kinds import Picked, pick, settled
from calc.forms.aerial_pictures import circuit_drawing, wire_drawing
from calc.forms.results import Advice, Axis, Chart, Result, Row, Rule, Series

_POWER_LINE = Advice(
    "Power lines kill. Put no wire, mast, guy or throwing cord where it could fall on a line, or a line on it: keep "
    "its whole possible fall clear, whichever way it comes down.",
    "caution",
)
_LIGHTNING = Advice(
    "Lightning: lead the aerial to an earth outside the house. Disconnect and earth it before a storm, not in it. A "
    "gas arrester limits charge, and is no promise against a strike. Behind a series capacitor, drain the wire through "
    "about 1 MΩ to earth.",
    "caution",
)
_EARTH = Advice(
    "Never take the mains earth or a gas pipe for your earth. Where the supply has protective multiple earthing, an "
    "outdoor stake that meets the house's metal can carry fault current: local codes and a licensed electrician "
    "decide.",
    "caution",
)
_CLIMB = Advice(
    "Falls: foot and tie the ladder, have someone below, and go up no tree or roof alone. A mast wants guys in "
    "three or more directions, marked where people walk.",
    "caution",
)
_MAINS_WIRING = Advice(
    "Keep an indoor wire away from mains wiring, and do not run it through the fittings of a lamp or a socket.",
    "caution",
)


def solve_wire(values: Mapping[str, Any]) -> Result:
    """The answer for an aerial over an earth."""
    chosen = pick(values)
    frequency, field = float(values["frequency"]), float(values["field"])
    impedance = complex(chosen.aerial.impedance(frequency))
    force = field * chosen.height
    power = float(available_power(force, impedance.real))
    drawings = [circuit_drawing(force, impedance.real, *_series(chosen, frequency, impedance.imag))]
    if chosen.shape is not None:
        drawings.insert(0, wire_drawing(values["kind"], chosen.shape, chosen.low_height))
    return Result(
        sentence=_sentence(chosen, frequency, field, force, impedance.real, power),
        rows=_rows(chosen, frequency, field, impedance, force, power),
        charts=(
            _impedance_chart(chosen, frequency, impedance),
            _capacitance_chart(chosen, frequency),
        ),
        drawings=drawings,
        advice=_advice(values, chosen, frequency, impedance),
        order=("drawings", "rows", "advice", "charts"),
    )


def _series(chosen: Picked, frequency: float, reactance: float) -> tuple[float, float]:
    """Inductance [H] and capacitance [F] in series that have the reactance.

    The capacitance is that at low frequency and the inductance the rest; or less capacitance alone, where the rest
    would be negative.
    """
    angular = TWO_PI * frequency
    rest = reactance + 1.0 / (angular * chosen.capacitance)
    if rest >= 0.0:
        return rest / angular, chosen.capacitance
    return 0.0, -1.0 / (angular * reactance)


def _sentence(chosen: Picked, frequency: float, field: float, force: float, resistance: float, power: float) -> str:
    capacitance, inductance = units.format(chosen.capacitance, "F", 3), units.format(chosen.inductance, "H", 3)
    return (
        f"To the set it is {capacitance} with {inductance} and {units.format(resistance, 'ohm', 3)} in series. It "
        f"stands for {units.format(chosen.low_height, 'm', 3)} of height: {units.format(field, 'V/m', 3)} at "
        f"{units.format(frequency, 'Hz')} gives {units.format(force, 'V', 3)}, from which at most "
        f"{units.format(power, 'W', 2)} can be had."
    )


def _rows(chosen: Picked, frequency: float, field: float, impedance: complex, force: float, power: float) -> list[Row]:
    at = units.format(frequency, "Hz")
    reactance = impedance.imag
    apparent = -1.0 / (TWO_PI * frequency * reactance) if reactance < 0.0 else None
    rows = [
        Row("capacitance", "Capacitance", chosen.capacitance, "F", how=f"well below resonance; {chosen.how}", digits=3),
        Row("inductance", "Inductance in series", chosen.inductance, "H", how="well below resonance", digits=3),
        Row(
            "effective_height",
            "Effective height",
            chosen.low_height,
            "m",
            how=f"well below resonance; {chosen.how}",
            digits=3,
        ),
    ]
    if chosen.shape is not None:
        rows += [
            Row(
                "wire_length",
                "Wire, lead and all",
                chosen.shape.wire_length,
                "m",
                how="of the drawing; add for knots",
                digits=3,
            ),
            Row(
                "height_at",
                f"Effective height at {at}",
                chosen.height,
                "m",
                how="with the current as it lies at that frequency",
                digits=3,
            ),
        ]
    rows.append(
        Row(
            "resonance",
            "Quarter-wave resonance" if chosen.shape else "First resonance",
            chosen.resonance,
            "Hz",
            how="where the reactance first passes nought; within 2 % of NEC-2"
            if chosen.shape
            else "where the reactance first passes nought",
            digits=3,
        )
    )
    rows += [
        Row(
            part.key,
            part.label if part.key == "earth_resistance" else f"{part.label} at {at}",
            part.resistance,
            "ohm",
            how=part.how,
            digits=3,
        )
        for part in chosen.parts
    ]
    return [
        *rows,
        Row("resistance", f"All resistance in series at {at}", impedance.real, "ohm", how="the sum of these", digits=3),
        Row("reactance", f"Reactance at {at}", reactance, "ohm", how="below nought: a capacitor to the set", digits=3),
        Row(
            "apparent_capacitance",
            f"Acts as a capacitance of, at {at}",
            apparent,
            "F",
            how="−1/(2πfX); grows towards resonance",
            digits=3,
        ),
        Row(
            "force",
            "Voltage that a station induces",
            force,
            "V",
            how="field × effective height, rms of the carrier",
            digits=3,
        ),
        Row("available_power", "Power that can be had", power, "W", how="E²/4R, with everything matched", digits=3),
    ]


def _rounded(bound: float) -> float:
    """The end of an axis, to four figures."""
    return float(f"{bound:.4g}")


def _impedance_chart(chosen: Picked, frequency: float, impedance: complex) -> Chart:
    sweep, values = chosen.frequency, chosen.impedance
    bound = _rounded(min(max(1.25 * abs(impedance.imag), 400.0), 2e4))
    upper = _rounded(min(max(values.imag.max(), values.real.max(), 0.3 * bound), bound))
    rules = [Rule(units.format(frequency, "Hz"), "x", frequency)]
    told = f"The reactance is {units.format(impedance.imag, 'ohm', 3)} at {units.format(frequency, 'Hz')}"
    if chosen.resonance is not None:
        rules.append(Rule(f"resonance {units.format(chosen.resonance, 'Hz', 3)}", "x", chosen.resonance))
        told += f" and passes nought at {units.format(chosen.resonance, 'Hz', 3)}, the quarter-wave resonance"
    return Chart(
        key="impedance",
        title="Resistance and reactance",
        summary=f"{told}. Below nought it is that of a capacitor, above it that of a coil.",
        x=Axis("Frequency", "Hz", float(sweep[0]), float(sweep[-1])),
        y=Axis("In series", "ohm", -bound, 1.05 * upper),
        series=(
            Series("reactance", "Reactance", sweep, settled(np.clip(values.imag, -2.0 * bound, 2.0 * bound), bound)),
            Series(
                "resistance", "Resistance, earth included", sweep, settled(np.minimum(values.real, 2.0 * bound), bound)
            ),
        ),
        rules=rules,
    )


def _capacitance_chart(chosen: Picked, frequency: float) -> Chart:
    """The capacitance that it acts as, up to near its resonance."""
    bound = 0.95 * chosen.resonance if chosen.resonance is not None else np.inf
    shown = (chosen.frequency >= 95e3) & (chosen.frequency <= min(bound, 2e6)) & (chosen.impedance.imag < 0.0)
    if np.count_nonzero(shown) < 3:
        shown = (chosen.frequency <= bound) & (chosen.impedance.imag < 0.0)
    over = chosen.frequency[shown]
    apparent = -1.0 / (TWO_PI * over * chosen.impedance.imag[shown])
    first, last = (units.format(float(apparent[end]), "F", 3) for end in (0, -1))
    low, high = (units.format(float(over[end]), "Hz", 3) for end in (0, -1))
    return Chart(
        key="apparent",
        title="The capacitance that it acts as",
        summary=f"{first} at {low}, and {last} at {high}: the nearer the resonance, the more.",
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis("Acts as", "F", 0.0, _rounded(1.05 * min(apparent.max(), 6.0 * chosen.capacitance))),
        series=(
            Series(
                "apparent",
                "Acts as",
                over,
                settled(np.minimum(apparent, 12.0 * chosen.capacitance), chosen.capacitance),
            ),
        ),
        rules=(Rule(units.format(frequency, "Hz"), "x", frequency),) if over[0] <= frequency <= over[-1] else (),
    )


def _advice(values: Mapping[str, Any], chosen: Picked, frequency: float, impedance: complex) -> list[Advice]:
    kind = values["kind"]
    found = {"dummy": [], "indoor": [_EARTH, _MAINS_WIRING]}.get(kind, [_POWER_LINE, _LIGHTNING, _EARTH, _CLIMB])
    found = list(found)
    parts = {part.key: part.resistance for part in chosen.parts}
    earth, metal = parts.get("earth_resistance", 0.0), parts.get("wire_resistance", 0.0)
    if earth > 0.5 * impedance.real:
        gain = impedance.real / (impedance.real - 0.5 * earth)
        found.append(
            Advice(
                f"The earth is {units.format(earth / impedance.real, '%', 2)} of all resistance. One of half the "
                f"resistance would let you have {units.number(gain, 2)} times the power."
            )
        )
    if metal > 0.25 * impedance.real:
        share = units.format(metal / impedance.real, "%", 2)
        found.append(Advice(f"The wire itself is {share} of all resistance: a thicker one, or copper, pays here."))
    if chosen.resonance is not None and frequency > 0.6 * chosen.resonance:
        found.append(
            Advice(
                "You are near the aerial's own resonance or past it. There it is no plain capacitor any more, and "
                "the dial goes astray with it."
            )
        )
    return [*found, Advice(_LIMITS.get(kind, _USUAL_LIMIT), "limit")]


_USUAL_LIMIT = "Trees, houses, and the set's own leads. Each adds capacitance and takes some height away."
_LIMITS = {
    "low": (
        "The tilt of the wave over poor ground. It gives a long low wire more than shown from stations in line with "
        "it, beyond its far end or behind the set."
    ),
    "indoor": (
        "The house. Walls, wiring and pipes take some of the field and add capacitance, by an amount that only a "
        "trial tells."
    ),
    "measured": "Whatever changes with frequency: the figures hold near the one at which they were measured.",
    "dummy": (
        "Any real wire. The network stands for an ordinary outdoor one when sets are compared on the bench; the 4 m "
        "go with it by convention."
    ),
}
