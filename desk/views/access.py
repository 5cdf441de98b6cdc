"""Who asks, on which day, and who may open a page that is about no single athlete."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection
from functools import wraps

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from athletes.requests import account_of, facility_of
from athletes.today import facility_today

View = Callable[..., HttpResponse]


def today_of(request: HttpRequest) -> dt.date:
    """The facility's date."""
    return facility_today(facility_of(request))


def wants_part(request: HttpRequest) -> bool:
    """Whether the page's own script asks for a part of it."""
    return bool(getattr(request, "htmx", False))


def for_roles(roles: Collection[str]) -> Callable[[View], View]:
    """403 for every other role."""

    def wrap(view: View) -> View:
        @wraps(view)
        def checked(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            if account_of(request).role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return checked

    return wrap
