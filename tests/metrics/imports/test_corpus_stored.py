"""Files of the corpus from upload to the database: what is stored is what the truth says."""

from __future__ import annotations

import pytest

from metrics.catalogue import load_catalogue
from metrics.models import Reading
from metrics.services.imports.answers import choose_athlete, leave_sheet_out
from sessions.models import Throw, Upload
from tests.corpus.files import MAKERS
from tests.corpus.made import CorpusFile, Size
from tests.factories import AthleteFactory, ExternalIdFactory

KINDS = ("wide_french", "wide_unicode_text", "long_from_a_program", "book_of_formulas", "sheets_of_days")

Stored = tuple[str, str, int, str]
"""Code of the athlete, ISO date, throw's number, reading key."""


@pytest.fixture
def throwers(db):
    """The first two people of the corpus by the codes that its tables may use."""
    people = {
        "P-014": AthleteFactory(given_name="Jonas", family_name="Albrecht"),
        "P-022": AthleteFactory(given_name="Mateo", family_name="Ferrán"),
    }
    for code, athlete in people.items():
        ExternalIdFactory(athlete=athlete, value=code)
    return people


def accept_as_a_coach_would(room, upload: Upload, file: CorpusFile, throwers) -> Upload:
    """Keeps the match, leaves sheets of words out, says whose throws they are where only a name says it."""
    upload = room.match(upload, landing=file.landing)
    for sheet in room.draft(upload).layouts:
        if not sheet["recipe"]:
            leave_sheet_out(draft=room.draft(upload), fingerprint=sheet["fingerprint"])
    by_name = {str(athlete): athlete for athlete in throwers.values()}
    for unit in room.units(upload):
        if unit.athlete is None:
            choose_athlete(unit=unit, athlete=by_name[unit.athlete_reference["words"]], by=room.coach)
    return room.accept(upload)


def stored_values(throwers) -> dict[Stored, float]:
    codes = {athlete.pk: code for code, athlete in throwers.items()}
    found = {}
    for throw in Throw.objects.select_related("session"):
        at = (codes[throw.session.athlete_id], throw.session.date.isoformat(), throw.number)
        found[(*at, "ball_speed@br")] = throw.ball_speed_m_s
        for reading in Reading.objects.filter(throw=throw):
            found |= {(*at, key): kept["value"] for key, kept in reading.values.items() if "value" in kept}
    return {place: value for place, value in found.items() if value is not None}


def true_values(file: CorpusFile) -> dict[Stored, float]:
    codes = {"Jonas Albrecht": "P-014", "Mateo Ferrán": "P-022"}
    metric = load_catalogue().metric
    return {
        (
            codes.get(one.athlete, one.athlete),
            one.day.isoformat(),
            one.throw,
            f"{one.metric}@{metric(one.metric).moment_for(file.landing)}",
        ): one.value
        for one in file.expected
    }


@pytest.mark.parametrize("name", KINDS)
def test_what_is_stored_of_a_file_is_its_truth(room, throwers, name):
    file = MAKERS[name](Size(athletes=2, throws=3))
    upload = accept_as_a_coach_would(room, room.upload(file.data, file.name), file, throwers)

    assert upload.state == Upload.State.ACCEPTED
    assert stored_values(throwers) == pytest.approx(true_values(file), rel=1e-9)


def test_a_sheet_left_out_stays_out_when_another_is_matched(room, throwers):
    file = MAKERS["sheets_of_days"](Size(athletes=2, throws=3))
    upload = room.upload(file.data, file.name)
    words = next(sheet for sheet in room.draft(upload).layouts if sheet["sheet"] == "Info")
    leave_sheet_out(draft=room.draft(upload), fingerprint=words["fingerprint"])

    assert room.match(upload, landing=file.landing).state == Upload.State.NEEDS_ANSWER  # who threw, and no match
