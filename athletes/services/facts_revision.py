"""What was scored by older facts of an athlete is stale."""

from __future__ import annotations

from django.db.models import F

from athletes.models import Athlete


def raise_facts_revision(athlete: Athlete) -> None:
    """In the transaction of each service that changes a birth date, level or body size: findings rest on them."""
    Athlete.everything.filter(pk=athlete.pk).update(facts_revision=F("facts_revision") + 1)
    athlete.refresh_from_db(fields=["facts_revision"])
