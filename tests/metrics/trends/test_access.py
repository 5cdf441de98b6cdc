"""Who reads the trends of an athlete, and that every look by somebody else leaves a line."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import ViewLog
from tests import factories
from tests.conftest import CAST
from tests.metrics.trends.courses import ELBOW, KNEE, SEPARATION, START, WEEK, course, finding_in

pytestmark = pytest.mark.django_db

PAGES = ("metrics:trends", "metrics:trends-csv")
STATUS = {
    "admin": 200, "coach": 200, "clinician": 200, "visiting_coach": 403, "athlete_user": 403, "guardian": 403,
    "other_athlete_user": 404, "stranger": 404,
}  # fmt: skip
WITHOUT_CONSENT = STATUS | {"coach": 404, "clinician": 404}
MISSING = "00000000-0000-4000-8000-000000000000"


def address(athlete, page: str = "metrics:trends") -> str:
    return reverse(page, args=[athlete.uuid])


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", PAGES)
def test_staff_and_the_clinician_in_charge_read_trends_and_no_one_else(cast, client_of, name, page):
    course(cast.athlete, [100.0, 101.0])
    assert client_of(cast[name]).get(address(cast.athlete, page)).status_code == STATUS[name]


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", PAGES)
def test_while_consent_is_withdrawn_admins_alone_read_them(cast, client_of, name, page):
    course(cast.athlete, [100.0, 101.0])
    cast.athlete.consent_withdrawn_on = START
    cast.athlete.save(update_fields=["consent_withdrawn_on"])
    assert client_of(cast[name]).get(address(cast.athlete, page)).status_code == WITHOUT_CONSENT[name]


@pytest.mark.parametrize("page", PAGES)
def test_a_stranger_and_a_missing_athlete_get_the_same_answer(cast, client_of, page):
    course(cast.athlete, [100.0])
    client = client_of(cast["stranger"])
    missing = client.get(reverse(page, args=[MISSING]))
    assert client.get(address(cast.athlete, page)).content == missing.content


def test_a_look_is_noted_and_so_is_taking_the_numbers_away(cast, client_of):
    course(cast.athlete, [100.0])
    for page in PAGES:
        client_of(cast["coach"]).get(address(cast.athlete, page))
    assert sorted(ViewLog.objects.values_list("what", flat=True)) == ["trends", "trends saved"]


def test_a_cue_that_is_for_staff_is_not_shown_to_the_clinician(cast, client_of):
    course(cast.athlete, [100.0])
    factories.NoteFactory(athlete=cast.athlete, text="Sit less", is_cue=True)
    factories.NoteFactory(athlete=cast.athlete, text="Go longer", is_cue=True, for_family=True)
    seen = {name: client_of(cast[name]).get(address(cast.athlete)).content.decode() for name in ("coach", "clinician")}
    assert ["Sit less" in seen["coach"], "Go longer" in seen["coach"]] == [True, True]
    assert ["Sit less" in seen["clinician"], "Go longer" in seen["clinician"]] == [False, True]


@pytest.mark.parametrize("page", ["desk:record", "metrics:trends", "metrics:screens"])
def test_the_tab_leads_to_the_trends_from_the_pages_of_the_athlete(cast, client_of, page):
    html = client_of(cast["coach"]).get(address(cast.athlete, page)).content.decode()
    assert f'<a href="{address(cast.athlete)}"' in html


def test_the_tab_stands_on_a_session_too_and_not_where_consent_is_withdrawn(cast, client_of):
    (capture,) = course(cast.athlete, [100.0])
    session = reverse("metrics:session", args=[capture.uuid])
    assert address(cast.athlete) in client_of(cast["coach"]).get(session).content.decode()
    cast.athlete.consent_withdrawn_on = START
    cast.athlete.save(update_fields=["consent_withdrawn_on"])
    record = client_of(cast["coach"]).get(address(cast.athlete, "desk:record")).content.decode()
    assert address(cast.athlete) not in record


def test_the_page_asks_the_database_as_often_for_many_sessions_and_metrics_as_for_one(cast, client_of):
    client = client_of(cast["coach"])

    def queries(asked: str) -> int:
        client.get(address(cast.athlete) + asked)
        with CaptureQueriesContext(connection) as found:
            client.get(address(cast.athlete) + asked)
        return sum(not query["sql"].startswith(("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")) for query in found)

    course(cast.athlete, [100.0])
    few = queries("")
    for capture in course(cast.athlete, [100.0 + place for place in range(20)], start=START + WEEK):
        finding_in(capture, -20.0, KNEE, flag=True)
        finding_in(capture, 50.0, SEPARATION)
    assert queries("") == few
    assert queries("?all=1&values=1&older=1") == few
    assert queries(f"?metric={ELBOW}&order=delivery") == few
    assert few <= 13
