"""Hostile files on the way that a coach's file takes: through the door, the reader's process, and the page.

Nothing of them is stored but the bytes as they came and the sentence that says what is wrong.
"""

from __future__ import annotations

import html

import psutil
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports import reading
from sessions.models import CaptureSession, OriginalFile, Throw, Upload
from tests.sessions.formats import hostile

GOOD = b"Athlete,Date,Throw,Elbow flexion FP\nTove Marrin,2026-03-02,1,92\nTove Marrin,2026-03-02,2,93\n"
MOST_MEMORY = 512_000_000
AT_THE_DOOR = {
    "nothing": (lambda: b"", "is empty (0 bytes)"),
    "more than two hundred megabytes": (lambda: bytes(200 * 1024 * 1024 + 1), "is larger than 200 MB"),
}


@pytest.fixture
def desk(client_of, coach, facility, originals):
    return client_of(coach)


def send(desk, data: bytes, filename: str):
    file = SimpleUploadedFile(filename, data)
    return desk.post(reverse("sessions:upload-receive"), {"table_files": [file]}, headers={"X-Requested-With": "fetch"})


def receive(desk, data: bytes, filename: str) -> Upload:
    """The file at the door and through the reader. AssertionError when the door does not take it."""
    answer = send(desk, data, filename)
    assert answer.status_code == 200, answer.content
    upload = Upload.objects.get(uuid=answer.json()["url"].split("/")[2])
    reading.read_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def page_of(desk, upload: Upload) -> str:
    answer = desk.get(reverse("metrics:import", args=[upload.uuid]))
    assert answer.status_code == 200
    return answer.content.decode()


def assert_nothing_became_of_it() -> None:
    for model in (ImportUnit, CaptureSession, Throw):
        assert not model.objects.exists()


def assert_reader_lives(desk) -> None:
    assert receive(desk, GOOD, "good.csv").state == Upload.State.NEEDS_MATCH
    pid = reading.reader.child_pid
    assert pid is not None
    assert psutil.Process(pid).memory_info().rss < MOST_MEMORY


@pytest.mark.parametrize("name", [name for name in hostile.REFUSED if name != "empty"])
def test_a_hopeless_file_leaves_its_bytes_and_a_sentence(desk, originals, name):
    make, filename, code, piece = hostile.REFUSED[name]
    data = make()
    upload = receive(desk, data, filename)

    assert (upload.state, upload.error_code) == (Upload.State.REFUSED, code)
    assert piece in upload.error_sentence
    assert html.escape(upload.error_sentence) in page_of(desk, upload)
    assert_nothing_became_of_it()
    assert not ImportDraft.objects.exists()
    assert [path.read_bytes() == data for path in originals.iterdir()] == [True]
    assert_reader_lives(desk)


@pytest.mark.parametrize("name", AT_THE_DOOR)
def test_what_no_table_can_be_is_stopped_at_the_door(desk, originals, name):
    make, piece = AT_THE_DOOR[name]
    answer = send(desk, make(), "a.csv")
    assert 400 <= answer.status_code < 500
    assert f"“a.csv” {piece}" in answer.json()["error"]
    assert not OriginalFile.objects.exists()
    assert not originals.exists() or not list(originals.iterdir())
    assert_reader_lives(desk)


@pytest.mark.parametrize("name", hostile.TOLD)
def test_an_odd_file_waits_for_a_person_with_its_oddity_told(desk, name):
    make, filename, code = hostile.TOLD[name]
    upload = receive(desk, make(), filename)

    assert upload.state in (Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER)
    codes = {problem["code"] for problem in ImportDraft.objects.get(upload=upload).problems}
    assert codes == set() if code == "" else code in codes
    assert page_of(desk, upload)
    assert_nothing_became_of_it()
    assert_reader_lives(desk)
