"""The forms of the site, by id: each a declaration and one function. Physics never imports them."""

from calc.forms.aerial import FORM as AERIAL
from calc.forms.aerial_loading import FORM as AERIAL_LOADING
from calc.forms.band_plan import FORM as BAND_PLAN
from calc.forms.coil import FORM as COIL
from calc.forms.coil_compare import FORM as COIL_COMPARE
from calc.forms.coil_pair import FORM as COIL_PAIR
from calc.forms.correct_model import FORM as CORRECT_MODEL
from calc.forms.earth import FORM as EARTH
from calc.forms.field import FORM as FIELD
from calc.forms.form import Form
from calc.forms.measure.aerial import FORM as MEASURE_AERIAL
from calc.forms.measure.capacitor import FORM as MEASURE_CAPACITOR
from calc.forms.measure.coil import FORM as MEASURE_COIL
from calc.forms.measure.coupling import FORM as MEASURE_COUPLING
from calc.forms.measure.diode import FORM as MEASURE_DIODE
from calc.forms.measure.earphone import FORM as MEASURE_EARPHONE
from calc.forms.measure.earth import FORM as MEASURE_EARTH
from calc.forms.measure.law import FORM as MEASURE_LAW
from calc.forms.measure.quality import FORM as MEASURE_Q
from calc.forms.receiver import FORM as RECEIVER
from calc.forms.wire import FORM as WIRE

FORMS: dict[str, Form] = {
    form.id: form
    for form in (
        BAND_PLAN,
        COIL,
        COIL_PAIR,
        COIL_COMPARE,
        WIRE,
        AERIAL,
        EARTH,
        FIELD,
        AERIAL_LOADING,
        RECEIVER,
        MEASURE_COIL,
        MEASURE_CAPACITOR,
        MEASURE_AERIAL,
        MEASURE_Q,
        MEASURE_COUPLING,
        MEASURE_LAW,
        MEASURE_DIODE,
        MEASURE_EARPHONE,
        MEASURE_EARTH,
        CORRECT_MODEL,
    )
}
