"""The field form: what a transmitter lays down at a distance, by day and after dark, and the noise about it."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from calc import ground_wave, radio_noise, units
from calc.forms.field_fields import FIELDS, PLACES
from calc.forms.field_paths import Path, path_of
from calc.forms.field_pictures import way_drawing
from calc.forms.form import Form
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Rule, Series, Table

NOISE_BANDWIDTH = 9e3
"""A channel [Hz]."""
_SKY_BAND = (525e3, 1705e3)
"""Frequencies for which the median sky wave is given [Hz]: those of its source, with the edges of medium wave."""
_SKY_FROM = 100e3
_FAINTEST = 1e-15
_SHORT = {"city": "city", "residential": "houses", "rural": "country"}


def solve(**values: Any) -> Result:
    """The field for what was typed."""
    frequency = float(values["frequency"])
    power = float(values["power"])
    if values["given"] == "transmitter":
        power *= 10.0 ** (values["gain"] / 10.0)
    path = path_of(values, power)
    noises = _noises(frequency)
    sky = _sky(power, path.distance, values["latitude"], frequency)
    return Result(
        sentence=_sentence(power, path, frequency, noises.get(values["place"])),
        rows=_rows(values, power, path, noises, sky),
        tables=(_section_table(values, path),) if path.edges else (),
        charts=(_chart(values, power, path, noises),),
        drawings=(way_drawing(),) if sky is not None else (),
        advice=_advice(path, frequency, sky),
        order=("charts", "rows", "tables", "advice", "drawings"),
    )


# --- noise and sky ------------------------------------------------------------------------------------------------


def _noises(frequency: float) -> dict[str, float]:
    """Median field of man-made noise in a channel, by kind of place [V/m]; none below the range of the medians."""
    if frequency < radio_noise.LOWEST_FREQUENCY:
        return {}
    return {key: float(radio_noise.man_made_noise_field(key, frequency, NOISE_BANDWIDTH)) for key in PLACES}


def _sky(power: float, distance: float, latitude: float, frequency: float) -> float | None:
    """Median field of the sky wave at night [V/m]; None where the source does not speak of it."""
    if not _SKY_BAND[0] <= frequency <= _SKY_BAND[1] or distance < _SKY_FROM:
        return None
    return float(ground_wave.night_sky_wave(power, distance, latitude))


def _even(path: Path, power: float, latitude: float) -> float | None:
    """Distance at which the median sky wave at night equals the ground wave [m], between the points of the curve.

    Nought if it does so before the distances for which the curve of the sky wave is meant; None if not at all.
    """
    far = path.over >= _SKY_FROM
    if path.edges or np.count_nonzero(far) < 2:
        return None
    over = path.over[far]
    excess = np.log(path.along[far] / np.asarray(ground_wave.night_sky_wave(power, over, latitude)))
    if excess[0] <= 0.0:
        return 0.0
    fallen = np.flatnonzero((excess[:-1] > 0.0) & (excess[1:] <= 0.0))
    if fallen.size == 0:
        return None
    first = int(fallen[0])
    share = excess[first] / (excess[first] - excess[first + 1])
    return float(over[first] * (over[first + 1] / over[first]) ** share)


# --- the answer ---------------------------------------------------------------------------------------------------


def _decibels(ratio: float) -> float:
    return 20.0 * float(np.log10(ratio))


def _sentence(power: float, path: Path, frequency: float, noise: float | None) -> str:
    begin = (
        f"{units.format(power, 'W', 3)} e.m.r.p. at {units.format(frequency, 'Hz')} lays down "
        f"{units.format(path.field, 'V/m', 3)} after {units.format(path.distance, 'm', 3)} over {path.name}"
    )
    if noise is None:
        return f"{begin}."
    over = _decibels(path.field / noise)
    where = f"{units.format(abs(over), 'dB')} {'over' if over >= 0.0 else 'under'}"
    return f"{begin}: {where} the noise of your place in a channel."


def _rows(
    values: Mapping[str, Any], power: float, path: Path, noises: Mapping[str, float], sky: float | None
) -> list[Row]:
    direct = float(ground_wave.unattenuated_field(power, path.distance))
    how = (
        "Millington's method over the ground wave of each ground"
        if path.edges
        else ("Norton near, residue series over the round earth beyond; smooth ground, real ground is known to 3 dB")
    )
    noise = noises.get(values["place"])
    in_band = _SKY_BAND[0] <= values["frequency"] <= _SKY_BAND[1]
    even = _even(path, power, values["latitude"]) if in_band else None
    rows = [
        Row("field", "Field strength by day", path.field, "V/m", how=how, digits=3),
        Row("level", "Over 1 µV/m", _decibels(path.field / 1e-6), "dB", how="20 log of the same"),
        Row(
            "radiated_power",
            "Radiated power, e.m.r.p.",
            power,
            "W",
            how="as you gave it" if values["given"] == "radiated" else "power × gain of the aerial",
            digits=3,
        ),
        Row(
            "unattenuated",
            "Over perfect, flat ground",
            direct,
            "V/m",
            how="300 mV/m at 1 km for 1 kW, falling as the distance",
            digits=3,
        ),
        Row("loss", "What the ground takes", _decibels(direct / path.field), "dB", how="the ratio of these two"),
    ]
    rows += [
        Row(
            f"noise_{key}",
            f"Noise, {name}",
            noises.get(key),
            "V/m",
            how=told,
            digits=2,
        )
        for (key, name), told in zip(PLACES.items(), _how_noise(bool(noises)), strict=True)
    ]
    rows.append(
        Row(
            "over_noise",
            "Field over the noise of your place",
            None if noise is None else _decibels(path.field / noise),
            "dB",
            how="the set's own ear is seldom so good: see the whole set",
        )
    )
    rows.append(Row("sky_wave", "Sky wave after dark, median", sky, "V/m", how=_how_sky(in_band), digits=2))
    rows.append(
        Row(
            "even",
            "Sky wave as strong as ground wave at",
            even or None,
            "m",
            text=f"under {units.format(_SKY_FROM, 'm')}" if even == 0.0 else "",
            how="nearer than this the station is steady at night; about it the two fade against each other",
            digits=2,
        )
    )
    return rows


def _how_noise(known: bool) -> tuple[str, str, str]:
    """How the noise of each place was found; the long story once."""
    if not known:
        return ("the Recommendation's medians begin at 300 kHz",) * 3
    return ("man-made, median of Rec. ITU-R P.372 in 9 kHz", "the same", "the same; one place in ten has 10 dB more")


def _how_sky(in_band: bool) -> str:
    if not in_band:
        return "the median curve is for medium wave alone"
    return "47 CFR 73.190, six hours after sunset, half of all nights; from 100 km on; 10 dB and more either way"


def _chart(values: Mapping[str, Any], power: float, path: Path, noises: Mapping[str, float]) -> Chart:
    along = np.maximum(path.along, _FAINTEST)
    series = [Series("ground", "Ground wave, by day", path.over, along)]
    if _SKY_BAND[0] <= values["frequency"] <= _SKY_BAND[1] and path.over[-1] > 1.2 * _SKY_FROM:
        over = np.geomspace(_SKY_FROM, path.over[-1], 30)
        series.append(
            Series(
                "sky", "Sky wave after dark, median", over, ground_wave.night_sky_wave(power, over, values["latitude"])
            )
        )
    lowest = min(max(float(along.min()), 1e-6), max(path.field, _FAINTEST), *noises.values())
    bottom = 10.0 ** np.floor(np.log10(lowest))
    top = 10.0 ** np.ceil(np.log10(1.2 * float(along.max())))
    rules = [Rule(f"noise: {_SHORT[key]}", "y", noise) for key, noise in noises.items()]
    rules += [Rule(f"{units.format(edge, 'm', 3)}", "x", edge) for edge in path.edges if edge < path.distance]
    half = float(np.interp(np.log(2.0 * path.distance), np.log(path.over), np.log(along)))
    told = f"{units.format(path.field, 'V/m', 3)} at {units.format(path.distance, 'm', 3)}"
    if 2.0 * path.distance <= path.over[-1]:
        told += f", {units.format(float(np.exp(half)), 'V/m', 2)} at twice that distance"
    return Chart(
        key="distance",
        title="Field strength along the way",
        summary=f"{told}. Level rules mark the median man-made noise in a channel." if noises else f"{told}.",
        x=Axis("Distance", "m", float(path.over[0]), float(path.over[-1]), log=True),
        y=Axis("Field strength", "V/m", float(bottom), float(top), log=True, each_unit=True),
        series=series,
        marks=(Mark("you", path.distance, max(path.field, _FAINTEST), emphasis=True),),
        rules=rules,
    )


def _section_table(values: Mapping[str, Any], path: Path) -> Table:
    rows: list[list[float | str | None]] = []
    reached = 0.0
    for row in values["sections"]:
        reached += row["length"]
        at = float(np.exp(np.interp(np.log(reached), np.log(path.over), np.log(path.along))))
        rows.append([ground_wave.grounds()[row["ground"]].name, row["length"], reached, at])
    columns = (
        Column("ground", "Ground"),
        Column("length", "Length", "m", 3),
        Column("end", "Ends at", "m", 3),
        Column("field", "Field there", "V/m", 3),
    )
    return Table("sections", "Section by section", columns, rows)


def _advice(path: Path, frequency: float, sky: float | None) -> list[Advice]:
    found = []
    if sky is not None and sky > path.field:
        found.append(
            Advice(
                "After dark the sky wave is the stronger one here: the station comes and goes, from minute to "
                "minute and from night to night."
            )
        )
    elif sky is not None and sky > 0.1 * path.field:
        found.append(Advice("After dark the sky wave comes near the ground wave here: expect slow, hollow fading."))
    found.append(
        Advice(
            "By day there is the ground wave alone. From about sunset the sky throws far stations back: they add to "
            "the noise and to each other, and a set may hear some from hundreds of kilometres."
        )
    )
    if frequency < _SKY_BAND[0]:
        found.append(Advice("The sky wave of long wave, for which there is no curve here.", "limit"))
    found.append(
        Advice(
            "Hills, towns, woods and the season: real fields lie 3 dB and more to either side. The transmitter's "
            "aerial may favour some directions. Lightning noise, which on a summer night exceeds that of a quiet "
            "place.",
            "limit",
        )
    )
    return found


FORM = Form(
    id="field",
    title="Field strength",
    chapter="field",
    summary="From a station's power, its distance and the ground between to millivolts per metre, by day and by night.",
    fields=FIELDS,
    solve=solve,
    blame={"radiated_power": "power", "geomagnetic_latitude": "latitude"},
)
