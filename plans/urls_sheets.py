"""The plan sheet and the floor sheet, to print."""

from django.urls import path

from plans.views import sheets

urlpatterns_sheets = [
    path("athletes/<uuid:uuid>/plan-sheet.pdf", sheets.plan, name="plan-sheet"),
    path("athletes/<uuid:uuid>/floor-sheet.pdf", sheets.floor, name="floor-sheet"),
]
