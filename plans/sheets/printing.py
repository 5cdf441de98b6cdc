"""A sheet becomes a PDF: its values as data, a template of this folder, and the typesetter in this process."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from plans.sheets.filling import Letters, fill_floor, fill_plan
from plans.sheets.values import FloorSheet, PlanSheet

if TYPE_CHECKING:
    import typst

FOLDER = Path(__file__).parent
STANDARD: Literal["ua-1"] = "ua-1"
"""PDF/UA-1, ISO 14289-1:2014: the typesetter refuses what would break it, a letter without a shape among it."""


NOT_DISPLAYED = "could not be displayed"
"""How the typesetter words that a letter has no shape."""


class DoesNotFit(Exception):
    """The sheet could not be set on one page; nothing of it is given away."""


class NoShape(DoesNotFit):
    """No face has a shape for some letters as they stand together."""


def print_sheet(sheet: PlanSheet | FloorSheet) -> bytes:
    """One page of PDF; the same values give the same bytes. Raises DoesNotFit."""
    try:
        return _set(*_filled(sheet, Letters()))
    except NoShape:
        return _set(*_filled(sheet, Letters(alone=True)))


def _set(template: str, data: dict[str, Any]) -> bytes:
    import typst

    try:
        return typst.compile(
            FOLDER / template,
            root=FOLDER,
            font_paths=_faces(),
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=[STANDARD],
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            timestamp=0,
        )
    except typst.TypstError as error:
        raise (NoShape if NOT_DISPLAYED in str(error) else DoesNotFit)(str(error)) from error


def _filled(sheet: PlanSheet | FloorSheet, letters: Letters) -> tuple[str, dict[str, Any]]:
    if isinstance(sheet, PlanSheet):
        return "plan_sheet.typ", fill_plan(sheet, letters)
    return "floor_sheet.typ", fill_floor(sheet, letters)


@cache
def _faces() -> typst.Fonts:
    """The faces that the typesetter brings along; none of the machine."""
    import typst

    return typst.Fonts(include_system_fonts=False)
