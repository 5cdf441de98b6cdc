"""What merging two athletes asks of this room: every session is judged again, by the one person’s body and level."""

from __future__ import annotations

from athletes.models import Athlete
from athletes.services.merging import Follower, register_follower
from metrics.services.moving import forget_whose_facts
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession
from sessions.pipeline import enqueue_stage


def judge_again(athlete: Athlete) -> None:
    """By the worker, the earliest first: the findings are marked as being recomputed until then."""
    keys = list(CaptureSession.objects.filter(athlete=athlete).order_by("date", "ordinal").values_list("pk", flat=True))
    forget_whose_facts(keys)
    for key in keys:
        enqueue_stage("score", key)
    rebuild_standing(athlete)


register_follower("metrics", Follower(after=judge_again))
