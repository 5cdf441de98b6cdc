"""The line in which an athlete is checked in: what was said today, and what may be asked."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.facts import CheckInOn, Stopped, check_in_on, needs_height_on, stopped_on
from athletes.models import Athlete


@dataclass(frozen=True, slots=True)
class CheckInPart:
    """For athletes/_check_in.html. `consent_is_withdrawn`: only pain is taken down."""

    uuid: UUID
    name: str
    said: CheckInOn | None
    stopped: Stopped | None
    needs_height: bool
    consent_is_withdrawn: bool


def check_in_part(athlete: Athlete, today: dt.date) -> CheckInPart:
    """Asks nothing more of the database for athletes of whom `know` read ahead."""
    return CheckInPart(
        uuid=athlete.uuid,
        name=athlete.name,
        said=check_in_on(athlete, today),
        stopped=stopped_on(athlete, today),
        needs_height=needs_height_on(athlete, today),
        consent_is_withdrawn=athlete.consent_withdrawn_on is not None,
    )
