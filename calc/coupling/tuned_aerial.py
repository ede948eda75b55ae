"""An aerial that is tuned by itself: a capacitor or coil in series with its winding makes the whole loop resonate."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.constants import TWO_PI
from calc.coupling.coil import Tank, values
from calc.coupling.feeds import Feed, Source
from calc.coupling.lead import LoadingCoil
from calc.coupling.links import Aerial, Inductive, Link
from calc.units import Array, Values, require_positive

_SHORT = 1.0
"""Stands for a capacitor that is not there: a farad, which no carrier notices [F]."""


_NO_COIL = LoadingCoil(0.0, 0.0)


@dataclass(frozen=True)
class TunedAerial(Link):
    """A winding in the aerial lead with whatever makes aerial and winding resonate: where the two together are
    inductive a capacitor, where they are capacitive a loading coil.

    Attributes:
        winding: coupled to the tank; a capacitance of its own is not used.
        quality: Q of the loading coil, where one is wanted. Scalar or array [-].
        coil: the loading coil, as tuned.
    """

    winding: Inductive
    quality: Values = 150.0
    coil: LoadingCoil = _NO_COIL

    def __post_init__(self) -> None:
        require_positive("quality", self.quality)

    def tuned(self, frequency: Values, aerial: Aerial) -> tuple[Link, Any]:
        """The winding with the capacitor or the coil that cancels the loop's reactance; some aerials and frequencies
        may want the one, others the other."""
        angular = TWO_PI * require_positive("frequency", frequency)
        reactance = np.imag(aerial.impedance(frequency)) + angular * values(self.winding.inductance)
        capacitive = 1.0 / (angular * np.where(reactance > 0.0, reactance, 1.0))
        winding = replace(self.winding, capacitance=np.where(reactance > 0.0, capacitive, _SHORT))
        lacking = np.maximum(-reactance, 0.0)
        return replace(self, winding=winding, coil=LoadingCoil(lacking / angular, lacking / values(self.quality))), True

    def feed(self, angular_frequency: Array, source: Source, tank: Tank) -> Feed:
        """The coil lengthens the aerial; the rest is the winding's."""
        return self.winding.feed(angular_frequency, self.coil.after(angular_frequency, source), tank)
