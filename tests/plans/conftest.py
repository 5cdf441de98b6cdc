"""A flagged athlete and the work that may be given: what the tests of plans begin with."""

from __future__ import annotations

import datetime as dt

import pytest

from plans.library import Dose
from plans.services.prescribing import Order, Reason
from tests.factories import DAY, AthleteFactory, CaptureSessionFactory, FindingFactory
from tests.factories.plans import InterventionVersionFactory

METRIC = "elbow_flexion_fp"
WEEK = dt.timedelta(days=7)


@pytest.fixture
def measure():
    """`measure(athlete, day, 84, n=5, flag=True)`: a session of that day with one finding of the metric."""

    def make(athlete, date, mean, *, metric=METRIC, method="motion_capture", flag=False, **values):
        session = CaptureSessionFactory(athlete=athlete, date=date, method=method)
        decision = {"prior_sd": 4.0}
        told = {"metric": metric, "mean": float(mean), "n": 5, "sd": 2.5, "u_between": 1.5, "decision": decision}
        FindingFactory(session=session, flag=flag, **{**told, **values})
        return session

    return make


@pytest.fixture
def athlete(facility):
    """Of 16 years, with consent."""
    return AthleteFactory()


@pytest.fixture
def flagged(athlete, measure):
    """The session that raised the flag, two weeks before the ordinary day."""
    return measure(athlete, DAY - 2 * WEEK, 78, flag=True)


@pytest.fixture
def version(db):
    """Gentle work without load or throws."""
    return InterventionVersionFactory()


@pytest.fixture
def throwing_version(db):
    return InterventionVersionFactory(intervention__key="pause_at_landing_throws")


@pytest.fixture
def reasons(flagged):
    return [Reason(METRIC, "low", flagged)]


@pytest.fixture
def order(version):
    """`order(due=…)`: six weeks from the ordinary day, with the library's dose for 16."""

    def make(of=version, **changed):
        dose = of.value.dose_at(16)
        assert isinstance(dose, Dose)
        return Order(**{"dose": dose, "start": DAY, "due": DAY + 6 * WEEK, **changed})

    return make
