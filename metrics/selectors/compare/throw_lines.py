"""The lines of two throws of one session: each number, and whether they are further apart than its throws are."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from metrics.catalogue import Metric
from metrics.change.pair import Change, change_between
from metrics.change.values import Measurement, Word
from metrics.models import Finding, Reading
from metrics.scoring.measured import BALL_SPEED, in_catalogue_unit
from metrics.selectors.compare.sides import Side
from metrics.selectors.compare.table import CompareLine, Kind, Table, blank_line, group_of, in_order, table_of_lines
from sessions.models import Method

FURTHER, AS_USUAL, UNKNOWN = "further apart than throws are", "as throws differ", "cannot be judged"
NO_DATE = dt.date.min
"""Two throws of one session are of one day; which has no part in how far apart they are."""


def throw_table(first: Side, second: Side) -> Table | None:
    """Every metric that the session has a finding of; None while there are not two throws. One query.

    Rounds of a hands-on session are no throws: they are taken to be averaged.
    """
    if (
        first.capture.method == Method.HANDS_ON
        or first.throw is None
        or second.throw is None
        or first.throw.uuid == second.throw.uuid
    ):
        return None
    values = _values({first.throw.uuid, second.throw.uuid})
    readings = [values[first.throw.uuid], values[second.throw.uuid]]
    lines = [_line(metric, first, readings) for metric in in_order(first.measured)]
    return table_of_lines(lines, Kind.THROWS)


def _values(throws: set[UUID]) -> dict[UUID, dict[str, Mapping[str, Any]]]:
    """Throw → metric@moment → its reading; of several sources the later one wins, as it does in findings."""
    found: dict[UUID, dict[str, Mapping[str, Any]]] = {uuid: {} for uuid in throws}
    rows = Reading.objects.filter(throw__uuid__in=throws).select_related("throw").order_by("pk")
    for row in rows:
        own = found[row.throw.uuid]
        own |= row.values
        if row.throw.ball_speed_m_s is not None:
            own[f"{BALL_SPEED}@"] = {"value": row.throw.ball_speed_m_s}
    return found


def _line(metric: Metric, side: Side, readings: Sequence[Mapping[str, Mapping[str, Any]]]) -> CompareLine:
    row = side.findings[metric.key]
    key = f"{BALL_SPEED}@" if metric.key == BALL_SPEED else f"{metric.key}@{row.moment}"
    first, second = (_of_throw(metric, row, one.get(key, {}), side.height_cm) for one in readings)
    line = blank_line(metric, first, second)
    if first.mean is None or second.mean is None:
        return replace(line, reason="not read in both throws")
    change = change_between(_measurement(first, row), _measurement(second, row))
    return replace(line, change=change, word=_word(change), group=group_of(change))


def _of_throw(metric: Metric, row: Finding, reading: Mapping[str, Any], height_cm: float | None) -> Finding:
    """One throw's number as findings have it; none where it was not measured."""
    mean = in_catalogue_unit(metric, reading, height_cm) if "value" in reading else None
    return Finding(metric=metric.key, moment=row.moment, unit=row.unit, n=1, mean=mean, u=row.decision.get("pooled_sd"))


def _measurement(throw: Finding, row: Finding) -> Measurement:
    """One throw of the session: what one session shares with itself (u_b) has no part in the difference.

    The spread is that of the session's throws, steadied by the catalogue's.
    """
    spread = row.decision.get("pooled_sd")
    return Measurement(
        date=NO_DATE,
        mean=math.nan if throw.mean is None else float(throw.mean),
        n=1,
        sd=None,
        prior_sd=math.nan if spread is None else float(spread),
        u_between=0.0,
        limits=None,
    )


def _word(change: Change) -> str:
    if change.is_real:
        return FURTHER
    return UNKNOWN if change.word == Word.CANNOT_BE_JUDGED else AS_USUAL
