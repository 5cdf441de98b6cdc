"""A worker killed in mid-file: another takes over, and the file is complete, once."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from tests.flows.application import Application, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.xdist_group("run")]

ATHLETES, DAYS, THROWS = 50, 30, 3
SESSIONS = ATHLETES * DAYS

PREPARE = f"""
import datetime as dt
from athletes.services.people import create_athlete
from metrics.importing.recipes import Recipe
from metrics.services.imports.answers import save_recipe
from metrics.services.profiles import install_starting_profiles
install_starting_profiles()
coach = User.objects.create_user("coach", password="a long enough word", role="coach")
for n in range({ATHLETES}):
    born = dt.date(2000, 1, 1) + dt.timedelta(n)
    athlete = create_athlete(given_name="Pitcher", family_name=f"Number{{n}}", birth_date=born, throws="right",
        level="college", level_from=dt.date(2020, 1, 1), by=coach, external_id=f"P{{n}}")
"""
RECEIVE = """
from pathlib import Path
from sessions.services.uploads import receive_upload
path = Path({path!r})
receive_upload(chunks=[path.read_bytes()], filename=path.name, by=User.objects.get())
"""
MATCH = """
from metrics.importing.recipes import Recipe
from metrics.services.imports.answers import save_recipe
upload = Upload.objects.get()
for sheet in upload.draft.layouts:
    save_recipe(upload=upload, fingerprint=sheet["fingerprint"], recipe=Recipe.from_json(sheet["first_recipe"]),
                name="Room", setup="Room", frame_rate_hz=240.0, by=User.objects.get())
"""
ACCEPT = """
from metrics.services.imports.accepting import accept
accept(upload=Upload.objects.get(), by=User.objects.get())
"""


def season() -> str:
    lines = ["Athlete ID,Date,Throw,Elbow flexion at foot contact,Stride length,Trunk forward tilt at ball release"]
    for athlete in range(ATHLETES):
        for day in range(1, DAYS + 1):
            lines += [
                f"P{athlete},2026-03-{day:02d},{throw},{90 + throw},{0.8 + throw / 100},{30 + throw}"
                for throw in range(1, THROWS + 1)
            ]
    return "\n".join(lines) + "\n"


@pytest.fixture
def application(tmp_path: Path, migrated: bytes, monkeypatch: pytest.MonkeyPatch) -> Iterator[Application]:
    """A silent worker is given up after seconds here, not after half a minute."""
    monkeypatch.setenv("READER_SECONDS", "2")
    running = Application(var_dir=tmp_path / "var", database=migrated)
    try:
        running.start("--no-demo")
        yield running
    finally:
        running.stop()


class Rows:
    """What stands in the application's database, asked from outside."""

    def __init__(self, application: Application) -> None:
        self.path = application.var_dir / "moundbook.sqlite3"

    def one(self, sql: str) -> int | str | None:
        with sqlite3.connect(f"file:{self.path}?mode=ro", uri=True, timeout=20) as connection:
            row = connection.execute(sql).fetchone()
        return row[0] if row else None

    def state(self) -> str:
        return str(self.one("SELECT state FROM capture_sessions_upload"))

    def count(self, table: str) -> int:
        return int(self.one(f"SELECT count(*) FROM {table}") or 0)


def workers_of(application: Application) -> list[psutil.Process]:
    assert application.process is not None
    family = psutil.Process(application.process.pid).children(recursive=True)
    return [process for process in family if "worker" in process.cmdline() and "celery" in " ".join(process.cmdline())]


def test_a_file_whose_worker_is_killed_is_complete_once(application, tmp_path):
    rows, table = Rows(application), tmp_path / "season.csv"
    table.write_text(season())
    application.shell(PREPARE)
    application.shell(RECEIVE.format(path=str(table)))
    wait_until(lambda: rows.state() == "needs_match", limit_s=60)
    application.shell(MATCH)
    wait_until(lambda: rows.state() == "ready", limit_s=60)

    workers = workers_of(application)  # looked up before: storing does not wait for it
    assert workers
    application.shell(ACCEPT)
    wait_until(lambda: rows.count("capture_sessions_capturesession") >= 5, limit_s=60, pause_s=0.01)
    for process in workers:
        process.kill()
    left_standing = rows.count("capture_sessions_capturesession")
    assert left_standing < SESSIONS

    wait_until(lambda: rows.state() == "accepted", limit_s=120, otherwise=lambda: application.output)
    assert rows.count("capture_sessions_capturesession") == SESSIONS
    assert rows.count("capture_sessions_throw") == SESSIONS * THROWS
    assert rows.count("metrics_reading") == SESSIONS * THROWS
    assert rows.count("metrics_scoring") == SESSIONS
    assert rows.one("SELECT count(*) FROM metrics_importunit WHERE state != 'accepted'") == 0
