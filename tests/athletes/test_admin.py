"""The administration pages: open to admins alone, logged, and unable to touch the logs."""

from __future__ import annotations

import pytest
from django.contrib import admin as pages
from django.urls import reverse

from athletes.models import Athlete, ChangeLog, ConsentText, Facility, User
from athletes.services.change_log import record_change
from tests import factories
from tests.conftest import CAST

MODELS = [model for model in pages.site._registry if model._meta.app_label == "athletes"]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_list_and_form_open(cast, client_of, model):
    factories.ConsentFactory(athlete=cast.athlete)
    record_change(by=cast["coach"], action="note.added", row=factories.NoteFactory())
    name = f"admin:athletes_{model._meta.model_name}"
    client = client_of(cast["admin"])
    assert client.get(reverse(f"{name}_changelist")).status_code == 200
    for row in model._base_manager.all()[:1]:
        assert client.get(reverse(f"{name}_change", args=[row.pk])).status_code == 200


@pytest.mark.parametrize("name", [name for name in CAST if name != "admin"])
def test_nobody_else_gets_in(cast, client_of, name):
    answer = client_of(cast[name]).get(reverse("admin:athletes_athlete_changelist"))
    assert (answer.status_code, answer.headers["Location"].split("?")[0]) == (302, reverse("admin:login"))


@pytest.mark.parametrize("model", ["changelog", "viewlog", "viewlogseal"])
def test_logs_can_only_be_read(cast, client_of, model):
    assert client_of(cast["admin"]).get(reverse(f"admin:athletes_{model}_add")).status_code == 403


def management(prefix: str, total: int = 0, initial: int = 0) -> dict[str, str]:
    return {f"{prefix}-TOTAL_FORMS": str(total), f"{prefix}-INITIAL_FORMS": str(initial)}


INLINES = ("levels", "body_sizes", "external_ids", "guardianships", "referrals", "consents", "contacts")


def sent_for(athlete: Athlete, **more: str) -> dict[str, str]:
    sent = {
        "given_name": athlete.given_name,
        "family_name": athlete.family_name,
        "birth_date": str(athlete.birth_date),
        "throws": athlete.throws,
    }
    for prefix in INLINES:
        sent |= management(prefix)
    return sent | more


def test_size_that_an_admin_adds_is_logged_and_makes_findings_stale(cast, client_of):
    person = factories.AthleteFactory(body_size={}, level="", consent=False)
    row = {"body_sizes-0-date": "2026-04-14", "body_sizes-0-height_cm": "185", "body_sizes-0-athlete": str(person.pk)}
    sent = sent_for(person, **management("body_sizes", total=1), **row)
    answer = client_of(cast["admin"]).post(reverse("admin:athletes_athlete_change", args=[person.pk]), sent)
    assert answer.status_code == 302
    assert [size.height_cm for size in person.body_sizes.all()] == [185]
    assert Athlete.objects.get(pk=person.pk).facts_revision == 2
    entry = ChangeLog.objects.get(athlete_uuid=person.uuid, action="bodysize.changed_by_admin")
    assert [row["height_cm"] for row in entry.after.values()] == [185.0]


def test_impossible_size_is_refused(cast, client_of):
    person = factories.AthleteFactory(body_size={}, level="", consent=False)
    row = {"body_sizes-0-date": "2026-04-14", "body_sizes-0-height_cm": "72", "body_sizes-0-athlete": str(person.pk)}
    sent = sent_for(person, **management("body_sizes", total=1), **row)
    answer = client_of(cast["admin"]).post(reverse("admin:athletes_athlete_change", args=[person.pk]), sent)
    assert answer.status_code == 200
    assert not person.body_sizes.exists()


@pytest.mark.parametrize(("role", "is_staff"), [("admin", True), ("coach", False)])
def test_role_alone_decides_who_reaches_these_pages(cast, client_of, role, is_staff):
    sent = {
        "username": "newcomer",
        "role": role,
        "usable_password": "true",
        "password1": "a-long-enough-phrase",
        "password2": "a-long-enough-phrase",
    }
    answer = client_of(cast["admin"]).post(reverse("admin:athletes_user_add"), sent)
    assert answer.status_code == 302
    account = User.objects.get(username="newcomer")
    assert (account.is_staff, account.is_superuser) == (is_staff, is_staff)
    assert ChangeLog.objects.filter(object_uuid=account.uuid, action="account.created").exists()


def test_there_is_one_facility(cast, client_of):
    assert client_of(cast["admin"]).get(reverse("admin:athletes_facility_add")).status_code == 403
    assert Facility.objects.count() == 1


def test_text_that_somebody_agreed_to_stays(cast, client_of):
    text = ConsentText.objects.get()
    answer = client_of(cast["admin"]).post(
        reverse("admin:athletes_consenttext_change", args=[text.pk]),
        {"version": "1", "body": "other", "valid_from": "2020-01-01"},
    )
    assert answer.status_code == 403
