"""The year's rule, told only as far as the entered days tell it; innings as the reference has them."""

from __future__ import annotations

import datetime

import pytest

from plans.throwing_load import Count, Off, days_between, innings_limit, time_off

LAST = datetime.date(2026, 11, 24)
ALL = range(365)


def back(days: int) -> datetime.date:
    return LAST - datetime.timedelta(days=days)


def year(throwing=(), off=()):
    counts = [Count(back(one), 20) for one in throwing] + [Count(back(one), 0) for one in off]
    return time_off(days_between(counts, back(364), LAST))


def test_days_that_nobody_entered_are_neither_off_nor_throwing():
    found = year(throwing=range(0, 40, 2), off=range(100, 110))

    assert (found.throwing_days, found.off_days, found.unknown_days) == (20, 10, 335)
    assert (found.four_months, found.two_in_a_row) == (Off.CANT_TELL, Off.CANT_TELL)


def test_four_months_entered_as_off_are_off():
    found = year(throwing=range(120, 365), off=range(120))

    assert (found.four_months, found.two_in_a_row, found.longest_known) == (Off.YES, Off.YES, 120)


def test_a_day_fewer_is_not():
    found = year(throwing=range(119, 365), off=range(119))

    assert (found.four_months, found.two_in_a_row) == (Off.NO, Off.YES)


def test_four_months_in_pieces_are_not_two_in_a_row():
    """Off for six days in every seven."""
    throwing = [one for one in ALL if one % 7 == 0]
    found = year(throwing=throwing, off=sorted(set(ALL) - set(throwing)))

    assert (found.four_months, found.two_in_a_row, found.longest_possible) == (Off.YES, Off.NO, 6)


def test_pitches_every_few_weeks_rule_two_months_in_a_row_out_whatever_nobody_entered():
    found = year(throwing=range(0, 365, 59))

    assert (found.four_months, found.two_in_a_row) == (Off.CANT_TELL, Off.NO)
    assert year(throwing=range(0, 365, 61)).two_in_a_row is Off.CANT_TELL


def test_what_was_not_given_is_unknown():
    found = time_off(days_between([Count(LAST, 20)], LAST, LAST))

    assert (found.throwing_days, found.unknown_days) == (1, 364)


def test_only_the_last_365_days_count():
    days = days_between([Count(back(365), 20)], back(400), LAST)

    assert time_off(days).throwing_days == 0


def test_without_a_day_there_is_no_year():
    with pytest.raises(ValueError, match="No days"):
        time_off([])


@pytest.mark.parametrize(
    ("age", "innings"),
    [(None, None), (6, None), (7, 60), (8, 60), (9, 80), (12, 80), (13, 100), (14, 100), (15, None)],
)
def test_innings_by_age_as_the_reference_has_them(age, innings):
    """Reference: "at most 60 innings in 12 months to age 8, 80 for 9-12, 100 for 13-14"."""
    assert innings_limit(age) == innings
