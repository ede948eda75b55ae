"""The earphone-measuring form: level for a milliwatt, by comparison or at the threshold of hearing."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from calc import earphones, units
from calc.fitting.earphone_level import (
    ONE_EAR,
    EarphoneFit,
    Known,
    Part,
    attenuated,
    by_comparison,
    by_threshold,
    electrical_power,
    masked_threshold,
    noise_share,
)
from calc.forms.form import Form
from calc.forms.measure.earphone_fields import BALANCED, FIELDS, HEARD
from calc.forms.measure.shared import (
    each_chart,
    half_width,
    how_sure,
    measured_row,
    scatter_advice,
    with_uncertainty,
)
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import ROOMS
from calc.forms.results import Advice, Column, Result, Row, Table
from calc.units import Array, InputError


def solve(**values: Any) -> Result:
    """The earphone for what was heard."""
    way = str(values["way"])
    readings: Sequence[dict[str, float]] = values[way.replace("-", "_")]
    voltage = _voltages(values, readings, "this")
    _require_harmless(electrical_power(voltage, values["impedance"]), way)
    if way in BALANCED:
        known = _voltages(values, readings, "known")
        found = by_comparison(
            known,
            voltage,
            Known(values["known_sensitivity"], values["known_impedance"], values["known_uncertainty"]),
            values["impedance"],
            values["judgement"],
            values["impedance_uncertainty"],
            values["voltage_uncertainty"],
            values["seating"],
        )
        power = electrical_power(known, values["known_impedance"])
        heard = values["known_sensitivity"] + 10.0 * np.log10(np.asarray(power) / earphones.REFERENCE_POWER)
        level, told = float(np.mean(heard)), "what the known one makes of its power, on the mean"
    else:
        level, parts = _heard(values)
        found = by_threshold(
            voltage,
            values["impedance"],
            level,
            values["judgement"],
            parts,
            values["impedance_uncertainty"],
            values["voltage_uncertainty"],
        )
        told = "the threshold of hearing, yours, in that noise"
    sure = found.sensitivity
    return Result(
        sentence=f"The earphone makes {with_uncertainty(sure, 'dB')} of a milliwatt: {how_sure(sure, 'dB')}.",
        rows=_rows(found, level, told),
        tables=(_parts(found), _trials(found, voltage)),
        charts=(
            each_chart("trials", "Reading by reading", "Level for 1 mW", found.estimate.readings.tolist(), sure, "dB"),
        ),
        advice=_advice(found, way, values),
        order=("rows", "charts", "tables", "advice"),
    )


def _voltages(values: Mapping[str, Any], readings: Sequence[dict[str, float]], name: str) -> Array:
    read = np.array([each[name] for each in readings])
    return read if values["source"] is None else np.asarray(attenuated(values["source"], read))


_MOST_POWER = 0.1
"""Into an earphone while one is worn [W]: with a hundred decibels for a milliwatt that is 120 dB, where it hurts."""


def _require_harmless(power: Any, way: str) -> None:
    if float(np.max(power)) > _MOST_POWER:
        most = units.format(_MOST_POWER, "W")
        raise InputError(
            way.replace("-", "_"), f"would put more than {most} into this earphone, which is not to be worn"
        )


def _heard(values: Mapping[str, Any]) -> tuple[float, list[Part]]:
    """The level that is just heard [dB SPL], and what makes it unsure."""
    noise = (
        values["room_noise"]
        if values["room"] == OWN
        else earphones.room_noise(ROOMS[values["room"]].criterion, values["frequency"])
    )
    loss = values["hearing_loss"] + (ONE_EAR if values["ears"] == "one" else 0.0)
    at_ear = noise - values["shut_out"]
    share = float(noise_share(values["frequency"], at_ear, loss))
    parts = [
        Part("your hearing", (1.0 - share) * values["hearing_uncertainty"]),
        Part("the noise at the ear", share * values["noise_uncertainty"]),
        Part("how it sits on the ear", values["seating"]),
    ]
    return float(masked_threshold(values["frequency"], at_ear, loss)), parts


def _rows(found: EarphoneFit, level: float, told: str) -> list[Row]:
    mean = float(np.exp(np.mean(np.log(found.powers))))
    return [
        measured_row("sensitivity", "Level for 1 mW", found.sensitivity, "dB", "level heard, less the power over 1 mW"),
        Row("level", "Level heard", level, "dB", how=told),
        Row("power", "Power that makes it in this earphone", mean, "W", how="V²/Z, the mean of all by ratio", digits=2),
    ]


def _parts(found: EarphoneFit) -> Table:
    rows: list[list[float | str | None]] = [
        [part.name[0].upper() + part.name[1:], part.uncertainty if part.uncertainty is not None else None]
        for part in found.parts
    ]
    rows.append(["All together", found.sensitivity.uncertainty])
    return Table(
        "parts",
        "What makes it unsure",
        (Column("part", "Part"), Column("uncertainty", "Standard uncertainty", "dB")),
        rows,
    )


def _trials(found: EarphoneFit, voltage: Array) -> Table:
    rows: list[list[float | str | None]] = [
        [str(place + 1), float(voltage[place]), float(found.powers[place]), float(found.estimate.readings[place])]
        for place in range(voltage.size)
    ]
    columns = (
        Column("number", "Reading"),
        Column("voltage", "Across this earphone", "V", 3),
        Column("power", "Power", "W", 3),
        Column("sensitivity", "Level for 1 mW", "dB"),
    )
    return Table("readings", "Reading by reading", columns, rows)


def _advice(found: EarphoneFit, way: str, values: Mapping[str, Any]) -> list[Advice]:
    told = scatter_advice(found.estimate)
    half = half_width(found.sensitivity)
    if way in HEARD:
        told.append(
            Advice(
                "An ear is no standard, and the interval says so. But with this figure the whole-set form puts a "
                "station as far above hearing as your own ears would, whatever the decibels: what is wrong in it "
                "cancels."
            )
        )
    greatest = max(found.parts, key=lambda part: part.uncertainty or 0.0)
    if half is not None and greatest.uncertainty:
        told.append(
            Advice(
                f"Most of what is unsure comes of this: {greatest.name}. More readings help only against the first "
                "line of the table."
            )
        )
    return [
        *told,
        Advice(
            "Begin with the tone at its weakest, and put the earphones on only then. Take them off before you "
            "switch or plug anything. What is no louder than speech is loud enough to compare.",
            "caution",
        ),
        Advice(
            "Old headphones may have bare terminals, with your head between them. Drive them from a battery, or from a "
            "source that is safe to touch, and never from anything with a high-tension supply or a mains unit.",
            "caution",
        ),
        Advice(
            "Other notes: an earphone peaks and falls by ten decibels and more over the range of speech. How its "
            "impedance divides between resistance and reactance.",
            "limit",
        ),
        Advice(
            "That an attenuator is true only into the load for which it was made: put a resistor of that value "
            "across its output, and the earphone across the resistor."
            if values["source"] is not None
            else "What the voltmeter reads of hum and noise besides the tone.",
            "limit",
        ),
        Advice(
            "That levels at the ear are counted as in the open, as all levels of these pages are. Makers measure in "
            "a coupler, and may print some decibels more or less for the same earphone.",
            "limit",
        ),
    ]


FORM = Form(
    id="measure-earphone",
    title="Measure an earphone",
    chapter="measuring",
    summary="An earphone's level for a milliwatt, by equal loudness with a known one or by the faintest tone heard.",
    fields=FIELDS,
    solve=solve,
    blame={"octave_noise": "room_noise"},
)
