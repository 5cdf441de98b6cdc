"""Undo does the opposite of a change-log entry, once, and only as long as nothing came after it."""

from __future__ import annotations

import pytest

from athletes.models import ChangeLog, Note
from athletes.services.notes import add_note, withdraw_note
from athletes.undo import CannotUndo, can_undo, undo
from tests import factories

pytestmark = pytest.mark.django_db


def last() -> ChangeLog:
    return ChangeLog.objects.first()


def test_undo_of_a_withdrawal_brings_back_and_undo_of_that_hides_again(coach):
    note = factories.NoteFactory()
    withdraw_note(note=note, by=coach, reason="slip")
    undo(entry=last(), by=coach)
    assert Note.objects.filter(pk=note.pk).exists()
    undo(entry=last(), by=coach)
    assert not Note.objects.filter(pk=note.pk).exists()


def test_undo_of_a_new_note_withdraws_it(coach):
    note = add_note(athlete=factories.AthleteFactory(), text="Taller at the top.", by=coach)
    undo(entry=last(), by=coach)
    assert not Note.objects.filter(pk=note.pk).exists()


def test_an_entry_is_undone_once(coach):
    withdraw_note(note=factories.NoteFactory(), by=coach)
    entry = last()
    undo(entry=entry, by=coach)
    with pytest.raises(CannotUndo, match="changed again since"):
        undo(entry=entry, by=coach)


def test_action_without_an_opposite_says_so(coach):
    entry = ChangeLog(action="athlete.created")
    assert not can_undo(entry)
    with pytest.raises(CannotUndo, match="cannot be undone"):
        undo(entry=entry, by=coach)
