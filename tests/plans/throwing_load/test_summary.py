"""Sums for the chart: windows that say what they lack, weeks from Monday, months, daylight saving."""

from __future__ import annotations

import datetime

from hypothesis import given, settings
from hypothesis import strategies as st

from plans.throwing_load import Count, Source, days_between, months, rolling, span_of, weeks
from tests.plans.throwing_load.logs import november, quiet, threw


def test_windows_of_seven_and_twenty_eight_days_end_with_the_day():
    counts = [threw(1, 40), threw(2, 5), threw(23, 30), threw(29, 20)]
    last = rolling(days_between(counts, november(1), november(29)))[-1]

    assert (last.short.first, last.short.total) == (november(23), 50)
    assert (last.long.first, last.long.total) == (november(2), 55)


def test_a_window_says_how_many_days_nobody_entered():
    counts = [*quiet(20, 21), threw(22, 30), threw(24, None)]
    last = rolling(days_between(counts, november(1), november(24)))[-1]

    assert (last.short.unknown_days, last.short.without_number, last.short.is_whole) == (3, 1, False)
    assert (last.short.total, last.short.throwing_days) == (30, 2)


def test_what_lies_before_the_first_day_is_unknown_and_not_zero():
    first = rolling(days_between([threw(24, 30)], november(24), november(24)))[0]

    assert (first.short.total, first.short.unknown_days, first.long.unknown_days) == (30, 6, 27)


def test_a_window_in_which_every_day_was_entered_is_whole():
    days = days_between([*quiet(*range(18, 24)), threw(24, 30)], november(18), november(24))

    assert rolling(days)[-1].short.is_whole


def test_sources_stay_apart_in_sums():
    counts = [threw(23, 10), threw(24, 20, source=Source.SESSION), threw(24, 5, source=Source.DRILL)]
    span = span_of(days_between(counts, november(23), november(24)), november(23), november(24))

    assert (span.entered, span.session, span.drill, span.total) == (10, 20, 5, 35)


def test_weeks_begin_on_monday_and_the_ends_reach_as_far_as_the_days():
    days = days_between([threw(22, 10), threw(23, 20), threw(29, 30)], november(20), november(30))

    assert [(one.first.day, one.last.day, one.total) for one in weeks(days)] == [
        (20, 22, 10),
        (23, 29, 50),
        (30, 30, 0),
    ]


def test_the_week_over_new_year_is_one():
    first, last = datetime.date(2026, 12, 28), datetime.date(2027, 1, 3)
    counts = [Count(first, 10), Count(last, 20)]

    assert [one.total for one in weeks(days_between(counts, first, last))] == [30]


def test_months_are_those_of_the_calendar():
    first, last = datetime.date(2026, 10, 30), datetime.date(2026, 12, 2)
    counts = [Count(datetime.date(2026, 10, 31), 10), threw(1, 20), threw(30, 5), Count(last, 7)]

    assert [one.total for one in months(days_between(counts, first, last))] == [10, 25, 7]


def test_the_same_month_of_another_year_is_another_month():
    first, last = datetime.date(2025, 11, 30), datetime.date(2026, 11, 1)

    assert len(months(days_between([], first, last))) == 13


def test_no_days_make_no_chart():
    assert rolling([]) == weeks([]) == months([]) == ()


@settings(deadline=None)
@given(st.lists(st.integers(0, 120), min_size=1, max_size=30))
def test_weeks_and_months_lose_no_pitch(log):
    days = days_between([threw(n, p) for n, p in enumerate(log, 1)], november(1), november(len(log)))

    assert sum(one.total for one in weeks(days)) == sum(log)
    assert sum(one.total for one in months(days)) == sum(log)
    assert [point.short.total for point in rolling(days)] == [
        sum(log[max(0, n - 7) : n]) for n in range(1, len(log) + 1)
    ]
