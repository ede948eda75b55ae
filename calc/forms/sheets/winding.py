"""The winding sheet: what to wind, how much wire to cut, where to drill, and the gauge."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calc import units
from calc.forms.sheets.gauge import Gauge
from calc.forms.sheets.paper import Block, Grid, Picture, Words
from calc.forms.sheets.printer_check import printer_check
from calc.units import InputError

TAP_LOOP = 0.06
"""Wire that a tap takes: drawn out and twisted to a loop 30 mm long [m]."""


@dataclass(frozen=True)
class Stop:
    """A place of a winding that is drilled, tapped or fastened.

    Attributes:
        name: "start", "tap", "end".
        turns: counted from the start.
    """

    name: str
    turns: float


@dataclass(frozen=True)
class WindingPlan:
    """All that the bench has to know of one winding. Lengths are in metres.

    Attributes:
        name: of the winding.
        facts: what it is, as pairs of name and text.
        turns: of it.
        wire_length: of the winding alone.
        wire_to: length of wire in the first so many turns.
        leads: both together.
        taps: turns at which it is tapped, rising.
        gauge: its gauge; None for a winding that has none.
        no_gauge: why it has none.
        first: from the end of what it is wound on to its start; None where nothing is measured so.
        measured_from: what that end is.
        girth: round what it is wound on; None where it changes.
        is_drilled: whether its ends go through holes.
        notes: more to mind.
    """

    name: str
    facts: Sequence[tuple[str, str]]
    turns: float
    wire_length: float
    wire_to: Callable[[float], float]
    leads: float = 0.0
    taps: Sequence[float] = ()
    gauge: Gauge | None = None
    no_gauge: str = ""
    first: float | None = None
    measured_from: str = "the former's end"
    girth: float | None = None
    is_drilled: bool = True
    notes: Sequence[str] = ()

    def cut(self, tails: float) -> float:
        """Wire to cut, with a tail at each end [m]."""
        return self.wire_length + self.leads + TAP_LOOP * len(self.taps) + 2.0 * tails

    def along_wire(self, turns: float, tails: float) -> float:
        """From the wire's own end to a place of the winding, loops of earlier taps counted [m]."""
        before = sum(tap < turns for tap in self.taps)
        return tails + 0.5 * self.leads + TAP_LOOP * before + self.wire_to(turns)

    @property
    def stops(self) -> list[Stop]:
        """Start, taps and end."""
        return [Stop("start", 0.0), *(Stop("tap", tap) for tap in self.taps), Stop("end", self.turns)]


def winding_blocks(plans: Sequence[WindingPlan], tails: float) -> list[Block]:
    """The blocks of a winding sheet for one winding or more."""
    found: list[Block] = []
    told: set[str] = set()
    for plan in plans:
        found.append(Grid(plan.name, (), [*plan.facts, *_wire(plan, tails)], (5, 12)))
        found += [_stops(plan, tails)] if plan.taps or plan.first is not None else []
        fresh = [sentence for sentence in _how(plan) if sentence not in told]
        told.update(fresh)
        found += [Words(fresh)] if fresh else []
    gauges: list[Block] = []
    unsaid: list[str] = []
    for plan in plans:
        pictures, why = _gauge(plan)
        gauges += pictures
        unsaid += [why] if why else []
    if gauges:
        found += [*printer_check(), Words(_gauge_words(plans), "The gauge"), *gauges]
    if unsaid:
        found.append(Words(unsaid))
    found.append(
        Words(
            (
                "Wire springs back, and its ends reach the eyes: hold both. Cut and drill away from yourself. Scrape "
                "enamel off rather than burn it, and solder by an open window.",
            ),
            kind="caution",
        )
    )
    return found


def _wire(plan: WindingPlan, tails: float) -> list[tuple[str, str]]:
    """How much wire to cut, and what it is made up of."""
    loops = len(plan.taps)
    made_of = [f"{units.format(plan.wire_length, 'm')} in the winding"]
    made_of += [f"{units.format(plan.leads, 'm')} in the leads"] if plan.leads else []
    made_of += [f"{loops} × {units.format(TAP_LOOP, 'm', 3)} in loops of taps"] if loops else []
    made_of += [f"2 × {units.format(tails, 'm', 3)} of tail"] if tails else []
    return [("Cut", f"{units.format(plan.cut(tails), 'm')} of wire: {', '.join(made_of)}")]


def _stops(plan: WindingPlan, tails: float) -> Grid:
    """Where start, taps and end come: along what it is wound on, round it, and along the wire."""
    on = plan.gauge is not None and plan.first is not None
    heads = ["Place", "Turn"]
    heads += [f"From {plan.measured_from}"] if on else []
    heads += ["Round, from the start"] if on else []
    heads += ["Along the wire"]
    rows = []
    for stop in plan.stops:
        row = [stop.name, units.number(stop.turns, 5)]
        if plan.gauge is not None and plan.first is not None:
            row.append(_millimetres(1e3 * plan.first + plan.gauge.place(stop.turns)))
            row.append(_round(stop.turns, plan.girth))
        row.append(units.format(plan.along_wire(stop.turns, tails), "m"))
        rows.append(tuple(row))
    title = "Where to drill" if plan.is_drilled else "Where it starts and ends"
    title += ", and to tap" if plan.taps else ""
    return Grid(title, heads, rows, (3, 2, *((5, 5) if on else ()), 4), numbers=tuple(range(1, len(heads))))


def _round(turns: float, girth: float | None) -> str:
    """How far round the former from the line through the start."""
    share = round(turns % 1.0, 6) % 1.0
    if share == 0.0:
        return "in line"
    angle = f"{units.number(360.0 * share, 3)}°"
    return angle if girth is None else f"{angle}, {_millimetres(1e3 * share * girth)}"


def _millimetres(length: float) -> str:
    """A length as a rule shows it: to a tenth of a millimetre."""
    return f"{length:.1f} mm"


def _how(plan: WindingPlan) -> list[str]:
    """How to wind it."""
    told = []
    if plan.is_drilled:
        told.append(
            "At start and end drill a second hole 5 mm further out, and lace the wire through both, so that it cannot "
            "slip. “Round” is counted the way the wire is wound."
        )
    if plan.taps:
        told.append(
            f"At each tap draw out {units.format(TAP_LOOP, 'm', 3)} of wire, twist it to a loop and wind on; “along "
            "the wire” is where the loop begins."
        )
    return [*told, *plan.notes]


def _gauge(plan: WindingPlan) -> tuple[list[Picture], str]:
    """The strip's pieces, or a sentence that says why there are none."""
    if plan.gauge is None:
        return [], plan.no_gauge
    try:
        return plan.gauge.pictures(), ""
    except InputError as error:
        each = units.number(1e3 * plan.gauge.pitch)
        return [], (
            f"A gauge for the {_small(plan.name)} {error.reason}, too long to paste together: mark it with a rule, "
            f"{each} mm from turn to turn."
        )


def _gauge_words(plans: Sequence[WindingPlan]) -> list[str]:
    """How gauges are used."""
    gauges = [plan.gauge for plan in plans if plan.gauge is not None]
    if not gauges:
        return []
    ticks = {gauge.said() for gauge in gauges}
    said = [f"{tick}." for tick in ticks] if len(ticks) == 1 else [f"{_of(gauge)}." for gauge in gauges]
    told = [
        f"Cut the strip out and lay its thick edge along {gauges[0].along}, its start at the start. After so many "
        "turns the middle of the wire crosses the edge at the tick.",
        *said,
    ]
    if any(len(_gauge(plan)[0]) > 1 for plan in plans):
        told.append(
            "A long strip comes in pieces: lay the broken lines of the same letter and number on each other, and paste."
        )
    return told


def _of(gauge: Gauge) -> str:
    return f"{gauge.name}: {_small(gauge.said())}"


def _small(name: str) -> str:
    return name[:1].lower() + name[1:]
