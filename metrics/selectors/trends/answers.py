"""The four answers of one metric, each of its own: in range, really changing, athlete or range, flag history."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import takewhile

import numpy as np

from athletes.models import Athlete
from metrics.change.answer import Answer, Moved, really_changing, who_moved
from metrics.change.values import Measurement
from metrics.judging.values import Limits
from metrics.models import Finding
from metrics.selectors.trends.ranges import RangeStretch, Step, stretches_of
from metrics.selectors.trends.rows import NO_LIMITS, Found, LimitsFound
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import Series, Spot


@dataclass(frozen=True, slots=True)
class Answered:
    """`points`: the measurements behind the answer, one a comparable session."""

    series: Series
    ruler: Ruler
    points: tuple[Measurement, ...]
    answer: Answer
    moved: Moved
    stretches: tuple[RangeStretch, ...]
    steps: tuple[Step, ...]

    @property
    def is_real(self) -> bool:
        return self.answer.is_real


def answered(series: Series, ruler: Ruler, athlete: Athlete) -> Answered:
    points = tuple(measurement_of(spot) for spot in series.compared)
    answer = really_changing(points)
    stretches, steps = stretches_of(series, ruler, athlete)
    return Answered(series, ruler, points, answer, who_moved(points, answer), stretches, steps)


def measurement_of(spot: Spot) -> Measurement:
    """A comparable finding with a value as metrics.change takes it."""
    row = spot.row
    return Measurement(
        date=spot.session.date,
        mean=float("nan") if row.mean is None else row.mean,
        n=row.n,
        sd=row.sd,
        prior_sd=float("nan") if row.prior_sd is None else row.prior_sd,
        u_between=row.u_between,
        limits=limits_of(row.limits),
    )


@lru_cache(maxsize=1024)
def limits_of(found: LimitsFound) -> Limits | None:
    """As judging takes them; a season's findings share a few. None where there was no range."""
    names = ("target_low", "target_high", "flag_low", "flag_high")
    return None if found == NO_LIMITS else Limits.from_stored(dict(zip(names, found, strict=True)))


@dataclass(frozen=True, slots=True)
class FlagCount:
    """Flags on the side of the latest one among the last comparable findings that were scored.

    `run`: how many of all scored ones, up to the latest, are flags on that side without a break; `since`: the first
    of them.
    """

    flags: int
    among: int
    side: str
    run: int
    since: Spot | None


def flags_lately(series: Series, most: int = 5) -> FlagCount:
    """The latest flag's side where there is one among the last `most`."""
    scored = [spot for spot in series.spots if spot.comparable and spot.row.zone != Finding.Zone.NOT_SCORED]
    last = scored[-most:]
    side = next((spot.row.side for spot in reversed(last) if is_flag(spot.row)), "")
    count = sum(is_flag(spot.row) and spot.row.side == side for spot in last)
    run = list(takewhile(lambda spot: is_flag(spot.row) and spot.row.side == side, reversed(scored)))
    return FlagCount(count, len(last), side, len(run), run[-1] if run else None)


def is_flag(row: Found) -> bool:
    """Shown as a flag, not merely the likelier of two zones."""
    return row.zone == Finding.Zone.FLAG and row.sure != Finding.Sure.CANT_TELL


def p_values(many: list[Answered]) -> np.ndarray:
    """p of the one test behind each answer, NaN where there was none; shape (metrics,)."""
    return np.array([one.answer.p for one in many], dtype=float)
