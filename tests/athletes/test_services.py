"""What the services store, what they refuse, and that a refusal leaves nothing behind."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from athletes import models
from athletes.models import Athlete, BodySize, ChangeLog, LevelPeriod, Note
from athletes.services.groups import assign_group
from athletes.services.notes import add_note, undo_withdraw_note, withdraw_note
from athletes.services.people import add_external_id, change_athlete, create_athlete, set_level
from athletes.services.sizes import record_body_size
from athletes.services.withdrawal import restore_athlete, withdraw_athlete
from tests import factories

DAY = factories.DAY
TOMORROW = DAY + dt.timedelta(days=1)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


def counts() -> dict[str, int]:
    """Rows of every table of this room."""
    return {model.__name__: model._base_manager.count() for model in vars(models).values() if _is_table(model)}


def _is_table(thing: object) -> bool:
    return isinstance(thing, type) and issubclass(thing, models.base.models.Model) and not thing._meta.abstract


NEWCOMER = {
    "given_name": "Piotr",
    "family_name": "Adeyemi",
    "birth_date": dt.date(2013, 6, 1),
    "throws": "right",
    "level": "youth",
    "level_from": dt.date(2025, 9, 1),
    "height_cm": 152.0,
    "mass_kg": 44.0,
    "external_id": "P-77",
}


def test_new_athlete_has_level_size_and_id(coach):
    athlete = create_athlete(**NEWCOMER, by=coach, responsible_coach=coach)
    assert [row.level for row in athlete.levels.all()] == ["youth"]
    assert [(row.date, row.height_cm) for row in athlete.body_sizes.all()] == [(DAY, 152.0)]
    assert [row.value for row in athlete.external_ids.all()] == ["P-77"]
    assert set(ChangeLog.objects.values_list("action", "who", "athlete_uuid")) == {
        (action, coach.uuid, athlete.uuid)
        for action in ("athlete.created", "level.set", "body_size.recorded", "external_id.added")
    }


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"given_name": "  "}, "given name is missing"),
        ({"birth_date": TOMORROW}, "in the future"),
        ({"birth_date": dt.date(2025, 1, 1)}, "Born 1 January 2025 makes an age of 1"),
        ({"birth_date": dt.date(1913, 6, 1)}, "makes an age of 113"),
        ({"throws": "up"}, "not a valid choice"),
        ({"level": "elite"}, "not a valid choice"),
        ({"level_from": dt.date(2000, 1, 1)}, "before the birth"),
        ({"height_cm": 6.0}, "Was it in feet"),
        ({"height_cm": 72.0}, "Was it in inches"),
        ({"mass_kg": float("inf")}, "no finite number"),
        ({"measured_on": TOMORROW}, "in the future"),
        ({"external_id": "P-1"}, "already belongs to"),
    ],
)
def test_wrong_value_stores_nothing_of_the_new_athlete(coach, wrong, says):
    factories.ExternalIdFactory(value="P-1")
    before = counts()
    with pytest.raises(ValidationError, match=says):
        create_athlete(**{**NEWCOMER, **wrong}, by=coach)
    assert counts() == before


def test_same_name_and_birth_date_is_refused(coach):
    create_athlete(**NEWCOMER, by=coach)
    before = counts()
    with pytest.raises(ValidationError, match="already here"):
        create_athlete(**{**NEWCOMER, "given_name": "PIOTR", "external_id": ""}, by=coach)
    assert counts() == before


def test_visiting_coach_cannot_be_the_responsible_coach(coach, visiting_coach):
    with pytest.raises(ValidationError):
        create_athlete(**NEWCOMER, by=coach, responsible_coach=visiting_coach)
    assert not Athlete.everything.exists()


def test_changed_details_keep_before_and_after(coach):
    athlete = factories.AthleteFactory(playing_role="starter")
    change_athlete(athlete=athlete, changes={"playing_role": "reliever", "throws": "right"}, by=coach, reason="spring")
    entry = ChangeLog.objects.get()
    assert (entry.before["playing_role"], entry.after["playing_role"], entry.reason) == (
        "starter",
        "reliever",
        "spring",
    )


def test_change_without_a_difference_writes_nothing(coach):
    athlete = factories.AthleteFactory(playing_role="starter", responsible_coach=coach)
    change_athlete(athlete=athlete, changes={"playing_role": "starter", "responsible_coach": coach}, by=coach)
    assert not ChangeLog.objects.exists()


def test_invalid_change_leaves_the_athlete_as_it_was(coach):
    athlete = factories.AthleteFactory()
    with pytest.raises(ValidationError):
        change_athlete(athlete=athlete, changes={"playing_role": "starter", "throws": "up"}, by=coach)
    athlete.refresh_from_db()
    assert (athlete.playing_role, athlete.throws) == ("", "right")


FACT_CHANGES = {
    "body size": lambda athlete, by: record_body_size(athlete=athlete, on=DAY, height_cm=186, by=by),
    "level": lambda athlete, by: set_level(athlete=athlete, level="college", valid_from=DAY, by=by),
    "birth date": lambda athlete, by: change_athlete(
        athlete=athlete, changes={"birth_date": dt.date(2010, 2, 11)}, by=by
    ),
}


@pytest.mark.parametrize("what", FACT_CHANGES)
def test_facts_that_ranges_depend_on_raise_the_revision_once(coach, what):
    athlete = factories.AthleteFactory()
    for _ in range(2):  # the second time nothing is different
        FACT_CHANGES[what](athlete, coach)
    assert Athlete.objects.get().facts_revision == 2


def test_facts_that_no_range_depends_on_leave_the_revision(coach):
    athlete = factories.AthleteFactory()
    change_athlete(athlete=athlete, changes={"playing_role": "starter"}, by=coach)
    add_note(athlete=athlete, text="Calm tempo.", by=coach)
    assert Athlete.objects.get().facts_revision == 1


def test_size_of_the_same_day_is_replaced_and_kept_in_the_log(coach):
    athlete = factories.AthleteFactory(body_size={})
    record_body_size(athlete=athlete, on=DAY, height_cm=185, by=coach)
    record_body_size(athlete=athlete, on=DAY, height_cm=186, mass_kg=80, by=coach, reason="shoes off")
    row = BodySize.objects.get()
    assert (row.height_cm, row.mass_kg) == (186, 80)
    entry = ChangeLog.objects.first()
    assert (entry.before["height_cm"], entry.after["height_cm"], entry.reason) == (185, 186, "shoes off")


def test_size_measured_later_that_day_keeps_what_is_not_given(coach):
    athlete = factories.AthleteFactory(body_size={})
    record_body_size(athlete=athlete, on=DAY, height_cm=185, by=coach)
    record_body_size(athlete=athlete, on=DAY, mass_kg=80, by=coach)
    assert (BodySize.objects.get().height_cm, BodySize.objects.get().mass_kg) == (185, 80)


@pytest.mark.parametrize(
    ("given", "on", "says"),
    [
        ({}, DAY, "Give a height"),
        ({"height_cm": 6}, DAY, "A height of 6 cm cannot be.* Was it in feet"),
        ({"height_cm": 1.85}, DAY, "Was it in metres"),
        ({"mass_kg": 230}, DAY, "Was it in pounds"),
        ({"arm_span_cm": float("nan")}, DAY, "no finite number"),
        ({"height_cm": 185}, TOMORROW, "in the future"),
        ({"height_cm": 185}, dt.date(2009, 1, 1), "older than the athlete"),
    ],
)
def test_impossible_size_is_refused_with_a_sentence_and_nothing_stored(coach, given, on, says):
    athlete = factories.AthleteFactory(body_size={})
    with pytest.raises(ValidationError, match=says):
        record_body_size(athlete=athlete, on=on, by=coach, **given)
    assert not BodySize.objects.exists()
    assert not ChangeLog.objects.exists()


def test_level_of_the_same_date_is_replaced_and_kept_in_the_log(coach):
    athlete = factories.AthleteFactory(level="")
    set_level(athlete=athlete, level="youth", valid_from=DAY, by=coach)
    set_level(athlete=athlete, level="high_school", valid_from=DAY, by=coach)
    assert [row.level for row in LevelPeriod.objects.all()] == ["high_school"]
    assert ChangeLog.objects.first().before == {"level": "youth", "valid_from": "2026-04-14"}


def test_external_id_of_the_same_athlete_twice_changes_nothing(coach):
    athlete = factories.AthleteFactory()
    first = add_external_id(athlete=athlete, value=" 4711 ", by=coach)
    assert add_external_id(athlete=athlete, value="4711", by=coach) == first


def test_joining_and_leaving_a_group(coach):
    athlete, group = factories.AthleteFactory(), factories.TrainingGroupFactory()
    for member in (True, True, False):
        assign_group(athlete=athlete, group=group, by=coach, member=member)
        assert group.athletes.filter(pk=athlete.pk).exists() is member
    assert list(ChangeLog.objects.values_list("action", flat=True)) == ["group.left", "group.joined"]


def test_note_is_staff_only_unless_marked_and_its_words_stay_out_of_the_log(coach):
    note = add_note(athlete=factories.AthleteFactory(), text="  Hands quieter.  ", by=coach)
    assert (note.text, note.for_family, note.author) == ("Hands quieter.", False, coach)
    entry = ChangeLog.objects.get()
    assert "Hands quieter" not in f"{entry.before}{entry.after}{entry.reason}"


@pytest.mark.parametrize("text", ["", "  \n ", "x" * 4001])
def test_empty_or_endless_note_is_refused(coach, text):
    athlete = factories.AthleteFactory()
    with pytest.raises(ValidationError):
        add_note(athlete=athlete, text=text, by=coach)
    assert not Note.everything.exists()


def test_withdrawn_note_is_hidden_and_comes_back_with_its_words(coach):
    note = factories.NoteFactory()
    withdraw_note(note=note, by=coach, reason="wrong athlete")
    assert not Note.objects.exists()
    undo_withdraw_note(note=note, by=coach)
    assert Note.objects.get().text == note.text


def test_withdrawing_twice_is_withdrawing_once(coach, admin):
    note = factories.NoteFactory()
    withdraw_note(note=note, by=coach, reason="wrong athlete")
    withdraw_note(note=note, by=admin, reason="again")
    assert Note.everything.get().withdrawn_by == coach
    assert ChangeLog.objects.count() == 1


def test_withdrawn_athlete_is_hidden_from_everybody_and_comes_back(admin):
    athlete = factories.AthleteFactory()
    withdraw_athlete(athlete=athlete, by=admin, reason="left")
    assert not Athlete.objects.visible_to(admin).exists()
    restore_athlete(athlete=athlete, by=admin)
    assert Athlete.objects.visible_to(admin).exists()
