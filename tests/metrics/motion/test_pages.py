"""Pages of motion: who sees them, what they answer, and what moves an event."""

from __future__ import annotations

import json
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import ViewLog
from metrics.models import MotionReport
from metrics.services.motion.arrays import arrays_path
from sessions.models import CaptureSession, CaptureSetup, EventTime, Throw
from tests.conftest import CAST
from tests.metrics.motion.conftest import renamed_bytes, throw_bytes

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true", "HX-Current-URL": "http://localhost/sessions/x/"}
READERS = {"admin", "coach", "clinician"}
OF_SESSION = ("metrics:session-motion", "metrics:session-curves", "sessions:session-arrivals")
OF_THROW = ("metrics:throw-figure", "metrics:throw-events")
CHANGES = ("metrics:throw-event-move", "metrics:throw-event-restore")


@pytest.fixture
def recorded(room, athlete) -> Throw:
    athlete.body_sizes.update(height_cm=186.0, mass_kg=88.0)
    return room.session(room.throw_of(athlete)).throws.get()


def address(name: str, throw: Throw) -> str:
    keys = [throw.session.uuid] if name in OF_SESSION else [throw.session.uuid, throw.uuid]
    return reverse(name, args=keys) + ("?curve=elbow_flexion" if name.endswith("curves") else "")


def found(throw: Throw) -> dict[str, float]:
    return MotionReport.objects.get(throw=throw).automatic


@pytest.mark.parametrize("person", CAST)
@pytest.mark.parametrize("name", [*OF_SESSION, *OF_THROW])
def test_only_who_reads_the_session_reads_its_motion(recorded, client_of, request, person, name):
    user = request.getfixturevalue(person)
    answer = client_of(user).get(address(name, recorded))
    assert answer.status_code == (200 if person in READERS else 404)


@pytest.mark.parametrize("name", [*OF_SESSION, *OF_THROW])
def test_nobody_is_sent_to_sign_in(recorded, client_of, name):
    answer = client_of(None).get(address(name, recorded))
    assert answer.status_code == 302
    assert "/sign-in/" in answer["Location"]


@pytest.mark.parametrize("person", CAST)
@pytest.mark.parametrize("name", CHANGES)
def test_only_coaching_staff_moves_events(recorded, client_of, request, person, name):
    user = request.getfixturevalue(person)
    time_ms = {"event": "fc", "time_ms": "-3"}
    answer = client_of(user).post(address(name, recorded), time_ms, headers=HTMX)
    assert answer.status_code == {"admin": 200, "coach": 200, "clinician": 403}.get(person, 404)
    assert EventTime.objects.exists() == (answer.status_code == 200 and name.endswith("move"))


@pytest.mark.parametrize("name", OF_THROW)
def test_throw_of_another_session_is_no_page(recorded, client_of, coach, name):
    answer = client_of(coach).get(reverse(name, args=[recorded.session.uuid, uuid.uuid4()]))
    assert answer.status_code == 404


def test_moved_event_is_answered_with_session_and_events(recorded, client_of, coach):
    answer = client_of(coach).post(address(CHANGES[0], recorded), {"event": "fc", "time_ms": "-10"}, headers=HTMX)
    html = answer.content.decode()
    assert 'id="session"' in html
    assert 'id="motion-events" hx-swap-oob' in html
    assert "moved by a person" in html
    assert EventTime.objects.get().time_s == pytest.approx(found(recorded)["fc"] - 0.010)


def test_undo_of_a_move_takes_the_event_that_was_found(recorded, client_of, coach):
    client = client_of(coach)
    client.post(address(CHANGES[0], recorded), {"event": "fc", "time_ms": "-10"}, headers=HTMX)
    client.post(address(CHANGES[1], recorded) + "?event=fc")
    assert not EventTime.objects.exists()
    assert MotionReport.objects.get(throw=recorded).events == found(recorded)


@pytest.mark.parametrize(
    ("data", "status"),
    [
        ({"event": "fc", "time_ms": "400"}, 422),
        ({"event": "fc", "time_ms": "-10", "read_at": "1"}, 409),
        ({"event": "fc", "time_ms": "soon"}, 400),
        ({"event": "no", "time_ms": "1"}, 400),
        ({}, 400),
    ],
)
def test_move_that_cannot_be_changes_nothing(recorded, client_of, coach, data, status):
    answer = client_of(coach).post(address(CHANGES[0], recorded), data, headers=HTMX)
    assert answer.status_code == status
    assert not EventTime.objects.exists()


def test_without_script_one_comes_back_to_the_session(recorded, client_of, coach):
    answer = client_of(coach).post(address(CHANGES[0], recorded), {"event": "br", "time_ms": "150"})
    assert answer["Location"] == f"/sessions/{recorded.session.uuid}/#motion"


def test_figure_is_the_throw_with_events_and_judged_angles(recorded, client_of, coach):
    data = client_of(coach).get(address("metrics:throw-figure", recorded)).json()
    assert data["throw"] == {"number": 1, "uuid": str(recorded.uuid), "side": "right"}
    assert [event["key"] for event in data["events"]] == ["pkh", "fc", "fp", "mer", "br", "mir"]
    assert next(event for event in data["events"] if event["key"] == "fc")["time_s"] == 0.0
    assert {"elbow_flexion_fp", "shoulder_abduction_br"} & {arc["metric"] for arc in data["arcs"]}
    assert len(json.dumps(data)) < 60_000


def test_curve_has_every_throw_on_one_clock_with_its_ranges(room, recorded, client_of, coach):
    for number in (1, 2):
        room.throw_of(recorded.session.athlete, throw_bytes(number=number, habit="arm_late"), f"t{number}.c3d")
    data = client_of(coach).get(address("metrics:session-curves", recorded)).json()
    assert [throw["number"] for throw in data["throws"]] == [1, 2, 3]
    assert data["pending"] == 0
    release = {event["key"]: event["chart_ms"] for event in data["throws"][1]["events"]}["br"]
    assert release == pytest.approx(data["release_ms"], abs=0.1)
    elbow = next(one for one in data["ranges"] if one["metric"] == "elbow_flexion_fp")
    place = min(range(len(data["times_ms"])), key=lambda index: abs(data["times_ms"][index] - elbow["time_ms"]))
    assert data["mean"][place] == pytest.approx(elbow["mean"], abs=2.0)


def test_unknown_curve_is_no_page(recorded, client_of, coach):
    address_of_none = reverse("metrics:session-curves", args=[recorded.session.uuid]) + "?curve=__class__"
    assert client_of(coach).get(address_of_none).status_code == 404


def test_lost_positions_are_said(recorded, client_of, coach, settings):
    arrays_path(recorded.recording).unlink()
    for file in settings.ORIGINALS_DIR.iterdir():
        file.unlink()
    answer = client_of(coach).get(address("metrics:throw-figure", recorded))
    assert answer.status_code == 410
    assert "Upload it again" in answer.json()["error"]


def test_looks_at_kept_pictures_cost_a_fixed_number_of_queries(room, recorded, client_of, coach):
    client = client_of(coach)

    def queries(name: str) -> int:
        client.get(address(name, recorded))
        with CaptureQueriesContext(connection) as asked:
            client.get(address(name, recorded))
        return len(asked)

    few = {name: queries(name) for name in ("metrics:throw-figure", "metrics:session-curves")}
    for number in range(1, 4):
        room.throw_of(recorded.session.athlete, throw_bytes(number=number), f"t{number}.c3d")
    assert {name: queries(name) for name in few} == few


def test_page_that_asks_again_by_itself_fills_no_log(recorded, client_of, coach):
    url, client = address("sessions:session-arrivals", recorded), client_of(coach)
    client.get(reverse("metrics:session", args=[recorded.session.uuid]))
    looks = ViewLog.objects.count()
    assert looks
    client.get(url)
    client.get(url)
    assert ViewLog.objects.count() == looks


def test_session_without_recordings_shows_no_motion(room, recorded, client_of, coach):
    page = reverse("metrics:session", args=[recorded.session.uuid])
    assert 'id="motion"' in client_of(coach).get(page).content.decode()
    Throw.objects.update(withdrawn_at=recorded.session.created_at)
    assert 'id="motion"' not in client_of(coach).get(page).content.decode()


def test_hostile_names_of_markers_stay_text(room, client_of, coach):
    upload = room.upload(renamed_bytes({"R_EL": "<img src=x onerror=alert(1)>"}), "<script>alert(1)</script>.c3d")
    html = client_of(coach).get(reverse("metrics:labels", args=[upload.uuid])).content.decode()
    assert "<img src=x" not in html
    assert "<script>alert" not in html
    assert "&lt;img src=x" in html


@pytest.mark.parametrize("person", CAST)
def test_only_coaching_staff_matches_markers(room, client_of, request, person):
    upload = room.upload(renamed_bytes({"R_EL": "elbow out r"}), "throw.c3d")
    answer = client_of(request.getfixturevalue(person)).get(reverse("metrics:labels", args=[upload.uuid]))
    assert answer.status_code == (200 if person in {"admin", "coach"} else 404)


@pytest.mark.parametrize("person", CAST)
def test_only_coaching_staff_says_how_a_file_is_read(room, client_of, request, person):
    upload, setup = room.upload(throw_bytes(), "throw.c3d"), CaptureSetup.objects.create(name="Marker hall")
    client, state = client_of(request.getfixturevalue(person)), upload.state
    named = client.post(reverse("metrics:labels", args=[upload.uuid]), {"label": "C7", "landmark": "nothing"})
    chosen = client.post(reverse("metrics:import-setup", args=[upload.uuid]), {"setup": str(setup.uuid)})
    staff = person in {"admin", "coach"}
    assert (named.status_code, chosen.status_code) == ((422, 302) if staff else (404, 404))
    assert (room.fresh(upload).state == state) != staff


@pytest.mark.parametrize("person", CAST)
def test_only_coaching_staff_closes_and_reopens_sessions(recorded, client_of, request, person):
    client = client_of(request.getfixturevalue(person))
    expected = {"admin": 302, "coach": 302, "clinician": 403}.get(person, 404)
    for name in ("sessions:session-close", "sessions:session-reopen"):
        assert client.post(reverse(name, args=[recorded.session.uuid])).status_code == expected


@pytest.mark.parametrize("person", CAST)
def test_only_coaching_staff_opens_and_moves_sessions(recorded, client_of, request, person):
    client, staff = client_of(request.getfixturevalue(person)), person in {"admin", "coach"}
    opened = client.post(reverse("sessions:session-open", args=[recorded.session.athlete.uuid]), {"date": "2026-04-14"})
    moved = client.get(reverse("metrics:session-move", args=[recorded.session.uuid]))
    if staff:
        assert (opened.status_code, moved.status_code) == (302, 200)
    else:
        assert opened.status_code in {403, 404}
        assert moved.status_code in {403, 404}
    assert CaptureSession.objects.filter(state="open").exists() == staff


def test_arrivals_tell_the_page_only_of_what_it_has_not_seen(recorded, client_of, coach):
    url, now = address("sessions:session-arrivals", recorded), recorded.session.input_revision
    assert "HX-Trigger" not in client_of(coach).get(url, {"read_at": now})
    assert client_of(coach).get(url, {"read_at": now - 1})["HX-Trigger"] == "session-changed"
