"""`manage.py run`: what one command starts, what it survives, and that nothing outlives it."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.request import urlopen

import psutil
import pytest

from tests.flows.application import CHECKOUT, Application, free_port, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.xdist_group("run")]

DEEP = "/".join(["a-folder-with-a-long-name"] * 6)  # far beyond the 107 bytes of a socket's path


@pytest.fixture
def application(tmp_path: Path) -> Iterator[Application]:
    made = Application(var_dir=tmp_path / DEEP / "var")
    made.var_dir.parent.mkdir(parents=True)
    yield made
    if made.process is not None and made.process.poll() is None:
        made.kill()


def descendants(application: Application) -> list[psutil.Process]:
    assert application.process is not None
    return psutil.Process(application.process.pid).children(recursive=True)


def the_child(application: Application, word: str) -> psutil.Process:
    assert application.process is not None
    direct = psutil.Process(application.process.pid).children()
    return next(child for child in direct if any(word in part for part in child.cmdline()))


def page_answers(application: Application) -> bool:
    with urlopen(f"{application.address}/sign-in/", timeout=10) as answer:
        return answer.status == 200 and b"password" in answer.read()


def worker_answers(application: Application) -> bool:
    done = subprocess.run(
        [sys.executable, "-m", "celery", "-A", "config", "inspect", "ping", "--timeout", "5"],
        cwd=CHECKOUT,
        env=application.environment,
        capture_output=True,
        text=True,
        check=False,
    )
    return "pong" in done.stdout


def is_gone(process: psutil.Process) -> bool:
    return not process.is_running() or process.status() == psutil.STATUS_ZOMBIE


def test_one_command_brings_up_all_parts_restarts_a_dead_one_and_ctrl_c_ends_all(application, tmp_path):
    application.start("--no-demo")
    assert page_answers(application)
    # The page stands first; the worker may still be importing.
    wait_until(lambda: worker_answers(application), limit_s=60, otherwise=lambda: application.output)

    # A second start on the same data is refused, and told where the first one is.
    second = subprocess.run(
        [sys.executable, "manage.py", "run", "--port", str(free_port()), "--no-demo"],
        cwd=CHECKOUT,
        env=application.environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert second.returncode == 1
    assert application.address in second.stderr
    assert page_answers(application)

    the_child(application, "valkey-server").kill()
    wait_until(lambda: "The broker was started again." in application.output, limit_s=20)
    wait_until(lambda: worker_answers(application), limit_s=60, otherwise=lambda: application.output)

    children = descendants(application)
    assert len(children) >= 6  # broker, clock, web with its two, worker with its two
    assert application.stop() == 0
    assert "Stopped." in application.output
    wait_until(lambda: all(is_gone(child) for child in children), limit_s=5)


def test_nothing_outlives_a_parent_that_is_killed_and_the_next_start_works(application, migrated):
    application.database = migrated
    application.start("--no-demo")
    children = descendants(application)
    application.kill()
    wait_until(lambda: all(is_gone(child) for child in children), limit_s=5, otherwise=lambda: str(children))

    application.start("--no-demo")  # the dead server's socket lies in the way
    assert page_answers(application)
    assert application.stop() == 0


def test_a_taken_port_is_said_aloud_and_the_next_one_is_used(application, migrated):
    application.database = migrated
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        application.start("--no-demo", port=port)
        assert f"Port {port} is taken" in application.output
        assert not application.address.endswith(f":{port}")
        assert page_answers(application)
    assert application.stop() == 0
