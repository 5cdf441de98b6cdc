"""An earlier session that arrives late, or changes, restates the flags of the later ones."""

import datetime as dt

import pytest

from metrics.models import Scoring
from metrics.services.scoring import rescore
from metrics.services.stale import sessions_that_lag
from sessions.services.throws import exclude_throw
from tests import factories
from tests.metrics.test_rescoring import captured, elbow, version  # noqa: F401 - the fixture

pytestmark = pytest.mark.django_db

BEFORE = factories.DAY - dt.timedelta(days=30)
FLAGGED = [73.0]


def test_a_late_arrival_before_a_flag_makes_that_flag_recurring(version, athlete):  # noqa: F811
    later = captured(athlete, FLAGGED)
    rescore(later)
    assert elbow(later).confirmation != "recurring"

    rescore(captured(athlete, FLAGGED, date=BEFORE))
    assert [session.pk for session in sessions_that_lag()] == [later.pk]
    rescore(later)
    assert elbow(later).confirmation == "recurring"


def test_an_exclusion_in_an_earlier_session_restates_the_later_one(version, athlete, coach):  # noqa: F811
    earlier, later = captured(athlete, [*FLAGGED, 140.0], date=BEFORE), captured(athlete, FLAGGED)
    rescore(earlier)
    rescore(later)
    exclude_throw(throw=earlier.throws.get(number=2), by=coach, reason="mis-tracked")
    rescore(earlier)
    assert Scoring.objects.get(session=later).scored_revision == 0


def test_restating_goes_one_step_and_ends(version, athlete):  # noqa: F811
    sessions = [captured(athlete, FLAGGED, date=BEFORE + dt.timedelta(days=7 * week)) for week in range(3)]
    for session in reversed(sessions):
        rescore(session)
    for _ in range(2):
        for session in list(sessions_that_lag()):
            rescore(session)
    assert not sessions_that_lag()
    assert elbow(sessions[-1]).confirmation == "recurring"


def test_scoring_again_without_a_change_restates_nothing(version, athlete):  # noqa: F811
    earlier, later = captured(athlete, FLAGGED, date=BEFORE), captured(athlete, FLAGGED)
    rescore(earlier)
    rescore(later)
    rescore(earlier)
    assert not sessions_that_lag()
