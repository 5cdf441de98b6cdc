"""Letters for a forgotten password: the one function through which they leave."""

from __future__ import annotations

from django.contrib.auth.tokens import default_token_generator
from django.http import HttpRequest
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from athletes.models import Facility, User
from athletes.requests import address_of
from athletes.services.mail import public_link, write_mail
from athletes.services.throttle import letter_may_go

SUBJECT = "A new password for Moundbook"
BODY = """Somebody, we hope you, asked for a new password at {facility}.

Your sign-in name is {name}. Choose a new password here, within an hour:

{link}

If it was not you, do nothing: your password stays as it is.
"""


def send_reset_letters(*, email: str, request: HttpRequest) -> int:
    """One letter to each account of that address: siblings may share one. Returns how many; the page tells nobody."""
    if not letter_may_go(email, address_of(request)):
        return 0
    accounts = [
        account
        for account in User.objects.filter(email__iexact=email, is_active=True)
        if account.has_usable_password() and account.email.lower() == email.lower()
    ]
    for account in accounts:
        body = BODY.format(facility=Facility.current().name, name=account.username, link=_link(account))
        write_mail(account.email, SUBJECT, body)
    return len(accounts)


def _link(account: User) -> str:
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    return public_link(reverse("new-password", args=[uid, default_token_generator.make_token(account)]))
