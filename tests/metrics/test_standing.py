"""An athlete's standing is what the present findings say, and nothing else."""

from __future__ import annotations

import datetime as dt

import pytest

from metrics.services.standing import rebuild_standing
from tests import factories

pytestmark = pytest.mark.django_db


def session(athlete, *, days_ago: int = 0, method: str = "motion_capture", **changes):
    day = factories.DAY - dt.timedelta(days=days_ago)
    return factories.CaptureSessionFactory(athlete=athlete, date=day, method=method, **changes)


def test_without_a_session_the_standing_is_empty(athlete):
    standing = rebuild_standing(athlete)
    assert (standing.last_session, standing.last_date, standing.flags, standing.top_metric) == (None, None, [], "")


def test_the_latest_session_that_was_thrown_in_gives_the_flags(athlete):
    factories.FindingFactory(session=session(athlete, days_ago=40), metric="trunk_opening_time", flag=True)
    now = session(athlete, days_ago=10)
    factories.FindingFactory(session=now, metric="elbow_flexion_fp", flag=True, confirmation="recurring", priority=12)
    factories.FindingFactory(session=now, metric="stride_length", flag=True, side="high", priority=20)
    screens = session(athlete, method="hands_on")
    standing = rebuild_standing(athlete)
    assert standing.last_session == screens
    assert standing.flags == [
        ["stride_length", "high", "sure", "to_confirm"],
        ["elbow_flexion_fp", "low", "sure", "recurring"],
    ]
    assert (standing.flags_new, standing.flags_confirmed, standing.flags_recurring) == (1, 0, 1)
    assert (standing.top_metric, standing.top_side, standing.top_priority) == ("stride_length", "high", 20)
    assert standing.last_by_method == {"motion_capture": "2026-04-04", "hands_on": "2026-04-14"}


def test_what_does_not_count_is_no_flag_of_the_athlete(athlete):
    now = session(athlete)
    factories.FindingFactory(session=now, metric="a", flag=True, is_family_head=False)
    factories.FindingFactory(session=now, metric="b", flag=True, sure="cant_tell")
    factories.FindingFactory(session=now, metric="c", flag=True, kind="outcome", priority=0, is_family_head=False)
    assert rebuild_standing(athlete).flags == []


def test_without_a_flag_the_first_watch_is_the_top_finding(athlete):
    now = session(athlete)
    factories.FindingFactory(session=now, metric="stride_length", zone="watch", side="low", priority=3)
    factories.FindingFactory(session=now, metric="elbow_flexion_fp", zone="watch", side="high", priority=5)
    standing = rebuild_standing(athlete)
    assert (standing.flags, standing.top_metric, standing.top_side) == ([], "elbow_flexion_fp", "high")


def test_a_withdrawn_session_leaves_no_trace(athlete, coach):
    now = session(athlete)
    factories.FindingFactory(session=now, flag=True)
    rebuild_standing(athlete)
    now.mark_withdrawn(coach, "wrong athlete")
    now.save()
    standing = rebuild_standing(athlete)
    assert (standing.last_session, standing.flags) == (None, [])


def test_the_line_holds_the_last_hundred_and_twenty_days(athlete):
    for days in (0, 119, 121):
        session(athlete, days_ago=days)
    assert [row[0] for row in rebuild_standing(athlete).session_dates] == ["2026-04-14", "2025-12-16"]


def test_rebuilding_twice_gives_the_same_row(athlete):
    factories.FindingFactory(session=session(athlete), flag=True)
    first = rebuild_standing(athlete)
    second = rebuild_standing(athlete)
    assert first.pk == second.pk
    assert first.flags == second.flags
