"""The list of one's own sign-ins, and that what was ended opens nothing."""

from __future__ import annotations

import datetime as dt

import pytest
from django.contrib.sessions.models import Session
from django.test import Client, override_settings
from django.urls import reverse

from athletes.browsers import UNKNOWN, browser_in_words
from athletes.models import ChangeLog, Invitation, SignIn
from athletes.services.accounts import disable_account
from athletes.tasks import forget_old_sign_ins
from tests import factories
from tests.factories import NOON

HOME = reverse("account:home")
PASSWORD = "a long right password"
FIREFOX = "Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:140.0) Gecko/20100101 Firefox/140.0"
SAFARI = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
    "Version/18.5 Mobile/15E148 Safari/604.1"
)
EDGE = (
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/138.0.0.0 "
    "Safari/537.36 Edg/138.0.0.0"
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    account = factories.UserFactory(role="coach", username="walker")
    account.set_password(PASSWORD)
    account.save()
    return account


def signed_in(name: str = "walker", password: str = PASSWORD, **headers) -> Client:
    client = Client(**headers)
    answer = client.post(reverse("login"), {"username": name, "password": password})
    assert answer.status_code == 302
    return client


def is_in(client: Client) -> bool:
    return client.get(HOME).status_code == 200


# Each header is of a real browser of 2025, written from memory in the shape of RFC 9110, section 10.1.5.
@pytest.mark.parametrize(
    ("header", "words"),
    [
        (FIREFOX, "Firefox on Windows"),
        (SAFARI, "Safari on iPhone"),
        (EDGE, "Edge on Windows"),
        ("curl/8.9.1", UNKNOWN),
        ("", UNKNOWN),
        ("<script>alert(1)</script> Linux", "a browser on Linux"),
    ],
)
def test_a_browser_is_told_in_words_of_our_own_tables(header, words):
    assert browser_in_words(header) == words


def test_signing_in_is_noted_with_browser_and_address(walker):
    signed_in(HTTP_USER_AGENT=FIREFOX, REMOTE_ADDR="192.0.2.7")
    row = SignIn.objects.get()
    assert (row.account, row.browser, row.address) == (walker, "Firefox on Windows", "192.0.2.7")
    assert row.ended_at is None


def test_the_account_page_lists_every_open_sign_in_and_marks_this_one(walker):
    signed_in(HTTP_USER_AGENT=SAFARI)
    page = signed_in(HTTP_USER_AGENT=FIREFOX).get(HOME).content.decode()
    assert "Safari on iPhone" in page
    assert page.count("this one") == 1
    assert page.count("Sign out there") == 1


def test_last_used_moves_every_five_minutes_and_not_at_every_page(walker, clock):
    client = signed_in()
    clock.move(minutes=4)
    client.get(HOME)
    assert SignIn.objects.get().last_seen_at == NOON
    clock.move(minutes=2)
    client.get(HOME)
    assert SignIn.objects.get().last_seen_at == NOON + dt.timedelta(minutes=6)


def test_a_sign_in_ended_elsewhere_opens_nothing_from_then_on(walker):
    phone, desk = signed_in(HTTP_USER_AGENT=SAFARI), signed_in()
    row = SignIn.objects.get(browser="Safari on iPhone")
    desk.post(reverse("account:end-sign-in", args=[row.uuid]))
    assert not is_in(phone)
    assert is_in(desk)
    assert not Session.objects.filter(session_key=row.session_key).exists()
    assert ChangeLog.objects.filter(action="account.signed_out", object_uuid=walker.uuid).count() == 1


def test_everywhere_else_leaves_only_the_browser_that_asked(walker):
    others, here = [signed_in(), signed_in()], signed_in()
    here.post(reverse("account:end-others"))
    assert [is_in(client) for client in (*others, here)] == [False, False, True]


def test_somebody_elses_sign_in_is_not_found(walker, coach, client_of):
    signed_in()
    row = SignIn.objects.get(account=walker)
    stranger = client_of(coach)
    answer = stranger.post(reverse("account:end-sign-in", args=[row.uuid]))
    assert answer.status_code == 404
    assert SignIn.objects.get(pk=row.pk).ended_at is None


def test_signing_out_ends_the_row_and_asks_the_browser_to_forget(walker):
    client = signed_in()
    answer = client.post(reverse("logout"))
    assert SignIn.objects.get().ended_at is not None
    assert answer.headers["Clear-Site-Data"] == '"cache"'
    assert not is_in(client)


def test_a_sign_in_ends_after_twelve_hours_without_use(walker, clock):
    client = signed_in()
    clock.move(hours=11)
    assert is_in(client)
    clock.move(hours=11)
    assert is_in(client)
    clock.move(hours=12, minutes=6)
    assert not is_in(client)


def test_a_sign_in_ends_after_a_week_however_busy(walker, clock):
    client = signed_in()
    for _ in range(14):
        clock.move(hours=11, minutes=55)
        assert is_in(client)
    clock.move(hours=2)
    assert not is_in(client)


def test_changing_the_password_ends_every_other_sign_in_and_keeps_this_one(walker):
    other, here = signed_in(), signed_in()
    words = {"password": PASSWORD, "new_password": "quite another password", "again": "quite another password"}
    assert here.post(reverse("account:password"), words).status_code == 302
    assert is_in(here)
    assert not is_in(other)
    assert "this one" in here.get(HOME).content.decode()


def test_disabling_an_account_ends_its_sign_ins_and_its_invitations(walker, admin, athlete):
    client = signed_in()
    sent = invite(by=walker, email="a@example.org", athlete=athlete, digest="1")
    foreign = invite(by=admin, email="b@example.org", athlete=athlete, digest="2")
    disable_account(account=walker, by=admin, reason="left")
    assert not is_in(client)
    sent.refresh_from_db()
    foreign.refresh_from_db()
    assert sent.revoked_at is not None
    assert foreign.revoked_at is None


def invite(*, by, email, athlete, digest):
    return Invitation.objects.create(
        email=email,
        role="athlete",
        athlete=athlete,
        invited_by=by,
        secret_digest=digest,
        invited_at=NOON,
        expires_at=NOON + dt.timedelta(days=7),
    )


def test_taking_the_tick_away_on_the_admin_page_disables_and_putting_it_back_revives_no_session(
    walker, admin, client_of
):
    client, page = signed_in(), reverse("admin:athletes_user_change", args=[walker.pk])
    details = {"username": "walker", "role": "coach", "units": "", "first_name": "", "last_name": "", "email": ""}
    client_of(admin).post(page, details)
    assert not is_in(client)
    walker.refresh_from_db()
    assert not walker.is_active
    client_of(admin).post(page, {**details, "is_active": "on"})
    walker.refresh_from_db()
    assert walker.is_active
    assert not is_in(client)


def test_a_password_set_by_an_admin_ends_what_was_signed_in(walker, admin, client_of):
    client = signed_in()
    words = {"password1": "quite another password", "password2": "quite another password", "usable_password": "true"}
    answer = client_of(admin).post(reverse("admin:auth_user_password_change", args=[walker.pk]), words)
    assert answer.status_code == 302
    assert SignIn.objects.get(account=walker).ended_at is not None
    assert not is_in(client)


def test_old_sign_ins_are_forgotten(walker, clock):
    signed_in()
    clock.move(days=89)
    assert forget_old_sign_ins() == 0
    clock.move(days=2)
    assert forget_old_sign_ins() == 1
    assert not Session.objects.exists()


def test_behind_a_proxy_only_the_entry_that_our_own_proxy_added_counts(walker):
    with override_settings(BEHIND_PROXY=True):
        signed_in(REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="203.0.113.9, 198.51.100.4")
    signed_in(REMOTE_ADDR="192.0.2.7", HTTP_X_FORWARDED_FOR="203.0.113.9")
    assert sorted(SignIn.objects.values_list("address", flat=True)) == ["192.0.2.7", "198.51.100.4"]
