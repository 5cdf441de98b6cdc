"""A first recipe from the suggestions, for a person to correct."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from metrics.importing.cells import guess_date_order
from metrics.importing.matching import ColumnSuggestion
from metrics.importing.recipes import Recipe

if TYPE_CHECKING:
    from sessions.formats.layout import Layout


def draft_recipe(
    layout: Layout,
    suggestions: Sequence[ColumnSuggestion],
    *,
    decimal_mark: str = ".",
    take_advised: bool = False,
) -> Recipe:
    """The suggestions as a recipe: landing by what most headers say, date order by the dates.

    `take_advised` also takes the sign flips and other zeros that the numbers speak for; without it they
    wait for a person. Filter, definitions and conditions cannot be seen in a table and stay open.
    """
    targets = [
        (
            each.in_metric_column,
            each.target(next((o for o in each.offers if o.advised), None) if take_advised else None),
        )
        for each in suggestions
    ]
    return Recipe(
        shape=layout.shape,
        columns=tuple(target for in_rows, target in targets if not in_rows),
        names=tuple(target for in_rows, target in targets if in_rows),
        landing=suggest_landing(suggestions),
        date_order=_date_order(layout, suggestions),
        decimal_mark=decimal_mark,
    )


def suggest_landing(suggestions: Sequence[ColumnSuggestion]) -> str:
    """ "fc" or "fp" when the headers name only one of them, else "unknown"."""
    named = Counter(each.landing for each in suggestions if each.landing)
    return next(iter(named)) if len(named) == 1 else "unknown"


def _date_order(layout: Layout, suggestions: Sequence[ColumnSuggestion]) -> str:
    columns = [each for each in suggestions if not each.in_metric_column]
    orders = {
        guess_date_order(column.values)
        for each, column in zip(columns, layout.columns, strict=True)
        if each.role in ("date", "birth_date")
    }
    clear = orders - {"unknown", "ymd"}
    if len(clear) == 1:
        return clear.pop()
    return "ymd" if orders == {"ymd"} else "unknown"
