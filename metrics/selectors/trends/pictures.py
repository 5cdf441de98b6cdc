"""From the answers of one metric to what its chart is drawn from, in the reader's unit."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from metrics.drawing.marks import NOT_SCORED, SURE, Verdict
from metrics.drawing.trend import Cue, Fitted, Moved, Picture, Point, Stretch
from metrics.selectors.trends.answers import Answered
from metrics.selectors.trends.ranges import RangeStretch
from metrics.selectors.trends.rows import Found, UsedCue
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import Spot
from metrics.selectors.trends.words import chart_name

EXPANSION = 1.96
MOST_SMALL = 40
"""Findings that a small chart draws, the newest: more would lie on top of each other."""


def picture_of(one: Answered, cues: Sequence[UsedCue], *, most: int | None = None) -> Picture:
    """`most`: only the newest so many findings."""
    spots = one.series.spots[-most:] if most else one.series.spots
    first = spots[0].session.date
    return Picture(
        name=chart_name(one),
        unit=one.ruler.unit,
        decimals=one.ruler.decimals,
        points=points_of(spots, one.ruler),
        stretches=tuple(stretch_of(each, first, one.ruler) for each in one.stretches if each.last > first)
        or tuple(stretch_of(each, first, one.ruler) for each in one.stretches[-1:]),
        moved=tuple(Moved(step.day, step.words) for step in one.steps if step.day > first),
        cues=tuple(Cue(cue.first_used, number) for number, cue in enumerate(cues, start=1)),
        fitted=fitted_of(one, first),
        now=now_of(one),
    )


def now_of(one: Answered) -> str:
    row = one.series.latest.row
    return one.ruler.write(row.mean, u=row.u) if row.mean is not None else ""


def points_of(spots: Sequence[Spot], ruler: Ruler) -> tuple[Point, ...]:
    seen: Counter[dt.date] = Counter()
    points = []
    for spot in spots:
        day = spot.session.date
        points.append(_point(spot, ruler, seen[day]))
        seen[day] += 1
    return tuple(points)


def _point(spot: Spot, ruler: Ruler, nudge: int) -> Point:
    row = spot.row
    return Point(
        day=spot.session.date,
        mean=ruler.shown(row.mean),
        half_width=None if row.u is None else EXPANSION * row.u * ruler.factor,
        verdict=verdict_of(row),
        comparable=spot.comparable,
        nudge=nudge,
    )


def verdict_of(row: Found) -> Verdict:
    return Verdict(row.zone or NOT_SCORED, row.side or "", row.sure or SURE)


def stretch_of(stretch: RangeStretch, first: dt.date, ruler: Ruler) -> Stretch:
    row = stretch.row
    limits = (ruler.shown(limit) for limit in (row.target_low, row.target_high, row.flag_low, row.flag_high))
    return Stretch(max(first, stretch.first), stretch.last, *limits)


def fitted_of(one: Answered, first: dt.date) -> Fitted | None:
    """Only where the course is real; from the first day that is drawn."""
    course = one.answer.course
    if course is None or not course.is_real or course.from_date is None or course.to_date is None:
        return None
    begins = max(first, course.from_date)
    start = course.starts_at + course.slope_per_day * (begins - course.from_date).days
    factor = one.ruler.factor
    return Fitted(begins, start * factor, course.to_date, course.ends_at * factor)
