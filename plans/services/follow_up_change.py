"""Changing work at a follow-up for other work of the library, with the dose for the athlete's age."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from athletes.models import User
from plans.models import FollowUp, Prescription
from plans.selectors.change_options import ChangeOption
from plans.services.follow_ups import change_follow_up
from plans.services.prescribing import Order, Reason


def change_to(
    *,
    follow_up: FollowUp,
    version: ChangeOption,
    start: dt.date,
    due: dt.date | None,
    reasons: Sequence[Reason],
    seen: int,
    by: User,
    note: str = "",
) -> Prescription:
    """`due` None: when the library looks at it again. The family goes on reading it if it read the work before."""
    return change_follow_up(
        follow_up=follow_up,
        seen=seen,
        version=version.version,
        order=Order(
            dose=version.dose,
            start=start,
            due=due or start + dt.timedelta(weeks=version.weeks),
            is_shown=follow_up.prescription.is_shown,
        ),
        reasons=reasons,
        by=by,
        note=note,
    )
