"""Every page of the desk for everybody of the cast; strangers learn nothing, not even that somebody exists."""

from __future__ import annotations

from uuid import uuid4

import pytest

from tests import factories
from tests.conftest import CAST

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

STAFF = {"admin", "coach"}
# page: who gets 200; the others get the status beside it
PLAIN_PAGES = {
    "/": (set(CAST), 403),
    "/roster/": (STAFF, 403),
    "/roster/csv/": (STAFF, 403),
    "/coming/": (STAFF, 403),
    "/here/": (STAFF, 403),
    "/here/to-check-in/?here=ikaika": (STAFF, 403),
    "/groups/": (STAFF, 403),
    "/search/?q=nothing-of-that-name": (STAFF | {"clinician", "visiting_coach", "stranger"}, 403),
}
RECORD = {"admin": 200, "coach": 200, "visiting_coach": 200, "clinician": 200, "athlete_user": 200, "guardian": 200}
MINE = {"admin": 200, "coach": 200, "visiting_coach": 403, "clinician": 403, "athlete_user": 200, "guardian": 200}


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("url", PLAIN_PAGES)
def test_pages_of_no_single_athlete(url, name, cast, client_of):
    welcome, otherwise = PLAIN_PAGES[url]
    assert client_of(cast[name]).get(url).status_code == (200 if name in welcome else otherwise)


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize(("place", "answers"), [("athletes", RECORD), ("mine", MINE)])
def test_pages_of_one_athlete(place, answers, name, cast, client_of):
    assert client_of(cast[name]).get(f"/{place}/{cast.athlete.uuid}/").status_code == answers.get(name, 404)


@pytest.mark.parametrize("name", CAST)
def test_the_page_of_a_group_is_the_staffs_and_others_do_not_learn_whether_there_is_one(name, cast, client_of):
    client, group = client_of(cast[name]), cast.athlete.groups.get()
    theirs, missing = client.get(f"/groups/{group.uuid}/"), client.get(f"/groups/{uuid4()}/")
    assert (theirs.status_code, missing.status_code) == ((200, 404) if name in STAFF else (403, 403))
    if name not in STAFF:
        assert theirs.content == missing.content


@pytest.mark.parametrize("place", ["athletes", "mine"])
@pytest.mark.parametrize("name", ["visiting_coach", "clinician", "other_athlete_user", "guardian", "stranger"])
def test_somebody_elses_athlete_and_a_missing_one_get_the_same_answer(place, name, cast, client_of):
    foreign = factories.AthleteFactory()
    client = client_of(cast[name])
    theirs, missing = client.get(f"/{place}/{foreign.uuid}/"), client.get(f"/{place}/{uuid4()}/")
    assert (theirs.status_code, missing.status_code) == (404, 404)
    assert theirs.content == missing.content


@pytest.mark.parametrize("place", ["athletes", "mine"])
def test_a_withdrawn_athlete_has_no_page(place, cast, client_of):
    cast.athlete.mark_withdrawn(cast["coach"], "left")
    cast.athlete.save()
    for name in CAST:
        assert client_of(cast[name]).get(f"/{place}/{cast.athlete.uuid}/").status_code == 404, name


@pytest.mark.parametrize("url", [*PLAIN_PAGES, "/athletes/{uuid}/", "/mine/{uuid}/"])
def test_nobody_signed_out_gets_in(url, cast, client_of):
    answer = client_of(None).get(url.format(uuid=cast.athlete.uuid))
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(
    "url", ["/", "/roster/", "/roster/csv/", "/coming/", "/here/", "/here/to-check-in/", "/groups/", "/search/"]
)
def test_pages_are_only_read(url, cast, client_of):
    assert client_of(cast["coach"]).post(url).status_code == 405


def test_refusals_are_the_same_page_whatever_was_asked_for(cast, client_of):
    client = client_of(cast["athlete_user"])
    assert client.get("/roster/").content == client.get("/coming/").content


HOMES = {
    # who: what stands on their first page, and what must not
    "admin": (("Needs you", "Ikaika Brandvold", "Lucía Strand", "Range profiles"), ()),
    "coach": (("Needs you", "Ikaika Brandvold"), ("Range profiles",)),
    "visiting_coach": (
        ("Varsity", "Ikaika Brandvold", "stopped"),
        ("Lucía", "forearm", "stay closed", "Needs you"),
    ),
    "clinician": (("Ikaika Brandvold", "referred for elbow", "Pain: forearm"), ("Lucía", "stay closed", "Needs you")),
    "athlete_user": (("Hello, Ikaika", "Pain: forearm"), ("Lucía", "stay closed", "Needs you", "Roster")),
    "other_athlete_user": (("Hello, Lucía", "can throw"), ("Ikaika", "forearm", "stay closed")),
    "guardian": (("Ikaika is stopped", "Pain: forearm"), ("Lucía", "stay closed", "Needs you")),
    "stranger": (("Nobody is yet",), ("Ikaika", "Lucía", "forearm")),
}


@pytest.mark.parametrize("name", CAST)
def test_the_first_page_shows_its_role_what_is_theirs_and_nothing_else(name, cast, client_of):
    factories.PainReportFactory(athlete=cast.athlete, where="forearm", reported_by=cast["coach"])
    factories.NoteFactory(athlete=cast.athlete, text="stay closed")
    for user in cast.users.values():  # names of accounts must not be mistaken for athletes
        type(user).objects.filter(pk=user.pk).update(first_name="Acc", last_name="Ount")
    query = {"who": "everyone"} if name in STAFF else {}
    page = client_of(cast[name]).get("/", query).content.decode()
    page = page.split("<body", 1)[1]
    shown, hidden = HOMES[name]
    for words in shown:
        assert words in page, words
    for words in hidden:
        assert words not in page, words
