"""What the whole-set form asks: the question, then the district, and the set from the aerial to the ear."""

from calc.forms.receiver.fields.aerial import AERIAL_FIELDS
from calc.forms.receiver.fields.coil import COIL_FIELDS
from calc.forms.receiver.fields.detector import DETECTOR_FIELDS
from calc.forms.receiver.fields.district import DISTRICT_FIELDS
from calc.forms.receiver.fields.ears import EAR_FIELDS
from calc.forms.receiver.fields.link import LINK_FIELDS
from calc.forms.receiver.fields.question import QUESTION_FIELD, QUESTION_FIELDS
from calc.forms.receiver.fields.sheets import SHEET_FIELDS

FIELDS = (
    QUESTION_FIELD,
    *QUESTION_FIELDS,
    *DISTRICT_FIELDS,
    *AERIAL_FIELDS,
    *COIL_FIELDS,
    *LINK_FIELDS,
    *DETECTOR_FIELDS,
    *EAR_FIELDS,
    *SHEET_FIELDS,
)

__all__ = ["FIELDS"]
