"""The reading process: hostile files do not end it, killing it costs one file, and it outlives nobody."""

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import psutil
import pytest

from sessions.formats import ReaderDied, ReadResult, UnreadableFile, read_layouts, wire
from sessions.formats.reader import Reader
from tests.sessions.formats import hostile, table_writer

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def shared_reader():
    reader = Reader()
    yield reader
    reader.close()


@pytest.fixture
def reader():
    reader = Reader(wall_seconds=5)
    yield reader
    reader.close()


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "stored"
    path.write_bytes(table_writer.as_text(table_writer.wide()).encode())
    return path


def slow_file(folder: Path) -> Path:
    """A file that is never all there: reading the pipe waits until somebody ends the reader."""
    path = folder / "never"
    os.mkfifo(path)
    return path


def wait_until(condition, seconds: float = 5.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if condition():
            return True
        threading.Event().wait(0.01)
    return False


def test_answer_is_that_of_reading_here(shared_reader, table):
    assert shared_reader.read(table, "throws.csv") == read_layouts(table.read_bytes(), "throws.csv")
    told = shared_reader.read(table, "throws.csv", encoding="cp1252", delimiter=";", decimal_mark=",")
    assert told.file.encoding == "cp1252"


def test_process_survives_every_hostile_file(shared_reader, tmp_path, table):
    shared_reader.read(table, "throws.csv")
    first = shared_reader.child_pid
    path = tmp_path / "upload"
    for make, filename, code, _ in hostile.REFUSED.values():
        path.write_bytes(make())
        with pytest.raises(UnreadableFile) as refused:
            shared_reader.read(path, filename)
        assert refused.value.code == code
    for make, filename, _ in hostile.TOLD.values():
        path.write_bytes(make())
        assert isinstance(shared_reader.read(path, filename), ReadResult)
    assert shared_reader.child_pid == first
    assert psutil.Process(first).memory_info().rss < 512_000_000


def test_killed_in_mid_file_it_says_so_and_comes_back(reader, tmp_path, table):
    reader.read(table, "a.csv")
    first = reader.child_pid
    killer = threading.Timer(0.2, os.kill, (first, signal.SIGKILL))
    killer.start()
    with pytest.raises(ReaderDied) as died:
        reader.read(slow_file(tmp_path), "a.csv")
    killer.join()
    assert died.value.code == "reader_died"
    assert died.value.sentence.startswith("This file was too much for the reader")
    assert reader.read(table, "a.csv").layouts
    assert reader.child_pid != first


def test_killed_between_files_nobody_notices(reader, table):
    reader.read(table, "a.csv")
    first = reader.child_pid
    os.kill(first, signal.SIGKILL)
    assert wait_until(lambda: reader.child_pid is None)
    assert reader.read(table, "a.csv").layouts


def test_file_that_takes_too_long_is_stopped(tmp_path, table):
    reader = Reader(wall_seconds=1)
    reader.read(table, "a.csv")
    first = reader.child_pid
    with pytest.raises(ReaderDied, match="took longer than 1 seconds") as died:
        reader.read(slow_file(tmp_path), "a.csv")
    assert died.value.code == "too_much_time"
    assert not psutil.pid_exists(first)
    assert reader.read(table, "a.csv").layouts
    reader.close()


def test_closed_reader_leaves_no_process_and_opens_again(reader, table):
    reader.read(table, "a.csv")
    first = reader.child_pid
    reader.close()
    assert not psutil.pid_exists(first)
    assert reader.read(table, "a.csv").layouts


def test_missing_file_is_the_callers_mistake(shared_reader, tmp_path):
    with pytest.raises(FileNotFoundError):
        shared_reader.read(tmp_path / "nowhere", "a.csv")


def test_threads_share_one_process(reader, table):
    found: list[tuple[int, int | None]] = []

    def read():
        found.append((len(reader.read(table, "a.csv").layouts), reader.child_pid))

    threads = [threading.Thread(target=read) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 6
    assert len(set(found)) == 1


def test_process_outlives_the_thread_that_started_it(reader, table):
    """The kernel sends the parent's death signal when the thread that forked ends."""
    starter = threading.Thread(target=reader.read, args=(table, "a.csv"))
    starter.start()
    starter.join()
    first = reader.child_pid
    assert first is not None
    assert reader.read(table, "a.csv").layouts
    assert reader.child_pid == first


def run_apart(body: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(body), *arguments], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )


def test_process_dies_with_its_parent_also_in_mid_file(table, tmp_path):
    parent = run_apart(
        """
        import sys
        from sessions.formats.reader import Reader
        reader = Reader()
        reader.read(sys.argv[1], "a.csv")
        print(reader.child_pid, flush=True)
        reader.read(sys.argv[2], "a.csv")
        """,
        str(table),
        str(slow_file(tmp_path)),
    )
    assert parent.stdout is not None
    child = int(parent.stdout.readline())
    assert psutil.pid_exists(child)
    parent.kill()
    parent.wait()
    parent.stdout.close()
    assert wait_until(lambda: not psutil.pid_exists(child) or psutil.Process(child).status() == psutil.STATUS_ZOMBIE)


def test_forked_worker_starts_its_own(table):
    parent = run_apart(
        """
        import os, sys
        from sessions.formats.reader import Reader
        reader = Reader()
        reader.read(sys.argv[1], "a.csv")
        first = reader.child_pid
        worker = os.fork()
        if worker == 0:
            reader.read(sys.argv[1], "a.csv")
            own = reader.child_pid
            reader.close()
            os._exit(0 if own and own != first else 1)
        _, status = os.waitpid(worker, 0)
        same = bool(reader.read(sys.argv[1], "a.csv").layouts) and reader.child_pid == first
        print(os.waitstatus_to_exitcode(status), same, flush=True)
        """,
        str(table),
    )
    said, _ = parent.communicate(timeout=30)
    assert said.split() == ["0", "True"]


def test_process_knows_no_secrets_loads_no_framework_and_is_limited(reader, table, monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "not for readers")
    reader.read(table, "a.csv")
    child = psutil.Process(reader.child_pid)
    assert "not for readers" not in child.environ().values()
    assert child.rlimit(psutil.RLIMIT_AS) == (1 << 30, 1 << 30)
    assert child.rlimit(psutil.RLIMIT_FSIZE) == (0, 0)
    assert child.rlimit(psutil.RLIMIT_NOFILE)[1] <= 32
    assert child.rlimit(psutil.RLIMIT_CPU)[0] < 60
    loaded = {Path(mapped.path).name for mapped in child.memory_maps()}
    assert not any("numpy" in name or "multiarray" in name for name in loaded)


def test_reader_side_imports_neither_framework_nor_settings():
    body = """
    import sessions.formats.child, sys
    print({name.split(".")[0] for name in sys.modules} & {"django", "config", "celery", "numpy", "pandas"})
    """
    apart = run_apart(body)
    assert apart.communicate(timeout=30)[0].strip() == "set()"


def test_far_too_big_file_is_refused_unread(shared_reader, tmp_path):
    path = tmp_path / "big"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(UnreadableFile, match=r"The file has 200 MB and tables may have 40 MB\."):
        shared_reader.read(path, "a.csv")


def run_child_body(body: str) -> int:
    """Runs a few lines under the child's own limits; the return code."""
    return subprocess.run([sys.executable, "-c", textwrap.dedent(body)], cwd=ROOT, stderr=subprocess.DEVNULL).returncode


def test_processor_time_is_counted_for_each_file_anew():
    body = """
    import time
    from sessions.formats.child import allow_cpu_time
    def burn(seconds):
        end = time.process_time() + seconds
        while time.process_time() < end: pass
    for _ in range(2):
        allow_cpu_time({allowed})
        burn(1.2)
    """
    # Wide of the limit: a busy machine charges a process for more than it had.
    assert run_child_body(body.format(allowed=2)) == 0
    assert run_child_body(body.format(allowed=-1)) == -signal.SIGXCPU


def test_memory_beyond_the_limit_is_refused_and_nothing_is_written(tmp_path):
    body = f"""
    from sessions.formats.child import limit_process
    limit_process()
    try:
        bytearray(2 << 30)
    except MemoryError:
        pass
    else:
        raise SystemExit(3)
    try:
        with open({str(tmp_path / "x")!r}, "w") as file:
            file.write("x")
    except OSError:
        raise SystemExit(0)
    raise SystemExit(4)
    """
    assert run_child_body(body) == 0


def test_out_of_memory_is_told_and_a_fresh_process_takes_over(reader, table, monkeypatch):
    monkeypatch.setattr("sessions.formats.limited._spawn", lambda module: spawn_with("raise MemoryError"))
    with pytest.raises(ReaderDied) as died:
        reader.read(table, "a.csv")
    assert died.value.code == "too_much_memory"
    monkeypatch.undo()
    assert reader.read(table, "a.csv").layouts


def test_our_own_mistake_goes_to_the_log_and_never_to_the_page(reader, table, monkeypatch, caplog):
    monkeypatch.setattr("sessions.formats.limited._spawn", lambda module: spawn_with("raise KeyError('inner detail')"))
    with pytest.raises(UnreadableFile) as refused:
        reader.read(table, "a.csv")
    assert refused.value.code == "reader_failed"
    assert "inner detail" not in refused.value.sentence
    assert "inner detail" in caplog.text


def spawn_with(statement: str) -> subprocess.Popen[bytes]:
    """The real child, whose reading function does `statement`."""
    body = f"""
    import sys
    from sessions.formats import child
    def fail(*args, **kwargs):
        {statement}
    child.read_layouts = fail
    child.main()
    """
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(body), str(os.getpid())],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0, cwd=ROOT,
    )  # fmt: skip


def test_message_arrives_whole_and_a_broken_one_is_a_closed_end():
    reading, writing = os.pipe()
    sender = threading.Thread(target=wire.send, args=(writing, {"text": "å" * 300_000}))
    sender.start()
    assert wire.receive(reading) == {"text": "å" * 300_000}
    sender.join()
    os.write(writing, (1 << 62).to_bytes(8, "big"))
    with pytest.raises(wire.Closed):
        wire.receive(reading)
    with pytest.raises(wire.TooSlow):
        wire.receive(reading, time.monotonic() + 0.01)
    os.write(writing, (2).to_bytes(8, "big") + b"[]")
    with pytest.raises(wire.Closed):
        wire.receive(reading)
    os.close(writing)
    with pytest.raises(wire.Closed):
        wire.receive(reading)
    os.close(reading)
