"""What sheets to print of a set ask beyond it."""

from calc.forms.sheets.fields import DIAL_FIELDS, PAPER_FIELD, WINDING_FIELDS

SHEET_FIELDS = (PAPER_FIELD, *WINDING_FIELDS, *DIAL_FIELDS)
