"""What the draft keeps of a sheet: enough to show and match its columns, without all of its cells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice
from typing import Any

from metrics.catalogue import Catalogue
from metrics.importing.cells import text_of
from metrics.importing.drafts import draft_recipe
from metrics.importing.matching import ColumnSuggestion, suggest_columns
from metrics.importing.recipes import ColumnTarget, Recipe, header_keys, moment_text, name_key
from metrics.importing.sheet_names import suggest_sheet_name, with_sheet_name
from metrics.models import ImportRecipe
from sessions.formats import Cell, FileFacts, Layout, cell_text

SAMPLES = 5
ROWS_LOOKED_AT = 2_000
"""Of a sheet whose recipe is known, as many rows are looked at for suggestions: they only serve matching it anew."""


def sheet_of(
    layout: Layout, facts: FileFacts, recipe: ImportRecipe | None, catalogue: Catalogue, known: Iterable[ColumnTarget]
) -> dict[str, Any]:
    """The sheet as JSON: its columns with samples, what each most likely is, and the recipe that reads it."""
    seen = layout.head(ROWS_LOOKED_AT) if recipe else layout
    known = tuple(known)
    suggestions = suggest_columns(seen, catalogue, known=known)
    of_sheet = suggest_sheet_name(layout, suggestions, known)
    if of_sheet:
        layout, seen = with_sheet_name(layout), with_sheet_name(seen)
        suggestions = (*suggestions, of_sheet)
    return {
        "sheet": layout.sheet,
        "shape": layout.shape,
        "turned": layout.turned,
        "readable": layout.readable,
        "header_row": layout.header_row,
        "fingerprint": layout.fingerprint,
        "row_count": len(layout.row_numbers),
        "columns": [
            {
                "key": key,
                "place": place_words(column.letter, turned=layout.turned),
                "letter": column.letter,
                "title": column.title or column.header,
                "unit_text": column.unit_text,
                "samples": samples_of(column.values),
            }
            for key, column in zip(header_keys(layout), layout.columns, strict=True)
        ],
        "name_samples": name_samples(seen, suggestions),
        "suggestions": [each.to_json() for each in suggestions],
        "first_recipe": draft_recipe(seen, suggestions, decimal_mark=facts.decimal_mark).to_json(),
        "recipe": str(recipe.uuid) if recipe else "",
        "recipe_name": recipe.name if recipe else "",
    }


def place_words(letter: str, *, turned: bool) -> str:
    """Where a column of the layout stands in the file."""
    if not letter:
        return "The sheet"
    if letter.isalpha() or letter.isdigit():
        return f"{'Row' if turned else 'Column'} {letter}"
    return f"Cell {letter}"


def samples_of(values: Iterable[Cell]) -> list[str]:
    """The first few values that a column holds, as text."""
    return [cell_text(value) for value in islice((value for value in values if value is not None), SAMPLES)]


def name_samples(layout: Layout, suggestions: Sequence[ColumnSuggestion]) -> dict[str, list[str]]:
    """In long shape: the first values under each name of the metric column, by the name's key."""
    columns = zip((each for each in suggestions if not each.in_metric_column), layout.columns, strict=True)
    values = {each.role: column.values for each, column in columns}
    names, numbers = values.get("metric_name"), values.get("metric_value")
    if layout.shape != "long" or names is None or numbers is None:
        return {}
    moments = values.get("metric_moment") or (None,) * len(names)
    samples: dict[str, list[str]] = {}
    for name, moment, number in zip(names, moments, numbers, strict=True):
        listed = samples.setdefault(name_key(moment_text(text_of(name), text_of(moment))), [])
        if number is not None and len(listed) < SAMPLES:
            listed.append(cell_text(number))
    return samples


def recipes_in_use() -> dict[str, ImportRecipe]:
    """Fingerprint → the recipe that reads tables with this header."""
    return {recipe.fingerprint: recipe for recipe in ImportRecipe.objects.filter(retired_at=None)}


def known_targets(recipes: Iterable[ImportRecipe]) -> list[ColumnTarget]:
    """What earlier tables' headers were matched to; the latest word on a header stands last and wins."""
    rows = sorted(recipes, key=lambda row: row.created_at)
    stored = [Recipe.from_json(row.recipe) for row in rows]
    return [target for recipe in stored for target in (*recipe.columns, *recipe.names)]
