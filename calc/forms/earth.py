"""The earth form: what a stake, a buried wire or a counterpoise makes in a soil, and what a better one would buy."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from calc import earths, ground_wave, units
from calc.constants import TWO_PI
from calc.forms.earth_fields import BURIED, FIELDS
from calc.forms.earth_kinds import MAKERS, Earth
from calc.forms.form import Form
from calc.forms.parts import OWN
from calc.forms.results import Advice, Column, Result, Row, Table


def solve(**values: Any) -> Result:
    """The earth for what was typed."""
    low, resistivity, high = _resistivity(values)
    made = MAKERS[values["kind"]](values, resistivity)
    if values["kind"] == "counterpoise":
        return _counterpoise_result(values, made)
    rest, name = values["rest"], _soil_name(values)
    where = "" if values["kind"] == "measured" else f" in {name}"
    best = made.changes[0]
    rows = [Row("resistance", "Resistance of the earth", made.figure, "ohm", how=made.how, digits=3)]
    if values["kind"] != "measured":
        rows.append(
            Row("resistivity", "Resistivity of the soil", resistivity, "ohm m", how=_how_soil(values), digits=3)
        )
        if low is not None and high is not None:
            scaled = made.figure / resistivity
            told = "in proportion, for the range in which this soil is found"
            rows.append(Row("wettest", "In the best of this soil", scaled * low, "ohm", how=told, digits=2))
            rows.append(Row("driest", "In the worst of this soil", scaled * high, "ohm", how=told, digits=2))
    if values["kind"] in BURIED:
        rows.append(_useful_row(resistivity, values["frequency"]))
    share = made.figure / (made.figure + rest)
    rows.append(Row("share", "Its share of all resistance", share, "%", how="earth over earth and rest", digits=3))
    return Result(
        sentence=(
            f"{made.name} {made.verb} {units.format(made.figure, 'ohm', 3)}{where}. "
            f"{best.words[0].upper()}{best.words[1:]} would make {units.format(best.figure, 'ohm', 3)}."
        ),
        rows=rows,
        tables=(_change_table(made, rest),),
        charts=made.charts,
        drawings=made.drawings,
        advice=_advice(values),
        order=("rows", "tables", "charts", "drawings", "advice"),
    )


def _resistivity(values: Mapping[str, Any]) -> tuple[float | None, float, float | None]:
    """Least, usual and most resistivity of the soil chosen [ohm m]; the bounds only where the table gives them."""
    if values["soil"] == OWN:
        return None, float(values["resistivity"]), None
    if values["soil"] in earths.soils():
        soil = earths.soils()[values["soil"]]
        return soil.low, soil.resistivity, soil.high
    return None, ground_wave.grounds()[values["soil"]].resistivity, None


def _soil_name(values: Mapping[str, Any]) -> str:
    if values["soil"] == OWN:
        return "this soil"
    known = earths.soils().get(values["soil"]) or ground_wave.grounds()[values["soil"]]
    first = known.name.split(",")[0]
    return first[0].lower() + first[1:]


def _how_soil(values: Mapping[str, Any]) -> str:
    if values["soil"] == OWN:
        return "as you gave it"
    if values["soil"] in earths.soils():
        return "usual value of handbooks; rain and frost move it by a factor of two and more"
    return "1 over the conductivity of this ground in Rec. ITU-R P.368"


def _useful_row(resistivity: float, frequency: float) -> Row:
    return Row(
        "useful_length",
        f"Longest wire worth burying at {units.format(frequency, 'Hz')}",
        float(earths.useful_buried_length(resistivity, frequency)),
        "m",
        how="skin depth of the soil: what lies further out no longer counts",
        digits=2,
    )


def _change_table(made: Earth, rest: float) -> Table:
    rows: list[list[float | str | None]] = [["as it is", made.figure, 0.0]]
    rows += [
        [change.words, change.figure, 10.0 * float(np.log10((made.figure + rest) / (change.figure + rest)))]
        for change in made.changes
    ]
    columns = (
        Column("change", "Change"),
        Column("resistance", "Resistance", "ohm", 3),
        Column("gain", "More power to be had", "dB"),
    )
    return Table("changes", "What a change would buy", columns, rows)


def _counterpoise_result(values: Mapping[str, Any], made: Earth) -> Result:
    aerial, frequency = values["aerial_capacitance"], values["frequency"]
    joint = 1.0 / (1.0 / aerial + 1.0 / made.figure)
    reactance = -1.0 / (TWO_PI * frequency * made.figure)
    at = units.format(frequency, "Hz")
    rows: list[list[float | str | None]] = [["as it is", made.figure, joint]]
    rows += [[change.words, change.figure, 1.0 / (1.0 / aerial + 1.0 / change.figure)] for change in made.changes]
    columns = (
        Column("change", "Change"),
        Column("capacitance", "Counterpoise", "F", 3),
        Column("joint", "With the aerial", "F", 3),
    )
    return Result(
        sentence=(
            f"{made.name} has {units.format(made.figure, 'F', 3)} to the ground; in series with it the aerial's "
            f"{units.format(aerial, 'F', 3)} become {units.format(joint, 'F', 3)}."
        ),
        rows=(
            Row("capacitance", "Capacitance of the counterpoise", made.figure, "F", how=made.how, digits=3),
            Row(
                "reactance",
                f"Reactance at {at}",
                reactance,
                "ohm",
                how="−1/(2πfC), in series with the aerial",
                digits=3,
            ),
            Row("joint", "Aerial and counterpoise in series", joint, "F", how="1/(1/C₁ + 1/C₂)", digits=3),
            Row("lost", "Capacitance lost", 1.0 - joint / aerial, "%", how="against a perfect earth", digits=3),
        ),
        tables=(Table("changes", "What a change would buy", columns, rows),),
        charts=made.charts,
        drawings=made.drawings,
        advice=_advice(values),
        order=("rows", "tables", "charts", "drawings", "advice"),
    )


def _advice(values: Mapping[str, Any]) -> list[Advice]:
    found = [
        Advice(
            "Never use a gas pipe, nor the mains earth, as the earth of a set. A water pipe may be plastic further "
            "on, or part of the house's bonding. Where the supply has protective multiple earthing, local codes and "
            "a licensed electrician decide what may be joined to what.",
            "caution",
        )
    ]
    if values["kind"] == "counterpoise":
        found.append(Advice("Hang it where nobody runs into it: over head height, or fenced, and marked.", "caution"))
        found.append(
            Advice(
                "The lead from the counterpoise, and its own effective height, which is taken from the aerial's.",
                "limit",
            )
        )
        return found
    if values["kind"] != "measured":
        found.append(
            Advice(
                "Find out what lies under the ground before you drive or dig: cables, gas, water, drains.", "caution"
            )
        )
    found.append(
        Advice(
            "Layers and seasons in the soil, and the resistance between a stake and loose dry earth about it. The "
            "figures are for steady current: at radio frequency a lead of some metres adds reactance, and far parts "
            "of long wires count less.",
            "limit",
        )
    )
    return found


FORM = Form(
    id="earth",
    title="Earth",
    chapter="aerial-and-earth",
    summary="The resistance of stakes, buried wires or a counterpoise in your soil, and what a better earth would buy.",
    fields=FIELDS,
    solve=solve,
    blame={"length": "stake_length", "diameter": "stake_diameter", "wire_diameter": "wire"},
)
