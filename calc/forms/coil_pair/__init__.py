"""The pair form: how tightly two coils couple, by their distance and the angle between their axes."""

from calc.forms.coil_pair.answer import solve
from calc.forms.coil_pair.fields import FIELDS
from calc.forms.coil_pair.sheet import winding_sheet
from calc.forms.form import Form, SheetToPrint

FORM = Form(
    id="coil-pair",
    title="Two coils",
    chapter="coil",
    summary="Mutual inductance and coupling of two coils by distance and angle, and where to set them.",
    fields=FIELDS,
    solve=solve,
    sheets=(SheetToPrint("winding", "Winding sheet", winding_sheet),),
)
