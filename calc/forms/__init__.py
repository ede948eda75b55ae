"""The forms of the site, by id: each a declaration and one function. Physics never imports them."""

from calc.forms.band_plan import FORM as BAND_PLAN
from calc.forms.coil import FORM as COIL
from calc.forms.form import Form
from calc.forms.receiver import FORM as RECEIVER

FORMS: dict[str, Form] = {form.id: form for form in (BAND_PLAN, COIL, RECEIVER)}
