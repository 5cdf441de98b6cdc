"""What is worked out from the person and judged like a screen: plain values in, plain values out (no Django)."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from metrics.catalogue import Metric
from metrics.catalogue.growth_chart import OBESE, OVERWEIGHT, bmi_at_percentile
from metrics.judging.gates import Case
from metrics.judging.ranges import resolve_case
from metrics.judging.severity import severity
from metrics.judging.values import Applied, BodySize, Conditions, Limits, NotScored
from metrics.judging.verdicts import Verdict, judge_one
from metrics.scoring.values import ProfileRules

MASS_U_KG = 0.5
"""Standard uncertainty of one body mass: scale, clothes and the time of day. House opinion, no source."""
MONTHS_A_YEAR = 12
YEAR_DAYS = 365.25
NO_CONDITIONS = Conditions(None, None, None, None)


@dataclass(frozen=True, slots=True)
class DayCount:
    """Throws of one day by one capture method."""

    date: dt.date
    method: str
    throws: int


@dataclass(frozen=True, slots=True)
class Judged:
    """`verdict` None: not judged, with the reason. `severity` as of a finding."""

    verdict: Verdict | None
    severity: float
    not_scored: NotScored | None


def body_mass_index(height_cm: float, mass_kg: float, height_u_cm: float) -> tuple[float, float]:
    """kg/m² and its standard uncertainty, from both measurements' own (GUM 5.1.2). ValueError for nothing."""
    if height_cm <= 0 or mass_kg <= 0:
        raise ValueError(f"a body has height and mass, got {height_cm:g} cm and {mass_kg:g} kg")
    bmi = mass_kg / (height_cm / 100.0) ** 2
    return bmi, bmi * math.hypot(MASS_U_KG / mass_kg, 2.0 * height_u_cm / height_cm)


def age_in_years(birth_date: dt.date, on: dt.date) -> float:
    """Years with their fraction, by days; the completed years that pages write are athletes.facts.age_on."""
    return (on - birth_date).days / YEAR_DAYS


def throws_in_days(counts: Iterable[DayCount], on: dt.date, days: int) -> tuple[int, int]:
    """Throws in the `days` days that end with `on`, and on how many of them there was any.

    Sessions of one day by one method are added. By several methods the greatest of their sums counts: it is taken for
    granted that the same throws were filmed and captured.
    """
    first = on - dt.timedelta(days=days - 1)
    by_day: defaultdict[dt.date, defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    for one in counts:
        if first <= one.date <= on:
            by_day[one.date][one.method] += one.throws
    a_day = [max(methods.values()) for methods in by_day.values()]
    return sum(a_day), sum(throws > 0 for throws in a_day)


def growth_chart_limits(birth_date: dt.date, on: dt.date) -> Limits | None:
    """The 85th percentile of the growth chart of boys as target edge and flag limit; None outside the chart's ages."""
    months = age_in_years(birth_date, on) * MONTHS_A_YEAR
    edge, next_edge = bmi_at_percentile(months, OVERWEIGHT), bmi_at_percentile(months, OBESE)
    if edge is None or next_edge is None:
        return None
    return Limits(target_high=edge, flag_high=edge, unit_high=next_edge - edge)


def range_of_person(
    metric: Metric, profile: ProfileRules, level: str | None, body_size: BodySize
) -> Applied | NotScored:
    """The profile's rule for what is worked out from the person, or why it has none."""
    return resolve_case(profile.rules, Case(metric.key, "hands_on", level, NO_CONDITIONS, body_size))


def judge_person(value: float, u: float, limits: Limits, profile: ProfileRules) -> Judged:
    """One value with its standard uncertainty, taken as normally distributed."""
    verdict = judge_one(value, u, math.inf, limits, profile.thresholds)
    if verdict.not_scored:
        return Judged(None, 0.0, verdict.not_scored)
    return Judged(verdict, float(severity(value, limits, profile.thresholds)), None)
