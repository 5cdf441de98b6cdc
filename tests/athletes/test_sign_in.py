"""The door as its people know it: in, on to what was asked for, a forgotten password, a password by the rules."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.contrib.auth.hashers import make_password
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse

from athletes.models import ChangeLog, OutgoingMail, SignIn
from tests import factories

DOOR, HOME, FORGOTTEN = (reverse(name) for name in ("login", "account:home", "forgotten-password"))
PASSWORD = "a long right password"
OTHER = "quite another password"

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    return factories.UserFactory(
        role="coach",
        username="walker",
        first_name="Ngaire",
        last_name="Brandvold",
        email="walker@example.org",
        password=make_password(PASSWORD),
    )


def sign_in(name: str = "walker", password: str = PASSWORD, **more: str):
    client = Client()
    return client, client.post(DOOR, {"username": name, "password": password, **more})


def test_signing_in_leads_on_to_the_page_that_was_asked_for(walker):
    _, answer = sign_in(next=HOME)
    assert (answer.status_code, answer["Location"]) == (302, HOME)


def test_somebody_who_is_signed_in_needs_no_door(walker):
    client, _ = sign_in()
    assert client.get(DOOR)["Location"] == "/"


def test_the_administration_has_the_same_door(client):
    assert client.get("/admin/login/?next=/admin/athletes/")["Location"] == f"{DOOR}?next=/admin/athletes/"
    walker = factories.UserFactory(role="admin", username="chief", password=make_password(PASSWORD))
    client.post("/admin/login/", {"username": walker.username, "password": PASSWORD})
    assert "_auth_user_id" not in client.session


def test_who_is_in_and_no_admin_is_told_so_at_the_administration_and_not_led_around(cast, client_of, admin, client):
    for name in ("coach", "clinician", "visiting_coach", "athlete_user", "guardian"):
        answer = client_of(cast[name]).get("/admin/", follow=True)
        assert (answer.status_code, len(answer.redirect_chain)) == (403, 1), name
        assert "<h1>" in answer.content.decode()
    assert client_of(admin).get("/admin/login/?next=/admin/", follow=True).status_code == 200
    assert client.get("/admin/", follow=True).redirect_chain[-1][0] == f"{DOOR}?next=/admin/"


def test_the_administrations_own_ways_out_and_to_a_password_lead_to_ours(admin, client_of):
    client = client_of(admin)
    assert client.get("/admin/password_change/")["Location"] == reverse("account:password")
    client.get(HOME)
    client.post("/admin/logout/")
    assert SignIn.objects.get().ended_at is not None


def test_name_and_units_are_changed_on_the_account_page(walker, client_of):
    client = client_of(walker)
    words = {"first_name": "Ngaio", "last_name": "Brandvold", "units": "metric"}
    assert client.post(reverse("account:details"), words).status_code == 302
    walker.refresh_from_db()
    assert (walker.first_name, walker.units) == ("Ngaio", "metric")
    entry = ChangeLog.objects.get(action="account.changed")
    assert (entry.before["first_name"], entry.after["first_name"]) == ("Ngaire", "Ngaio")


def test_nothing_but_name_and_units_can_be_changed_there(walker, client_of):
    words = {"first_name": "N", "last_name": "B", "units": "", "role": "admin", "username": "chief", "is_staff": "on"}
    client_of(walker).post(reverse("account:details"), words)
    walker.refresh_from_db()
    assert (walker.role, walker.username, walker.is_staff) == ("coach", "walker", False)


def test_every_role_finds_its_account_in_the_menu(cast, client_of):
    for name in cast.users:
        assert f'href="{HOME}"' in client_of(cast[name]).get(HOME).content.decode(), name


# ---- passwords by the rules ------------------------------------------------------------------------------------


def changed(client: Client, new: str, again: str | None = None, present: str = PASSWORD):
    words = {"password": present, "new_password": new, "again": new if again is None else again}
    return client.post(reverse("account:password"), words)


@pytest.mark.parametrize(
    "good",
    [
        "twelve chars",
        "correct mound staple glove",
        "ПАРОЛЬ на двенадцать",
        "   ! ?  ~~~~ ",
        "314159265359",
        "1" * 11 + "x",
        "🥎" * 12,
        "a" * 64 + "b" * 64,
        " leading and trailing ",
    ],
)
def test_any_composition_of_twelve_to_128_characters_is_taken_exactly_as_typed(good, walker, client_of):
    assert changed(client_of(walker), good).status_code == 302
    walker.refresh_from_db()
    assert walker.check_password(good)
    assert not walker.check_password(good[:-1])
    assert walker.check_password(good.strip()) == (good == good.strip())


@pytest.mark.parametrize(
    ("bad", "why"),
    [
        ("eleven char", "too short"),
        ("a b " * 33, "128 is the most"),
        ("cosmopolitan", "too common"),
        ("Administrator1!", "common password with"),
        ("passwordpassword", "common password with"),
        ("2026!dragon!2026", "common password with"),
        ("ngairebrandvold", "too similar"),
        ("walker@example.org", "too similar"),
    ],
)
def test_a_password_against_the_rules_is_refused_in_words(bad, why, walker, client_of):
    answer = changed(client_of(walker), bad)
    assert answer.status_code == 422
    assert why in answer.content.decode()
    walker.refresh_from_db()
    assert walker.check_password(PASSWORD)


def test_the_present_password_is_no_new_one(walker, client_of):
    answer = changed(client_of(walker), PASSWORD)
    assert answer.status_code == 422
    assert "That is your present password." in answer.content.decode()
    assert not ChangeLog.objects.filter(action="account.password_changed").exists()


def test_two_that_differ_are_refused(walker, client_of):
    assert "do not fit together" in changed(client_of(walker), OTHER, again="something else now").content.decode()


def test_the_present_password_is_needed(walker, client_of):
    assert changed(client_of(walker), OTHER, present="wrong").status_code == 422
    walker.refresh_from_db()
    assert walker.check_password(PASSWORD)


def test_password_fields_hide_what_is_typed_and_let_password_managers_work(walker, client_of, client):
    pages = client.get(DOOR).content.decode() + client_of(walker).get(reverse("account:password")).content.decode()
    fields = re.findall(r'<input[^>]*name="(?:password|new_password|again)"[^>]*>', pages)
    assert len(fields) == 4
    assert all('type="password"' in field for field in fields)
    purposes = [re.search(r'autocomplete="([a-z-]+)"', field).group(1) for field in fields]
    assert sorted(purposes) == ["current-password", "current-password", "new-password", "new-password"]
    assert not re.search(r"onpaste|onkeydown|maxlength", " ".join(fields))


def test_no_account_has_a_question_or_hint_in_place_of_its_password(walker):
    names = {field.name for field in walker._meta.get_fields()}
    assert not {name for name in names if "hint" in name or "question" in name or "answer" in name}


# ---- a forgotten password --------------------------------------------------------------------------------------


def link_in(letter) -> str:
    return re.search(r"https?://[^\s/]+(/\S+)", letter.body).group(1)


def asked(email: str = "walker@example.org", **where: str):
    return Client(**where).post(FORGOTTEN, {"email": email})


def test_the_letter_names_the_account_and_its_link_sets_a_new_password(walker):
    asked()
    letter = OutgoingMail.objects.get()
    assert letter.to == "walker@example.org"
    assert "walker\n" in letter.body or "name is walker" in letter.body
    client = Client()
    form = client.get(link_in(letter), follow=True)
    page = form.redirect_chain[-1][0]
    assert client.post(page, {"new_password": OTHER, "again": OTHER}).status_code == 302
    walker.refresh_from_db()
    assert walker.check_password(OTHER)
    assert "_auth_user_id" not in client.session


def test_the_token_leaves_the_address_before_the_form_is_shown(walker):
    asked()
    link = link_in(OutgoingMail.objects.get())
    page = Client().get(link, follow=True).redirect_chain[-1][0]
    assert link.rstrip("/").rsplit("/", 1)[-1] not in page


def test_a_letters_link_works_once(walker):
    asked()
    link, client = link_in(OutgoingMail.objects.get()), Client()
    page = client.get(link, follow=True).redirect_chain[-1][0]
    client.post(page, {"new_password": OTHER, "again": OTHER})
    assert "does not work any more" in Client().get(link, follow=True).content.decode()


@pytest.mark.parametrize("place", [0, -1])
def test_a_letters_link_that_somebody_changed_or_made_up_is_worth_nothing(place, walker):
    asked()
    *before, account, token, end = link_in(OutgoingMail.objects.get()).split("/")
    letters = list(token)
    letters[place] = "a" if letters[place] != "a" else "b"
    for other in ("".join(letters), "none", f"none.{token}", token.split("-")[0] + "-" + "0" * 32):
        link = "/".join([*before, account, other, end])
        assert "does not work any more" in Client().get(link, follow=True).content.decode(), other


def test_a_letters_link_is_worth_nothing_after_an_hour(walker, monkeypatch):
    asked()
    later = dt.datetime.now() + dt.timedelta(minutes=61)
    monkeypatch.setattr(PasswordResetTokenGenerator, "_now", lambda self: later)
    assert "does not work any more" in Client().get(link_in(OutgoingMail.objects.get()), follow=True).content.decode()


def test_a_letters_link_is_worth_nothing_once_the_account_is_disabled(walker):
    asked()
    walker.is_active = False
    walker.save()
    assert "does not work any more" in Client().get(link_in(OutgoingMail.objects.get()), follow=True).content.decode()


def test_the_new_password_follows_the_same_rules(walker):
    asked()
    client = Client()
    page = client.get(link_in(OutgoingMail.objects.get()), follow=True).redirect_chain[-1][0]
    answer = client.post(page, {"new_password": "cosmopolitan", "again": "cosmopolitan"})
    assert "too common" in answer.content.decode()
    walker.refresh_from_db()
    assert walker.check_password(PASSWORD)


def test_a_password_set_by_a_letter_ends_every_sign_in(walker):
    inside, _ = sign_in()
    asked()
    client = Client()
    page = client.get(link_in(OutgoingMail.objects.get()), follow=True).redirect_chain[-1][0]
    client.post(page, {"new_password": OTHER, "again": OTHER})
    assert inside.get(HOME).status_code == 302
    assert SignIn.objects.get().ended_at is not None
    assert not Session.objects.filter(session_key=inside.cookies["sessionid"].value).exists()


def test_two_athletes_with_one_email_each_get_their_own_letter():
    for name in ("elder", "younger"):
        factories.UserFactory(
            role="athlete", username=name, email="family@example.org", password=make_password(PASSWORD)
        )
    asked("Family@Example.org")
    assert OutgoingMail.objects.count() == 2
    assert len({link_in(letter) for letter in OutgoingMail.objects.all()}) == 2
    assert {name for name in ("elder", "younger") for letter in OutgoingMail.objects.all() if name in letter.body} == {
        "elder",
        "younger",
    }


def test_the_answer_is_the_same_for_an_address_that_nobody_has(walker):
    known, unknown = asked(), asked("nobody@example.org")
    assert (known.status_code, known.content) == (unknown.status_code, unknown.content)
    assert OutgoingMail.objects.count() == 1


def test_a_disabled_account_gets_no_letter_and_the_same_answer(walker):
    walker.is_active = False
    walker.save()
    assert asked().status_code == 200
    assert not OutgoingMail.objects.exists()


def test_letters_are_rationed_and_the_answer_stays_the_same(walker):
    answers = [asked() for _ in range(5)]
    assert len({(answer.status_code, answer.content) for answer in answers}) == 1
    assert OutgoingMail.objects.count() == 3


def test_the_link_leads_to_the_public_address_where_one_is_set(walker, settings):
    settings.PUBLIC_ADDRESS = "https://moundbook.example.org/"
    asked()
    assert "https://moundbook.example.org/new-password/" in OutgoingMail.objects.get().body
