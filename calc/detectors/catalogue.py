"""Diodes and crystals that detect, as they are found in drawers."""

from dataclasses import dataclass, replace
from functools import cache

from calc import tables
from calc.detectors.diode import Diode, warmed


@dataclass(frozen=True)
class Preset:
    """A diode of the table, and how far to trust it.

    Attributes:
        diode: its junction at the temperature for which the figures are printed.
        kind: what it is made of.
        series_resistance: of the bulk [ohm].
        junction_capacitance: at no bias; belongs to the tank's strays [F].
        saturation_current_range: within which specimens lie [A].
        band_gap: EG of the law for temperature [eV]; None where it is not known.
        exponent: XTI of that law; None where it is not known.
        assumed: True where no source gives the figures.
        source: where they were found.
    """

    diode: Diode
    kind: str
    series_resistance: float
    junction_capacitance: float
    saturation_current_range: tuple[float, float]
    band_gap: float | None
    exponent: float | None
    assumed: bool
    source: str

    def whole(self, temperature: float | None = None) -> Diode:
        """The diode with bulk and capacitance, at another temperature [K] where one is given.

        Where the table has no law for it the saturation current stays and only kT/q follows the temperature.

        Raises:
            InputError: temperature is not above zero.
        """
        diode = replace(
            self.diode,
            series_resistance=self.series_resistance,
            junction_capacitance=self.junction_capacitance,
        )
        if temperature is None:
            return diode
        if self.band_gap is None or self.exponent is None:
            return replace(diode, temperature=temperature)
        return warmed(diode, temperature, self.band_gap, self.exponent)


@cache
def presets() -> dict[str, Preset]:
    """The diodes of `calc/data/diodes.csv` by name, in the order of the table."""
    return {
        row["name"]: Preset(
            diode=Diode(float(row["saturation_current"]), float(row["ideality"]), float(row["temperature"])),
            kind=row["kind"],
            series_resistance=float(row["series_resistance"]),
            junction_capacitance=float(row["junction_capacitance"]),
            saturation_current_range=(float(row["least"]), float(row["most"])),
            band_gap=float(row["band_gap"]) if row["band_gap"] else None,
            exponent=float(row["exponent"]) if row["exponent"] else None,
            assumed=row["certainty"] == "assumption",
            source=row["source"],
        )
        for row in tables.read("diodes")
    }
