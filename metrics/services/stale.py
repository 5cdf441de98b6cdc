"""Sessions whose findings answer older inputs than those that stand."""

from __future__ import annotations

from django.db.models import F, Q, QuerySet

from sessions.models import CaptureSession

AT_ONCE = 50
"""As many as one sweep takes, so that it ends before the next begins."""


def sessions_that_lag() -> QuerySet[CaptureSession]:
    """Never scored, or scored before a throw, a condition, a level or a body size changed; oldest first.

    While consent is withdrawn nothing is worked out; once it is given again, what lags is found as before.
    """
    current = Q(scoring__scored_revision=F("input_revision")) & Q(
        scoring__scored_facts_revision=F("athlete__facts_revision")
    )
    return (
        CaptureSession.objects.filter(Q(scoring=None) | ~current, athlete__consent_withdrawn_on=None)
        .select_related("athlete")
        .order_by("date", "ordinal", "pk")[:AT_ONCE]
    )
