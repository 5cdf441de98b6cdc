"""One-time codes of an account: set up, asked for, renewed, turned off.

The library's devices keep the secret and the last step that was used. Its static tokens would be kept in clear, so
what stands in their column is a salted digest made here; the library itself never compares them.
"""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from athletes.codes import RECOVERY_CODES, as_typed, is_code, matching_step, new_recovery_code, recovery_digest
from athletes.models import User
from athletes.services.accounts import RESTS
from athletes.services.change_log import record_change
from athletes.services.sign_ins import end_sign_ins
from athletes.services.throttle import Secret, count_wrong, forget_wrong, secret_rests

NAME = "one-time codes"
WRONG = "This code does not fit. Codes change every 30 seconds, and each works once."


def has_codes(account: User) -> bool:
    return TOTPDevice.objects.filter(user=account, confirmed=True).exists()


def device_for(account: User, key: str) -> TOTPDevice:
    """Not stored: for showing a key that is not confirmed yet."""
    return TOTPDevice(user=account, key=key, name=NAME)


def recovery_codes_left(account: User) -> int:
    return StaticToken.objects.filter(device__user=account).count()


def set_up_codes(*, account: User, key: str, code: str, address: str | None, keep: str | None) -> list[str]:
    """Confirms the key by a code made with it; other sign-ins end. Returns the recovery codes, to be shown once."""
    _refuse_resting(account, address)
    typed = as_typed(code)
    step = matching_step(key, typed, timezone.now().timestamp()) if is_code(typed) else None
    if step is None:
        count_wrong(Secret.CODE, account, address)
        raise ValidationError({"code": WRONG})
    forget_wrong(Secret.CODE, account)
    return _keep_device(account, key, step, keep)


@transaction.atomic
def _keep_device(account: User, key: str, step: int, keep: str | None) -> list[str]:
    User.objects.select_for_update().get(pk=account.pk)  # two set-ups at once would leave two devices
    if has_codes(account):
        raise ValidationError("One-time codes are already set up. Turn them off first.")
    TOTPDevice.objects.filter(user=account).delete()
    TOTPDevice.objects.create(user=account, key=key, name=NAME, confirmed=True, last_t=step)
    codes = _new_recovery_codes(account)
    record_change(by=account, action="account.codes_set_up", row=account)
    end_sign_ins(account=account, by=account, reason="one-time codes were set up", keep=keep)
    return codes


def accept_code(*, account: User, code: str, address: str | None) -> None:
    """Uses up a code, or a recovery code. Raises ValidationError when it does not fit, was used, or tries rest.

    Not in a transaction that its caller rolls back: wrong tries must count.
    """
    _refuse_resting(account, address)
    typed = as_typed(code)
    if not (_use_code(account, typed) if is_code(typed) else _use_recovery_code(account, typed)):
        count_wrong(Secret.CODE, account, address)
        raise ValidationError({"code": WRONG})
    forget_wrong(Secret.CODE, account)


def _refuse_resting(account: User, address: str | None) -> None:
    if secret_rests(Secret.CODE, account, address):
        raise ValidationError({"code": RESTS})


@transaction.atomic
def _use_code(account: User, typed: str) -> bool:
    device = TOTPDevice.objects.select_for_update().filter(user=account, confirmed=True).first()
    if device is None:
        return False
    step = matching_step(device.key, typed, timezone.now().timestamp(), after=device.last_t)
    if step is None:
        return False
    device.last_t = step
    device.save(update_fields=["last_t"])
    return True


@transaction.atomic
def _use_recovery_code(account: User, typed: str) -> bool:
    device = StaticDevice.objects.select_for_update().filter(user=account).first()
    if device is None:
        return False
    used, _ = device.token_set.filter(token=recovery_digest(typed, _salt(account, device))).delete()
    if used:
        record_change(by=account, action="account.recovery_code_used", row=account)
    return bool(used)


@transaction.atomic
def renew_recovery_codes(*, account: User) -> list[str]:
    """Ten new ones; the old ones are worth nothing from then on."""
    record_change(by=account, action="account.recovery_codes_renewed", row=account)
    return _new_recovery_codes(account)


@transaction.atomic
def turn_off_codes(*, account: User, by: User | None, reason: str, keep: str | None = None) -> None:
    TOTPDevice.objects.filter(user=account).delete()
    StaticDevice.objects.filter(user=account).delete()
    record_change(by=by, action="account.codes_turned_off", row=account, reason=reason)
    end_sign_ins(account=account, by=by, reason=reason, keep=keep)


def _new_recovery_codes(account: User) -> list[str]:
    StaticDevice.objects.filter(user=account).delete()
    device = StaticDevice.objects.create(user=account, name="recovery codes", confirmed=True)
    codes = [new_recovery_code() for _ in range(RECOVERY_CODES)]
    salt = _salt(account, device)
    StaticToken.objects.bulk_create(StaticToken(device=device, token=recovery_digest(code, salt)) for code in codes)
    return codes


def _salt(account: User, device: StaticDevice) -> str:
    return f"{account.uuid} {device.pk}"
