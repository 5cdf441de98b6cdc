"""The range as it applied to this athlete on each day, the days on which it moved, and what moved it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from athletes.models import Athlete, Level, LevelPeriod
from metrics.selectors.session_words import joined
from metrics.selectors.trends.rows import Found, Seen
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import Series, Spot

SIZE_WORDS = {"height": "height", "mass": "weight", "arm_span": "arm span"}
ROUNDING = 1e-6
LEVEL, VERSION, SIZE, RULE = "level", "version", "size", "rule"


@dataclass(frozen=True, slots=True)
class Step:
    """The range moved on this day. `cause`: ROUNDING = 1e-6
    LEVEL, VERSION, SIZE or RULE; `middle`: by how much its middle moved, in
        the metric's unit, None where a side opened or closed."""

    day: dt.date
    cause: str
    words: str
    middle: float | None


@dataclass(frozen=True, slots=True)
class RangeStretch:
    """Days over which these limits applied: from `first` up to `last`, of which the next one may begin."""

    first: dt.date
    last: dt.date
    row: Found


def judged(series: Series) -> tuple[Spot, ...]:
    """Comparable findings that had a range."""
    return tuple(spot for spot in series.spots if spot.comparable and spot.row.has_range)


def has_moved(from_row: Found, row: Found, least: float) -> bool:
    """Whether a limit lies elsewhere by `least` or more, or a side opened or closed."""
    for one, other in zip(from_row.limits, row.limits, strict=True):
        if (one is None) != (other is None):
            return True
        if one is not None and other is not None and abs(other - one) >= least:
            return True
    return False


def stretches_of(series: Series, ruler: Ruler, athlete: Athlete) -> tuple[tuple[RangeStretch, ...], tuple[Step, ...]]:
    """The stretches from the first to the last finding, and the steps between them.

    A range that moves with the body by less than the page's last digit does not step; it is compared with the last
    one that did, so that many small moves add up to a step.
    """
    spots = judged(series)
    if not spots:
        return (), ()
    stretches, steps = [], []
    first, current = series.spots[0].session.date, spots[0]
    for before, spot in pairwise(spots):
        if spot.row.limits == current.row.limits:
            continue
        step = _step(before, spot, current.row, athlete)
        least = 10.0**-ruler.decimals / ruler.factor if step.cause == SIZE else ROUNDING
        if not has_moved(current.row, spot.row, least):
            continue
        stretches.append(RangeStretch(first, step.day, current.row))
        steps.append(step)
        first, current = step.day, spot
    stretches.append(RangeStretch(first, series.spots[-1].session.date, spots[-1].row))
    return tuple(stretches), tuple(steps)


def _step(before: Spot, now: Spot, from_row: Found, athlete: Athlete) -> Step:
    """A level has its day; anything else is dated by the first session that it applied to."""
    middle = _moved_by(from_row, now.row)
    period = level_begun_between(athlete, before.session.date, now.session.date)
    if period is not None:
        words = f"{Level(period.level).label} from {day_words(period.valid_from)}"
        return Step(period.valid_from, LEVEL, words, middle)
    if is_other_version(before.session, now.session):
        words = f"ranges {version_words(now.session)}"
        return Step(now.session.date, VERSION, words, middle)
    if now.row.size_basis:
        return Step(now.session.date, SIZE, f"range moved with {SIZE_WORDS[now.row.size_basis]}", middle)
    return Step(now.session.date, RULE, "another range", middle)


def level_begun_between(athlete: Athlete, after: dt.date, until: dt.date) -> LevelPeriod | None:
    """The latest level that began after the one day and by the other."""
    begun = [row for row in athlete.levels.all() if after < row.valid_from <= until]
    return max(begun, key=lambda row: row.valid_from, default=None)


def is_other_version(one: Seen, other: Seen) -> bool:
    return one.version_pk != other.version_pk


def version_words(session: Seen) -> str:
    """House starting, version 2."""
    return f"{session.profile}, version {session.version}"


def _moved_by(one: Found, other: Found) -> float | None:
    edges = list(zip(one.limits[:2], other.limits[:2], strict=True))
    shifts = [after - before for before, after in edges if before is not None and after is not None]
    same_kind = all((before is None) == (after is None) for before, after in edges)
    return sum(shifts) / len(shifts) if shifts and same_kind else None


def day_words(day: dt.date) -> str:
    """1 September 2025."""
    return f"{day.day} {day:%B %Y}"


def causes_of(steps: Sequence[Step]) -> str:
    """with the level and with height: what moved the range, each once."""
    said = {
        LEVEL: "with the level",
        VERSION: "with a new version of the ranges",
        RULE: "as another rule applied",
    }
    words = [said.get(step.cause, step.words.removeprefix("range moved ")) for step in steps]
    return joined(list(dict.fromkeys(words)))
