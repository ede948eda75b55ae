"""The aerial-loading form: what the aerial does to the tuned circuit through each link, and the dial that is left."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from calc import bands, units
from calc.aerial_loading import Dial, Reach, SampledAerial, first_resonance, loadings
from calc.aerials import DummyAerial, SeriesAerial, WireAerial
from calc.constants import TWO_PI
from calc.coupling import Aerial, Direct, Inductive, Link, SeriesCapacitor, Tap, part_inductance
from calc.forms.aerial_kinds import settled
from calc.forms.aerial_loading_fields import FIELDS
from calc.forms.form import Form
from calc.forms.parts import OWN, capacitor_range
from calc.forms.receiver.catalogue import AERIAL_WIRE, AERIALS
from calc.forms.results import Advice, Axis, Chart, Column, Result, Row, Rule, Series, Table
from calc.units import Array, InputError

LINK_NAMES = {
    "direct": "aerial straight on the coil",
    "capacitor": "small series capacitor",
    "tap": "tap on the coil",
    "winding": "separate winding",
}
_LOWEST, _HIGHEST = 50e3, 5e6
"""The bare dial must lie between these [Hz]."""
_SAMPLED = (30e3, 6e6, 64)
_POINTS = 30


@dataclass(frozen=True)
class Joined:
    """The dial with one link.

    Attributes:
        link: the link.
        reach: what the dial reaches first of all; None if nothing.
        others: what it reaches besides.
        capacitance, conductance: that the aerial adds at the lowest and highest frequency of the reach [F], [S].
        quality: of coil and aerial together at both.
    """

    link: Link
    reach: Reach | None
    others: tuple[Reach, ...]
    capacitance: tuple[float, float] = (0.0, 0.0)
    conductance: tuple[float, float] = (0.0, 0.0)
    quality: tuple[float, float] = (0.0, 0.0)


def solve(**values: Any) -> Result:
    """The loading for what was typed."""
    least, most = capacitor_range(values["capacitor"], values["capacitor_least"], values["capacitor_most"])
    dial = Dial(values["inductance"], values["quality"], least, most, values["strays"])
    bare = dial.bare_range()
    if bare.lowest < _LOWEST or bare.highest > _HIGHEST:
        raise InputError(
            "inductance",
            f"tunes {units.format(bare.lowest, 'Hz', 3)} to {units.format(bare.highest, 'Hz', 3)} with this "
            f"capacitor: it must stay within {units.format(_LOWEST, 'Hz')} to {units.format(_HIGHEST, 'Hz')}",
        )
    plan = bands.channel_plans()[values["band"]]
    aerial, capacitance, resonance = _aerial(values)
    links = _links(values)
    found = _joined(dial, aerial, links)
    return Result(
        sentence=_sentence(bare, found, plan),
        rows=_rows(dial, bare, capacitance, resonance),
        tables=(_dial_table(bare, found, plan), _added_table(found)),
        charts=(_chart(dial, aerial, bare, found, plan, values["law"]),),
        advice=_advice(found, plan, resonance),
        order=("charts", "tables", "rows", "advice"),
    )


# --- aerial and links ---------------------------------------------------------------------------------------------


@lru_cache(maxsize=16)
def _wire(key: str, earth_resistance: float) -> tuple[SampledAerial, float, float | None]:
    """A wire of the short list, its capacitance [F] and its first resonance [Hz]."""
    part = AERIALS[key]
    wire = WireAerial(part.height, part.span, AERIAL_WIRE, earth_resistance)
    low, high, points = _SAMPLED
    nodes = np.geomspace(low, min(high, 0.98 * wire.mesh.highest_frequency), points)
    sampled = SampledAerial(nodes, wire.series(nodes))
    return sampled, wire.capacitance, _resonance(sampled, nodes)


def _resonance(aerial: Aerial, frequency: Array) -> float | None:
    return first_resonance(aerial, frequency, np.asarray(aerial.impedance(frequency)).imag)


def _aerial(values: Mapping[str, Any]) -> tuple[Aerial, float, float | None]:
    """The aerial, its capacitance [F] and its first resonance [Hz]."""
    if values["aerial"] in AERIALS:
        return _wire(values["aerial"], values["earth_resistance"])
    aerial: SeriesAerial | DummyAerial = DummyAerial()
    if values["aerial"] == OWN:
        aerial = SeriesAerial(values["aerial_resistance"], values["aerial_inductance"], values["aerial_capacitance"])
    return aerial, float(np.asarray(aerial.capacitance)), _resonance(aerial, np.geomspace(*_SAMPLED[:2], 40))


def _links(values: Mapping[str, Any]) -> dict[str, Link]:
    tap, coefficient = values["tap"], values["tap_coefficient"]
    return {
        "direct": Direct(),
        "capacitor": SeriesCapacitor(values["link_capacitor"]),
        "tap": Tap(tap, coefficient, part_inductance(values["inductance"], tap, coefficient)),
        "winding": Inductive(values["winding_inductance"], 0.0, values["coefficient"]),
    }


def _joined(dial: Dial, aerial: Aerial, links: Mapping[str, Link]) -> dict[str, Joined]:
    """The dial with each of the links."""
    reaches = dict(zip(links, dial.reaches(aerial, list(links.values())), strict=True))
    found = {kind: Joined(link, None, ()) for kind, link in links.items()}
    kinds = [kind for kind in links if reaches[kind]]
    if not kinds:
        return found
    ends = np.array([reaches[kind][0] for kind in kinds])
    each = range(len(kinds))
    # all are asked for at the ends of all, and each is taken at its own
    added = [part[each, each] for part in loadings(ends, aerial, [links[kind] for kind in kinds], dial.tank(ends))]
    sharpness = 1.0 / (1.0 / dial.quality + TWO_PI * ends * dial.inductance * added[1])
    figures = [tuple((low, high) for low, high in part.tolist()) for part in (*added, sharpness)]
    for kind, *its in zip(kinds, *figures, strict=True):
        found[kind] = Joined(links[kind], reaches[kind][0], tuple(reaches[kind][1:]), *its)
    return found


# --- the answer ---------------------------------------------------------------------------------------------------


def _span(reach: Reach) -> str:
    return f"{units.format(reach.lowest, 'Hz')} to {units.format(reach.highest, 'Hz')}"


def _lost(reach: Reach, plan: bands.ChannelPlan) -> tuple[float, float]:
    """Band lost at the bottom and at the top [Hz]."""
    width = plan.high - plan.low
    bottom, top = reach.lowest - plan.low, plan.high - reach.highest
    return min(max(bottom, 0.0), width), min(max(top, 0.0), width)


def _sentence(bare: Reach, found: Mapping[str, Joined], plan: bands.ChannelPlan) -> str:
    begin = f"By itself the circuit tunes {_span(bare)}"
    direct = found["direct"].reach
    if direct is None:
        return f"{begin}; with the aerial straight on the coil the dial reaches nothing near that."
    bottom, top = _lost(direct, plan)
    middle = f"{begin}; with the aerial straight on the coil {_span(direct)}"
    if top > 0.0:
        return f"{middle}, and {units.format(top, 'Hz', 3)} of the band is lost at the top."
    if bottom > 0.0:
        return f"{middle}, and {units.format(bottom, 'Hz', 3)} of the band is lost at the bottom."
    return f"{middle}, still the whole band."


def _rows(dial: Dial, bare: Reach, capacitance: float, resonance: float | None) -> list[Row]:
    parallel = [TWO_PI * edge * dial.inductance * dial.quality for edge in bare]
    return [
        Row("bare_lowest", "Lowest frequency without aerial", bare.lowest, "Hz", how="1/(2π√LC), plates in, strays in"),
        Row("bare_highest", "Highest frequency without aerial", bare.highest, "Hz", how="plates out"),
        Row(
            "aerial_capacitance",
            "Capacitance of the aerial",
            capacitance,
            "F",
            how="well below its resonance",
            digits=3,
        ),
        Row(
            "aerial_resonance",
            "The aerial's own resonance",
            resonance,
            "Hz",
            how="above it the aerial acts as a coil, and raises the dial instead of lowering it",
            digits=3,
        ),
        Row(
            "coil_bottom",
            "Loss of the coil as a resistance across it, bottom",
            parallel[0],
            "ohm",
            how="2πfLQ: compare with what the aerial adds",
            digits=3,
        ),
        Row("coil_top", "The same at the top", parallel[1], "ohm", how="2πfLQ", digits=3),
    ]


def _dial_table(bare: Reach, found: Mapping[str, Joined], plan: bands.ChannelPlan) -> Table:
    def line(words: str, reach: Reach | None) -> list[float | str | None]:
        if reach is None:
            return [words, None, None, None, None]
        bottom, top = _lost(reach, plan)
        return [words, reach.lowest, reach.highest, bottom or "none", top or "none"]

    rows = [line("no aerial", bare), *(line(LINK_NAMES[kind], joined.reach) for kind, joined in found.items())]
    columns = (
        Column("link", "Link"),
        Column("lowest", "Lowest", "Hz"),
        Column("highest", "Highest", "Hz"),
        Column("lost_bottom", "Band lost, bottom", "Hz", 3),
        Column("lost_top", "Band lost, top", "Hz", 3),
    )
    return Table("dial", "The dial that is left", columns, rows)


def _added_table(found: Mapping[str, Joined]) -> Table:
    rows: list[list[float | str | None]] = []
    for kind, joined in found.items():
        loads = [1.0 / each if each > 0.0 else None for each in joined.conductance]
        if joined.reach is None:
            rows.append([LINK_NAMES[kind], *([None] * 6)])
        else:
            rows.append(
                [
                    LINK_NAMES[kind],
                    joined.capacitance[0],
                    loads[0],
                    joined.quality[0],
                    joined.capacitance[1],
                    loads[1],
                    joined.quality[1],
                ]
            )
    columns = (
        Column("link", "Link"),
        Column("capacitance_bottom", "Adds at the bottom", "F", 3),
        Column("load_bottom", "and across the coil", "ohm", 3),
        Column("quality_bottom", "Q left", "", 2),
        Column("capacitance_top", "Adds at the top", "F", 3),
        Column("load_top", "and across the coil", "ohm", 3),
        Column("quality_top", "Q left", "", 2),
    )
    return Table("added", "What the aerial adds, at either end of that dial", columns, rows)


def _chart(
    dial: Dial, aerial: Aerial, bare: Reach, found: Mapping[str, Joined], plan: bands.ChannelPlan, law: str
) -> Chart:
    reached = {kind: joined for kind, joined in found.items() if joined.reach is not None}
    ends = np.array([bare, *(joined.reach for joined in reached.values())])
    over = np.geomspace(ends[:, 0], ends[:, 1], _POINTS, axis=1)
    share = 1.0 / (1.0 + dial.quality**-2)
    own = share * np.asarray(bands.capacitance_for(over, dial.inductance)) - dial.strays
    if reached:
        # all links are asked for over the dials of all, and each is taken over its own
        each = range(len(reached))
        links = [joined.link for joined in reached.values()]
        own[1:] = dial.own_capacitances(over[1:], aerial, links)[each, each]
    inside = np.minimum(np.maximum(own, dial.least), dial.most)
    turned = settled(100.0 * np.asarray(bands.dial_position(inside, dial.least, dial.most, law)), 100.0)
    names = {"none": "no aerial", **{kind: LINK_NAMES[kind] for kind in reached}}
    series = [Series(key, words, x, y) for (key, words), x, y in zip(names.items(), turned, over, strict=True)]
    lows, highs = over.min(axis=1).tolist(), over.max(axis=1).tolist()
    told = "; ".join(
        f"{each.label} {units.format(low, 'Hz')} to {units.format(high, 'Hz')}"
        for each, low, high in zip(series, lows, highs, strict=True)
    )
    return Chart(
        key="dial",
        title="Where the dial tunes, with the aerial and without",
        summary=f"From plates in, 100, to plates out, 0: {told}. The edges of the band are marked.",
        x=Axis("Dial position", "", 0.0, 100.0),
        y=Axis("Frequency", "Hz", 0.95 * min(*lows, plan.low), 1.03 * max(*highs, plan.high)),
        series=series,
        rules=(Rule("band begins", "y", plan.low), Rule("band ends", "y", plan.high)),
    )


def _advice(found: Mapping[str, Joined], plan: bands.ChannelPlan, resonance: float | None) -> list[Advice]:
    advice = []
    whole = [
        LINK_NAMES[kind]
        for kind, joined in found.items()
        if joined.reach is not None and sum(_lost(joined.reach, plan)) == 0.0
    ]
    if whole:
        advice.append(Advice(f"These leave the whole band on the dial: {', '.join(whole)}."))
    elif found:
        advice.append(
            Advice(
                "No link leaves the whole band. If both ends are short, the strays are too large; if one, change "
                "the coil."
            )
        )
    near = {
        kind: [reach for reach in joined.others if reach.lowest < 1.5 * plan.high] for kind, joined in found.items()
    }
    split = [f"{LINK_NAMES[kind]} {_span(reaches[0])}" for kind, reaches in near.items() if reaches]
    if split:
        advice.append(
            Advice(
                "The aerial's own resonance cuts the dial in two. Besides what is shown it reaches: "
                f"{'; '.join(split)}."
            )
        )
    if resonance is not None and resonance < 1.3 * plan.high:
        advice.append(
            Advice(
                f"The aerial itself is in tune at {units.format(resonance, 'Hz', 3)}. Near there it takes most from "
                "the coil; a coil or a capacitor in its lead moves it away."
            )
        )
    advice.append(
        Advice(
            "The resistance of the separate winding, the load of detector and earphones, and the capacitance "
            "between two windings. The part of the coil up to the tap goes as a power of its turns, which is right to "
            "12 % for a single layer, from a sixth of its turns up.",
            "limit",
        )
    )
    return advice


FORM = Form(
    id="aerial-loading",
    title="Aerial loading",
    chapter="aerial-and-earth",
    summary="What the aerial adds to the tuned circuit through each link, and what is left of the band on the dial.",
    fields=FIELDS,
    solve=solve,
    blame={"least": "capacitor_least", "most": "capacitor_most", "fraction": "tap"},
)
