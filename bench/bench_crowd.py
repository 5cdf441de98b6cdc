"""Today, the roster and a progress page for eight people at once, through gunicorn, in a large facility.

Floor: the view that does nothing, through the same middleware and sign-in, by the same eight people in turn with the
pages. What is compared is the 95th percentile: the slowest that one request in twenty is. Each page is asked for on a
connection of its own, as by people, who read one for longer than the few seconds that the server keeps a silent one.
"""

from __future__ import annotations

import datetime as dt
import http.client
import itertools
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete, User
from bench.bench_pages import queries_of, signed_in
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, Ratio
from bench.sessions import copy_findings, full_session
from bench.urls import EMPTY
from bench.work import check_in_some, give_everyone_work
from desk.demo.sharing import share_session
from metrics.models import Finding
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession

ATHLETES, SESSIONS, OWN, HERE = 1000, 60, 60, 12
DAYS_BETWEEN = 7
USERS, REQUESTS_EACH, ROUNDS = 8, 12, 6
GOAL = 4.0
MOST_QUERIES = 30
CHECKOUT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True, slots=True)
class Look:
    """What a page's reader asks for: all of it, or a part that its script asks for, by the id of its element."""

    user: User
    url: str
    part: str = ""

    @property
    def headers(self) -> dict[str, str]:
        return {"HX-Request": "true", "HX-Target": self.part} if self.part else {}


def measure() -> Iterator[Ratio | Limit]:
    with override_settings(ROOT_URLCONF="bench.urls"):
        coach, family = facility_of(ATHLETES)
        pages = {
            "today": Look(coach, reverse("desk:today")),
            "the roster under today": Look(coach, reverse("desk:today"), part="roster-part"),
            "roster of everyone": Look(coach, f"{reverse('desk:roster')}?who=everyone"),
            "progress page": Look(family, reverse("desk:mine", args=[family.athlete.uuid])),
        }
        for name, look in pages.items():
            title = f"{name}, {ATHLETES} athletes × {SESSIONS}"
            yield Limit(title, queries_of(signed_in(look.user, look.headers), look.url), MOST_QUERIES, "queries")
        connection.close()
        with served() as port:
            for name, look in pages.items():
                yield crowd(f"{name}, {USERS} at once: 95th percentile", port, look)


def facility_of(count: int) -> tuple[User, User]:
    """So many athletes with their sessions and work, a coach of some of them, and one athlete's account."""
    coach, other = fresh_database(), User.objects.create_user("other", role="coach")
    athletes = add_athletes(OWN, coach=coach) + add_athletes(count - OWN, start=OWN, coach=other)
    today = timezone.localdate()
    first = full_session(athletes[0], today, throws=10)
    Finding.objects.filter(session=first, is_family_head=False).exclude(zone=Finding.Zone.FLAG).delete()
    days = [today - dt.timedelta(days=back * DAYS_BETWEEN) for back in range(1, SESSIONS + 1)]
    CaptureSession.objects.bulk_create(
        CaptureSession(athlete=one, date=day, method="motion_capture", throwing_side="right", landing="fc")
        for one, day in itertools.product(athletes, days)
    )
    copy_findings(first)
    give_everyone_work(athletes, coach, today)
    check_in_some(athletes[:HERE], coach)
    for one in athletes:
        rebuild_standing(one)
    family = User.objects.create_user("family", role="athlete")
    Athlete.objects.filter(pk=athletes[0].pk).update(account=family)
    share_session(first, coach, today)
    return coach, User.objects.get(pk=family.pk)


@contextmanager
def served() -> Iterator[int]:
    """Gunicorn as `manage.py run` starts it, on a port of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [
        sys.executable,
        "-m",
        "gunicorn",
        "-c",
        "python:desk.running.web",
        "-b",
        f"127.0.0.1:{port}",
        "--log-level",
        "warning",
    ]
    environment = {**os.environ, "MOUNDBOOK_VAR": str(settings.VAR_DIR), "SECRET_KEY": settings.SECRET_KEY}
    server = subprocess.Popen([*command, "bench.crowd_wsgi:application"], cwd=CHECKOUT, env=environment)
    try:
        _wait_for(port)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=20)


def _wait_for(port: int) -> None:
    for _ in range(300):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("Gunicorn did not begin to serve within 30 s.")


def crowd(name: str, port: int, look: Look) -> Ratio:
    """Rounds of the floor and of the page in turn; every person has a sign-in of their own."""
    cookies = [signed_in(look.user).cookies[settings.SESSION_COOKIE_NAME].value for _ in range(USERS)]
    floors: list[float] = []
    works: list[float] = []
    with ThreadPoolExecutor(USERS) as people:
        for place in range(ROUNDS + 1):  # the first round warms up
            for asked, times in ((Look(look.user, EMPTY), floors), (look, works)):
                answers = people.map(_ask, itertools.repeat(port), cookies, itertools.repeat(asked))
                taken = list(itertools.chain.from_iterable(answers))
                times.extend(taken if place else ())
    return Ratio(name, _percentile_95(floors), _percentile_95(works), GOAL)


def _ask(port: int, cookie: str, look: Look) -> list[float]:
    """One person asks again and again; milliseconds of each answer."""
    headers = {"Cookie": f"{settings.SESSION_COOKIE_NAME}={cookie}", "Host": "localhost", **look.headers}
    taken = []
    for _ in range(REQUESTS_EACH):
        started = time.perf_counter()
        asking = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        asking.request("GET", look.url, headers=headers)
        answer = asking.getresponse()
        answer.read()
        taken.append((time.perf_counter() - started) * 1000)
        assert answer.status == 200, (look.url, answer.status)
        asking.close()
    return taken


def _percentile_95(times: list[float]) -> float:
    return sorted(times)[int(0.95 * (len(times) - 1))]
