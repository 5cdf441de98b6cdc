"""Trends of an athlete with 150 sessions × every metric: queries, time against reading the same rows, bytes sent.

The floor reads the rows of the findings as the page does, by the same columns, and does nothing with them.
"""

from __future__ import annotations

import datetime as dt
import gzip
from collections.abc import Iterator, Sequence
from functools import partial

from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete
from bench.bench_pages import get, queries_of, signed_in
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, Ratio, compare, median_ms
from bench.sessions import full_session
from bench.urls import EMPTY, give_empty_page
from metrics.models import Finding, Scoring
from metrics.selectors.trends.rows import read_findings
from sessions.models import CaptureSession

SESSIONS, MANY = 150, 5_000
APART_DAYS = 7
DRAWN = 10
"""Sessions whose numbers are drawn anew; the others repeat theirs, moved a little."""

THROWS = 8
MOST_QUERIES = 10
"""Beyond those of a page that does nothing, which asks who is signed in, and where."""

MOST_KB = 400.0
MOST_MS = 1_000.0
GOAL = 4.0


def measure() -> Iterator[Ratio | Limit]:
    with override_settings(ROOT_URLCONF="bench.urls"):
        coach = fresh_database()
        (athlete,) = add_athletes(1, coach=coach)
        client, url = signed_in(coach), reverse("metrics:trends", args=[athlete.uuid])
        today = timezone.localdate()
        add_course(athlete, [today - dt.timedelta(days=APART_DAYS * back) for back in range(SESSIONS)])
        yield from season(client, url)
        before = queries_of(client, url)
        oldest = today - dt.timedelta(days=APART_DAYS * SESSIONS)
        add_course(athlete, [oldest - dt.timedelta(days=back) for back in range(MANY - SESSIONS)])
        yield Limit(f"more queries at {MANY:,} sessions", queries_of(client, url) - before, 0, "queries")
        yield Limit(f"trends of {MANY:,} sessions", median_ms(lambda: get(client, url)), MOST_MS, "ms")


def season(client: Client, url: str) -> Iterator[Ratio | Limit]:
    pks, every = list(CaptureSession.objects.values_list("pk", flat=True)), f"{url}?all=1"
    name = f"trends of {len(pks)} sessions × {Finding.objects.values('metric').distinct().count()} metrics"
    for what, address in (("all", every), ("first look", url)):
        yield compare(
            f"{name}, {what}", floor=lambda: read_findings(pks), work=partial(get, client, address), goal=GOAL
        )
    give_empty_page("")
    get(client, EMPTY)
    asked, first_look = queries_of(client, every), queries_of(client, url)
    yield Limit(f"{name}, beyond a page that does nothing", asked - queries_of(client, EMPTY), MOST_QUERIES, "queries")
    yield Limit("more queries for all than for first look", asked - first_look, 0, "queries")
    yield Limit(f"{name}, compressed", len(gzip.compress(get(client, every).content, 6)) / 1000, MOST_KB, "kB")


def add_course(athlete: Athlete, days: Sequence[dt.date]) -> None:
    """A scored session on each of these days; the findings of most are those of the first ten, moved by a little."""
    drawn = [full_session(athlete, day, throws=THROWS) for day in days[:DRAWN]]
    patterns = [(one.scoring, list(one.findings.all())) for one in drawn]
    CaptureSession.objects.bulk_create(
        CaptureSession(athlete=athlete, date=day, method="motion_capture", throwing_side="right", landing="fc")
        for day in days[DRAWN:]
    )
    for place, capture in enumerate(CaptureSession.objects.filter(scoring=None)):
        scoring, findings = patterns[place % DRAWN]
        scoring.pk, scoring.session = None, capture
        Scoring.objects.bulk_create([scoring])
        for finding in findings:
            finding.pk, finding.session = None, capture
            finding.mean = None if finding.mean is None else finding.mean + 0.01 * (place % 7)
        Finding.objects.bulk_create(findings)
