"""What the whole-set form answers."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from calc import bands, coupling, units
from calc.constants import TWO_PI
from calc.coupling import Tank, tuned_capacitance, voltage_transfer
from calc.forms.circuit import circuit_drawing
from calc.forms.receiver.build import LINKS, ChosenSet
from calc.forms.receiver.verdicts import is_clear, verdicts
from calc.forms.results import Advice, Axis, Chart, Column, Mark, Result, Row, Series, Table
from calc.receiver import Receiver, Source, detect, source
from calc.units import Array

LINK_NAMES = {
    "direct": "aerial straight on the coil",
    "capacitor": "small series capacitor",
    "tap": "tap on the coil",
    "winding": "separate winding",
}


@dataclass(frozen=True)
class Tuned:
    """A set with one link, tuned to each station of the district in turn: what the tank offers, before any detector.

    Attributes:
        receiver: the set, the coil's loss taken at each tuning.
        own_capacitance: what the variable capacitor itself must have for each station [F], [stations].
        reachable: whether the dial reaches each station, [stations].
        offered: at the tunings that the dial reaches; None if it reaches none.
    """

    receiver: Receiver
    own_capacitance: Array
    reachable: npt.NDArray[np.bool_]
    offered: Source | None


@dataclass(frozen=True)
class Outcome:
    """The district as heard with one link.

    Attributes:
        chosen, kind: the set as chosen, and its link.
        tuned: the set tuned to each station.
        levels: of each station (column) with the set tuned to each (row) [dB SPL]; minus infinity off the dial.
        loads: input resistance of the detector on each station when tuned to it [ohm]; NaN off the dial.
    """

    chosen: ChosenSet
    kind: str
    tuned: Tuned
    levels: Array
    loads: Array

    @property
    def receiver(self) -> Receiver:
        """The set, the coil's loss taken at each tuning."""
        return self.tuned.receiver

    @property
    def reachable(self) -> npt.NDArray[np.bool_]:
        """Whether the dial reaches each station, [stations]."""
        return self.tuned.reachable

    @cached_property
    def judged(self) -> tuple[list[str], Array, Array]:
        """Verdict, margin [dB] and separation [dB] of each station."""
        names = [station.name for station in self.chosen.stations]
        return verdicts(names, self.levels, self.reachable, self.receiver.floor)

    @cached_property
    def clear(self) -> list[int]:
        """Which stations can be followed, faint ones among them."""
        return [index for index, word in enumerate(self.judged[0]) if is_clear(word)]


def ladder_of(chosen: ChosenSet) -> dict[str, Outcome]:
    """The outcome with each link. All links go through the detector together."""
    tuned = {kind: _tune(chosen, kind) for kind in LINKS}
    offered = [one.offered for one in tuned.values() if one.offered is not None]
    depth = np.array([station.modulation for station in chosen.stations])
    if offered:
        voltage = np.concatenate([one.open_voltage for one in offered])
        impedance = np.concatenate([one.impedance for one in offered])
        heard = detect(chosen.diode, chosen.earphone, voltage, impedance, depth)
    count, row, found = len(chosen.stations), 0, {}
    for kind, one in tuned.items():
        levels, loads = np.full((count, count), -np.inf), np.full(count, np.nan)
        if one.offered is not None:
            rows = slice(row, row + one.offered.open_voltage.shape[0])
            levels[one.reachable] = heard.sound_level[rows]
            loads[one.reachable] = np.diagonal(heard.input_resistance[rows][:, one.reachable])
            row = rows.stop
        found[kind] = Outcome(chosen, kind, one, levels, loads)
    return found


def _tune(chosen: ChosenSet, kind: str) -> Tuned:
    """The set with a link, tuned to every station that its dial reaches."""
    frequencies = chosen.frequencies
    middle = float(np.sqrt(frequencies.min() * frequencies.max()))
    set_ = chosen.receiver(chosen.link(kind, middle))
    total = np.asarray(tuned_capacitance(frequencies[:, None], set_.aerial, set_.link, set_.tank))[:, 0]
    own = total - chosen.strays
    least, most = chosen.capacitor
    reachable = (own >= least) & (own <= most)
    if not reachable.any():
        return Tuned(set_, own, reachable, None)
    lossy_as_tuned = replace(set_.tank, resistance=np.asarray(set_.tank.resistance)[reachable])
    fields = np.array([station.field_strength for station in chosen.stations])
    offered = source(replace(set_, tank=lossy_as_tuned), frequencies, fields, frequencies[reachable])
    return Tuned(set_, own, reachable, offered)


def solve(**values: object) -> Result:
    """The whole set for what was typed."""
    ladder = ladder_of(ChosenSet(values))
    outcome = ladder[str(values["link"])]
    tuned = _tuned_to(outcome)
    return Result(
        sentence=_sentence(outcome),
        rows=_rows(outcome, tuned),
        tables=(_station_table(outcome), _ladder_table(outcome, ladder)),
        charts=(_chart(outcome, tuned),),
        drawings=(circuit_drawing(outcome.kind),),
        advice=_advice(outcome, ladder),
        order=("tables", "charts", "advice", "rows", "drawings"),
    )


def _tuned_to(outcome: Outcome) -> float:
    """The frequency at which the curve is drawn: as typed, or that of the station that is hardest to separate."""
    typed = outcome.chosen.values["tuned_to"]
    if typed is not None:
        return float(typed)
    _, margin, separation = outcome.judged
    hardness = np.where(
        outcome.reachable, np.minimum(separation, 1e3) + 1e-3 * np.where(outcome.reachable, margin, 0.0), np.inf
    )
    return float(outcome.chosen.frequencies[int(np.argmin(hardness))])


def _join(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _sentence(outcome: Outcome) -> str:
    words = outcome.judged[0]
    names = [station.name for station in outcome.chosen.stations]
    count = len(names)
    clear = [names[index] for index in outcome.clear]
    if len(clear) == count:
        begin = f"{_join(clear)} {'is' if count == 1 else 'are'} in the clear"
        faint = [names[i] for i, word in enumerate(words) if word == "clear but faint"]
        return (
            f"{begin}, {_join(faint)} only faintly."
            if faint and len(faint) < count
            else (f"{begin}, but faint." if faint else f"{begin}.")
        )
    begin = f"{len(clear)} of {count} {'is' if len(clear) == 1 else 'are'} in the clear"
    begin += f" ({_join(clear)})" if clear else ""
    rest = "; ".join(f"{names[i]} is {word}" for i, word in enumerate(words) if not is_clear(word))
    return f"{begin}; {rest}."


def _rows(outcome: Outcome, tuned: float) -> list[Row]:
    chosen, set_ = outcome.chosen, outcome.receiver
    _, margin, separation = outcome.judged
    on_dial = outcome.reachable
    resistance = float(chosen.winding.resistance(tuned))
    tank = Tank(chosen.winding.inductance, resistance, 1e-10)
    at_tuned = chosen.aerial.impedance(tuned)
    series_capacitance = -1.0 / (TWO_PI * tuned * at_tuned.imag) if at_tuned.imag < 0.0 else None
    width = _width(outcome, tuned, tank)
    return [
        Row(
            "clear",
            "Stations in the clear",
            float(len(outcome.clear)),
            how="others 20 dB down, or below the room's noise",
        ),
        Row(
            "least_margin",
            "Faintest station over the room",
            float(margin[on_dial].min()) if on_dial.any() else None,
            "dB",
        ),
        Row(
            "least_separation",
            "Poorest separation",
            float(separation[on_dial].min()) if on_dial.any() and np.isfinite(separation[on_dial].min()) else None,
            "dB",
            how="level of the wanted station over the loudest other, the set tuned to the wanted one",
        ),
        Row(
            "floor",
            "Level that must be passed",
            set_.floor,
            "dB",
            how="hearing threshold of ISO 226 or the room's noise, whichever is greater",
        ),
        Row(
            "effective_height", "Effective height of the aerial", chosen.effective_height, "m", how=_how_aerial(chosen)
        ),
        Row(
            "aerial_capacitance",
            f"Aerial as a capacitance at {units.format(tuned, 'Hz')}",
            series_capacitance,
            "F",
            how=_how_aerial(chosen),
        ),
        Row(
            "coil_inductance",
            "Inductance of the coil",
            chosen.winding.inductance,
            "H",
            how="exact current sheet, round-wire correction",
        ),
        Row(
            "coil_quality",
            f"Q of the coil by itself at {units.format(tuned, 'Hz')}",
            TWO_PI * tuned * chosen.winding.inductance / resistance,
            digits=3,
            how="wire loss by Medhurst's table: an upper bound",
        ),
        Row(
            "bandwidth",
            f"Width of the curve at {units.format(tuned, 'Hz')}",
            width,
            "Hz",
            digits=3,
            how="half-power points, no detector",
        ),
    ]


def _how_aerial(chosen: ChosenSet) -> str:
    return (
        "as measured"
        if chosen.wire_aerial is None
        else "charges on the wire and their image in the ground; 2 %, open country"
    )


def _width(outcome: Outcome, tuned: float, tank: Tank) -> float | None:
    """Half-power width of aerial, link and coil without the detector [Hz], the aerial held at its values at `tuned`.

    None where the circuit cannot be tuned there, or is too broad to have a width.
    """
    chosen, link = outcome.chosen, outcome.receiver.link
    aerial = chosen.wire_aerial.series(tuned) if chosen.wire_aerial is not None else chosen.aerial
    if float(tuned_capacitance(tuned, aerial, link, tank)) < 0.0:
        return None
    width = float(coupling.bandwidth(tuned, aerial, link, tank))
    return width if np.isfinite(width) else None


def _station_table(outcome: Outcome) -> Table:
    words, margin, separation = outcome.judged
    least, most = outcome.chosen.capacitor
    rows: list[list[float | str | None]] = []
    for index, station in enumerate(outcome.chosen.stations):
        reached = bool(outcome.reachable[index])
        dial = (
            100.0
            * float(
                bands.dial_position(outcome.tuned.own_capacitance[index], least, most, outcome.chosen.values["law"])
            )
            if reached
            else None
        )
        others = separation[index]
        rows.append(
            [
                station.name,
                station.frequency,
                station.field_strength,
                dial,
                float(outcome.levels[index, index]) if reached else None,
                float(margin[index]) if reached else None,
                float(others) if reached and np.isfinite(others) else None,
                words[index],
            ]
        )
    columns = (
        Column("station", "Station"),
        Column("frequency", "Frequency", "Hz"),
        Column("field", "Field", "V/m", 3),
        Column("dial", "Dial", "", 3),
        Column("level", "Level, SPL", "dB"),
        Column("margin", "Over the room", "dB"),
        Column("separation", "Over the next", "dB"),
        Column("verdict", "Verdict"),
    )
    return Table("stations", "Each station, the set tuned to it", columns, rows)


def _ladder_table(outcome: Outcome, ladder: Mapping[str, Outcome]) -> Table:
    """The same set with each of the links, from closest to loosest by custom."""
    rows: list[list[float | str | None]] = []
    for kind, other in ladder.items():
        _, margin, separation = other.judged
        on_dial = other.reachable
        poorest = float(separation[on_dial].min()) if on_dial.any() else np.inf
        here = ", chosen" if kind == outcome.kind else ""
        rows.append(
            [
                f"{LINK_NAMES[kind]}{here}",
                f"{len(other.clear)} of {len(outcome.chosen.stations)}",
                float(margin[on_dial].max()) if on_dial.any() else None,
                float(margin[on_dial].min()) if on_dial.any() else None,
                poorest if np.isfinite(poorest) else None,
            ]
        )
    columns = (
        Column("link", "Link"),
        Column("clear", "In the clear"),
        Column("loudest", "Loudest over the room", "dB"),
        Column("faintest", "Faintest over the room", "dB"),
        Column("poorest", "Poorest separation", "dB"),
    )
    return Table("links", "The same set with the other links", columns, rows)


def _chart(outcome: Outcome, tuned: float) -> Chart:
    chosen, set_ = outcome.chosen, outcome.receiver
    resistance = float(chosen.winding.resistance(tuned))
    total = float(tuned_capacitance(tuned, set_.aerial, set_.link, Tank(chosen.winding.inductance, resistance, 1e-10)))
    tank = Tank(chosen.winding.inductance, resistance, max(total, 1e-15))
    load = _load(outcome, tuned)
    lowest, highest = min(chosen.frequencies.min(), tuned), max(chosen.frequencies.max(), tuned)
    reach = max(0.5 * (highest - lowest), 0.06 * tuned)
    over = _around(tuned, max(lowest - 0.4 * reach, 0.3 * tuned), highest + 0.4 * reach)
    at = np.concatenate([over, [tuned], chosen.frequencies])
    aerial = chosen.aerial_over(at, np.concatenate([[tuned], chosen.frequencies]))
    response = 20.0 * np.log10(np.abs(voltage_transfer(at, aerial, set_.link, tank, load)))
    down = response - response[over.size]
    marks = [
        Mark(station.name, station.frequency, float(down[over.size + 1 + index]), emphasis=station.frequency == tuned)
        for index, station in enumerate(chosen.stations)
    ]
    told = "; ".join(f"{mark.label} {units.format(mark.y, 'dB')}" for mark in marks)
    return Chart(
        key="selectivity",
        title=f"What passes with the dial at {units.format(tuned, 'Hz')}",
        summary=f"Tank voltage for equal fields, against {units.format(tuned, 'Hz')}: {told}.",
        x=Axis("Frequency", "Hz", float(over[0]), float(over[-1])),
        y=Axis("Tank voltage for equal fields", "dB", float(min(down.min(), -20.0)), float(max(down.max(), 0.0) + 3.0)),
        series=(Series("response", "Response", over, down[: over.size]),),
        marks=marks,
    )


def _around(tuned: float, least: float, most: float) -> Array:
    """Frequencies over a range, crowded about the tuned one [Hz]."""
    away = np.geomspace(2e-4, 1.0, 40) * max(tuned - least, most - tuned)
    every = np.concatenate([tuned - away, [tuned], tuned + away, [least, most]])
    return np.unique(every[(every >= least) & (every <= most)])


def _load(outcome: Outcome, tuned: float) -> float:
    """Input resistance of the detector on the station that is tuned to, or with no drive between stations [ohm]."""
    at = np.flatnonzero(outcome.reachable & (outcome.chosen.frequencies == tuned))
    return float(outcome.loads[at[0]] if at.size else outcome.receiver.diode.zero_bias_resistance)


def _advice(outcome: Outcome, ladder: Mapping[str, Outcome]) -> list[Advice]:
    found = []
    words, margin, _ = outcome.judged
    if any(word.startswith("off") for word in words):
        least, most = outcome.chosen.capacitor
        if np.any(outcome.tuned.own_capacitance < least):
            found.append(
                Advice(
                    "A station lies above the dial: the capacitance that aerial, coil and wiring bring is too much "
                    "already. Loosen the link, or take turns off the coil."
                )
            )
        if np.any(outcome.tuned.own_capacitance > most):
            found.append(Advice("A station lies below the dial: add turns to the coil, or take a larger capacitor."))
    better = _best_link(outcome, ladder)
    if better is not None:
        kind, count = better
        found.append(
            Advice(
                f"With the {LINK_NAMES[kind]} instead, {count} of {len(words)} would be in the clear; the table of "
                f"links shows what it costs in loudness."
                if kind != "direct"
                else f"With the aerial straight on the coil, {count} of {len(words)} would be in the clear."
            )
        )
    if np.any(outcome.reachable) and float(margin[outcome.reachable].min()) < 0.0:
        found.append(
            Advice(
                "The faintest station is below the room's noise: more height, a better earth or more sensitive "
                "earphones come before a sharper circuit."
            )
        )
    found.append(
        Advice(
            "What two stations do to each other in the detector, the loss of the highest notes in a sharp circuit, "
            "a transformer, "
            "and the loss of the former and of the capacitor. Earphone figures are handbook lore: take levels as "
            "good to 10 dB.",
            "limit",
        )
    )
    return found


def _best_link(outcome: Outcome, ladder: Mapping[str, Outcome]) -> tuple[str, int] | None:
    """Another link that brings more stations into the clear, and how many; None if there is none."""
    counts = {kind: len(other.clear) for kind, other in ladder.items()}
    kind = max(counts, key=lambda name: counts[name])
    return (kind, counts[kind]) if counts[kind] > len(outcome.clear) else None
