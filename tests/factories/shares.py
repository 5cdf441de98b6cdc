"""What coaches shared."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from metrics import models as metrics
from metrics.sharing import Before, SharedContent, SharedPoint, Strip
from tests.factories.captures import CaptureSessionFactory
from tests.factories.days import DAY, NOON
from tests.factories.people import UserFactory


def shared_point(metric: str = "stride_length", **changes: object) -> SharedPoint:
    """A short step, as a family is told of it."""
    point = {
        "metric": metric,
        "kind": "work",
        "headline": "Your step is short",
        "sentence": "Your step toward home is short for how tall you are.",
        "zone": "flag",
        "side": "low",
        "sure": "likely",
        "probability": 0.8,
        "unit": "% height",
        "decimals": 0,
        "value_words": "3 ft 6 in",
        "good_words": "3 ft 10 in to 4 ft 7 in",
        "ends": ("too short", "good length", "too long"),
        "strip": Strip(63.0, 2.0, 70.0, 85.0, 65.0, 95.0),
        "before": Before(60.0, DAY, "flag", "low", False),
    }
    return SharedPoint(**{**point, **changes})  # type: ignore[arg-type]


class ShareFactory(DjangoModelFactory):
    """`ShareFactory(session=…)`; its athlete is the session's."""

    class Meta:
        model = metrics.Share

    session = factory.SubFactory(CaptureSessionFactory)
    athlete = factory.SelfAttribute("session.athlete")
    shared_by = factory.SubFactory(UserFactory)
    shared_at = NOON
    summary = "We work on one thing first: your step."
    findings_digest = "0" * 64
    content = factory.LazyAttribute(
        lambda row: SharedContent((shared_point(),), (), row.session.date, row.session.method).to_json()
    )
