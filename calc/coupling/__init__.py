"""From the aerial to the tuned circuit: links, voltage across the tank, tuning, bandwidth."""

from calc.coupling.bandwidths import bandwidth
from calc.coupling.links import Aerial, Circuit, Direct, Inductive, Link, SeriesCapacitor, Tank, Tap
from calc.coupling.response import available_power, thevenin, tuned_capacitance, voltage_transfer
from calc.coupling.taps import tap_coefficient

__all__ = [
    "Aerial",
    "Circuit",
    "Direct",
    "Inductive",
    "Link",
    "SeriesCapacitor",
    "Tank",
    "Tap",
    "available_power",
    "bandwidth",
    "tap_coefficient",
    "thevenin",
    "tuned_capacitance",
    "voltage_transfer",
]
