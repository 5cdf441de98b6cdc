"""What a family decides by itself: consent online, and who may go on reading when the athlete is of age."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction

from athletes.facts import age_on, is_minor
from athletes.facts.known import rows_of
from athletes.models import Athlete, Consent, ConsentText, Facility, Guardianship, Role, User
from athletes.models.ties import ADULT_YEARS
from athletes.services.change_log import record_change
from athletes.services.consent import record_consent, withdraw_consent
from athletes.services.validation import logged, save_valid
from athletes.today import facility_today


def text_in_force() -> ConsentText | None:
    return ConsentText.objects.filter(valid_from__lte=facility_today()).order_by("-valid_from", "-id").first()


def may_agree(
    user: User, athlete: Athlete, *, facility: Facility | None = None, is_guardian: bool | None = None
) -> bool:
    """The athlete from the facility's age of consent on (at 18 in any case), until then each guardian.

    `is_guardian`: given where the reader's tie is known already.
    """
    held = facility or Facility.current()
    decides = age_on(athlete.birth_date, facility_today(held)).years >= min(held.age_of_consent, ADULT_YEARS)
    if decides:
        return athlete.account_id == user.pk
    return _is_guardian(user, athlete) if is_guardian is None else is_guardian


def may_take_back(
    user: User, athlete: Athlete, *, facility: Facility | None = None, is_guardian: bool | None = None
) -> bool:
    """Whoever may agree, a guardian until the athlete is of age, and whoever gave a consent that stands."""
    held = facility or Facility.current()
    minor = is_minor(athlete.birth_date, facility_today(held))
    guards = _is_guardian(user, athlete) if is_guardian is None else is_guardian
    gave = any(row.withdrawn_on is None and row.given_by_id == user.pk for row in rows_of(athlete, "consents"))
    return may_agree(user, athlete, facility=held, is_guardian=guards) or (minor and guards) or gave


@transaction.atomic
def agree(*, athlete: Athlete, by: User, given_by_name: str, relation: str, version: str) -> Consent:
    """A consent of today to the text that was read, `version`.

    Raises PermissionDenied; ValidationError when the text changed meanwhile or stands agreed to by this account.
    """
    row = Athlete.objects.select_for_update().get(pk=athlete.pk)
    if not may_agree(by, row):
        raise PermissionDenied
    text = text_in_force()
    if text is None or text.version != version:
        raise ValidationError("The text has changed since you opened this page. Read it again, then agree.")
    if row.consents.filter(withdrawn_on=None, given_by=by, text=text).exists():
        raise ValidationError("You agreed to this text already.")
    return record_consent(
        athlete=row,
        given_by_name=given_by_name,
        relation=relation,
        given_on=facility_today(),
        by=by,
        text=text,
        given_by=by,
    )


@transaction.atomic
def take_back_consent(*, athlete: Athlete, by: User) -> int:
    """Withdraws every consent that stands: one parent's no is not outvoted. Returns how many. PermissionDenied."""
    row = Athlete.objects.select_for_update().get(pk=athlete.pk)
    if not may_take_back(by, row):
        raise PermissionDenied
    standing = list(row.consents.filter(withdrawn_on=None))
    for consent in standing:
        withdraw_consent(consent=consent, on=facility_today(), by=by)
    return len(standing)


@transaction.atomic
def let_guardian_read(*, athlete: Athlete, guardian: User, may: bool, by: User) -> Guardianship:
    """The athlete of age says whether a guardian may go on reading. Raises PermissionDenied for everybody else."""
    if not decides_who_reads(by, athlete):
        raise PermissionDenied
    tie = Guardianship.objects.select_for_update().get(athlete=athlete, guardian=guardian)
    before = logged(tie, ("kept_on",))
    tie.kept_on = (tie.kept_on or facility_today()) if may else None
    if logged(tie, ("kept_on",)) != before:
        save_valid(tie, fields=["kept_on"])
        after = {**logged(tie, ("kept_on",)), "guardian": str(guardian.uuid)}
        action = "guardian.kept" if may else "guardian.stopped"
        record_change(by=by, action=action, row=athlete, athlete_uuid=athlete.uuid, before=before, after=after)
    return tie


def decides_who_reads(user: User, athlete: Athlete) -> bool:
    """The athlete, of age, by their own account."""
    return athlete.account_id == user.pk and not is_minor(athlete.birth_date, facility_today())


def _is_guardian(user: User, athlete: Athlete) -> bool:
    return user.role == Role.GUARDIAN and athlete.guardianships.filter(guardian=user).exists()
