"""Athletes with a standing, as roster and today read them."""

from __future__ import annotations

import datetime as dt
from typing import Any

from athletes.models import Athlete
from tests import factories
from tests.factories import DAY

FOR_THE_ROSTER = {"HX-Request": "true", "HX-Target": "roster-part"}
"""What a page sends that asks for the roster under Today."""
OFF = ["elbow_flexion_fp", "low", "sure", "to_confirm"]


def ago(days: int) -> dt.date:
    return DAY - dt.timedelta(days=days)


def measured(
    name: str, days: int = 3, *, flags: int = 0, priority: float = 0.0, confirmation: str = "to_confirm", **details: Any
) -> Athlete:
    """An athlete measured so many days ago by motion capture, whose standing has `flags` flags."""
    given, _, family = name.partition(" ")
    athlete = factories.AthleteFactory(given_name=given, family_name=family, **details)
    session = factories.CaptureSessionFactory(athlete=athlete, date=ago(days))
    factories.StandingFactory(
        athlete=athlete,
        last_session=session,
        last_date=session.date,
        last_method=session.method,
        last_by_method={session.method: str(session.date)},
        session_dates=[[str(session.date), session.method]],
        flags=[[*OFF[:3], confirmation]] * flags,
        top_metric=OFF[0] if flags else "",
        top_side="low" if flags else "",
        top_priority=priority,
        **{f"flags_{'new' if confirmation == 'to_confirm' else confirmation}": flags},
    )
    return athlete
