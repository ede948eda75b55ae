"""The aerial form: a wire over its earth, a frame or a rod, as the set sees it."""

from typing import Any

from calc.forms.aerial_fields import FIELDS, LOOPS
from calc.forms.aerial_loops import solve_loop
from calc.forms.aerial_wires import solve_wire
from calc.forms.form import Form
from calc.forms.results import Result


def solve(**values: Any) -> Result:
    """The aerial for what was typed."""
    return solve_loop(values) if values["kind"] in LOOPS else solve_wire(values)


FORM = Form(
    id="aerial",
    title="Aerial",
    chapter="aerial-and-earth",
    summary="A wire, a frame or a rod as the set sees it: capacitance, effective height, resistance, power to be had.",
    fields=FIELDS,
    solve=solve,
    blame={
        "wire_diameter": "wire",
        "horizontal_length": "span",
        "conductor_resistivity": "metal",
    },
)
