"""The band-plan form: which coil lays a band on the capacitor at hand, and where each frequency falls on the dial."""

from collections.abc import Callable

import numpy as np

from calc import bands, units
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.parts import OWN, capacitor_fields, capacitor_range
from calc.forms.results import Advice, Axis, Chart, Column, Result, Row, Rule, Series, Table
from calc.units import InputError

_OWN_BAND = ShownWhen("band", (OWN,))

_FIELDS = (
    Field(
        "band",
        "Band",
        default="medium-wave-9",
        choices=(
            *(Choice(plan.key, plan.name) for plan in bands.channel_plans().values()),
            Choice(OWN, "my own edges"),
        ),
        group="Band",
    ),
    Field("low", "Lowest frequency", "Hz", "500 kHz", 10e3, 30e6, bare="kHz", shown_when=_OWN_BAND, group="Band"),
    Field("high", "Highest frequency", "Hz", "1600 kHz", 10e3, 30e6, bare="kHz", shown_when=_OWN_BAND, group="Band"),
    *capacitor_fields(),
    Field(
        "strays",
        "Strays",
        "F",
        "20p",
        0.0,
        1e-9,
        help="Wiring, coil, detector and the aerial as it appears across the coil: 15 to 30 pF with a loose link.",
        bare="pF",
        group="Around it",
    ),
    Field(
        "inductance",
        "Coil, if you have one",
        "H",
        "",
        1e-7,
        1.0,
        help="Leave empty to have the coil worked out.",
        bare="µH",
        optional=True,
        group="Around it",
    ),
)


def solve(
    band: str,
    low: float | None,
    high: float | None,
    capacitor: str,
    capacitor_least: float | None,
    capacitor_most: float | None,
    law: str,
    strays: float,
    inductance: float | None,
) -> Result:
    """The band plan for what was typed."""
    low, high = _edges(band, low, high)
    least, most = capacitor_range(capacitor, capacitor_least, capacitor_most)
    needed = high / low
    reached = float(bands.tuning_ratio(least, most, strays))
    coil = inductance or bands.inductance_for_band(low, high, least, most, strays)
    bottom, top = (float(edge) for edge in bands.coverage(coil, least, most, strays))

    def dial(frequency: float) -> float:
        own = float(bands.capacitance_for(frequency, coil)) - strays
        return 100.0 * float(bands.dial_position(own, least, most, law))

    return Result(
        sentence=_sentence(coil, inductance is not None, low, high, bottom, top),
        rows=(
            Row("inductance", "Coil inductance", coil, "H", how=_how_coil(inductance is not None)),
            Row("lowest", "Lowest frequency, plates in", bottom, "Hz", how="1/(2π√LC), most capacitance and strays"),
            Row("highest", "Highest frequency, plates out", top, "Hz", how="1/(2π√LC), least capacitance and strays"),
            Row("ratio_reached", "Frequency ratio reached", reached, how="√((most + strays)/(least + strays))"),
            Row("ratio_needed", "Frequency ratio that the band needs", needed, how="highest over lowest edge"),
            Row(
                "most_strays",
                "Most strays that still cover the band",
                _most_strays(needed, least, most),
                "F",
                how="where the ratio reached equals the ratio needed",
            ),
        ),
        tables=(_dial_table(low, high, bottom, top, strays, coil, dial),),
        charts=(_chart(low, high, bottom, top, dial),),
        advice=_advice(low, high, bottom, top, needed, reached, strays),
    )


def _edges(band: str, low: float | None, high: float | None) -> tuple[float, float]:
    if band != OWN:
        plan = bands.channel_plans()[band]
        return plan.low, plan.high
    assert low is not None, "own edges are asked whenever they are chosen"
    assert high is not None, "own edges are asked whenever they are chosen"
    if high <= low:
        raise InputError("high", "must be above the lowest frequency")
    if high > 20.0 * low:
        raise InputError("high", "must be no more than 20 times the lowest frequency: plan one band at a time")
    return low, high


def _how_coil(given: bool) -> str:
    return "as you gave it" if given else "lays the band in the middle of the range, by ratio"


def _sentence(coil: float, given: bool, low: float, high: float, bottom: float, top: float) -> str:
    wound = units.format(coil, "H", 3)
    reach = f"{units.format(bottom, 'Hz')} to {units.format(top, 'Hz')}"
    begin = f"Your {wound} coil tunes {reach}" if given else f"Wind {wound}: it tunes {reach}"
    covers_low, covers_high = bottom <= low * (1 + 1e-9), top >= high * (1 - 1e-9)
    if covers_low and covers_high:
        return f"{begin}, the whole band."
    missing = []
    if not covers_low:
        missing.append(f"{units.format(low, 'Hz')} to {units.format(min(bottom, high), 'Hz')} at the bottom")
    if not covers_high:
        missing.append(f"{units.format(max(top, low), 'Hz')} to {units.format(high, 'Hz')} at the top")
    return f"{begin}, and misses {' and '.join(missing)}."


def _most_strays(needed: float, least: float, most: float) -> float | None:
    """Strays [F] at which the ratio reached falls to the ratio needed; None when the bare capacitor falls short."""
    strays = (most - needed**2 * least) / (needed**2 - 1.0)
    return strays if strays >= 0.0 else None


def _round_steps(low: float, high: float) -> list[float]:
    """The edges of a band and three to eleven round frequencies between them."""
    rough = (high - low) / 10.0
    power = 10.0 ** np.floor(np.log10(rough))
    step = float(next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= rough * (1.0 - 1e-9)))
    inner = np.arange(np.ceil(low / step + 0.25), np.floor(high / step - 0.25) + 1.0) * step
    return [low, *inner.tolist(), high]


def _dial_table(
    low: float, high: float, bottom: float, top: float, strays: float, coil: float, dial: Callable[[float], float]
) -> Table:
    rows: list[list[float | str | None]] = []
    for frequency in _round_steps(low, high):
        total = float(bands.capacitance_for(frequency, coil))
        on_dial = bottom * (1 - 1e-9) <= frequency <= top * (1 + 1e-9)
        position: float | str = min(max(dial(frequency), 0.0), 100.0) if on_dial else "off the dial"
        rows.append([frequency, total, total - strays if total > strays else None, position])
    columns = (
        Column("frequency", "Frequency", "Hz", 5),
        Column("total", "Total capacitance", "F", 3),
        Column("own", "Variable capacitor", "F", 3),
        Column("dial", "Dial, 0 plates out to 100 plates in", "", 3),
    )
    return Table("dial", "Dial table", columns, rows)


def _chart(low: float, high: float, bottom: float, top: float, dial: Callable[[float], float]) -> Chart:
    frequency = np.geomspace(bottom, top, 61)
    position = np.clip([dial(f) for f in frequency.tolist()], 0.0, 100.0)
    lowest, highest = min(low, bottom), max(high, top)
    return Chart(
        key="dial",
        title="Where each frequency falls on the dial",
        summary=(
            f"The frequency runs from {units.format(bottom, 'Hz')} at 100, plates in, to {units.format(top, 'Hz')} "
            f"at 0, "
            f"plates out. The band, {units.format(low, 'Hz')} to {units.format(high, 'Hz')}, is marked."
        ),
        x=Axis("Frequency", "Hz", lowest, highest),
        y=Axis("Dial position", "", 0.0, 100.0),
        series=(Series("dial", "Dial position", frequency, position),),
        rules=(Rule("band begins", "x", low), Rule("band ends", "x", high)),
    )


def _advice(
    low: float, high: float, bottom: float, top: float, needed: float, reached: float, strays: float
) -> tuple[Advice, ...]:
    found = []
    if reached < needed:
        found.append(
            Advice(
                f"This capacitor and these strays reach a ratio of {units.number(reached, 3)} and the band needs "
                f"{units.number(needed, 3)}. Lower the strays, take a larger capacitor, or cover the band in two "
                f"coils or with a tap."
            )
        )
    elif reached > 1.15 * needed:
        spare = np.sqrt(reached / needed) - 1.0
        found.append(
            Advice(
                f"There is room to spare: about {units.format(float(spare), '%', 2)} of frequency at each end, so "
                f"the strays "
                "may turn out larger than you think."
            )
        )
    found.append(
        Advice(
            "How the aerial's share of the strays changes along the band. With the aerial straight on the coil "
            "that share "
            "may exceed 100 pF; the whole-set form works it out.",
            "limit",
        )
    )
    return tuple(found)


FORM = Form(
    id="band-plan",
    title="Band plan",
    chapter="band-planning",
    summary="From a band and a variable capacitor to the coil that covers it, and the dial that results.",
    fields=_FIELDS,
    solve=solve,
    blame={"least": "capacitor_least", "most": "capacitor_most"},
)
