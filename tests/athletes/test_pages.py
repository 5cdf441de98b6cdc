"""The forms of this room in a browser's terms: who gets them, what they store, what they say."""

from __future__ import annotations

import datetime as dt

import pytest
from django.contrib.messages import get_messages
from django.template.loader import render_to_string

from athletes.facts import body_size_on
from athletes.models import Athlete, Availability, BodySize, Clearance, Consent, LevelPeriod, Note, PainReport
from athletes.pages import record_url, who_of
from athletes.records import facts_part, notes_of, notes_part
from tests import factories
from tests.conftest import CAST

DAY = factories.DAY
STAFF = {"admin", "coach"}
TIED = {*STAFF, "visiting_coach", "clinician", "athlete_user", "guardian"}

pytestmark = pytest.mark.usefixtures("clock")

# page → who may, what is sent, the table that gains a row
PAGES = {
    "level": (STAFF, {"level": "college", "valid_from": "2026-04-14"}, LevelPeriod),
    "body-size": (STAFF, {"on": "2026-04-14", "height_cm": "6'1\"", "mass_kg": "81 kg"}, BodySize),
    "notes/add": (STAFF, {"text": "Hands quieter."}, Note),
    "availability": (STAFF | {"clinician"}, {"state": "away", "valid_from": "2026-04-14"}, Availability),
    "pain": (TIED - {"visiting_coach"}, {"where": "elbow", "how_much": "4"}, PainReport),
    "consent": (STAFF, {"given_by_name": "Ana", "relation": "mother", "given_on": "2026-04-14"}, Consent),
}


def status_for(name: str, allowed: set[str], otherwise: int) -> int:
    if name not in TIED:
        return 404
    return otherwise if name in allowed else 403


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("name", CAST)
def test_page_and_what_it_stores_for_each_of_the_cast(cast, client_of, name, page):
    allowed, sent, table = PAGES[page]
    client, address, before = client_of(cast[name]), f"/athletes/{cast.athlete.uuid}/{page}/", table.objects.count()
    assert client.get(address).status_code == status_for(name, allowed, 200)
    answer = client.post(address, sent)
    assert answer.status_code == status_for(name, allowed, 302)
    assert table.objects.count() - before == (1 if name in allowed else 0)
    if name in allowed:
        family = name in {"athlete_user", "guardian"}
        assert answer.headers["Location"] == ("/" if family else record_url(cast.athlete.uuid))


WRONG = {
    "level": {"level": "elite", "valid_from": "2026-04-14"},
    "body-size": {"on": "2026-04-14", "height_cm": "7'13\""},
    "notes/add": {"text": " "},
    "availability": {"state": "limited", "valid_from": "2026-04-14"},
    "pain": {"where": "elbow", "since": "2026-04-15"},
    "consent": {"given_by_name": "Ana", "relation": "mother", "given_on": "2026-04-15"},
}


@pytest.mark.parametrize("page", WRONG)
def test_refused_form_comes_back_with_what_was_typed_and_stores_nothing(cast, client_of, page):
    table = PAGES[page][2]
    before = table.objects.count()
    answer = client_of(cast["coach"]).post(f"/athletes/{cast.athlete.uuid}/{page}/", WRONG[page])
    assert answer.status_code == 422
    assert answer.context["form"].errors
    assert answer.context["form"].data.dict() == WRONG[page]
    assert table.objects.count() == before


def test_feet_and_inches_are_stored_in_centimetres(cast, client_of):
    client_of(cast["coach"]).post(
        f"/athletes/{cast.athlete.uuid}/body-size/", {"on": "2026-04-14", "height_cm": "6'1\"", "mass_kg": "178"}
    )
    sizes = body_size_on(Athlete.objects.get(pk=cast.athlete.pk), DAY)
    # 73 in × 2.54 cm and 178 lb × 0.45359237 kg: exact factors of NIST SP 811, B.8
    assert sizes.height.value == pytest.approx(185.42)
    assert sizes.mass.value == pytest.approx(80.739, abs=5e-4)


def test_number_that_could_mean_two_things_is_asked_back(cast, client_of):
    answer = client_of(cast["coach"]).post(
        f"/athletes/{cast.athlete.uuid}/body-size/", {"on": "2026-04-14", "height_cm": "185"}
    )
    assert (answer.status_code, "185 cm" in str(answer.context["form"].errors)) == (422, True)


NEW = {
    "given_name": "Piotr",
    "family_name": "Adeyemi",
    "birth_date": "2013-06-01",
    "throws": "left",
    "level": "youth",
    "level_from": "2025-09-01",
    "height_cm": "5'0\"",
}


@pytest.mark.parametrize("name", CAST)
def test_new_athlete_is_created_by_staff_alone(cast, client_of, name):
    client, before = client_of(cast[name]), Athlete.objects.count()
    answers = [client.get("/athletes/new/").status_code, client.post("/athletes/new/", NEW).status_code]
    assert answers == ([200, 302] if name in STAFF else [403, 403])
    assert Athlete.objects.count() - before == (1 if name in STAFF else 0)


def test_details_are_changed(cast, client_of):
    details = {"given_name": "Ikaika", "family_name": "Brandvold", "birth_date": "2010-02-10", "throws": "both"}
    answer = client_of(cast["coach"]).post(f"/athletes/{cast.athlete.uuid}/edit/", details)
    assert answer.status_code == 302
    assert Athlete.objects.get(pk=cast.athlete.pk).throws == "both"


def undo_address(answer) -> str:
    tags = [message.extra_tags for message in get_messages(answer.wsgi_request)]
    return tags[-1].removeprefix("undo:")


def test_note_is_written_withdrawn_and_brought_back_by_its_undo(cast, client_of):
    client = client_of(cast["coach"])
    client.post(f"/athletes/{cast.athlete.uuid}/notes/add/", {"text": "Hands quieter."})
    note = Note.objects.get()
    withdrawn = client.post(f"/athletes/{cast.athlete.uuid}/notes/{note.uuid}/withdraw/")
    assert not Note.objects.exists()
    client.post(undo_address(withdrawn))
    assert Note.objects.get() == note


@pytest.mark.parametrize("act", ["withdraw", "restore"])
def test_note_of_another_athlete_is_not_reached(cast, client_of, act):
    note = factories.NoteFactory(athlete=cast.other_athlete)
    client = client_of(cast["coach"])
    assert client.post(f"/athletes/{cast.athlete.uuid}/notes/{note.uuid}/{act}/").status_code == 404
    assert client.get(f"/athletes/{cast.other_athlete.uuid}/notes/{note.uuid}/{act}/").status_code == 405


@pytest.mark.parametrize("name", CAST)
def test_pain_is_cleared_by_staff_and_the_clinician_in_charge(cast, client_of, name):
    report = factories.PainReportFactory(athlete=cast.athlete)
    answer = client_of(cast[name]).post(
        f"/athletes/{cast.athlete.uuid}/pain/{report.uuid}/clearance/",
        {"cleared_by_name": "D. Quispe", "cleared_on": "2026-04-14"},
    )
    allowed = STAFF | {"clinician"}
    assert answer.status_code == status_for(name, allowed, 302)
    assert Clearance.objects.exists() is (name in allowed)


@pytest.mark.parametrize("name", CAST)
def test_notes_are_read_by_staff_and_by_the_family_when_marked(cast, name):
    staff_only = factories.NoteFactory(athlete=cast.athlete)
    marked = factories.NoteFactory(athlete=cast.athlete, for_family=True)
    factories.NoteFactory(athlete=cast.athlete, withdrawn_at=factories.NOON)
    expected = {staff_only, marked} if name in STAFF else {marked} if name in TIED else set()
    assert set(notes_of(cast.athlete, cast[name])) == expected


def test_stopped_stands_on_every_form_of_the_athlete(cast, client_of):
    factories.PainReportFactory(athlete=cast.athlete, where="elbow")
    page = client_of(cast["coach"]).get(f"/athletes/{cast.athlete.uuid}/body-size/").content.decode()
    assert "Pain: elbow." in page
    assert "Throwing and loaded work are stopped." in page


def test_header_of_a_page_is_in_the_readers_words(cast):
    factories.AvailabilityFactory(athlete=cast.athlete)
    who = who_of(cast.athlete, DAY, cast["coach"])
    assert (who["coach"], who["availability"], who["availability_note"]) == ("you", "full", "since 2 Feb")
    html = render_to_string("_who.html", {"who": who, "unit_system": "us"})
    assert "6′1″ <small>12 days old</small>" in html
    assert who_of(cast.athlete, DAY, cast["guardian"])["coach"] == "Ngaire Abaza"


@pytest.mark.parametrize("name", ["coach", "clinician"])
def test_parts_of_the_record_offer_only_what_the_reader_may_do(cast, name):
    report = factories.PainReportFactory(athlete=cast.athlete)
    factories.NoteFactory(athlete=cast.athlete, for_family=True, text="Taller at the top.")
    reader = cast[name]
    context = {
        "athlete": cast.athlete,
        "facts": facts_part(cast.athlete, DAY, reader),
        "notes": notes_part(cast.athlete, reader),
    }
    html = render_to_string("athletes/_facts.html", context) + render_to_string("athletes/_notes.html", context)
    assert f"{report.uuid}/clearance/" in html
    assert "Taller at the top." in html
    for address in ("/edit/", "/body-size/", "/notes/add/", "/withdraw/"):
        assert (address in html) is (name == "coach"), address


def test_record_says_that_consent_is_missing(cast):
    person = factories.AthleteFactory(consent=False, birth_date=dt.date(2012, 1, 1))
    context = {"athlete": person, "facts": facts_part(person, DAY, cast["coach"])}
    assert f"{person.uuid}/consent/" in render_to_string("athletes/_facts.html", context)
