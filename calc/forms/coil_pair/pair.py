"""Two coils and how they stand: their mutual inductance at any distance and angle, and whether they touch."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from calc import coils
from calc.coils.sheets import gauss
from calc.coils.windings import Sheets, Winding
from calc.forms.coil.conductor import solid
from calc.forms.coil.single import Tube
from calc.forms.coil.thick import FlatSpiral
from calc.units import Array, InputError, Values

_DEEP = 6
"""Rings along and across a thick coil, for curves over angles."""
_NODES = 5
_UNKNOWN = 0.7
"""Wire over pitch where the wire is not known: for the places of things, not for the inductance."""
_KEPT = 8
"""Coils that are kept: an edit of one of the two leaves the other as it is."""
_STEEPEST = math.radians(80.0)
_COSINE, _SINE = (f(np.linspace(0.0, math.pi, 37)) for f in (np.cos, np.sin))
_TRIED = np.radians(np.arange(0.0, 91.0, 5.0))
_STRIDE = 3
"""Of the angles at which windings may touch, those that are looked at first: every so many."""
_EDGE = np.linspace(0.0, 1.0, 7)


@dataclass(frozen=True)
class One:
    """One of the two coils.

    Attributes:
        winding: as the physics has it.
        inner, outer: radii of its section [m].
        length: of its section along the axis [m].
        wound: its turns, for drawing; None where only the section is known.
    """

    winding: coils.Solenoid | coils.Multilayer | coils.Spiral
    inner: float
    outer: float
    length: float
    wound: Tube | FlatSpiral | None

    @property
    def size(self) -> float:
        """The greater of its radius and its length [m]."""
        return max(self.outer, self.length)

    @cached_property
    def rings(self) -> Sheets:
        """Rings that stand for it in curves."""
        return coils.as_rings(self.winding)

    @cached_property
    def edge(self) -> tuple[Array, Array]:
        """Points round its section: distance from its axis, and along it from its middle [m]."""
        radius = self.inner + (self.outer - self.inner) * _EDGE
        place = self.length * (_EDGE - 0.5)
        ends, sides = np.repeat([-0.5, 0.5], _EDGE.size) * self.length, np.repeat([self.inner, self.outer], _EDGE.size)
        return np.concatenate([radius, radius, sides]), np.concatenate([ends, place, place])


@dataclass(frozen=True)
class _Few:
    """A coil by few rings, where many would take too long."""

    inductance: float
    few: Sheets

    def sheets(self) -> Sheets:
        """Its rings."""
        return self.few


def one_coil(v: Mapping[str, Any], prefix: str) -> One:
    """The coil of the fields that begin with `prefix`.

    Raises:
        InputError: naming its field, for a coil that cannot be.
    """
    names = {"wire_diameter": "wire", "outer_diameter": "depth", "inner_diameter": "inner", "diameter": "former"}
    shape = v[f"{prefix}_shape"]
    turns, wire = v[f"{prefix}_turns"], v[f"{prefix}_wire"]
    try:
        if shape == "layers":
            return _thick(turns, wire, *(v[f"{prefix}_{name}"] for name in ("inner", "depth", "length")))
        pitch = v[f"{prefix}_pitch"]
        if wire is not None and pitch < wire:
            raise InputError("pitch", "must be at least the wire's diameter")
        if shape == "spiral":
            return _spiral(turns, wire, v[f"{prefix}_inner"], pitch)
        return _tube(turns, wire, v[f"{prefix}_former"], pitch)
    except InputError as error:
        name = names.get(error.argument, error.argument)
        raise InputError(f"{prefix}_{name}", error.reason) from None


@lru_cache(maxsize=_KEPT)
def _thick(turns: float, wire: float | None, inner: float, depth: float, length: float) -> One:
    outer = inner + 2.0 * depth
    return One(coils.Multilayer(turns, inner, outer, length, wire), 0.5 * inner, 0.5 * outer, length, None)


@lru_cache(maxsize=_KEPT)
def _tube(turns: float, wire: float | None, former: float, pitch: float) -> One:
    bare = solid(_UNKNOWN * pitch if wire is None else wire, "bare")
    if bare.bundle > former:
        raise InputError("former", "must be no less than the wire's diameter")
    wound = Tube(turns, bare, former, pitch)
    winding = coils.Solenoid(turns, wound.diameter, wound.length, wire)
    return One(winding, 0.5 * former, 0.5 * former + bare.bundle, wound.length, wound)


@lru_cache(maxsize=_KEPT)
def _spiral(turns: float, wire: float | None, hub: float, pitch: float) -> One:
    bare = solid(_UNKNOWN * pitch if wire is None else wire, "bare")
    wound = FlatSpiral(turns, bare, hub, pitch)
    if turns > wound.most_turns():
        raise InputError("turns", f"must be {wound.most_turns():.0f} at most in a spiral")
    if bare.bundle > hub:
        raise InputError("inner", "must be no less than the wire's diameter")
    winding = coils.Spiral(turns, hub, wound.outer_diameter, wire)
    return One(winding, 0.5 * hub, 0.5 * wound.outer_diameter, bare.bundle, wound)


@dataclass(frozen=True)
class Pair:
    """Two coils, the second some way along the first's axis and turned about its own middle."""

    first: One
    second: One

    @cached_property
    def scale(self) -> float:
        """Geometric mean of their inductances [H]."""
        return math.sqrt(self.first.winding.inductance * self.second.winding.inductance)

    @property
    def is_flat(self) -> bool:
        """Whether both are flat spirals."""
        return isinstance(self.first.winding, coils.Spiral) and isinstance(self.second.winding, coils.Spiral)

    @property
    def least_distance(self) -> float:
        """Nearest that their middles can come on one axis [m]: zero if one goes within the other."""
        one, other = self.first, self.second
        clear = one.outer <= other.inner or other.outer <= one.inner
        return 0.0 if clear else 0.5 * (one.length + other.length)

    def coaxial(self, distance: Values) -> Array:
        """Coefficient with their axes in line, for curves: a sum over rings [1]."""
        return np.asarray(coils.mutual_of_rings(self.first.rings, self.second.rings, distance)) / self.scale

    def mutual(self, distance: float, angle: float) -> float:
        """Mutual inductance [H] at a distance [m] and an angle [rad]."""
        if angle:
            turned = float(coils.turned_mutual(self.first.winding, self.second.winding, angle, distance))
            return turned if abs(turned) > 1e-9 * self.scale else 0.0
        if self.is_flat:
            return float(self.coaxial(distance)) * self.scale
        return float(coils.mutual_inductance(self.first.winding, self.second.winding, distance))

    def distance_for(self, coefficient: float) -> float | None:
        """Distance [m] with their axes in line that gives a coefficient; None if they do not reach it."""
        return _distance_for(self, coefficient)

    def clearance(self, distance: float, angle: float) -> float:
        """How near the windings come [m] at an angle [rad]; zero or less where they would cross."""
        nearest = math.inf
        for aside, along in self._beyond(distance, np.array([angle])):
            outside = np.sqrt(np.maximum(aside, 0.0) ** 2 + np.maximum(along, 0.0) ** 2)
            nearest = min(nearest, float((outside + np.minimum(np.maximum(aside, along), 0.0)).min()))
        return nearest

    def _beyond(self, distance: float, angle: Array) -> Iterator[tuple[Array, Array]]:
        """How far the points round each coil lie beyond the other's section [m], aside and along its axis.

        First the second coil's, then the first's, seen from the second as if that stood still and the first were turned
        about it. [angles, points, round].
        """
        sine, cosine = np.sin(angle)[:, None, None], np.cos(angle)[:, None, None]
        of_second = (self.second, self.first, 0.0, distance)
        of_first = (self.first, self.second, -distance * sine, -distance * cosine)
        for turned, still, aside, along in (of_second, of_first):
            radius, place = (part[:, None] for part in turned.edge)
            across = radius * _COSINE
            x = across * cosine + (place * sine + aside)
            z = (place * cosine + along) - across * sine
            away = np.sqrt(x**2 + (radius * _SINE) ** 2)
            yield np.maximum(still.inner - away, away - still.outer), np.abs(z) - 0.5 * still.length

    def _apart(self, distance: float, angle: Array) -> Array:
        """No more than how near the windings come [m] at each angle [rad], and like that zero where they touch."""
        aims = [np.maximum(aside, along).min(axis=(1, 2)) for aside, along in self._beyond(distance, angle)]
        return np.asarray(np.minimum(*aims))

    def free_angle(self, distance: float) -> float:
        """The greatest of some angles up to a right one before the windings touch [rad].

        Where they are some way apart they do not touch before the second coil's furthest point has moved so far: most
        angles need not be tried.
        """
        furthest = math.hypot(self.second.outer, 0.5 * self.second.length)
        clear = self._apart(distance, _TRIED[::_STRIDE]) / furthest
        left = (np.abs(_TRIED[:, None] - _TRIED[::_STRIDE]) >= clear).all(axis=1).nonzero()[0]
        touching = left[self._apart(distance, _TRIED[left]) <= 0.0] if left.size else left
        return float(_TRIED[max(0, touching[0] - 1)]) if touching.size else 0.5 * math.pi

    def coefficient_by_angle(self, distance: float, angle: Array) -> tuple[Array, float]:
        """Coefficient at angles [rad] up to a right one, and the greatest angle before the windings touch [rad].

        The coefficient of two coils, alike from both ends, is a sum of odd powers of the angle's cosine; it is worked
        out at few angles and these powers are fitted.
        """
        free = self.free_angle(distance)
        if free == 0.0:
            return np.zeros_like(angle), free
        node = min(free, _STEEPEST) * np.linspace(0.0, 1.0, _NODES)
        a, b = (_few(one) for one in (self.first, self.second))
        in_line = coils.mutual_of_rings(coils.as_rings(a), coils.as_rings(b), distance)
        value = np.append(in_line, coils.turned_mutual(a, b, node[1:], distance)) / self.scale
        powers = 2 * np.arange(_NODES) + 1
        weight = np.linalg.solve(np.cos(node)[:, None] ** powers, value)
        cosine = np.cos(angle)
        cosine = np.where(np.abs(cosine) < 1e-12, 0.0, cosine)
        return cosine[:, None] ** powers @ weight, free


@lru_cache(maxsize=4)  # it stays when the coils are moved or turned
def _distance_for(pair: Pair, coefficient: float) -> float | None:
    """As `Pair.distance_for`."""
    near, one, other = pair.least_distance, pair.first, pair.second
    try:
        if pair.is_flat:
            return float(coils.distances_where(pair.coaxial, np.array(coefficient), near, one.outer + other.outer))
        return float(coils.distance_for_coefficient(one.winding, other.winding, coefficient, near))
    except InputError as error:
        if error.argument != "coefficient":
            raise
        return None


def _few(one: One) -> Winding:
    """The coil by rings, few enough for a curve over angles."""
    if isinstance(one.winding, coils.Solenoid):
        return one.winding
    point, weight = gauss(_DEEP)
    radius = one.inner + (one.outer - one.inner) * point
    if isinstance(one.winding, coils.Spiral):
        rings = Sheets(one.winding.turns * weight, radius, np.zeros(_DEEP), np.zeros(_DEEP))
        return _Few(one.winding.inductance, rings)
    deep, deep_weight = gauss(3)
    radius = one.inner + (one.outer - one.inner) * deep
    place, turns = one.length * (point - 0.5), one.winding.turns * deep_weight[:, None] * weight
    spread = np.broadcast_to(radius[:, None], turns.shape).ravel()
    rings = Sheets(turns.ravel(), spread, np.zeros(spread.size), np.tile(place, 3))
    return _Few(one.winding.inductance, rings)
