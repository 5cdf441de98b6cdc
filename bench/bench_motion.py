"""Motion capture in the application: a throw from its file to its findings, many at once, and its pictures."""

from __future__ import annotations

import datetime as dt
import itertools
import json
import os
from collections.abc import Callable, Iterable, Iterator
from statistics import quantiles
from time import perf_counter

from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.urls import reverse

from athletes.models import Athlete, User
from bench.bench_pages import get, signed_in
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, median_ms
from metrics.models import Finding
from metrics.selectors.curves import curves_json
from metrics.selectors.motion import figure_json, recorded_throws
from metrics.services.imports.accepting import accept_upload
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSession, Upload
from sessions.services.open_sessions import open_session
from sessions.services.uploads import receive_upload
from tests.synthesis import Body, Delivery, Room, c3d_bytes, record, style_of

DAY = dt.date(2026, 4, 14)
THROWS, DROPPED, ROSTER = 12, 200, 50
UPLOAD_MS, CURVES_MS, FIGURE_KB, MOVE_MS, SLOWER = 2000.0, 100.0, 60.0, 300.0, 2.0
LOOKS = 60


def measure() -> Iterator[Limit]:
    coach = fresh_database()
    athletes = add_athletes(ROSTER, coach=coach)
    files = throw_files()
    capture = open_session(athlete=athletes[0], date=DAY, setup=None, by=coach)
    for _ in range(THROWS):
        bring(next(files), capture, coach)
    yield Limit(
        "one throw, from its bytes to its findings",
        median_ms(lambda: bring(next(files), capture, coach)),
        UPLOAD_MS,
        "ms",
    )
    yield from pictures(capture)
    yield Limit("an event moved, to the new findings", median_ms(moving(signed_in(coach), capture)), MOVE_MS, "ms")
    yield from many_at_once(coach, athletes, files)


def throw_files() -> Iterator[bytes]:
    """One throw of 3 s at 240 frames a second, in as many different files as are asked for."""
    body = Body(height=1.85, mass=85.0)
    data = c3d_bytes(record(Delivery(body, style_of("college")), Room(rate_hz=240.0, unit="mm", head=True, ball=True)))
    return (data + number.to_bytes(512, "big") for number in itertools.count(1))


def bring(data: bytes, capture: CaptureSession, coach: User) -> None:
    """The way of a file that was sent to an open session."""
    upload = receive_upload(chunks=[data], filename="throw.c3d", by=coach, for_session=capture).upload
    read_upload(upload.pk)
    accept_upload(upload.pk)
    upload.refresh_from_db()
    assert upload.state == Upload.State.ACCEPTED, (upload.state, upload.error_sentence)
    assert Finding.objects.filter(session=capture).exists()


def pictures(capture: CaptureSession) -> Iterator[Limit]:
    throws = recorded_throws(capture)

    def cold() -> None:
        cache.clear()
        drawn = curves_json(capture, "elbow_flexion")
        drawn_now.append(len(drawn["throws"]))

    drawn_now: list[int] = []
    taken = median_ms(cold)
    yield Limit("curves that nobody has looked at, a throw", taken / drawn_now[-1], CURVES_MS, "ms")
    size = len(json.dumps(figure_json(capture, throws[0])).encode()) / 1000
    yield Limit("the figure of a throw", size, FIGURE_KB, "kB")


def moving(client: Client, capture: CaptureSession) -> Callable[[], None]:
    """Each call moves contact of the first throw a little further, and gets the page with the new findings back."""
    throw, steps = recorded_throws(capture)[0], itertools.count(1)
    address = reverse("metrics:throw-event-move", args=[capture.uuid, throw.uuid])
    page = reverse("metrics:session", args=[capture.uuid])

    def move() -> None:
        data = {"event": "fc", "time_ms": str((-1) ** next(steps) * 2.0)}
        headers = {"HX-Request": "true", "HX-Current-URL": f"http://localhost{page}"}
        answer = client.post(address, data, headers=headers)
        assert answer.status_code == 200, answer.status_code

    return move


def many_at_once(coach: User, athletes: list[Athlete], files: Iterator[bytes]) -> Iterator[Limit]:
    """So many files in one go through one worker, and the roster's page beside them."""
    capture = open_session(athlete=athletes[1], date=DAY, setup=None, by=coach)
    client, url = signed_in(coach), reverse("desk:roster")
    get(client, url)
    idle = slowest_looks(client, url, itertools.repeat(True, LOOKS))
    connection.close()
    started, worker = perf_counter(), os.fork()
    if worker == 0:
        try:
            for _ in range(DROPPED):
                bring(next(files), capture, coach)
            os._exit(0)
        except BaseException:
            os._exit(1)
    ended: list[int] = []
    busy = slowest_looks(client, url, while_alive(worker, ended))
    assert ended == [0], "the worker stumbled"
    assert capture.throws.count() == DROPPED
    yield Limit(f"{DROPPED} files at once, a throw", 1000 * (perf_counter() - started) / DROPPED, UPLOAD_MS, "ms")
    yield Limit("p95 of the roster beside them, against idle", busy / idle, SLOWER, "times")


def while_alive(worker: int, ended: list[int]) -> Iterator[bool]:
    """Once for each look until the worker has ended, whose status is then in `ended`."""
    while True:
        process, status = os.waitpid(worker, os.WNOHANG)
        if process:
            ended.append(status)
            return
        yield True


def slowest_looks(client: Client, url: str, looks: Iterable[bool]) -> float:
    """The time under which 19 of 20 looks at a page stay, ms."""
    taken = []
    for _ in looks:
        started = perf_counter()
        get(client, url)
        taken.append(1000 * (perf_counter() - started))
    return quantiles(taken, n=20)[-1]
