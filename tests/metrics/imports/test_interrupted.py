"""Whatever line a worker dies at: run again, the rows are those of an undisturbed run, once."""

from __future__ import annotations

from typing import Any

import pytest

from metrics.models import Finding, ImportUnit, Reading, Scoring, Standing
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSession, SessionExtract, Throw, Upload
from sessions.services.uploads import receive_upload
from sessions.tasks import retake_stale_claims
from tests.metrics.imports.conftest import HEADER, UNITS, rows
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone


def everything_stored() -> dict[str, list[Any]]:
    """All that accepting writes, without keys and times."""
    return {
        "uploads": list(Upload.objects.values_list("filename", "state")),
        "units": list(ImportUnit.objects.order_by("ordinal").values_list("ordinal", "state", "session__date")),
        "sessions": list(
            CaptureSession.objects.order_by("athlete", "date").values_list(
                "athlete", "date", "ordinal", "input_revision"
            )
        ),
        "throws": list(Throw.objects.order_by("session__athlete", "number").values_list("session__athlete", "number")),
        "readings": sorted(
            (athlete, number, repr(values))
            for athlete, number, values in Reading.objects.values_list(
                "throw__session__athlete", "throw__number", "values"
            )
        ),
        "extracts": list(SessionExtract.objects.order_by("session__athlete").values_list("session__athlete", "rows")),
        "scorings": list(
            Scoring.objects.order_by("session__athlete").values_list("session__athlete", "scored_revision")
        ),
        "findings": list(
            Finding.objects.order_by("session__athlete", "metric").values_list(
                "session__athlete", "metric", "n", "mean", "zone"
            )
        ),
        "standings": list(Standing.objects.order_by("athlete").values_list("athlete", "last_date", "flags")),
    }


@pytest.fixture
def matched(room, pair):
    table = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02", 2) + rows("Ikem Doull", "ID-2", "2026-03-02", 2)
    return room.match(room.upload(table))


def test_accepting_that_dies_at_any_database_call_ends_in_the_same_rows(matched, room, clock):
    accept(upload=matched, by=room.coach)
    with undone():
        accept_upload(matched.pk)
        expected = everything_stored()
    assert len(expected["throws"]) == 4

    for call in range(1, calls_of(lambda: accept_upload(matched.pk)) + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                accept_upload(matched.pk)
            clock.move(minutes=5)
            accept_upload(matched.pk)
            assert everything_stored() == expected, f"after dying at database call {call}"


def test_reading_that_dies_at_any_database_call_ends_in_the_same_draft(matched, room, clock):
    table = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-09", 2)
    upload = receive_upload(chunks=[table.encode()], filename="second.csv", by=room.coach).upload

    def draft_and_units() -> list[Any]:
        state = Upload.objects.get(pk=upload.pk).state
        units = ImportUnit.objects.filter(draft__upload=upload)
        return [state, *units.values_list("ordinal", "athlete", "date", "held__content")]

    with undone():
        read_upload(upload.pk)
        expected = draft_and_units()
    assert expected[0] == Upload.State.READY

    for call in range(1, calls_of(lambda: read_upload(upload.pk)) + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                read_upload(upload.pk)
            clock.move(minutes=5)
            read_upload(upload.pk)
            assert draft_and_units() == expected, f"after dying at database call {call}"


def test_a_worker_that_still_breathes_is_left_alone(matched, room):
    accept(upload=matched, by=room.coach)
    with dying_at(3), pytest.raises(Killed):
        accept_upload(matched.pk)
    accept_upload(matched.pk)

    assert not CaptureSession.objects.exists()


def test_three_deaths_end_in_a_sentence_and_a_way_on(matched, room, clock):
    accept(upload=matched, by=room.coach)
    for _ in range(3):
        with dying_at(3), pytest.raises(Killed):
            accept_upload(matched.pk)
        clock.move(minutes=5)
    retake_stale_claims()

    upload = room.fresh(matched)
    assert upload.state == Upload.State.NEEDS_ANSWER
    assert upload.error_sentence.startswith("Accepting stopped three times.")
    assert room.accept(upload).state == Upload.State.ACCEPTED
