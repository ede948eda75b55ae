"""The wave that comes back from the ionosphere after dark."""

import numpy as np

from calc.units import Array, Values, plain, require_between, require_nonnegative, require_positive

_REFERENCE_FIELD = 0.1
"""Field at 1 km for which the formula is written [V/m]."""
_FIELD_OF_A_KILOWATT = 0.3
"""Field at 1 km of 1 kW e.m.r.p. over perfect ground [V/m]."""
_HIGHEST_LATITUDE = 60.0


def night_sky_wave(radiated_power: Values, distance: Values, geomagnetic_latitude: Values) -> float | Array:
    """Median field strength of the medium-wave sky wave six hours after sunset, passed half of the nights of a year.

    F = 97.5 - 20 log D - (2 pi + 4.95 tan^2 phi) sqrt(D / 1000) in dB over 1 uV/m for 100 mV/m at 1 km, with
    the slant distance D = sqrt(40000 + d^2), both in km. By day the same wave is absorbed low in the
    ionosphere and there is next to none; it comes in around sunset. Single nights, and single minutes, lie
    10 dB and more to either side, so it is a guide to when and how strongly far stations arrive, not a
    promise.

    Args:
        radiated_power: e.m.r.p., alike towards all angles of elevation; scalar or array, broadcast [W].
        distance: along the ground, up to 10 000 km [m].
        geomagnetic_latitude: of the middle of the path; beyond 60 degrees it is taken as 60, as the source
            does [degrees].

    Returns:
        Field strength [V/m rms].

    Raises:
        InputError: a value outside these bounds.

    Source: 47 CFR 73.190, formula 1 (seen). Made for 540 to 1700 kHz in North America, distances above some
    100 km; on long wave it does not apply.
    """
    power = require_nonnegative("radiated_power", radiated_power)
    latitude = np.minimum(
        np.abs(require_between("geomagnetic_latitude", geomagnetic_latitude, -90.0, 90.0, "deg")),
        _HIGHEST_LATITUDE,
    )
    kilometres = require_between("distance", require_positive("distance", distance), 0.0, 1e7, "m") / 1e3
    slant = np.sqrt(40_000.0 + kilometres**2)
    loss = 2.0 * np.pi + 4.95 * np.tan(np.radians(latitude)) ** 2
    level = 97.5 - 20.0 * np.log10(slant) - loss * np.sqrt(slant / 1e3)
    strength = np.sqrt(power / 1e3) * _FIELD_OF_A_KILOWATT / _REFERENCE_FIELD
    result: float | Array = plain(strength * 1e-6 * 10.0 ** (level / 20.0))
    return result
