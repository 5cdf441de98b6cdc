"""A sheet an athlete: the name of a sheet as one more column, for tables whose own columns do not say who or when."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from metrics.importing.cells import parse_date
from metrics.importing.matching import ColumnSuggestion
from metrics.importing.recipes import ATHLETE_ROLES, Recipe, name_key
from sessions.formats.layout import Column, Layout

if TYPE_CHECKING:
    from collections.abc import Iterable

    from metrics.importing.recipes import ColumnTarget

TITLE: Final = "Sheet name"
KEY: Final = name_key(TITLE)
GUESSED: Final = 0.65
"""How sure a role is that only the sheet's name speaks for (house opinion, no source)."""

# A name of two words or "Reyes, Jordan"; an id such as P-104. "Sheet 1" and "Throws" are neither.
_NAME = re.compile(r"[^\W\d_a-z][^\W\d_]*(?:[-'’][^\W\d_]+)*(?:,? [^\W\d_a-z][\w'’.-]*)+")
_ID = re.compile(r"[A-Z]{1,3}[-_]\d{1,8}|[A-Z]{0,3}\d{3,8}")


def with_sheet_name(layout: Layout) -> Layout:
    """The layout with its sheet's name in every row, as its last column; as it is when the sheet has none."""
    if not layout.sheet:
        return layout
    index = max((column.index for column in layout.columns), default=-1) + 1
    values = (layout.sheet,) * len(layout.row_numbers)
    return replace(layout, columns=(*layout.columns, Column(index, "", TITLE, "", values, TITLE)))


def for_recipe(layout: Layout, recipe: Recipe) -> Layout:
    """The layout that the recipe reads: with the sheet's name where it asks for that."""
    asked = any(target.header == KEY and target.role != "ignore" for target in recipe.columns)
    return with_sheet_name(layout) if asked else layout


def suggest_sheet_name(
    layout: Layout, suggestions: Sequence[ColumnSuggestion], known: Iterable[ColumnTarget]
) -> ColumnSuggestion | None:
    """What the sheet's name may be; None when the columns say who threw and when, or the sheet has no name."""
    roles = {each.role for each in suggestions if not each.clashes_with}
    says_who, says_when = bool(roles & set(ATHLETE_ROLES)), "date" in roles
    if not layout.sheet or (says_who and says_when):
        return None
    before = next((target.role for target in known if target.header == KEY), None)
    if before:
        return ColumnSuggestion(KEY, TITLE, "", before, 1.0, ("known",))
    role = _role_of(layout.sheet, says_who=says_who, says_when=says_when)
    if role == "ignore" and says_who:
        return None
    sure, why = (GUESSED, ("values",)) if role != "ignore" else (0.0, ())
    return ColumnSuggestion(KEY, TITLE, "", role, sure, why)


def _role_of(title: str, *, says_who: bool, says_when: bool) -> str:
    if not says_when and hasattr(parse_date(title, "ymd"), "year"):
        return "date"
    if not says_who and _NAME.fullmatch(title):
        return "athlete_name"
    return "athlete_id" if not says_who and _ID.fullmatch(title) else "ignore"
