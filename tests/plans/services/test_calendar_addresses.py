"""Secret calendar addresses: made anew, taken back, kept as a hash alone."""

from __future__ import annotations

import datetime as dt
import hashlib

import pytest

from athletes.models import ChangeLog
from plans.models import CalendarAddress
from plans.services.calendar_addresses import (
    SECRET_BYTES,
    make_calendar_address,
    owner_of_secret,
    revoke_calendar_address,
)
from tests.factories import NOON
from tests.metrics.imports.dying import Killed, dying_at, undone

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def test_the_secret_is_32_random_bytes_and_only_its_hash_is_kept(coach):
    secret, other = make_calendar_address(owner=coach), make_calendar_address(owner=coach)
    assert secret != other
    assert len(secret) >= 4 * SECRET_BYTES / 3
    row = CalendarAddress.objects.get(revoked_at=None)
    assert row.secret_hash == hashlib.sha256(other.encode()).hexdigest()
    kept = " ".join(str(value) for one in CalendarAddress.objects.values() for value in one.values())
    logged = " ".join(str(value) for one in ChangeLog.objects.values() for value in one.values())
    for told in (secret, other):
        assert told not in kept
        assert told not in logged


def test_it_opens_for_its_owner(coach):
    assert owner_of_secret(make_calendar_address(owner=coach)) == coach
    assert owner_of_secret("made-up") is None


def test_made_anew_the_one_before_opens_nothing(coach):
    before = make_calendar_address(owner=coach)
    make_calendar_address(owner=coach)
    assert owner_of_secret(before) is None
    assert CalendarAddress.objects.filter(revoked_at=None).count() == 1


def test_taken_back_it_opens_nothing(coach):
    secret = make_calendar_address(owner=coach)
    assert revoke_calendar_address(owner=coach)
    assert owner_of_secret(secret) is None
    assert not revoke_calendar_address(owner=coach)


@pytest.mark.parametrize("change", [{"is_active": False}, {"role": "clinician"}, {"role": "guardian"}])
def test_it_opens_nothing_once_the_account_is_no_staff_any_more(change, coach):
    secret = make_calendar_address(owner=coach)
    for name, value in change.items():
        setattr(coach, name, value)
    coach.save()
    assert owner_of_secret(secret) is None
    assert CalendarAddress.objects.get().last_read_at is None


def test_that_it_was_read_is_noted_at_most_hourly(coach, clock):
    secret = make_calendar_address(owner=coach)
    for minutes in (0, 30, 60, 61):
        clock.now = NOON + dt.timedelta(minutes=minutes)
        owner_of_secret(secret)
    assert CalendarAddress.objects.get().last_read_at == NOON + dt.timedelta(minutes=61)


def test_killed_at_any_database_call_the_old_one_opens_still(coach):
    secret = make_calendar_address(owner=coach)

    def act():
        make_calendar_address(owner=coach)

    with undone(), dying_at(0) as made:
        act()
    assert made[0] > 4
    for call in range(1, made[0]):
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert owner_of_secret(secret) == coach, f"call {call}"
            assert CalendarAddress.objects.count() == 1


def test_both_acts_stand_in_the_change_log(coach):
    make_calendar_address(owner=coach)
    revoke_calendar_address(owner=coach)
    actions = ["calendar_address.made", "calendar_address.revoked"]
    assert list(ChangeLog.objects.order_by("pk").values_list("action", flat=True)) == actions
