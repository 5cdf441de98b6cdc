"""Recordings of synthesised deliveries, and the path from their bytes to a session."""

from __future__ import annotations

import datetime as dt
import json
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import orjson
import pytest

from athletes.models import User
from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.imports.reading import read_upload
from metrics.services.motion.reading import measurer
from sessions.models import CaptureSession, Upload
from sessions.services.uploads import receive_upload
from tests import factories
from tests.factories import AthleteFactory
from tests.synthesis import Body, Delivery, Recording, Room, c3d_bytes, record, style_of

DAY = dt.date(2026, 4, 14)
HEIGHT_M, MASS_KG = 1.86, 88.0


@cache
def delivery(side: str = "right", habit: str = "") -> Recording:
    """A college pitcher's throw of 3 s at 240 frames a second."""
    style = style_of("college", habit) if habit else style_of("college")
    return record(Delivery(Body(height=HEIGHT_M, mass=MASS_KG), style), Room(rate_hz=240.0, unit="mm", side=side))


@cache
def throw_bytes(side: str = "right", habit: str = "", number: int = 0) -> bytes:
    """`number`: files of the same throw whose bytes differ."""
    return c3d_bytes(delivery(side, habit)) + bytes(512 * number)


def renamed_bytes(names: dict[str, str]) -> bytes:
    """The same throw, its markers named in a room's own way."""
    recording = delivery()
    return c3d_bytes(recording.but(labels=tuple(names.get(label, label) for label in recording.labels)))


@pytest.fixture(autouse=True)
def folders(settings, tmp_path) -> Path:
    settings.ORIGINALS_DIR = tmp_path / "originals"
    settings.RECORDINGS_DIR = tmp_path / "recordings"
    return tmp_path


@pytest.fixture
def profiles(db, facility):
    return factories.starting_profiles()


@pytest.fixture
def pitcher(db, facility):
    return AthleteFactory(
        given_name="Tove",
        family_name="Marrin",
        birth_date=dt.date(2005, 5, 1),
        level="college",
        body_size={"height_cm": 100 * HEIGHT_M, "mass_kg": MASS_KG},
    )


class CaptureRoom:
    """What a coach does with recordings, step by step."""

    def __init__(self, coach: User) -> None:
        self.coach = coach

    def upload(self, data: bytes, filename: str = "throw.c3d", **fields: object) -> Upload:
        upload = receive_upload(chunks=[data], filename=filename, by=self.coach).upload
        Upload.objects.filter(pk=upload.pk).update(**fields)
        read_upload(upload.pk)
        return self.fresh(upload)

    def unit(self, upload: Upload) -> ImportUnit:
        return ImportUnit.objects.get(draft__upload=upload)

    def accept(self, upload: Upload) -> Upload:
        accept(upload=upload, by=self.coach)
        accept_upload(upload.pk)
        return self.fresh(upload)

    def session(self, upload: Upload) -> CaptureSession:
        return CaptureSession.objects.get(throws__source_upload=upload)

    def draft(self, upload: Upload) -> ImportDraft:
        return ImportDraft.objects.get(upload=upload)

    def fresh(self, upload: Upload) -> Upload:
        return Upload.objects.get(pk=upload.pk)

    def throw_of(self, athlete, data: bytes | None = None, filename: str = "throw.c3d") -> Upload:
        """A recording all the way to a session."""
        upload = self.upload(data or throw_bytes(), filename)
        ImportUnit.objects.filter(draft__upload=upload).update(athlete=athlete, date=DAY)
        return self.accept(upload)


_answers: dict[str, bytes] = {}


@pytest.fixture
def measured_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The measuring process is asked once for the same bytes in the same way; refusals and deaths it answers anew."""
    ask = measurer.ask

    def remembered(request: dict[str, Any]) -> dict[str, Any]:
        content = sha256(Path(request["path"]).read_bytes()).hexdigest()
        key = content + json.dumps(request | {"path": ""}, sort_keys=True)
        if key not in _answers:
            _answers[key] = orjson.dumps(ask(request))
        answer: dict[str, Any] = orjson.loads(_answers[key])
        return answer

    monkeypatch.setattr(measurer, "ask", remembered)


@pytest.fixture
def room(coach, profiles, measured_once) -> CaptureRoom:
    return CaptureRoom(coach)
