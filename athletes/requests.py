"""Who asks, and where."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from athletes.models import Facility, User


def account_of(request: HttpRequest) -> User:
    """The account that is signed in. Views behind LoginRequiredMiddleware always have one; else 403."""
    if not isinstance(request.user, User):
        raise PermissionDenied
    return request.user


def facility_of(request: HttpRequest) -> Facility:
    """As FacilityTimeZoneMiddleware loaded it for this request."""
    loaded = getattr(request, "facility", None)
    return loaded if isinstance(loaded, Facility) else Facility.current()


def htmx_of(request: HttpRequest) -> HtmxDetails:
    """What HtmxMiddleware knows of the request; false when a page asked without a script."""
    found: HtmxDetails = getattr(request, "htmx")  # noqa: B009 - set by the middleware, unknown to the type
    return found


def units_of(request: HttpRequest) -> str:
    """The reader's system of units, "us" or "metric": their own choice, else the facility's."""
    return account_of(request).units or facility_of(request).units


def address_of(request: HttpRequest) -> str | None:
    """The address that asks, as far as it can be trusted; None when there is none.

    Behind a proxy it is the last entry of X-Forwarded-For, the one that our own proxy added: what stands before it
    was sent by the browser, and could be anything.
    """
    said = request.META.get("REMOTE_ADDR", "")
    if settings.BEHIND_PROXY:
        said = request.META.get("HTTP_X_FORWARDED_FOR", "").rsplit(",", 1)[-1].strip() or said
    try:
        return str(ipaddress.ip_address(said))
    except ValueError:
        return None
