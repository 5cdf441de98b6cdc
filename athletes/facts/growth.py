"""How fast an athlete grows in height: from two measurements, with the uncertainty that measuring has.

A rate is always that between two dates; nothing is carried on beyond the last measurement.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

from athletes.facts.ages import age_on, is_minor
from athletes.facts.known import rows_of
from athletes.facts.sizes import OLD_AFTER_DAYS, Measurement
from athletes.models import Athlete

FEWEST_DAYS = 90
"""Two heights closer than this say more about measuring than about growing. Common paediatric practice (two visits at
least three months apart), no published source."""
USUAL_DAYS = 365
MOST_DAYS = 730
"""The pair nearest to a year apart is used, since growth has its seasons; a pair more than two years apart says nothing
of how fast somebody grows now. House opinion."""
HEIGHT_U_CM = 0.5
"""Standard uncertainty of one height: stadiometer, shoes off, the time of day left open. House opinion, no source."""
FAST_CM_YEAR = 7.0
"""Over this is growing fast. Common paediatric practice, no published source."""
YEAR_DAYS = 365.25
GROWN_YEARS = 20
"""From here on nobody is called growing: published growth charts of height end at 20 years."""
HALF_WIDTH = 1.96
"""Of an interval that holds 95%: the normal distribution."""


@dataclass(frozen=True, slots=True)
class Growth:
    """The rate between two heights in cm, measured on two dates."""

    from_cm: float
    to_cm: float
    since: dt.date
    until: dt.date

    @property
    def days(self) -> int:
        return (self.until - self.since).days

    @property
    def cm_year(self) -> float:
        """Below zero where the later height is the smaller one: measuring error, or a wrong number."""
        return (self.to_cm - self.from_cm) / self.days * YEAR_DAYS

    @property
    def u_cm_year(self) -> float:
        """Standard uncertainty: both heights' own, independent of each other (GUM 5.1.2)."""
        return math.sqrt(2) * HEIGHT_U_CM / self.days * YEAR_DAYS

    @property
    def half_width_cm_year(self) -> float:
        return HALF_WIDTH * self.u_cm_year


def growth_between(heights: Iterable[Measurement], on: dt.date) -> Growth | None:
    """The rate that holds on a date, or None when no two heights say it.

    heights: (date, cm), in any order. Between two measurements the rate is that across the date. After the last one it
    is that up to the last one, as long as that is not old (180 days). The earlier height is the one nearest to a year
    before the later one, of those 90 days to two years before it that were made by the date.
    """
    rows = sorted(heights)
    after = next((row for row in rows if row[0] > on), None)
    before = max((row for row in rows if row[0] <= on), default=None)
    for later in (after, before if before and (on - before[0]).days <= OLD_AFTER_DAYS else None):
        earlier = _earlier(rows, later, on) if later else None
        if earlier and later:
            return Growth(earlier[1], later[1], earlier[0], later[0])
    return None


def _earlier(rows: Iterable[Measurement], later: Measurement, on: dt.date) -> Measurement | None:
    apart = {row: (later[0] - row[0]).days for row in rows if row[0] <= on}
    fitting = [row for row, days in apart.items() if FEWEST_DAYS <= days <= MOST_DAYS]
    return min(fitting, key=lambda row: (abs(apart[row] - USUAL_DAYS), apart[row]), default=None)


def growth_on(athlete: Athlete, on: dt.date) -> Growth | None:
    """How fast the athlete's height grew around a date; None when it is not known, or the athlete is grown."""
    if on < athlete.birth_date or age_on(athlete.birth_date, on).years >= GROWN_YEARS:
        return None
    heights = [(row.date, row.height_cm) for row in rows_of(athlete, "body_sizes") if row.height_cm is not None]
    return growth_between(heights, on)


def growing_fast_on(athlete: Athlete, on: dt.date) -> Growth | None:
    """The growth where it is over 7 cm a year, else None.

    The estimate decides, and its ± stands beside it: to miss a spurt is worse than to look again. Of somebody of 18 or
    19 years also the lower end of the interval must show that there is growth at all.
    """
    growth = growth_on(athlete, on)
    if growth is None or growth.cm_year <= FAST_CM_YEAR:
        return None
    grows = is_minor(athlete.birth_date, on) or growth.cm_year > growth.half_width_cm_year
    return growth if grows else None
