"""What merging two athletes asks of this room: responses rest on the one person's sessions."""

from __future__ import annotations

from athletes.models import Athlete
from athletes.services.merging import Follower, register_follower
from plans.models import Prescription, ThrowCount
from plans.services.responses import rebuild_responses


def _tell(athlete: Athlete) -> list[tuple[str, int]]:
    return [
        ("prescriptions", Prescription.objects.filter(athlete=athlete).count()),
        ("entries of throws", ThrowCount.objects.filter(athlete=athlete).count()),
    ]


register_follower("plans", Follower(after=lambda athlete: rebuild_responses([athlete.pk]), tell=_tell))
