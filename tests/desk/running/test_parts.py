"""The parts of a start, one by one: children, places, the broker's folder."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

import pytest

from desk.running import broker, children, places
from desk.running.children import Child, ChildKeepsDying, ChildPlan, Household


def plan(tmp_path: Path, code: str, **more: object) -> ChildPlan:
    return ChildPlan(
        name="child", command=(sys.executable, "-c", code), log=tmp_path / "child.log", folder=tmp_path, **more
    )


@pytest.fixture(autouse=True)
def no_pause(monkeypatch):
    monkeypatch.setattr(children, "RESTART_PAUSE_S", 0.0)


def test_a_child_that_keeps_dying_is_given_up_after_three_restarts_and_its_last_words_are_shown(tmp_path):
    said: list[str] = []
    household = Household(said.append)
    child = household.start(plan(tmp_path, "print('no such file'); raise SystemExit(3)"))
    for _ in range(children.RESTARTS_ALLOWED):
        child.process.wait(10)
        household.watch_once()
    child.process.wait(10)
    with pytest.raises(ChildKeepsDying, match="child"):
        household.watch_once()
    assert "  | no such file" in said
    assert any("code 3" in line for line in said)
    assert any("child.log" in line for line in said)


def test_deaths_long_ago_do_not_count(tmp_path, monkeypatch):
    child = Child(plan(tmp_path, ""))
    now = 1000.0
    monkeypatch.setattr(children.time, "monotonic", lambda: now)
    for _ in range(3 * children.RESTARTS_ALLOWED):
        now += children.RESTART_WINDOW_S
        child.process.wait(10)
        child.restart()
    assert child.process.poll() in (None, 0)
    child.kill()


def test_a_child_that_does_not_listen_is_ended_when_its_patience_is_over(tmp_path):
    code = "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print('up', flush=True); time.sleep(60)"
    child = Child(plan(tmp_path, code, patience_s=0.3))
    while "up" not in child.last_lines():
        assert child.is_alive
    child.stop()
    assert child.process.returncode == -9


def test_children_stop_in_the_reverse_order_of_their_start(tmp_path, monkeypatch):
    stopped: list[str] = []
    monkeypatch.setattr(Child, "stop", lambda self: stopped.append(self.plan.log.name))
    household = Household(lambda line: None)
    started = [
        household.start(ChildPlan(name=name, command=(sys.executable, "-c", ""), log=tmp_path / name, folder=tmp_path))
        for name in ("broker", "worker", "web")
    ]
    household.stop()
    assert stopped == ["web", "worker", "broker"]
    for child in started:
        child.process.wait(10)


def test_waiting_for_a_part_that_never_gets_ready_ends_in_words(tmp_path):
    said: list[str] = []
    household = Household(said.append)
    child = household.start(plan(tmp_path, "import time; print('thinking', flush=True); time.sleep(60)"))
    with pytest.raises(ChildKeepsDying, match="not ready"):
        household.wait_for(lambda: False, name="child", limit_s=0.5)
    household.kill()
    assert not child.is_alive


def test_a_data_folder_is_held_by_one_start_only_until_it_lets_go(tmp_path):
    with places.hold_data_folder(tmp_path / "var") as lock:
        lock.write("http://127.0.0.1:8000/")
        lock.flush()
        with pytest.raises(places.DataFolderInUse, match=r"http://127\.0\.0\.1:8000/"):
            places.hold_data_folder(tmp_path / "var")
    places.hold_data_folder(tmp_path / "var").close()
    assert (tmp_path / "var").stat().st_mode & 0o077 == 0


def test_the_next_free_port_is_taken_and_none_left_is_said():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with places.listen_from(port) as found:
            assert port < found.getsockname()[1] <= port + places.PORTS_TRIED
            assert found.getsockname()[0] == "127.0.0.1"
    with pytest.raises(places.NoFreePort, match="PORT"):
        places.listen_from(65536)


def test_the_brokers_folder_is_private(tmp_path):
    folder = broker.private_folder(tmp_path / "new")
    assert folder.stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("kind", ["readable", "link"])
def test_a_folder_that_others_laid_or_can_read_is_refused(tmp_path, kind):
    folder = tmp_path / "laid"
    if kind == "link":
        (tmp_path / "elsewhere").mkdir(mode=0o700)
        folder.symlink_to(tmp_path / "elsewhere")
    else:
        folder.mkdir()
        folder.chmod(0o755)
    with pytest.raises(broker.PrivateFolderRefused, match="TMPDIR"):
        broker.private_folder(folder)


def test_the_socket_of_a_dead_server_is_removed(tmp_path):
    path = tmp_path / "s"
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(os.fspath(path))
    assert path.exists()
    broker.clear_socket(path)
    assert not path.exists()
    broker.clear_socket(path)


@pytest.mark.broker
def test_a_server_that_lives_on_a_socket_we_own_is_ended(tmp_path, tmp_path_factory):
    folder = tmp_path_factory.mktemp("b")
    path = folder / "s"
    child = Child(broker.broker_plan(path, folder / "log"))
    while not (path.exists() and broker.answers(f"unix://{path}")):
        assert child.is_alive
    broker.clear_socket(path)
    child.process.wait(10)
    assert not path.exists()
