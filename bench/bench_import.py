"""A long table, from bytes to stored findings, against reading it and writing the same rows by hand.

The true path: the limited reading process, a known recipe, preview, some sessions a transaction, scoring, standings.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import itertools
import random

import pandas
from django.db import connection
from django.db.models import Max

from athletes.models import ChangeLog, User
from bench.people import add_athletes, fresh_database
from bench.ratios import Ratio, compare
from metrics.catalogue import load_catalogue
from metrics.importing.recipes import Recipe
from metrics.models import Finding, ImportDraft, ImportUnit, Reading, Scoring, Standing, UnitPayload
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.imports.answers import save_recipe
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSession, OriginalFile, SessionExtract, Throw, Upload
from sessions.services.uploads import receive_upload

SESSIONS, THROWS, METRICS = 50, 40, 50
VALUES = SESSIONS * THROWS * METRICS


def season(number: int) -> bytes:
    """A long table of 100,000 values; each number gives another one with the same header."""
    chance = random.Random(number)
    metrics = [m for m in load_catalogue().metrics.values() if m.kind == "mechanic" and m.unit == "deg"]
    metrics += [m for m in load_catalogue().metrics.values() if m.kind == "mechanic" and m.unit in {"ms", "% fc-br"}]
    chosen = list(itertools.islice(metrics, METRICS))
    assert len(chosen) == METRICS
    date = dt.date(2025, 1, 1) + dt.timedelta(days=number)
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(["Athlete ID", "Date", "Throw", "Metric", "Value", "Unit"])
    for athlete, throw, metric in itertools.product(range(SESSIONS), range(1, THROWS + 1), chosen):
        low, high = metric.plausible_low or 0.0, metric.plausible_high or 100.0
        value = low + (high - low) * chance.uniform(0.4, 0.6)
        table.writerow([f"B{athlete}", date, throw, metric.name, f"{value:.2f}", metric.unit])
    return text.getvalue().encode()


def measure() -> list[Ratio]:
    coach = prepare()
    numbers = itertools.count(2)
    before = last_keys()
    stored = load(season(1), coach)
    rows = rows_by_table(before)

    def work() -> None:
        load(season_now.pop(), coach)

    def floor() -> None:
        season_now.append(season_bytes := next(seasons))
        pandas.read_csv(io.BytesIO(season_bytes))
        write_by_hand(rows)

    season_now: list[bytes] = []
    seasons = iter([season(next(numbers)) for _ in range(8)])
    assert stored == SESSIONS * METRICS, stored
    return [compare(f"{VALUES:,} values, bytes to findings", floor=floor, work=work, goal=4.0)]


def prepare() -> User:
    """A database of its own with the people that the tables name, and a recipe for their header."""
    coach = fresh_database()
    add_athletes(SESSIONS)
    upload = receive_upload(chunks=[season(0)], filename="first.csv", by=coach).upload
    read_upload(upload.pk)
    (sheet,) = ImportDraft.objects.get(upload=upload).layouts
    save_recipe(
        upload=upload,
        fingerprint=sheet["fingerprint"],
        recipe=Recipe.from_json({**sheet["first_recipe"], "landing": "fc"}),
        name="Bench",
        setup="",
        frame_rate_hz=None,
        by=coach,
    )
    return coach


def load(data: bytes, coach: User) -> int:
    """The way of a file; gives the number of findings that it left."""
    before = Finding.objects.count()
    upload = receive_upload(chunks=[data], filename="season.csv", by=coach).upload
    read_upload(upload.pk)
    upload.refresh_from_db()
    assert upload.state == Upload.State.READY, upload.state
    accept(upload=upload, by=coach)
    accept_upload(upload.pk)
    upload.refresh_from_db()
    assert upload.state == Upload.State.ACCEPTED, upload.state
    return Finding.objects.count() - before


TABLES = (
    OriginalFile,
    Upload,
    ImportDraft,
    ImportUnit,
    UnitPayload,
    CaptureSession,
    SessionExtract,
    Throw,
    Reading,
    Scoring,
    Finding,
    Standing,
    ChangeLog,
)
"""Everything that one file leaves rows in."""


def last_keys() -> dict[str, int]:
    """The greatest primary key of each table, 0 of an empty one."""
    managers = {model._meta.db_table: model._base_manager for model in TABLES}
    return {table: manager.aggregate(last=Max("pk"))["last"] or 0 for table, manager in managers.items()}


def rows_by_table(before: dict[str, int]) -> dict[str, tuple[str, list[tuple]]]:
    """What one file left behind, as plain tuples for plain tables without keys and indexes."""
    found = {}
    with connection.cursor() as cursor:
        for model in TABLES:
            table = model._meta.db_table
            cursor.execute(f"SELECT * FROM {table} WHERE id > %s", [before[table]])
            rows = cursor.fetchall()
            cursor.execute(f"CREATE TABLE floor_{table} AS SELECT * FROM {table} WHERE 0")
            marks = ",".join(["%s"] * len(rows[0]))
            found[table] = (f"INSERT INTO floor_{table} VALUES ({marks})", rows)
    return found


def write_by_hand(rows: dict[str, tuple[str, list[tuple]]]) -> None:
    with connection.cursor() as cursor:
        cursor.execute("BEGIN IMMEDIATE")
        for sql, values in rows.values():
            cursor.executemany(sql, values)
        cursor.execute("COMMIT")
