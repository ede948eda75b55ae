"""Drawings of the chapters that no form makes, in the hand of the circuit diagrams; asked for by ``[[figure ...]]``."""

from calc.forms.shapes import Drawing
from site_overrides.pages.drawings.bench import bench_layout, lead_in, twisted_tap
from site_overrides.pages.drawings.chain import way_of_power
from site_overrides.pages.drawings.circuits import coil_on_the_bench, strays
from site_overrides.pages.drawings.waves import from_carrier_to_sound, two_currents

DRAWINGS: dict[str, Drawing] = {
    drawing.key: drawing
    for drawing in (
        way_of_power(),
        strays(),
        from_carrier_to_sound(),
        two_currents(),
        bench_layout(),
        twisted_tap(),
        lead_in(),
        coil_on_the_bench(),
    )
}
"""By the name that a page asks for."""
