"""Invitations: one link, one person, once; and everything that somebody may try with a link."""

from __future__ import annotations

import datetime as dt
import re
import threading
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from athletes.models import Athlete, ChangeLog, Guardianship, Invitation, OutgoingMail, Role, User
from athletes.services.invitations import digest_of, invite, revoke, roles_to_invite
from athletes.services.joining import Closed, Unfit, accept_as_new, accept_with
from athletes.services.withdrawal import withdraw
from tests import factories
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

PASSWORD = "walks the dog at noon"
JOIN = {"username": "ana", "password": PASSWORD, "password_again": PASSWORD}

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


@pytest.fixture
def child():
    return factories.AthleteFactory(given_name="Noor", family_name="Hidden-Name", consent=False)


@pytest.fixture
def asked(child, coach):
    """A guardian's invitation with its link."""
    return invite(email="ana@example.org", role="guardian", relation="mother", athlete=child, by=coach)


def secret_of(made) -> str:
    return made.link.rstrip("/").rsplit("/", 1)[1]


def path_of(made) -> str:
    return reverse("athletes:invitation", args=[secret_of(made)])


# ---- inviting -------------------------------------------------------------------------------------------


def test_only_a_digest_of_the_secret_is_kept(asked):
    row = Invitation.objects.get()
    assert row.secret_digest == digest_of(secret_of(asked))
    assert len(secret_of(asked)) >= 43  # 32 random bytes in base 64
    assert secret_of(asked) in OutgoingMail.objects.get().body
    assert secret_of(asked) not in str(list(ChangeLog.objects.values()))


def test_the_letter_names_the_child_by_the_given_name_only(asked):
    body = OutgoingMail.objects.get().body
    assert "for Noor" in body
    assert "Hidden-Name" not in body


@pytest.mark.parametrize(
    ("role", "invited"),
    [
        ("admin", set(Role)),
        ("coach", {"athlete", "guardian", "visiting_coach"}),
        ("clinician", set()),
        ("visiting_coach", set()),
        ("athlete", set()),
        ("guardian", set()),
    ],
)
def test_who_may_invite_whom(role, invited):
    assert roles_to_invite(factories.UserFactory(role=role)) == invited


def test_a_coach_who_invites_an_admin_is_refused(coach):
    with pytest.raises(PermissionDenied):
        invite(email="x@example.org", role="admin", by=coach)
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("wrong", [{"email": "nobody"}, {"role": "visiting_coach"}])
def test_a_wrong_invitation_stores_nothing(child, coach, wrong):
    with pytest.raises(ValidationError):
        invite(**{"email": "ana@example.org", "role": "guardian", "athlete": child, "by": coach, **wrong})
    assert not Invitation.objects.exists()
    assert not OutgoingMail.objects.exists()


def test_inviting_again_takes_the_earlier_link_back(asked, child, coach):
    again = invite(email="ANA@example.org", role="guardian", athlete=child, by=coach)
    with pytest.raises(Closed, match="taken back"):
        accept_as_new(secret=secret_of(asked), username="ana", password=PASSWORD)
    assert accept_as_new(secret=secret_of(again), username="ana", password=PASSWORD).role == "guardian"


def test_the_page_shows_the_link_once_as_text_and_picture(child, coach, client_of):
    client = client_of(coach)
    page = reverse("athletes:invite", args=[child.uuid])
    answer = client.post(page, {"role": "guardian", "email": "ana@example.org"})
    link = re.search(r'value="(http[^"]+)"', answer.content.decode()).group(1)
    assert Invitation.objects.get().secret_digest == digest_of(link.rstrip("/").rsplit("/", 1)[1])
    assert b"data:image/svg+xml" in answer.content
    assert answer["Cache-Control"] == "no-store"
    assert link not in client.get(page).content.decode()


def test_a_forged_host_does_not_get_into_the_letter(child, coach, settings):
    settings.PUBLIC_ADDRESS, settings.ALLOWED_HOSTS = "https://moundbook.example.org", ["*"]
    client = Client(headers={"host": "evil.example.net"})
    client.force_login(coach)
    answer = client.post(reverse("athletes:invite", args=[child.uuid]), {"role": "guardian", "email": "a@example.org"})
    assert answer.status_code == 200
    body = OutgoingMail.objects.get().body
    assert "https://moundbook.example.org/" in body
    assert "evil" not in body


@pytest.mark.parametrize("name", ["visiting_coach", "clinician", "athlete_user", "guardian"])
def test_who_is_tied_but_no_staff_may_not_invite(cast, client_of, name):
    answer = client_of(cast[name]).post(
        reverse("athletes:invite", args=[cast.athlete.uuid]), {"role": "guardian", "email": "a@example.org"}
    )
    assert answer.status_code == 403
    assert not Invitation.objects.exists()


def test_a_role_that_the_form_does_not_offer_is_refused(child, coach, client_of):
    for page in (reverse("athletes:invite", args=[child.uuid]), reverse("athletes:invite-person")):
        answer = client_of(coach).post(page, {"role": "admin", "email": "a@example.org"})
        assert answer.status_code == 422
    assert not Invitation.objects.exists()


def test_an_invitation_is_taken_back_only_under_its_own_athlete(asked, coach, client_of):
    other = factories.AthleteFactory()
    row = asked.invitation
    client = client_of(coach)
    assert client.post(reverse("athletes:invitation-revoke", args=[other.uuid, row.uuid])).status_code == 404
    assert client.post(reverse("athletes:invitation-revoke", args=[row.athlete.uuid, row.uuid])).status_code == 302
    assert client_of(None).get(path_of(asked)).status_code == 410


def test_a_coach_does_not_take_back_what_an_admin_sent_to_staff(admin, coach, client_of):
    row = invite(email="new@example.org", role="coach", by=admin).invitation
    assert client_of(coach).post(reverse("athletes:person-invitation-revoke", args=[row.uuid])).status_code == 404
    row.refresh_from_db()
    assert row.revoked_at is None


def test_staff_read_that_a_letter_did_not_leave(asked, child, coach, client_of):
    OutgoingMail.objects.update(state="given_up", error_sentence="The mail server could not be reached.")
    page = client_of(coach).get(reverse("athletes:invite", args=[child.uuid])).content.decode()
    assert "letter not sent" in page
    assert "could not be reached" in page


# ---- the link -------------------------------------------------------------------------------------------


def test_the_page_says_who_invites_for_whom_and_no_more(asked, client_of):
    answer = client_of(None).get(path_of(asked))
    page = answer.content.decode()
    assert "Ngaire Abaza" in page
    assert "Riverbend Throwing" in page
    assert "Noor" in page
    assert "Hidden-Name" not in page
    assert answer["Cache-Control"] == "no-store"
    assert answer["Referrer-Policy"] == "strict-origin"


def test_a_guardian_joins_and_is_led_to_the_consent_text(asked, child, client_of):
    factories.ConsentTextFactory()
    client = client_of(None)
    answer = client.post(path_of(asked), JOIN)
    assert (answer.status_code, answer["Location"]) == (302, reverse("athletes:agree", args=[child.uuid]))
    account = User.objects.get(username="ana")
    assert (account.role, account.email, account.is_staff) == ("guardian", "ana@example.org", False)
    assert Guardianship.objects.get(guardian=account).relation == "mother"
    assert client.get(answer["Location"]).status_code == 200


def test_a_role_in_the_form_changes_nothing(asked, client_of):
    client_of(None).post(path_of(asked), {**JOIN, "role": "admin", "is_staff": "on", "is_superuser": "on"})
    account = User.objects.get(username="ana")
    assert (account.role, account.is_staff, account.is_superuser) == ("guardian", False, False)


def test_a_used_link_is_gone_and_makes_no_second_account(asked, client_of):
    client_of(None).post(path_of(asked), JOIN)
    answer = client_of(None).post(path_of(asked), {**JOIN, "username": "eve"})
    assert answer.status_code == 410
    assert answer["Referrer-Policy"] == "no-referrer"
    assert not User.objects.filter(username="eve").exists()


def test_a_link_runs_out_after_seven_days(asked, clock, client_of):
    clock.move(days=7, seconds=-1)
    assert client_of(None).get(path_of(asked)).status_code == 200
    clock.move(seconds=1)
    assert client_of(None).post(path_of(asked), JOIN).status_code == 410
    assert not User.objects.filter(username="ana").exists()


def test_a_guessed_link_is_like_a_page_that_is_not_there(client_of):
    guess = client_of(None).get(reverse("athletes:invitation", args=["A" * 43]))
    assert guess.status_code == 404
    assert guess.content == client_of(None).get(reverse("athletes:invitation", args=[str(uuid4())])).content


def test_the_digest_is_no_key(asked, client_of):
    assert client_of(None).get(reverse("athletes:invitation", args=[asked.invitation.secret_digest])).status_code == 404


def test_a_withdrawn_athlete_closes_the_link(asked, child, coach, client_of):
    withdraw(row=child, athlete=child, by=coach)
    assert client_of(None).post(path_of(asked), JOIN).status_code == 410
    assert not User.objects.filter(username="ana").exists()


def test_an_athlete_merged_into_another_closes_the_link(asked, child, client_of):
    Athlete.objects.filter(pk=child.pk).update(merged_into=factories.AthleteFactory())
    assert client_of(None).post(path_of(asked), JOIN).status_code == 410


def test_an_athlete_who_has_an_account_meanwhile_closes_the_link(child, coach, client_of):
    made = invite(email="noor@example.org", role="athlete", athlete=child, by=coach)
    Athlete.objects.filter(pk=child.pk).update(account=factories.UserFactory(role="athlete"))
    assert client_of(None).post(path_of(made), JOIN).status_code == 410


def test_a_guardian_of_somebody_of_age_is_not_added(asked, child, clock, client_of, coach):
    clock.now = clock.now.replace(year=2028)
    Invitation.objects.update(expires_at=clock.now + dt.timedelta(days=1))
    assert client_of(None).post(path_of(asked), JOIN).status_code == 410
    with pytest.raises(ValidationError, match="of age"):
        invite(email="b@example.org", role="guardian", athlete=child, by=coach)


@pytest.mark.parametrize("role", ["coach", "admin", "athlete", "clinician", "visiting_coach"])
def test_signed_in_as_another_role_is_a_conflict(asked, client_of, role):
    answer = client_of(factories.UserFactory(role=role)).post(path_of(asked))
    assert answer.status_code == 409
    assert not Guardianship.objects.exists()
    assert Invitation.objects.get().accepted_at is None


def test_a_guardian_of_two_children_accepts_with_the_account_that_is_there(asked, guardian, child, client_of):
    factories.GuardianshipFactory(guardian=guardian)
    assert client_of(guardian).post(path_of(asked)).status_code == 302
    assert guardian.guardianships.count() == 2
    assert Athlete.objects.visible_to(guardian).filter(pk=child.pk).exists()


def test_two_siblings_share_one_address(coach, client_of):
    for name in ("noor", "sami"):
        made = invite(email="home@example.org", role="athlete", athlete=factories.AthleteFactory(), by=coach)
        assert client_of(None).post(path_of(made), {**JOIN, "username": name}).status_code == 302
    assert User.objects.filter(email="home@example.org").count() == 2


def test_an_athletes_account_does_not_become_a_second_athletes(child, coach, athlete, athlete_user):
    made = invite(email="noor@example.org", role="athlete", athlete=child, by=coach)
    with pytest.raises(Unfit):
        accept_with(secret=secret_of(made), account=athlete_user)


def test_a_visiting_coach_joins_the_group_and_sees_its_athletes_only(child, coach):
    group = factories.TrainingGroupFactory(athletes=[child])
    factories.AthleteFactory()
    made = invite(email="v@example.org", role="visiting_coach", group=group, by=coach)
    account = accept_as_new(secret=secret_of(made), username="visitor", password=PASSWORD)
    assert list(Athlete.objects.visible_to(account)) == [child]


def test_an_invited_admin_reaches_the_admin_pages(admin, client_of):
    made = invite(email="boss@example.org", role="admin", by=admin)
    account = accept_as_new(secret=secret_of(made), username="boss", password=PASSWORD)
    assert client_of(account).get(reverse("admin:index")).status_code == 200


@pytest.mark.parametrize(
    "wrong",
    [
        {"password": "short", "password_again": "short"},
        {"password": "password1234", "password_again": "password1234"},
        {"password_again": "walks the cat at noon"},
        {"username": "coach"},
        {"username": "a b c"},
        {"username": ""},
    ],
)
def test_what_is_typed_wrong_is_said_and_makes_nothing(asked, coach, client_of, wrong):
    accounts = User.objects.count()
    answer = client_of(None).post(path_of(asked), {**JOIN, **wrong})
    assert answer.status_code == 422
    assert b"errorlist" in answer.content
    assert PASSWORD not in answer.content.decode()
    assert User.objects.count() == accounts
    assert Invitation.objects.get().accepted_at is None


def test_name_and_password_are_told_together_and_in_the_words_of_the_form(asked, coach, client_of):
    wrong = {"username": coach.username, "password": "short", "password_again": "short"}
    page = client_of(None).post(path_of(asked), {**JOIN, **wrong}).content.decode()
    assert "This sign-in name is taken. Choose another." in page
    assert "too short" in page
    page = client_of(None).post(path_of(asked), {**JOIN, "username": "a b c"}).content.decode()
    assert "<li>Use letters, digits and @ . + - _ only.</li>" in page


def test_the_form_needs_its_token(asked, guardian):
    for account in (None, guardian):
        client = Client(enforce_csrf_checks=True)
        if account:
            client.force_login(account)
        assert client.post(path_of(asked), JOIN).status_code == 403
    assert Invitation.objects.get().accepted_at is None


def test_under_no_referrer_a_browser_could_not_send_the_form(asked):
    """Fetch standard, “append a request Origin header”: such a form is sent with `Origin: null`."""
    client = Client(enforce_csrf_checks=True)
    page = client.get(path_of(asked)).content.decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page).group(1)
    sent = {**JOIN, "csrfmiddlewaretoken": token}
    assert client.post(path_of(asked), sent, headers={"origin": "null"}).status_code == 403
    assert client.post(path_of(asked), sent, headers={"origin": "http://testserver"}).status_code == 302


def test_revoking_what_was_accepted_is_refused(asked, coach):
    accept_as_new(secret=secret_of(asked), username="ana", password=PASSWORD)
    with pytest.raises(ValidationError, match="was accepted"):
        revoke(invitation=asked.invitation, by=coach)


# ---- the end of the process, and two at once ------------------------------------------------------------


def test_killed_at_any_database_call_an_invitation_is_whole_or_not_there(child, coach):
    def act():
        return invite(email="ana@example.org", role="guardian", athlete=child, by=coach)

    for call in range(1, calls_of(act)):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            left = (Invitation.objects.count(), OutgoingMail.objects.count(), ChangeLog.objects.count())
            assert left == (0, 0, 0), call


def test_killed_at_any_database_call_an_acceptance_is_whole_or_not_there(asked):
    def act():
        return accept_as_new(secret=secret_of(asked), username="ana", password=PASSWORD)

    lines = ChangeLog.objects.count()
    for call in range(1, calls_of(act)):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert not User.objects.filter(username="ana").exists(), call
            assert not Guardianship.objects.exists(), call
            assert Invitation.objects.get().accepted_at is None, call
            assert ChangeLog.objects.count() == lines, call
    act()


@pytest.mark.django_db(transaction=True)
def test_of_two_who_accept_at_once_one_gets_in(asked):
    """On PostgreSQL, where the tests of this folder run too, both really are inside at once."""
    ended: list[str] = []
    start, one_ended = threading.Barrier(2), threading.Event()

    def accept(name: str) -> None:
        start.wait()
        try:
            try:
                accept_as_new(secret=secret_of(asked), username=name, password=PASSWORD)
            except OperationalError:  # the tests' SQLite in memory refuses instead of waiting for the other
                one_ended.wait(20)
                accept_as_new(secret=secret_of(asked), username=name, password=PASSWORD)
            ended.append("in")
        except Closed:
            ended.append("closed")
        finally:
            one_ended.set()
            connection.close()

    threads = [threading.Thread(target=accept, args=[name]) for name in ("ana", "eve")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(ended) == ["closed", "in"]
    assert Guardianship.objects.count() == 1
