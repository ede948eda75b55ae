"""All settings at once: coupling against dial, each place belonging to the station that is in the clear there."""

import numpy as np

from calc import units
from calc.detection import FEW_CYCLE_POINTS
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.catalogue import LINK_NAMES
from calc.forms.receiver.knobs import SCALES, adjustment_of, dial_of, present_coupling
from calc.forms.receiver.verdicts import join
from calc.forms.regions import RegionMap as RegionPicture
from calc.forms.results import Advice, Axis, Mark, Result, Row
from calc.progress import steps
from calc.settings.region_map import Region, RegionMap, region_map
from calc.units import Array, InputError

COUPLINGS, TUNINGS = 40, 60
_PIECES = 4
"""In which the map is worked out, so that it can be told how far it is."""


def answer(chosen: ChosenSet) -> Result:
    """The map of the chosen link."""
    kind = str(chosen.values["link"])
    if kind == "direct":
        raise InputError("link", "has no coupling to vary: take another for the map")
    adjustment, scale = adjustment_of(chosen, kind), SCALES[kind]
    couplings = adjustment.coupling.spaced(COUPLINGS)
    tunings = _tunings(chosen)
    apart = float(chosen.values["apart"])
    receiver, dial = chosen.receiver(at=tunings), dial_of(chosen)
    found = RegionMap.joined(
        [
            region_map(receiver, chosen.stations, adjustment, some, tunings, dial, apart, cycle_points=FEW_CYCLE_POINTS)
            for some in steps(np.array_split(couplings, _PIECES))
        ]
    )
    cells = np.where((found.region == Region.CLEAR) & (found.margin >= 0.0), found.loudest, -1)
    shown = np.sort(couplings * scale.factor(chosen.winding.turns))
    if couplings[0] > couplings[-1]:
        cells = cells[::-1]
    here = present_coupling(chosen)
    marks = _marks(chosen, here, scale.factor(chosen.winding.turns))
    clear = [index for index in range(len(chosen.names)) if (cells == index).any()]
    return Result(
        sentence=_sentence(chosen, clear, kind),
        maps=(
            RegionPicture(
                key="map",
                title=f"Which station is in the clear: {LINK_NAMES[kind]} against frequency",
                summary=_summary(chosen, cells, shown, scale.unit),
                x=Axis("Tuned to", "Hz", float(tunings[0]), float(tunings[-1])),
                y=Axis(
                    scale.label, scale.unit, float(shown[0]), float(shown[-1]), log=True, each_unit=scale.unit != ""
                ),
                x_values=tunings,
                y_values=shown,
                regions=chosen.names,
                cells=cells,
                nowhere="none in the clear",
                marks=marks,
            ),
        ),
        rows=(
            Row("clear", "Stations with a place of their own", float(len(clear))),
            Row("share", "Part of the map where one is in the clear", float((cells >= 0).mean()), "%", digits=3),
        ),
        advice=[
            Advice(
                "Up is closer coupling. A region that is narrow from side to side is a station that wants a steady "
                "hand; one that is short from bottom to top, a coupling that must be found."
            )
        ],
        order=("maps", "advice", "rows"),
    )


def _tunings(chosen: ChosenSet) -> Array:
    """Frequencies about the district's, among them each station's own."""
    lowest, highest = float(chosen.frequencies.min()), float(chosen.frequencies.max())
    reach = max(0.15 * (highest - lowest), 0.04 * lowest)
    return np.linspace(max(lowest - reach, 0.5 * lowest), highest + reach, TUNINGS)


def _marks(chosen: ChosenSet, here: float | None, factor: float) -> list[Mark]:
    if here is None:
        return []
    return [
        Mark(name, float(frequency), here * factor)
        for name, frequency in zip(chosen.names, chosen.frequencies, strict=True)
    ]


def _sentence(chosen: ChosenSet, clear: list[int], kind: str) -> str:
    if not clear:
        return f"With the {LINK_NAMES[kind]} no station is in the clear at any setting."
    names = join([chosen.names[index] for index in clear])
    if len(clear) == len(chosen.names):
        return f"With the {LINK_NAMES[kind]} every station has settings at which it is in the clear."
    return f"With the {LINK_NAMES[kind]} only {names} can be had in the clear."


def _summary(chosen: ChosenSet, cells: Array, couplings: Array, unit: str) -> str:
    told = []
    for index, name in enumerate(chosen.names):
        rows = np.flatnonzero((cells == index).any(axis=1))
        if rows.size:
            ends = units.format(float(couplings[rows[0]]), unit, 2), units.format(float(couplings[rows[-1]]), unit, 2)
            told.append(f"{name} from {ends[0]} to {ends[1]}")
        else:
            told.append(f"{name} nowhere")
    return f"In the clear, by coupling: {'; '.join(told)}."
