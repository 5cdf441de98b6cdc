"""Throws of a day, entered: what is stored, what is refused in words, what is asked about."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.db.utils import OperationalError

from athletes.models import ChangeLog
from athletes.services.consent import withdraw_consent
from plans.models import ThrowCount
from plans.services.throws import change_throws, enter_throws, restore_throws, withdraw_throws
from tests.factories import DAY, AthleteFactory
from tests.factories.plans import ThrowCountFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ONE_DAY = dt.timedelta(days=1)


@pytest.fixture
def enter(athlete, coach):
    """`enter(date=…, what="game", pitches=45)`"""

    def call(**told):
        return enter_throws(athlete=athlete, by=coach, **{"date": DAY, "what": "practice", "pitches": 45, **told})

    return call


def refusal(call, **told) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as refused:
        call(**told)
    return refused.value.message_dict if hasattr(refused.value, "error_dict") else {"": refused.value.messages}


def test_an_outing_is_kept_with_who_and_when_and_stands_in_the_change_log(enter, athlete, coach, clock):
    row = enter(what="game", past_midnight=True, date=DAY - ONE_DAY, words="  league   game ")
    assert (row.date, row.ended_on, row.pitches, row.is_game) == (DAY - ONE_DAY, DAY, 45, True)
    assert (row.words, row.entered_by, row.entered_at) == ("league game", coach, clock.now)
    line = ChangeLog.objects.get(action="throws.entered")
    assert (line.athlete_uuid, line.after["pitches"]) == (athlete.uuid, 45)
    assert "league game" not in str(line.after), "words are the family’s own, and the log outlives an erasure"


def test_a_day_without_throws_is_a_nought_and_pitches_nobody_counted_are_empty(enter):
    assert enter(what="none", pitches=None).pitches == 0
    assert enter(pitches=None, nobody_counted=True, date=DAY - ONE_DAY).pitches is None


@pytest.mark.parametrize(
    ("told", "field", "said"),
    [
        ({"pitches": 400}, "pitches", "400 pitches in one outing cannot be. Write a number from 1 to 300."),
        ({"pitches": -3}, "pitches", "cannot be"),
        ({"pitches": 0}, "pitches", "choose “no throwing”"),
        ({"pitches": None}, "pitches", "or tick that nobody counted"),
        ({"nobody_counted": True}, "pitches", "keep one of the two"),
        ({"what": "none"}, "pitches", "No throwing, and pitches too"),
        ({"what": "none", "pitches": None, "past_midnight": True, "date": DAY - ONE_DAY}, "what", "past midnight"),
        ({"what": "juggling"}, "what", "“juggling” is none of these"),
        ({"date": DAY + ONE_DAY}, "date", "15 April 2026 lies ahead (today is 14 April 2026). Enter"),
        ({"past_midnight": True}, "date", "has not run past midnight yet"),
        ({"date": DAY - dt.timedelta(days=400)}, "date", "10 March 2025 is more than a year ago"),
        ({"words": "x" * 121}, "words", "At most 120 characters"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(enter, told, field, said):
    found = refusal(enter, **told)
    assert said in found[field][0]
    assert not ThrowCount.everything.exists()


def test_everything_that_is_wrong_is_said_at_once(enter):
    assert set(refusal(enter, date=DAY + ONE_DAY, pitches=400)) == {"date", "pitches"}


def test_a_day_before_the_birth_is_refused(coach, facility):
    child = AthleteFactory(birth_date=DAY - 100 * ONE_DAY)
    call = lambda **told: enter_throws(athlete=child, by=coach, what="practice", pitches=5, **told)  # noqa: E731
    assert "3 January 2026 is before the birth" in refusal(call, date=DAY - 101 * ONE_DAY)["date"][0]


def test_the_same_within_a_minute_is_asked_about_and_kept_when_it_is_another_outing(enter, clock):
    enter()
    clock.move(seconds=59)
    assert "less than a minute ago" in refusal(enter)["again"][0]
    assert ThrowCount.objects.count() == 1
    enter(again=True)
    assert ThrowCount.objects.count() == 2


def test_two_outings_of_a_day_are_allowed(enter, clock):
    enter()
    enter(pitches=30)  # another number is no double tap
    clock.move(minutes=2)
    enter()
    assert ThrowCount.objects.count() == 3


def test_the_same_number_of_another_athlete_is_not_asked_about(enter, coach):
    enter()
    other = AthleteFactory()
    assert enter_throws(athlete=other, by=coach, date=DAY, what="practice", pitches=45).athlete == other


def test_the_day_is_the_facilitys(enter, clock):
    """23:30 in Chicago is already tomorrow in UTC."""
    clock.now = dt.datetime(2026, 4, 15, 4, 30, tzinfo=dt.UTC)
    assert enter().date == DAY
    assert "lies ahead" in refusal(enter, date=DAY + ONE_DAY)["date"][0]


def test_without_consent_nothing_is_entered_or_changed(athlete, coach, enter):
    kept = enter()
    for consent in athlete.consents.all():
        withdraw_consent(consent=consent, on=DAY, by=coach)
    athlete.refresh_from_db()
    assert "Consent was withdrawn on 14 April 2026: no" in refusal(enter, pitches=20)[""][0]
    call = lambda **told: change_throws(count=kept, by=coach, date=DAY, what="game", **told)  # noqa: E731
    assert "Consent was withdrawn" in refusal(call, pitches=20)[""][0]


def test_a_change_keeps_what_stood_before_in_the_log(enter, coach):
    row = change_throws(count=enter(), date=DAY - ONE_DAY, what="game", pitches=50, by=coach)
    assert (row.date, row.pitches, row.is_game) == (DAY - ONE_DAY, 50, True)
    line = ChangeLog.objects.get(action="throws.changed")
    assert (line.before["pitches"], line.after["pitches"]) == (45, 50)


def test_a_change_is_held_to_the_same_rules(enter, coach):
    call = lambda **told: change_throws(count=row, date=DAY, what="game", by=coach, **told)  # noqa: E731
    row = enter()
    assert "cannot be" in refusal(call, pitches=400)["pitches"][0]
    assert ThrowCount.objects.get().pitches == 45


def test_an_entry_that_was_taken_away_comes_back_and_is_not_changed_meanwhile(enter, coach):
    row = enter()
    withdraw_throws(count=row, by=coach)
    assert not ThrowCount.objects.exists()
    call = lambda **told: change_throws(count=row, date=DAY, what="game", by=coach, **told)  # noqa: E731
    assert "took this entry away" in refusal(call, pitches=50)[""][0]
    restore_throws(count=row, by=coach)
    assert ThrowCount.objects.get().pitches == 45


def test_killed_at_every_call_of_the_database_it_leaves_all_or_nothing(enter):
    number = 0
    while not ThrowCount.objects.exists():
        number += 1
        calls = iter(range(1, 1000))

        def stop(execute, *rest, at=number, calls=calls):
            if next(calls) == at:
                raise OperationalError("killed")
            return execute(*rest)

        try:
            with connection.execute_wrapper(stop):
                enter()
        except OperationalError:
            assert not ThrowCount.objects.exists()
            assert not ChangeLog.objects.filter(action="throws.entered").exists()
        assert number < 100
    assert number > 5
    assert ChangeLog.objects.filter(action="throws.entered").count() == 1


def test_the_factory_makes_what_the_service_makes(enter):
    """Else tests of pages would look at rows that cannot be."""
    made, entered = ThrowCountFactory(), enter(pitches=40)
    assert (made.date, made.pitches, made.is_game) == (entered.date, entered.pitches, entered.is_game)
