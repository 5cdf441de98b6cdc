"""The sign-in throttle at the door: one name from one address, one address for many names, one name from many.

What it answers never depends on whether the name exists: rows are kept by what was typed.
"""

from __future__ import annotations

from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
from django.conf import settings
from django.http import HttpRequest

from athletes.requests import address_of
from athletes.services.throttle import counted, knows_address


class SignInThrottle(AxesDatabaseHandler):
    def is_locked(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> bool:
        return super().is_locked(request, credentials) or _rests_from_many(request, credentials)


def _rests_from_many(request: HttpRequest, credentials: dict[str, Any] | None) -> bool:
    address, name = address_of(request), get_client_username(request, credentials) or ""
    known = knows_address(name, address)
    from_here = counted(ip_address=address)
    if from_here >= (settings.THROTTLE_SHARED_ADDRESS_LIMIT if known else settings.THROTTLE_ADDRESS_LIMIT):
        return True
    return not known and counted(username=name) >= settings.THROTTLE_NAME_LIMIT
