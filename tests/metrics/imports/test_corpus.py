"""Every good file of the corpus, from its bytes to readings, held against its truth cell by cell.

The way is the product's: reader, layout, the first recipe that the page shows, throws. What only a coach can say is
answered as they would on the page, from what the file's maker declares: order of day and month, landing moment, a
unit that is nowhere written, a sign or zero that is offered.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import pytest

from metrics.catalogue import load_catalogue
from metrics.importing.recipe_checks import check_recipe
from metrics.importing.recipes import ColumnTarget, Recipe
from metrics.importing.rows import apply_recipe
from metrics.importing.throws import ImportedGroup
from metrics.importing.units import conversion
from metrics.services.imports.sheets import sheet_of
from sessions.formats import FileFacts, Layout, read_layouts
from tests.corpus.columns import SIGNS
from tests.corpus.combined import COMBINATIONS, SHAPES, combined
from tests.corpus.files import MAKERS, TYPED_FACTS, typed_file
from tests.corpus.made import CorpusFile, Size

CATALOGUE = load_catalogue()
SMALL = Size(athletes=2, throws=4)

Place = tuple[str, str, int, str]
"""Athlete, ISO date, throw's number, reading key."""


def answered_target(target: ColumnTarget, suggestion: Mapping[str, Any], file: CorpusFile) -> ColumnTarget:
    """The suggestion with a coach's answers about its unit and sign."""
    unsaid = suggestion["unit_guessed"] or not suggestion["unit_text"]
    if target.role == "ball_speed" and unsaid and "ball_speed" in file.units:
        return replace(target, unit_text=file.units["ball_speed"])
    if target.role != "metric":
        return target
    unit = file.units.get(target.metric)
    if unit and unsaid:
        found = conversion(unit, CATALOGUE.metric(target.metric))
        return replace(
            target, factor=found.factor, offset=found.offset, unit_text=unit, storage_unit=found.storage_unit
        )
    start, way = SIGNS[file.signs.get(target.metric, "kept")]
    offers = (offer["conversion"] for offer in suggestion["offers"])
    taken = next((each for each in offers if (each["offset"], each["factor"] > 0) == (start, way > 0)), None)
    return replace(target, factor=taken["factor"], offset=taken["offset"]) if taken else target


def answered_recipe(layout: Layout, facts: FileFacts, file: CorpusFile) -> Recipe:
    """The first recipe that the page shows, with the coach's answers."""
    sheet = sheet_of(layout, facts, None, CATALOGUE, ())
    recipe = Recipe.from_json(sheet["first_recipe"])
    columns = [each for each in sheet["suggestions"] if not each["in_metric_column"]]
    names = [each for each in sheet["suggestions"] if each["in_metric_column"]]
    asked = recipe.date_order == "unknown" and file.day_first is not None
    return replace(
        recipe,
        columns=tuple(answered_target(t, s, file) for t, s in zip(recipe.columns, columns, strict=True)),
        names=tuple(answered_target(t, s, file) for t, s in zip(recipe.names, names, strict=True)),
        date_order=("dmy" if file.day_first else "mdy") if asked else recipe.date_order,
        landing=file.landing,
    )


def groups_of(file: CorpusFile) -> Iterator[ImportedGroup]:
    """All groups of all sheets that are tables; a sheet without a metric is left out, as on the page."""
    result = read_layouts(file.data, file.name)
    for layout in result.layouts:
        if layout.readable:
            recipe = answered_recipe(layout, result.file, file)
            if not check_recipe(recipe, CATALOGUE):
                yield from apply_recipe(layout, recipe, CATALOGUE).groups


def readings_of(groups: Iterator[ImportedGroup], athletes: set[str]) -> dict[Place, tuple[float, str]]:
    """Value and unit by place; the athlete is called as the truth calls them, by code or by name."""
    found: dict[Place, tuple[float, str]] = {}
    for group in groups:
        known = athletes & {group.athlete.external_id, group.athlete.name}
        athlete = known.pop() if known else f"{group.athlete.external_id} {group.athlete.name}".strip()
        for throw in group.throws:
            speed = {} if throw.ball_speed is None else {"ball_speed@br": {"value": throw.ball_speed}}
            for key, reading in {**throw.values, **speed}.items():
                if "value" in reading:
                    place = (athlete, str(group.date), throw.number, key)
                    found[place] = (reading["value"], reading.get("unit", ""))
    return found


def expected_of(file: CorpusFile) -> dict[Place, tuple[float, str]]:
    """The truth in the same form."""
    truth = {}
    for one in file.expected:
        metric = CATALOGUE.metric(one.metric)
        unit = metric.storage_unit if metric.storage_unit != metric.unit else ""
        place = (one.athlete, one.day.isoformat(), one.throw, f"{one.metric}@{metric.moment_for(file.landing)}")
        truth[place] = (one.value, unit)
    return truth


def differences(found: Mapping[Place, tuple[float, str]], truth: Mapping[Place, tuple[float, str]]) -> list[str]:
    """One sentence a cell that is missing, too much, or another number."""
    missing = [f"missing {place}: {truth[place]}" for place in truth.keys() - found.keys()]
    extra = [f"too much {place}: {found[place]}" for place in found.keys() - truth.keys()]
    other = [
        f"other {place}: {found[place]} and not {truth[place]}"
        for place in truth.keys() & found.keys()
        if found[place][1] != truth[place][1] or found[place][0] != pytest.approx(truth[place][0], rel=1e-9, abs=1e-9)
    ]
    return sorted([*missing, *extra, *other])


def wrong_cells(file: CorpusFile) -> list[str]:
    found = readings_of(groups_of(file), {one.athlete for one in file.expected})
    return differences(found, expected_of(file))


@pytest.mark.parametrize("name", list(MAKERS))
def test_a_made_file_reads_cell_by_cell(name):
    assert wrong_cells(MAKERS[name](SMALL)) == []


@pytest.mark.parametrize("name", list(TYPED_FACTS))
def test_a_file_typed_by_hand_reads_cell_by_cell(name):
    assert wrong_cells(typed_file(name)) == []


@pytest.mark.parametrize("name", ["units_nowhere", "radians_nowhere"])
def test_units_that_are_nowhere_written_are_guessed_right_from_the_numbers(name):
    """The page asks; its first answer is already the right one."""
    assert wrong_cells(replace(MAKERS[name](SMALL), units={})) == []


@pytest.mark.parametrize(("name", "size"), [("wide_plain", Size(30, 1, 20)), ("long_plain", Size(12, 1, 20))])
def test_a_long_file_reads_as_a_short_one_does(name, size):
    assert wrong_cells(MAKERS[name](size)) == []


@pytest.mark.parametrize("shape", SHAPES)
def test_a_shape_reads_in_every_dialect_and_language(shape):
    """One test a shape; the message names the combinations that are read wrongly."""
    wrong = {}
    for _, language, dialect in (each for each in COMBINATIONS if each[0] == shape):
        file = combined(shape, language, dialect, Size(athletes=2, throws=3))
        found = readings_of(groups_of(file), {one.athlete for one in file.expected})
        if lines := differences(found, expected_of(file)):
            wrong[language, dialect] = f"{len(lines)} of {len(file.expected)}: {lines[0]}"
    assert wrong == {}
