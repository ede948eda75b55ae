"""The form for a variable capacitor's law: the shape of its plates, and its two ends, from a few readings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc import units
from calc.fitting.capacitor_law import TELLING, FittedLaw, KnownCoil, LawBench, LawChoice, fit_law
from calc.forms.form import Form
from calc.forms.measure.law_fields import DIAL, FIELDS
from calc.forms.measure.shared import measured_row, steady, with_uncertainty
from calc.forms.parts import OWN
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table
from calc.units import Array, InputError

_NAMES: Mapping[str, str] = {
    "semicircular": "half-round plates, equal steps of capacitance",
    "wavelength": "square-law plates, equal steps of wavelength",
    "frequency": "plates for equal steps of frequency",
}
_LAW_ON_FORMS: Mapping[str, str] = {"semicircular": "capacitance", "wavelength": "wavelength", "frequency": "frequency"}
"""The word for a law in the forms' addresses."""
_STEPS = 11
_PLACES = 6
"""Decimals to which sums of squares are kept: beyond, they are rounding."""
_LEAST_CHANCE = 1e-4


def solve(**values: Any) -> Result:
    """The law for what was read."""
    by_frequency = values["way"] == "frequency"
    table = "frequencies" if by_frequency else "capacitances"
    readings = values[table]
    dial = _dial(values, readings, table)
    turns = [dial.turn(each["place"]) for each in readings]
    coil = None
    if by_frequency:
        coil = KnownCoil(
            values["inductance"], values["strays"], values["inductance_uncertainty"], values["strays_uncertainty"]
        )
        bench = LawBench(
            values["dial_uncertainty"], values["frequency_uncertainty"], plate_strays=values["plate_strays"]
        )
    else:
        bench = LawBench(
            values["dial_uncertainty"],
            values["capacitance_uncertainty"],
            values["floor"],
            values["scale_uncertainty"],
            values["plate_strays"],
        )
    read = [each["frequency" if by_frequency else "capacitance"] for each in readings]
    try:
        found = fit_law(turns, read, bench, coil)
    except InputError as error:
        raise InputError(
            table if error.argument in ("turn", "reading", "readings") else error.argument, error.reason
        ) from None
    return Result(
        sentence=_sentence(found),
        rows=_rows(found),
        tables=(_laws(found), _readings(found, dial), _curve_table(found, dial)),
        charts=(_chart(found, dial),),
        advice=_advice(found),
        order=("rows", "charts", "tables", "advice"),
    )


@dataclass(frozen=True)
class _Dial:
    """Marks of a dial with plates out and plates in."""

    plates_out: float
    plates_in: float

    def turn(self, mark: float) -> float:
        return (mark - self.plates_out) / (self.plates_in - self.plates_out)

    def __call__(self, turns: Array) -> Array:
        return np.asarray(self.plates_out + turns * (self.plates_in - self.plates_out))


def _dial(values: Mapping[str, Any], readings: Sequence[Mapping[str, float]], table: str) -> _Dial:
    """The dial, turned as the readings tell; InputError where a reading lies beyond its ends."""
    scale = values["scale"]
    ends = (values["lowest"], values["highest"]) if scale == OWN else (0.0, float(scale))
    low, high = min(ends), max(ends)
    if low == high:
        raise InputError("highest", "must differ from the other")
    marks = np.array([each["place"] for each in readings])
    if np.any((marks < low) | (marks > high)):
        raise InputError(table, f"must have marks of the dial from {units.number(low)} to {units.number(high)} alone")
    size = np.array([each.get("capacitance", -each.get("frequency", 0.0)) for each in readings])
    rises = float(np.sum((marks - marks.mean()) * (size - size.mean()))) >= 0.0
    return _Dial(low, high) if rises else _Dial(high, low)


def _sentence(found: LawChoice) -> str:
    best = found.best
    ends = f"from {with_uncertainty(best.least, 'F')} to {with_uncertainty(best.greatest, 'F')}"
    if found.followed is False:
        told = "go by the curve through them" if found.table is not None else "take them again"
        return f"No law fits these readings: {told}. The nearest is that of {_NAMES[best.kind]}, {ends}."
    if not found.decided:
        others = " or ".join(f"those of {_NAMES[each.kind]}" for each in _rivals(found))
        nearest = f"Nearest is that of {_NAMES[best.kind]}, {ends}"
        return f"These readings do not decide the law. {nearest}, but {others} may do."
    return f"The capacitor has {_NAMES[best.kind]}, {ends}."


def _rivals(found: LawChoice) -> list[FittedLaw]:
    """Laws that the readings do not tell from the best."""
    return [each for each in found.fits[1:] if each.squares - found.best.squares < TELLING]


def _rows(found: LawChoice) -> list[Row]:
    best = found.best
    return [
        Row("law", "Nearest law", None, text=_LAW_ON_FORMS[best.kind], how=_NAMES[best.kind]),
        measured_row("least", "Capacitance, plates out", steady(best.least, 6), "F", "the law at that end"),
        measured_row("greatest", "Capacitance, plates in", steady(best.greatest, 6), "F", "the law at that end"),
        Row(
            "lead",
            "How much worse the next law fits",
            round(found.lead, _PLACES) if np.isfinite(found.lead) else None,
            how="sum of squares less that of the nearest, each residual by its uncertainty; from 6 on it decides",
            digits=2,
        ),
        _chance_row(best),
    ]


def _chance_row(best: FittedLaw) -> Row:
    how = "if the nearest law is the true one, and readings as sure as stated; below 1 % it is not taken for it"
    chance, label = best.estimate.chance, "Chance of a scatter as great"
    if chance is not None and chance < _LEAST_CHANCE:
        return Row("chance", label, 0.0, "%", how=how, text=f"less than {units.format(_LEAST_CHANCE, '%')}")
    return Row("chance", label, chance, "%", how=how, digits=2)


def _laws(found: LawChoice) -> Table:
    kinds = {each.kind: each for each in found.fits}
    rows: list[list[float | str | None]] = []
    for kind, name in _NAMES.items():
        each = kinds.get(kind)
        if each is None:
            rows.append([name, "cannot be", None, None])
            continue
        rows.append([name, round(each.squares, _PLACES), steady(each.least, 6).value, steady(each.greatest, 6).value])
    columns = (
        Column("law", "Law"),
        Column("squares", "Sum of squares", "", 3),
        Column("least", "Plates out", "F"),
        Column("greatest", "Plates in", "F"),
    )
    return Table("laws", "The three laws", columns, rows)


def _readings(found: LawChoice, dial: _Dial) -> Table:
    fitted = np.asarray(found.best.law.capacitance(found.turns))
    wrong = found.best.estimate.standardised[: found.turns.size]
    each = (part.tolist() for part in (dial(found.turns), found.capacitances, fitted, wrong))
    rows: list[list[float | str | None]] = [
        [str(place), mark, read, by_law, round(left, _PLACES) or "none"]
        for place, (mark, read, by_law, left) in enumerate(zip(*each, strict=True), start=1)
    ]
    columns = (
        Column("number", "Reading"),
        Column("dial", DIAL, ""),
        Column("read", "Capacitance, read", "F"),
        Column("fitted", "Nearest law", "F"),
        Column("standardised", "Left over by its own uncertainty", "", 2),
    )
    return Table("readings", "Reading by reading, plates out first", columns, rows)


def _curve_table(found: LawChoice, dial: _Dial) -> Table:
    turns = np.linspace(0.0, 1.0, _STEPS)
    law = np.asarray(found.best.law.capacitance(turns))
    through: list[float | None] = [None] * _STEPS
    if found.table is not None:
        first = int(turns.searchsorted(found.table.turns[0]))
        last = int(turns.searchsorted(found.table.turns[-1], "right"))
        through[first:last] = np.asarray(found.table.capacitance(turns[first:last])).tolist()
    rows: list[list[float | str | None]] = [
        [float(place), float(by_law), by_curve]
        for place, by_law, by_curve in zip(dial(turns).tolist(), law.tolist(), through, strict=True)
    ]
    columns = (
        Column("dial", DIAL, ""),
        Column("law", "Nearest law", "F"),
        Column("curve", "Curve through the readings", "F"),
    )
    return Table("dial", "Capacitance over the dial", columns, rows)


def _chart(found: LawChoice, dial: _Dial) -> Chart:
    turns = np.linspace(0.0, 1.0, 51)
    series = [
        Series(each.kind, _NAMES[each.kind], dial(turns), np.asarray(each.law.capacitance(turns)))
        for each in found.fits
    ]
    if found.table is not None:
        own = np.linspace(found.table.turns[0], found.table.turns[-1], 51)
        series.append(
            Series("curve", "curve through the readings", dial(own), np.asarray(found.table.capacitance(own)))
        )
    # a law that misses by far may leave the picture
    most = max(found.best.greatest.value, float(found.capacitances.max()))
    odd = found.best.estimate.odd()
    ends = sorted((dial.plates_out, dial.plates_in))
    return Chart(
        key="law",
        title="Capacitance over the dial",
        summary=(
            "Readings and the laws that can be laid through them, from "
            f"{units.format(found.best.least.value, 'F', 3)} with plates out to "
            f"{units.format(found.best.greatest.value, 'F', 3)} with plates in. Nearest is that of "
            f"{_NAMES[found.best.kind]}."
        ),
        x=Axis(DIAL, "", ends[0], ends[1]),
        y=Axis("Capacitance", "F", 0.0, 1.2 * most),
        series=series,
        marks=[
            Mark(str(place + 1), mark, read, emphasis=place in odd)
            for place, (mark, read) in enumerate(
                zip(dial(found.turns).tolist(), found.capacitances.tolist(), strict=True)
            )
        ],
    )


def _advice(found: LawChoice) -> list[Advice]:
    told = []
    if found.followed is False:
        told.append(
            Advice(
                "The readings lie further from every law than you said they could. Bent end plates do that, and so "
                "do strays for which the plates were cut, or readings that are less sure than stated. The curve "
                "through the readings holds whatever the law."
                if found.table is not None
                else "The readings lie further from every law than you said they could, and do not rise all the way. "
                "Take the odd ones again."
            )
        )
    elif not found.decided:
        told.append(
            Advice(
                "Readings in the middle of the dial part the laws best: there half-round plates have half their "
                "capacitance, and the others much less."
            )
        )
    odd = [f"reading {place + 1}" for place in found.best.estimate.odd() if place < found.turns.size]
    if odd and found.followed is not False:
        told.append(
            Advice(f"Not of a piece with the others: {', '.join(odd)}. Take it again before you strike it out.")
        )
    if found.turns[0] > 0.05 or found.turns[-1] < 0.95:
        told.append(Advice("The ends are worked out beyond the readings. Read with plates out and plates in as well."))
    if found.followed is not False:
        word = _LAW_ON_FORMS[found.best.kind]
        told.append(
            Advice(
                "On the other forms state it as your own capacitor: least "
                f"{units.format(found.best.least.value, 'F', 3)}, most "
                f"{units.format(found.best.greatest.value, 'F', 3)}, and as shape of the plates the law of equal steps "
                f"of {word}."
            )
        )
    return [
        *told,
        Advice(
            "Stops of the knob that are not the ends of the plates: read the dial where the plates are just out and "
            "just in. A knob that slips, and a reduction drive with play: always come from the same side.",
            "limit",
        ),
        Advice(
            "Strays of your circuit. They leave a capacitor's own law as it is, but not the steps of frequency that "
            "come of it.",
            "limit",
        ),
    ]


FORM = Form(
    id="measure-law",
    title="Measure a variable capacitor",
    chapter="measuring",
    summary="A variable capacitor's law and its two ends from a few readings of capacitance or frequency.",
    fields=FIELDS,
    solve=solve,
)
