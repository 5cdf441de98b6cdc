"""An account's own matters: details, password, being closed and opened again."""

from __future__ import annotations

from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from athletes.models import Invitation, User
from athletes.services.change_log import record_change
from athletes.services.sign_ins import end_sign_ins
from athletes.services.throttle import Secret, count_wrong, forget_wrong, secret_rests
from athletes.services.validation import logged, save_valid

OWN_DETAILS = ("first_name", "last_name", "units")
RESTS = "Too many wrong tries. Wait 15 minutes, then try again."


@transaction.atomic
def change_own_details(*, account: User, first_name: str, last_name: str, units: str) -> None:
    before = logged(account, OWN_DETAILS)
    account.first_name, account.last_name, account.units = first_name.strip(), last_name.strip(), units
    save_valid(account, fields=OWN_DETAILS)
    record_change(by=account, action="account.changed", row=account, before=before, after=logged(account, OWN_DETAILS))


def require_password(*, account: User, password: str, address: str | None, field: str = "password") -> None:
    """The present password, asked again before anything that protects the account. Raises ValidationError.

    Not in a transaction that its caller rolls back: wrong tries must count.
    """
    if secret_rests(Secret.PASSWORD, account, address):
        raise ValidationError({field: RESTS})
    if not account.check_password(password):
        count_wrong(Secret.PASSWORD, account, address)
        raise ValidationError({field: "That is not your present password."})
    forget_wrong(Secret.PASSWORD, account)


@transaction.atomic
def set_password(*, account: User, password: str, by: User | None, reason: str, keep: str | None = None) -> None:
    """A new password by the rules; every other sign-in of the account ends. Raises ValidationError."""
    try:
        password_validation.validate_password(password, account)
    except ValidationError as error:
        raise ValidationError({"new_password": error.messages}) from None
    account.set_password(password)
    account.save(update_fields=["password"])
    record_change(by=by, action="account.password_changed", row=account, reason=reason)
    end_sign_ins(account=account, by=by, reason=reason, keep=keep)


@transaction.atomic
def disable_account(*, account: User, by: User | None, reason: str = "") -> None:
    """Closes an account: its sign-ins end, and so do invitations that it sent or that would let it in again."""
    account.is_active = False
    account.save(update_fields=["is_active"])
    sent_or_received = Q(invited_by=account)
    if account.email:
        sent_or_received |= Q(email__iexact=account.email)
    revoked = Invitation.objects.filter(sent_or_received, accepted_at=None, revoked_at=None).update(
        revoked_at=timezone.now()
    )
    record_change(by=by, action="account.disabled", row=account, after={"invitations": revoked}, reason=reason)
    end_sign_ins(account=account, by=by, reason="the account was disabled")
