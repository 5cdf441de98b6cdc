"""What works here as its page shows it: flag by flag, what was given for it, and the same flag without."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from athletes.models import User
from plans.library import end_words
from plans.models import Intervention
from plans.responding.shares import Interval
from plans.responding.works_here import COUNTED, FEWEST_ATHLETES, Cell, Claim, Tally
from plans.selectors.library import latest_versions, readable
from plans.selectors.worked import kept_table
from plans.share_strip import share_strip

WORDS = tuple(COUNTED)
NO_COURSE = f"fewer than {FEWEST_ATHLETES} athletes, not shown"
CLAIM_ORDER = (Claim.BETTER, Claim.NOT_SHOWN, Claim.TOO_FEW, Claim.WORSE)


@dataclass(frozen=True, slots=True)
class Share:
    """One outcome of one group. `percent` and `between` are whole percents, in words."""

    label: str
    count: int
    total: int
    interval: Interval

    @property
    def percent(self) -> int:
        return round(100 * self.interval.estimate)

    @property
    def between(self) -> str:
        return f"{round(100 * self.interval.low)} to {round(100 * self.interval.high)}%"

    @property
    def picture(self) -> str:
        return share_strip(self.interval)


@dataclass(frozen=True, slots=True)
class WorksRow:
    """An intervention for a flag. `without` is empty where too few athletes had no work for it."""

    key: str
    name: str
    kind: str
    flag: str
    metric: str
    total: int
    with_work: list[Share]
    total_without: int
    without: list[Share]
    claim: Claim
    difference: Interval | None

    @property
    def claim_words(self) -> str:
        return f"{str(self.claim).capitalize()}."

    @property
    def difference_words(self) -> str:
        """How many more of a hundred got better than without; empty where it cannot be compared."""
        if self.difference is None:
            return ""
        low, high = more_words(self.difference.low), more_words(self.difference.high)
        return f"Of 100 athletes {more_words(self.difference.estimate)} got better, likely {low} to {high}."


@dataclass(frozen=True, slots=True)
class WorksPage:
    """`at`: when it was worked out, None before it ever was. `compared`: rows with both groups."""

    at: dt.datetime | None
    flags: list[tuple[str, list[WorksRow]]]
    compared: int
    by_chance: float
    metrics: list[tuple[str, str]]

    @property
    def rows(self) -> list[WorksRow]:
        return [row for _, rows in self.flags for row in rows]


def works_here_page(reader: User, *, metric: str = "", kind: str = "") -> WorksPage:
    """One query. What is narrowed away still counts for what chance alone would give: all of it was looked at."""
    kept = kept_table()
    if kept is None:
        return WorksPage(None, [], 0, 0.0, [])
    versions = latest_versions(Intervention.everything.visible_to(reader))
    known = {one.intervention.key: value for one, value in readable(versions)}
    rows = list(_rows(kept.table.cells, known))
    metrics = sorted({row.metric: row.flag.partition(":")[0] for row in rows}.items(), key=lambda pair: pair[1])
    chosen = [row for row in rows if metric in ("", row.metric) and kind in ("", row.kind)]
    chosen.sort(key=lambda row: (row.flag, CLAIM_ORDER.index(row.claim), -row.with_work[0].interval.estimate))
    flags = [(flag, list(of_flag)) for flag, of_flag in groupby(chosen, key=lambda row: row.flag)]
    compared = sum(row.difference is not None for row in rows)
    return WorksPage(kept.at, flags, compared, kept.table.false_claims_expected, metrics)


def works_table(rows: Iterable[WorksRow]) -> Iterator[list[Any]]:
    """As a file: counts and both ends of each interval, work and course without in one line."""
    sides = ("with it", "without")
    yield [
        "Flag",
        "Intervention",
        *(f"{what}, {side}" for side in sides for what in ("athletes", *_columns())),
        "better, difference of shares",
        "from",
        "to",
        "What may be said",
    ]
    for row in rows:
        given = row.difference
        ends = [round(one, 3) for one in (given.estimate, given.low, given.high)] if given else [None, None, None]
        counts = [*_cells(row.total, row.with_work), *_cells(row.total_without, row.without)]
        yield [row.flag, row.name, *counts, *ends, str(row.claim)]


def more_words(share: float) -> str:
    """ "20 more", "5 fewer", "as many", of a hundred."""
    count = round(100 * share)
    return f"{count} more" if count > 0 else f"{-count} fewer" if count else "as many"


def _columns() -> list[str]:
    return [f"{word}{what}" for word in WORDS for what in ("", " from", " to")]


def _cells(total: int, shares: list[Share]) -> list[Any]:
    if not shares:
        return [f"under {FEWEST_ATHLETES}", *[None] * len(_columns())]
    numbers = ((one.count, round(one.interval.low, 3), round(one.interval.high, 3)) for one in shares)
    return [total, *(number for three in numbers for number in three)]


def _rows(cells: Iterable[Cell], known: Mapping[str, Any]) -> Iterator[WorksRow]:
    for cell in cells:
        key = str(cell.intervention)
        if not cell.with_work.hidden and key in known:
            yield WorksRow(
                key=key,
                name=known[key].name,
                kind=known[key].kind,
                flag=end_words((cell.flag.metric, cell.flag.side)),
                metric=cell.flag.metric,
                total=cell.with_work.total,
                with_work=_shares(cell.with_work),
                total_without=cell.without_work.total,
                without=_shares(cell.without_work),
                claim=cell.claim,
                difference=cell.difference,
            )


def _shares(tally: Tally) -> list[Share]:
    if tally.hidden:
        return []
    return [Share(word.value, tally.counts[word], tally.total, tally.shares[word]) for word in WORDS]
