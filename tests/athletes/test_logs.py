"""The logs are only added to, and the seals show when somebody went around that."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, connection, transaction

from athletes.models import ChangeLog, ViewLog, ViewLogSeal
from athletes.services.change_log import record_change
from athletes.services.view_log import check_seals, seal_day
from athletes.tasks import seal_view_log
from athletes.triggers import REMOVE
from tests import factories

pytestmark = pytest.mark.django_db

DAY = factories.DAY


def look(when: dt.datetime, what: str = "record") -> ViewLog:
    person = factories.UserFactory()
    return ViewLog.objects.create(
        when=when, who=person.uuid, role=person.role, athlete_uuid=factories.AthleteFactory().uuid, what=what
    )


def make_change() -> ChangeLog:
    return record_change(by=factories.UserFactory(), action="note.added", row=factories.NoteFactory())


def make_seal() -> ViewLogSeal:
    return ViewLogSeal.objects.create(day=DAY, last_id=0, digest="0" * 64)


@pytest.mark.parametrize("make", [make_change, lambda: look(factories.NOON), make_seal])
def test_log_row_can_neither_be_changed_nor_deleted(make):
    row = make()
    field = row._meta.fields[1].attname
    with pytest.raises(IntegrityError, match="cannot be changed or deleted"), transaction.atomic():
        type(row).objects.filter(pk=row.pk).update(**{field: getattr(row, field)})
    with pytest.raises(IntegrityError, match="cannot be changed or deleted"), transaction.atomic():
        row.delete()
    assert type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("round_number", [1, 2])
def test_log_is_read_only_before_and_after_the_tables_were_emptied(round_number):
    assert not ViewLog.objects.exists()
    row = look(factories.NOON)
    with pytest.raises(IntegrityError), transaction.atomic():
        row.delete()


@pytest.fixture
def week(clock):
    """Looks on three days, each day sealed in the night after it."""
    for days in (3, 2, 1):
        look(factories.NOON - dt.timedelta(days=days))
        look(factories.NOON - dt.timedelta(days=days), what="session")
        seal_day(DAY - dt.timedelta(days=days))


def test_untouched_chain_holds(week):
    assert check_seals() == check_seals()
    assert (check_seals().seals, check_seals().holds) == (3, True)


@pytest.fixture
def without_triggers():
    """What somebody with the database's own tools could do."""
    with connection.cursor() as cursor:
        for statement in REMOVE[connection.vendor]("athletes_viewlog", ""):
            cursor.execute(statement)


@pytest.mark.usefixtures("week", "without_triggers")
@pytest.mark.parametrize("field", ["who", "athlete_uuid", "what", "role", "when", "request_reference"])
def test_changed_row_breaks_the_chain_at_its_day(field):
    row = ViewLog.objects.order_by("id")[2]
    other = {"when": row.when + dt.timedelta(microseconds=1), "who": row.athlete_uuid, "athlete_uuid": row.who}
    ViewLog.objects.filter(pk=row.pk).update(**{field: other.get(field, "x")})
    assert check_seals().broken_on == DAY - dt.timedelta(days=2)


@pytest.mark.usefixtures("week", "without_triggers")
def test_removed_row_breaks_the_chain_at_its_day():
    ViewLog.objects.order_by("id")[4].delete()
    assert check_seals().broken_on == DAY - dt.timedelta(days=1)


@pytest.mark.usefixtures("week", "without_triggers")
def test_exchanged_words_of_two_rows_break_the_chain():
    first, second = ViewLog.objects.order_by("id")[:2]
    ViewLog.objects.filter(pk=first.pk).update(what=second.what)
    ViewLog.objects.filter(pk=second.pk).update(what=first.what)
    assert not check_seals().holds


@pytest.mark.usefixtures("week")
def test_sealing_a_sealed_day_again_changes_nothing():
    before = list(ViewLogSeal.objects.values())
    seal_view_log()
    assert list(ViewLogSeal.objects.values()) == before


@pytest.mark.usefixtures("clock")
def test_day_without_looks_is_a_link_too():
    seal_day(DAY - dt.timedelta(days=1))
    assert check_seals().holds


@pytest.mark.usefixtures("clock")
def test_night_that_was_missed_is_covered_by_the_next_seal():
    look(factories.NOON - dt.timedelta(days=5))
    newest = look(factories.NOON - dt.timedelta(days=1))
    assert seal_day(DAY - dt.timedelta(days=1)).last_id == newest.pk


@pytest.mark.usefixtures("clock")
def test_row_written_late_for_a_sealed_day_is_covered_by_the_next_seal(clock):
    seal_day(DAY - dt.timedelta(days=1))
    late = look(factories.NOON - dt.timedelta(days=1))
    clock.move(days=1)
    assert seal_day(DAY).last_id == late.pk
    assert check_seals().holds


@pytest.mark.usefixtures("week")
@pytest.mark.parametrize("days", [0, -1, 9])
def test_day_that_is_not_over_or_lies_before_the_last_seal_is_refused(days):
    with pytest.raises(ValueError):
        seal_day(DAY - dt.timedelta(days=days))
