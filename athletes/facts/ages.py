"""Age in completed years and months."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from athletes.models.ties import ADULT_YEARS
from athletes.quantities import age_in_years_and_months


@dataclass(frozen=True, slots=True, order=True)
class Age:
    years: int
    months: int

    @property
    def words(self) -> str:
        return f"{self.years} y {self.months} m"

    def __str__(self) -> str:
        return self.words


def age_on(birth_date: dt.date, on: dt.date) -> Age:
    """Completed years and months on a date.

    A month is completed on the same day of the month, or, where that month is too short, on the first day of
    the next: someone born on 29 February turns a year older on 1 March of a common year. Raises ValueError for
    a date before the birth.
    """
    return Age(*age_in_years_and_months(birth_date, on))


def is_minor(birth_date: dt.date, on: dt.date) -> bool:
    return age_on(birth_date, on).years < ADULT_YEARS
