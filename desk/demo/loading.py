"""Loads the demo's files by the path that a coach's own files take: receive, read, match once, accept."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.conf import settings

from athletes.models import User
from desk.demo.days import Visit
from desk.demo.files import DemoFile
from desk.demo.recordings import ROOM, recordings_of
from metrics.importing.recipes import Recipe
from metrics.models import ImportDraft
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.imports.answers import save_recipe
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSetup, Upload
from sessions.services.uploads import receive_upload

# What a coach says of each room's numbers when its columns are matched.
ROOMS: dict[str, dict[str, Any]] = {
    "North room": {"landing": "fc", "filter_hz": 13.4, "filter_known": True, "method": "motion_capture"},
    "Remote video": {"landing": "fc", "filter_known": False, "method": "video"},
    "Treatment table": {"method": "hands_on"},
}
TRIES, PAUSE_S = 120, 0.5
FRAME_RATE_HZ = {"North room": 240.0, "Remote video": 120.0}


def write_files(files: Iterable[DemoFile]) -> Path:
    """Leaves the files where a curious person finds them, beside the data."""
    folder = settings.VAR_DIR / "demo-files"
    folder.mkdir(parents=True, exist_ok=True)
    for file in files:
        (folder / file.name).write_bytes(file.data)
    return folder


def receive(file: DemoFile, by: User, options: dict[str, str] | None = None) -> Upload:
    return receive_upload(chunks=[file.data], filename=file.name, by=by, options=options).upload


def load(upload: Upload, room: str) -> Upload:
    """Reads, matches when the header is new, and accepts what has no question; safe to run again."""
    read_upload(upload.pk)
    upload.refresh_from_db()
    if upload.state == Upload.State.NEEDS_MATCH:
        match_as_suggested(upload, room)
        read_upload(upload.pk)
        upload.refresh_from_db()
    if upload.state == Upload.State.READY and upload.uploaded_by:
        accept(upload=upload, by=upload.uploaded_by)
    accept_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def is_unfinished(upload: Upload) -> bool:
    """Whether `load` has to come back: another worker read the file just now, and may have made it ready since."""
    return upload.is_working or upload.state == Upload.State.READY


def match_as_suggested(upload: Upload, room: str) -> None:
    """The coach's match: the program's suggestions, and what the room's numbers were written for."""
    assert upload.uploaded_by is not None
    for sheet in ImportDraft.objects.get(upload=upload).layouts:
        save_recipe(
            upload=upload,
            fingerprint=sheet["fingerprint"],
            recipe=Recipe.from_json({**sheet["first_recipe"], **ROOMS[room]}),
            name=room,
            setup=room,
            frame_rate_hz=FRAME_RATE_HZ.get(room),
            by=upload.uploaded_by,
        )


def create_marker_hall() -> CaptureSetup:
    """The setup of the room that records markers; its names are the usual ones."""
    setup, _ = CaptureSetup.objects.get_or_create(name=ROOM, defaults={"home": "+X", "up": "+Z"})
    return setup


def record_visit(visit: Visit, today: dt.date, *, tiny: bool = False) -> None:
    """The recordings of a visit, received, read and accepted one by one."""
    coach, setup = User.objects.get(username="coach"), create_marker_hall()
    files = list(recordings_of(visit, today, tiny=tiny))
    write_files(files)
    for file in files:
        load_to_the_end(receive(file, coach, {"setup": str(setup.uuid)}), ROOM)


def load_to_the_end(upload: Upload, room: str) -> None:
    """Comes back while another worker reads the file; gives up after a minute, and a person finds it on Upload."""
    for _ in range(TRIES):
        if not is_unfinished(load(upload, room)):
            return
        time.sleep(PAUSE_S)


def left_for_the_coach(today: dt.date) -> list[DemoFile]:
    """Files that nobody answered yet: an unknown header, a name that nobody has, and something that is no table."""
    day = today - dt.timedelta(days=1)
    unknown_header = (
        "Name;Session date;Throw no;ElbFlx@FC;ShER@FC;MaxER;StrideLen;TrkFwd@REL\n"
        ";;;rad;rad;rad;%BH;rad\n"
        + "".join(
            f"Dragan Mwangi;{day};{n};{1.60 + n / 50:.3f};{0.92 + n / 90:.3f};{2.98 + n / 99:.3f};{80 + n / 3:.1f};"
            f"{0.60 + n / 80:.3f}\n"
            for n in range(1, 9)
        )
    )
    return [
        DemoFile("south-cage-export.csv", "", "motion_capture", day, unknown_header.encode()),
        DemoFile("photo-of-whiteboard.csv", "", "motion_capture", day, b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8),
    ]
