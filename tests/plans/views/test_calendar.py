"""The calendar as a program reads it over the wire: held against two readers that are not ours."""

from __future__ import annotations

import datetime as dt

import icalendar
import pytest
import vobject
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from athletes.models import Facility, ViewLog
from plans.models import CalendarAddress, FollowUp
from plans.services.calendar_addresses import make_calendar_address, revoke_calendar_address
from plans.services.follow_ups import close_follow_up, continue_follow_up
from plans.services.reopening import reopen_follow_up
from tests.factories import DAY, NOON, AthleteFactory, UserFactory
from tests.plans.follow_ups import due, respond

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


def address_of(owner) -> str:
    return f"/calendar/{make_calendar_address(owner=owner)}.ics"


@pytest.fixture
def address(coach):
    return address_of(coach)


@pytest.fixture
def read(address):
    """The events of the coach's calendar by UID, as icalendar reads them; vobject must read the same."""

    def get() -> dict[str, icalendar.Event]:
        data = Client().get(address).content
        events = icalendar.Calendar.from_ical(data).walk("VEVENT")
        others = vobject.readOne(data.decode()).contents.get("vevent", [])
        assert [str(one["SUMMARY"]) for one in events] == [one.summary.value for one in others]
        assert [one["DTSTART"].dt for one in events] == [one.dtstart.value for one in others]
        return {str(one["UID"]): one for one in events}

    return get


def test_it_is_read_without_signing_in(address):
    answer = Client().get(address)
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert "no-cache" in answer["Cache-Control"]


def test_an_entry_names_the_athlete_by_given_name_and_initial_alone(read, coach, address):
    follow_up = due("Joon Barreto", 9, coach=coach, word="better")
    (event,) = read().values()
    assert event["SUMMARY"] == f"Joon B.: {follow_up.prescription.version.name}"
    assert event["DTSTART"].dt == DAY + dt.timedelta(days=9)
    text = Client().get(address).content.decode()
    assert "Barreto" not in text
    assert "38" not in text.replace(str(follow_up.uuid), "")


def test_it_leads_to_the_page_under_the_public_address(read, coach, settings):
    settings.PUBLIC_ADDRESS = "https://mound.example"
    follow_up = due("Joon Barreto", 9, coach=coach)
    assert read()[str(follow_up.uuid)]["URL"] == f"https://mound.example/follow-ups/{follow_up.uuid}/"


def test_only_athletes_whose_coach_one_is(read, coach):
    own = due("Mine Own", 1, coach=coach)
    due("Some Other", 1, coach=UserFactory(role="coach"))
    due("Of Nobody", 1)
    assert list(read()) == [str(own.uuid)]


def test_an_admin_reads_all(admin):
    due("Some Other", 1, coach=UserFactory(role="coach"))
    due("Of Nobody", 1)
    events = icalendar.Calendar.from_ical(Client().get(address_of(admin)).content).walk("VEVENT")
    assert len(events) == 2


def test_whose_consent_is_withdrawn_stands_in_no_coachs_calendar(read, coach):
    athlete = due("Not Agreed", 1, coach=coach).prescription.athlete
    athlete.consent_withdrawn_on = DAY
    athlete.save()
    assert read() == {}


def test_a_decided_one_is_cancelled_for_sixty_days_and_its_sequence_rises(read, coach, clock):
    follow_up = due("Joon Barreto", 3, coach=coach)
    before = read()[str(follow_up.uuid)]
    close_follow_up(follow_up=follow_up, seen=0, by=coach)
    after = read()[str(follow_up.uuid)]
    assert (before["STATUS"], after["STATUS"]) == ("CONFIRMED", "CANCELLED")
    assert int(after["SEQUENCE"]) == int(before["SEQUENCE"]) + 1
    clock.move(days=60)
    assert str(follow_up.uuid) in read()
    clock.move(minutes=1)
    assert read() == {}


def test_continued_the_next_one_has_a_uid_of_its_own(read, coach):
    follow_up = due("Joon Barreto", 3, coach=coach)
    following = continue_follow_up(follow_up=follow_up, seen=0, due=DAY + dt.timedelta(days=30), by=coach)
    found = read()
    assert found[str(follow_up.uuid)]["STATUS"] == "CANCELLED"
    assert found[str(following.uuid)]["STATUS"] == "CONFIRMED"


def test_opened_again_it_stands_under_the_same_uid_with_a_higher_sequence(read, coach):
    follow_up = due("Joon Barreto", 3, coach=coach)
    closed = close_follow_up(follow_up=follow_up, seen=0, by=coach)
    sequence = int(read()[str(follow_up.uuid)]["SEQUENCE"])
    reopen_follow_up(follow_up=closed, by=coach)
    event = read()[str(follow_up.uuid)]
    assert (event["STATUS"], int(event["SEQUENCE"])) == ("CONFIRMED", sequence + 1)


def test_of_withdrawn_work_a_calendar_learns_too(read, coach, clock):
    follow_up = due("Joon Barreto", 3, coach=coach)
    clock.move(hours=1)
    work = follow_up.prescription
    work.mark_withdrawn(coach, "typed twice")
    work.save()
    event = read()[str(follow_up.uuid)]
    assert (event["STATUS"], int(event["SEQUENCE"])) == ("CANCELLED", follow_up.sequence + 1)
    assert event["DTSTAMP"].dt == NOON + dt.timedelta(hours=1)


@pytest.mark.parametrize(
    ("zone", "date"),
    [
        ("America/Chicago", dt.date(2026, 3, 8)),
        ("America/Chicago", dt.date(2026, 11, 1)),
        ("Europe/Rome", dt.date(2026, 3, 29)),
        ("Europe/Rome", dt.date(2026, 10, 25)),
        ("Pacific/Kiritimati", dt.date(2026, 12, 31)),
    ],
)
def test_on_days_of_23_and_25_hours_it_is_that_day_alone(zone, date, read, coach):
    """All-day entries have no zone: the day of the facility's wall is the day in every calendar."""
    Facility.objects.update(time_zone=zone)
    follow_up = due("Joon Barreto", (date - DAY).days, coach=coach)
    event = read()[str(follow_up.uuid)]
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (date, date + dt.timedelta(days=1))
    assert type(event["DTSTART"].dt) is dt.date


def test_lines_are_folded_at_75_bytes_whatever_the_name(read, coach, address):
    due(f"{'Žofia-Ōyama' * 7} Barreto", 3, coach=coach)
    lines = Client().get(address).content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    (event,) = read().values()
    assert str(event["SUMMARY"]).startswith("Žofia-Ōyama" * 7 + " B.:")


@pytest.mark.parametrize("name", ["Joon\\; Barreto", "Joon\nBEGIN:VALARM Barreto", "Joon,; Barreto"])
def test_a_name_cannot_break_out_of_its_line(name, read, coach):
    first, _, last = name.rpartition(" ")
    athlete = AthleteFactory(given_name=first, family_name=last, responsible_coach=coach)
    due("x", 3, athlete=athlete)
    (event,) = read().values()
    assert str(event["SUMMARY"]).startswith(f"{' '.join(first.split())} B.:")
    assert event.subcomponents == []


def test_unchanged_it_is_the_same_bytes_and_is_not_sent_again(address, coach, clock):
    respond(due("Joon Barreto", 3, coach=coach), "")
    first = Client().get(address)
    clock.move(days=1)
    again = Client().get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert Client().get(address).content == first.content
    FollowUp.objects.update(due=DAY + dt.timedelta(days=5), sequence=1)
    assert Client().get(address, headers={"If-None-Match": first["ETag"]}).status_code == 200


def test_head_is_answered_without_a_body(address):
    answer = Client().head(address)
    assert (answer.status_code, answer.content) == (200, b"")


def test_what_opens_nothing_is_as_if_it_were_nowhere(address, coach):
    nowhere = Client().get("/no/such/page.ics")
    assert nowhere.status_code == 404
    asked = {
        "unknown": Client().get("/calendar/made-up.ics"),
        "posted": Client(enforce_csrf_checks=True).post(address),
        "deleted": Client().delete(address),
    }
    revoke_calendar_address(owner=coach)
    asked["revoked"] = Client().get(address)
    for why, answer in asked.items():
        assert (answer.status_code, answer.content) == (404, nowhere.content), why
        assert answer.headers == nowhere.headers, why


def test_a_machine_that_reads_is_no_look_at_a_record(address, coach):
    due("Joon Barreto", 3, coach=coach)
    Client().get(address)
    assert ViewLog.objects.count() == 0
    assert CalendarAddress.objects.get().last_read_at == NOON


def test_the_number_of_queries_does_not_grow(address, coach):
    def asked() -> int:
        with CaptureQueriesContext(connection) as made:
            Client().get(address)
        return len(made)

    due("First One", 1, coach=coach, word="")
    asked()
    few = asked()
    for number in range(20):
        due(f"Of K{number}", number, coach=coach, word="")
    assert asked() == few < 12


def test_an_empty_calendar_is_read_by_both(read):
    assert read() == {}
