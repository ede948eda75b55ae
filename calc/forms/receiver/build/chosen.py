"""A set and its district as chosen in the form."""

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from calc import bands, detectors, ground_wave, tuning_capacitor
from calc.audio_load import AudioLoad
from calc.coupling import Aerial, Tank
from calc.forms.parts import capacitor_range
from calc.forms.receiver.build.aerial import WholeAerial, aerial_of
from calc.forms.receiver.build.ears import Phones, diode_of, load_of, phones_of, room_noise_of, transformer_of
from calc.forms.receiver.build.link import detector_tap_of, link_of
from calc.forms.receiver.build.winding import Winding, coil_resistance, smooth_resistance, winding_of
from calc.forms.receiver.district import district_stations
from calc.receiver import Receiver, Station
from calc.tuning_capacitor import TableLaw
from calc.units import Array, InputError, Values

_UNTUNED = 1e-10
"""Stands for the tank's capacitance, which tuning sets [F]."""


@dataclass(frozen=True)
class ChosenSet:
    """The set.

    Attributes:
        values: of the form's fields.
    """

    values: dict[str, Any]

    @cached_property
    def stations(self) -> list[Station]:
        """The district's stations, fields worked out where they were not given."""
        v = self.values
        return district_stations(v["stations"], ground_wave.grounds()[v["ground"]], v["modulation"])

    @cached_property
    def names(self) -> list[str]:
        """Of the stations."""
        return [station.name for station in self.stations]

    @cached_property
    def frequencies(self) -> Array:
        """Carrier frequencies [Hz], [stations]."""
        return np.array([station.frequency for station in self.stations])

    @property
    def middle(self) -> float:
        """Between the lowest and the highest station [Hz]."""
        return float(np.sqrt(self.frequencies.min() * self.frequencies.max()))

    @cached_property
    def wanted(self) -> list[int]:
        """Places of the wanted stations in the list, all where none is named."""
        text = self.values["wanted"]
        if not text:
            return list(range(len(self.names)))
        known = {name.casefold(): index for index, name in enumerate(self.names)}
        pieces, found = text.split(","), set()
        while pieces:
            # a name may have commas of its own: the longest that is known counts
            for count in range(len(pieces), 0, -1):
                asked = ",".join(pieces[:count]).strip().casefold()
                if asked in known:
                    found.add(known[asked])
                    break
            else:
                count = 1
                if pieces[0].strip():
                    raise InputError("wanted", f"names no station of the district: {pieces[0].strip()[:60]}")
            del pieces[:count]
        return sorted(found) or list(range(len(self.names)))

    @cached_property
    def aerial(self) -> WholeAerial:
        """The aerial with its lead."""
        return aerial_of(self.values)

    @cached_property
    def curve_aerial(self) -> Aerial:
        """The aerial for curves: smooth over all that dial and district reach."""
        return self.aerial.over(*self._reach)

    @cached_property
    def _reach(self) -> tuple[float, float]:
        """Frequencies between which anything is asked of aerial and coil [Hz]: in steps of a quarter octave, so that
        tables over them are seldom made anew."""
        inductance, (least, most) = self.winding.inductance, self.capacitor
        lowest, highest = (
            float(bands.resonant_frequency(inductance, own + self.strays)) for own in (most, max(least, 1e-12))
        )
        low = min(0.1 * lowest, 0.3 * float(self.frequencies.min()))
        high = max(3.0 * highest, 2.0 * float(self.frequencies.max()))
        return 2.0 ** (math.floor(4.0 * math.log2(low)) / 4.0), 2.0 ** (math.ceil(4.0 * math.log2(high)) / 4.0)

    @cached_property
    def winding(self) -> Winding:
        """The tank coil."""
        return winding_of(self.values)

    @cached_property
    def capacitor(self) -> tuple[float, float]:
        """Least and most capacitance of the variable capacitor [F]."""
        if self._measured_law is not None:
            return self._measured_law.least, self._measured_law.greatest
        return self._listed_range

    @property
    def _listed_range(self) -> tuple[float, float]:
        v = self.values
        return capacitor_range(v["capacitor"], v["capacitor_least"], v["capacitor_most"])

    @cached_property
    def _measured_law(self) -> TableLaw | None:
        """The capacitor's law as it was measured; None for one of the list."""
        rows = self.values["law_table"]
        if rows is None:
            return None
        return _law_of(*self._listed_range, tuple((row["dial"] / 100.0, row["capacitance"]) for row in rows))

    @cached_property
    def strays(self) -> float:
        """What stands across the variable capacitor besides the aerial: wiring, detector, coil [F]."""
        own = float(np.asarray(self.diode.junction_capacitance))
        return float(self.values["strays"]) + self.winding.self_capacitance + own

    @property
    def turned_in(self) -> float:
        """What the variable capacitor has where the dial of the form stands [F]."""
        return self.capacitance_at(self.values["dial"])

    def capacitance_at(self, dial: float) -> float:
        """What the variable capacitor has at a place on the dial, 0 to 100 [F]."""
        return float(self.capacitances_at(np.asarray(dial)))

    def capacitances_at(self, dials: Array) -> Array:
        """The same at many places, of any shape."""
        if self._measured_law is not None:
            return np.asarray(self._measured_law.capacitance(dials / 100.0))
        return np.asarray(bands.capacitance_at(dials / 100.0, *self.capacitor, self.values["law"]))

    def dial_position(self, capacitance: Any) -> Any:
        """Place on the dial, 0 to 100, of the variable capacitor at some capacitance within its range [F]."""
        if self._measured_law is not None:
            return 100.0 * np.asarray(self._measured_law.rotation(capacitance))
        return 100.0 * bands.dial_position(capacitance, *self.capacitor, self.values["law"])

    @cached_property
    def diode(self) -> detectors.Diode:
        """The detector."""
        return diode_of(self.values)

    @cached_property
    def phones(self) -> Phones:
        """The earphones."""
        return phones_of(self.values)

    @cached_property
    def room_noise(self) -> float:
        """Noise of the room in the octave about 1 kHz [dB SPL]."""
        return room_noise_of(self.values)

    @cached_property
    def load(self) -> AudioLoad:
        """The detector's load."""
        return load_of(self.values, self.phones, transformer_of(self.values))

    @cached_property
    def _whatever_the_tuning(self) -> dict[str, Any]:
        """The parts of a set that are the same with every link, wherever it is tuned."""
        return {
            "effective_height": self.aerial.effective_height,
            "diode": self.diode,
            "earphone": self.phones.earphone,
            "room_noise": self.room_noise,
            "load": self.load,
            "detector_tap": detector_tap_of(self.values, self.winding),
        }

    def receiver(self, kind: str | None = None, at: Array | float | None = None) -> Receiver:
        """The set with the link that was chosen or another.

        Args:
            kind: of the link; None for the one that was chosen.
            at: frequencies to which it is tuned [Hz]; None for those of the stations. The coils' losses are those
                there: of [tunings] in columns [tunings, 1], of a single number numbers.
        """
        tunings = np.asarray(self.frequencies if at is None else at, dtype=np.float64)
        columns = tunings[:, None] if tunings.ndim else tunings
        return self._set(kind, columns, coil_resistance(self.winding, tunings), self.aerial.terminals)

    def turned_to(self, frequency: Array | float) -> Receiver:
        """The set as the dial is turned, with its losses at a frequency or at many [Hz]: aerial and coil's loss from
        tables that are smooth between a few frequencies."""
        loss = smooth_resistance(self.winding, *self._reach, frequency)
        return self._set(None, frequency, loss, self.curve_aerial)

    def _set(self, kind: str | None, tunings: Values, loss: Any, aerial: Aerial) -> Receiver:
        link = link_of(kind or self.values["link"], self.values, self.winding, self.frequencies, tunings, loss)
        tank = Tank(self.winding.inductance, loss, _UNTUNED)
        return Receiver(aerial=aerial, link=link, tank=tank, **self._whatever_the_tuning)


@lru_cache(maxsize=8)
def _law_of(least: float, most: float, readings: tuple[tuple[float, float], ...]) -> TableLaw:
    try:
        found = tuning_capacitor.law("table", least, most, readings)
    except InputError as error:
        raise InputError("law_table", f"The table {error.reason}.") from None
    assert isinstance(found, TableLaw), "the law of readings is a table"
    return found
