"""Letting an account in: at once, or half, until its one-time code is given.

Every way in goes through `let_in`. While somebody is half in, the session names no account that any page would
believe: only the page that asks for the code reads it, for five minutes.
"""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from athletes.models import Role, User
from athletes.services.codes import has_codes
from athletes.services.sign_ins import WITH_CODE, note_sign_in

HALF_IN = "half_signed_in"
BACKEND = "django.contrib.auth.backends.ModelBackend"
CODE_ROLES = (Role.ADMIN, Role.COACH, Role.CLINICIAN)


def let_in(request: HttpRequest, account: User, to: str) -> HttpResponseRedirect:
    """After the right password. `to` is an address of ours, already checked."""
    if has_codes(account):
        request.session.flush()  # a key that was known before opens nothing
        request.session[HALF_IN] = {
            "account": str(account.uuid),
            "began": timezone.now().timestamp(),
            "password": account.get_session_auth_hash(),
            "to": to,
        }
        return HttpResponseRedirect(reverse("sign-in-code"))
    return _let_fully_in(request, account, to, with_code=False)


def half_in(request: HttpRequest) -> User | None:
    """Who gave the right password in this browser a moment ago; None when it is too long ago or has changed since."""
    state = request.session.get(HALF_IN)
    if not state or timezone.now().timestamp() - state["began"] > settings.HALF_SIGNED_IN_SECONDS:
        return None
    account = User.objects.filter(uuid=state["account"], is_active=True).first()
    if account is None or not constant_time_compare(state["password"], account.get_session_auth_hash()):
        return None
    return account


def let_in_with_code(request: HttpRequest, account: User) -> HttpResponseRedirect:
    """After the code, too."""
    to = request.session.pop(HALF_IN)["to"]
    return _let_fully_in(request, account, to, with_code=True)


def _let_fully_in(request: HttpRequest, account: User, to: str, *, with_code: bool) -> HttpResponseRedirect:
    login(request, account, backend=BACKEND)
    note_sign_in(request=request, account=account, with_code=with_code)
    return HttpResponseRedirect(to)


def must_set_up_codes(request: HttpRequest, account: User) -> bool:
    """Whether nothing else opens yet: staff, by the installation's setting, sign in with codes."""
    return settings.STAFF_CODES and account.role in CODE_ROLES and not request.session.get(WITH_CODE, False)
