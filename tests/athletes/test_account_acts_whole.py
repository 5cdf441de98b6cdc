"""Acts that protect an account happen as a whole: killed at any database call, nothing of them stands."""

from __future__ import annotations

import pytest
from django.contrib.auth.hashers import make_password
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from athletes.codes import RECOVERY_CODES, new_key
from athletes.models import ChangeLog, SignIn
from athletes.services.accounts import disable_account, set_password
from athletes.services.codes import _keep_device, renew_recovery_codes, turn_off_codes
from tests import factories
from tests.metrics.imports.dying import Killed, dying_at, undone

PASSWORD = "a long right password"

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    account = factories.UserFactory(role="coach", username="walker", password=make_password(PASSWORD))
    assert Client().post(reverse("login"), {"username": "walker", "password": PASSWORD}).status_code == 302
    return account


def state() -> tuple:
    """All that these acts touch."""
    return (
        list(Session.objects.values_list("session_key", flat=True)),
        list(SignIn.objects.values_list("session_key", "ended_at")),
        list(factories.UserFactory._meta.model.objects.values_list("password", "is_active")),
        list(TOTPDevice.objects.values_list("key", "last_t")),
        sorted(StaticToken.objects.values_list("token", flat=True)),
        ChangeLog.objects.count(),
    )


ACTS = {
    "a new password": lambda account: set_password(
        account=account, password="quite another one", by=account, reason="x"
    ),
    "disabling": lambda account: disable_account(account=account, by=None, reason="x"),
    "setting codes up": lambda account: _keep_device(account, new_key(), 1, None),
    "turning codes off": lambda account: turn_off_codes(account=account, by=account, reason="x"),
    "new recovery codes": lambda account: renew_recovery_codes(account=account),
}


@pytest.mark.parametrize("act", ACTS)
def test_killed_at_any_database_call_nothing_of_it_stands(act, walker):
    if act in ("turning codes off", "new recovery codes"):
        _keep_device(walker, new_key(), 1, "kept by nobody")
    before = state()

    def do() -> None:
        ACTS[act](type(walker).objects.get(pk=walker.pk))

    with undone(), dying_at(0) as made:
        do()
        number = made[0]
        assert state() != before
    assert number > 4
    for call in range(1, number):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                do()
            assert state() == before, f"call {call} of {number}"


def test_codes_that_were_set_up_stand_whole(walker):
    assert len(_keep_device(walker, new_key(), 1, None)) == RECOVERY_CODES == StaticToken.objects.count()
