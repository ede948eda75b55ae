"""What a builder reads from a set that has been built, with ears or with a meter, and how surely."""

from dataclasses import dataclass
from enum import Enum

from calc.units import InputError, require_nonnegative, require_positive

LINK, STRAIGHT, OFF = "link", "straight", "off"
JOINED = (LINK, STRAIGHT, OFF)
"""How the aerial is joined for a reading: by the set's own link; straight on the live end of the coil, the link put
aside; or taken off, its lead laid so near the coil that something is still heard. For the last two the first of two
tuned circuits is put out of the way."""


class Kind(Enum):
    """What is read."""

    DIAL = "dial"
    """Where the station is loudest: capacitance of the variable capacitor [F]."""
    WIDTH = "width"
    """How far the sound falls between the two places of the dial on either side that were read [dB]."""
    LOUDNESS = "loudness"
    """Sound over what can just be heard, with an offset that is all stations' own [dB]."""
    CURRENT = "current"
    """Direct current in the detector's load [dB of 1 A]."""


@dataclass(frozen=True)
class Reading:
    """One station on the bench, its aerial joined in one way.

    Attributes:
        frequency: of the station [Hz].
        joined: one of `JOINED`.
        capacitance: of the variable capacitor where the station is loudest [F].
        uncertainty: standard, of that [F].
        through: of a capacitor in the aerial's lead for this reading; None where there is none [F].
        flanks: how much less and more the variable capacitor has at the two places, below and above, where the sound
            has fallen by what `Skill` says; None where they were not read [F].
        loudness: sound over the threshold [dB]; None where it was not read.
        current: in the detector's load [A]; None where it was not read.
        field_strength: of the station [V/m].
        station: its place in the district, one for all readings of the same station; None for no station of it.
    """

    frequency: float
    joined: str
    capacitance: float
    uncertainty: float
    field_strength: float
    through: float | None = None
    flanks: tuple[float, float] | None = None
    loudness: float | None = None
    current: float | None = None
    station: int | None = None

    def __post_init__(self) -> None:
        require_positive("frequency", self.frequency)
        require_positive("uncertainty", self.uncertainty)
        require_positive("field_strength", self.field_strength)
        if self.joined not in JOINED:
            raise InputError("joined", f"must be one of {', '.join(JOINED)}")
        if self.through is not None:
            require_positive("through", self.through)
        if self.flanks is not None:
            require_positive("flanks", self.flanks)
        if self.current is not None:
            require_positive("current", self.current)

    def has(self, kind: Kind) -> bool:
        """Whether it holds a figure of that kind."""
        if kind is Kind.DIAL:
            return True
        figure = self.flanks if kind is Kind.WIDTH else self.loudness if kind is Kind.LOUDNESS else self.current
        return figure is not None

    @property
    def asked(self) -> tuple[float | str | tuple[float, float] | bool | None, ...]:
        """All of it that bears on what a model answers: which figures it has, not which values."""
        has = (self.loudness is not None, self.current is not None)
        return self.frequency, self.joined, self.field_strength, self.through, self.flanks, *has


@dataclass(frozen=True)
class Skill:
    """How surely a builder reads, as standard uncertainties.

    Attributes:
        fall: by how much the sound has fallen at the flanks [dB].
        fall_uncertainty: of that, from one reading to another [dB].
        width_uncertainty: of a distance between flanks, as a part of it [-].
        by_meter: True if the flanks were found by the current, not by ear.
        loudness_uncertainty: of a loudness, apart from what all have in common [dB].
        current_uncertainty: of a current, as a part of it [-].
        field_uncertainty: of each station's field, as the sound that it makes [dB].
        stranger_uncertainty: the same of a station that is not of the district [dB].
        ear_uncertainty: of what ear, earphones and room have in common [dB].
    """

    fall: float = 10.0
    fall_uncertainty: float = 1.0
    width_uncertainty: float = 0.05
    by_meter: bool = False
    loudness_uncertainty: float = 3.0
    current_uncertainty: float = 0.03
    field_uncertainty: float = 6.0
    stranger_uncertainty: float = 30.0
    ear_uncertainty: float = 10.0

    def __post_init__(self) -> None:
        require_positive("fall", self.fall)
        require_nonnegative("fall_uncertainty", self.fall_uncertainty)
        for name in ("width_uncertainty", "loudness_uncertainty", "current_uncertainty"):
            require_positive(name, getattr(self, name))
        require_positive("field_uncertainty", self.field_uncertainty)
        require_positive("stranger_uncertainty", self.stranger_uncertainty)
        require_positive("ear_uncertainty", self.ear_uncertainty)
