"""Every state in which a family can find its pages, built on an athlete of the cast."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from django.utils.html import strip_tags

from athletes.models import Athlete
from athletes.services.consent import withdraw_consent
from metrics.catalogue import load_catalogue
from metrics.catalogue.plain import load_plain_words
from metrics.models import Share
from metrics.sharing import Before, SharedContent, SharedPoint, Strip
from tests import factories
from tests.desk.people import ago
from tests.factories.plans import PrescriptionFactory
from tests.factories.shares import shared_point

STRIP = Strip(63.0, 2.0, 70.0, 85.0, 65.0, 95.0)
INSIDE = Strip(77.0, 2.0, 70.0, 85.0, 65.0, 95.0)


def work_point(metric: str, side: str = "low", zone: str = "flag", **changes: Any) -> SharedPoint:
    """A point in the shipped words of that metric."""
    found, plain = load_catalogue().metric(metric), load_plain_words()[metric]
    sentence = found.low_sentence if side == "low" else found.high_sentence
    told = {"headline": plain.headline(side), "sentence": sentence, "ends": plain.ends, "strip": STRIP}
    return shared_point(metric, side=side, zone=zone, **{**told, **changes})


def better_point(metric: str = "lead_knee_extension", **changes: Any) -> SharedPoint:
    plain = load_plain_words()[metric]
    told = {
        "kind": "good", "headline": plain.headline(""), "sentence": "", "zone": "in_range", "side": "",
        "sure": "sure", "probability": 0.99, "ends": plain.ends, "strip": INSIDE, "value_words": "", "good_words": "",
        "before": Before(60.0, ago(40), "flag", "low", is_real=True),
    }  # fmt: skip
    return shared_point(metric, **{**told, **changes})


def three_points() -> tuple[SharedPoint, ...]:
    return (
        work_point("stride_length"),
        work_point("elbow_flexion_fp", "high", "watch", sure="sure", before=None),
        work_point("lead_knee_flexion_br", "high", sure="cant_tell", before=None),
    )


def shared(athlete: Athlete, *, days: int = 2, at: dt.datetime = factories.NOON, **changes: Any) -> Share:
    """A share of a session of its own, measured so many days ago; `points` and `better` are its content."""
    points, better = changes.pop("points", three_points()), changes.pop("better", (better_point(),))
    session = changes.pop("session", None) or factories.CaptureSessionFactory(athlete=athlete, date=ago(days))
    content = SharedContent(points, better, session.date, session.method).to_json()
    return factories.ShareFactory(
        session=session, shared_at=at, content=content, **{"shared_by": athlete.responsible_coach, **changes}
    )


def withdraw_every_consent(athlete: Athlete, by: Any) -> None:
    for consent in athlete.consents.all():
        withdraw_consent(consent=consent, on=ago(1), by=by)


def _available(**row: Any) -> Callable[[Athlete], object]:
    return lambda athlete: factories.AvailabilityFactory(athlete=athlete, valid_from=ago(1), **row)


def _work(athlete: Athlete) -> None:
    """Gentle work, throws and something heavy, each shown; begun two weeks ago."""
    for key in ("hip_turns_seated", "pause_at_landing_throws", "medicine_ball_turn"):
        PrescriptionFactory(athlete=athlete, version__intervention__key=key, start=ago(14), due=ago(-28))


STATES: dict[str, Callable[[Athlete], object]] = {
    "nothing yet": lambda athlete: None,
    "measured, not shared": lambda athlete: factories.CaptureSessionFactory(athlete=athlete, date=ago(2)),
    "shared": lambda athlete: shared(athlete, look_again_on=ago(-21)),
    "shared, one point without numbers": lambda athlete: shared(
        athlete, points=(work_point("stride_length", value_words="", good_words=""),), better=()
    ),
    "shared, and the next day to look is past": lambda athlete: shared(athlete, days=40, look_again_on=ago(3)),
    "shared, and measured since": lambda athlete: (
        shared(athlete, days=40, look_again_on=ago(3)),
        factories.CaptureSessionFactory(athlete=athlete, date=ago(2)),
    ),
    "shared twice": lambda athlete: (
        shared(athlete, days=60, at=factories.NOON - dt.timedelta(days=58)),
        shared(athlete),
    ),
    "limited": _available(state="limited", limits="60 throws"),
    "coming back": _available(state="return_to_throw", limits="stage 3 of 6"),
    "stopped": _available(state="stopped"),
    "away": _available(state="away", until=ago(-5)),
    "pain": lambda athlete: factories.PainReportFactory(athlete=athlete),
    "sore": lambda athlete: factories.CheckInFactory(athlete=athlete, feeling="sore", words="forearm"),
    "nobody agreed": lambda athlete: athlete.consents.all().delete(),
    "work to do": lambda athlete: _work(athlete),
    "work that pain holds": lambda athlete: (_work(athlete), factories.PainReportFactory(athlete=athlete)),
    "consent taken back": lambda athlete: withdraw_every_consent(athlete, athlete.account),
}  # fmt: skip


def main_text(answer) -> str:
    body = answer.content.decode().split("<main", 1)[1].split("</main>")[0]
    return " ".join(strip_tags("<main" + body.replace("</", " </")).split())
