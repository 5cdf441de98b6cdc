"""Hostile files on the whole way of a coach's file: door, store, limited reader, draft, page."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path

import psutil
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from metrics.models import Finding, ImportDraft, ImportUnit, Reading
from metrics.services.imports.reading import reader
from sessions.models import CaptureSession, OriginalFile, Throw, Upload
from sessions.tasks import run_stage
from tests.metrics.imports.hostile_files import HOSTILE, Fate, Hostile

MEMORY_MB = 512
ANSWER_CPU_S = 2.0
SLACK = 4.0
"""Processors differ, and so does what else they do: this many times the goal fails, and only that."""

GOOD = b"Athlete,Throw,Stride length\nTove Marrin,1,0.8\n"


@dataclass(slots=True)
class Cost:
    """What the reading process took for one file: its most memory, and processor time of both processes."""

    memory_mb: float
    cpu_s: float
    wall_s: float


@dataclass(slots=True)
class Costs:
    of: dict[str, Cost] = field(default_factory=dict)

    def worst(self, quantity: str) -> str:
        name = max(self.of, key=lambda each: getattr(self.of[each], quantity))
        return f"{getattr(self.of[name], quantity):.2f} ({name})"


@pytest.fixture(scope="module")
def costs() -> Iterator[Costs]:
    """Tells at the end what the worst files took; the numbers are for people, the tests hold wider limits."""
    found = Costs()
    yield found
    if found.of:
        told = ", ".join(f"{quantity} {found.worst(quantity)}" for quantity in ("memory_mb", "cpu_s", "wall_s"))
        print(f"\n{len(found.of)} hostile files; worst: {told}")


class Door:
    """A coach who sends a file as the page's script does; the worker's task is run by hand."""

    def __init__(self, client, folder: Path) -> None:
        self.client, self.folder = client, folder

    def send(self, data: bytes, filename: str):
        file = SimpleUploadedFile("any", data)
        file._name = filename  # the class cuts what a browser may send
        return self.client.post(
            reverse("sessions:upload-receive"), {"table_files": [file]}, headers={"X-Requested-With": "fetch"}
        )

    def read(self, data: bytes, filename: str) -> Upload:
        answer = self.send(data, filename)
        assert answer.status_code == 200, answer.content
        upload = Upload.objects.get(original__sha256=hashlib.sha256(data).hexdigest())
        run_stage("read", upload.pk)
        upload.refresh_from_db()
        return upload

    def page(self, upload: Upload) -> str:
        answer = self.client.get(reverse("metrics:import", args=[upload.uuid]), {"problems": "all"})
        assert answer.status_code == 200
        return answer.content.decode()

    def kept(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.folder.rglob("*") if path.is_file()}


@pytest.fixture
def door(client_of, coach, profiles, originals, settings, tmp_path) -> Door:
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path / "arriving"
    settings.FILE_UPLOAD_TEMP_DIR.mkdir()
    return Door(client_of(coach), originals)


@pytest.fixture(scope="module", autouse=True)
def reader_ends() -> Iterator[None]:
    yield
    reader.close()


def reading_process(door: Door) -> psutil.Process:
    """The reader's process, started by a good file where there is none."""
    path = door.folder.parent / "good.csv"
    path.write_bytes(GOOD)
    assert reader.read(path, "good.csv").layouts[0].row_numbers == (2,)
    assert reader.child_pid is not None
    return psutil.Process(reader.child_pid)


def forget_most_memory(process: psutil.Process) -> None:
    Path(f"/proc/{process.pid}/clear_refs").write_text("5")  # proc(5): resets VmHWM


def most_memory_mb(process: psutil.Process) -> float:
    lines = Path(f"/proc/{process.pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM:"))


def processor_time(process: psutil.Process) -> float:
    times = process.cpu_times()
    return times.user + times.system + time.process_time()


def results_stored() -> dict[str, int]:
    models = (ImportUnit, CaptureSession, Throw, Reading, Finding)
    return {model.__name__: count for model in models if (count := model.objects.count())}


@pytest.mark.parametrize("name", [name for name, row in HOSTILE.items() if row.fate is not Fate.TURNED_AWAY])
def test_hostile_file_is_answered_and_hurts_nothing(door, costs, name):
    row = HOSTILE[name]
    data = row.maker()
    process = reading_process(door)
    forget_most_memory(process)
    began, before = time.monotonic(), processor_time(process)

    upload = door.read(data, row.filename)

    cost = Cost(most_memory_mb(process), processor_time(process) - before, time.monotonic() - began)
    costs.of[name] = cost
    assert_answered(door, upload, row)
    assert_only_the_original_is_kept(door, upload, data, row)
    assert cost.memory_mb < MEMORY_MB
    assert cost.cpu_s < SLACK * ANSWER_CPU_S
    assert reading_process(door).pid == process.pid


def assert_answered(door: Door, upload: Upload, row: Hostile) -> None:
    page = door.page(upload)
    assert "<script>alert" not in page
    assert len(page) < 4_000_000  # 300 columns, each with the list of all metrics
    if row.fate is Fate.REFUSED:
        assert upload.state == Upload.State.REFUSED, (upload.state, upload.draft.problems)
        assert upload.error_sentence.endswith(".")
        assert row.sentence in upload.error_sentence
        assert upload.error_sentence in unescape(page)
    else:
        assert upload.state in (Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER), upload.error_sentence
        told = page if "&lt;" in row.sentence else unescape(page)
        assert row.sentence in told, [problem["sentence"] for problem in upload.draft.problems]


def assert_only_the_original_is_kept(door: Door, upload: Upload, data: bytes, row: Hostile) -> None:
    assert door.kept() == {upload.original.stored_name: data}
    assert list((door.folder.parent / "arriving").iterdir()) == []
    assert results_stored() == {}
    assert ImportDraft.objects.count() == (1 if row.fate is Fate.READ else 0)


@pytest.mark.parametrize("name", [name for name, row in HOSTILE.items() if row.fate is Fate.TURNED_AWAY])
def test_what_the_door_turns_away_leaves_nothing(door, name):
    row = HOSTILE[name]
    answer = door.send(row.maker(), row.filename)
    assert answer.status_code == 400
    assert row.sentence in answer.json()["error"]
    assert (door.kept(), Upload.everything.count(), OriginalFile.objects.count()) == ({}, 0, 0)


def test_the_table_holds_as_many_as_it_should():
    assert sum(row.fate is Fate.REFUSED for row in HOSTILE.values()) >= 60
