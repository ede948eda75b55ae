"""From the aerial to the detector: what stands in the aerial's lead, links, tuned circuits, voltage, power, tuning,
bandwidth."""

from calc.coupling.bandwidths import bandwidth
from calc.coupling.coil import DetectorTap, Tank
from calc.coupling.feeds import Circuit
from calc.coupling.lead import Acceptor, AerialAt, AerialLead, LeadCapacitor, LeadPart, LoadingCoil, Rejector
from calc.coupling.links import Aerial, Direct, Inductive, Link, SeriesCapacitor, Tap
from calc.coupling.pairs import CapacitorPair, InductivePair, Tuning, tune
from calc.coupling.power import TunedPower, power_into_load, tuned_power
from calc.coupling.response import available_power, thevenin, tuned_capacitance, tuned_capacitances, voltage_transfer
from calc.coupling.taps import part_inductance, tap_coefficient
from calc.coupling.tuned_aerial import TunedAerial

__all__ = [
    "Acceptor",
    "Aerial",
    "AerialAt",
    "AerialLead",
    "CapacitorPair",
    "Circuit",
    "DetectorTap",
    "Direct",
    "Inductive",
    "InductivePair",
    "LeadCapacitor",
    "LeadPart",
    "Link",
    "LoadingCoil",
    "Rejector",
    "SeriesCapacitor",
    "Tank",
    "Tap",
    "TunedAerial",
    "TunedPower",
    "Tuning",
    "available_power",
    "bandwidth",
    "part_inductance",
    "power_into_load",
    "tap_coefficient",
    "thevenin",
    "tune",
    "tuned_capacitance",
    "tuned_capacitances",
    "tuned_power",
    "voltage_transfer",
]
