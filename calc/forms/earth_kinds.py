"""From the fields of the earth form to the physics, one way for each kind of earth; and what could be done to it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from calc import earths, units
from calc.constants import TWO_PI
from calc.forms.earth_pictures import counterpoise_drawing, stakes_drawing, star_drawing, wire_drawing
from calc.forms.results import Axis, Chart, Mark, Rule, Series
from calc.forms.shapes import Drawing
from calc.units import Array, InputError

_THINNEST, _THICKEST = 0.5e-3, 20e-3
"""Bounds of wire [m]."""


class Change(NamedTuple):
    """Something that could be done to an earth, and the resistance [ohm] or capacitance [F] that it would then have."""

    words: str
    figure: float


@dataclass(frozen=True)
class Earth:
    """An earth as the answer needs it.

    Attributes:
        name: as the start of a sentence.
        figure: resistance [ohm], or capacitance of a counterpoise [F].
        how: how it was found.
        changes: what could be done.
        charts, drawings: of it.
        several: whether its name is in the plural.
    """

    name: str
    figure: float
    how: str
    changes: tuple[Change, ...]
    charts: tuple[Chart, ...]
    drawings: tuple[Drawing, ...] = ()
    several: bool = False

    @property
    def verb(self) -> str:
        """What it does, in the number of its name."""
        return "make" if self.several else "makes"


# --- stakes -------------------------------------------------------------------------------------------------------


def _places(number: int, spacing: float, layout: str) -> list[tuple[float, float]]:
    """Places of stakes in a row, or in a ring with that distance between neighbours [m]."""
    if layout == "row" or number < 3:
        return [(index * spacing, 0.0) for index in range(number)]
    angles = TWO_PI * np.arange(number) / number
    radius = spacing / (2.0 * np.sin(np.pi / number))
    return list(zip((radius * np.cos(angles)).tolist(), (radius * np.sin(angles)).tolist(), strict=True))


def _stakes(values: Mapping[str, Any], resistivity: float) -> Earth:
    number, length, spacing = values["number"], values["stake_length"], values["stake_spacing"]
    diameter, layout = values["stake_diameter"], values["layout"]
    if diameter >= 0.5 * length:
        raise InputError("stake_diameter", "must be less than half the length in the soil")
    if spacing < 10.0 * diameter:
        raise InputError("stake_spacing", "must be ten times the diameter of a stake at least")

    def of(count: int, long: float, apart: float = spacing) -> float:
        return earths.stakes_resistance(_places(count, apart, layout), long, diameter, resistivity)

    own = of(number, length)
    changes = [
        Change("one stake more", of(number + 1, length)),
        Change("stakes half as long again" if number > 1 else "a stake half as long again", of(number, 1.5 * length)),
        Change("stakes twice as long" if number > 1 else "a stake twice as long", of(number, 2.0 * length)),
    ]
    if 2.0 * diameter < length and (number == 1 or spacing > 20.0 * diameter):
        thicker = earths.stakes_resistance(_places(number, spacing, layout), length, 2.0 * diameter, resistivity)
        changes.append(Change("twice the diameter", thicker))
    if number > 1:
        changes.insert(1, Change("twice as many stakes", of(2 * number, length)))
        changes.append(Change("twice the distance between them", of(number, length, 2.0 * spacing)))
    counts = np.arange(1, 13)
    by_count = [of(int(count), length) for count in counts]
    lengths = np.geomspace(max(0.3 * length, 1.01 * diameter), 4.0 * length, 25)
    by_length = [of(number, long) for long in lengths.tolist()]
    what = f"{number} stakes" if number > 1 else "one stake"
    return Earth(
        name=f"{what[0].upper()}{what[1:]} of {units.format(length, 'm', 3)}",
        figure=own,
        how="Dwight and Sunde: mean potential of an even leakage, each stake raising the others; 2 % in even soil",
        changes=tuple(changes),
        charts=(
            _chart(
                "number",
                "With more stakes",
                f"One stake makes {units.format(by_count[0], 'ohm', 3)}, twelve make "
                f"{units.format(by_count[-1], 'ohm', 3)}.",
                Axis("Stakes", "", 1.0, 12.0),
                (
                    Series("near", f"{units.format(spacing, 'm', 3)} apart", counts, by_count),
                    Series("far", "far apart", counts, by_count[0] / counts),
                ),
                (float(number), own),
            ),
            _chart(
                "length",
                "With longer stakes",
                f"{units.format(float(lengths[0]), 'm', 3)} makes {units.format(by_length[0], 'ohm', 3)}, "
                f"{units.format(float(lengths[-1]), 'm', 3)} makes {units.format(by_length[-1], 'ohm', 3)}.",
                Axis("Length in the soil", "m", float(lengths[0]), float(lengths[-1])),
                (Series("length", f"{what}", lengths, by_length),),
                (length, own),
            ),
        ),
        drawings=(stakes_drawing(_places(number, spacing, layout), length, spacing, layout == "ring" and number > 2),),
        several=number > 1,
    )


def _chart(
    key: str,
    title: str,
    summary: str,
    x: Axis,
    series: Sequence[Series],
    here: tuple[float, float],
    rules: Sequence[Rule] = (),
    unit: str = "ohm",
) -> Chart:
    """A figure of an earth against one of its measures, with the earth as it is marked."""
    most = 1.1 * max(float(np.max(each.y)) for each in series)
    label = "Resistance" if unit == "ohm" else "Capacitance"
    return Chart(
        key, title, summary, x, Axis(label, unit, 0.0, most), series, (Mark("as it is", *here, emphasis=True),), rules
    )


# --- wires in the ground ------------------------------------------------------------------------------------------


def _wire_diameter(values: Mapping[str, Any]) -> float:
    diameter = float(values["wire"])
    if not _THINNEST <= diameter <= _THICKEST:
        raise InputError("wire", f"must be from {units.format(_THINNEST, 'm')} to {units.format(_THICKEST, 'm')}")
    return diameter


def _buried(values: Mapping[str, Any], resistivity: float) -> Earth:
    length, depth, thick = values["buried_length"], values["depth"], _wire_diameter(values)
    useful = float(earths.useful_buried_length(resistivity, values["frequency"]))

    def of(long: Any, deep: float = depth) -> Any:
        return earths.buried_wire_resistance(long, thick, deep, resistivity)

    own = float(of(length))
    over = np.geomspace(0.2 * length, 4.0 * length, 40)
    made = np.asarray(of(over))
    return Earth(
        name=f"A buried wire of {units.format(length, 'm', 3)}",
        figure=own,
        how="Sunde and Dwight: mean potential of the wire and of its image over the surface",
        changes=(
            Change("a wire twice as long", float(of(2.0 * length))),
            Change("twice the depth", float(of(length, 2.0 * depth))),
            Change(
                "the same wire cut into a star of four",
                earths.star_resistance(4, 0.25 * length, thick, depth, resistivity),
            ),
            Change("four such wires as a star", earths.star_resistance(4, length, thick, depth, resistivity)),
        ),
        charts=(
            _chart(
                "length",
                "With a longer wire",
                f"{units.format(float(over[0]), 'm', 3)} makes {units.format(float(made[0]), 'ohm', 3)}, "
                f"{units.format(float(over[-1]), 'm', 3)} makes {units.format(float(made[-1]), 'ohm', 3)} to steady "
                "current.",
                Axis("Length of the wire", "m", float(over[0]), float(over[-1])),
                (Series("length", "Resistance", over, made),),
                (length, own),
                (Rule("no use beyond", "x", useful),) if over[0] < useful < over[-1] else (),
            ),
        ),
        drawings=(wire_drawing(length, depth),),
    )


def _star(values: Mapping[str, Any], resistivity: float) -> Earth:
    arms, length, depth, thick = values["arms"], values["arm_length"], values["depth"], _wire_diameter(values)

    def of(number: int, long: float, deep: float = depth) -> float:
        return earths.star_resistance(number, long, thick, deep, resistivity)

    own = of(arms, length)
    more = min(arms + 2, 24)
    counts = np.unique([2, 4, 8, 12, 24, arms])
    same_arm = [of(int(count), length) for count in counts]
    same_wire = [of(int(count), arms * length / float(count)) for count in counts]
    return Earth(
        name=f"A star of {arms} arms of {units.format(length, 'm', 3)}",
        figure=own,
        how="mean potentials of evenly leaking arms with their images; Dwight's stars within 1 %",
        changes=(
            Change(f"{more} arms", of(more, length)),
            Change("arms half as long again", of(arms, 1.5 * length)),
            Change("arms twice as long", of(arms, 2.0 * length)),
            Change("twice the depth", of(arms, length, 2.0 * depth)),
        ),
        charts=(
            _chart(
                "arms",
                "With more arms",
                f"Two arms make {units.format(same_arm[0], 'ohm', 3)}, 24 make {units.format(same_arm[-1], 'ohm', 3)}.",
                Axis("Arms", "", 2.0, 24.0),
                (
                    Series("arm", "arms of the same length", counts, same_arm),
                    Series("wire", "all wire together the same", counts, same_wire),
                ),
                (float(arms), own),
            ),
        ),
        drawings=(star_drawing(arms, length),),
    )


# --- counterpoise, and as measured --------------------------------------------------------------------------------


def _counterpoise(values: Mapping[str, Any], _resistivity: float) -> Earth:
    number, length, height = values["wires"], values["wire_length"], values["wire_height"]
    spacing, thick = values["wire_spacing"], _wire_diameter(values)
    if number > 1 and spacing < 2.0 * thick:
        raise InputError("wire_spacing", "must be twice the wire's diameter at least")

    def of(long: Any, count: int = number, up: float = height, apart: float = spacing) -> Any:
        return earths.counterpoise_capacitance(long, thick, up, count, apart)

    own = float(of(length))
    over = np.geomspace(0.2 * length, 3.0 * length, 40)
    made: Array = np.asarray(of(over))
    what = f"{number} wires" if number > 1 else "one wire"
    return Earth(
        name=f"A counterpoise of {what} of {units.format(length, 'm', 3)}",
        figure=own,
        how="Howe: average potential of an even charge; 1 % low for one wire, 5 % for several",
        changes=(
            Change("one wire more", float(of(length, min(number + 1, 12)))),
            Change("wires twice as long", float(of(2.0 * length))),
            Change("half the height", float(of(length, up=0.5 * height))),
            Change("twice the distance between them", float(of(length, apart=2.0 * spacing))),
        )[: 4 if number > 1 else 3],
        charts=(
            _chart(
                "length",
                "With longer wires",
                f"{units.format(float(made[0]), 'F', 3)} at {units.format(float(over[0]), 'm', 3)}, "
                f"{units.format(float(made[-1]), 'F', 3)} at {units.format(float(over[-1]), 'm', 3)}.",
                Axis("Length of a wire", "m", float(over[0]), float(over[-1])),
                (Series("length", "Capacitance", over, made),),
                (length, own),
                unit="F",
            ),
        ),
        drawings=(counterpoise_drawing(number, length, height, spacing),),
    )


def _measured(values: Mapping[str, Any], _resistivity: float) -> Earth:
    own, rest = values["resistance"], values["rest"]
    over = np.geomspace(min(1.0, 0.5 * own), max(500.0, 2.0 * own), 40)
    lost = -10.0 * np.log10((over + rest) / rest)
    chart = Chart(
        key="loss",
        title="What an earth costs",
        summary=(
            f"Power that can be had against a perfect earth: {units.format(float(lost[0]), 'dB')} at "
            f"{units.format(float(over[0]), 'ohm', 3)}, {units.format(float(lost[-1]), 'dB')} at "
            f"{units.format(float(over[-1]), 'ohm', 3)}."
        ),
        x=Axis("Earth resistance", "ohm", float(over[0]), float(over[-1]), log=True, each_unit=True),
        y=Axis("Against a perfect earth", "dB", float(lost[-1]), 0.0),
        series=(Series("lost", "Power", over, lost),),
        marks=(Mark("as it is", own, -10.0 * float(np.log10((own + rest) / rest)), emphasis=True),),
    )
    return Earth(
        name="This earth",
        figure=own,
        how="as you gave it",
        changes=(Change("half of it", 0.5 * own), Change("a tenth of it", 0.1 * own)),
        charts=(chart,),
    )


MAKERS: Mapping[str, Callable[[Mapping[str, Any], float], Earth]] = {
    "stakes": _stakes,
    "wire": _buried,
    "star": _star,
    "counterpoise": _counterpoise,
    "measured": _measured,
}
