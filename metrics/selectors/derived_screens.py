"""What follows from an athlete's record on a date, never typed: age, body-mass index, growth, throws counted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db.models import Count, prefetch_related_objects

from athletes.facts import body_size_on, growth_on, level_on
from athletes.facts.growth import FEWEST_DAYS, GROWN_YEARS, HEIGHT_U_CM
from athletes.models import Athlete
from metrics.catalogue import Metric, load_catalogue
from metrics.judging.values import Applied, Limits, NotScored
from metrics.models import Finding
from metrics.profiles import rules_of, version_for
from metrics.scoring import ProfileRules
from metrics.scoring.person import (
    DayCount,
    age_in_years,
    body_mass_index,
    growth_chart_limits,
    judge_person,
    range_of_person,
    throws_in_days,
)
from metrics.services.scoring_facts import body_size_of
from sessions.models import Method, Throw

AGE, BMI, GROWTH = "age", "bmi", "height_velocity"
WORKLOAD_DAYS = {"workload_7_days": 7, "workload_28_days": 28}
THROWN = (Method.MOTION_CAPTURE, Method.VIDEO)
"""Capture methods whose rows are throws; a row of a hands-on session is a round of screens."""

NO_PROFILE = "No range profile is published and in use."
NO_SIZES = "A height and a mass are needed."
NO_HEIGHTS = f"Two heights at least {FEWEST_DAYS} days apart are needed, the later one not older than half a year."
GROWN = f"From {GROWN_YEARS} years on growth is not worked out."
AGE_SHOWN = "Context: shown, not judged."
WORKLOAD_SHOWN = (
    "Not judged: the published guideline limits pitches a day and days of rest, not throws in 7 or 28 days."
)
ELSEWHERE = "Throws entered for a day are not in it: the page “Throwing” counts all of them."
NO_CHART = "No growth chart reaches this age."
CHART_OF_BOYS = "The growth chart here is of boys, and the record does not say that this is one."


@dataclass(frozen=True, slots=True)
class DerivedScreen:
    """One value that follows from the record. `value` None: not known, with the reason.

    `value` and its standard uncertainty `u` in the metric's unit (age: years). `date`: of the measurement or throw that
    it rests on, the older one of two. `how`: what it was worked out from. `zone` and `sure` as of a finding;
    `side`, `p_out` and `p_flag` speak of the side that the value lies nearer to, also in range. Not judged: zone
    "not_scored", chances None, and `reason` says why. `other_zone` and `probability` are a finding's.
    """

    metric: str
    value: float | None
    u: float | None
    date: dt.date
    how: str
    zone: str = Finding.Zone.NOT_SCORED
    side: str = ""
    sure: str = ""
    p_in: float | None = None
    p_out: float | None = None
    p_flag: float | None = None
    severity: float = 0.0
    weight: float = 0.0
    reason: str = ""
    other_zone: str = ""
    probability: float | None = None

    @property
    def is_judged(self) -> bool:
        return self.zone != Finding.Zone.NOT_SCORED

    @property
    def of(self) -> Metric:
        return load_catalogue().metric(self.metric)


@dataclass(frozen=True, slots=True)
class _Measured:
    """A value before it is judged; `limits`: those that hold where the profile has no rule, or why there are none."""

    value: float | None
    u: float | None
    date: dt.date
    how: str
    reason: str = ""
    limits: Limits | str = ""


def derived_screens(athlete: Athlete, date: dt.date) -> tuple[DerivedScreen, ...]:
    """Every one that the catalogue has, in its order, held against the ranges in force on the date.

    A fixed number of queries, two of them spared for an athlete who was loaded `with_facts()`.
    """
    version = version_for(date)
    profile = rules_of(version) if version else None
    return _screens(_from_record(athlete, date) | _workload(athlete, date), athlete, date, profile)


def judged_screens(athlete: Athlete, date: dt.date, profile: ProfileRules | None) -> tuple[DerivedScreen, ...]:
    """Those that may be judged, by this profile: without throws counted. No query after `with_facts()`."""
    return _screens(_from_record(athlete, date), athlete, date, profile)


def _from_record(athlete: Athlete, date: dt.date) -> dict[str, _Measured]:
    prefetch_related_objects([athlete], "levels", "body_sizes")
    return {AGE: _age(athlete, date), BMI: _bmi(athlete, date), GROWTH: _growth(athlete, date)}


def _screens(
    measured: dict[str, _Measured], athlete: Athlete, date: dt.date, profile: ProfileRules | None
) -> tuple[DerivedScreen, ...]:
    metrics = [metric for key, metric in load_catalogue().metrics.items() if key in measured]
    return tuple(_judged(metric, measured[metric.key], athlete, date, profile) for metric in metrics)


def _age(athlete: Athlete, on: dt.date) -> _Measured:
    return _Measured(age_in_years(athlete.birth_date, on), 0.0, on, "From the date of birth.", AGE_SHOWN)


def _bmi(athlete: Athlete, on: dt.date) -> _Measured:
    sizes = body_size_on(athlete, on)
    if sizes.height is None or sizes.mass is None:
        return _Measured(None, None, on, "", NO_SIZES)
    value, u = body_mass_index(sizes.height.value, sizes.mass.value, HEIGHT_U_CM)
    how = (
        f"From the height of {_day(sizes.height.measured_on)} ({sizes.height.age_words}) "
        f"and the mass of {_day(sizes.mass.measured_on)} ({sizes.mass.age_words})."
    )
    limits = growth_chart_limits(athlete.birth_date, on)
    held = CHART_OF_BOYS if athlete.sex != "man" else limits or NO_CHART
    return _Measured(value, u, min(sizes.height.measured_on, sizes.mass.measured_on), how, limits=held)


def _growth(athlete: Athlete, on: dt.date) -> _Measured:
    growth = growth_on(athlete, on)
    if growth is None:
        grown = age_in_years(athlete.birth_date, on) >= GROWN_YEARS
        return _Measured(None, None, on, "", GROWN if grown else NO_HEIGHTS)
    how = f"From the heights of {_day(growth.since)} and {_day(growth.until)}, {growth.days} days apart."
    if growth.cm_year < -growth.half_width_cm_year:
        how += " The later one is smaller by more than measuring error: look at both numbers."
    return _Measured(growth.cm_year, growth.u_cm_year, growth.until, how)


def _workload(athlete: Athlete, on: dt.date) -> dict[str, _Measured]:
    counts = _throws_of_days(athlete, on, max(WORKLOAD_DAYS.values()))
    found = {}
    for key, days in WORKLOAD_DAYS.items():
        throws, on_days = throws_in_days(counts, on, days)
        since = f"{_day(on - dt.timedelta(days=days - 1))} to {_day(on)}"
        thrown = f"On {on_days} {'day' if on_days == 1 else 'days'} of" if throws else "None in"
        how = f"{thrown} {since}, in the sessions kept here, warm-ups included. {ELSEWHERE}"
        found[key] = _Measured(float(throws), 0.0, on, how, WORKLOAD_SHOWN)
    return found


def _throws_of_days(athlete: Athlete, on: dt.date, days: int) -> Sequence[DayCount]:
    """Also throws that findings leave out: they were thrown. What was withdrawn was a mistake."""
    rows = (
        Throw.objects.filter(
            session__athlete=athlete,
            session__withdrawn_at=None,
            session__method__in=THROWN,
            session__date__range=(on - dt.timedelta(days=days - 1), on),
        )
        .order_by()
        .values_list("session__date", "session__method")
        .annotate(throws=Count("pk"))
    )
    return [DayCount(date, method, throws) for date, method, throws in rows]


def _judged(
    metric: Metric, one: _Measured, athlete: Athlete, on: dt.date, profile: ProfileRules | None
) -> DerivedScreen:
    weight = (profile.weights if profile else {}).get(metric.key, metric.weight)
    shown = DerivedScreen(metric.key, one.value, one.u, one.date, one.how, weight=weight, reason=one.reason)
    if one.value is None or one.u is None or one.reason:
        return shown
    if profile is None:
        return replace(shown, reason=NO_PROFILE)
    limits = _limits(metric, one, athlete, on, profile)
    if isinstance(limits, str):
        return replace(shown, reason=limits)
    judged = judge_person(one.value, one.u, limits, profile)
    verdict = judged.verdict
    if verdict is None:
        return replace(shown, reason=judged.not_scored.sentence if judged.not_scored else "")
    return replace(
        shown,
        zone=verdict.zone,
        side=verdict.near_side,
        sure=verdict.sure,
        p_in=verdict.p_in,
        p_out=verdict.p_out,
        p_flag=verdict.p_flag,
        severity=judged.severity,
        other_zone=verdict.other_zone,
        probability=verdict.probability,
    )


def _limits(metric: Metric, one: _Measured, athlete: Athlete, on: dt.date, profile: ProfileRules) -> Limits | str:
    """The profile's where it has a rule; else those that come with the value, or why it is not judged."""
    applied: Applied | NotScored = range_of_person(metric, profile, level_on(athlete, on), body_size_of(athlete, on))
    if isinstance(applied, Applied):
        return applied.limits
    return one.limits or applied.sentence


def _day(date: dt.date) -> str:
    return f"{date:%-d %B %Y}"
