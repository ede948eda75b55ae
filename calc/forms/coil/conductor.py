"""What a coil is wound with: solid or stranded wire in its covering."""

import math
from dataclasses import dataclass

from calc import units, wire
from calc.units import InputError

COVERINGS = {
    "bare": ("bare", "bare"),
    "enamel-1": ("enamel grade 1", "enamel, grade 1"),
    "enamel-2": ("enamel grade 2", "enamel, grade 2 (thicker)"),
    "silk-1": ("single silk", "one layer of silk"),
    "silk-2": ("double silk", "two layers of silk"),
    "cotton-1": ("single cotton", "one layer of cotton"),
    "cotton-2": ("double cotton", "two layers of cotton"),
}
"""Word of the address: the name that `wire.covered_diameter` knows, and what the reader sees."""

THINNEST_STRAND, THICKEST_STRAND = 0.04e-3, 0.5e-3
_THINNEST, _THICKEST = 1e-5, 0.02
_ENAMELLED = (0.04e-3, 2e-3)
_LAY = 1.28
"""Diameter over enamelled strands twisted together, over one strand and the root of their number: 1.25 for few, 1.28
from 25 on (IEC 60317-11, from memory)."""

_TAKE_UP = 1.02
"""Length of a strand over that of the bundle, twisted once (IEC 60317-11, as `coils.litz_resistance` has it)."""


@dataclass(frozen=True)
class Conductor:
    """Wire, solid or stranded.

    Attributes:
        strand: bare diameter of the wire, or of one strand [m].
        strands: [1].
        bundle: over the copper: of the bare wire, or of the bundle of strands without its covering [m].
        covered: with the covering [m]; None where no table gives it.
    """

    strand: float
    strands: int
    bundle: float
    covered: float | None

    @property
    def is_stranded(self) -> bool:
        """Whether there are several strands."""
        return self.strands > 1

    @property
    def take_up(self) -> float:
        """Length of copper over length of wire [1]."""
        return _TAKE_UP if self.is_stranded else 1.0

    def close_pitch(self) -> float:
        """Pitch of close-wound turns [m].

        Raises:
            InputError: the covered diameter is not known.
        """
        if self.covered is None:
            raise InputError("covering", "in enamel is known for wire of 0.04 to 2 mm only: take another covering")
        return self.covered

    def steady_resistance(self, length: float, temperature: float) -> float:
        """Resistance of a length [m] to steady current [ohm]."""
        return float(wire.dc_resistance(self.strand, self.take_up * length, temperature)) / self.strands

    def copper(self, length: float) -> float:
        """Mass of the copper in a length [m] of wire [kg]."""
        return float(wire.mass(self.strand, self.take_up * length)) * self.strands


def solid(diameter: float, covering: str) -> Conductor:
    """Solid wire of a bare diameter [m] in a covering of `COVERINGS`.

    Raises:
        InputError: a diameter that no coil is wound with.
    """
    if not _THINNEST <= diameter <= _THICKEST:
        raise InputError("wire", "must be from 0.01 to 20 mm thick")
    name = COVERINGS[covering][0]
    unknown = name.startswith("enamel") and not _ENAMELLED[0] <= diameter <= _ENAMELLED[1]
    covered = None if unknown else float(wire.covered_diameter(diameter, name))
    return Conductor(diameter, 1, diameter, covered)


def stranded(strands: int, strand: float, bundle: float | None, covering: str) -> Conductor:
    """Stranded wire: enamelled strands of a bare diameter [m] and, if known, the diameter over all of them [m].

    Raises:
        InputError: strands outside the table of enamels, or a bundle too thin for them.
    """
    if not THINNEST_STRAND <= strand <= THICKEST_STRAND:
        raise InputError("strand", "must be from 0.04 to 0.5 mm")
    one = float(wire.covered_diameter(strand, "enamel grade 1"))
    over = _LAY * math.sqrt(strands) * one if bundle is None else bundle
    if strands * strand**2 > over**2:
        least = units.format(math.sqrt(strands) * one, "m", 3)
        raise InputError("bundle", f"is too small for these strands, which take {least} or more")
    return Conductor(strand, strands, over, float(wire.covered_diameter(over, COVERINGS[covering][0])))
