"""What a coach says of a starting point is kept, once, with its reason; and can be taken back."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.urls import reverse

from athletes.models import ChangeLog
from metrics.models import StartingPointAnswer
from metrics.services.starting_points import answer_starting_point, take_back_answer
from metrics.tracing import Node
from tests.conftest import CAST
from tests.metrics.upstream.scenes import found, panel_of, publish_links

pytestmark = pytest.mark.django_db

STRIDE, ARM, TRUNK = Node("stride_length", "low"), Node("shoulder_external_rotation_fp", "low"), "trunk_opening_time"
HTMX = {"HX-Request": "true"}


@pytest.fixture
def capture(facility, athlete):
    publish_links(
        ("stride_length low", "shoulder_external_rotation_fp low", "moderate"),
        ("latissimus_length_throwing low", "shoulder_external_rotation_fp low", "moderate"),
    )
    return found(athlete, {"stride_length": "low", "shoulder_external_rotation_fp": "low"})


def answer(capture, kind: str = "accepted", node: Node = STRIDE, by=None, **more) -> StartingPointAnswer:
    return answer_starting_point(session=capture, kind=kind, node=node, by=by, **more)


# ---- the service ---------------------------------------------------------------------------------------------


def test_an_answer_is_kept_with_who_why_and_what_the_trace_said(capture, coach):
    kept = answer(capture, "rejected", by=coach, reason="  Small for his age.  ", traced={"links": 1})
    kept.refresh_from_db()
    assert (kept.given_by, kept.reason, kept.traced) == (coach, "Small for his age.", {"links": 1})


def test_it_stands_in_the_change_log_under_the_athlete(capture, coach):
    answer(capture, "rejected", by=coach, reason="Small.")
    entry = ChangeLog.objects.get(action="starting_point.rejected")
    assert (entry.athlete_uuid, entry.who, entry.reason) == (capture.athlete.uuid, coach.uuid, "Small.")


@pytest.mark.parametrize("reason", ["", "   "])
def test_nothing_is_put_aside_without_a_reason(capture, coach, reason):
    with pytest.raises(ValidationError, match="why this is not where to start"):
        answer(capture, "rejected", by=coach, reason=reason)
    assert not StartingPointAnswer.objects.exists()


@pytest.mark.parametrize(
    ("node", "words"),
    [
        (Node("no_such_metric", "low"), "no metric or screen"),
        (Node("stride_length", "sideways"), "no metric or screen"),
        (Node("elbow_varus_torque_norm", "high"), "never worked on directly"),
        (Node("ball_speed", "high"), "never worked on directly"),
        (Node("bmi", "high"), "never worked on directly"),
    ],
)
def test_only_a_movement_or_a_screen_can_be_where_to_start(capture, coach, node, words):
    with pytest.raises(ValidationError, match=words):
        answer(capture, "own", node, by=coach)


def test_one_starting_point_is_taken_a_session(capture, coach):
    answer(capture, by=coach)
    with pytest.raises(ValidationError, match="Another starting point is taken"):
        answer(capture, "own", ARM, by=coach)


def test_the_same_one_is_not_answered_twice(capture, coach):
    answer(capture, "rejected", by=coach, reason="Small.")
    with pytest.raises(ValidationError, match="was answered already"):
        answer(capture, "accepted", by=coach)


def test_taken_back_it_makes_room_and_stays_on_record(capture, coach):
    first = answer(capture, by=coach)
    take_back_answer(answer=first, by=coach)
    answer(capture, "own", ARM, by=coach)
    first.refresh_from_db()
    assert (first.taken_back_by, StartingPointAnswer.objects.count()) == (coach, 2)


def test_taking_back_twice_is_taking_back_once(capture, coach):
    kept = answer(capture, by=coach)
    at = take_back_answer(answer=kept, by=coach).taken_back_at
    assert take_back_answer(answer=kept, by=coach).taken_back_at == at
    assert ChangeLog.objects.filter(action="starting_point.taken_back").count() == 1


def test_the_database_refuses_what_no_service_would_write(capture, coach):
    answer(capture, by=coach)
    with pytest.raises(IntegrityError):
        StartingPointAnswer.objects.create(
            session=capture, kind="own", metric="x", direction="low", given_at=capture.created_at
        )


# ---- the page ------------------------------------------------------------------------------------------------


def post(client, capture, *, headers=None, **data):
    data = {"kind": "accepted", "node": "stride_length:low", "seen": panel_of(capture).seen, **data}
    return client.post(reverse("metrics:starting-point", args=[capture.uuid]), data, headers=headers)


@pytest.mark.parametrize("name", CAST)
def test_coaches_and_admins_answer_a_clinician_reads_and_others_find_nothing(cast, client_of, facility, name):
    publish_links(("stride_length low", "shoulder_external_rotation_fp low", "moderate"))
    capture = found(cast.athlete, {"stride_length": "low"})
    expected = {"admin": 302, "coach": 302, "clinician": 403}.get(name, 404)
    assert post(client_of(cast[name]), capture).status_code == expected
    assert StartingPointAnswer.objects.exists() is (expected == 302)


def test_a_press_is_answered_by_the_page_as_it_now_is(capture, client_of, coach):
    page = post(client_of(coach), capture, headers=HTMX).content.decode()
    assert "Taken as the starting point." in page
    assert "took Stride length, touch: short" in page
    assert "Start here" not in page


def test_a_page_that_was_opened_before_the_links_changed_is_told_so_and_keeps_nothing(capture, client_of, coach):
    seen = panel_of(capture).seen
    publish_links(("stride_length low", "shoulder_external_rotation_fp low", "weak"), number=2)
    answered = post(client_of(coach), capture, seen=seen, headers=HTMX)
    assert answered.status_code == 409
    assert "cause links changed" in answered.content.decode()
    assert not StartingPointAnswer.objects.exists()


def test_a_page_that_was_opened_before_a_screen_came_in_is_told_so(capture, client_of, coach, athlete):
    seen = panel_of(capture).seen
    found(athlete, {"latissimus_length_throwing": "low"}, method="hands_on")
    assert post(client_of(coach), capture, seen=seen).status_code == 409


@pytest.mark.parametrize(
    "data", [{"kind": "burned"}, {"node": "stride_length"}, {"node": "<script>:low"}, {"node": ""}]
)
def test_what_is_no_answer_is_refused_in_words(capture, client_of, coach, data):
    answered = post(client_of(coach), capture, headers=HTMX, **data)
    assert answered.status_code == 422
    assert "Choose a starting point from the list" in answered.content.decode()


def test_a_reason_is_asked_for_where_none_was_given(capture, client_of, coach):
    answered = post(client_of(coach), capture, kind="rejected", headers=HTMX)
    assert (answered.status_code, "why this is not where to start" in answered.content.decode()) == (422, True)


def test_words_of_a_coach_are_shown_as_words(capture, client_of, coach):
    page = post(client_of(coach), capture, kind="rejected", reason="<b>no</b>", headers=HTMX).content.decode()
    assert "&lt;b&gt;no&lt;/b&gt;" in page


def test_an_undo_takes_the_answer_back(capture, client_of, coach):
    post(client_of(coach), capture)
    kept = StartingPointAnswer.objects.get()
    address = reverse("metrics:starting-point-take-back", args=[capture.uuid, kept.uuid])
    assert client_of(coach).post(address).status_code == 302
    assert panel_of(capture).answers == ()


def test_an_answer_is_not_taken_back_by_the_address_of_another_session(capture, client_of, coach, athlete):
    kept = answer(capture, by=coach)
    other = found(athlete, {"stride_length": "low"}, days_ago=9)
    address = reverse("metrics:starting-point-take-back", args=[other.uuid, kept.uuid])
    assert client_of(coach).post(address).status_code == 404
