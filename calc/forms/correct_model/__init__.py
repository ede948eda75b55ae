"""The form that corrects the model of a built set by its readings."""

from calc.forms.correct_model.answer import solve
from calc.forms.correct_model.fields import FIELDS
from calc.forms.form import Form

FORM = Form(
    id="correct-model",
    title="Correct the model",
    chapter="measuring",
    summary=(
        "Readings from a built set, with the aerial on and off: its strays, aerial, Q and coupling, how sure they "
        "are, and the set's new prediction beside the old."
    ),
    fields=FIELDS,
    solve=solve,
    blame={
        "wire_diameter": "coil_wire",
        "diameter": "coil_former",
        "length": "coil_pitch",
        "horizontal_length": "span",
        "frequency": "aerial",
        "unknowns": "link",
    },
)
