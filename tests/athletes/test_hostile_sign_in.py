"""Attacks on the door and on what stands behind it."""

from __future__ import annotations

import base64

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import get_resolver, reverse

from athletes.models import OutgoingMail, SignIn
from athletes.services.accounts import disable_account
from tests import factories

DOOR, HOME, CODES = (reverse(name) for name in ("login", "account:home", "account:codes"))
PASSWORD = "a long right password"
OTHER = "quite another password"
API = "/api/athletes/"

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    return factories.UserFactory(
        role="coach", username="walker", email="walker@example.org", password=make_password(PASSWORD)
    )


def signed_in(**more) -> Client:
    client = Client(**more)
    assert client.post(DOOR, {"username": "walker", "password": PASSWORD}).status_code == 302
    return client


def with_cookie(value: str) -> Client:
    client = Client()
    client.cookies["sessionid"] = value
    return client


# ---- cookies ---------------------------------------------------------------------------------------------------


def test_a_cookie_from_before_a_password_change_opens_nothing(walker):
    client = signed_in()
    old = client.cookies["sessionid"].value
    client.post(reverse("account:password"), {"password": PASSWORD, "new_password": OTHER, "again": OTHER})
    assert client.cookies["sessionid"].value != old
    for page in (HOME, "/", API):
        assert with_cookie(old).get(page).status_code in (302, 403), page


def test_a_cookie_from_before_signing_out_opens_nothing(walker):
    client = signed_in()
    old = client.cookies["sessionid"].value
    client.post(reverse("logout"))
    assert with_cookie(old).get(HOME).status_code == 302


def test_a_session_that_an_attacker_planted_is_not_the_one_that_is_signed_in(walker):
    attacker = Client()
    attacker.get(DOOR)
    session = attacker.session
    session["planted"] = True
    session.save()
    planted = session.session_key
    victim = with_cookie(planted)
    victim.post(DOOR, {"username": "walker", "password": PASSWORD})
    assert victim.cookies["sessionid"].value != planted
    assert with_cookie(planted).get(HOME).status_code == 302


@pytest.mark.parametrize("value", ["", "x", "../../etc/passwd", "a" * 32, "a" * 5000, "' OR 1=1 --"])
def test_a_made_up_cookie_opens_nothing(value, walker):
    assert with_cookie(value).get(HOME).status_code == 302


def test_session_names_are_random_and_long(walker):
    keys = {signed_in().cookies["sessionid"].value for _ in range(20)}
    assert len(keys) == 20
    assert {len(key) for key in keys} == {32}  # of 36 letters and digits: 165 bits


def test_a_disabled_account_is_out_in_the_middle_of_its_work_and_of_the_api(walker, admin):
    client = signed_in()
    assert client.get(API).status_code == 200
    disable_account(account=walker, by=admin)
    assert client.get(HOME).status_code == 302
    assert client.get(API).status_code == 403
    assert Client().post(DOOR, {"username": "walker", "password": PASSWORD}).status_code == 200


def test_the_api_takes_no_name_and_password_and_no_token(walker):
    basic = base64.b64encode(f"walker:{PASSWORD}".encode()).decode()
    for header in (f"Basic {basic}", "Token abc", "Bearer abc"):
        assert Client().get(API, headers={"Authorization": header}).status_code == 403


def test_no_page_of_a_signed_in_person_is_kept_by_the_browser(walker):
    client = signed_in()
    for page in ("/", HOME, CODES, API, reverse("athletes:new"), "/nowhere/"):
        assert "no-store" in client.get(page).headers["Cache-Control"], page


def test_device_features_are_off_on_every_answer(client, walker):
    for answer in (client.get(DOOR), signed_in().get(HOME), client.get("/nowhere/")):
        policy = answer.headers["Permissions-Policy"]
        assert "camera=()" in policy
        assert "microphone=()" in policy
        assert "geolocation=()" in policy


# ---- forms from elsewhere --------------------------------------------------------------------------------------


def posts_of_the_account() -> list[str]:
    sign_in = "00000000-0000-4000-8000-000000000000"
    patterns = get_resolver("athletes.account_urls").reverse_dict
    names = {name for name in patterns if isinstance(name, str)}
    assert len(names) > 6
    return [reverse(f"account:{name}", args=[sign_in] if name == "end-sign-in" else []) for name in sorted(names)]


def test_no_form_of_the_account_works_without_its_secret(walker):
    client = signed_in(enforce_csrf_checks=False)
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    for address in (*posts_of_the_account(), reverse("logout")):
        assert strict.post(address, {}).status_code == 403, address
    assert SignIn.objects.get().ended_at is None


@pytest.mark.parametrize("name", ["login", "sign-in-code", "forgotten-password"])
def test_no_form_of_the_door_works_without_its_secret(name, walker):
    client = Client(enforce_csrf_checks=True)
    answer = client.post(reverse(name), {"username": "walker", "password": PASSWORD, "email": "walker@example.org"})
    assert answer.status_code == 403
    assert not OutgoingMail.objects.exists()


@pytest.mark.parametrize("address", ["account:details", "account:end-others", "logout"])
def test_what_changes_something_cannot_be_done_by_a_link(address, walker):
    client = signed_in()
    assert client.get(reverse(address)).status_code == 405
    assert client.get(HOME).status_code == 200


# ---- redirects -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "elsewhere",
    [
        "//evil.example",
        "///evil.example",
        "https:evil.example",
        "https://evil.example/",
        "http:///evil.example",
        "\\\\evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        "data:text/html,x",
        "https://testserver@evil.example/",
        "\t//evil.example",
    ],
)
def test_the_door_leads_nowhere_else(elsewhere, walker):
    answer = Client().post(DOOR, {"username": "walker", "password": PASSWORD, "next": elsewhere})
    assert answer["Location"] == "/"
    answer = Client().post(f"{DOOR}?next={elsewhere}", {"username": "walker", "password": PASSWORD})
    assert answer["Location"] == "/"
    asked = Client().get("/admin/login/", {"next": elsewhere})
    assert asked["Location"].startswith(f"{DOOR}?next=")


def test_a_line_break_in_the_address_makes_no_header(walker):
    words = {"username": "walker", "password": PASSWORD, "next": "/x\r\nSet-Cookie: a=b"}
    answer = Client().post(DOOR, words)
    assert "\n" not in answer["Location"]
    assert "a" not in answer.cookies


# ---- other names for this server -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host", ["evil.example", "testserver.evil.example", "testserver:80@evil.example", "evil example"]
)
def test_a_request_under_a_foreign_name_is_refused(host, walker):
    for answer in (
        Client().get(DOOR, headers={"host": host}),
        Client().post(reverse("forgotten-password"), {"email": walker.email}, headers={"host": host}),
    ):
        assert answer.status_code == 400
    assert not OutgoingMail.objects.exists()


def test_a_forwarded_name_is_not_believed(walker):
    Client().post(reverse("forgotten-password"), {"email": walker.email}, headers={"X-Forwarded-Host": "evil.example"})
    assert "evil" not in OutgoingMail.objects.get().body


# ---- odd input -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["walker\x00", "walker ", "WALKER", "walker' OR '1'='1", "w" * 5000, "ｗａｌｋｅｒ​"])
def test_a_name_that_only_resembles_one_opens_nothing(name, walker):
    client = Client()
    assert client.post(DOOR, {"username": name, "password": "wrong"}).status_code == 200
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize(
    "password", [PASSWORD + " ", PASSWORD.upper(), PASSWORD[:-1], PASSWORD + "\x00", "x" * 100_000]
)
def test_a_password_that_only_resembles_it_opens_nothing(password, walker):
    client = Client()
    assert client.post(DOOR, {"username": "walker", "password": password}).status_code == 200
    assert "_auth_user_id" not in client.session


def test_a_name_full_of_markup_is_shown_as_text(client):
    page = client.post(DOOR, {"username": "<script>alert(1)</script>", "password": "x"}).content.decode()
    assert "<script>alert" not in page
