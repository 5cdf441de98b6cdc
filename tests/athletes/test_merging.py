"""Two records of one person become one, with everything of every room, and part again exactly."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from athletes.facts import has_consent
from athletes.merge_preview import merge_preview
from athletes.models import Athlete, ChangeLog, Consent, ViewLog
from athletes.services.consent import record_consent, withdraw_consent
from athletes.services.merging import MERGED, merge_athletes, relations
from athletes.services.people import change_athlete
from athletes.undo import CannotUndo, undo
from metrics.models import ScreenDraft, Share, Standing
from metrics.services.scoring import rescore, rescore_session
from metrics.services.stale import sessions_that_lag
from sessions.models import CaptureSession
from tests import factories
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def profile(facility):
    made = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(
        version=made, metric="elbow_flexion_fp", landing="fc",
        target_low=85, target_high=100, flag_low=80, flag_high=105, source="Test source",
    )  # fmt: skip
    return factories.publish(made)


@pytest.fixture
def twin(athlete):
    """The same person once more, from a file that spelt the name otherwise."""
    return factories.AthleteFactory(given_name="Ikayka", family_name="Brandvold", birth_date=athlete.birth_date)


@pytest.fixture
def full_twin(twin, coach):
    """With a row of every kind that points at an athlete, but those that stand on their own."""
    guardian = factories.UserFactory(role="guardian")
    factories.GuardianshipFactory(athlete=twin, guardian=guardian)
    factories.ReferralFactory(athlete=twin, clinician=factories.UserFactory(role="clinician"))
    factories.ExternalIdFactory(athlete=twin, value="IB-2")
    factories.NoteFactory(athlete=twin, author=coach)
    factories.NoteFactory(athlete=twin, withdrawn_at=factories.NOON)
    factories.AvailabilityFactory(athlete=twin, valid_from=dt.date(2026, 3, 1))
    factories.PainReportFactory(athlete=twin)
    factories.BodySizeFactory(athlete=twin, date=dt.date(2026, 2, 2))
    factories.TrainingGroupFactory(name="Camp", athletes=[twin])
    ScreenDraft.objects.create(athlete=twin, entered_by=coach, updated_at=factories.NOON)
    capture = captured(twin, 70)
    Share.objects.create(session=capture, athlete=twin, shared_by=coach, shared_at=factories.NOON, findings_digest="-")
    factories.ImportUnitFactory(athlete=twin)
    return twin


def captured(athlete, value: float, **changes: Any) -> CaptureSession:
    capture = factories.CaptureSessionFactory(athlete=athlete, **changes)
    throw = factories.ThrowFactory(session=capture)
    factories.ReadingFactory(throw=throw, values={"elbow_flexion_fp@fc": {"value": value}})
    rescore(capture)
    return capture


def last_merging(merged: Athlete) -> ChangeLog:
    return ChangeLog.objects.filter(object_uuid=merged.uuid, action=MERGED).first()


REVISIONS = {"facts_revision", "input_revision"}


def stored() -> dict[str, Any]:
    """Every column of every row that points at an athlete, and the athletes; without counts of changes."""
    found: dict[str, Any] = {}
    for model in {Athlete, *(field.model for field in relations())}:
        names = [field.attname for field in model._meta.concrete_fields if field.name not in REVISIONS]
        found[model._meta.label] = list(model._base_manager.order_by("pk").values_list(*names))
    return found


def test_every_relation_of_an_athlete_is_known():
    """A new one is moved by itself; this list says which there are, so that somebody looks at the new one."""
    named = {f"{field.model._meta.label}.{field.name}" for field in relations()}
    assert named == {
        "athletes.Availability.athlete",
        "athletes.BodySize.athlete",
        "athletes.CheckIn.athlete",
        "athletes.Consent.athlete",
        "athletes.Contact.athlete",
        "athletes.ExternalId.athlete",
        "athletes.Guardianship.athlete",
        "athletes.Invitation.athlete",
        "athletes.LevelPeriod.athlete",
        "athletes.Note.athlete",
        "athletes.PainReport.athlete",
        "athletes.Referral.athlete",
        "athletes.TrainingGroup_athletes.athlete",
        "capture_sessions.CaptureSession.athlete",
        "metrics.ImportUnit.athlete",
        "metrics.ScreenDraft.athlete",
        "plans.Prescription.athlete",
        "plans.ThrowCount.athlete",
        "metrics.Share.athlete",
    }


# ---- what goes along ----------------------------------------------------------------------------------------


def test_everything_goes_to_the_record_that_stays(athlete, full_twin, coach):
    merge_athletes(kept=athlete, merged=full_twin, by=coach)
    left = {
        field.model._meta.label: [str(row) for row in field.model._base_manager.filter(**{field.name: full_twin})]
        for field in relations()
    }
    # Level, body size and consent of the very same day are there already: consent has no such constraint.
    assert {label: len(rows) for label, rows in left.items() if rows} == {
        "athletes.LevelPeriod": 1,
        "athletes.BodySize": 1,
    }
    assert {group.name for group in athlete.groups.all()} == {"Varsity", "Camp"}
    assert athlete.notes(manager="everything").count() == 2


def test_the_other_record_is_put_aside_and_says_whose_it_is(athlete, twin, coach):
    merge_athletes(kept=athlete, merged=twin, by=coach)
    assert not Athlete.objects.filter(pk=twin.pk).exists()
    twin = Athlete.everything.get(pk=twin.pk)
    assert (twin.merged_into, twin.withdrawn_by) == (athlete, coach)


def test_what_cannot_go_along_stays_and_is_listed(athlete, twin, coach):
    for one, limits in ((athlete, "60 throws"), (twin, "40 throws")):
        factories.AvailabilityFactory(athlete=one, valid_from=factories.DAY, state="limited", limits=limits)
    expected = merge_preview(athlete, twin).stays
    entry = merge_athletes(kept=athlete, merged=twin, by=coach)
    assert twin.availabilities.get().limits == "40 throws"
    assert entry.after["stays"] == {kind: list(words) for kind, words in expected}
    assert set(entry.after["stays"]) == {"availabilities", "level periods", "body sizes"}


def test_a_group_that_both_are_in_is_not_named_as_left_behind(athlete, twin, coach):
    athlete.groups.get().athletes.add(twin)
    assert "Varsity" not in str(merge_preview(athlete, twin).stays)
    entry = merge_athletes(kept=athlete, merged=twin, by=coach)
    assert "Varsity" not in str(entry.after["stays"])
    undo(entry=entry, by=coach)
    assert set(athlete.groups.get().athletes.all()) == {athlete, twin}


def test_looking_at_both_changes_nothing(athlete, full_twin):
    before = stored()
    merge_preview(athlete, full_twin)
    assert stored() == before


def test_sessions_of_one_day_are_counted_on(athlete, twin, coach):
    mine, theirs = captured(athlete, 90), captured(twin, 70)
    earlier = captured(twin, 72, date=factories.DAY - dt.timedelta(days=3))
    merge_athletes(kept=athlete, merged=twin, by=coach)
    numbered = dict(CaptureSession.objects.filter(athlete=athlete).values_list("pk", "ordinal"))
    assert numbered == {mine.pk: 1, theirs.pk: 2, earlier.pk: 1}


def test_every_session_is_judged_again_for_the_one_person(athlete, twin, coach):
    captured(athlete, 90)
    Athlete.objects.filter(pk=twin.pk).update(facts_revision=9)
    theirs = captured(Athlete.objects.get(pk=twin.pk), 70)
    merge_athletes(kept=athlete, merged=twin, by=coach)
    assert set(sessions_that_lag()) == set(CaptureSession.objects.filter(athlete=athlete))
    for one in list(sessions_that_lag()):
        rescore_session(one.pk)
    assert not sessions_that_lag().exists()
    assert Standing.objects.get(athlete=athlete).last_session == theirs


def test_account_and_empty_details_come_from_the_other(athlete_user, coach):
    kept = factories.AthleteFactory(account=None, sex="", playing_role="starter", responsible_coach=None)
    other = factories.AthleteFactory(account=athlete_user, sex="man", playing_role="reliever", responsible_coach=coach)
    merge_athletes(kept=kept, merged=other, by=coach)
    kept = Athlete.objects.get(pk=kept.pk)
    assert (kept.account, kept.sex, kept.playing_role, kept.responsible_coach) == (
        athlete_user, "man", "starter", coach,
    )  # fmt: skip


def test_details_of_the_record_that_stays_can_still_be_changed(coach, twin):
    same = factories.AthleteFactory(given_name="x", family_name="y", birth_date=twin.birth_date)
    Athlete.objects.filter(pk=same.pk).update(given_name=twin.given_name, family_name=twin.family_name)
    merge_athletes(kept=twin, merged=Athlete.objects.get(pk=same.pk), by=coach)
    change_athlete(athlete=twin, changes={"playing_role": "reliever"}, by=coach)
    assert Athlete.objects.get(pk=twin.pk).playing_role == "reliever"


# ---- consent ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("which", ["kept", "merged"])
def test_consent_that_was_taken_back_on_either_counts_for_both(athlete, twin, coach, which):
    one = {"kept": athlete, "merged": twin}[which]
    withdraw_consent(consent=one.consents.get(), on=factories.DAY, by=coach)
    athlete, twin = (Athlete.objects.get(pk=row.pk) for row in (athlete, twin))
    assert merge_preview(athlete, twin).consent_ends
    merge_athletes(kept=athlete, merged=twin, by=coach)
    kept = Athlete.objects.get(pk=athlete.pk)
    assert kept.consent_withdrawn_on == factories.DAY
    assert not has_consent(kept, factories.DAY)
    record_consent(
        athlete=kept, given_by_name="Noelani Brandvold", relation="mother", given_on=factories.DAY, by=coach,
        text=Consent.objects.first().text,
    )  # fmt: skip
    assert Athlete.objects.get(pk=athlete.pk).consent_withdrawn_on is None


def test_consent_that_stands_on_both_goes_on_standing(athlete, twin, coach):
    merge_athletes(kept=athlete, merged=twin, by=coach)
    assert has_consent(Athlete.objects.get(pk=athlete.pk), factories.DAY)
    assert not Consent.objects.exclude(withdrawn_on=None).exists()


# ---- refused ------------------------------------------------------------------------------------------------


def test_two_accounts_are_refused_with_what_to_do(athlete, other_athlete, coach):
    before = stored()
    with pytest.raises(ValidationError, match="An admin takes the account"):
        merge_athletes(kept=athlete, merged=other_athlete, by=coach)
    assert stored() == before


@pytest.mark.parametrize(("kept_throws", "may"), [("right", False), ("both", True)])
def test_the_other_arm_is_refused_unless_both_are_thrown_with(coach, kept_throws, may):
    kept, other = factories.AthleteFactory(throws=kept_throws), factories.AthleteFactory(throws="left")
    if may:
        merge_athletes(kept=kept, merged=other, by=coach)
    else:
        with pytest.raises(ValidationError, match="Correct it under Details"):
            merge_athletes(kept=kept, merged=other, by=coach)
    assert Athlete.objects.filter(pk=other.pk).exists() != may


def test_a_record_is_not_merged_with_itself_nor_with_one_put_aside(athlete, twin, coach):
    with pytest.raises(ValidationError, match="one record"):
        merge_athletes(kept=athlete, merged=athlete, by=coach)
    merge_athletes(kept=athlete, merged=twin, by=coach)
    with pytest.raises(ValidationError, match="withdrawn"):
        merge_athletes(kept=athlete, merged=twin, by=coach)


# ---- undo ---------------------------------------------------------------------------------------------------


def test_undo_is_exact(athlete, full_twin, athlete_user, coach):
    Athlete.objects.filter(pk=athlete.pk).update(account=None)
    Athlete.objects.filter(pk=full_twin.pk).update(account=athlete_user, sex="man")
    captured(athlete, 90)
    withdraw_consent(consent=full_twin.consents.get(), on=factories.DAY, by=coach)
    before = stored()
    merge_athletes(kept=athlete, merged=full_twin, by=coach)
    assert stored() != before
    undo(entry=last_merging(full_twin), by=coach)
    assert stored() == before


def test_what_came_since_stays_with_the_record_that_stayed(athlete, twin, coach):
    merge_athletes(kept=athlete, merged=twin, by=coach)
    note = factories.NoteFactory(athlete=athlete)
    undo(entry=last_merging(twin), by=coach)
    note.refresh_from_db()
    assert note.athlete == athlete


def test_merging_is_undone_once(athlete, twin, coach):
    merge_athletes(kept=athlete, merged=twin, by=coach)
    entry = last_merging(twin)
    undo(entry=entry, by=coach)
    with pytest.raises(CannotUndo):
        undo(entry=entry, by=coach)


def test_a_record_that_was_merged_again_is_parted_from_the_outside_in(athlete, twin, coach):
    third = factories.AthleteFactory()
    merge_athletes(kept=athlete, merged=twin, by=coach)
    merge_athletes(kept=third, merged=athlete, by=coach)
    with pytest.raises(ValidationError, match="Undo that first"):
        undo(entry=last_merging(twin), by=coach)
    undo(entry=last_merging(athlete), by=coach)
    undo(entry=last_merging(twin), by=coach)
    assert Athlete.objects.count() == 3


@pytest.mark.parametrize("back", [False, True], ids=["merge", "undo"])
def test_killed_at_any_database_call_nothing_is_half(athlete, twin, coach, clock, back):
    captured(athlete, 90)
    captured(twin, 70)
    if back:
        merge_athletes(kept=athlete, merged=twin, by=coach)
    before = stored()

    def act() -> None:
        if back:
            undo(entry=last_merging(twin), by=coach)
        else:
            merge_athletes(kept=athlete, merged=twin, by=coach)

    with undone():
        act()
        after = stored()
    calls = calls_of(act)
    for call in range(1, calls + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                act()
            assert stored() == before or (call == calls and stored() == after), f"after dying at database call {call}"


# ---- pages --------------------------------------------------------------------------------------------------


def page_of(athlete: Athlete) -> str:
    return reverse("athletes:same-person", args=[athlete.uuid])


def test_both_stand_side_by_side_before_anything_happens(athlete, twin, coach, client_of):
    captured(twin, 70)
    client = client_of(coach)
    assert f'value="{twin.uuid}"' in client.get(page_of(athlete)).content.decode()
    page = client.get(page_of(athlete), {"other": str(twin.uuid)}).content.decode()
    for words in ("Ikaika Brandvold", "Ikayka Brandvold", "differs", "Sessions", "Varsity", "Make them one"):
        assert words in page
    assert Athlete.objects.filter(pk=twin.pk).exists()


@pytest.mark.parametrize("stays", ["athlete", "twin"])
def test_the_coach_says_which_stays_and_undoes_it_in_one_press(athlete, twin, coach, client_of, stays):
    client = client_of(coach)
    kept, gone = (athlete, twin) if stays == "athlete" else (twin, athlete)
    page = client.post(page_of(athlete), {"other": str(twin.uuid), "stays": str(kept.uuid)}, follow=True)
    back = reverse("athletes:apart-again", args=[gone.uuid])
    assert page.redirect_chain[-1][0] == reverse("desk:record", args=[kept.uuid])
    assert back in page.content.decode()
    assert not Athlete.objects.filter(pk=gone.pk).exists()
    assert "two records again" in client.post(back, follow=True).content.decode()
    assert Athlete.objects.filter(pk=gone.pk).exists()


def test_what_cannot_be_is_told_on_the_page(athlete, twin, other_athlete, coach, client_of):
    client = client_of(coach)
    both = client.get(page_of(athlete), {"other": str(other_athlete.uuid)}).content.decode()
    assert "account of their own" in both
    assert "Make them one" not in both
    for sent in ({"other": "x"}, {"other": str(twin.uuid)}, {"other": str(twin.uuid), "stays": "x"}):
        assert client.post(page_of(athlete), sent).status_code == 422


def test_the_old_address_leads_to_the_record_that_stayed(athlete, twin, coach, guardian, stranger, client_of):
    merge_athletes(kept=athlete, merged=twin, by=coach)
    old = reverse("desk:record", args=[twin.uuid])
    missing = reverse("desk:record", args=[factories.UserFactory().uuid])
    for reader in (coach, guardian):
        assert client_of(reader).get(old).headers["Location"] == reverse("desk:record", args=[athlete.uuid])
    theirs, none = (client_of(stranger).get(url) for url in (old, missing))
    assert (theirs.status_code, theirs.content) == (404, none.content)


def test_both_acts_stand_in_both_logs_of_both(athlete, twin, coach, client_of):
    client = client_of(coach)
    client.post(page_of(athlete), {"other": str(twin.uuid), "stays": str(athlete.uuid)})
    client.post(reverse("athletes:apart-again", args=[twin.uuid]))
    for whose, action in ((athlete, "athlete.took_over"), (twin, "athlete.merged")):
        acts = list(ChangeLog.objects.filter(athlete_uuid=whose.uuid).order_by("id").values_list("action", flat=True))
        assert acts[-2:] == [action, "athlete.apart_again"]
        assert ViewLog.objects.filter(athlete_uuid=whose.uuid, what="same person").exists()


@pytest.mark.parametrize(
    ("name", "status"),
    [("clinician", 403), ("guardian", 403), ("athlete_user", 403), ("visiting_coach", 403), ("stranger", 404)],
)
def test_only_staff_merge(cast, twin, client_of, name, status):
    client = client_of(cast[name])
    sent = {"other": str(twin.uuid), "stays": str(cast.athlete.uuid)}
    assert client.get(page_of(cast.athlete)).status_code == status
    assert client.post(page_of(cast.athlete), sent).status_code == status
    merge_athletes(kept=cast.athlete, merged=twin, by=cast["coach"])
    assert client.post(reverse("athletes:apart-again", args=[twin.uuid])).status_code == 404
    assert not Athlete.objects.filter(pk=twin.pk).exists()
