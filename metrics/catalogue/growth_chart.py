"""Body-mass index for age: what a percentile of the growth chart of boys comes to at an age.

Source: CDC 2000 growth charts (Kuczmarski et al. 2002, Vital Health Stat 11(246)), parameters L, M and S of boys at the
middle of each year's first month, as the reference table body_size.csv holds them: data/bmi_for_age_boys.csv. Between
two ages each parameter is taken on the straight line. There is no chart of girls here.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from itertools import pairwise
from statistics import NormalDist
from typing import NamedTuple

FILE = "bmi_for_age_boys.csv"
OVERWEIGHT = 0.85
"""The percentile at which pitchers were grouped: Int J Appl Sports Sci 2023;35:88-100, abstract (20 of high school)."""
OBESE = 0.95
"""The chart's next named percentile; only its distance from the other is used, as the unit of severity."""


class AtAge(NamedTuple):
    """The chart's parameters at one age in months: power, median in kg/m², coefficient of variation."""

    age_months: float
    l: float  # noqa: E741  the chart's own name
    m: float
    s: float


@cache
def load_chart() -> tuple[AtAge, ...]:
    """By age, the youngest first."""
    text = (files("metrics.catalogue") / "data" / FILE).read_text(encoding="utf-8")
    return tuple(
        AtAge(**{name: float(cell) for name, cell in row.items()}) for row in csv.DictReader(text.splitlines())
    )


def chart_at(age_months: float) -> AtAge | None:
    """The parameters at an age; None outside the chart, which holds 84.5 to 240 months."""
    for younger, older in pairwise(load_chart()):
        if younger.age_months <= age_months <= older.age_months:
            share = (age_months - younger.age_months) / (older.age_months - younger.age_months)
            return AtAge(*(one + share * (other - one) for one, other in zip(younger, older, strict=True)))
    return None


def bmi_at_percentile(age_months: float, share: float) -> float | None:
    """The body-mass index in kg/m² under which this share of boys of the age lies; None outside the chart.

    `M·(1 + L·S·z)^(1/L)` (Cole's method, as the chart's own documentation gives it). ValueError for a share that is not
    between 0 and 1.
    """
    at = chart_at(age_months)
    z = NormalDist().inv_cdf(share)
    return None if at is None else at.m * (1.0 + at.l * at.s * z) ** (1.0 / at.l)


def percentile_of_bmi(age_months: float, bmi: float) -> float | None:
    """The share of boys of the age whose body-mass index is lower; None outside the chart."""
    at = chart_at(age_months)
    return None if at is None else NormalDist().cdf(((bmi / at.m) ** at.l - 1.0) / (at.l * at.s))
