"""Pages through the whole stack (middleware, sign-in, queries, templates), by the clock and in queries."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Callable, Iterator

from django.db import connection
from django.http import HttpResponse
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from athletes.models import User
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, Ratio, compare, median_ms
from bench.sessions import copy_findings, full_session
from bench.urls import EMPTY, give_empty_page
from metrics.models import Finding
from metrics.services.causes import install_starting_cause_links
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession

FEW, MANY = 50, 500
YEARS = 3
DAYS_BETWEEN = 14
MOST_QUERIES = 12
MOST_QUERIES_WITH_START = 18
"""A session's page also asks for links, what follows from the person, others' findings, answers and event times."""

THROWS = 30
PAGE_MS, EXCLUDE_MS = 150.0, 300.0


def measure() -> Iterator[Ratio | Limit]:
    with override_settings(ROOT_URLCONF="bench.urls"):
        yield from roster()
        yield from session_page()


def roster() -> Iterator[Ratio | Limit]:
    """The roster's first page against a view that renders as many bytes of plain template."""
    coach = fresh_database()
    client, url = signed_in(coach), reverse("desk:roster")
    season(FEW, coach)
    few, few_queries = against_empty(f"roster of {FEW} athletes, {YEARS} years", client, url)
    season(MANY - FEW, coach, start=FEW)
    many, many_queries = against_empty(f"roster of {MANY} athletes, {YEARS} years", client, url)
    yield few
    yield many
    apart = 100.0 * abs(many.value - few.value) / few.value
    yield Limit(f"ratio at {MANY} apart from that at {FEW}", apart, 10.0, "%")
    yield Limit(f"roster of {MANY} athletes", many_queries, MOST_QUERIES, "queries")
    yield Limit(f"more queries at {MANY} than at {FEW}", many_queries - few_queries, 0, "queries")


def season(count: int, coach: User, start: int = 0) -> None:
    """So many more athletes, each with a session every two weeks for three years, with findings and standing."""
    athletes = add_athletes(count, start=start, coach=coach)
    today = timezone.localdate()
    days = [today - dt.timedelta(days=back) for back in range(DAYS_BETWEEN, 365 * YEARS, DAYS_BETWEEN)]
    first = full_session(athletes[0], today, throws=10)
    Finding.objects.filter(session=first, is_family_head=False).exclude(zone=Finding.Zone.FLAG).delete()
    CaptureSession.objects.bulk_create(
        CaptureSession(athlete=athlete, date=day, method="motion_capture", throwing_side="right", landing="fc")
        for athlete, day in itertools.product(athletes, days)
    )
    copy_findings(first)
    for athlete in athletes:
        rebuild_standing(athlete)


def against_empty(name: str, client: Client, url: str) -> tuple[Ratio, int]:
    queries = queries_of(client, url)
    page = get(client, url)
    give_empty_page(page.content.decode())
    assert len(get(client, EMPTY).content) == len(page.content)
    ratio = compare(name, floor=lambda: get(client, EMPTY), work=lambda: get(client, url), goal=4.0, runs=15)
    return ratio, queries


def session_page() -> Iterator[Limit]:
    """A long session with everything measured, the athlete's history behind it."""
    coach = fresh_database()
    install_starting_cause_links()
    (athlete,) = add_athletes(1, coach=coach)
    today = timezone.localdate()
    for back in range(DAYS_BETWEEN * 6, 0, -DAYS_BETWEEN):
        full_session(athlete, today - dt.timedelta(days=back), throws=10)
    capture = full_session(athlete, today, throws=THROWS)
    client = signed_in(coach)
    url = f"{reverse('metrics:session', args=[capture.uuid])}?all=1"
    name = f"session of {THROWS} throws × {Finding.objects.filter(session=capture).count()} metrics"
    yield Limit(name, median_ms(lambda: get(client, url)), PAGE_MS, "ms")
    yield Limit(name, queries_of(client, url), MOST_QUERIES_WITH_START, "queries")
    yield Limit("leave a throw out, to the new findings", median_ms(excluding(client, capture)), EXCLUDE_MS, "ms")


def excluding(client: Client, capture: CaptureSession) -> Callable[[], None]:
    """Each call leaves another throw out, as the page does, and gets the page with the new findings back."""
    throws = iter(list(capture.throws.all()))

    def leave_out() -> None:
        throw = next(throws)
        address = reverse("metrics:throw-exclude", args=[capture.uuid, throw.uuid])
        page = reverse("metrics:session", args=[capture.uuid])
        headers = {"HX-Request": "true", "HX-Current-URL": f"http://localhost{page}?all=1"}
        answer = client.post(address, {"reason": "slipped"}, headers=headers)
        assert answer.status_code == 200, answer.status_code
        assert f"Throw {throw.number} left out" in answer.content.decode()

    return leave_out


def signed_in(user: User, headers: dict[str, str] | None = None) -> Client:
    client = Client(SERVER_NAME="localhost", headers=headers)
    client.force_login(user, "django.contrib.auth.backends.ModelBackend")
    return client


def queries_of(client: Client, url: str) -> int:
    """Reads and writes; the beginning and end of the transaction around a look's log entry are no queries."""
    with CaptureQueriesContext(connection) as queries:
        get(client, url)
    return sum(not query["sql"].startswith(("BEGIN", "COMMIT")) for query in queries)


def get(client: Client, url: str) -> HttpResponse:
    answer = client.get(url)
    assert answer.status_code == 200, answer.status_code
    return answer
