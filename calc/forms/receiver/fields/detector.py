"""The detector: diode or crystal, where it hangs on the coil, a cell to help it."""

from calc import detectors
from calc.forms.fields import Field, ShownWhen
from calc.forms.parts import OWN
from calc.forms.receiver.catalogue import listed, slug

_DETECTOR = "Detector"
_OWN = ShownWhen("detector", (OWN,))

DETECTOR_FIELDS = (
    Field(
        "detector",
        "Detector",
        default="1n34a-type",
        choices=listed({slug(name): f"{name}: {preset.kind}" for name, preset in detectors.presets().items()}),
        group=_DETECTOR,
    ),
    Field(
        "saturation_current",
        "Saturation current",
        "A",
        "200 nA",
        1e-12,
        1e-3,
        bare="nA",
        shown_when=_OWN,
        group=_DETECTOR,
    ),
    Field("ideality", "Ideality", "", "1.3", 0.9, 5.0, shown_when=_OWN, group=_DETECTOR),
    Field("series_resistance", "Resistance of its bulk", "ohm", "7 Ω", 0.0, 100e3, shown_when=_OWN, group=_DETECTOR),
    Field(
        "junction_capacitance", "Its capacitance", "F", "0.5p", 0.0, 1e-9, bare="pF", shown_when=_OWN, group=_DETECTOR
    ),
    Field("temperature", "Temperature", "degC", "20", -40.0, 80.0, help="A warm diode passes more.", group=_DETECTOR),
    Field(
        "detector_turns",
        "On a tap of the coil",
        "",
        "",
        0.5,
        1000,
        optional=True,
        help="Turns from the earthed end. Empty: across the whole coil.",
        group=_DETECTOR,
    ),
    Field(
        "bias",
        "Bias cell",
        "V",
        "",
        -1.5,
        1.5,
        optional=True,
        help="Helps a sluggish crystal; empty for none. With a cell it is no longer a set without a battery.",
        group=_DETECTOR,
    ),
)
