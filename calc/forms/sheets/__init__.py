"""Sheets to print of an answer: what stands on them, as neutral data in millimetres of paper."""

from calc.forms.sheets.paper import PAPERS, Grid, Paper, Picture, Sheet, Words

__all__ = ["PAPERS", "Grid", "Paper", "Picture", "Sheet", "Words"]
