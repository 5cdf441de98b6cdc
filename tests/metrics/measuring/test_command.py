"""`manage.py measure`, as a person runs it: no environment, no database, exit status and both outputs."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from metrics.catalogue import load_catalogue
from metrics.measuring import Asked, Measurer, as_json, measure_bytes
from tests.metrics.measuring.files import HEIGHT_M, MASS_KG, made, throw_file
from tests.sessions.formats.c3d_writer import Written, c3d_file
from tests.source import CHECKOUT

PERSON = ("--height", str(HEIGHT_M), "--mass", str(MASS_KG))
COMMANDS_MEASURER = "metrics.management.commands.measure.Measurer"
RIGHT = (*PERSON, "--throws", "right")


@pytest.fixture(scope="module")
def shared_measurer():
    measurer = Measurer()
    yield measurer
    measurer.close()


@pytest.fixture
def one_process(shared_measurer, monkeypatch):
    """The command's measuring process lives on between tests: its start takes longer than they do."""
    monkeypatch.setattr(shared_measurer, "close", lambda: None)
    monkeypatch.setattr(COMMANDS_MEASURER, lambda: shared_measurer)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "right.c3d").write_bytes(throw_file())
    (tmp_path / "left.c3d").write_bytes(throw_file("left"))
    (tmp_path / "cut.c3d").write_bytes(throw_file()[:-4000])
    return tmp_path


def run_in_a_bare_shell(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The real command in a process without any setting; a database that it opened would appear in its folder."""
    shell = {"PATH": os.environ["PATH"], "MOUNDBOOK_VAR": str(folder / "var")}
    return subprocess.run(
        [sys.executable, str(CHECKOUT / "manage.py"), "measure", *arguments],
        cwd=folder, env=shell, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


def call(*arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error; the test's database is out of reach, as in any test."""
    said, complained = io.StringIO(), io.StringIO()
    try:
        call_command("measure", *arguments, stdout=said, stderr=complained)
    except SystemExit as left:
        return int(left.code or 0), said.getvalue(), complained.getvalue()
    return 0, said.getvalue(), complained.getvalue()


def test_two_files_of_one_athlete_as_tables(folder):
    done = run_in_a_bare_shell(folder, "right.c3d", "right.c3d", *RIGHT)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("right.c3d: throw 1 of 1, right arm, release at ") == 2
    for metric in load_catalogue().metrics.values():
        assert (f"\n  {metric.name}  " in done.stdout) != metric.is_screen
    assert not (folder / "var").exists()


def test_a_file_that_gives_no_throw_is_named_on_standard_error_and_the_others_are_measured(folder):
    done = run_in_a_bare_shell(folder, "cut.c3d", "right.c3d", "gone.c3d", *RIGHT, "--json")
    assert done.returncode == 1
    cut, gone = done.stderr.splitlines()
    assert cut.startswith("cut.c3d: The recording is cut short: its header promises ")
    assert gone == "gone.c3d: There is no such file."
    files = json.loads(done.stdout)
    assert [(file["file"], len(file["throws"])) for file in files] == [
        ("cut.c3d", 0),
        ("right.c3d", 1),
        ("gone.c3d", 0),
    ]


WRONG_USE = {
    "no file": RIGHT,
    "no height": ("right.c3d", "--mass", "88", "--throws", "right"),
    "no side": ("right.c3d", *PERSON),
    "no such side": ("right.c3d", *PERSON, "--throws", "both"),
    "height in centimetres": ("right.c3d", "--height", "186", "--mass", "88", "--throws", "right"),
    "no such filter": ("right.c3d", *RIGHT, "--filter", "strong"),
}


def test_wrong_use_ends_with_2(folder):
    done = run_in_a_bare_shell(folder, *WRONG_USE["height in centimetres"])
    assert (done.returncode, done.stdout) == (2, "")
    assert "The height is in metres, such as 1.86; 0.8 to 2.5 is expected, not 186." in done.stderr


@pytest.mark.parametrize("name", WRONG_USE)
def test_wrong_use_is_refused_before_any_file_is_opened(name, monkeypatch):
    monkeypatch.setattr(COMMANDS_MEASURER, lambda: pytest.fail("a file would be opened"))
    with pytest.raises(CommandError):
        call(*WRONG_USE[name])


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_numbers_are_those_of_the_throw(side, folder, one_process):
    """Against the truth of the synthesised delivery, without filter and noise. How close is told elsewhere; here it
    matters that the right number stands in the right place, for either hand."""
    status, said, complained = call(
        str(folder / f"{side}.c3d"), *PERSON, "--throws", side, "--filter", "none", "--json"
    )  # fmt: skip
    assert (status, complained) == (0, "")
    (throw,) = json.loads(said)[0]["throws"]
    true = made(side).throw
    for name, moment in true.events.as_dict().items():
        assert throw["events"][name] == pytest.approx(moment, abs=0.012)
    compared = 0
    for key, expected in true.metrics("fp").items():
        metric, value = load_catalogue().metric(key), throw["metrics"][key]["value"]
        if metric.unit == "deg" and metric.moment not in {"fp", ""}:
            assert value == pytest.approx(expected, abs=4.0), key
            compared += 1
        if metric.unit == "% height":
            assert value == pytest.approx(expected, abs=1.5), key
            compared += 1
    assert compared > 25


@pytest.mark.parametrize(("words", "filter_hz"), [((), 13.4), (("--filter", "25"), 25.0)])
def test_the_filter_is_the_one_that_was_asked_for(words, filter_hz, folder, one_process):
    path = str(folder / "right.c3d")
    here = measure_bytes(throw_file(), path, Asked(HEIGHT_M, MASS_KG, "right", filter_hz))
    assert json.loads(call(path, *RIGHT, *words, "--json")[1]) == as_json([here])


def test_the_wrong_arm_is_told(folder, one_process):
    status, said, complained = call(str(folder / "left.c3d"), *RIGHT)
    assert (status, said) == (1, "")
    assert "left.c3d: The left arm throws here and right was given as the throwing side." in complained


def test_what_is_odd_about_a_file_without_a_throw_is_told_too(tmp_path, one_process):
    path = tmp_path / "still.c3d"
    path.write_bytes(c3d_file(Written(np.ones((100, 1, 3)), ["C7"], unit="furlong")))
    status, _, complained = call(str(path), *RIGHT)
    needed, unit = complained.splitlines()
    assert status == 1
    assert needed.startswith(f"{path}: These markers are needed and are not in the file: ")
    assert unit.startswith(f"{path}: The file gives its positions in “furlong”")


def test_a_folder_is_no_file(folder, one_process):
    assert call(str(folder), *RIGHT)[2] == f"{folder}: This is no file.\n"


def test_a_file_that_nobody_may_read_is_told(folder, one_process, monkeypatch):
    monkeypatch.setattr("os.access", lambda *_: False)
    assert call(str(folder / "right.c3d"), *RIGHT)[2].endswith(": You may not read this file. Ask whoever owns it.\n")


def asked() -> Asked:
    return Asked(HEIGHT_M, MASS_KG, "right")


def test_a_file_that_ends_the_measuring_process_costs_only_itself(folder, monkeypatch):
    measurer = Measurer()
    try:
        assert measurer.measure(folder / "right.c3d", asked()).throws
        first = measurer.child_pid
        os.kill(first, signal.SIGSTOP)
        measurer.wall_seconds = 0.5
        (stopped,) = measurer.measure(folder / "right.c3d", asked()).refusals
        assert stopped.startswith("This recording was too much for the reader: it took longer than 0.5 seconds")
        measurer.wall_seconds = 60
        assert measurer.measure(folder / "right.c3d", asked()).throws
        assert measurer.child_pid != first
    finally:
        measurer.close()


def test_a_file_beyond_the_size_is_refused_unread(tmp_path):
    with (tmp_path / "big.c3d").open("wb") as file:
        file.truncate(300_000_000)
    measurer = Measurer()
    (refusal,) = measurer.measure(tmp_path / "big.c3d", asked()).refusals
    measurer.close()
    assert refusal.startswith("The file has 300 MB and a recording may have 200 MB.")


MISFORTUNES = {
    "a mistake of ours": ("raise KeyError('inner detail')", "The reader could not make sense of this recording."),
    "no memory left": ("raise MemoryError", "This recording was too much for the reader: it needed more memory"),
    "a killed process": ("import os; os.kill(os.getpid(), 9)", "This recording was too much for the reader, which was"),
}


@pytest.mark.parametrize("name", MISFORTUNES)
def test_what_befalls_the_measuring_process_is_a_sentence(name, folder, monkeypatch, caplog):
    statement, start = MISFORTUNES[name]
    monkeypatch.setattr("sessions.formats.limited._spawn", lambda module: spawn(statement))
    measurer = Measurer()
    (refusal,) = measurer.measure(folder / "right.c3d", asked()).refusals
    measurer.close()
    assert refusal.startswith(start)
    assert "inner detail" not in refusal
    assert ("inner detail" in caplog.text) == (name == "a mistake of ours")


def spawn(statement: str) -> subprocess.Popen[bytes]:
    """The real child, which does `statement` in place of measuring."""
    body = f"""
from metrics.measuring import child

def fail(*_):
    {statement}

child.measure_bytes = fail
child.main()
"""
    return subprocess.Popen(
        [sys.executable, "-c", body, str(os.getpid())],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0, cwd=CHECKOUT,
    )  # fmt: skip
