"""Which throw each row of a table belongs to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from metrics.importing.cells import is_missing, text_of
from metrics.importing.gathering import Gatherer, ThrowBuilder
from metrics.importing.places import Place, PlaceFinder
from metrics.importing.problems import ImportProblems
from metrics.importing.recipes import Recipe
from metrics.importing.throws import AthleteReference
from sessions.formats.layout import Column


@dataclass(frozen=True, slots=True)
class Found:
    """`throws`: one a row, None for a row that is left out; `gatherer` collects what they hold."""

    throws: Sequence[ThrowBuilder | None]
    gatherer: Gatherer
    athletes: Sequence[AthleteReference]


def find_throws(
    roles: Mapping[str, Column],
    comments: Sequence[Column],
    row_numbers: Sequence[int],
    recipe: Recipe,
    problems: ImportProblems,
    today: dt.date | None,
) -> Found:
    """The throw of each row, by the columns that say who threw, when, and which throw it was."""
    finder = PlaceFinder(roles, recipe, problems, today)
    gatherer = Gatherer(roles, comments, recipe, problems)
    places = finder.places(row_numbers)
    texts = _throw_texts(roles.get("throw_number"), row_numbers, places, problems)
    return Found(gatherer.throws_of_rows(places, row_numbers, texts), gatherer, finder.athletes)


def _throw_texts(
    column: Column | None, row_numbers: Sequence[int], places: Sequence[Place | None], problems: ImportProblems
) -> list[str | None]:
    """What the throw is called, a row; None where a throw's name is needed and missing."""
    if column is None:
        return [f"row {row}" for row in row_numbers]
    texts = {cell: None if is_missing(cell) else text_of(cell) for cell in set(column.values)}
    found = [texts[cell] for cell in column.values]
    for row, place, text in zip(row_numbers, places, found, strict=True):
        if text is None and place is not None:
            problems.add("no_throw", row=row, column=column.letter)
    return found
