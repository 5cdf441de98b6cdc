"""Accepting an invitation: a new account, or one more tie of an account that is there."""

from __future__ import annotations

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from athletes.models import Athlete, Guardianship, Invitation, Role, User
from athletes.services.change_log import record_change
from athletes.services.invitations import digest_of, why_closed
from athletes.services.validation import save_valid

TAKEN = "This sign-in name is taken. Choose another."
NOT_A_NAME = "Use letters, digits and @ . + - _ only."


class Closed(Exception):
    """The invitation cannot be accepted (any more); `sentence` is for the person who tried."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class Unfit(Closed):
    """It could be, by another account than this one."""


@transaction.atomic
def accept_as_new(*, secret: str, username: str, password: str) -> User:
    """A new account with the invited role, tied as invited. Raises Closed, or ValidationError for name or password."""
    invitation = _locked(secret)
    account = User(
        username=User.normalize_username(username),
        email=invitation.email,
        role=invitation.role,
        first_name=invitation.first_name,
        last_name=invitation.last_name,
        is_staff=invitation.role == Role.ADMIN,
        is_superuser=invitation.role == Role.ADMIN,
    )
    if problems := {**_name_problems(account), **_password_problems(password, account)}:
        raise ValidationError(problems)
    account.set_password(password)
    try:
        with transaction.atomic():
            save_valid(account)
    except IntegrityError:  # somebody took the name between the check and the save
        raise ValidationError({"username": TAKEN}) from None
    record_change(by=account, action="account.created", row=account, after={"role": account.role})
    _tie(invitation, account)
    return account


def _name_problems(account: User) -> dict[str, str]:
    """In the words of the form, which asks for a sign-in name."""
    others = [field.name for field in account._meta.fields if field.name != "username"]
    try:
        account.full_clean(exclude=others)
    except ValidationError as error:
        codes = {one.code for one in error.error_dict["username"]}
        return {"username": TAKEN if "unique" in codes else NOT_A_NAME}
    return {}


def _password_problems(password: str, account: User) -> dict[str, list[str]]:
    try:
        validate_password(password, account)
    except ValidationError as error:
        return {"password": error.messages}
    return {}


@transaction.atomic
def accept_with(*, secret: str, account: User) -> User:
    """Ties an account of the invited role as invited. Raises Closed, Unfit."""
    invitation = _locked(secret)
    sentence = why_unfit(invitation, account)
    if sentence:
        raise Unfit(sentence)
    _tie(invitation, account)
    return account


def why_unfit(invitation: Invitation, account: User) -> str:
    """Why this account cannot accept; empty when it can."""
    if account.role != invitation.role:
        return (
            f"You are signed in as {account}, {account.get_role_display()}. This invitation is for "
            f"{_with_article(invitation.get_role_display())}. Sign out, and open the link again."
        )
    if invitation.role == Role.ATHLETE and Athlete.everything.filter(account=account).exists():
        return f"You are signed in as {account}, an athlete with a page already. Sign out, and open the link again."
    return ""


def _with_article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _locked(secret: str) -> Invitation:
    """The row, locked: of two who accept at once the second finds it used."""
    row = Invitation.objects.select_for_update().filter(secret_digest=digest_of(secret)).first()
    if row is None:
        raise Closed("There is no such invitation.")
    if row.athlete_id is not None:
        row.athlete = Athlete.everything.select_for_update().get(pk=row.athlete_id)
    if sentence := why_closed(row):
        raise Closed(sentence)
    return row


def _tie(invitation: Invitation, account: User) -> None:
    athlete = invitation.athlete
    if invitation.role == Role.ATHLETE and athlete is not None:
        athlete.account = account
        save_valid(athlete, fields=["account"])
    elif invitation.role == Role.GUARDIAN and athlete is not None:
        Guardianship.objects.get_or_create(
            guardian=account, athlete=athlete, defaults={"relation": invitation.relation}
        )
    elif invitation.role == Role.VISITING_COACH and invitation.group is not None:
        invitation.group.visiting_coaches.add(account)
    invitation.accepted_at, invitation.accepted_by = timezone.now(), account
    save_valid(invitation, fields=["accepted_at", "accepted_by"])
    record_change(
        by=account,
        action="invitation.accepted",
        row=invitation,
        athlete_uuid=athlete.uuid if athlete else None,
        after={"role": invitation.role, "account": str(account.uuid)},
    )
