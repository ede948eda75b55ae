"""The sensitivity of an earphone by ear: against a known one at equal loudness, or at the threshold of hearing.

What an earphone is given is its voltage squared over its impedance, the latter taken as a resistance as in
`calc.earphones`. Levels are those of a tone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calc import earphones
from calc.fitting.estimate import Estimate, fit_linear
from calc.fitting.measured import Measured, propagate
from calc.units import Array, InputError, Values, plain, require_finite, require_nonnegative, require_positive

ONE_EAR = 3.0
"""By how much a tone must be stronger for one ear alone than for two that are alike [dB]. W. A. Shaw, E. B. Newman and
I. J. Hirsh, Journal of Experimental Psychology 37 (1947) 229: about 3 dB (abstract seen)."""

_MOST_FREEDOM = 100
"""Degrees of freedom at which counting stops: Student's factor is then 1 % above the normal law's, on the safe side."""

_DETECTED = -4.0
"""Level of a tone just heard over that of the noise in its critical band [dB]."""


def electrical_power(voltage: Values, impedance: Values) -> Array | float:
    """Power into an earphone, V**2 / Z [W].

    Args:
        voltage: r.m.s., across it, any shape [V].
        impedance: at the tone's frequency, taken as a resistance, any shape [ohm].

    Raises:
        InputError: a value not above zero.
    """
    return plain(require_positive("voltage", voltage) ** 2 / require_positive("impedance", impedance))


def attenuated(voltage: Values, attenuation: Values) -> Array | float:
    """Voltage behind an attenuator, V 10**(-A/20) [V].

    Args:
        voltage: before it, any shape [V].
        attenuation: A, any shape [dB].

    Raises:
        InputError: voltage not above zero, or attenuation not finite.
    """
    return plain(require_positive("voltage", voltage) * 10.0 ** (-require_finite("attenuation", attenuation) / 20.0))


def sensitivity(level: Values, power: Values) -> Array | float:
    """Level for one milliwatt of an earphone that makes a level of a power: L - 10 log10(P / 1 mW) [dB SPL].

    Args:
        level: what it makes, any shape [dB SPL].
        power: of that power, any shape [W].

    Raises:
        InputError: level not finite, or power not above zero.
    """
    watts = require_positive("power", power)
    return plain(require_finite("level", level) - 10.0 * np.log10(watts / earphones.REFERENCE_POWER))


def critical_bandwidth(frequency: Values) -> Array | float:
    """Width of the band in which noise hides a tone: 25 Hz + 75 Hz (1 + 1.4 (f / 1 kHz)**2)**0.69.

    Args:
        frequency: any shape [Hz].

    Returns:
        Bandwidth [Hz].

    Raises:
        InputError: frequency not above zero.

    Accuracy: a tenth from 100 Hz to 10 kHz. Source: E. Zwicker and E. Terhardt, JASA 68 (1980) 1523 (from memory).
    """
    kilohertz = require_positive("frequency", frequency) / 1000.0
    return plain(25.0 + 75.0 * (1.0 + 1.4 * kilohertz**2) ** 0.69)


def masked_threshold(frequency: Values, octave_noise: Values, hearing_loss: Values = 0.0) -> Array | float:
    """Level of a tone that is just heard in a steady noise [dB SPL].

    The noise in the tone's critical band hides it until it comes within 4 dB of that noise; both thresholds add as
    powers. At 1 kHz noise alone puts it 10 dB below the level of the octave.

    Args:
        frequency: of the tone, 20 Hz to 12.5 kHz, any shape [Hz].
        octave_noise: level of the noise, as it reaches the ear, in the octave about the tone, any shape [dB SPL].
        hearing_loss: of the listener in quiet, against young ears, any shape [dB].

    Raises:
        InputError: frequency outside the table of thresholds, or another value not finite.

    Accuracy: 2 dB for steady noise. Source: critical ratios of J. E. Hawkins and S. S. Stevens, JASA 22 (1950) 6: 18 dB
    at 1 kHz (from memory).
    """
    quiet, hidden = _two_thresholds(frequency, octave_noise, hearing_loss)
    return plain(10.0 * np.log10(quiet + hidden))


def noise_share(frequency: Values, octave_noise: Values, hearing_loss: Values = 0.0) -> Array | float:
    """Rise of the `masked_threshold` for each decibel of noise, 0 in quiet and 1 in much noise; the rest is the
    listener's own [-]. Args as there."""
    quiet, hidden = _two_thresholds(frequency, octave_noise, hearing_loss)
    return plain(hidden / (quiet + hidden))


def _two_thresholds(frequency: Values, octave_noise: Values, hearing_loss: Values) -> tuple[Array, Array]:
    """Threshold in quiet and in noise alone, as powers over that of 0 dB."""
    quiet = np.asarray(earphones.threshold(frequency)) + require_finite("hearing_loss", hearing_loss)
    octave = np.asarray(frequency, dtype=np.float64) * (np.sqrt(2.0) - np.sqrt(0.5))
    share = 10.0 * np.log10(critical_bandwidth(frequency) / octave)
    hidden = require_finite("octave_noise", octave_noise) + share + _DETECTED
    return 10.0 ** (quiet / 10.0), 10.0 ** (hidden / 10.0)


@dataclass(frozen=True)
class Part:
    """A part of an uncertainty.

    Attributes:
        name: what it comes of.
        uncertainty: by how much it moves the result, standard [dB]; None where nothing tells.
    """

    name: str
    uncertainty: float | None


@dataclass(frozen=True)
class EarphoneFit:
    """What trials by ear tell of an earphone.

    Attributes:
        estimate: the mean of the trials; its readings are the sensitivities by each [dB SPL for 1 mW].
        sensitivity: with all that makes it unsure [dB SPL for 1 mW].
        powers: into the earphone at each trial [W].
        parts: of its uncertainty, the trials' own first.
    """

    estimate: Estimate
    sensitivity: Measured
    powers: Array
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Known:
    """An earphone of known sensitivity.

    Attributes:
        sensitivity: level for 1 mW [dB SPL].
        impedance: [ohm].
        uncertainty: of its sensitivity, standard [dB].
    """

    sensitivity: float
    impedance: float
    uncertainty: float


def by_comparison(
    known_voltage: npt.ArrayLike,
    voltage: npt.ArrayLike,
    known: Known,
    impedance: float,
    balance: float | None,
    impedance_uncertainty: float = 0.0,
    voltage_uncertainty: float = 0.0,
    seating: float = 0.0,
) -> EarphoneFit:
    """Sensitivity of an earphone from voltages at which it is as loud as a known one.

    Args:
        known_voltage, voltage: across the known earphone and the other at each balance [n] [V].
        known: the known earphone.
        impedance: of the other [ohm].
        balance: of one balance by ear, standard [dB]; None to have the scatter of two or more tell.
        impedance_uncertainty: of either impedance, standard, over it [-].
        voltage_uncertainty: of each voltage, standard, over it, in all balances alike [-].
        seating: of the difference in how the two sit on the ear, standard [dB].

    Raises:
        InputError: a value is out of its range.

    Accuracy: as far as a tone of one frequency speaks for an earphone.
    """
    given = np.asarray(electrical_power(np.atleast_1d(known_voltage), known.impedance))
    taken = np.asarray(electrical_power(np.atleast_1d(voltage), impedance))
    if given.shape != taken.shape:
        raise InputError("voltage", "must be as many as those of the known earphone")
    trials = np.asarray(sensitivity(known.sensitivity + 10.0 * np.log10(given / earphones.REFERENCE_POWER), taken))
    shared = (
        Part("the known earphone", known.uncertainty),
        Part("both impedances", math.sqrt(2.0) * _decibels(impedance_uncertainty, 10.0)),
        Part("both voltages", math.sqrt(2.0) * _decibels(voltage_uncertainty, 20.0)),
        Part("how they sit on the ear", seating),
    )
    return _fit(trials, taken, "balances by ear", balance, shared)


def by_threshold(
    voltage: npt.ArrayLike,
    impedance: float,
    level: float,
    setting: float | None,
    level_parts: Sequence[Part],
    impedance_uncertainty: float = 0.0,
    voltage_uncertainty: float = 0.0,
) -> EarphoneFit:
    """Sensitivity of an earphone from voltages at which a tone is just heard.

    Args:
        voltage: across it at each trial [n] [V].
        impedance: [ohm].
        level: that is then heard, as by `masked_threshold` [dB SPL].
        setting: of one trial, standard [dB]; None to have the scatter of two or more tell.
        level_parts: of the level's uncertainty: the listener's hearing, the room's noise and so on.
        impedance_uncertainty: standard, over it [-].
        voltage_uncertainty: standard, over it, in all trials alike [-].

    Raises:
        InputError: a value is out of its range.
    """
    taken = np.asarray(electrical_power(np.atleast_1d(voltage), impedance))
    trials = np.asarray(sensitivity(level, taken))
    shared = (
        *level_parts,
        Part("impedance", _decibels(impedance_uncertainty, 10.0)),
        Part("voltage", _decibels(voltage_uncertainty, 20.0)),
    )
    return _fit(trials, taken, "trials", setting, shared)


def _decibels(share: float, factor: float) -> float:
    """Decibels of a small relative uncertainty."""
    return factor / math.log(10.0) * float(require_nonnegative("uncertainty", share))


def _fit(trials: Array, powers: Array, name: str, each: float | None, shared: Sequence[Part]) -> EarphoneFit:
    """The mean of trials, with what they have in common."""
    for part in shared:
        require_nonnegative("uncertainty", 0.0 if part.uncertainty is None else part.uncertainty)
    estimate = fit_linear(np.ones((trials.size, 1)), trials, each, names=("sensitivity",))
    mean = estimate["sensitivity"]
    inputs = [mean, *(Measured(0.0, part.uncertainty) for part in shared)]
    whole = propagate(lambda values: np.sum(values), inputs)
    if whole.degrees_of_freedom is not None:
        whole = whole._replace(degrees_of_freedom=min(whole.degrees_of_freedom, _MOST_FREEDOM))
    return EarphoneFit(estimate, whole, powers, (Part(name, mean.uncertainty), *shared))
