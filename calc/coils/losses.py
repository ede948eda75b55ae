"""Resistance of coils of solid and of stranded wire at radio frequency."""

import math
from functools import cache

import numpy as np

from calc import tables, wire
from calc.coils.turns import LayeredCoil
from calc.constants import TWO_PI
from calc.interpolation import Curve
from calc.units import (
    Array,
    InputError,
    Values,
    plain,
    require_between,
    require_nonnegative,
    require_positive,
)

_EULER = 0.5772156649015329


def _shape_scale(length_over_diameter: Array) -> Array:
    """Maps a length over diameter from nought to infinity on nought to one: the endless coil becomes a table point."""
    return np.asarray(1.0 - 1.0 / (1.0 + length_over_diameter))


@cache
def _proximity_table() -> tuple[Array, Curve]:
    """Squares of wire over pitch, and for each of them a curve over the coil's shape."""
    rows = tables.read("medhurst_proximity")
    shapes = [key for key in rows[0] if key != "wire_over_pitch"]
    ratios = np.array([0.0] + [float(row["wire_over_pitch"]) for row in rows])
    values = np.array([[1.0] * len(shapes)] + [[float(row[key]) for key in shapes] for row in rows])
    return ratios**2, Curve(_shape_scale(np.array([float(key) for key in shapes])), values.T)


@cache
def _low_frequency_curve() -> Curve:
    rows = tables.read("low_frequency_proximity")
    shapes = np.array([float(row["length_over_diameter"]) for row in rows])
    return Curve(_shape_scale(shapes), np.array([float(row["factor"]) for row in rows]))


def _turns_at_least_one(turns: Values) -> Array:
    n = require_positive("turns", turns)
    if np.any(n < 1.0):
        raise InputError("turns", "must be one or more")
    return n


def proximity_factor(
    wire_over_pitch: Values, length_over_diameter: Values, turns: Values | None = None
) -> float | Array:
    """Resistance of a single-layer coil over that of its wire straightened, the wire thick against the skin depth.

    Args:
        wire_over_pitch: bare wire diameter over pitch [1], from 0 (alone) to 1 (touching).
        length_over_diameter: of the coil [1], zero or more.
        turns: [1], one or more; None for very many, which is what the table holds. For N turns the excess over one
            is 1 - 1/N of the table's.

    Returns:
        phi [1], at least one.

    Accuracy: the table rests on measured coils of 30 to 50 turns of solid wire; 3 % is its own scatter, and prints of
    it differ by up to 5 % in a few places. For an endless coil an exact calculation agrees with it within 0.5 % up to
    a wire of 0.7 pitches and within 2 % at 0.9; for a flat coil with nearly touching turns it gives far more than the
    table. Between the points the curve is smooth and adds no maxima of its own; below 0.1 the excess goes as the
    square of wire over pitch.
    Source: R. G. Medhurst, Wireless Engineer 24 (1947) 80-92; few turns: K. R. Minard and R. A. Wind, Concepts in
    Magnetic Resonance 13 (2001) 190, as quoted.
    """
    ratio = require_between("wire_over_pitch", wire_over_pitch, 0.0, 1.0 + 1e-9)
    shape = require_nonnegative("length_over_diameter", length_over_diameter)
    ratio, shape = np.broadcast_arrays(np.minimum(ratio, 1.0), shape)
    squares, by_shape = _proximity_table()
    at_shape = by_shape(_shape_scale(shape.ravel()))
    factor = Curve(squares, at_shape.T).each(ratio.ravel() ** 2).reshape(ratio.shape)
    if turns is not None:
        factor = 1.0 + (factor - 1.0) * (1.0 - 1.0 / _turns_at_least_one(turns))
    result: float | Array = plain(factor)
    return result


def low_frequency_proximity(length_over_diameter: Values, turns: Values) -> float | Array:
    """Loss by proximity of a single-layer coil whose wire is thin against the skin depth.

    The extra loss over the loss to steady current is this times (wire diameter/pitch)^2 times the transverse part of
    `wire.eddies`. It is the mean square of the field across the turns: that of the current sheet, less what the few
    turns at the ends lack, psi'(N + 1) + H_N/N (the exact difference for a flat row of wires).

    Args:
        length_over_diameter: of the coil [1], zero or more.
        turns: N [1], one or more.

    Accuracy: 2 % of the sum over rings from 30 turns on, 6 % from 10.
    Source: S. Butterworth (1926) for the method; the sheet's field computed here.
    """
    shape = require_nonnegative("length_over_diameter", length_over_diameter)
    n = _turns_at_least_one(turns)
    trigamma = 1.0 / n - 0.5 / n**2 + 1.0 / (6.0 * n**3) - 1.0 / (30.0 * n**5) + 1.0 / (42.0 * n**7)
    harmonic = np.log(n) + _EULER + 0.5 / n - 1.0 / (12.0 * n**2) + 1.0 / (120.0 * n**4)
    sheet = _low_frequency_curve()(_shape_scale(shape))
    result: float | Array = plain(np.maximum(sheet - trigamma - harmonic / n, 0.0))
    return result


def solenoid_wire_length(turns: Values, diameter: Values, length: Values) -> float | Array:
    """Length [m] of wire in a single-layer coil, a helix: sqrt((pi D N)^2 + l^2). Exact; leads are left out.

    Args:
        turns: [1].
        diameter: between wire centres [m].
        length: turns times pitch [m].
    """
    n, d = require_positive("turns", turns), require_positive("diameter", diameter)
    result: float | Array = plain(np.hypot(math.pi * d * n, require_nonnegative("length", length)))
    return result


def solenoid_resistance(
    turns: Values,
    diameter: Values,
    length: Values,
    wire_diameter: Values,
    frequency: Values,
    temperature: Values = 20.0,
) -> float | Array:
    """Series resistance [ohm] of a single-layer coil of solid wire at `frequency`, from skin and proximity effect.

    R = R_dc [h + e g]: h the exact skin effect of the lone wire, g the eddy loss of a wire in a field across it
    (`wire.eddies`), e what the other turns' field makes of it. Where the wire is thin against the skin depth e is
    `low_frequency_proximity` times (d/p)^2; where it is thick, Medhurst's phi - 1. Between, the turns' induced dipoles
    weaken or strengthen the field that each meets in proportion to their strength chi, `wire.eddies`' screening:
    e = e_low / |1 + s chi|^2, with s such that chi = 1 gives phi - 1.

    Args:
        turns: [1], one or more.
        diameter: between wire centres [m].
        length: turns times pitch [m].
        wire_diameter: bare [m], no more than the pitch.
        frequency: [Hz], zero allowed.
        temperature: of the copper [degC].

    Raises:
        InputError: a value out of range, or a wire thicker than the pitch.

    Accuracy: the frequency law is within 1 % of the exact field of a long row of wires up to d/p = 0.5, 4 % to 0.7 and
    7 % to 0.9; phi as `proximity_factor`. Expect 5 to 10 % in all. Simply phi times the straight wire's would give 10
    to 40 % more where the wire is only 3 to 8 skin depths thick, as it mostly is in these bands. Former, covering,
    varnish, leads and things near by are left out and raise it.
    Source: R. G. Medhurst (1947); S. Butterworth (1926); the law between is ours, checked by an exact multipole sum.
    """
    n, d = _turns_at_least_one(turns), require_positive("diameter", diameter)
    span, bare = require_positive("length", length), require_positive("wire_diameter", wire_diameter)
    ratio = bare * n / span
    if np.any(ratio > 1.0 + 1e-9):
        raise InputError("wire_diameter", "must be no more than the pitch, the length over the turns")
    steady = wire.dc_resistance(bare, solenoid_wire_length(n, d, span), temperature)
    low = np.asarray(low_frequency_proximity(span / d, n) * ratio**2)
    high = np.asarray(proximity_factor(np.minimum(ratio, 1.0), span / d, n) - 1.0)
    effect = wire.eddies(bare, frequency, temperature)
    meeting = np.abs(np.sqrt(high) * (1.0 - effect.screening) + np.sqrt(low) * effect.screening) ** 2
    none = low * high == 0.0
    proximity = np.where(none, 0.0, low * high / np.where(none, 1.0, meeting))
    result: float | Array = plain(steady * (effect.skin + proximity * effect.transverse))
    return result


def layered_resistance(coil: LayeredCoil, frequency: Values, temperature: Values = 20.0) -> float | Array:
    """Series resistance [ohm] of a coil of solid wire wound in layers: skin effect, and eddies in all turns' field.

    Args:
        coil: the turns.
        frequency: [Hz], zero allowed.
        temperature: of the copper [degC].

    Accuracy: 3 % while the wire is no more than two skin depths thick. Beyond that the turns shield one another, which
    is left out here: at 1 MHz this is up to half too much for a full bobbin, and less than half of the loss of a
    close-wound flat spiral. `calc.coils.shielding` counts it.
    Source: S. Butterworth (1926), with the field summed over rings.
    """
    bare = coil.wire_diameter
    steady = wire.dc_resistance(bare, coil.wire_length, temperature)
    effect = wire.eddies(bare, frequency, temperature)
    result: float | Array = plain(steady * (effect.skin + coil.field_factor * bare**2 * effect.transverse))
    return result


def litz_resistance(
    turns: Values,
    diameter: Values,
    length: Values,
    strands: Values,
    strand_diameter: Values,
    bundle_diameter: Values,
    frequency: Values,
    temperature: Values = 20.0,
    take_up: Values = 1.02,
) -> float | Array:
    """Series resistance [ohm] of a single-layer coil of stranded wire whose strands are insulated and change places.

    R = R_dc {h + [(1 - 1/n) n^2 (s/b)^2 + c n^2 (s/p)^2] g}, h and g of the single strand: n strands of bare diameter
    s in a bundle of diameter b; the first term is the field of the bundle itself, the second (c being
    `low_frequency_proximity`) that of the other turns at pitch p.

    Args:
        turns: [1], one or more.
        diameter: between wire centres [m].
        length: turns times pitch [m].
        strands: n [1], one or more.
        strand_diameter: bare, of one strand [m].
        bundle_diameter: over all strands without their outer covering [m], no more than the pitch.
        frequency: [Hz].
        temperature: of the copper [degC].
        take_up: length of a strand over that of the bundle [1]; 1.02, 1.04, 1.06 for one, two, three bunchings
            (IEC 60317-11).

    Raises:
        InputError: a value out of range, strands that do not fit the bundle, a bundle thicker than the pitch.

    Accuracy: 10 % for good wire with every strand soldered at both ends and strands thinner than a skin depth; a few
    broken or unsoldered strands undo it.
    Source: S. Butterworth (1926); F. E. Terman, Radio Engineers' Handbook (1943) 2.25 (from memory), whose constant
    runs from 1.55 for 3 strands to 2 for very many where this has 2 (1 - 1/n): 1.33 and 2.
    """
    n, d = _turns_at_least_one(turns), require_positive("diameter", diameter)
    span, count = require_positive("length", length), require_positive("strands", strands)
    strand, bundle = (
        require_positive("strand_diameter", strand_diameter),
        require_positive("bundle_diameter", bundle_diameter),
    )
    if np.any(count < 1.0):
        raise InputError("strands", "must be one or more")
    if np.any(count * strand**2 > bundle**2 * (1.0 + 1e-9)):
        raise InputError("bundle_diameter", "is too small: it holds less than the strands' own copper")
    if np.any(bundle * n > span * (1.0 + 1e-9)):
        raise InputError("bundle_diameter", "must be no more than the pitch, the length over the turns")
    run = require_between("take_up", take_up, 1.0, 1.5) * solenoid_wire_length(n, d, span)
    steady = wire.dc_resistance(strand, run, temperature) / count
    inside = (1.0 - 1.0 / count) * (count * strand / bundle) ** 2
    outside = low_frequency_proximity(span / d, n) * (count * strand * n / span) ** 2
    effect = wire.eddies(strand, frequency, temperature)
    result: float | Array = plain(steady * (effect.skin + (inside + outside) * effect.transverse))
    return result


def quality_factor(inductance: Values, resistance: Values, frequency: Values) -> float | Array:
    """Q [1] of an inductance [H] with a series resistance [ohm] at a frequency [Hz]: omega L / R."""
    omega = TWO_PI * require_nonnegative("frequency", frequency)
    result: float | Array = plain(
        omega * require_positive("inductance", inductance) / require_positive("resistance", resistance)
    )
    return result
