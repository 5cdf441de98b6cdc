"""What a person chose for one column, and the column target that it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from metrics.catalogue import Catalogue, Metric, load_catalogue
from metrics.importing.recipes import ColumnTarget
from metrics.importing.units import Conversion, canonical_units, conversion, parse_unit
from metrics.match.words import IGNORE, ROLE_WORDS

METRIC_PREFIX = "metric:"
BALL_SPEED_UNITS = ("mph", "km/h", "m/s", "ft/s")
AS_IT_IS = "as_it_is"


@dataclass(frozen=True, slots=True)
class Sign:
    """stored = factor · converted + offset. `only_unit` where it makes sense for one unit alone."""

    factor: float
    offset: float
    words: str
    only_unit: str = ""


SIGNS = {
    AS_IT_IS: Sign(1.0, 0.0, "as it is"),
    "turned": Sign(-1.0, 0.0, "turned, × −1"),
    "inner": Sign(-1.0, 180.0, "inner angle, 180 − x", "deg"),
    "other_axis": Sign(-1.0, 90.0, "other axis, 90 − x", "deg"),
}


@dataclass(frozen=True, slots=True)
class RowChoice:
    """`what` is a role, or "metric:" and the metric's key."""

    what: str = IGNORE
    unit: str = ""
    sign: str = AS_IT_IS
    landing: str = ""

    @property
    def metric_key(self) -> str:
        return self.what.removeprefix(METRIC_PREFIX) if self.what.startswith(METRIC_PREFIX) else ""

    def metric(self, catalogue: Catalogue) -> Metric | None:
        return catalogue.metrics.get(self.metric_key)


def signs_for(metric: Metric) -> dict[str, Sign]:
    return {key: sign for key, sign in SIGNS.items() if sign.only_unit in ("", metric.unit)}


@cache
def fitting_units(metric_key: str) -> tuple[str, ...]:
    """Units that can be turned into the metric's, its own first. Empty for a screen that only has words."""
    metric = load_catalogue().metrics[metric_key]
    own = parse_unit(metric.unit)
    if own is None:
        return (metric.unit,)
    related = {"share_of_height": ("share_of_height", "share", "length")}
    shares = (own.quantity, "share") if own.quantity.startswith("share_of_") else (own.quantity,)
    quantities = related.get(own.quantity, shares)
    tried = [metric.unit, *(unit for quantity in quantities for unit in canonical_units(quantity))]
    return tuple(dict.fromkeys(unit for unit in tried if isinstance(conversion(unit, metric), Conversion)))


def suggested_choice(suggestion: Mapping[str, Any]) -> RowChoice:
    """The suggestion as the page first shows it. A column whose metric another one has is left unused."""
    if suggestion["clashes_with"] or suggestion["role"] == IGNORE:
        return RowChoice(unit=suggestion["unit_text"])
    if suggestion["role"] != "metric":
        return RowChoice(suggestion["role"], suggestion["unit_text"])
    stored = suggestion["conversion"]
    return RowChoice(
        METRIC_PREFIX + suggestion["metric"],
        suggestion["unit_text"],
        _sign_of(stored["factor"], stored["offset"]) if stored else AS_IT_IS,
        suggestion["landing"],
    )


def _sign_of(factor: float, offset: float) -> str:
    if factor > 0:
        return AS_IT_IS
    return next((key for key, sign in SIGNS.items() if sign.factor < 0 and sign.offset == offset), "turned")


def target_of(key: str, choice: RowChoice, catalogue: Catalogue) -> ColumnTarget:
    """The decision about one column. A unit that does not fit is kept as chosen: the recipe's check says so."""
    metric = choice.metric(catalogue)
    if metric is None:
        role = choice.what if choice.what in ROLE_WORDS else IGNORE
        return ColumnTarget(key, role, unit_text=choice.unit if role == "ball_speed" else "")
    found = conversion(choice.unit, metric)
    landing = choice.landing if metric.is_landing_dependent else ""
    if not isinstance(found, Conversion):
        return ColumnTarget(key, "metric", metric.key, unit_text=choice.unit, landing=landing)
    sign = signs_for(metric).get(choice.sign, SIGNS[AS_IT_IS])
    return ColumnTarget(
        key,
        "metric",
        metric.key,
        factor=sign.factor * found.factor,
        offset=sign.offset,
        unit_text=choice.unit,
        storage_unit=found.storage_unit,
        landing=landing,
    )
