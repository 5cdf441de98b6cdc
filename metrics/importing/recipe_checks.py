"""What stops a recipe from being used, in sentences."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING

from metrics.importing.cells import DATE_ORDERS
from metrics.importing.conditions import BALLS, INTENTS, PITCH_TYPES, SURFACES
from metrics.importing.recipes import (
    DECIMAL_MARKS,
    LANDINGS,
    MANY_COLUMNS,
    METHODS,
    ROLES,
    SHAPES,
    ColumnTarget,
    Recipe,
)
from metrics.importing.units import UnitDoesNotFit, conversion, factor_between

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue

_CHOICES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("shape", SHAPES),
    ("landing", LANDINGS),
    ("method", METHODS),
    ("date_order", DATE_ORDERS),
    ("decimal_mark", DECIMAL_MARKS),
)
_CONDITION_CHOICES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("pitch_type", PITCH_TYPES),
    ("intent", INTENTS),
    ("surface", SURFACES),
    ("ball", BALLS),
)
# Filters outside this are typing errors, in hertz (house bounds: the literature uses 6 to 50).
FILTER_HZ = (1.0, 200.0)


def check_recipe(recipe: Recipe, catalogue: Catalogue) -> tuple[str, ...]:
    """Sentences about what stops this recipe from being used; empty when nothing does."""
    # What the other checks look up must exist first.
    choices = tuple(_choice_errors(recipe))
    return choices or (
        *_number_errors(recipe),
        *_shape_errors(recipe),
        *_twice_errors(recipe, catalogue),
        *(
            error
            for target in (*recipe.columns, *recipe.names)
            if target.role == "metric"
            for error in _target_errors(target, recipe, catalogue)
        ),
        *_definition_errors(recipe, catalogue),
    )


def _choice_errors(recipe: Recipe) -> Iterable[str]:
    for name, choices in _CHOICES:
        if getattr(recipe, name) not in choices:
            yield f"{name.replace('_', ' ').capitalize()} is one of {', '.join(choices)}."
    for name, choices in _CONDITION_CHOICES:
        if getattr(recipe.conditions, name) not in ("", *choices):
            yield f"{name.replace('_', ' ').capitalize()} is one of {', '.join(choices)}."
    for target in (*recipe.columns, *recipe.names):
        if target.role not in ROLES:
            yield f"“{target.header}” has the unknown role “{target.role}”."
        if target.landing not in ("", *LANDINGS):
            yield f"“{target.header}”: the landing moment is one of {', '.join(LANDINGS)}."


def _number_errors(recipe: Recipe) -> Iterable[str]:
    if recipe.warm_up_first < 0:
        yield "The number of warm-up throws is 0 or more."
    if recipe.filter_hz is not None:
        if not recipe.filter_known:
            yield "A filter frequency is given, but the filter is marked as not known."
        if not FILTER_HZ[0] <= recipe.filter_hz <= FILTER_HZ[1]:
            yield f"The filter's cut-off is between {FILTER_HZ[0]:g} and {FILTER_HZ[1]:g} Hz."


def _shape_errors(recipe: Recipe) -> Iterable[str]:
    roles = {target.role for target in recipe.columns}
    if recipe.shape == "wide" and "metric" not in roles:
        yield "No column is matched to a metric: match at least one."
    if recipe.shape == "long":
        yield from (
            f"One row holds one value, so one column must be the {role.replace('metric_', 'metric ')}."
            for role in ("metric_name", "metric_value")
            if role not in roles
        )
        if "throw_number" not in roles:
            yield "One row holds one value, so one column must say which throw it belongs to."
        if not any(target.role == "metric" for target in recipe.names):
            yield "No name in the metric column is matched to a metric: match at least one."


def _twice_errors(recipe: Recipe, catalogue: Catalogue) -> Iterable[str]:
    for header, count in Counter(target.header for target in recipe.columns).items():
        if count > 1:
            yield f"“{header}” is matched {count} times."
    for role, count in Counter(target.role for target in recipe.columns).items():
        if count > 1 and role not in MANY_COLUMNS:
            yield f"{count} columns are the {role.replace('_', ' ')}: choose one."
    readings = Counter(
        (target.metric, catalogue.metrics[target.metric].reading_key(target.landing or recipe.landing))
        for target in recipe.columns
        if target.role == "metric" and target.metric in catalogue.metrics
    )
    for (metric, _), count in readings.items():
        if count > 1:
            name = catalogue.metrics[metric].name
            yield f"{count} columns are matched to {name}: choose one, ignore the others."


def _target_errors(target: ColumnTarget, recipe: Recipe, catalogue: Catalogue) -> Iterable[str]:
    metric = catalogue.metrics.get(target.metric)
    if metric is None:
        yield f"“{target.header}” is matched to {target.metric or 'nothing'}, which is no metric here."
        return
    if metric.lane == "screen" and recipe.method != "hands_on":
        yield f"“{target.header}”: {metric.name} is a physical screen and comes from a hands-on session."
    if not (math.isfinite(target.factor) and math.isfinite(target.offset)) or target.factor == 0:
        yield f"“{target.header}”: the conversion needs a factor other than 0 and finite numbers."
        return
    found = conversion(target.unit_text, metric)
    if isinstance(found, UnitDoesNotFit):
        yield f"“{target.header}”: {found.sentence}"
    elif target.storage_unit not in ("", found.storage_unit):
        read_in = target.unit_text or "this column"
        yield f"“{target.header}”: {read_in} is stored in {found.storage_unit}, not in {target.storage_unit}."
    elif target.unit_text and not math.isclose(abs(target.factor), abs(found.factor), rel_tol=1e-6):
        yield (
            f"“{target.header}”: {target.unit_text} becomes {found.storage_unit} by the factor "
            f"{found.factor:g}, not {target.factor:g}."
        )


def _definition_errors(recipe: Recipe, catalogue: Catalogue) -> Iterable[str]:
    for key, definition in recipe.definitions:
        metric = catalogue.metrics.get(key)
        if metric is None:
            yield f"A definition is given for {key}, which is no metric here."
        elif definition not in metric.definitions:
            yield f"{metric.name} has the definitions {', '.join(metric.definitions) or 'none'}."
    speed = recipe.target_of("ball_speed")
    if speed and speed.unit_text and factor_between(speed.unit_text, "m/s") is None:
        yield f"“{speed.header}”: {speed.unit_text} is no unit of speed. Choose mph, km/h or m/s."
