"""Secret addresses of calendars: made, shown once, taken back. Only a hash of the secret is kept."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from plans.models import CalendarAddress
from plans.selectors.reminded import may_be_reminded

SECRET_BYTES = 32
READ_NOTED_EVERY = dt.timedelta(hours=1)
"""Programs look again every few minutes; when one looked last is told to the hour."""


def hash_of(secret: str) -> str:
    """Of 32 random bytes nobody can guess one, so that no salt and no slow hash is needed."""
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def make_calendar_address(*, owner: User) -> str:
    """The secret of a new address, told this once; the one before stops answering."""
    _take_back(owner)
    secret = secrets.token_urlsafe(SECRET_BYTES)
    row = CalendarAddress(owner=owner, secret_hash=hash_of(secret), made_at=timezone.now())
    save_valid(row)
    record_change(by=owner, action="calendar_address.made", row=row)
    return secret


@transaction.atomic
def revoke_calendar_address(*, owner: User) -> bool:
    """Whether there was one to take back."""
    return _take_back(owner)


def _take_back(owner: User) -> bool:
    """The account is held meanwhile: of two that make one at the same time, each takes back the other's."""
    User.objects.select_for_update().get(pk=owner.pk)
    standing = CalendarAddress.objects.filter(owner=owner, revoked_at=None).first()
    if standing is None:
        return False
    standing.revoked_at = timezone.now()
    save_valid(standing)
    record_change(by=owner, action="calendar_address.revoked", row=standing)
    return True


def owner_of_secret(secret: str) -> User | None:
    """Whose calendar this is, and notes that it was read; None for a secret that opens nothing any more."""
    found = CalendarAddress.objects.filter(secret_hash=hash_of(secret), revoked_at=None)
    row = found.select_related("owner").first()
    if row is None or not may_be_reminded(row.owner):
        return None
    now = timezone.now()
    seldom = Q(last_read_at=None) | Q(last_read_at__lt=now - READ_NOTED_EVERY)
    CalendarAddress.objects.filter(seldom, pk=row.pk).update(last_read_at=now)
    return row.owner
