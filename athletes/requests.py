"""Who asks, and where."""

from __future__ import annotations

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
