"""The coil form: a coil of any shape from its turns, or the turns from a wanted inductance."""

from calc.forms.coil.answer import solve
from calc.forms.coil.fields import FIELDS
from calc.forms.coil.sheet import winding_sheet
from calc.forms.form import Form, SheetToPrint

FORM = Form(
    id="coil",
    title="Coil",
    chapter="coil",
    summary=(
        "A coil of any shape from its turns, or the turns for an inductance: Q, wire, size, taps and self-resonance."
    ),
    fields=FIELDS,
    solve=solve,
    sheets=(SheetToPrint("winding", "Winding sheet", winding_sheet),),
)
