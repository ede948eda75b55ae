"""Each station, the set tuned to it: where it comes, how loud, how clear."""

import pickle
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from calc import coupling, units
from calc.constants import TWO_PI
from calc.coupling import tune
from calc.forms.receiver.build import ChosenSet
from calc.forms.receiver.build.winding import coil_resistance
from calc.forms.receiver.catalogue import LINK_NAMES
from calc.forms.receiver.circuit import picture
from calc.forms.receiver.curve import curve, drawn_by
from calc.forms.receiver.outcome import Outcome, ladder_of
from calc.forms.receiver.words import advice, sentence
from calc.forms.results import Column, Result, Row, Table


def answer(chosen: ChosenSet) -> Result:
    """The district as heard with the chosen set."""
    ladder = ladder_of(chosen)
    outcome = ladder[str(chosen.values["link"])]
    tuned = _tuned_to(outcome)
    return Result(
        sentence=sentence(outcome),
        rows=_rows(outcome, tuned),
        tables=(_station_table(outcome), _ladder_table(outcome, ladder)),
        charts=(curve(chosen, chosen.receiver(at=tuned), tuned, _load(outcome, tuned)),),
        drawings=(picture(chosen, tuned),),
        advice=advice(outcome, ladder),
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


def _rows(outcome: Outcome, tuned: float) -> list[Row]:
    chosen, wire = outcome.chosen, outcome.chosen.aerial.wire
    at_tuned = complex(chosen.aerial.terminals.impedance(tuned))
    angular = TWO_PI * tuned
    there = units.format(tuned, "Hz")
    how = "as measured" if wire is None else "charges on the wire and their image in the ground; 2 %, open country"
    resistance = float(coil_resistance(chosen.winding, np.asarray(tuned)))
    return [
        Row(
            "clear",
            "Stations in the clear",
            float(len(outcome.clear)),
            how="others 20 dB down, or below the room's noise",
        ),
        Row("least_margin", "Faintest station over the room", outcome.least_margin, "dB"),
        Row(
            "least_separation",
            "Poorest separation",
            outcome.least_separation,
            "dB",
            how="level of the wanted station over the loudest other, the set tuned to the wanted one",
        ),
        Row(
            "floor",
            "Level that must be passed",
            outcome.receiver.floor,
            "dB",
            how="hearing threshold of ISO 226 or the room's noise, whichever is greater",
        ),
        Row(
            "spread",
            "Give or take, by the earphones",
            float(np.asarray(chosen.phones.earphone.spread)),
            "dB",
            how="levels and margins are that uncertain; separations are not",
        ),
        Row("effective_height", "Effective height of the aerial", chosen.aerial.effective_height, "m", how=how),
        Row(
            "aerial_capacitance",
            f"Aerial as a capacitance at {there}",
            -1.0 / (angular * at_tuned.imag) if at_tuned.imag < 0.0 else None,
            "F",
            how=how,
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
            f"Q of the coil by itself at {there}",
            angular * chosen.winding.inductance / resistance,
            digits=3,
            how="wire loss alone: an upper bound",
        ),
        Row(
            "bandwidth",
            f"Width of the curve at {there}",
            _width(chosen, tuned),
            "Hz",
            digits=3,
            how="half-power points, no detector",
        ),
    ]


def _width(chosen: ChosenSet, tuned: float) -> float | None:
    """Half-power width of aerial, link and coil without the detector [Hz], the aerial held at its values at `tuned`.

    None where the circuit cannot be tuned there, or is too broad to have a width.
    """
    aerial, set_ = chosen.aerial.frozen(tuned), chosen.receiver(at=np.array([tuned]))
    return _width_of(pickle.dumps((tuned, aerial, set_.link, set_.tank, set_.detector_tap)))


@lru_cache(maxsize=8)  # most of what is typed next to these leaves them as they are
def _width_of(parts: bytes) -> float | None:
    """The same [Hz], of a frequency [Hz], the aerial and the parts that tune, pickled so that they can be compared."""
    tuned, aerial, link, tank, tap = pickle.loads(parts)
    link, tank, reached = tune(np.array([[tuned]]), aerial, link, tank, detector_tap=tap)
    if not np.all(reached):
        return None
    width = float(coupling.bandwidth(np.array([[tuned]]), aerial, link, tank, detector_tap=tap)[0, 0])
    return width if np.isfinite(width) else None


def _station_table(outcome: Outcome) -> Table:
    words, margin, separation = outcome.judged
    rows: list[list[float | str | None]] = []
    for index, station in enumerate(outcome.chosen.stations):
        reached = bool(outcome.reachable[index])
        dial = float(outcome.chosen.dial_position(outcome.heard.own_capacitance[index])) if reached else None
        others = separation[index]
        rows.append(
            [
                station.name,
                station.frequency,
                station.field_strength,
                dial,
                float(outcome.heard.levels[index, index]) if reached else None,
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
        on_dial = other.reachable
        rows.append(
            [
                f"{LINK_NAMES[kind]}{', chosen' if kind == outcome.kind else ''}",
                f"{len(other.clear)} of {len(outcome.chosen.stations)}",
                float(other.judged[1][on_dial].max()) if on_dial.any() else None,
                other.least_margin,
                other.least_separation,
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


def _load(outcome: Outcome, tuned: float) -> float:
    """Input resistance of the detector on the station that is tuned to, or with no drive between stations [ohm]."""
    at = np.flatnonzero(outcome.reachable & (outcome.chosen.frequencies == tuned))
    rest = float(np.asarray(outcome.receiver.diode.zero_bias_resistance))
    return drawn_by(float(outcome.heard.loads[at[0]]) if at.size else rest)
