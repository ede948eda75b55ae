"""Sheets to print of a set: winding, circuit and parts, dial scale, log."""

from calc.forms.receiver.sheets.circuit import circuit_sheet
from calc.forms.receiver.sheets.dial import dial_sheet
from calc.forms.receiver.sheets.log import log_sheet
from calc.forms.receiver.sheets.winding import winding_sheet

__all__ = ["circuit_sheet", "dial_sheet", "log_sheet", "winding_sheet"]
