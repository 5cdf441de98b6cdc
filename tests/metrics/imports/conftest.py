"""Small tables of the shapes that capture rooms export, typed here, and the path from bytes to sessions."""

from __future__ import annotations

import pytest

from athletes.models import User
from metrics.importing.recipes import Recipe
from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.imports.answers import save_recipe
from metrics.services.imports.reading import read_upload
from sessions.models import Upload
from sessions.services.uploads import receive_upload
from tests import factories
from tests.factories import AthleteFactory, ExternalIdFactory

HEADER = "Athlete,ID,Date,Throw,Elbow flexion at foot contact,Shoulder external rotation FC,Max layback,Stride length\n"
UNITS = ",,,,deg,deg,deg,% height\n"


def rows(name: str, external_id: str, date: str, throws: int = 6, start: float = 92.0) -> str:
    """`throws` rows of one athlete; the elbow rises by half a degree a throw."""
    who = f"{name},{external_id},{date}"
    return "".join(
        f"{who},{number},{start + number / 2},{52 + number % 3},{171 + number % 4},{78 + number % 2}\n"
        for number in range(1, throws + 1)
    )


@pytest.fixture
def originals(settings, tmp_path):
    settings.ORIGINALS_DIR = tmp_path / "originals"
    return settings.ORIGINALS_DIR


@pytest.fixture
def profiles(db, facility):
    return factories.starting_profiles()


@pytest.fixture
def pair(db):
    """Two athletes whom the tables name by id."""
    one = AthleteFactory(given_name="Tove", family_name="Marrin")
    two = AthleteFactory(given_name="Ikem", family_name="Doull")
    ExternalIdFactory(athlete=one, value="TM-1")
    ExternalIdFactory(athlete=two, value="ID-2")
    return one, two


def _has_metrics(sheet: dict) -> bool:
    return any(each["role"] in ("metric", "metric_value") for each in sheet["suggestions"])


class Room:
    """What a coach does with one file, step by step."""

    def __init__(self, coach: User) -> None:
        self.coach = coach

    def upload(self, text: str | bytes, filename: str = "room.csv") -> Upload:
        data = text.encode() if isinstance(text, str) else text
        upload = receive_upload(chunks=[data], filename=filename, by=self.coach).upload
        read_upload(upload.pk)
        return self.fresh(upload)

    def match(self, upload: Upload, **changes: object) -> Upload:
        """Keeps the suggested match of every sheet with metrics as it stands, with `changes` to the recipe."""
        for sheet in filter(_has_metrics, self.draft(upload).layouts):
            stored = {**sheet["first_recipe"], **changes}
            save_recipe(
                upload=upload,
                fingerprint=sheet["fingerprint"],
                recipe=Recipe.from_json(stored),
                name="North room",
                setup="North room",
                frame_rate_hz=240.0,
                by=self.coach,
            )
        read_upload(upload.pk)
        return self.fresh(upload)

    def accept(self, upload: Upload) -> Upload:
        accept(upload=upload, by=self.coach)
        accept_upload(upload.pk)
        return self.fresh(upload)

    def draft(self, upload: Upload) -> ImportDraft:
        return ImportDraft.objects.get(upload=upload)

    def units(self, upload: Upload) -> list[ImportUnit]:
        return list(ImportUnit.objects.filter(draft__upload=upload).order_by("ordinal"))

    def fresh(self, upload: Upload) -> Upload:
        return Upload.everything.get(pk=upload.pk)


@pytest.fixture
def room(coach, originals, profiles) -> Room:
    return Room(coach)
