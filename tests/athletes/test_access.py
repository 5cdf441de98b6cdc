"""Who may open what: the table of rights, the loader for each of the cast, and the log of looks."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.test import RequestFactory

from athletes.access import athlete_or_404, require_change
from athletes.models import ViewLog
from athletes.policy import RIGHTS, Action, may
from athletes.view_notes import write_views
from tests import factories
from tests.conftest import CAST

TIED = {"admin", "coach", "visiting_coach", "clinician", "athlete_user", "guardian"}
STAFF = {"admin", "coach"}
# By hand from the table of roles; the code's own table is not read here.
MAY = {
    Action.SEE_RECORD: STAFF | {"clinician"},
    Action.SEE_AVAILABILITY: TIED,
    Action.SEE_OWN_PAGE: STAFF | {"athlete_user", "guardian"},
    Action.READ_SHARED: TIED - {"clinician"},
    Action.CHANGE: STAFF,
    Action.SHARE: STAFF,
    Action.INVITE: STAFF,
    Action.CHECK_IN: STAFF | {"athlete_user", "guardian"},
    Action.CONSENT: {"athlete_user", "guardian"},
    Action.READ_VIEW_LOG: {"athlete_user", "guardian", "admin"},
    Action.SET_AVAILABILITY: STAFF | {"clinician"},
    Action.ENTER_SCREENS: STAFF | {"clinician"},
    Action.RECORD_CLEARANCE: STAFF | {"clinician"},
    Action.REPORT_PAIN: TIED - {"visiting_coach"},
    Action.SEE_PLAN: STAFF | {"clinician"},
    Action.WRITE_PLAN: STAFF,
    Action.SEE_WORK: TIED,
    Action.TICK_WORK: STAFF | {"athlete_user", "guardian"},
    Action.LOG_THROWS: TIED,
    Action.SEE_LIBRARY: STAFF | {"clinician"},
    Action.EDIT_LIBRARY: {"admin"},
}


def request_of(user):
    request = RequestFactory().get("/")
    request.user = user
    return request


def test_every_action_has_its_row():
    assert set(MAY) == set(RIGHTS) == set(Action)


@pytest.mark.parametrize("action", Action)
@pytest.mark.parametrize("name", CAST)
def test_right_of_each_over_the_athlete(cast, name, action):
    assert may(cast[name], action, cast.athlete) is (name in MAY[action])


@pytest.mark.parametrize("name", CAST)
def test_loader_gives_404_to_strangers_403_to_the_tied_who_may_not_and_the_athlete_to_the_rest(cast, name):
    for action in Action:
        if name not in TIED:
            with pytest.raises(Http404) as error:
                athlete_or_404(request_of(cast[name]), cast.athlete.uuid, what="record", action=action)
            assert str(error.value) == ""
        elif name not in MAY[action]:
            with pytest.raises(PermissionDenied):
                athlete_or_404(request_of(cast[name]), cast.athlete.uuid, what="record", action=action)
        else:
            loaded = athlete_or_404(request_of(cast[name]), cast.athlete.uuid, what="record", action=action)
            assert loaded == (cast.athlete, name in STAFF)


def test_reader_who_may_not_change_is_refused(cast):
    loaded = athlete_or_404(request_of(cast["clinician"]), cast.athlete.uuid, what="record")
    with pytest.raises(PermissionDenied):
        require_change(loaded)


def test_closed_account_has_no_right(cast):
    cast["coach"].is_active = False
    assert not may(cast["coach"], Action.SEE_RECORD, cast.athlete)


@pytest.mark.parametrize("name", CAST)
def test_stranger_and_missing_get_the_same_bytes(cast, client_of, name):
    client = client_of(cast[name])
    answers = [client.get(f"/athletes/{uuid}/pain/") for uuid in (cast.athlete.uuid, uuid4())]
    missing = answers[1]
    assert missing.status_code == 404
    if name not in TIED:
        assert answers[0].status_code == 404
        assert answers[0].content == missing.content
        assert answers[0].headers == missing.headers


def test_nobody_is_sent_to_sign_in(cast, client_of):
    answer = client_of(None).get(f"/athletes/{cast.athlete.uuid}/pain/")
    assert (answer.status_code, answer.headers["Location"].split("?")[0]) == (302, "/sign-in/")


def looks() -> list[tuple]:
    return list(ViewLog.objects.order_by("id").values_list("who", "role", "athlete_uuid", "what"))


def test_look_is_logged_once_a_request_and_page(cast, clock):
    request = request_of(cast["coach"])
    for what in ("record", "notes", "record"):
        athlete_or_404(request, cast.athlete.uuid, what=what)
    write_views(request, HttpResponse())
    coach = cast["coach"]
    assert looks() == [(coach.uuid, "coach", cast.athlete.uuid, what) for what in ("record", "notes")]
    assert ViewLog.objects.first().when == clock.now


def test_looks_of_one_request_are_one_insert(cast, django_assert_num_queries):
    request = request_of(cast["coach"])
    for athlete in (cast.athlete, cast.other_athlete, factories.AthleteFactory()):
        athlete_or_404(request, athlete.uuid, what="record")
    with django_assert_num_queries(1):
        write_views(request, HttpResponse())
    assert ViewLog.objects.count() == 3


def test_own_look_is_not_logged_and_the_guardians_is(cast, client_of):
    client_of(cast["athlete_user"]).get(f"/athletes/{cast.athlete.uuid}/pain/")
    assert looks() == []
    client_of(cast["guardian"]).get(f"/athletes/{cast.athlete.uuid}/pain/")
    assert looks() == [(cast["guardian"].uuid, "guardian", cast.athlete.uuid, "pain report")]


@pytest.mark.parametrize(("name", "status"), [("stranger", 404), ("clinician", 403)])
def test_refused_request_is_no_look(cast, client_of, name, status):
    assert client_of(cast[name]).get(f"/athletes/{cast.athlete.uuid}/edit/").status_code == status
    assert looks() == []


def test_page_is_not_shown_when_the_look_cannot_be_logged(cast, client_of, monkeypatch):
    def full_disk(*args, **kwargs):
        raise OSError("No space left on device")

    monkeypatch.setattr(ViewLog.objects, "bulk_create", full_disk)
    client = client_of(cast["coach"])
    client.raise_request_exception = False
    answer = client.get(f"/athletes/{cast.athlete.uuid}/edit/")
    assert answer.status_code == 500
    assert b"Ikaika" not in answer.content
