"""Shares that no longer say what the findings say: the family reads the old words until a coach decides."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict

from django.db.models import F, Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from athletes.models import User
from athletes.worded import worded_once
from desk.selectors.need import NOTHING, Need, Needs, person, several
from desk.selectors.watched import Watched
from metrics.models import Finding, Share
from metrics.selectors.sharing import says_something_else
from metrics.sharing import SharedContent

LOOKED_BACK_DAYS = 90
MOST_LOOKED_AT = 60


def shares_needed(watched: Watched) -> Needs:
    """One line for all of them. Three queries, and two of them only where something was scored after it was shared."""
    outdated = _outdated(watched)
    if not outdated:
        return NOTHING
    athletes = list({share.athlete.pk: share.athlete for share in outdated}.values())
    people, more = several(athletes)
    one = len(outdated) == 1
    url = reverse("metrics:session", args=[outdated[0].session.uuid]) if one else person(athletes[0]).url
    line = Need(
        "shared",
        "Shared, and found otherwise since: ",
        people,
        more,
        reason="The family still reads what was said then.",
        step="Session" if one else "Record",
        url=url,
    )
    return Needs((line,), len(outdated))


def _outdated(watched: Watched) -> list[Share]:
    since = timezone.make_aware(dt.datetime.combine(watched.today - dt.timedelta(days=LOOKED_BACK_DAYS), dt.time.min))
    keys = [key for (key,) in _scored_later(watched.reader, since, watched.has_own)]
    if not keys:
        return []
    newest: dict[int, Share] = {}
    for share in Share.objects.filter(pk__in=keys).select_related("athlete", "session"):
        newest.setdefault(share.session_id, share)  # only what the family reads now
    findings = _findings_of(list(newest.values()))
    return [share for share in newest.values() if says_something_else(share, findings[share.session_id])]


@worded_once
def _scored_later(user: User, since: dt.datetime, own: bool) -> QuerySet:
    """Those that no coach has left as they are, whose session was scored since they were shared; the newest first."""
    mine = Q(athlete__responsible_coach=user) if own else Q()
    shared = Share.objects.visible_to(user).filter(mine, athlete__consent_withdrawn_on=None, shared_at__gte=since)
    later = shared.filter(change_seen_at=None, session__scoring__scored_at__gt=F("shared_at"))
    return later.values_list("pk")[:MOST_LOOKED_AT]


def _findings_of(shares: list[Share]) -> defaultdict[int, list[Finding]]:
    metrics = {metric for share in shares for metric in SharedContent.from_json(share.content).metrics}
    found: defaultdict[int, list[Finding]] = defaultdict(list)
    for row in Finding.objects.filter(session__in=[share.session_id for share in shares], metric__in=metrics):
        found[row.session_id].append(row)
    return found
