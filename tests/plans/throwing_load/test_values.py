"""Counts and days: three sources kept apart, a day without a word is unknown, a game that runs past midnight."""

from __future__ import annotations

import datetime
from zoneinfo import ZoneInfo

import pytest

from plans.throwing_load import BadCount, Source, days_between, days_of_outing
from tests.plans.throwing_load.logs import november, quiet, threw

CHICAGO = ZoneInfo("America/Chicago")


def day_of(*counts):
    return days_between(counts, november(24), november(24))[0]


def test_sources_are_kept_apart_and_summed():
    day = day_of(
        threw(24, 30, is_game=True),
        threw(24, 15),
        threw(24, 20, source=Source.SESSION),
        threw(24, 10, source=Source.DRILL),
    )

    assert (day.entered, day.session, day.drill, day.total) == (45, 20, 10, 75)
    assert (day.games, day.outings) == (1, 3)


def test_a_day_without_a_word_is_unknown_and_one_entered_as_none_is_not():
    silent, entered = day_of(), day_of(*quiet(24))

    assert (silent.is_unknown, silent.threw, silent.total) == (True, False, 0)
    assert (entered.is_unknown, entered.threw, entered.says_none) == (False, False, True)


@pytest.mark.parametrize("source", [Source.SESSION, Source.DRILL])
def test_a_session_or_drill_without_pitches_says_nothing_of_the_day(source):
    assert day_of(threw(24, 0, source=source)).is_unknown


def test_an_outing_that_nobody_counted_is_throwing_without_a_number():
    day = day_of(threw(24, None, is_game=True), threw(24, 12))

    assert (day.threw, day.total, day.without_number, day.games) == (True, 12, 1, 1)


def test_every_day_is_there_in_order_and_counts_outside_are_left():
    days = days_between([threw(20, 9), threw(22, 5), threw(25, 9)], november(21), november(24))

    assert [(day.date.day, day.total) for day in days] == [(21, 0), (22, 5), (23, 0), (24, 0)]


def test_a_span_that_ends_before_it_begins_has_no_days():
    assert days_between([threw(22, 5)], november(23), november(22)) == ()


@pytest.mark.parametrize("pitches", [-1, 301])
def test_a_number_that_cannot_be_is_refused(pitches):
    with pytest.raises(BadCount, match="from 0 to 300"):
        threw(24, pitches)


def test_a_session_is_no_game():
    with pytest.raises(BadCount, match="Enter the game by itself"):
        threw(24, 20, source=Source.SESSION, is_game=True)


@pytest.mark.parametrize("ended", [23, 26])
def test_an_outing_ends_on_its_day_or_the_next(ended):
    with pytest.raises(BadCount, match="or the one after"):
        threw(24, 20, ended_on=november(ended))


def test_a_game_past_midnight_belongs_to_the_day_on_which_it_began():
    began, ended = days_of_outing(
        datetime.datetime(2026, 11, 25, 3, 30, tzinfo=datetime.UTC),
        datetime.datetime(2026, 11, 25, 6, 20, tzinfo=datetime.UTC),
        CHICAGO,
    )
    assert (began, ended) == (november(24), november(25))

    first, second = days_between([threw(24, 40, ended_on=ended)], began, ended)
    assert (first.total, first.ran_past_midnight) == (40, True)
    assert (second.total, second.is_unknown) == (0, True)


def test_midnight_is_that_of_the_facility_not_of_greenwich():
    """18:30 to 20:00 in Chicago lies on both sides of midnight in UTC."""
    began = datetime.datetime(2026, 11, 24, 18, 30, tzinfo=CHICAGO)

    assert days_of_outing(began, began + datetime.timedelta(hours=1.5), CHICAGO) == (november(24), november(24))


@pytest.mark.parametrize(
    ("began_utc", "day"),
    [
        ("2026-03-08T05:59:00+00:00", "2026-03-07"),  # 23:59, the night that the clocks go forward
        ("2026-03-08T06:00:00+00:00", "2026-03-08"),
        ("2026-03-09T04:59:00+00:00", "2026-03-08"),  # 23:59 of a day of 23 hours
        ("2026-03-09T05:00:00+00:00", "2026-03-09"),
        ("2026-11-02T05:59:00+00:00", "2026-11-01"),  # 23:59 of a day of 25 hours
        ("2026-11-02T06:00:00+00:00", "2026-11-02"),
    ],
)
def test_days_on_which_the_clocks_change_end_at_their_own_midnight(began_utc, day):
    began = datetime.datetime.fromisoformat(began_utc)

    assert days_of_outing(began, began, CHICAGO)[0] == datetime.date.fromisoformat(day)


def test_an_hour_that_comes_twice_is_no_end_before_the_beginning():
    """1:50 before the clocks go back, then 1:10 after: twenty minutes."""
    began = datetime.datetime(2026, 11, 1, 1, 50, tzinfo=CHICAGO)
    ended = datetime.datetime(2026, 11, 1, 1, 10, tzinfo=CHICAGO, fold=1)

    assert days_of_outing(began, ended, CHICAGO) == (november(1), november(1))


def test_an_outing_that_ends_before_it_begins_or_has_no_zone_is_refused():
    began = datetime.datetime(2026, 11, 24, 18, 30, tzinfo=CHICAGO)

    with pytest.raises(BadCount, match="before it begins"):
        days_of_outing(began, began - datetime.timedelta(minutes=1), CHICAGO)
    with pytest.raises(BadCount, match="need a time zone"):
        days_of_outing(began.replace(tzinfo=None), began, CHICAGO)
