"""Taps of a coil: where along the wire, and what the coil's two parts are."""

import math
from collections.abc import Sequence

from calc import coils
from calc.forms.coil.single import Tube
from calc.forms.coil.thick import FlatSpiral
from calc.forms.coil.wound import Wound
from calc.forms.results import Column, Table
from calc.units import InputError

_COLUMNS = (
    Column("turns", "Tap at turn", "", 4),
    Column("wire_length", "Wire from the earthed end", "m", 4),
    Column("share", "Share of the turns", "%", 3),
    Column("lower", "Inductance below", "H", 4),
    Column("upper", "Inductance above", "H", 4),
    Column("coefficient", "Coupling of the two", "%", 3),
)


def require_taps(coil: Wound, taps: Sequence[float]) -> None:
    """Refuses a tap beyond the coil."""
    if taps[-1] >= coil.turns:
        raise InputError("taps", f"must be less than the coil's {coil.turns:.5g} turns")


def tap_table(coil: Wound, taps: Sequence[float], leads: float) -> Table:
    """A row a tap. The wire is counted with half the leads; parts are worked out for one layer and for spirals.

    Raises:
        InputError: a tap beyond the coil.
    """
    require_taps(coil, taps)
    rows: list[list[float | str | None]] = []
    for tap in taps:
        lower, upper, coefficient = _parts(coil, tap)
        along = coil.wire_to(tap) + 0.5 * leads
        rows.append([tap, along, tap / coil.turns, lower, upper, coefficient])
    return Table("taps", "Taps", _COLUMNS, rows)


def _parts(coil: Wound, tap: float) -> tuple[float | None, float | None, float | None]:
    """Inductance [H] below and above a tap, and the coupling coefficient of the two [1]."""
    above = coil.turns - tap
    if tap < 1.0 or above < 1.0:
        return None, None, None
    if isinstance(coil, Tube):
        whole = coils.Solenoid(coil.turns, coil.diameter, coil.length, coil.conductor.bundle)
        parts = coils.tapped_solenoid(whole, tap)
        return parts.lower_inductance, parts.upper_inductance, parts.coefficient
    if isinstance(coil, FlatSpiral):
        lower = coil.rewound(tap).inductance
        rest = FlatSpiral(above, coil.conductor, coil.hub + 2.0 * tap * coil.pitch, coil.pitch)
        mutual = 0.5 * (coil.inductance - lower - rest.inductance)
        return lower, rest.inductance, mutual / math.sqrt(lower * rest.inductance)
    return None, None, None
