"""Invitations: made, taken back, and accepted once. The link's secret is in the letter; we keep its digest."""

from __future__ import annotations

import datetime as dt
import secrets
from dataclasses import dataclass
from hashlib import sha256

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from athletes.facts import is_minor
from athletes.models import STAFF_ROLES, Athlete, Facility, Invitation, Role, TrainingGroup, User
from athletes.models.invitations import NEEDS_ATHLETE
from athletes.services.change_log import record_change
from athletes.services.mail import public_link, write_mail
from athletes.services.validation import save_valid
from athletes.today import facility_today

LASTS = dt.timedelta(days=7)  # house opinion: a weekend to read it, and no key in an old mailbox
SECRET_BYTES = 32
BY_ADMINS = frozenset({Role.ADMIN, Role.COACH, Role.CLINICIAN})
BY_STAFF = frozenset({Role.ATHLETE, Role.GUARDIAN, Role.VISITING_COACH})

LETTER = """{inviter} of {facility} invites you to Moundbook{whom}.

Open this link, choose a sign-in name and a password, and you are in:

{link}

The link works once, until {until:%d %B %Y}. If you do not know what this is about, do nothing.
"""


@dataclass(frozen=True, slots=True)
class Invited:
    """`link` holds the secret, which is nowhere else but in the letter: it can be shown once."""

    invitation: Invitation
    link: str


def roles_to_invite(by: User) -> frozenset[Role]:
    """Whom an account may invite: staff families and visiting coaches, admins everybody."""
    if by.role not in STAFF_ROLES or not by.is_active:
        return frozenset()
    return BY_STAFF | BY_ADMINS if by.role == Role.ADMIN else BY_STAFF


def digest_of(secret: str) -> str:
    """Hexadecimal SHA-256. The secret has 256 random bits: nothing slower is needed to keep it from being guessed."""
    return sha256(secret.encode()).hexdigest()


@transaction.atomic
def invite(
    *,
    email: str,
    role: str,
    by: User,
    athlete: Athlete | None = None,
    relation: str = "",
    group: TrainingGroup | None = None,
    first_name: str = "",
    last_name: str = "",
) -> Invited:
    """Invites, and writes the letter. An open invitation of the same person to the same is taken back first.

    Raises PermissionDenied for a role that `by` may not invite, ValidationError for everything else.
    """
    if role not in roles_to_invite(by):
        raise PermissionDenied
    if athlete is not None:
        athlete = Athlete.everything.select_for_update().get(pk=athlete.pk)
    now, secret = timezone.now(), secrets.token_urlsafe(SECRET_BYTES)
    invitation = Invitation(
        email=email.strip(),
        role=role,
        athlete=athlete if role in NEEDS_ATHLETE else None,
        relation=relation.strip() if role == Role.GUARDIAN else "",
        group=group if role == Role.VISITING_COACH else None,
        first_name=first_name.strip(),
        last_name=last_name.strip(),
        secret_digest=digest_of(secret),
        invited_by=by,
        invited_at=now,
        expires_at=now + LASTS,
    )
    _check_target(invitation)
    for earlier in open_invitations().filter(
        email__iexact=invitation.email, role=role, athlete=invitation.athlete, group=invitation.group
    ):
        revoke(invitation=earlier, by=by)
    save_valid(invitation)
    link = public_link(reverse("athletes:invitation", args=[secret]))
    write_mail(invitation.email, "An invitation to Moundbook", _letter(invitation, by, link), at=now)
    _note(invitation, "invitation.sent", by)
    return Invited(invitation, link)


@transaction.atomic
def revoke(*, invitation: Invitation, by: User) -> Invitation:
    """Takes an open invitation back; one that is closed stays as it is. Raises ValidationError when it was used."""
    row = Invitation.objects.select_for_update().get(pk=invitation.pk)
    if row.accepted_at is not None:
        raise ValidationError("This invitation was accepted. Ask an admin to close the account instead.")
    if row.revoked_at is None:
        row.revoked_at = timezone.now()
        save_valid(row, fields=["revoked_at"])
        _note(row, "invitation.revoked", by)
    return row


def open_invitations() -> QuerySet[Invitation]:
    """Neither used nor taken back nor run out; the newest first."""
    return Invitation.objects.filter(accepted_at=None, revoked_at=None, expires_at__gt=timezone.now())


def why_closed(invitation: Invitation) -> str:
    """The sentence for the person who opens the link; empty while it can be accepted."""
    if invitation.accepted_at is not None:
        return "This invitation was used already. If it was you, sign in."
    if invitation.revoked_at is not None:
        return "This invitation was taken back. If you have a newer letter, open the link in that one."
    if invitation.expires_at <= timezone.now():
        return "This invitation has run out. Ask for a new one."
    try:
        _check_target(invitation)
    except ValidationError:
        return "This invitation does not fit any more. Ask the person who invited you."
    return ""


def _check_target(invitation: Invitation) -> None:
    """Whether there is still somebody or something to be invited to. Raises ValidationError."""
    athlete, role = invitation.athlete, invitation.role
    if role in NEEDS_ATHLETE and athlete is None:
        raise ValidationError("Families are invited from the record of their athlete.")
    if role == Role.VISITING_COACH and invitation.group is None:
        raise ValidationError({"group": "A visiting coach sees the athletes of a group: choose one."})
    if athlete is None:
        return
    if athlete.withdrawn_at is not None or athlete.merged_into_id is not None:
        raise ValidationError(f"{athlete.name} was taken back or joined with another record.")
    if role == Role.ATHLETE and athlete.account_id is not None:
        raise ValidationError({"role": f"{athlete.name} has an account already."})
    if role == Role.GUARDIAN and not is_minor(athlete.birth_date, facility_today()):
        raise ValidationError({"role": f"{athlete.name} is of age: no guardian is added any more."})


def _letter(invitation: Invitation, by: User, link: str) -> str:
    # A letter may reach the wrong mailbox: of a child it says the given name only.
    whom = f" for {invitation.athlete.given_name}" if invitation.athlete else ""
    facility = Facility.current().name
    until = timezone.localtime(invitation.expires_at)
    return LETTER.format(inviter=by, facility=facility, whom=whom, link=link, until=until)


def _note(invitation: Invitation, action: str, by: User) -> None:
    # No e-mail address: the log outlives an erasure.
    record_change(
        by=by,
        action=action,
        row=invitation,
        athlete_uuid=invitation.athlete.uuid if invitation.athlete else None,
        after={"role": invitation.role},
    )
