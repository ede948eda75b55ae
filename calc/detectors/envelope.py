"""The highest notes: what tank and by-pass leave of a modulation that is too quick for them.

A note at W beside the carrier is two sidebands. The tank answers them less than the carrier, and not alike off tune;
the detector loads them by what its currents do when the envelope or the output changes a little; the by-pass lets the
output lag. All of it together is one set of linear equations about the bare carrier's operating point. With a the
complex envelope (a+, a- its sidebands), p = a+ + conj a- the swing of its length and v that of the output,

    a+ = e+ - Z+ i+     a- = e- - Z- i-     v Y = dI/dA p + dI/dV v

where the current i is in phase with the carrier's for changes of length, and turns with it for changes of phase.
"""

from typing import NamedTuple

import numpy as np

from calc.detectors.diode import Diode
from calc.detectors.loaded import Settled
from calc.detectors.search import ComplexArray
from calc.units import Array


class Sidebands(NamedTuple):
    """A source at the two sidebands of a note; arrays shaped as the source's own [..., stations].

    Attributes:
        upper_ratio: open voltage at the upper sideband over that at the carrier, complex [-].
        upper_impedance: of the source there [ohm].
        lower_ratio, lower_impedance: at the lower sideband.
    """

    upper_ratio: ComplexArray
    upper_impedance: ComplexArray
    lower_ratio: ComplexArray
    lower_impedance: ComplexArray

    @classmethod
    def like_carrier(cls, impedance: ComplexArray) -> "Sidebands":
        """Of a source that answers its sidebands as it does the carrier."""
        one = np.ones((), dtype=np.complex128)
        return cls(one, impedance, one, impedance)


class Slopes(NamedTuple):
    """What a detector's currents do about an operating point [S], with the carrier's own conductance.

    Attributes:
        flow_by_peak, flow_by_output: of the mean current, by the tank's peak voltage and by the output voltage.
        carrier_by_peak, carrier_by_output: of the amplitude of the current at the carrier.
        conductance: that amplitude over the tank's peak voltage.
    """

    flow_by_peak: Array
    flow_by_output: Array
    carrier_by_peak: Array
    carrier_by_output: Array
    conductance: Array


def slopes(diode: Diode, settled: Settled) -> Slopes:
    """The slopes at the bare carriers of settled sources, [..., stations]."""
    peak = settled.peak_voltage[..., 0]
    cycle = [np.asarray(part)[..., 0] for part in settled.cycle]
    level, level_by_drive, level_by_output, uptake, uptake_by_drive, uptake_by_output = cycle
    thermal = np.asarray(diode.thermal_voltage)
    forward = np.asarray(diode.saturation_current) * np.exp(level)
    conductance = np.exp(uptake) / np.asarray(diode.zero_bias_resistance)
    return Slopes(
        forward * level_by_drive / peak,
        forward * level_by_output / thermal,
        conductance * (1.0 + uptake_by_drive),
        conductance * peak * uptake_by_output / thermal,
        conductance,
    )


def output_resistance(at: Slopes, impedance: ComplexArray) -> Array:
    """Of the detector's output to slow audio: the fall of the output per ampere drawn from it, the tank giving way too
    [ohm].

    Args:
        at: the detector's slopes.
        impedance: of the source at the carrier [ohm].
    """
    pull = impedance * at.conductance
    give = np.real(impedance / (1.0 + pull))
    stiff = 1.0 + give * (at.carrier_by_peak - at.conductance)
    swing = -give * at.carrier_by_output / stiff
    return np.asarray(-1.0 / (at.flow_by_output + at.flow_by_peak * swing))


def output_swing(at: Slopes, peak: Array, impedance: ComplexArray, bands: Sidebands, admittance: Array) -> ComplexArray:
    """Swing of the output at a note's frequency, per depth of modulation, for shallow modulation.

    Args:
        at: the detector's slopes at the bare carrier.
        peak: of the carrier across tank and detector [V].
        impedance: of the source at the carrier [ohm].
        bands: the source at the sidebands.
        admittance: of all that hangs on the detector at the note's frequency [S].

    Returns:
        Complex amplitude of the output [V], its phase against the modulation's.
    """
    carrier = 0.5 * peak * (1.0 + impedance * at.conductance)
    upper, lower = bands.upper_ratio * carrier, np.conj(bands.lower_ratio * carrier)
    follow = at.flow_by_peak / (admittance - at.flow_by_output)
    along = at.carrier_by_peak + at.carrier_by_output * follow
    same, crossed = 0.5 * (along + at.conductance), 0.5 * (along - at.conductance)
    above, below = bands.upper_impedance, np.conj(bands.lower_impedance)
    # a+ (1 + Z+ same) + conj(a-) Z+ crossed = e+, and its twin; solved by Cramer's rule for a+ + conj(a-)
    twin = (1.0 + above * same) * (1.0 + below * same) - above * below * crossed**2
    length = upper * (1.0 + below * (same - crossed)) + lower * (1.0 + above * (same - crossed))
    return np.asarray(follow * length / twin)


def note_response(
    diode: Diode, settled: Settled, impedance: ComplexArray, bands: Sidebands, audio: Array, admittance: Array
) -> Array:
    """A note's output over that of a slow note on the load line, for shallow modulation [-].

    Args:
        diode, settled, impedance: detector and source at the bare carriers.
        bands: the source at the note's sidebands.
        audio: conductance of the load line to the audio [S].
        admittance: of all that hangs on the detector at the note's frequency [S].
    """
    at, peak = slopes(diode, settled), settled.peak_voltage[..., 0]
    slow = output_swing(at, peak, impedance, Sidebands.like_carrier(impedance), audio)
    return np.abs(output_swing(at, peak, impedance, bands, admittance)) / np.abs(slow)
