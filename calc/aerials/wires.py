"""Wire aerials by their shape: inverted L, T, vertical, sloping, bent, of several wires; or as measured."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from calc.aerials.moment import Point, Wire
from calc.aerials.series import SeriesAerial
from calc.aerials.shape import WireShape, foot
from calc.units import (
    InputError,
    Values,
    require_between,
    require_finite,
    require_nonnegative,
    require_positive,
)

_TALLEST = 500.0
_LONGEST = 1000.0


@dataclass(frozen=True)
class WireAerial(WireShape):
    """The usual outdoor aerials: a straight lead up from the set, with or without a level wire at its top.

    Attributes:
        height: of the level wire, or of the top of a vertical [m].
        horizontal_length: of the level wire, all of it; a T has half on either side of its lead; 0 for a
            vertical [m].
        wire_diameter: of lead and top [m].
        earth_resistance: between the earth terminal and distant ground, in series with the aerial [ohm].
        kind: "inverted L", "T" or "vertical".
        conductor_resistivity: of the wire's metal, 0 for a perfect conductor; copper has
            `constants.COPPER_RESISTIVITY` [ohm m].

    Raises:
        InputError: a dimension that cannot be, or wires too thick for their length.

    Accuracy: capacitance and effective height within 1 % of a fine electrostatic solution. Impedance within
    2 % of NEC-2 over perfect ground up to resonance, resonance within 0.05 %, the difference being how
    the lowest few centimetres of the lead are fed. A T is compared with NEC-2 refined to two wire radii at the
    joint, where it comes within 4.5 % up to 0.95 of resonance and is still coming nearer.
    """

    height: float
    horizontal_length: float
    wire_diameter: float
    earth_resistance: float = 30.0
    kind: str = "inverted L"
    conductor_resistivity: float = 0.0

    def __post_init__(self) -> None:
        self._check()
        require_between("height", self.height, 0.1, _TALLEST, "m")
        require_between("horizontal_length", self.horizontal_length, 0.0, _LONGEST, "m")
        if self.kind not in ("inverted L", "T", "vertical"):
            raise InputError("kind", 'must be "inverted L", "T" or "vertical"')
        if self.kind == "vertical" and self.horizontal_length != 0.0:
            raise InputError("horizontal_length", "must be 0 for a vertical aerial")
        if self.height < 10.0 * self.wire_diameter:
            raise InputError("height", "must be at least ten wire diameters")
        if 0.0 < self.horizontal_length < 20.0 * self.wire_diameter:
            raise InputError("horizontal_length", "must be 0 or at least twenty wire diameters")

    @property
    def wires(self) -> tuple[Wire, ...]:
        """End points of the straight wires (x, y, z), z the height over ground [m]."""
        top: Point = (0.0, 0.0, self.height)
        lead: Wire = ((0.0, 0.0, foot(self.height)), top)
        if self.horizontal_length == 0.0:
            return (lead,)
        if self.kind == "T":
            reach = self.horizontal_length / 2.0
            return lead, (top, (reach, 0.0, self.height)), (top, (-reach, 0.0, self.height))
        return lead, (top, (self.horizontal_length, 0.0, self.height))


@dataclass(frozen=True)
class BentWire(WireShape):
    """A wire from point to point: sloping, zigzag, along a fence or round a room.

    Attributes:
        points: (x, y, z) from the set outwards, z the height over ground, two points at least [m].
        wire_diameter, earth_resistance, conductor_resistivity: as for `WireAerial`.

    Raises:
        InputError: fewer than two points, a point in the ground, neighbours closer than ten diameters, or a wire that
            comes back to where it was.
    """

    points: tuple[Point, ...]
    wire_diameter: float
    earth_resistance: float = 30.0
    conductor_resistivity: float = 0.0

    def __post_init__(self) -> None:
        self._check()
        if len(self.points) < 2 or any(len(point) != 3 for point in self.points):
            raise InputError("points", "must be at least two points of three coordinates")
        places = require_finite("points", self.points)
        if np.any(places[:, 2] < self.wire_diameter):
            raise InputError("points", "must all lie above the ground, by a wire diameter at least")
        if len(set(self.points)) < len(self.points):
            raise InputError("points", "must not come back to an earlier point")
        steps = np.diff(places, axis=0)
        lengths = np.sqrt(np.sum(steps**2, axis=1))
        if np.any(lengths < 10.0 * self.wire_diameter):
            raise InputError("points", "must lie ten wire diameters apart at least")
        turns = np.sum(steps[1:] * steps[:-1], axis=1) / (lengths[1:] * lengths[:-1])
        if np.any(turns < -0.999):
            raise InputError("points", "must not run back along the wire")
        if lengths.sum() > _LONGEST:
            raise InputError("points", f"must not take more than {_LONGEST:.0f} m of wire")

    @property
    def wires(self) -> tuple[Wire, ...]:
        """End points of the straight wires (x, y, z) [m]."""
        return tuple(pairwise(self.points))


def sloping_wire(
    far_height: float,
    ground_distance: float,
    wire_diameter: float,
    near_height: float = 1.0,
    earth_resistance: float = 30.0,
    conductor_resistivity: float = 0.0,
) -> BentWire:
    """A wire that rises, or falls, in one slope from above the set to a far support.

    Args:
        far_height: of the far end [m].
        ground_distance: between the set and the foot of the far support [m].
        wire_diameter: [m].
        near_height: at which the lead, straight up from the earth terminal, passes into the slope [m].
        earth_resistance, conductor_resistivity: as for `WireAerial`.
    """
    top = float(require_between("near_height", near_height, 0.1, _TALLEST, "m"))
    far = float(require_between("far_height", far_height, 0.1, _TALLEST, "m"))
    away = float(require_nonnegative("ground_distance", ground_distance))
    points = ((0.0, 0.0, foot(top)), (0.0, 0.0, top), (away, 0.0, far))
    return BentWire(points, wire_diameter, earth_resistance, conductor_resistivity)


def room_wire(
    room_length: float,
    room_width: float,
    height: float,
    wire_length: float,
    wire_diameter: float,
    earth_resistance: float = 30.0,
    conductor_resistivity: float = 0.0,
) -> BentWire:
    """A wire round a room under its ceiling, with a lead down to a set on the ground floor.

    The house is left out. Its walls, wiring and pipes take away some of the field and add capacitance, so
    that an indoor wire does worse than this by an amount that only a trial tells.

    Args:
        room_length, room_width: [m].
        height: of the wire over the ground outside [m].
        wire_length: of the wire along the walls, without the lead; once round the room at most [m].
        wire_diameter, earth_resistance, conductor_resistivity: as for `WireAerial`.
    """
    sides = [float(require_positive("room_length", room_length))]
    sides += [float(require_positive("room_width", room_width))]
    left = float(require_positive("wire_length", wire_length))
    if left > 1.98 * sum(sides):
        raise InputError("wire_length", "must leave a gap at the end of the way round the room")
    level = float(require_between("height", height, 0.1, _TALLEST, "m"))
    points: list[Point] = [(0.0, 0.0, foot(level)), (0.0, 0.0, level)]
    for side, (x, y) in zip(sides * 2, ((1, 0), (0, 1), (-1, 0), (0, -1)), strict=True):
        run = min(side, left)
        if run > 10.0 * wire_diameter:
            points.append((points[-1][0] + x * run, points[-1][1] + y * run, level))
        left -= run
    return BentWire(tuple(points), wire_diameter, earth_resistance, conductor_resistivity)


@dataclass(frozen=True)
class ParallelWires(WireShape):
    """An inverted L or T whose top is several level wires side by side, joined where the lead meets them.

    Attributes:
        height: of the level wires [m].
        horizontal_length: of each level wire, all of it [m].
        wire_diameter: of lead and top [m].
        number: of level wires, 2 to 8.
        spacing: between neighbours [m].
        earth_resistance, conductor_resistivity: as for `WireAerial`.
        kind: "inverted L" or "T".
    """

    height: float
    horizontal_length: float
    wire_diameter: float
    number: int = 2
    spacing: float = 1.0
    earth_resistance: float = 30.0
    kind: str = "inverted L"
    conductor_resistivity: float = 0.0

    def __post_init__(self) -> None:
        self._check()
        require_between("height", self.height, 0.1, _TALLEST, "m")
        require_between("horizontal_length", self.horizontal_length, 0.1, _LONGEST, "m")
        if self.number not in range(2, 9):
            raise InputError("number", "must be a whole number from 2 to 8")
        require_between("spacing", self.spacing, 20.0 * self.wire_diameter, 50.0, "m")
        if self.kind not in ("inverted L", "T"):
            raise InputError("kind", 'must be "inverted L" or "T"')
        if min(self.height, self.horizontal_length) < 40.0 * self.wire_diameter:
            raise InputError("wire_diameter", "must be below a fortieth of height and length")

    @property
    def wires(self) -> tuple[Wire, ...]:
        """End points of the straight wires (x, y, z) [m]."""
        level = self.height
        offsets = [(n - (self.number - 1) / 2.0) * self.spacing for n in range(int(self.number))]
        feet: list[Point] = [(0.0, y, level) for y in offsets]
        ends = [self.horizontal_length]
        if self.kind == "T":
            ends = [self.horizontal_length / 2.0, -self.horizontal_length / 2.0]
        top: Point = (0.0, 0.0, level)
        spreader = sorted({*feet, top}, key=lambda point: point[1])
        return (
            ((0.0, 0.0, foot(level)), top),
            *pairwise(spreader),
            *((start, (end, start[1], level)) for start in feet for end in ends),
        )


@dataclass(frozen=True)
class MeasuredAerial:
    """An aerial known by measurement: a bedstead, a gutter, a fence, or any wire once it has been measured.

    Attributes:
        capacitance: to earth, low in the band [F].
        effective_height: [m].
        resistance: of everything in series, earth included [ohm].
        inductance: in series [H].
    """

    capacitance: float
    effective_height: float
    resistance: float = 30.0
    inductance: float = 0.0

    def __post_init__(self) -> None:
        require_positive("capacitance", self.capacitance)
        require_nonnegative("effective_height", self.effective_height)
        require_nonnegative("resistance", self.resistance)
        require_nonnegative("inductance", self.inductance)

    def series(self, frequency: Values) -> SeriesAerial:
        """The measured elements, the same at every frequency [Hz]."""
        require_positive("frequency", frequency)
        return SeriesAerial(self.resistance, self.inductance, self.capacitance)
