"""What works here, worked out over a large roster: every response, and the course of every flag without work."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from collections.abc import Iterator

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Athlete
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, Ratio, median_ms
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from plans.library import dose_to_fields
from plans.models import FollowUp, InterventionVersion, Prescription, PrescriptionReason
from plans.selectors.worked import worked_here
from plans.services.library import install_starting_library
from plans.services.works_here import work_out_table
from sessions.models import CaptureSession

ATHLETES, FLAGS, GIVEN, SESSIONS = 1000, 30, 20, 10
"""Each athlete has 30 flags, work for 20 of them, and was measured ten times, five weeks apart."""
WEEKS_APART = 5
ALL_MS, READ_MS = 60_000.0, 5.0
"""It is worked out at night or when somebody asks for it, by the worker; a page only reads it."""


def measure() -> Iterator[Ratio | Limit]:
    fresh_database()
    install_starting_library()
    metrics = [one.key for one in load_catalogue().metrics.values() if one.kind == "mechanic"][:FLAGS]
    athletes = add_athletes(ATHLETES)
    sessions = _sessions(athletes)
    _findings(sessions, metrics)
    _work(athletes, sessions, metrics)
    name = f"what works here, {ATHLETES} athletes × {GIVEN} works"
    with CaptureQueriesContext(connection) as asked:
        work_out_table()
    yield Limit(name, len(asked), 4 + 2 * FLAGS, "queries")
    yield Limit(name, median_ms(work_out_table, runs=1), ALL_MS, "ms")
    yield Limit("the same, read for the order of suggestions", median_ms(worked_here), READ_MS, "ms")


def _sessions(athletes: list[Athlete]) -> dict[int, list[CaptureSession]]:
    today = timezone.localdate()
    days = [today - dt.timedelta(weeks=WEEKS_APART * back) for back in range(SESSIONS, 0, -1)]
    made = CaptureSession.objects.bulk_create(
        CaptureSession(athlete=athlete, date=day, method="motion_capture", throwing_side="right", landing="fc")
        for athlete, day in itertools.product(athletes, days)
    )
    return {one.pk: made[place * SESSIONS : (place + 1) * SESSIONS] for place, one in enumerate(athletes)}


def _findings(sessions: dict[int, list[CaptureSession]], metrics: list[str]) -> None:
    chance = random.Random(9)
    for rows in sessions.values():
        Finding.objects.bulk_create(_finding(one, metric, chance) for one in rows for metric in metrics)


def _finding(session: CaptureSession, metric: str, chance: random.Random) -> Finding:
    mean = chance.gauss(76.0, 5.0)
    zone = "flag" if mean < 80.0 else "in_range"
    return Finding(
        session=session, metric=metric, condition_set="scored", kind="mechanic", unit="°", moment="fp", n=8, mean=mean,
        sd=3.0, u_between=1.5, target_low=85.0, target_high=100.0, flag_low=80.0, flag_high=105.0, zone=zone,
        side="low" if zone == "flag" else "", sure="sure", decision={"prior_sd": 4.0},
    )  # fmt: skip


def _work(athletes: list[Athlete], sessions: dict[int, list[CaptureSession]], metrics: list[str]) -> None:
    chance, now = random.Random(10), timezone.now()
    versions = list(InterventionVersion.objects.all()[:FLAGS])
    given, reasons, follow_ups = [], [], []
    for athlete in athletes:
        rows = sessions[athlete.pk]
        for number in chance.sample(range(FLAGS), GIVEN):
            version, metric, place = versions[number], metrics[number], chance.randrange(SESSIONS - 4)
            start, due = rows[place + 1].date, rows[place + 2].date
            day = rows[place + 2].date
            dose = dose_to_fields(next(iter(version.value.doses.values())))
            row = Prescription(
                athlete=athlete, version=version, dose=dose, start=start, written_at=now, ended_on=day, ending="closed"
            )
            given.append(row)
            reasons.append((row, metric, rows[place]))
            told = _told(metric, rows[place + 1], rows[place + 2], chance)
            follow_ups.append(
                FollowUp(
                    prescription=row, begins=start, due=due, decision="closed", decided_at=now, changed_at=now,
                    decided_on=told,
                )
            )  # fmt: skip
    Prescription.objects.bulk_create(given, batch_size=500)
    PrescriptionReason.objects.bulk_create(
        (PrescriptionReason(prescription=row, place=0, metric=metric, direction="low", session=session)
         for row, metric, session in reasons),
        batch_size=500,
    )  # fmt: skip
    FollowUp.objects.bulk_create(follow_ups, batch_size=500)


def _told(metric: str, then: CaptureSession, now: CaptureSession, chance: random.Random) -> dict:
    word = chance.choice(["better", "no real change", "no real change", "can’t tell", "worse"])
    finding = {
        "metric": metric, "side": "low", "word": word, "reason": "", "level": 0.025,
        "baseline": {"mean": 78.0, "own_mean": 78.0, "date": str(then.date), "estimated": False,
                     "sessions": [str(then.uuid)]},
        "now": {"mean": 80.0, "date": str(now.date)}, "sessions": [str(now.uuid)],
        "change": {"difference": 2.0, "u": 2.0, "nu": 12.0, "detectable": 4.4, "p": 0.3},
    }  # fmt: skip
    return {"word": word, "findings": [finding], "works": "", "stays_due": False}
