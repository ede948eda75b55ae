"""Radio noise: the floor under which no aerial finds a station, by the medians of Rec. ITU-R P.372."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from calc import tables
from calc.units import Array, InputError, Values, plain, require_between, require_finite, require_positive

LOWEST_FREQUENCY = 0.3e6
HIGHEST_FREQUENCY = 250e6
"""Range of the medians of man-made noise [Hz]."""


@dataclass(frozen=True)
class Environment:
    """A kind of place, and the man-made noise in it: median Fa = c - d log10(f / 1 MHz).

    Attributes:
        key: short name.
        name: what it is called.
        c: median external noise factor at 1 MHz [dB over k T0 b].
        d: its fall per decade [dB].
        upper_decile, lower_decile: how far one time or place in ten lies above, below; None where not given
            [dB].
    """

    key: str
    name: str
    c: float
    d: float
    upper_decile: float | None
    lower_decile: float | None


@cache
def environments() -> dict[str, Environment]:
    """Kinds of place by short name: city, residential, rural, quiet-rural."""
    return {
        row["key"]: Environment(
            row["key"],
            row["name"],
            float(row["c"]),
            float(row["d"]),
            float(row["upper_decile"]) if row["upper_decile"] else None,
            float(row["lower_decile"]) if row["lower_decile"] else None,
        )
        for row in tables.read("radio_noise_p372")
    }


def man_made_noise_factor(environment: str, frequency: Values) -> float | Array:
    """Median external noise factor of man-made noise, Fa = c - d log10(f / 1 MHz).

    Args:
        environment: "city", "residential", "rural" or "quiet-rural".
        frequency: 0.3 to 250 MHz; scalar or array [Hz]. Long wave lies below the Recommendation's range.

    Returns:
        Noise power from a short lossless vertical over that of a resistor at 290 K, median of hours and
        places [dB].

    Raises:
        InputError: an unknown environment, or a frequency out of range.

    Accuracy: one place in ten lies 5 dB below or 10 dB above; the medians are from measurements of the
    1970s. Source: Rec. ITU-R P.372, man-made noise (constants seen in public code that cites P.372-17 and
    P.372-8).
    """
    if environment not in environments():
        raise InputError("environment", "must be one of " + ", ".join(environments()))
    hertz = require_between("frequency", frequency, LOWEST_FREQUENCY, HIGHEST_FREQUENCY, "Hz")
    row = environments()[environment]
    result: float | Array = plain(row.c - row.d * np.log10(hertz / 1e6))
    return result


def noise_field(noise_factor: Values, frequency: Values, bandwidth: Values) -> float | Array:
    """Field strength that noise of a given factor amounts to: E = Fa + 20 log f + 10 log b - 95.5 in dB over 1 uV/m.

    Args:
        noise_factor: Fa; scalar or array, broadcast [dB].
        frequency: f, in the formula in MHz [Hz].
        bandwidth: b, over which the receiver takes in noise [Hz].

    Returns:
        Field strength of the noise [V/m rms].

    Source: Rec. ITU-R P.372, for a short vertical over perfect ground (constant from memory; it follows from
        k T0 b and that aerial's radiation resistance to 0.05 dB).
    """
    factor = require_finite("noise_factor", noise_factor)
    megahertz = require_positive("frequency", frequency) / 1e6
    width = require_positive("bandwidth", bandwidth)
    level = factor + 20.0 * np.log10(megahertz) + 10.0 * np.log10(width) - 95.5
    result: float | Array = plain(1e-6 * 10.0 ** (level / 20.0))
    return result


def man_made_noise_field(environment: str, frequency: Values, bandwidth: Values = 9000.0) -> float | Array:
    """Median field strength of man-made noise: `man_made_noise_factor` put into `noise_field` [V/m rms].

    Atmospheric noise, from the lightning of half the world, is not in it: it lies in maps by season and
    hour, and on a summer night below 1 MHz it may exceed the noise of a quiet place by far.
    """
    return noise_field(man_made_noise_factor(environment, frequency), frequency, bandwidth)
