"""Sheets of paper: the plan sheet for the fridge and the floor sheet for the coach, each one page of tagged PDF/UA.

Pure: values in, bytes out; no Django, no clock, no network. Text is handed to the typesetter as data and never as
source. The typesetter reads this folder alone, and sets with the faces that it brings along.
"""

from plans.sheets.letters import Printed, printable
from plans.sheets.printing import DoesNotFit, print_sheet
from plans.sheets.values import FloorPoint, FloorSheet, FloorWork, PlanSheet, SheetWork, Then

__all__ = [
    "DoesNotFit",
    "FloorPoint",
    "FloorSheet",
    "FloorWork",
    "PlanSheet",
    "Printed",
    "SheetWork",
    "Then",
    "print_sheet",
    "printable",
]
