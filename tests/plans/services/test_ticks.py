"""Work ticked as done: once a day, once a uuid, never for a day that cannot be or for work that is held or over."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.db.utils import OperationalError

from athletes.models import ChangeLog
from athletes.services.care import record_clearance, report_pain
from plans.models import Prescription, WorkTick
from plans.services.prescribing import stop_work
from plans.services.ticks import correct_throws, take_back_tick, tick_work
from tests.factories import DAY, AvailabilityFactory
from tests.factories.plans import PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ONE_DAY = dt.timedelta(days=1)


@pytest.fixture
def work(athlete):
    return PrescriptionFactory(athlete=athlete, start=DAY - 30 * ONE_DAY)


@pytest.fixture
def throwing(athlete):
    key = "pause_at_landing_throws"
    return PrescriptionFactory(athlete=athlete, version__intervention__key=key, start=DAY - 30 * ONE_DAY)


@pytest.fixture
def tick(coach):
    """`tick(work, on=DAY, uuid=…)`"""
    return lambda work, on=DAY, uuid=None: tick_work(prescription=work, on=on, uuid=uuid or uuid4(), by=coach)


def refusal(call) -> str:
    with pytest.raises(ValidationError) as refused:
        call()
    return " ".join(refused.value.messages)


def standing() -> int:
    return WorkTick.objects.standing().count()


def test_a_tick_is_kept_with_who_and_when_and_stands_in_the_change_log(work, tick, coach, clock):
    kept = tick(work)
    assert (kept.date, kept.ticked_by, kept.ticked_at, kept.throws) == (DAY, coach, clock.now, None)
    line = ChangeLog.objects.get(action="work.ticked")
    assert (line.athlete_uuid, line.after["date"]) == (work.athlete.uuid, str(DAY))


def test_the_same_tick_sent_twice_is_one(work, tick):
    sent = uuid4()
    assert tick(work, uuid=sent) == tick(work, uuid=sent)
    assert WorkTick.objects.count() == ChangeLog.objects.filter(action="work.ticked").count() == 1


def test_two_devices_tick_one_day_once(work, tick):
    assert tick(work) == tick(work)
    assert WorkTick.objects.count() == 1


def test_a_tick_that_was_taken_back_does_not_come_back_when_it_is_sent_again(work, tick, coach):
    sent = uuid4()
    tick(work, uuid=sent)
    take_back_tick(prescription=work, on=DAY, by=coach)
    assert tick(work, uuid=sent).taken_back_at is not None
    assert standing() == 0


def test_a_day_is_ticked_again_after_it_was_taken_back(work, tick, coach):
    tick(work)
    take_back_tick(prescription=work, on=DAY, by=coach)
    take_back_tick(prescription=work, on=DAY, by=coach)  # the second finds nothing to do
    tick(work)
    assert (standing(), WorkTick.objects.count()) == (1, 2)


def test_a_uuid_belongs_to_one_work_and_one_day(work, throwing, tick):
    sent = uuid4()
    tick(work, uuid=sent)
    assert "belongs to other work" in refusal(lambda: tick(throwing, uuid=sent))
    assert "belongs to other work" in refusal(lambda: tick(work, DAY - ONE_DAY, sent))
    assert standing() == 1


@pytest.mark.parametrize(
    ("days", "said"), [(1, "Wednesday 15 April lies ahead: today is Tuesday 14 April."), (-15, "more than 14 days ago")]
)
def test_a_day_ahead_and_a_day_long_past_are_refused(work, tick, days, said):
    assert said in refusal(lambda: tick(work, DAY + days * ONE_DAY))
    assert standing() == 0


def test_the_fourteenth_day_back_is_still_taken(work, tick):
    assert tick(work, DAY - 14 * ONE_DAY).date == DAY - 14 * ONE_DAY


def test_a_day_before_the_work_began_is_refused(athlete, tick):
    work = PrescriptionFactory(athlete=athlete, start=DAY)
    assert "starts on Tuesday 14 April" in refusal(lambda: tick(work, DAY - ONE_DAY))


@pytest.mark.parametrize(("hour", "taken"), [(4, False), (6, True)])
def test_the_day_is_the_facilitys(work, tick, clock, facility, hour, taken):
    """At 4 in the morning of UTC it is still yesterday in Chicago (UTC−5 in April)."""
    assert facility.time_zone == "America/Chicago"
    clock.now = dt.datetime(2026, 4, 15, hour, tzinfo=dt.UTC)
    call = lambda: tick(work, DAY + ONE_DAY)  # noqa: E731
    assert (call().date == DAY + ONE_DAY) if taken else "lies ahead" in refusal(call)


@pytest.mark.parametrize("day", [dt.date(2026, 3, 8), dt.date(2026, 11, 1)])
def test_the_days_on_which_clocks_change_are_days_like_others(athlete, tick, clock, day):
    work = PrescriptionFactory(athlete=athlete, start=day - 30 * ONE_DAY, due=day + 30 * ONE_DAY)
    zone = zoneinfo.ZoneInfo("America/Chicago")
    for minute in ((0, 1), (23, 59)):
        clock.now = dt.datetime(day.year, day.month, day.day, *minute, tzinfo=zone).astimezone(dt.UTC)
        assert tick(work, day).date == day
        assert "lies ahead" in refusal(lambda: tick(work, day + ONE_DAY))
    assert standing() == 1


def test_ended_work_is_not_ticked_any_more(work, tick, coach):
    stop_work(prescription=work, seen=0, by=coach)
    assert "has ended" in refusal(lambda: tick(work))


def test_work_that_was_taken_away_is_not_ticked(work, tick, coach):
    work.mark_withdrawn(coach, "")
    work.save()
    assert "has ended" in refusal(lambda: tick(work))


def test_pain_stops_the_ticks_of_throws_at_once_and_only_a_clearance_brings_them_back(work, throwing, tick, coach):
    report = report_pain(athlete=throwing.athlete, where="elbow", by=coach)
    said = refusal(lambda: tick(throwing))
    assert "pain stops throws and loaded work until a clearance is recorded" in said
    assert said.endswith("If you threw that day, enter your throws.")
    assert tick(work), "gentle work goes on"
    record_clearance(report=report, cleared_by_name="Dr Oduya", cleared_on=DAY, by=coach)
    assert tick(throwing)


def test_loaded_work_is_held_by_pain_too(athlete, tick, coach):
    loaded = PrescriptionFactory(athlete=athlete, version__intervention__key="medicine_ball_turn")
    report_pain(athlete=athlete, where="elbow", by=coach)
    assert "Held: pain" in refusal(lambda: tick(loaded))


def test_an_availability_that_holds_the_work_stops_its_ticks(throwing, tick):
    AvailabilityFactory(athlete=throwing.athlete, valid_from=DAY, state="limited", limits="60 throws")
    assert "No drill with throws while limited".lower() in refusal(lambda: tick(throwing)).lower()


def test_a_tick_may_be_taken_back_while_the_work_is_held(throwing, tick, coach):
    tick(throwing)
    report_pain(athlete=throwing.athlete, where="elbow", by=coach)
    take_back_tick(prescription=throwing, on=DAY, by=coach)
    assert standing() == 0


def test_a_drill_that_is_throws_counts_the_most_of_its_dose_until_somebody_says_another_number(throwing, tick, coach):
    assert tick(throwing).throws == 10
    assert correct_throws(prescription=throwing, on=DAY, throws=6, by=coach).throws == 6
    line = ChangeLog.objects.get(action="work.throws_corrected")
    assert (line.before, line.after["throws"]) == ({"throws": 10}, 6)


def test_a_graded_return_has_no_number_of_throws(athlete, tick):
    AvailabilityFactory(athlete=athlete, valid_from=DAY, state="return_to_throw", limits="stage 3 of 6")
    work = PrescriptionFactory(athlete=athlete, version__intervention__key="graded_return")
    assert tick(work).throws is None


@pytest.mark.parametrize("throws", [-1, 301])
def test_throws_that_cannot_be_are_refused(throwing, tick, coach, throws):
    tick(throwing)
    said = refusal(lambda: correct_throws(prescription=throwing, on=DAY, throws=throws, by=coach))
    assert f"{throws} throws cannot be. Write a number from 0 to 300." in said
    assert WorkTick.objects.get().throws == 10


def test_throws_are_corrected_of_ticked_drills_only(work, throwing, tick, coach):
    tick(work)
    assert "no throws" in refusal(lambda: correct_throws(prescription=work, on=DAY, throws=5, by=coach))
    assert "Tick it first" in refusal(lambda: correct_throws(prescription=throwing, on=DAY, throws=5, by=coach))


def test_killed_at_every_call_of_the_database_it_leaves_all_or_nothing(throwing, tick):
    """The n-th statement fails, n = 1…all: then there is no tick and no line, and the same tick may be sent again."""
    sent, reached = uuid4(), 0
    for number in range(1, 200):
        reached = number
        count = iter(range(1, 1000))

        def stop(execute, *rest, at=number, count=count):
            if next(count) == at:
                raise OperationalError("killed")
            return execute(*rest)

        try:
            with connection.execute_wrapper(stop):
                tick(throwing, uuid=sent)
            break
        except OperationalError:
            assert WorkTick.objects.count() == ChangeLog.objects.filter(action="work.ticked").count() == 0
    assert reached > 5
    assert WorkTick.objects.get().uuid == sent
    assert ChangeLog.objects.filter(action="work.ticked").count() == 1


def test_somebody_who_was_first_is_found_when_the_database_has_no_row_locks(work, tick, monkeypatch, coach):
    """Two at once saw no tick: the constraint decides, and both get the one that stands."""
    first = tick(work)
    queryset = type(work.ticks.all())
    looks = iter([True])

    def blind(self):
        return self.none() if next(looks, False) else self.filter(taken_back_at=None)

    monkeypatch.setattr(queryset, "standing", blind)
    monkeypatch.setattr(WorkTick, "full_clean", lambda self, **_: None)
    assert tick(work) == first
    assert Prescription.objects.get().ticks.count() == 1
