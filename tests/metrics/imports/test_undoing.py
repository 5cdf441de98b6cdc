"""Undoing an import is one act; bringing it back restores exactly what that act withdrew."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from metrics.models import Finding, ImportUnit, Reading, Standing
from metrics.services.imports.undoing import bring_back, undo_import
from metrics.services.scoring import rescore
from sessions.models import CaptureSession, Throw, Upload
from sessions.services.captures import withdraw_session
from sessions.services.throws import exclude_throw
from tests.metrics.imports.conftest import HEADER, UNITS, rows
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

BOTH = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02", 4) + rows("Ikem Doull", "ID-2", "2026-03-02", 3)


@pytest.fixture
def accepted(room, pair) -> Upload:
    return room.accept(room.match(room.upload(BOTH)))


def present() -> dict[str, Any]:
    return {
        "sessions": list(CaptureSession.objects.order_by("pk").values_list("pk", flat=True)),
        "throws": list(Throw.objects.filter(session__withdrawn_at=None).order_by("pk").values_list("pk", flat=True)),
        "units": list(ImportUnit.objects.order_by("ordinal").values_list("state", "session")),
        "uploads": list(Upload.objects.values_list("state", flat=True)),
    }


def test_all_its_sessions_go_and_its_parts_wait_again(accepted, room):
    assert undo_import(upload=accepted, by=room.coach) == 2

    assert not CaptureSession.objects.exists()
    assert room.fresh(accepted).state == Upload.State.READY
    assert [unit.state for unit in room.units(accepted)] == [ImportUnit.State.WAITING] * 2
    assert Reading.objects.count() == 7  # nothing that was stored is lost
    assert not Standing.objects.exclude(last_session=None).exists()


def test_bringing_back_restores_the_same_rows(accepted, room):
    before = present()
    undo_import(upload=accepted, by=room.coach)
    bring_back(upload=accepted, by=room.coach)

    assert present() == before
    assert Standing.objects.filter(last_session__isnull=False).count() == 2


def test_what_a_person_withdrew_before_stays_withdrawn(accepted, room, pair):
    own = CaptureSession.objects.get(athlete=pair[0])
    withdraw_session(capture=own, by=room.coach, reason="wrong athlete")
    undo_import(upload=accepted, by=room.coach)
    bring_back(upload=accepted, by=room.coach)

    assert list(CaptureSession.objects.values_list("athlete", flat=True)) == [pair[1].pk]


def test_exclusions_come_back_with_their_throws(accepted, room, pair):
    throw = Throw.objects.get(session__athlete=pair[0], number=2)
    exclude_throw(throw=throw, by=room.coach, reason="slipped")
    undo_import(upload=accepted, by=room.coach)
    bring_back(upload=accepted, by=room.coach)

    assert Throw.objects.get(pk=throw.pk).excluded_reason == "slipped"


def test_a_session_that_another_file_shares_loses_only_this_files_throws(accepted, room, pair):
    more = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02", 9)
    second = room.accept(room.upload(more))
    capture = CaptureSession.objects.get(athlete=pair[0])
    assert capture.throws.count() == 9

    undo_import(upload=second, by=room.coach)
    capture.refresh_from_db()
    assert [throw.number for throw in capture.throws.all()] == [1, 2, 3, 4]
    rescore(capture)
    assert Finding.objects.get(session=capture, metric="elbow_flexion_fp").n == 4
    bring_back(upload=second, by=room.coach)
    assert capture.throws.count() == 9


def test_after_undoing_the_file_can_be_accepted_again(accepted, room):
    undo_import(upload=accepted, by=room.coach)
    again = room.accept(room.fresh(accepted))

    assert again.state == Upload.State.ACCEPTED
    assert CaptureSession.objects.count() == 2
    with pytest.raises(ValidationError, match="accepted again"):
        bring_back(upload=again, by=room.coach)


def test_undoing_twice_says_that_there_is_nothing(accepted, room):
    undo_import(upload=accepted, by=room.coach)
    with pytest.raises(ValidationError, match="nothing to undo"):
        undo_import(upload=accepted, by=room.coach)


def test_undoing_that_dies_at_any_database_call_leaves_all_or_nothing(accepted, room):
    before = present()
    with undone():
        undo_import(upload=accepted, by=room.coach)
        after = present()
    # The last call ends the transaction: inside a test that is a savepoint's release, which nothing can take back.
    for call in range(1, calls_of(lambda: undo_import(upload=accepted, by=room.coach))):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                undo_import(upload=accepted, by=room.coach)
            assert present() == before, f"after dying at database call {call}"
            undo_import(upload=room.fresh(accepted), by=room.coach)
            assert present() == after


def test_the_page_undoes_and_offers_to_bring_back(accepted, room, client_of):
    client = client_of(room.coach)
    assert "Undo this import" in client.get(f"/uploads/{accepted.uuid}/").content.decode()
    page = client.post(f"/uploads/{accepted.uuid}/undo/", follow=True).content.decode()
    assert "2 sessions of this file are withdrawn." in page
    assert f"/uploads/{accepted.uuid}/bring-back/" in page
    page = client.post(f"/uploads/{accepted.uuid}/bring-back/", follow=True).content.decode()
    assert "2 sessions of this file are back." in page


@pytest.mark.parametrize("what", ["undo", "bring-back"])
def test_others_get_the_404_of_a_missing_upload(accepted, cast, client_of, what):
    for role in ("athlete_user", "guardian", "visiting_coach", "clinician"):
        assert client_of(cast[role]).post(f"/uploads/{accepted.uuid}/{what}/").status_code == 404
    assert CaptureSession.objects.count() == 2
