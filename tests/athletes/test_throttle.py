"""Brute force at the door: from one address, from many, against one name, against many; and nobody locked out."""

from __future__ import annotations

import datetime as dt

import pytest
from axes.models import AccessAttempt
from django.contrib.auth import hashers
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import reverse

from athletes.services.throttle import Secret, count_wrong, forget_wrong, letter_may_go, secret_rests
from tests import factories

DOOR = reverse("login")
PASSWORD = "a long right password"
HOME_ADDRESS = "192.0.2.7"

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    return factories.UserFactory(role="coach", username="walker", password=make_password(PASSWORD))


@pytest.fixture
def quick_limits(settings):
    """The same rules with smaller numbers, so that a test tries a dozen times and not a hundred."""
    settings.THROTTLE_ADDRESS_LIMIT = 6
    settings.THROTTLE_SHARED_ADDRESS_LIMIT = 9
    settings.THROTTLE_NAME_LIMIT = 7
    return settings


def attempt(name: str, password: str = "wrong", address: str = "203.0.113.1", **headers) -> int:
    return Client(REMOTE_ADDR=address, **headers).post(DOOR, {"username": name, "password": password}).status_code


def test_one_address_against_many_names_is_stopped_whoever_it_tries_next(walker, quick_limits):
    assert [attempt(f"name-{number}") for number in range(7)] == [200] * 6 + [429]
    assert attempt("walker", PASSWORD) == 429


def test_an_address_that_is_stopped_stops_no_other(walker, quick_limits):
    for number in range(8):
        attempt(f"name-{number}")
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302


def test_many_addresses_against_one_name_are_stopped(walker, quick_limits):
    answers = [attempt("walker", address=f"203.0.113.{number}") for number in range(1, 9)]
    assert answers == [200] * 7 + [429]
    assert attempt("walker", PASSWORD, address="198.51.100.1") == 429


def test_many_addresses_cannot_lock_a_coach_out_of_the_place_where_they_work(walker, quick_limits):
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302
    for number in range(1, 12):
        attempt("walker", address=f"203.0.113.{number}")
    assert attempt("walker", PASSWORD, address="198.51.100.1") == 429
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302


def test_a_known_address_still_gets_five_tries_only(walker):
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302
    answers = [attempt("walker", address=HOME_ADDRESS) for _ in range(6)]
    assert answers == [200, 200, 200, 200, 429, 429]


def test_a_shared_address_is_stopped_later_for_those_who_work_there(walker, quick_limits):
    colleague = factories.UserFactory(username="colleague", password=make_password(PASSWORD))
    for name in ("walker", colleague.username):
        assert attempt(name, PASSWORD, address=HOME_ADDRESS) == 302
    for number in range(6):
        attempt(f"name-{number}", address=HOME_ADDRESS)
    assert attempt("name-8", address=HOME_ADDRESS) == 429
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302
    for _ in range(3):
        attempt(colleague.username, address=HOME_ADDRESS)
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 429


def test_another_browser_name_at_each_try_does_not_help(walker):
    answers = [attempt("walker", HTTP_USER_AGENT=f"Browser/{number}") for number in range(6)]
    assert answers == [200, 200, 200, 200, 429, 429]


def test_a_header_that_names_another_address_at_each_try_does_not_help(walker):
    answers = [attempt("walker", HTTP_X_FORWARDED_FOR=f"198.51.100.{number}") for number in range(6)]
    assert answers == [200, 200, 200, 200, 429, 429]


def test_the_rest_is_over_after_a_quarter_of_an_hour(walker):
    for _ in range(5):
        attempt("walker")
    rows = AccessAttempt.objects.all()
    last = rows.get().attempt_time
    rows.update(attempt_time=last - dt.timedelta(minutes=14))
    assert attempt("walker", PASSWORD) == 429
    rows.update(attempt_time=last - dt.timedelta(minutes=16))
    assert attempt("walker", PASSWORD) == 302


def test_answers_are_alike_for_names_that_exist_and_names_that_do_not(walker):
    def page(name: str) -> list[tuple[int, bytes]]:
        client = Client(REMOTE_ADDR=HOME_ADDRESS)
        client.get(DOOR)
        answers = [client.post(DOOR, {"username": name, "password": "wrong"}) for _ in range(6)]
        tokens = [answer.context.get("csrf_token") for answer in answers]
        return [
            (answer.status_code, answer.content.replace(name.encode(), b"NAME").replace(str(token).encode(), b"TOKEN"))
            for answer, token in zip(answers, tokens, strict=True)
        ]

    assert page("walker") == page("nobody")


def test_a_name_that_does_not_exist_costs_a_hash_too(walker, monkeypatch):
    """Else the time of the answer would tell which names exist."""

    class Counted(hashers.MD5PasswordHasher):
        calls = 0

        def encode(self, *args, **kwargs):
            type(self).calls += 1
            return super().encode(*args, **kwargs)

    monkeypatch.setattr(hashers, "get_hashers", lambda: [Counted()])
    monkeypatch.setattr(hashers, "get_hasher", lambda algorithm="default": Counted())
    walker.password = Counted().encode("another password", "salt")
    walker.save()
    costs = []
    for name in ("walker", "nobody"):
        Counted.calls = 0
        attempt(name)
        costs.append(Counted.calls)
    assert costs[0] == costs[1] > 0


# ---- codes, present passwords, PINs ----------------------------------------------------------------------------


@pytest.mark.parametrize("secret", [Secret.CODE, Secret.PASSWORD, Secret.PIN])
def test_five_wrong_answers_rest_that_secret_of_that_account_only(secret, walker, coach):
    for _ in range(5):
        assert not secret_rests(secret, walker, HOME_ADDRESS)
        count_wrong(secret, walker, HOME_ADDRESS)
    assert secret_rests(secret, walker, HOME_ADDRESS)
    assert not secret_rests(secret, coach, HOME_ADDRESS)
    assert not any(secret_rests(other, walker, HOME_ADDRESS) for other in Secret if other != secret)


def test_a_right_answer_forgives_the_wrong_ones(walker):
    for _ in range(4):
        count_wrong(Secret.CODE, walker, HOME_ADDRESS)
    forget_wrong(Secret.CODE, walker)
    count_wrong(Secret.CODE, walker, HOME_ADDRESS)
    assert not secret_rests(Secret.CODE, walker, HOME_ADDRESS)


def test_wrong_codes_from_many_addresses_rest_it_for_strangers_and_not_for_its_owner(walker, quick_limits):
    assert attempt("walker", PASSWORD, address=HOME_ADDRESS) == 302
    for number in range(7):
        count_wrong(Secret.CODE, walker, f"203.0.113.{number}")
    assert secret_rests(Secret.CODE, walker, "198.51.100.1")
    assert not secret_rests(Secret.CODE, walker, HOME_ADDRESS)


def test_letters_are_rationed_by_the_address_that_they_go_to_and_by_who_asks():
    to_one = [letter_may_go("a@example.org", f"203.0.113.{number}") for number in range(4)]
    assert to_one == [True, True, True, False]
    from_one = [letter_may_go(f"{number}@example.org", HOME_ADDRESS) for number in range(11)]
    assert from_one == [True] * 10 + [False]


def test_the_present_password_is_asked_five_times_on_the_account_page(walker, client_of):
    client, page = client_of(walker), reverse("account:password")
    words = {"password": "wrong", "new_password": "quite another password", "again": "quite another password"}
    for _ in range(5):
        assert "not your present password" in client.post(page, words).content.decode()
    assert "Too many wrong tries" in client.post(page, {**words, "password": PASSWORD}).content.decode()
    walker.refresh_from_db()
    assert walker.check_password(PASSWORD)
