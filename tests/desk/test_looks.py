"""Who looked at my record: the view log in plain words, for the athlete, a guardian and an admin."""

from __future__ import annotations

import ast
import csv
import datetime as dt
import io
from uuid import uuid4

import pytest
from django.utils.html import strip_tags

from athletes.models import ViewLog
from desk.page_words import PAGE_WORDS, page_words
from tests import factories
from tests.conftest import CAST
from tests.factories import NOON
from tests.source import ROOMS, python_files, tree_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ANSWERS = {"admin": 200, "athlete_user": 200, "guardian": 200, "coach": 403, "visiting_coach": 403, "clinician": 403}


def look(athlete, who, *, what="record", when=NOON, role=""):
    return ViewLog.objects.create(
        when=when, who=who.uuid, role=role or who.role, athlete_uuid=athlete.uuid, what=what, request_reference=""
    )


def address(athlete, more=""):
    return f"/mine/{athlete.uuid}/looks/{more}"


@pytest.fixture
def rows(client_of):
    """The table's lines, each as the words of its cells."""

    def read(user, athlete, more=""):
        page = client_of(user).get(address(athlete) + more).content.decode()
        if "<tbody>" not in page:
            return []
        lines = page.split("<tbody>")[1].split("</tbody>")[0].split("<tr>")[1:]
        return [" · ".join(" ".join(strip_tags(cell).split()) for cell in line.split("</td>")[:-1]) for line in lines]

    return read


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("more", ["", "csv/"])
def test_the_family_and_an_admin_read_it_and_nobody_else(more, name, cast, client_of):
    assert client_of(cast[name]).get(address(cast.athlete, more)).status_code == ANSWERS.get(name, 404)


@pytest.mark.parametrize("name", ["other_athlete_user", "stranger", "guardian"])
@pytest.mark.parametrize("more", ["", "csv/"])
def test_somebody_elses_list_and_a_missing_one_get_the_same_answer(more, name, cast, client_of):
    theirs = cast.other_athlete if name != "other_athlete_user" else cast.athlete
    client = client_of(cast[name])
    found = client.get(address(theirs, more))
    missing = client.get(f"/mine/{uuid4()}/looks/{more}")
    assert found.status_code == missing.status_code == 404
    assert found.content == missing.content


def test_says_who_in_which_role_what_and_when_by_the_facilitys_clock(athlete, athlete_user, coach, rows):
    look(athlete, coach)
    assert rows(athlete_user, athlete) == ["Ngaire Abaza · coach · the record · 14 April 2026, 12:00"]


def test_the_same_page_on_one_day_is_one_line_with_its_count_and_its_last_time(athlete, athlete_user, coach, rows):
    for hours in (3, 2, 0):
        look(athlete, coach, when=NOON - dt.timedelta(hours=hours))
    look(athlete, coach, what="session")
    look(athlete, coach, when=NOON - dt.timedelta(days=1))
    assert rows(athlete_user, athlete) == [
        "Ngaire Abaza · coach · a session · 14 April 2026, 12:00",
        "Ngaire Abaza · coach · the record · 14 April 2026, 12:00 3 times",
        "Ngaire Abaza · coach · the record · 13 April 2026, 12:00",
    ]


def test_the_day_is_the_facilitys_and_not_that_of_greenwich(athlete, athlete_user, coach, rows):
    """04:30 UTC is half past eleven at night in Chicago."""
    look(athlete, coach, when=dt.datetime(2026, 4, 14, 4, 30, tzinfo=dt.UTC))
    look(athlete, coach, when=dt.datetime(2026, 4, 14, 5, 30, tzinfo=dt.UTC))
    assert rows(athlete_user, athlete) == [
        "Ngaire Abaza · coach · the record · 14 April 2026, 00:30",
        "Ngaire Abaza · coach · the record · 13 April 2026, 23:30",
    ]


def test_the_role_is_that_of_the_look_not_of_today(athlete, athlete_user, coach, rows):
    look(athlete, coach, role="clinician")
    assert "clinician" in rows(athlete_user, athlete)[0]


def test_the_athlete_and_an_admin_read_a_guardians_name_and_another_guardian_does_not(
    athlete, athlete_user, admin, guardian, rows
):
    second = factories.UserFactory(role="guardian", first_name="Ana", last_name="Lindqvist")
    factories.GuardianshipFactory(guardian=second, athlete=athlete, relation="aunt")
    look(athlete, second)
    assert rows(athlete_user, athlete)[0].startswith("Ana Lindqvist · guardian")
    assert rows(admin, athlete)[0].startswith("Ana Lindqvist · guardian")
    assert rows(guardian, athlete)[-1].startswith("Another guardian · guardian")
    assert rows(second, athlete)[-1].startswith("You · guardian")


def test_an_account_that_is_gone_leaves_its_look_and_no_name(athlete, athlete_user, rows):
    gone = factories.UserFactory(first_name="Vanished", last_name="Person")
    look(athlete, gone)
    gone.delete()
    assert rows(athlete_user, athlete)[0].startswith("Somebody whose account is gone · coach")


def test_another_athletes_looks_are_not_here(athlete, athlete_user, other_athlete, coach, rows):
    look(other_athlete, coach)
    assert rows(athlete_user, athlete) == []


def test_a_page_that_the_table_does_not_know_stands_as_it_was_logged(athlete, athlete_user, coach, rows):
    look(athlete, coach, what="<b>a new page</b>")
    assert "· <b>a new page</b> ·".replace("<", "&lt;").replace(">", "&gt;") in rows(athlete_user, athlete)[0]


def test_programs_and_the_administration_are_told_apart():
    assert page_words("API: sessions") == "a session, read by a program"
    assert page_words("admin: athlete") == "the administration pages: athlete"


def test_every_page_that_is_noted_has_plain_words():
    """Walks the code: the constant text that a loader or `note_view` is given, and the `what` of the read API."""
    noted = set()
    for path in python_files(*ROOMS):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Call):
                called = getattr(node.func, "id", getattr(node.func, "attr", ""))
                given = [word.value for word in node.keywords if word.arg == "what"]
                given += node.args[2:3] if called == "note_view" else []
                noted |= {one.value for one in given if isinstance(one, ast.Constant) and isinstance(one.value, str)}
            if isinstance(node, ast.Assign | ast.FunctionDef) and path.name == "viewsets.py":
                names = [getattr(target, "id", "") for target in getattr(node, "targets", ())]
                if "what" in names and isinstance(node.value, ast.Constant):  # type: ignore[union-attr]
                    noted.add(node.value.value)  # type: ignore[union-attr]
    assert {"record", "session", "who looked", "import preview", "findings"} <= noted
    assert noted - set(PAGE_WORDS) == set()


def test_a_long_list_comes_in_pages_with_a_constant_number_of_queries(
    athlete, athlete_user, coach, client_of, rows, django_assert_max_num_queries
):
    for number in range(120):
        look(athlete, coach, what=f"page {number}", when=NOON - dt.timedelta(minutes=number))
    client = client_of(athlete_user)
    with django_assert_max_num_queries(10):  # two of them for the stop that stands on every page of an athlete
        client.get(address(athlete))
    assert [len(rows(athlete_user, athlete, f"?page={number}")) for number in (1, 2, 3)] == [50, 50, 20]


def test_one_role_can_be_chosen_among_those_that_looked(athlete, athlete_user, coach, clinician, client_of, rows):
    for who in (coach, clinician):
        look(athlete, who)
    assert len(rows(athlete_user, athlete)) == 2
    assert [row.split(" · ")[1] for row in rows(athlete_user, athlete, "?role=clinician")] == ["clinician"]
    assert len(rows(athlete_user, athlete, "?role=nonsense")) == 2
    page = client_of(athlete_user).get(address(athlete)).content.decode()
    assert 'href="?role=coach"' in page
    assert 'href="?role=guardian"' not in page


def test_is_saved_as_a_table_with_all_lines(athlete, guardian, coach, client_of):
    for number in range(60):
        look(athlete, coach, what=f"page {number}")
    look(athlete, coach, what="=1+1")
    answer = client_of(guardian).get(address(athlete, "csv/"))
    assert answer["Content-Disposition"] == 'attachment; filename="who-looked-2026-04-14.csv"'
    table = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert table[0] == ["Day", "Last time", "Who", "Role", "Page", "Times"]
    assert table[1] == ["2026-04-14", "12:00", "Ngaire Abaza", "coach", "'=1+1", "1"]
    assert len(table) == 62


def test_reading_the_list_is_itself_noted_but_not_for_the_athlete(athlete, athlete_user, guardian, client_of):
    for user in (athlete_user, guardian):
        client_of(user).get(address(athlete))
        client_of(user).get(address(athlete, "csv/"))
    assert sorted(ViewLog.objects.values_list("who", "what")) == [
        (guardian.uuid, "who looked"),
        (guardian.uuid, "who looked saved"),
    ]


def test_an_empty_list_says_what_would_stand_here(athlete, athlete_user, client_of):
    page = client_of(athlete_user).get(address(athlete)).content.decode()
    assert "Nobody yet. When a coach opens the record, it will stand here." in page
