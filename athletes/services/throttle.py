"""Counting wrong answers: sign-in throttle for everything that is not a password at the door.

Codes, the present password on the account page, PINs and letters for a forgotten password all ask here. Counts stand
in the table of the sign-in throttle (axes), whose rows vanish a quarter of an hour after the last wrong answer.
"""

from __future__ import annotations

import datetime as dt
from enum import StrEnum

from axes.models import AccessAttempt
from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F, Sum
from django.utils import timezone
from django.utils.crypto import salted_hmac

from athletes.models import SignIn, User


class Secret(StrEnum):
    CODE = "code"
    PASSWORD = "present password"  # noqa: S105 - what is asked for, not one
    PIN = "PIN"
    LETTER_TO = "letter to"
    LETTER_FROM = "letter from"


def window_start() -> dt.datetime:
    return timezone.now() - dt.timedelta(hours=settings.AXES_COOLOFF_TIME)


def counted(**where: object) -> int:
    """Wrong answers within the window in the rows that fit."""
    rows = AccessAttempt.objects.filter(attempt_time__gte=window_start(), **where)
    return rows.aggregate(total=Sum("failures_since_start"))["total"] or 0


def knows_address(username: str, address: str | None) -> bool:
    """Whether this account has signed in from there lately: such an address is not held liable for others."""
    since = timezone.now() - dt.timedelta(days=settings.SIGN_INS_KEPT_DAYS)
    return SignIn.objects.filter(account__username=username, address=address, at__gte=since).exists()


def secret_rests(secret: Secret, account: User, address: str | None) -> bool:
    """Whether this account's answers rest: after five wrong ones from this address, or from all unknown ones."""
    name = _row_name(secret, str(account.uuid))
    if counted(username=name, ip_address=address) >= settings.THROTTLE_SECRET_LIMIT:
        return True
    everywhere = counted(username=name) >= settings.THROTTLE_NAME_LIMIT
    return everywhere and not knows_address(account.username, address)


def count_wrong(secret: Secret, account: User, address: str | None) -> None:
    _count(_row_name(secret, str(account.uuid)), address, secret)


def forget_wrong(secret: Secret, account: User) -> None:
    """After a right answer."""
    AccessAttempt.objects.filter(username=_row_name(secret, str(account.uuid))).delete()


def letter_may_go(email: str, address: str | None) -> bool:
    """Counts a wish for a letter; False when that e-mail address or the asking address has had enough of them."""
    to, asking = _row_name(Secret.LETTER_TO, email.lower()), _row_name(Secret.LETTER_FROM, str(address))
    may = (
        counted(username=to) < settings.THROTTLE_LETTERS_PER_EMAIL
        and counted(username=asking) < settings.THROTTLE_LETTERS_PER_ADDRESS
    )
    _count(to, None, Secret.LETTER_TO)
    _count(asking, None, Secret.LETTER_FROM)
    return may


def _row_name(secret: Secret, key: str) -> str:
    """A name that nobody can type at the door, so that strangers cannot count against somebody's codes."""
    return salted_hmac(f"throttle {secret}", key, algorithm="sha256").hexdigest()


def _count(name: str, address: str | None, secret: Secret) -> None:
    AccessAttempt.objects.filter(username=name, attempt_time__lt=window_start()).delete()
    if _one_more(name, address):
        return
    try:
        with transaction.atomic():
            row = AccessAttempt.objects.create(
                username=name, ip_address=address, path_info=secret.value, failures_since_start=1
            )
    except IntegrityError:  # somebody else counted first, at the same moment
        _one_more(name, address)
    else:
        # The table dates new rows by itself; this is the clock that everything else goes by.
        AccessAttempt.objects.filter(pk=row.pk).update(attempt_time=timezone.now())


def _one_more(name: str, address: str | None) -> bool:
    rows = AccessAttempt.objects.filter(username=name, ip_address=address)
    return bool(rows.update(failures_since_start=F("failures_since_start") + 1, attempt_time=timezone.now()))
