"""The worst files in a row with a real broker and a real worker: each answered, the worker alive, a good file read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from tests.flows.application import Application, wait_until
from tests.sessions.formats import hostile
from tests.sessions.test_killed_worker import Rows

pytestmark = [pytest.mark.broker, pytest.mark.xdist_group("run")]

WORST = (
    "squeezed bomb",
    "lying bomb",
    "entities",
    "elements nested without end",
    "far cells",
    "too many cells",
    "picture named as table",
)
PREPARE = 'User.objects.create_user("coach", password="a long enough word", role="coach")'
RECEIVE = """
from pathlib import Path
from sessions.services.uploads import receive_upload
for path in sorted(Path({folder!r}).iterdir()):
    receive_upload(chunks=[path.read_bytes()], filename=path.name, by=User.objects.get())
"""


@pytest.fixture
def application(tmp_path: Path, migrated: bytes) -> Iterator[Application]:
    running = Application(var_dir=tmp_path / "var", database=migrated)
    try:
        running.start("--no-demo")
        yield running
    finally:
        running.stop()


def workers(application: Application) -> set[int]:
    assert application.process is not None
    family = psutil.Process(application.process.pid).children(recursive=True)
    return {one.pid for one in family if "celery" in " ".join(one.cmdline()) and "worker" in one.cmdline()}


def test_the_worst_files_in_a_row_are_answered_by_the_same_worker(application, tmp_path):
    folder = tmp_path / "files"
    folder.mkdir()
    for number, name in enumerate(WORST):
        (folder / f"{number} {hostile.REFUSED[name][1]}").write_bytes(hostile.REFUSED[name][0]())
    (folder / "good.csv").write_text("Athlete,Throw,Elbow flexion\nTove Marrin,1,92\nTove Marrin,2,93\n")
    application.shell(PREPARE)
    before = workers(application)

    application.shell(RECEIVE.format(folder=str(folder)))

    rows = Rows(application)
    done = "SELECT count(*) FROM capture_sessions_upload WHERE state IN ('refused', 'needs_match')"
    wait_until(lambda: rows.one(done) == len(WORST) + 1, limit_s=90, otherwise=lambda: application.output)
    assert rows.one("SELECT count(*) FROM capture_sessions_upload WHERE error_sentence != ''") == len(WORST)
    assert rows.one("SELECT count(*) FROM metrics_importdraft") == 1
    assert before
    assert workers(application) == before
