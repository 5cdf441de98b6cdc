"""The worker's side of scoring: find what lags behind its inputs, and score it."""

from celery import shared_task

from metrics.services.motion.measuring import measure_where_size_changed
from metrics.services.scoring import rescore
from metrics.services.screens.drafts import forget_old_drafts
from metrics.services.stale import sessions_that_lag


@shared_task(name="metrics.rescore_what_lags")
def rescore_what_lags() -> int:
    """Scores sessions whose findings answer older inputs; each in its own transaction, oldest session first."""
    done = 0
    for capture in sessions_that_lag():
        measure_where_size_changed(capture)
        rescore(capture)
        done += 1
    return done


@shared_task(name="metrics.forget_old_screen_drafts")
def forget_old_screen_drafts() -> int:
    """Deletes what was typed into the form of screens and not saved within a week; safe twice."""
    return forget_old_drafts()
