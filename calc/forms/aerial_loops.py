"""What the aerial form answers for a frame and a ferrite rod."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from calc import bands, units
from calc.aerials import FerriteRod, FrameAerial, loop_pattern
from calc.constants import TWO_PI
from calc.coupling import available_power
from calc.forms.aerial_kinds import Loop, pick_loop
from calc.forms.aerial_pictures import frame_drawing, rod_drawing
from calc.forms.aerial_polar import nulls, polar_drawing
from calc.forms.results import Advice, Axis, Chart, Result, Row, Rule, Series


def solve_loop(values: Mapping[str, Any]) -> Result:
    """The answer for an aerial that is the coil of the tuned circuit itself."""
    loop = pick_loop(values)
    source = loop.source
    upright = values["upright"] * (1.0 if values["step"] == "in" else 1j)
    share = float(loop_pattern(values["turned"], upright))
    frequency, quality = float(values["frequency"]), float(values["quality"])
    height = float(source.effective_height(frequency))
    force = float(values["field"]) * height * share
    resistance = TWO_PI * frequency * source.inductance / quality
    drawing = frame_drawing(source) if isinstance(source, FrameAerial) else rod_drawing(source)
    return Result(
        sentence=(
            f"The {loop.name} is a coil of {units.format(source.inductance, 'H', 3)} and stands for "
            f"{units.format(height, 'm', 3)} of height; {units.format(float(values['field']), 'V/m', 3)} at "
            f"{units.format(frequency, 'Hz')} gives {units.format(force, 'V', 3)}, and "
            f"{units.format(quality * force, 'V', 3)} across the tuned circuit."
        ),
        rows=_rows(loop, values, height, share, force, resistance, upright),
        charts=_charts(loop, frequency),
        drawings=(drawing, polar_drawing(values["kind"], upright, values["turned"])),
        advice=_advice(values, share),
        order=("drawings", "rows", "charts", "advice"),
    )


def _rows(
    loop: Loop,
    values: Mapping[str, Any],
    height: float,
    share: float,
    force: float,
    resistance: float,
    upright: complex,
) -> list[Row]:
    source, frequency, quality = loop.source, float(values["frequency"]), float(values["quality"])
    at = units.format(frequency, "Hz")
    rows = [
        Row("inductance", "Inductance", source.inductance, "H", how=loop.how, digits=3),
        Row(
            "tuned_by",
            f"Tuned to {at} by",
            float(bands.capacitance_for(frequency, source.inductance)),
            "F",
            how="1/((2πf)²L), strays included",
            digits=3,
        ),
        Row(
            "effective_height",
            f"Effective height at {at}",
            height,
            "m",
            how="2π × turns × area / wavelength"
            if loop.name == "frame"
            else f"2π × turns × flux area / wavelength; {loop.how}",
            digits=3,
        ),
        Row(
            "working_height",
            "With the Q of the circuit",
            quality * height,
            "m",
            how="effective height × Q: what compares with a wire's",
            digits=3,
        ),
    ]
    if isinstance(source, FerriteRod):
        rows.append(
            Row(
                "effective_permeability",
                "Effective permeability under the coil",
                source.effective_permeability,
                how=loop.how,
                digits=3,
            )
        )
    if isinstance(source, FrameAerial):
        copper = float(source.wire_resistance(frequency))
        rows += [
            Row("wire_length", "Wire in the frame", source.wire_length, "m", how="add tails", digits=3),
            Row(
                "wire_resistance",
                f"Resistance of the wire at {at}",
                copper,
                "ohm",
                how="exact skin effect; close turns crowd the current and add to it",
                digits=3,
            ),
            Row(
                "most_quality",
                "Q by the wire alone",
                TWO_PI * frequency * source.inductance / copper,
                how="an upper bound",
                digits=3,
            ),
            Row(
                "radiation_resistance",
                f"Radiation resistance at {at}",
                float(source.radiation_resistance(frequency)),
                "ohm",
                how="small loop; next to nothing",
                digits=2,
            ),
        ]
    dips = nulls(upright)
    taken = np.asarray(loop_pattern(np.arange(0.0, 360.0, 0.1), upright))
    depth = 20.0 * float(np.log10(taken.max() / taken.min())) if taken.min() > 1e-3 else None
    return [
        *rows,
        Row(
            "resistance",
            f"All resistance in series at {at}",
            resistance,
            "ohm",
            how="2πfL/Q with the Q that you gave",
            digits=3,
        ),
        Row("share", "Share of the best direction", share, "%", how="|cos a + upright effect|", digits=3),
        Row(
            "force",
            "Voltage that a station induces",
            force,
            "V",
            how="field × effective height × share, rms of the carrier",
            digits=3,
        ),
        Row(
            "tank_voltage",
            "Across the tuned circuit",
            quality * force,
            "V",
            how="times Q, nothing else loading it",
            digits=3,
        ),
        Row(
            "available_power",
            "Power that can be had",
            float(available_power(force, resistance)),
            "W",
            how="E²/4R, with everything matched",
            digits=3,
        ),
        Row(
            "first_null",
            "First null from the best direction",
            dips[0] if dips else None,
            "deg",
            how="where the voltage dips below 30 % of the best; to half a degree",
            digits=3,
        ),
        Row(
            "null_depth",
            "Depth of the null",
            depth,
            "dB",
            how="best over least direction; none given where it goes to nothing",
        ),
    ]


def _charts(loop: Loop, frequency: float) -> list[Chart]:
    source = loop.source
    over = np.linspace(min(150e3, 0.8 * frequency), max(1.7e6, 1.2 * frequency), 40)
    needed = np.asarray(bands.capacitance_for(over, source.inductance))
    top = float(min(needed.max(), 0.99e-9))
    charts = [
        Chart(
            key="tuning",
            title="The capacitance that tunes it",
            summary=(
                f"{units.format(float(bands.capacitance_for(frequency, source.inductance)), 'F', 3)} at "
                f"{units.format(frequency, 'Hz')}, strays included; a quarter of it at twice the frequency."
            ),
            x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
            y=Axis("Capacitance", "F", 0.0, top),
            series=(Series("needed", "Capacitance", over, needed),),
            rules=(
                Rule(units.format(frequency, "Hz"), "x", frequency),
                *((Rule("365 pF", "y", 365e-12),) if top > 3.8e-10 else ()),
            ),
        )
    ]
    if isinstance(source, FerriteRod):
        charts.append(_flux_chart(source))
    return charts


def _flux_chart(rod: FerriteRod) -> Chart:
    # the outermost pieces stand for the end faces as well, and say little of the rod beside them
    places, flux = (each[1:-1] for each in rod.permeability_along)
    start, end = rod.coil_centre - 0.5 * rod.coil_length, rod.coil_centre + 0.5 * rod.coil_length
    return Chart(
        key="flux",
        title="How the rod gathers the field",
        summary=(
            f"In the middle of the rod {units.number(float(flux.max()), 3)} times the flux that would pass there "
            f"without it; under the coil {units.number(rod.effective_permeability, 3)} times on the whole."
        ),
        x=Axis("From the middle of the rod", "m", -0.5 * rod.rod_length, 0.5 * rod.rod_length),
        y=Axis("Effective permeability", "", 0.0, float(1.1 * flux.max())),
        series=(Series("flux", "Effective permeability", places, flux),),
        rules=(Rule("coil begins", "x", start), Rule("ends", "x", end)),
    )


def _advice(values: Mapping[str, Any], share: float) -> list[Advice]:
    what = "frame" if values["kind"] == "frame" else "rod"
    best = "its plane points at the station" if what == "frame" else "it lies square to the way to the station"
    found = [
        Advice(f"The {what} hears best when {best}. Turn it so that a null falls on the station that is in the way.")
    ]
    if share < 0.3:
        found.append(Advice("As it stands, the station is near a null."))
    left_out = (
        "The crowding of current in close turns."
        if what == "frame"
        else "The ferrite's own loss, which is in the Q that you give."
    )
    found.append(
        Advice(
            "Metal near by and house wiring, which bend the field and fill the nulls. At night, stations from the "
            f"sky, whose nulls wander. {left_out}",
            "limit",
        )
    )
    return found
