"""A session withdrawn by mistake or on purpose: gone from pages and standing in one tap, and back in another."""

import pytest

from metrics.models import Finding, Standing
from metrics.services.scoring import rescore
from metrics.services.stale import sessions_that_lag
from sessions.models import CaptureSession
from tests.metrics.test_later_sessions import BEFORE, FLAGGED
from tests.metrics.test_rescoring import captured, elbow, version  # noqa: F401 - the fixture

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(version, athlete):  # noqa: F811
    """A flag that a second session makes recurring."""
    earlier, later = captured(athlete, FLAGGED, date=BEFORE), captured(athlete, FLAGGED)
    rescore(earlier)
    rescore(later)
    return earlier, later


def act(client, capture, what: str) -> str:
    return client.post(f"/sessions/{capture.uuid}/{what}/", follow=True).content.decode()


def test_one_tap_takes_it_away_and_the_notice_brings_it_back(two, coach, client_of):
    client, (_, later) = client_of(coach), two
    page = act(client, later, "withdraw")
    assert "is withdrawn." in page
    assert f"/sessions/{later.uuid}/restore/" in page
    assert client.get(f"/sessions/{later.uuid}/").status_code == 404
    assert "The session is back." in act(client, later, "restore")
    assert client.get(f"/sessions/{later.uuid}/").status_code == 200


def test_the_athletes_standing_follows(two, coach, client_of, athlete):
    earlier, later = two
    act(client_of(coach), later, "withdraw")
    assert Standing.objects.get(athlete=athlete).last_session == earlier
    act(client_of(coach), later, "restore")
    assert Standing.objects.get(athlete=athlete).last_session == later


def test_flags_of_later_sessions_are_stated_anew(two, coach, client_of):
    earlier, later = two
    assert elbow(later).confirmation == "recurring"
    act(client_of(coach), earlier, "withdraw")
    assert [session.pk for session in sessions_that_lag()] == [later.pk]
    rescore(CaptureSession.objects.get(pk=later.pk))
    assert Finding.objects.get(session=later, metric="elbow_flexion_fp").confirmation != "recurring"


def test_a_session_that_took_its_place_is_said(two, coach, client_of, athlete):
    _, later = two
    act(client_of(coach), later, "withdraw")
    captured(athlete, FLAGGED, date=later.date, ordinal=later.ordinal, setup=later.setup)
    assert "has taken its place" in act(client_of(coach), later, "restore")


@pytest.mark.parametrize("what", ["withdraw", "restore"])
@pytest.mark.parametrize("name", ["athlete_user", "guardian", "visiting_coach", "stranger"])
def test_others_get_the_404_of_a_missing_session(two, cast, client_of, name, what):
    _, later = two
    if what == "restore":
        later.mark_withdrawn(None, "test")
        later.save()
    assert client_of(cast[name]).post(f"/sessions/{later.uuid}/{what}/").status_code in {302, 404}
    later.refresh_from_db()
    assert (later.withdrawn_at is None) == (what == "withdraw")


def test_a_clinician_reads_but_does_not_withdraw(two, cast, client_of):
    _, later = two
    assert client_of(cast["clinician"]).post(f"/sessions/{later.uuid}/withdraw/").status_code == 403
