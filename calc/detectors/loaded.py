"""Detector and tank together: where a source of some impedance, a diode and a load line come to rest.

The tank offers an open voltage behind an impedance Z. The detector draws on it as its input resistance does, which
depends on what is left of the voltage and on what the load lets the d.c. rise to; so all three are solved at once, for
the bare carrier and at points all over the modulation cycle. To d.c. the load is one resistance, to the audio another:
while the modulation swings the output V about its mean V0, the current follows

    I = (V0 + E) / Rdc + (V - V0) / Ra

with E a bias cell's e.m.f. in series with the load. By-pass and tank are taken to follow the modulation without delay.
"""

import math
from typing import Any, NamedTuple

import numpy as np

from calc.detectors.diode import Diode
from calc.detectors.junction import Cycle
from calc.detectors.search import ComplexArray, Network, search
from calc.units import Array

_TINY = np.finfo(np.float64).tiny


class LoadLine(NamedTuple):
    """What hangs on the detector. Scalars or arrays that broadcast with [..., stations].

    Attributes:
        direct: conductance to d.c., zero for none [S].
        audio: conductance to the audio, above zero unless `direct` is the same [S].
        bias: e.m.f. in series with the load, positive where it helps the diode to conduct [V].
    """

    direct: Array
    audio: Array
    bias: Array


class Settled(NamedTuple):
    """Where detector and source come to rest; arrays of [..., stations, points].

    Attributes:
        peak_voltage: across tank and detector [V].
        output_voltage: behind the diode: on the load, less the bias [V].
        cycle: the averages of a carrier's cycle there.
    """

    peak_voltage: Array
    output_voltage: Array
    cycle: Cycle


def settle(diode: Diode, line: LoadLine, open_peak: Array, impedance: ComplexArray) -> Settled:
    """The operating points of sources on a detector: the bare carrier, and the points of its modulation cycle.

    Unknown are at each point the drive u and the output x, and for each source the mean x0 of the outputs over the
    cycle. They make the mean current meet the load line, the tank's voltage meet its source, and x0 be that mean.
    Newton's rule on all of them at once, ln u for u, comes to rest in two to seven steps, mostly within rounding.
    A row that has not in two hundred, as may be with hundreds of nVt on the detector, is left where it is.

    Args:
        diode: the diode; its values broadcast with [..., stations].
        line: its load.
        open_peak: of the source with the detector taken off: the carrier, then the points of the cycle, evenly
            weighted, [..., stations, 1 + points] [V].
        impedance: of the source, [..., stations] [ohm].
    """
    thermal, zero_bias = (np.asarray(v) for v in (diode.thermal_voltage, diode.zero_bias_resistance))
    direct, audio = zero_bias * np.asarray(line.direct), zero_bias * np.asarray(line.audio)
    bias = direct * np.asarray(line.bias) / thermal
    source, bulk = np.asarray(impedance) / zero_bias, np.asarray(diode.bulk)
    points = open_peak.shape[-1]
    shape = np.broadcast_shapes(open_peak.shape[:-1], source.shape, bias.shape, audio.shape, bulk.shape)

    count = math.prod(shape)

    def rows(values: Any) -> Any:
        return np.broadcast_to(values, shape).reshape(-1, 1) if values.ndim else np.full((count, 1), values)

    scale, direct, audio = rows(thermal), rows(direct), rows(audio)
    swing = np.arange(points) > 0
    found = search(
        Network(
            aim=np.log(np.maximum(np.broadcast_to(open_peak, (*shape, points)).reshape(-1, points), _TINY) / scale),
            source=rows(source),
            slope=np.where(swing, audio, direct),
            apart=(audio - direct) * swing,
            bias=rows(bias),
            bulk=rows(bulk),
        )
    )

    def shaped(values: Array) -> Array:
        return values.reshape(*shape, points)

    return Settled(
        shaped(scale * np.exp(found.log_drive)),
        shaped(scale * found.x),
        Cycle(*(shaped(part) for part in found.cycle)),
    )
