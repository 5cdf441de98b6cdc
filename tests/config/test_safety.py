"""What stands between a stranger and the record, before any page of ours: headers, cookies, the throttle."""

from __future__ import annotations

import pytest
from django.urls import reverse

UNSAFE = ("unsafe-inline", "unsafe-eval", "unsafe-hashes", "wasm-unsafe-eval", "*", "http:", "https:", "blob:")


@pytest.mark.django_db
def test_the_content_policy_allows_only_our_own_files(client):
    answer = client.get(reverse("login"))
    policy = {
        words[0]: words[1:]
        for directive in answer["Content-Security-Policy"].split(";")
        if (words := directive.split())
    }
    assert policy["default-src"] == ["'none'"]
    assert policy["script-src"] == policy["style-src"] == ["'self'"]
    assert policy["frame-ancestors"] == policy["object-src"] == policy["base-uri"] == ["'none'"]
    allowed = {source.strip("'") for sources in policy.values() for source in sources}
    assert allowed.isdisjoint(UNSAFE)


@pytest.mark.django_db
def test_other_headers_close_what_a_browser_leaves_open(client):
    answer = client.get(reverse("login"))
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"


def sign_in(client, name: str, password: str):
    return client.post(reverse("login"), {"username": name, "password": password})


@pytest.mark.django_db
def test_five_wrong_passwords_close_the_name_even_for_the_right_one(client, django_user_model):
    django_user_model.objects.create_user("walker", password="a long right password", role="coach")
    answers = [sign_in(client, "walker", f"wrong {number}") for number in range(5)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 200, 429]
    assert "registration/locked.html" in [template.name for template in answers[-1].templates]
    assert sign_in(client, "walker", "a long right password").status_code == 429
    assert "_auth_user_id" not in client.session


@pytest.mark.django_db
def test_a_closed_name_closes_nobody_else(client, django_user_model):
    django_user_model.objects.create_user("other", password="a long right password", role="coach")
    for number in range(6):
        sign_in(client, "walker", f"wrong {number}")
    assert sign_in(client, "other", "a long right password").status_code == 302


@pytest.mark.django_db
def test_four_wrong_passwords_are_forgiven_by_the_right_one(client, django_user_model):
    django_user_model.objects.create_user("walker", password="a long right password", role="coach")
    for _ in range(2):
        answers = [sign_in(client, "walker", f"wrong {number}") for number in range(4)]
        assert {answer.status_code for answer in answers} == {200}
        assert sign_in(client, "walker", "a long right password").status_code == 302
        client.logout()


@pytest.mark.django_db
def test_cookies_are_out_of_reach_of_scripts_and_of_other_sites(client, django_user_model, settings):
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    django_user_model.objects.create_user("walker", password="a long right password", role="coach")
    answer = sign_in(client, "walker", "a long right password")
    cookie = answer.cookies["sessionid"]
    assert cookie["secure"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


@pytest.mark.django_db
def test_every_page_but_the_door_wants_a_name(client):
    answer = client.get("/")
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("login"))


def test_passwords_are_kept_as_argon2_outside_the_tests():
    from config import settings as real

    assert real.PASSWORD_HASHERS[0].endswith("Argon2PasswordHasher")
