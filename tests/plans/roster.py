"""Athletes of a whole roster with the same flag: some were given work for it, some were not."""

from __future__ import annotations

import datetime as dt
from typing import Any

from athletes.models import Athlete
from plans.models import Prescription
from plans.services.responses import rebuild_responses
from tests.factories import DAY, AthleteFactory, CaptureSessionFactory, FindingFactory
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory
from tests.plans.conftest import METRIC, WEEK

DUE = DAY + 6 * WEEK
CLEARED, SAME, WORSE = 95.0, 79.0, 62.0
"""Means after six weeks that read better, no real change and worse, from a baseline of 79 and a flag of 78."""
KEY = "hip_turns_seated"


def measured(athlete: Athlete, date: dt.date, mean: float, *, flag: bool = False, metric: str = METRIC) -> Any:
    session = CaptureSessionFactory(athlete=athlete, date=date, method="motion_capture")
    told = {"mean": mean, "n": 5, "sd": 2.5, "u_between": 1.5, "decision": {"prior_sd": 4.0}}
    FindingFactory(session=session, metric=metric, flag=flag, **told)
    return session


def flagged(later: float | None, *, metric: str = METRIC, athlete: Athlete | None = None) -> tuple[Athlete, Any]:
    """Flagged two weeks before the ordinary day, measured again a week later, and with `later` eight weeks after."""
    athlete = athlete or AthleteFactory()
    session = measured(athlete, DAY - 2 * WEEK, 78.0, flag=True, metric=metric)
    measured(athlete, DAY - WEEK, 79.0, metric=metric)
    if later is not None:
        measured(athlete, DUE, later, metric=metric)
    return athlete, session


def worked(later: float | None, *, key: str = KEY, metric: str = METRIC) -> Prescription:
    """The same, with six weeks of work for the flag, its response as the measurements stand."""
    athlete, session = flagged(later, metric=metric)
    given = PrescriptionFactory(
        athlete=athlete,
        version=InterventionVersionFactory(intervention__key=key),
        reason={"metric": metric, "direction": "low", "session": session},
    )
    rebuild_responses([athlete.pk])
    return given


def roster(better: int = 0, same: int = 0, worse: int = 0, *, key: str = KEY) -> list[Prescription]:
    means = [CLEARED] * better + [SAME] * same + [WORSE] * worse
    return [worked(mean, key=key) for mean in means]
