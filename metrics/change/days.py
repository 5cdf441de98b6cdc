"""From findings in any order to one measurement a day, and how far each of them can be trusted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

import numpy as np

from metrics.change.values import Measurement, known, means_of, throw_squares, was_seen
from metrics.judging.findings import steadied_spread
from metrics.judging.values import FloatArray

MOST_DAYS = 200
"""Days that a series keeps apart; over that, neighbours are put together (`in_blocks`). House default: 19,900 pair
slopes take a few milliseconds, 5,000 days would be 12 million."""


@dataclass(frozen=True, slots=True)
class Series:
    """Arrays of shape (days,), in order of time: days since the first, means, and weights 1/u²."""

    day: FloatArray
    mean: FloatArray
    weight: FloatArray


def one_a_day(points: Iterable[Measurement]) -> list[Measurement]:
    """The measurements that were seen, in order of date; those of one day as one."""
    seen = sorted((one for one in points if was_seen(one)), key=attrgetter("date"))
    days = [list(of_day) for _, of_day in groupby(seen, key=attrgetter("date"))]
    return [of_day[0] if len(of_day) == 1 else _together(of_day) for of_day in days]


def series_of(points: Sequence[Measurement]) -> Series:
    """What `one_a_day` gave, as arrays; at most `MOST_DAYS` of them."""
    day = np.array([one.date.toordinal() for one in points], dtype=float)
    series = Series(day - day[0] if day.size else day, means_of(points), 1.0 / np.square(uncertainties(points)))
    return series if day.size <= MOST_DAYS else in_blocks(series, MOST_DAYS)


def within_squares(points: Sequence[Measurement]) -> FloatArray:
    """s_p²/n of each measurement: the throws' share of u², shape (points,). NaN when no spread is known."""
    n = np.array([one.n for one in points], dtype=float)
    squares = np.array([throw_squares(one) for one in points], dtype=float).reshape(-1, 2)
    own, degrees = squares[:, 0], squares[:, 1]
    sd = np.sqrt(own / np.where(degrees > 0, degrees, 1.0))
    spread, _ = steadied_spread(sd, degrees + 1.0, np.array([known(one.prior_sd) for one in points]))
    return np.asarray(spread**2 / n)


def uncertainties(points: Sequence[Measurement]) -> FloatArray:
    """u of each measurement beside its neighbours, for weights: √(s_p²/n + u_b²), shape (points,), above zero.

    A session whose u_b is not known is given the median of the others'; when none of them has one, or a spread is
    missing, or a u is zero, all weigh alike (1.0).
    """
    between = np.array([known(one.u_between) for one in points])
    has_one = np.isfinite(between)
    if not has_one.any():
        return np.ones(len(points))
    between = np.where(has_one, between, np.median(between[has_one]))
    u = np.sqrt(within_squares(points) + between**2)
    return u if np.all(np.isfinite(u) & (u > 0)) else np.ones(len(points))


def in_blocks(series: Series, blocks: int) -> Series:
    """Neighbouring days put together into so many blocks, each the mean of its days weighted by 1/u².

    The blocks hold equally many days, but for one more or less. Nothing is left out: a course over years is the same
    line through fewer, surer points.
    """
    edges = np.linspace(0, series.day.size, blocks + 1).astype(int)[:-1]
    weight = np.add.reduceat(series.weight, edges)
    day = np.add.reduceat(series.weight * series.day, edges) / weight
    mean = np.add.reduceat(series.weight * series.mean, edges) / weight
    return Series(day, mean, weight)


def _together(of_day: list[Measurement]) -> Measurement:
    """The sessions of one day as if all their throws were one session's: one day, one u_b (the greatest).

    Mean and SD are those of all throws together. The range is that of the session with the greatest mean, so that
    the order in which they came does not matter; on one day the ranges are the same in any case that makes sense.
    """
    ordered = sorted(of_day, key=lambda one: (one.mean, one.n))
    n = np.array([one.n for one in ordered], dtype=float)
    means, total = means_of(ordered), int(n.sum())
    mean = float(np.average(means, weights=n))
    squares = sum(throw_squares(one)[0] for one in ordered) + float(np.sum(n * (means - mean) ** 2))
    between = [one.u_between for one in ordered if one.u_between is not None and np.isfinite(one.u_between)]
    return Measurement(
        date=ordered[0].date,
        mean=mean,
        n=total,
        sd=float(np.sqrt(squares / (total - 1))),
        prior_sd=float(np.sqrt(np.average([known(one.prior_sd) ** 2 for one in ordered], weights=n))),
        u_between=max(between) if between else None,
        limits=ordered[-1].limits,
    )
