"""The PIN that turns the screen back."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib import import_module

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from athletes.turning import keep_turned, turned_in

PIN = re.compile(r"[0-9]{4,8}", re.ASCII)
WRONG_AT_MOST = 5


@transaction.atomic
def choose_pin(*, account: User, pin: str, again: str) -> None:
    """The first PIN, or one after it was forgotten. Raises ValidationError."""
    row = User.objects.select_for_update().get(pk=account.pk)
    if row.turn_pin:
        raise ValidationError("You have a PIN already. Turn the screen, and choose “forgotten” there to get another.")
    if not PIN.fullmatch(pin):
        raise ValidationError({"pin": "A PIN is 4 to 8 digits, without spaces."})
    if pin != again:
        raise ValidationError({"again": "The two are not the same. Type the PIN twice."})
    row.turn_pin = account.turn_pin = make_password(pin)
    row.save(update_fields=["turn_pin"])
    record_change(by=account, action="turn PIN chosen", row=account)


@transaction.atomic
def forget_pin(*, account: User) -> None:
    """Forgotten, or wrong too often. Whoever did it is signed out by the caller: a password leads to a new PIN."""
    User.objects.filter(pk=account.pk).update(turn_pin="")
    account.turn_pin = ""
    record_change(by=account, action="turn PIN forgotten", row=account)


@transaction.atomic
def try_pin(*, account: User, session_key: str, pin: str) -> int:
    """Turns the screen of that session back when the PIN fits; gives how many more may be wrong, −1 when it fitted.

    Tries of one account wait for each other, and read the count anew: many at once count as many.
    """
    row = User.objects.select_for_update().get(pk=account.pk)
    session = import_module(settings.SESSION_ENGINE).SessionStore(session_key)
    turned = turned_in(session)
    if turned is None:
        return -1
    if turned.wrong < WRONG_AT_MOST and row.turn_pin and check_password(pin, row.turn_pin):
        keep_turned(session, None)
        session.save()
        return -1
    turned = replace(turned, wrong=turned.wrong + 1)
    keep_turned(session, turned)
    session.save()
    return max(0, WRONG_AT_MOST - turned.wrong)
