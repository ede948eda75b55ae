"""The whole-set form: a district, a set, and what is heard of every station."""

from calc.forms.form import Form, SheetToPrint
from calc.forms.receiver.answer import solve
from calc.forms.receiver.fields import FIELDS
from calc.forms.receiver.sheets import circuit_sheet, dial_sheet, log_sheet, winding_sheet

FORM = Form(
    id="receiver",
    title="Whole set",
    chapter="whole-set",
    summary=(
        "Stations, aerial, coil, link, detector and earphones: for every station where it comes, how loud, and how "
        "clear."
    ),
    fields=FIELDS,
    solve=solve,
    blame={
        "frequency": "aerial",
        "tuned_to": "tuned_to",
        "capacitance": "dial",
        "wire_diameter": "coil_wire",
        "diameter": "coil_former",
        "length": "coil_pitch",
        "horizontal_length": "span",
        "rotation": "law_table",
    },
    sheets=(
        SheetToPrint("winding", "Winding sheet", winding_sheet),
        SheetToPrint("circuit", "Circuit and parts", circuit_sheet),
        SheetToPrint("dial", "Dial scale", dial_sheet),
        SheetToPrint("log", "Log of readings", log_sheet),
    ),
)
