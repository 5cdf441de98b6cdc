"""A coach shares an assessment: what is offered, what is kept, who reads it, and what a later scoring does."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from athletes.models import ChangeLog, Consent
from athletes.services.consent import withdraw_consent
from metrics.catalogue import load_catalogue
from metrics.models import Finding, Share
from metrics.selectors.session_rows import RELATED, read_session
from metrics.selectors.sharing import content_of, findings_digest, offer_of, shared_before
from metrics.services.scoring import rescore
from metrics.services.sharing import leave_share, restore_share, share_assessment, take_back_share
from metrics.sharing import SharedContent
from sessions.models import CaptureSession, Throw
from sessions.services.moving import move_session
from sessions.services.throws import exclude_throw
from tests import factories
from tests.conftest import CAST
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

ELBOW, FRONT_KNEE, TRUNK, STRIDE = "elbow_flexion_fp", "lead_knee_extension", "trunk_opening_time", "stride_length"


@pytest.fixture
def profiles(db):
    factories.starting_profiles()


def captured(athlete, values: dict[str, list[float]], *, days_ago: int = 0) -> CaptureSession:
    """A scored session; a list gives each throw its value."""
    day = factories.DAY - dt.timedelta(days=days_ago)
    capture = factories.CaptureSessionFactory(athlete=athlete, date=day)
    catalogue = load_catalogue()
    for number in range(len(next(iter(values.values())))):
        readings = {catalogue.metric(key).reading_key("fc"): {"value": row[number]} for key, row in values.items()}
        factories.ReadingFactory(throw=factories.ThrowFactory(session=capture), values=readings)
    rescore(capture)
    return capture


@pytest.fixture
def capture(profiles, facility, athlete):
    return captured(athlete, {ELBOW: [92.0] * 5, FRONT_KNEE: [-25.0] * 5, TRUNK: [20.0] * 4 + [-60.0]})


def rows_of(capture):
    return read_session(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=capture.pk))


def share(capture, by, *, metrics=(FRONT_KNEE,), summary="Your front leg comes first.", **more):
    rows = rows_of(capture)
    offer = offer_of(rows, "us")
    content = content_of([offer.point(metric) for metric in metrics], [], rows)
    digest = findings_digest(rows.findings, metrics)
    return share_assessment(session=capture, content=content, summary=summary, findings_digest=digest, by=by, **more)


# ---- what is offered ------------------------------------------------------------------------------------


def test_flags_and_watches_are_offered_by_priority_in_plain_words(capture):
    offer = offer_of(rows_of(capture), "us")
    found = {row.metric: row for row in Finding.objects.filter(session=capture)}
    assert offer.work[0].key == FRONT_KNEE
    assert offer.work[0].point.headline == "Your front leg gives way"
    for one in offer.work:
        assert found[one.key].zone in ("flag", "watch")
        assert found[one.key].sure != "cant_tell"
    assert FRONT_KNEE not in {one.key for one in offer.better}
    assert "your front leg gives way" in offer.summary


def test_loads_and_styles_are_never_offered(profiles, facility, athlete):
    capture = captured(athlete, {"elbow_varus_torque_max": [120.0] * 5, "arm_slot_br": [80.0] * 5})
    offer = offer_of(rows_of(capture), "us")
    assert (offer.work, offer.better) == ((), ())
    assert offer.summary == "We looked at how you throw. Nothing needs work right now."


def test_what_came_back_into_range_got_better_only_beyond_what_measuring_gives(profiles, facility, athlete):
    captured(athlete, {FRONT_KNEE: [-25.0] * 5}, days_ago=30)
    now = captured(athlete, {FRONT_KNEE: [8.0] * 5})
    [better] = offer_of(rows_of(now), "us").better
    assert (better.key, better.point.kind, better.point.headline) == (FRONT_KNEE, "good", "Your front leg holds firm")
    assert better.point.before.is_real
    assert better.point.before.on == factories.DAY - dt.timedelta(days=30)
    Finding.objects.filter(session=now).update(u_between=100.0)
    assert offer_of(rows_of(now), "us").better == ()


# ---- what is kept ---------------------------------------------------------------------------------------


def test_a_share_is_a_dated_snapshot_with_its_line_in_the_change_log(capture, coach):
    made = share(capture, coach, look_again_on=factories.DAY + dt.timedelta(days=21))
    assert (made.athlete, made.shared_by, made.summary) == (capture.athlete, coach, "Your front leg comes first.")
    [point] = SharedContent.from_json(made.content).points
    assert (point.metric, point.zone, point.side) == (FRONT_KNEE, "flag", "low")
    assert ChangeLog.objects.filter(action="share.made", athlete_uuid=capture.athlete.uuid, who=coach.uuid).exists()


def test_the_same_share_at_once_is_one_share(capture, coach):
    assert share(capture, coach) == share(capture, coach)
    assert share(capture, coach, summary="Other words.") != share(capture, coach)


def test_at_most_three_points(capture, coach):
    content = SharedContent((factories.shared_point(),) * 4, (), factories.DAY, "video")
    with pytest.raises(ValidationError, match="4 points are chosen"):
        share_assessment(session=capture, content=content, summary="", findings_digest="", by=coach)


@pytest.mark.parametrize("summary", ["", "  \n "])
def test_nothing_chosen_and_nothing_written_is_not_shared(capture, coach, summary):
    with pytest.raises(ValidationError, match="nothing to share"):
        share(capture, coach, metrics=(), summary=summary)


def test_words_alone_may_be_shared(capture, coach):
    assert share(capture, coach, metrics=(), summary="All is well.").summary == "All is well."


def test_a_day_that_is_past_and_a_book_of_words_are_refused(capture, coach):
    with pytest.raises(ValidationError, match="13 April 2026 is past"):
        share(capture, coach, look_again_on=factories.DAY - dt.timedelta(days=1))
    with pytest.raises(ValidationError, match="2001 characters long, 2000 at most"):
        share(capture, coach, summary="a" * 2001)
    assert not Share.everything.exists()


def test_without_consent_nothing_is_shared(profiles, facility, coach):
    minor = factories.AthleteFactory(consent=False)
    with pytest.raises(ValidationError, match="before somebody consents"):
        share(captured(minor, {FRONT_KNEE: [-25.0] * 5}), coach)


def test_taken_back_nobody_reads_it_and_brought_back_they_do(capture, coach, guardian):
    made = share(capture, coach)
    take_back_share(share=made, by=coach)
    assert not Share.objects.visible_to(guardian).exists()
    restore_share(share=made, by=coach)
    assert Share.objects.visible_to(guardian).get() == made


def test_killed_at_any_database_call_all_or_nothing_is_shared(capture, coach):
    def act() -> None:
        share(capture, coach)

    for call in range(1, calls_of(act)):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert not Share.everything.exists()
            assert not ChangeLog.objects.filter(action="share.made").exists()


# ---- who reads it ---------------------------------------------------------------------------------------

READERS = {"admin", "coach", "visiting_coach", "athlete_user", "guardian"}


@pytest.mark.parametrize("name", CAST)
def test_the_athletes_people_read_a_share(cast, name):
    made = factories.ShareFactory(session__athlete=cast.athlete)
    assert set(Share.objects.visible_to(cast[name])) == ({made} if name in READERS else set())


def test_a_share_of_a_session_that_turned_out_to_be_somebody_elses_reaches_nobody(profiles, facility, cast):
    capture = captured(cast.athlete, {FRONT_KNEE: [-25.0] * 5})
    share(capture, cast["coach"])
    move_session(capture=capture, to=cast.other_athlete, by=cast["coach"])
    for name in CAST:
        assert not Share.objects.visible_to(cast[name]).exists(), name


def test_a_share_of_a_withdrawn_session_reaches_nobody(cast):
    made = factories.ShareFactory(session__athlete=cast.athlete)
    made.session.mark_withdrawn(cast["coach"], "mistake")
    made.session.save()
    for name in CAST:
        assert not Share.objects.visible_to(cast[name]).exists(), name


def test_while_consent_is_withdrawn_only_an_admin_reads_it(cast):
    factories.ShareFactory(session__athlete=cast.athlete)
    withdraw_consent(consent=Consent.objects.get(athlete=cast.athlete), on=factories.DAY, by=cast["guardian"])
    for name in CAST:
        assert Share.objects.visible_to(cast[name]).exists() == (name == "admin"), name


# ---- a later scoring ------------------------------------------------------------------------------------


def test_a_later_scoring_tells_the_coach_and_changes_nothing_that_was_shared(capture, coach):
    made = share(capture, coach, metrics=(TRUNK,) if offer_of(rows_of(capture), "us").point(TRUNK) else (FRONT_KNEE,))
    kept = made.content
    assert not shared_before(rows_of(capture)).is_outdated
    for throw in Throw.objects.filter(session=capture).order_by("number")[:2]:
        exclude_throw(throw=throw, by=coach, reason="slipped")
    capture.refresh_from_db()
    rescore(capture)
    made.refresh_from_db()
    assert made.content == kept
    assert shared_before(rows_of(capture)).is_outdated


def test_a_scoring_that_finds_the_same_tells_nothing(capture, coach):
    share(capture, coach)
    rescore(capture)
    assert not shared_before(rows_of(capture)).is_outdated


def test_a_coach_who_leaves_it_as_it_is_is_not_told_again(capture, coach):
    made = share(capture, coach)
    Finding.objects.filter(session=capture, metric=FRONT_KNEE).update(zone="watch")
    assert shared_before(rows_of(capture)).is_outdated
    leave_share(share=made, by=coach)
    assert not shared_before(rows_of(capture)).is_outdated
