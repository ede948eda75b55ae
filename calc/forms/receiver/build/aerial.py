"""The aerial, and what stands in its lead."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from calc.aerials import SeriesAerial, WireAerial
from calc.constants import COPPER_RESISTIVITY, TWO_PI
from calc.coupling import Acceptor, Aerial, AerialLead, LeadCapacitor, LeadPart, LoadingCoil, Rejector
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import AERIAL_WIRE, AERIALS, MEASURED
from calc.settings.stand_ins import tabulated
from calc.units import Values

_MOST_KNOWN, _MOST_TABLES = 24, 4
"""Sets of frequencies, and tables, that are kept for one aerial."""
_TABLE = 33
"""Frequencies in a table."""


class Remembered:
    """An aerial whose impedance is worked out once for each set of frequencies: all links ask for the same ones."""

    def __init__(self, aerial: Aerial) -> None:
        self._aerial = aerial
        self._known: dict[bytes, Any] = {}

    def impedance(self, frequency: Values) -> Any:
        """Impedance between aerial and earth terminals [ohm] at frequencies [Hz], any shape."""
        hertz = np.asarray(frequency, dtype=np.float64)
        key = hertz.tobytes()
        if key not in self._known:
            if len(self._known) >= _MOST_KNOWN:
                self._known.clear()
            self._known[key] = np.asarray(self._aerial.impedance(hertz.ravel()))
        return self._known[key].reshape(hertz.shape)


class WholeAerial:
    """Aerial, earth and lead of a set.

    Attributes:
        wire: the aerial as a wire; None for a measured one.
        terminals: what the set is joined to, the parts of the lead included.
        effective_height: of the aerial [m].
    """

    def __init__(self, bare: WireAerial | SeriesAerial, effective_height: float, parts: tuple[LeadPart, ...]) -> None:
        self.wire = bare if isinstance(bare, WireAerial) else None
        self.effective_height = effective_height
        self._bare = bare
        self._parts = parts
        self._tables: dict[tuple[float, float], Aerial] = {}
        self.terminals: Aerial = self._with_lead(bare if self.wire is None else Remembered(bare))

    def _with_lead(self, aerial: Aerial) -> Aerial:
        return AerialLead(aerial, self._parts) if self._parts else aerial

    def frozen(self, frequency: float) -> Aerial:
        """The aerial held at its values at a frequency [Hz]; the lead as it is."""
        return self._with_lead(self.wire.series(frequency) if self.wire is not None else self._bare)

    def over(self, least: float, most: float) -> Aerial:
        """For many frequencies between two [Hz]: smooth between a few at which it is worked out, and remembered."""
        if self.wire is None:
            return self.terminals
        if (least, most) not in self._tables:
            if len(self._tables) >= _MOST_TABLES:
                self._tables.clear()
            self._tables[least, most] = tabulated(self.wire, least, most, _TABLE)
        return self._with_lead(self._tables[least, most])


@lru_cache(maxsize=16)
def _wire(height: float, span: float, kind: str, earth_resistance: float) -> tuple[WireAerial, float]:
    aerial = WireAerial(
        height,
        span,
        AERIAL_WIRE,
        earth_resistance=earth_resistance,
        kind=kind,
        conductor_resistivity=COPPER_RESISTIVITY,
    )
    return aerial, float(aerial.effective_height)


@lru_cache(maxsize=16)
def _whole(bare: WireAerial | SeriesAerial, effective_height: float, parts: tuple[LeadPart, ...]) -> WholeAerial:
    return WholeAerial(bare, effective_height, parts)


def aerial_of(values: Mapping[str, Any], longer: float = 0.0, higher: float = 0.0) -> WholeAerial:
    """The aerial that was chosen.

    Args:
        values: of the form.
        longer, higher: added to a wire's top and height [m].
    """
    v, earth = values, values["earth_resistance"]
    if v["aerial"] == MEASURED:
        bare = SeriesAerial(earth, v["aerial_inductance"], v["aerial_capacitance"])
        return _whole(bare, float(v["effective_height"]), _lead(v))
    if v["aerial"] == OWN:
        height, span = v["height"], 0.0 if v["aerial_kind"] == "vertical" else v["span"]
        kind = "vertical" if span + longer == 0.0 else v["aerial_kind"]
        if kind == "vertical" and longer > 0.0:
            kind = "inverted L"
    else:
        part = AERIALS[v["aerial"]]
        height, span, kind = part.height, part.span, "inverted L"
    wire, effective_height = _wire(height + higher, span + longer, kind, earth)
    return _whole(wire, effective_height, _lead(v))


def _lead(v: Mapping[str, Any]) -> tuple[LeadPart, ...]:
    """A trap is taken by its coil's loss at the frequency that it is for."""
    parts: list[LeadPart] = []
    if v["trap"] != "none":
        angular = TWO_PI * v["trap_frequency"]
        inductance = v["trap_inductance"]
        kind = Rejector if v["trap"] == "rejector" else Acceptor
        parts.append(kind(inductance, angular * inductance / v["trap_quality"], 1.0 / (angular**2 * inductance)))
    if v["lead"] == "capacitor":
        parts.append(LeadCapacitor(v["lead_capacitor"]))
    if v["lead"] == "coil":
        middle = TWO_PI * 1e6
        parts.append(LoadingCoil(v["lead_inductance"], middle * v["lead_inductance"] / v["lead_quality"]))
    return tuple(parts)
