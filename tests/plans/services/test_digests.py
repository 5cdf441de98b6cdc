"""The daily letter: one a day and person, in the facility's morning, through every kind of bad luck."""

from __future__ import annotations

import datetime as dt
import smtplib
import zoneinfo

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.mail.backends.base import BaseEmailBackend

from athletes.models import Facility, OutgoingMail
from athletes.services.mail import send_what_waits
from plans.models import Digest, FollowUp
from plans.services import digests
from plans.services.digests import choose_digest, write_digest, write_digests
from plans.tasks import write_digests_of_today
from tests.factories import DAY, AthleteFactory, UserFactory
from tests.metrics.imports.dying import Killed, dying_at, undone
from tests.plans.follow_ups import due

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility", "no_broker")]
CHICAGO = zoneinfo.ZoneInfo("America/Chicago")


@pytest.fixture
def no_broker(monkeypatch):
    monkeypatch.setattr("athletes.services.mail.broker_answers", lambda: False)


@pytest.fixture
def at(clock):
    """`at(6, 30)`: the facility's wall clock on the ordinary day, or on another."""

    def move(hour, minute=0, day=DAY, zone=CHICAGO):
        clock.now = dt.datetime.combine(day, dt.time(hour, minute), tzinfo=zone)

    move(6, 30)
    return move


@pytest.fixture
def owner(coach):
    coach.email = "coach@mound.example"
    coach.save()
    return coach


@pytest.fixture
def late(owner):
    return due("Joon Barreto", -2, coach=owner)


def letters() -> list[OutgoingMail]:
    return list(OutgoingMail.objects.order_by("pk"))


# ---- what it says -------------------------------------------------------------------------------------


def test_it_tells_late_due_and_coming_with_names_cut_short(owner, late, at, settings):
    settings.PUBLIC_ADDRESS = "https://mound.example"
    due("Sione Varga", 0, coach=owner, word="better")
    due("Ikaika Strand", 5, coach=owner)
    due("Tadhg Distant", 8, coach=owner)
    assert write_digests() == 1
    (letter,) = letters()
    assert (letter.to, letter.subject) == ("coach@mound.example", "Follow-ups: 1 late, 1 due today")
    parts = letter.body.split("\n\n")
    assert parts[0] == "Follow-ups on 14 April 2026"
    assert [part.split("\n")[0] for part in parts[1:4]] == ["Late", "Due today", "In the next seven days"]
    assert "- Joon B., " in parts[1]
    assert "2 days late. Needs a hands-on screen: " in parts[1]
    assert parts[2].endswith("due today. Measured: ready to decide.")
    assert "https://mound.example/follow-ups/" in letter.body
    assert "https://mound.example/account/reminders/" in letter.body
    for hidden in ("Barreto", "Varga", "Strand", "Tadhg", "38°", "better"):
        assert hidden not in letter.body


def test_a_long_list_is_counted(owner, at):
    for number in range(23):
        due(f"Of K{number}", -1, coach=owner)
    write_digests()
    body = letters()[0].body
    assert body.count("- Of K.") == 20
    assert "- and 3 more" in body


def test_what_is_only_coming_is_no_reason_to_write(owner, at):
    due("Joon Barreto", 1, coach=owner)
    assert write_digests() == 0
    assert letters() == []


def test_it_tells_a_coach_of_their_own_and_an_admin_of_all(owner, late, at, admin):
    admin.email = "admin@mound.example"
    admin.save()
    due("Of Nobody", -1)
    assert write_digests() == 2
    told = {letter.to: letter.subject for letter in letters()}
    assert told == {"coach@mound.example": "Follow-ups: 1 late", "admin@mound.example": "Follow-ups: 2 late"}


@pytest.mark.parametrize("gone", ["decided", "withdrawn", "consent"])
def test_what_waits_for_nobody_is_not_told(gone, late, at, owner):
    work = late.prescription
    if gone == "decided":
        FollowUp.objects.update(decision="closed", decided_at=late.changed_at)
    elif gone == "withdrawn":
        work.mark_withdrawn(owner, "typed twice")
        work.save()
    else:
        work.athlete.consent_withdrawn_on = DAY
        work.athlete.save()
    assert write_digests() == 0


def test_a_name_cannot_break_the_letters_lines(owner, at):
    athlete = AthleteFactory(given_name="Joon\nBcc: x@y.example", family_name="Barreto", responsible_coach=owner)
    due("x", -1, athlete=athlete)
    write_digests()
    assert "\nBcc" not in letters()[0].body


# ---- who gets one --------------------------------------------------------------------------------------


@pytest.mark.parametrize("change", [{"is_active": False}, {"email": ""}, {"role": "clinician"}])
def test_no_letter_for_whoever_left_has_no_address_or_gives_no_work(change, owner, late, at):
    for name, value in change.items():
        setattr(owner, name, value)
    owner.save()
    assert write_digests() == 0
    assert not write_digest(owner_id=owner.pk, today=DAY)
    assert letters() == []


def test_no_letter_for_whoever_does_not_want_it_and_again_from_when_they_do(owner, late, at):
    choose_digest(owner=owner, wanted=False)
    assert write_digests() == 0
    assert not write_digest(owner_id=owner.pk, today=DAY)
    choose_digest(owner=owner, wanted=True)
    assert write_digests() == 1


# ---- when ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hour", "minute", "written"), [(6, 29, 0), (6, 30, 1), (11, 59, 1), (12, 0, 0), (23, 0, 0), (0, 10, 0)]
)
def test_it_is_written_in_the_morning_of_the_facility(hour, minute, written, late, at):
    at(hour, minute)
    assert write_digests() == written


@pytest.mark.parametrize(
    ("zone", "day", "utc"),
    [
        ("America/Chicago", dt.date(2026, 3, 7), "12:30"),
        ("America/Chicago", dt.date(2026, 3, 8), "11:30"),
        ("America/Chicago", dt.date(2026, 11, 1), "12:30"),
        ("Europe/Rome", dt.date(2026, 3, 28), "05:30"),
        ("Europe/Rome", dt.date(2026, 3, 29), "04:30"),
        ("Europe/Rome", dt.date(2026, 10, 25), "05:30"),
    ],
)
def test_half_past_six_is_the_walls_also_where_the_clock_changes(zone, day, utc, owner, clock):
    """Of the United States: second Sunday of March and first of November. Of the EU: last Sundays of March, October."""
    Facility.objects.update(time_zone=zone)
    due("Joon Barreto", (day - DAY).days, coach=owner)
    hour, minute = map(int, utc.split(":"))
    half_past = dt.datetime.combine(day, dt.time(hour, minute), tzinfo=dt.UTC)
    clock.now = half_past - dt.timedelta(minutes=1)
    assert write_digests() == 0
    clock.now = half_past
    assert write_digests() == 1
    assert Digest.objects.get().date == day


# ---- at most one ---------------------------------------------------------------------------------------


def test_the_beat_asks_every_quarter_hour_and_one_letter_is_written(late, at):
    for minute in (30, 45):
        at(6, minute)
        write_digests_of_today()
    at(9)
    assert write_digests_of_today() == 0
    assert len(letters()) == 1
    assert Digest.objects.get().letter == letters()[0]


def test_the_next_day_tells_it_again(late, at):
    write_digests()
    at(6, 30, DAY + dt.timedelta(days=1))
    assert write_digests() == 1
    assert "3 days late" in letters()[1].body


def test_a_day_with_nothing_to_tell_is_noted_and_not_looked_at_again(owner, at):
    write_digests()
    assert Digest.objects.get().letter is None
    due("Joon Barreto", -1, coach=owner)
    assert write_digests() == 0


def test_a_clock_that_jumps_back_writes_no_second(late, at):
    write_digests()
    at(6, 31, DAY - dt.timedelta(days=1))
    FollowUp.objects.update(due=DAY - dt.timedelta(days=5))
    assert write_digests() == 1  # of the day before, which had none
    at(6, 45)
    assert write_digests() == 0
    at(6, 31, DAY - dt.timedelta(days=1))
    assert write_digests() == 0


def test_a_clock_that_jumps_ahead_and_back_writes_one_of_each_day(late, at):
    for days in (0, 3, 0, 1, 3, 1):
        at(7, 0, DAY + dt.timedelta(days=days))
        write_digests()
    assert sorted(Digest.objects.values_list("date", flat=True)) == [DAY + dt.timedelta(days=n) for n in (0, 1, 3)]
    assert len(letters()) == 3


def test_of_two_workers_at_once_one_writes(owner, late, at, monkeypatch):
    """The other looked before the first one's row was there: the constraint refuses its own."""
    telling = digests.letter_for

    def overtaken(account, today):
        Digest.objects.create(owner=account, date=today)
        return telling(account, today)

    monkeypatch.setattr(digests, "letter_for", overtaken)
    assert not write_digest(owner_id=owner.pk, today=DAY)
    assert letters() == []


# ---- bad luck ------------------------------------------------------------------------------------------


class Down(BaseEmailBackend):
    def send_messages(self, messages):
        raise smtplib.SMTPServerDisconnected("down")


def test_a_mail_server_that_is_down_is_asked_again_and_the_letter_leaves_once(late, at, clock, settings):
    works = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = f"{__name__}.Down"
    write_digests()
    assert send_what_waits() == 0
    settings.EMAIL_BACKEND = works
    for _ in range(4):
        clock.move(minutes=15)
        write_digests()
        send_what_waits()
    assert [letter.subject for letter in mail.outbox] == ["Follow-ups: 1 late"]
    assert [letter.state for letter in letters()] == ["sent"]


def test_one_address_that_is_none_keeps_nobody_elses_letter(late, at, owner, monkeypatch):
    other = UserFactory(role="coach", email="other@mound.example")
    due("Sione Varga", -1, coach=other)
    writing = digests.write_mail

    def refusing(to, subject, body):
        if to == owner.email:
            raise ValidationError({"to": "Enter a valid email address."})
        return writing(to, subject, body)

    monkeypatch.setattr(digests, "write_mail", refusing)
    assert write_digests() == 1
    assert [letter.to for letter in letters()] == ["other@mound.example"]
    assert [one.owner for one in Digest.objects.all()] == [other]


def test_killed_at_any_database_call_there_is_one_letter_or_none_and_then_one(owner, late, at):
    with undone(), dying_at(0) as made:
        assert write_digests() == 1
    assert made[0] > 8
    for call in range(1, made[0] + 1):
        with undone():
            with pytest.raises(Killed), dying_at(call):
                write_digests()
            assert len(letters()) == Digest.objects.filter(letter__isnull=False).count() <= 1, f"call {call}"
            write_digests()
            assert len(letters()) == 1, f"call {call} of {made[0]}"
