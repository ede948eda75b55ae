"""What every wire aerial over ground answers: capacitance, inductance, effective height, impedance.

All rest on the moment solution of `calc.aerials.moment`, with the ground a perfect mirror to the field of
the wire and its loss a lumped earth resistance in the lead. Trees, house walls and the set's own leads are
left out: each adds some capacitance and takes some height away.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np

from calc.aerials.moment import Mesh, Response, Wire
from calc.aerials.retardation import Array
from calc.aerials.series import SeriesAerial
from calc.constants import COPPER_RESISTIVITY, TWO_PI
from calc.units import Values, plain, require_between, require_nonnegative, require_positive
from calc.wire import resistance_ratio

_FOOT = 0.005
_MESHES = 12
_RESPONSES = 48
_FEW = 500
"""Up to so many frequencies a response is kept, so that all that is kept stays within some megabytes."""


def foot(height: float) -> float:
    """Height at which a lead ends over the earth terminal: 0.5 % of the aerial's height, 5 cm under 10 m.

    The last centimetres of a lead hold more charge a metre than any others, so this gap decides 1 % of a
    vertical's capacitance: drawn down to the ground itself a wire has 1 % more, and fed across its lowest
    25 cm, as wire codes do, as much less.
    """
    return _FOOT * height


@lru_cache(maxsize=_MESHES)
def _mesh(wires: tuple[Wire, ...], radius: float) -> Mesh:
    return Mesh(wires, radius)


@lru_cache(maxsize=_RESPONSES)
def _known_response(
    wires: tuple[Wire, ...], wire_diameter: float, conductor_resistivity: float, frequency: tuple[float, ...]
) -> tuple[Response, Array]:
    hertz = np.array(frequency)
    loss = _loss(wire_diameter, conductor_resistivity, hertz)
    response = _mesh(wires, wire_diameter / 2.0).response(hertz, loss)
    for values in (
        response.inductance,
        response.radiation_resistance,
        response.equivalent_length,
        response.effective_height,
        loss,
    ):
        values.setflags(write=False)
    return response, loss


def _loss(wire_diameter: float, conductor_resistivity: float, frequency: Array) -> Array:
    """Resistance per metre [ohm/m]: of copper, scaled to the frequency at which copper has the same ratio of radius to
    skin."""
    if conductor_resistivity == 0.0:
        return np.zeros_like(frequency)
    alike = frequency * (COPPER_RESISTIVITY / conductor_resistivity)
    area = np.pi * wire_diameter**2 / 4.0
    return np.asarray(conductor_resistivity / area * resistance_ratio(wire_diameter, alike))


class WireShape(ABC):
    """What every wire aerial answers, whatever its shape; subclasses are frozen dataclasses of a shape.

    Attributes:
        wire_diameter: of all wires [m].
        earth_resistance: between the earth terminal and distant ground, in series with the aerial [ohm].
        conductor_resistivity: of the wire's metal, 0 for a perfect conductor; copper has
            `constants.COPPER_RESISTIVITY` [ohm m].
    """

    wire_diameter: float
    earth_resistance: float
    conductor_resistivity: float

    @property
    @abstractmethod
    def wires(self) -> tuple[Wire, ...]:
        """End points of the straight wires (x, y, z), z the height over ground [m]."""

    def _check(self) -> None:
        require_between("wire_diameter", self.wire_diameter, 1e-5, 0.1, "m")
        require_nonnegative("earth_resistance", self.earth_resistance)
        require_between("conductor_resistivity", self.conductor_resistivity, 0.0, 1e-5, "ohm m")

    @property
    def mesh(self) -> Mesh:
        """The wires cut up for the moment solution; equal wires share one."""
        return _mesh(self.wires, self.wire_diameter / 2.0)

    @property
    def wire_length(self) -> float:
        """All wire together [m]."""
        return self.mesh.total_length

    @property
    def capacitance(self) -> float:
        """Capacitance to ground well below resonance [F]."""
        return self.mesh.capacitance

    @property
    def effective_height(self) -> float:
        """Open-circuit voltage over field strength, well below resonance: the mean height of the charge [m]."""
        return self.mesh.mean_height

    @property
    def inductance(self) -> float:
        """Series inductance well below resonance [H]."""
        return self.mesh.inductance

    def series(self, frequency: Values) -> SeriesAerial:
        """Resistance, inductance and capacitance in series that have the aerial's impedance at each frequency.

        The capacitance is the low-frequency one and the inductance takes the rest of the reactance; above
        the first antiresonance, where that would need a negative inductance, there is only a capacitance.

        Args:
            frequency: scalar or array, above zero, up to about five quarter-wave resonances [Hz].

        Returns:
            A `SeriesAerial` with elements of the frequency's shape.

        Raises:
            InputError: the frequency is not above zero, or too high for the amount of wire.
        """
        hertz = require_positive("frequency", frequency)
        flat = np.atleast_1d(hertz).ravel()
        answer, loss = self._response(flat)
        metal = loss * answer.equivalent_length
        resistance = self.earth_resistance + answer.radiation_resistance + metal
        # above the first antiresonance the reactance is that of less capacitance, not of more inductance
        elastance = 1.0 / self.capacitance - np.minimum(answer.inductance, 0.0) * (TWO_PI * flat) ** 2
        shape = hertz.shape
        return SeriesAerial(
            resistance=plain(resistance.reshape(shape)),
            inductance=plain(np.maximum(answer.inductance, 0.0).reshape(shape)),
            capacitance=plain((1.0 / elastance).reshape(shape)),
        )

    def impedance(self, frequency: Values) -> Any:
        """Impedance between aerial and earth terminals; arguments and errors as for `series` [ohm]."""
        return self.series(frequency).impedance(frequency)

    def radiation_resistance(self, frequency: Values) -> Any:
        """The part of the resistance that stands for radiation; arguments and errors as for `series` [ohm]."""
        return self._each(frequency, lambda answer, _: answer.radiation_resistance)

    def wire_resistance(self, frequency: Values) -> Any:
        """The part of the resistance that the wire's metal adds; arguments and errors as for `series` [ohm]."""
        return self._each(frequency, lambda answer, loss: loss * answer.equivalent_length)

    def effective_height_at(self, frequency: Values) -> Any:
        """Effective height near and past resonance, where the current no longer has its low-frequency shape [m]."""
        return self._each(frequency, lambda answer, _: answer.effective_height)

    def _each(self, frequency: Values, figure: Callable[[Response, Array], Array]) -> Any:
        hertz = require_positive("frequency", frequency)
        return plain(figure(*self._response(np.atleast_1d(hertz).ravel())).reshape(hertz.shape).copy())

    def _response(self, frequency: Array) -> tuple[Response, Array]:
        """What the mesh answers at frequencies, [n], and the wire's loss there [ohm/m]."""
        if len(frequency) > _FEW:
            loss = _loss(self.wire_diameter, self.conductor_resistivity, frequency)
            return self.mesh.response(frequency, loss), loss
        return _known_response(self.wires, self.wire_diameter, self.conductor_resistivity, tuple(frequency.tolist()))
